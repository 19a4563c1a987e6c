"""Figures of an outlook, in one visual language, each with its description and its numbers.

By trade: `days`, `energy`, `water`, `warmth`, `food`; what they share stands in `base`. All names
are handed on here, so that a notebook needs one.
"""

from homestead.views.figures.base import COLOUR, HATCH, MARKER, STYLE, Picture
from homestead.views.figures.days import days_by_month, needs_overview, stores_now, worst_start
from homestead.views.figures.energy import average_day, energy_by_month
from homestead.views.figures.food import food_through_year
from homestead.views.figures.warmth import cold_snap, heat_by_month
from homestead.views.figures.water import water_by_month

PICTURES = (
    days_by_month,
    needs_overview,
    energy_by_month,
    average_day,
    water_by_month,
    heat_by_month,
    cold_snap,
    worst_start,
    food_through_year,
    stores_now,
)

__all__ = [
    "COLOUR",
    "HATCH",
    "MARKER",
    "PICTURES",
    "Picture",
    "STYLE",
    "average_day",
    "cold_snap",
    "days_by_month",
    "energy_by_month",
    "food_through_year",
    "heat_by_month",
    "needs_overview",
    "stores_now",
    "water_by_month",
    "worst_start",
]
