"""Batteries, for scripts: names from the formulas of power."""

from homestead.formulas.power.battery import (
    autonomy_days,
    charge_allowed,
    lead_acid_temperature_factor,
    peukert_hours,
    required_capacity_wh,
)

__all__ = [
    "autonomy_days",
    "charge_allowed",
    "lead_acid_temperature_factor",
    "peukert_hours",
    "required_capacity_wh",
]
