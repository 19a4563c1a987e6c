"""Formulas of food: needs, composition, storage, preserving, home produce."""
