"""Food: what people need in a day, and the one door to the rest of the trade.

Composition, home produce and storage have modules of their own; their names are offered here too.
Energy in kcal, masses in kg. Owns no calendar (outlook eats day by day).
"""

from functools import cache

import numpy as np

from homestead import reference
from homestead.systems.food_composition import (
    atwater_kcal,
    food_energy_kcal,
    food_protein_kg,
    foods,
)
from homestead.systems.food_storage import (
    bleach_drops,
    canning_heat_wh,
    canning_water_m3,
    chlorine_dose_kg_m3,
    days_of_food,
    freezer_hold_hours,
    refrigerator_hold_hours,
    shelf_life_days,
)
from homestead.systems.home_produce import (
    crop_energy_kcal,
    egg_energy_kcal,
    eggs_n_day,
    feed_kg_day,
    garden_yield_kg,
    goat_lactation_m3,
    goat_milk_energy_kcal,
    goat_milk_m3_day,
    row_yield_kg,
)
from homestead.units import checked

__all__ = [
    "atwater_kcal",
    "bleach_drops",
    "canning_heat_wh",
    "canning_water_m3",
    "chlorine_dose_kg_m3",
    "crop_energy_kcal",
    "days_of_food",
    "egg_energy_kcal",
    "eggs_n_day",
    "energy_need_kcal_day",
    "feed_kg_day",
    "food_energy_kcal",
    "food_protein_kg",
    "foods",
    "freezer_hold_hours",
    "garden_yield_kg",
    "goat_lactation_m3",
    "goat_milk_energy_kcal",
    "goat_milk_m3_day",
    "protein_need_g_day",
    "refrigerator_hold_hours",
    "row_yield_kg",
    "shelf_life_days",
]

SEXES = ("male", "female")
ACTIVITIES = ("sedentary", "moderate", "active")
OLDEST = 120.0


def _named(argument, name, known):
    """Names as an array, each one of the known, or a ValueError that lists them."""
    names = np.asarray(name)
    for each in names.ravel().tolist():
        if each not in known:
            raise ValueError(f"{argument} must be one of {', '.join(known)}; got {each!r}")
    return names


@cache
def _by_age(item, prefix, unit):
    """First ages of the printed bands and their values."""
    pairs = sorted(
        (int(row.quantity.removeprefix(prefix)), row.quantity)
        for row in reference.table("food_needs")
        if row.item == item and row.quantity.startswith(prefix)
    )
    values = [reference.value("food_needs", item, quantity, unit) for _, quantity in pairs]
    return np.array([age for age, _ in pairs], dtype=float), np.array(values)


def _need(age, items, prefix, unit):
    ages, items = np.broadcast_arrays(checked("age", age, 0.0, OLDEST, "years"), items)
    need = np.empty(ages.shape)
    for item in np.unique(items).tolist():
        first, values = _by_age(item, prefix, unit)
        here = items == item
        need[here] = values[np.searchsorted(first, ages[here], side="right") - 1]
    return need[()]


def energy_need_kcal_day(age, sex, activity):
    """Food energy that a person needs in a day.

    Parameters
    ----------
    age : float or array
        [years], 0 to 120.
    sex : str or array of str
        ``"male"`` or ``"female"``.
    activity : str or array of str
        ``"sedentary"``, ``"moderate"`` or ``"active"``; farm work by hand is active.

    Returns
    -------
    float or array
        [kcal/day]

    Raises
    ------
    ValueError
        If the age is out of range or a name unknown.

    Notes
    -----
    The table is a step a year (a band of years from 19 on): completed years decide, nothing is
    interpolated. Needs differ between people by some hundreds of kcal; pregnancy and nursing come
    on top. Rows below two years are rounded and from memory.

    References
    ----------
    .. [1] Dietary Guidelines for Americans 2015-2020, Appendix 2, Table A2-1.
    """
    sexes, activities = np.broadcast_arrays(
        _named("sex", sex, SEXES), _named("activity", activity, ACTIVITIES)
    )
    items = np.char.add(np.char.add(sexes, " "), activities)
    return _need(age, items, "energy_from_age_", "kcal/day")


def protein_need_g_day(age, sex):
    """Protein that a person needs in a day.

    Parameters
    ----------
    age : float or array
        [years], 0 to 120.
    sex : str or array of str
        ``"male"`` or ``"female"``.

    Returns
    -------
    float or array
        [g/day]; completed years decide.

    Raises
    ------
    ValueError
        If the age is out of range or the name unknown.

    References
    ----------
    .. [1] Dietary Reference Intakes, recommended allowances for protein (from memory).
    """
    return _need(age, _named("sex", sex, SEXES), "protein_from_age_", "g/day")
