"""Food, for scripts: names from the formulas of food."""

from homestead.formulas.food.food import (
    energy_need_kcal_day,
)
from homestead.formulas.food.food_composition import (
    food_energy_kcal,
)
from homestead.formulas.food.food_storage import (
    bleach_drops,
    freezer_hold_hours,
)

__all__ = [
    "bleach_drops",
    "energy_need_kcal_day",
    "food_energy_kcal",
    "freezer_hold_hours",
]
