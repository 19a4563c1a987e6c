"""Formulas of power: sun, battery, wires, motors, generator."""
