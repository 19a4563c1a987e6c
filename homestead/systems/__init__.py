"""Formulas, one trade a module: pure functions, SI inside, a source in each docstring."""
