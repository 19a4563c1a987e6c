"""The shared page, the sheet for the wall, and their PDF."""

LEAVE_OUT = ("location", "costs", "name")
