"""Generators, for scripts: names from the formulas of power."""

from homestead.formulas.power.generator import (
    derated_w,
    fuel_w,
)

__all__ = [
    "derated_w",
    "fuel_w",
]
