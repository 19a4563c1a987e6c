"""Figures of an outlook, in one visual language, each with its description and its numbers.

All names are handed on here, so that a notebook needs one.
"""

from homestead.screen.changes_figures import calendar, days_for_money, days_gained, tornado
from homestead.screen.days_figures import lasting, needs_overview, worst_by_year
from homestead.screen.picture import COLOR, HATCH, MARKER, STYLE, Picture
from homestead.screen.winters_figure import winters
from homestead.trades.food.figures import food_days_by_start, pantry_and_garden
from homestead.trades.power.figures import (
    average_days,
    energy_by_month,
    may_run,
    rule_causes,
    starting_current,
    worst_fortnight,
    yield_by_month,
)
from homestead.trades.warmth.figures import (
    cold_snap,
    cool_down,
    fuel_ledger,
    heat_by_month,
    need_two_ways,
)
from homestead.trades.water.figures import pump_and_well, water_in_and_out, water_storage_days
