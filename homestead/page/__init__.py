"""The shared page, the sheet for the wall, and their PDF."""
