"""Formulas of water: wells, pumps, pipes, tanks, rain, use, crops' thirst."""
