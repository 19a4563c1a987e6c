"""Pure formulas, one trade a folder: equation, units, range, source."""
