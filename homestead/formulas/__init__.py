"""Pure formulas, one trade a folder: equation, units, range, source.

Floats or arrays that broadcast. A value out of range or not a number, and a name that its table
lacks, raise ValueError that names the argument, what must hold and what came.
"""
