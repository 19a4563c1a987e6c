"""Every figure that a screen shows, by what draws it: of an outlook, a water study, a food year."""

from homestead.screen import figures

PICTURES = (
    figures.lasting,
    figures.winters,
    figures.worst_by_year,
    figures.needs_overview,
    figures.energy_by_month,
    figures.heat_by_month,
    figures.cold_snap,
)
ENERGY = (
    figures.average_days,
    figures.worst_fortnight,
    figures.may_run,
    figures.starting_current,
    figures.yield_by_month,
    figures.rule_causes,
)
WARMTH = (figures.need_two_ways, figures.cold_snap, figures.cool_down, figures.fuel_ledger)
WATER = (figures.water_in_and_out, figures.pump_and_well, figures.water_storage_days)
FOOD = (figures.pantry_and_garden, figures.food_days_by_start)
