"""Figures of an outlook, in one visual language, each with its description and its numbers.

By trade: `days`, `energy`, `water`, `warmth`, `food`; what they share stands in `base`. All names
are handed on here, so that a notebook needs one.
"""

from homestead.screen.changes_figures import calendar, days_for_money, days_gained, tornado
from homestead.screen.days_figures import (
    days_by_month,
    lasting,
    needs_overview,
    worst_by_year,
    worst_start,
)
from homestead.screen.picture import COLOR, HATCH, MARKER, STYLE, Picture
from homestead.screen.winters_figure import winters
from homestead.trades.food.figures import food_days_by_start, pantry_and_garden
from homestead.trades.power.figures import (
    average_day,
    average_days,
    energy_by_month,
    may_run,
    rule_causes,
    starting_current,
    worst_fortnight,
    yield_by_month,
)
from homestead.trades.warmth.figures import (
    WARMTH_PICTURES,
    cold_snap,
    cool_down,
    fuel_ledger,
    heat_by_month,
    need_two_ways,
)
from homestead.trades.water.figures import (
    pump_and_well,
    water_by_month,
    water_in_and_out,
    water_storage_days,
)

PICTURES = (
    lasting,
    winters,
    worst_by_year,
    days_by_month,
    needs_overview,
    energy_by_month,
    average_day,
    water_by_month,
    heat_by_month,
    cold_snap,
    worst_start,
)
# Of the closer looks: those of a `WaterStudy` and those of a `FoodYear`.
ENERGY_PICTURES = (
    average_days,
    worst_fortnight,
    may_run,
    starting_current,
    yield_by_month,
    rule_causes,
)
WATER_PICTURES = (water_in_and_out, pump_and_well, water_storage_days)
FOOD_PICTURES = (pantry_and_garden, food_days_by_start)

__all__ = [
    "WARMTH_PICTURES",
    "cool_down",
    "fuel_ledger",
    "need_two_ways",
    "calendar",
    "days_for_money",
    "days_gained",
    "tornado",
    "ENERGY_PICTURES",
    "FOOD_PICTURES",
    "WATER_PICTURES",
    "food_days_by_start",
    "pantry_and_garden",
    "pump_and_well",
    "water_in_and_out",
    "water_storage_days",
    "COLOR",
    "HATCH",
    "MARKER",
    "PICTURES",
    "lasting",
    "winters",
    "worst_by_year",
    "Picture",
    "STYLE",
    "average_days",
    "may_run",
    "rule_causes",
    "starting_current",
    "worst_fortnight",
    "yield_by_month",
    "average_day",
    "cold_snap",
    "days_by_month",
    "energy_by_month",
    "heat_by_month",
    "needs_overview",
    "water_by_month",
    "worst_start",
]
