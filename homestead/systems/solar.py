"""The sun on an array, for scripts: names from the formulas of power."""

from homestead.formulas.power.solar import (
    array_dc_w,
    cell_temperature_noct_c,
    plane_of_array_w_m2,
)
from homestead.formulas.power.strings import strings

__all__ = ["array_dc_w", "cell_temperature_noct_c", "plane_of_array_w_m2", "strings"]
