"""Measures of how often and how much a supply falls short, and outage tables of several units.

Owns definitions only; the hours they are counted over come from outlook or from a reader.
"""
