"""One plan for a family's power, water, warmth and food, and the days that it carries them.

Importing this package is cheap on purpose: each room (plan, weather, simulate, outlook, screen)
is imported by whoever needs it.
"""

__version__ = "0.1.0"
