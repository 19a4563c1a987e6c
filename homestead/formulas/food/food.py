"""Food: what people need in a day.

Energy in kcal, masses in kg. Owns no calendar (outlook eats day by day).
"""

from functools import cache

import numpy as np

from homestead import reference
from homestead.units import checked

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


def _extra(sexes, life_stage, quantity, unit):
    """What pregnancy or nursing adds, array of the shape of the stages."""
    known = ("none", *reference.items("food_needs", quantity))
    stages = _named("life_stage", life_stage, known)
    if np.any((stages != "none") & (sexes != "female")):
        raise ValueError(f'life_stage must be "none" unless female; got {life_stage!r}')
    found = np.zeros(stages.shape)
    for stage in np.unique(stages).tolist():
        if stage != "none":
            found[stages == stage] = reference.value("food_needs", stage, quantity, unit)
    return found


def energy_need_kcal_day(age, sex, activity, life_stage="none"):
    """Food energy that a person needs in a day.

    age : [years], 0 to 120.
    sex (str or array of str) : ``"male"`` or ``"female"``.
    activity (str or array of str) : ``"sedentary"``, ``"moderate"`` or ``"active"``; farm work by
        hand is active.
    life_stage (str or array of str) : ``"none"``, or such as ``"pregnant months 4 to 6"`` or
        ``"nursing months 1 to 6"``.
    Gives [kcal/day].
    The table is a step a year (a band of years from 19 on): completed years decide, nothing is
    interpolated. Needs differ between people by some hundreds of kcal. Pregnancy and nursing add
    what [2]_ prints for each stage. Rows below two years are rounded and from memory.
    .. [1] Dietary Guidelines for Americans 2015-2020, Appendix 2, Table A2-1.
    .. [2] Dietary Reference Intakes, as printed in Institute of Medicine, "Weight Gain During
       Pregnancy", 2009, Table B-1A; nursing from memory.
    """
    sexes, activities = np.broadcast_arrays(
        _named("sex", sex, SEXES), _named("activity", activity, ACTIVITIES)
    )
    items = np.char.add(np.char.add(sexes, " "), activities)
    extra = _extra(sexes, life_stage, "energy_extra", "kcal/day")
    return (_need(age, items, "energy_from_age_", "kcal/day") + extra)[()]


def protein_need_g_day(age, sex, life_stage="none"):
    """Protein that a person needs in a day.

    age : [years], 0 to 120.
    sex (str or array of str) : ``"male"`` or ``"female"``.
    life_stage (str or array of str) : As in `energy_need_kcal_day`.
    Gives [g/day]; completed years decide.

    .. [1] Dietary Reference Intakes, recommended allowances for protein (from memory).
    """
    sexes = _named("sex", sex, SEXES)
    extra = _extra(sexes, life_stage, "protein_extra", "g/day")
    return (_need(age, sexes, "protein_from_age_", "g/day") + extra)[()]
