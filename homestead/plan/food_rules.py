"""Rules between entries about food: dates and protein of stores, life stages, meat.

Each is given the plan by field name, as `rules` explains; a part with a fault of its own is None.
"""

import datetime
from typing import Any

from homestead import reference, units
from homestead.plan.fields import Fault, limits_text, members

YOUNGEST_MOTHER = 10  # project choice, a guard against slips of the pen


def _best_by_dates_fit(plan):
    for number, item in members(plan.pantry):
        dates = {}
        for key in ("best_by", "counted"):
            typed = getattr(item, key)
            try:
                dates[key] = typed and datetime.date.fromisoformat(typed)
            except ValueError:
                yield Fault(
                    ("pantry", number, key),
                    f'must be a date such as "2027-06-30"; got {units.quoted(typed)}',
                )
        if len(dates) == 2 and (dates["best_by"] is None) != (dates["counted"] is None):
            missing = "counted" if dates["counted"] is None else "best_by"
            yield Fault(
                ("pantry", number, missing), "is missing: a best-by date needs the day of the count"
            )


def _protein_fits_the_energy(plan):
    stores: list[tuple[tuple, Any]] = [
        (("pantry", number), item) for number, item in members(plan.pantry)
    ]
    stores += [(("freezer",), plan.freezer)] if plan.freezer else []
    per_kg = reference.value("foods", "general", "atwater_protein", "kcal/kg")
    for where, store in stores:
        if store.protein_kg is None:
            continue
        if store.energy_kcal is None:
            yield Fault((*where, "protein"), "goes only with an energy: a known food has its own")
        elif store.protein_kg * per_kg > store.energy_kcal * 1.001:  # for figures rounded
            yield Fault(
                (*where, "protein"),
                f"must be {limits_text(None, store.energy_kcal / per_kg, 'mass')}: more would "
                f"hold more energy than the food; got {units.show(store.protein_kg, 'mass')}",
            )


def _frozen_food_has_a_freezer(plan):
    for number, item in members(plan.pantry):
        if item.in_freezer and plan.freezer is None:
            yield Fault(
                ("pantry", number, "in_freezer"), "must be false: the plan has no [freezer]"
            )
        for key in ("fat_kg", "vitamin_c_kg", "salt_kg"):
            if getattr(item, key) is not None and item.energy_kcal is None:
                yield Fault(
                    ("pantry", number, key.removesuffix("_kg")),
                    "goes only with an energy: a known food has its own",
                )


def _life_stages_fit(plan):
    for number, person in members(plan.people):
        if person.life_stage == "none":
            continue
        if person.sex != "female" or person.age_n < YOUNGEST_MOTHER:
            yield Fault(
                ("person", number, "life_stage"),
                f"must be none unless female and {YOUNGEST_MOTHER} or older; "
                f"got {units.quoted(person.life_stage)}",
            )


def _meat_has_a_month(plan):
    for number, animal in members(plan.animals):
        if animal.meat_kg > 0 and not animal.slaughter:
            yield Fault(
                ("animal", number, "slaughter"), 'is missing: the month of the meat, such as "Nov"'
            )


RULES = (
    _best_by_dates_fit,
    _protein_fits_the_energy,
    _frozen_food_has_a_freezer,
    _life_stages_fit,
    _meat_has_a_month,
)
