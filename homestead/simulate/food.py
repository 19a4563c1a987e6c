"""Food of a plan as the simulated day eats it: needs, items, what is in them, fresh food by day.

Energy in kcal, nutrients in grams in the order of `NUTRIENTS`. The day itself stands in
`simulate.kernel.food`; no second one is worked anywhere.
"""

import datetime
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from homestead import reference
from homestead.formulas.food import food as diet
from homestead.formulas.food import food_composition, food_storage, home_produce
from homestead.simulate.records import BEAST_FEED, DAYS_N, MONTH_OF_DAY, NUTRIENTS_N, Larder

GRAMS_PER_KG = 1000.0
SALT_PER_SODIUM = 58.44 / 22.99  # molar masses of NaCl and Na
KCAL_PER_G_FAT = 9.0  # Atwater
BY_ENERGY = "food known by its energy alone"
LEAST = "least to stay well"
FORMULA = "infant formula"
NO_INFANT = np.inf


class Needs(NamedTuple):
    """What the household needs in a day."""

    kcal: float  # from the common table; infants at the breast or on formula left out
    protein_g: float  # recommended allowance
    least_g: np.ndarray  # shape (nutrients,): below this for long enough, people fall ill
    formula_kcal: float  # of infants without a nursing mother


class Item(NamedTuple):
    """One food in store."""

    name: str
    food: str | None  # row of the food table
    kcal: float
    per_kcal: np.ndarray  # shape (nutrients,) [g/kcal]
    keeps_days: float
    keeps_from: str  # "best-by date", "table" or "not known"
    is_frozen: bool
    is_assumed: bool  # its protein stands for lack of an entry


def needs_of(plan):
    """`Needs` of a plan's people.

    An infant in its first year drinks from a nursing mother of the plan, whose own need holds
    that milk: wholly in months 1 to 6, half in months 7 to 12 (WHO and UNICEF 2003, from memory).
    An infant without one takes formula and nothing else.
    """
    return _needs_of(tuple(plan.people))


@lru_cache(maxsize=64)
def _needs_of(people):
    mothers = sorted(
        (
            reference.value("food_needs", person.life_stage, "infant_share", "")
            for person in people
            if person.life_stage.startswith("nursing")
        ),
        reverse=True,
    )
    kcal = protein_g = formula_kcal = 0.0
    eaters_n = 0
    for person in people:
        need_kcal = float(
            diet.energy_need_kcal_day(person.age_n, person.sex, person.activity, person.life_stage)
        )
        need_g = float(diet.protein_need_g_day(person.age_n, person.sex, person.life_stage))
        share = 1.0
        if person.age_n == 0:
            formula_kcal += 0.0 if mothers else need_kcal
            share = 1.0 - mothers.pop(0) if mothers else 0.0
        kcal += need_kcal * share
        protein_g += need_g * share
        eaters_n += person.age_n > 0
    least_g = np.array(
        [
            protein_g * reference.value("food_needs", LEAST, "protein_share_of_allowance", ""),
            kcal * reference.value("food_needs", LEAST, "fat_share_of_energy", "") / KCAL_PER_G_FAT,
            eaters_n * reference.value("food_needs", LEAST, "vitamin_c", "g/day"),
            eaters_n * reference.value("food_needs", LEAST, "sodium", "g/day") * SALT_PER_SODIUM,
        ]
    )
    return Needs(kcal, protein_g, least_g, formula_kcal)


def per_kg_of(food):
    """Nutrients in a kg of a food as it is eaten, half the vitamin C lost. [g/kg]."""
    in_kg = [
        reference.value("foods", food, name, "g/kg")
        for name in ("protein", "fat", "vitamin_c", "sodium")
    ]
    if food not in (FORMULA, "vitamin C tablets"):
        in_kg[2] *= reference.value("food_needs", "cooked food", "vitamin_c_kept", "")
    in_kg[3] *= SALT_PER_SODIUM
    return np.array(in_kg)


def per_kcal_of(food):
    """Nutrients in a kcal of a food. [g/kcal]."""
    return per_kg_of(food) / float(food_composition.food_energy_kcal(food, 1.0))


def assumed_per_kcal():
    """Nutrients that stand for lack of an entry: a mixed store food. [g/kcal]."""
    fat_frac = reference.value("food_needs", BY_ENERGY, "fat_share_of_energy", "")
    sodium = reference.value("food_needs", BY_ENERGY, "sodium", "g/kcal")
    return np.array(
        [
            float(food_composition.assumed_protein_kg(1.0)) * GRAMS_PER_KG,
            fat_frac / KCAL_PER_G_FAT,
            reference.value("food_needs", BY_ENERGY, "vitamin_c", "g/kcal"),
            sodium * SALT_PER_SODIUM,
        ]
    )


def keeps_days_of(item):
    """How long a pantry item keeps after isolation begins, and where that is from.

    Gives (float, str): Days, infinity if nothing is known; ``"best-by date"``, ``"table"`` or
        ``"not known"``.
    """
    if item.best_by and item.counted:
        best_by, counted = (datetime.date.fromisoformat(t) for t in (item.best_by, item.counted))
        return float(max((best_by - counted).days, 0)), "best-by date"
    if item.food in reference.items("foods", "shelf_life"):
        return float(food_storage.shelf_life_days(item.food)), "table"
    return np.inf, "not known"


def _entered(store, kcal):
    """Nutrients of a store known by its energy: as entered, else a mixed store food."""
    per_kcal = assumed_per_kcal()
    for number, name in enumerate(("protein_kg", "fat_kg", "vitamin_c_kg", "salt_kg")):
        known_kg = getattr(store, name, None)
        if known_kg is not None and kcal > 0.0:
            per_kcal[number] = known_kg * GRAMS_PER_KG / kcal
    return per_kcal


def _kcal_of(item):
    if item.energy_kcal is not None:
        return float(item.energy_kcal)
    return float(food_composition.food_energy_kcal(item.food, item.mass_kg))


def _is_for_infants(item, needs):
    return item.food == FORMULA and needs.formula_kcal > 0.0


def items_of(plan):
    """Foods in store that hold energy, in the order of `Larder`; formula that infants need is not.

    Gives list of Item.
    """
    needs, found = needs_of(plan), []
    if plan.freezer and plan.freezer.energy_kcal > 0.0:
        kcal = plan.freezer.energy_kcal
        found.append(
            Item(
                "freezer", None, kcal, _entered(plan.freezer, kcal), np.inf, "not known", True,
                plan.freezer.protein_kg is None,
            )
        )  # fmt: skip
    for item in plan.pantry:
        kcal = _kcal_of(item)
        if is_spare(item) or _is_for_infants(item, needs):
            continue
        known = item.food is not None and item.mass_kg is not None
        found.append(
            Item(
                item.name, item.food, kcal,
                per_kcal_of(item.food) if known else _by_energy(item, kcal),
                *keeps_days_of(item), item.in_freezer,
                item.food is None and item.protein_kg is None,
            )
        )  # fmt: skip
    return sorted(found, key=lambda item: (not item.is_frozen, item.keeps_days))


def _by_energy(item, kcal):
    if item.food is not None:
        return per_kcal_of(item.food)
    return _entered(item, kcal)


def is_spare(item):
    """Whether a pantry item has nutrients and no energy: salt, tablets."""
    return item.food is not None and float(food_composition.food_energy_kcal(item.food, 1.0)) == 0.0


def pantry_kcal(plan):
    """Energy on the shelves. [kcal]."""
    return sum(_kcal_of(item) for item in plan.pantry)


def infant_days(plan):
    """Days that formula feeds infants without a nursing mother; infinite if there are none."""
    need_kcal = needs_of(plan).formula_kcal
    if need_kcal <= 0.0:
        return NO_INFANT
    lasts = 0.0
    for item in sorted(plan.pantry, key=lambda item: keeps_days_of(item)[0]):
        if item.food == FORMULA:
            lasts = min(lasts + _kcal_of(item) / need_kcal, max(keeps_days_of(item)[0], lasts))
    return float(np.floor(lasts))


def larder_of(plan):
    """Food and feed when isolation begins, and what is in each food."""
    items, animals = items_of(plan), plan.animals
    foods = [produce_food(animal) for animal in animals]
    per_kcal = [
        *(item.per_kcal for item in items),
        *(per_kcal_of(food) if food else assumed_per_kcal() for food in foods),
        *(per_kcal_of(meat_food(animal)) for animal in animals),
    ]
    rule = plan.failure
    lack_days = [rule.protein_days_n, rule.fat_days_n, rule.vitamin_c_days_n, rule.salt_days_n]
    least_g = needs_of(plan).least_g
    spare_g = sum(
        (per_kg_of(item.food) * item.mass_kg for item in plan.pantry if is_spare(item)),
        start=np.zeros(NUTRIENTS_N),
    )
    butcher = np.zeros((2, len(animals)))
    butcher[1] = reference.value("food_needs", "meat put up", "shelf_life", "day")
    butcher[0] = [
        float(food_composition.food_energy_kcal(meat_food(animal), animal.meat_if_feed_ends_kg))
        for animal in animals
    ]
    return Larder(
        np.array([item.kcal for item in items], dtype=float),
        np.array([item.keeps_days for item in items], dtype=float),
        sum(item.is_frozen for item in items),
        np.array([animal.feed_kg for animal in animals], dtype=float),
        np.array(per_kcal, dtype=float).reshape(-1, NUTRIENTS_N),
        np.array([least_g, least_g * lack_days]),
        spare_g,
        butcher,
    )


def produce_food(animal):
    """Row of the food table for what an animal gives alive, or None."""
    return animal.produce or home_produce.produce_of(animal.kind)


def meat_food(animal):
    """Row of the food table for an animal's meat; ground beef if nothing is known."""
    return animal.meat_food or home_produce.meat_of(animal.kind) or "ground beef"


def source_of(animal):
    """What an animal gives alive, in one word: eggs, milk or other produce."""
    food = produce_food(animal)
    if food == "egg":
        return "eggs"
    return "milk" if food and food.endswith("milk") else "other produce"


def spread_over(months, amount):
    """An amount in even daily shares over the days of some months, array of shape (365,)."""
    inside = np.isin(MONTH_OF_DAY, months)
    return np.where(inside, amount / max(int(inside.sum()), 1), 0.0)


def crop_kcal_day(crop):
    """Energy of a crop by day of a usual year, array of shape (365,)."""
    energy_kcal = float(
        food_composition.food_energy_kcal(crop.food, crop.harvest_kg * crop.edible_frac)
    )
    return spread_over(crop.eaten, energy_kcal)


def harvest_frac(crop, years_n, seed_n):
    """Share of the usual harvest on the table on each day of all weather years, shape (days,).

    So many of the years are bad ones as the plan's share says, drawn without regard to weather or
    to other crops; drought is counted by the garden's water. A harvest is that of the year in
    which its months of eating began.
    """
    of_year = np.ones(years_n)
    bad_n = round(crop.bad_years_frac * years_n)
    bad = np.random.default_rng(seed_n).permutation(years_n)[:bad_n]
    of_year[bad] = crop.bad_harvest_frac
    before = np.roll(of_year, 1)
    first_month = (crop.picked or crop.eaten or (1,))[0]
    return np.where(MONTH_OF_DAY >= first_month, of_year[:, None], before[:, None]).ravel()


def garden_of(plan, years_n=1):
    """Energy and nutrients of the harvest by day, array of shape (days, 1 + nutrients)."""
    total = np.zeros((years_n * DAYS_N, 1 + NUTRIENTS_N))
    for number, crop in enumerate(plan.crops):
        kcal = np.tile(crop_kcal_day(crop), years_n)
        kcal *= harvest_frac(crop, years_n, plan.site.seed_n + number)
        total += np.outer(kcal, [1.0, *per_kcal_of(crop.food)])
    return total


def beasts_of(plan):
    """Eggs or milk, planned meat [kcal] and stored feed [kg] by day, shape (365, animals, 3)."""
    found = np.zeros((DAYS_N, len(plan.animals), 3))
    for number, animal in enumerate(plan.animals):
        gives = np.isin(MONTH_OF_DAY, animal.yields)
        found[:, number, 0] = np.where(gives, animal.count_n * animal.food_kcal, 0.0)
        if animal.meat_kg > 0:
            energy_kcal = float(
                food_composition.food_energy_kcal(meat_food(animal), animal.meat_kg)
            )
            months = animal.meat_eaten or animal.slaughter
            found[:, number, 1] = spread_over(months, energy_kcal)
        housed = ~np.isin(MONTH_OF_DAY, animal.pasture)
        found[:, number, 2] = np.where(housed, animal.count_n * animal.feed_day_kg, 0.0)
    return found


def fed_only(days, larder):
    """Days and larder without the animals that feed nobody: they have no say in food."""
    beasts = days.beasts
    some = beasts[:, :, :BEAST_FEED].any(axis=(0, 2)) | (larder.butcher[0] > 0.0)
    if some.all():
        return days, larder
    per_kcal = np.concatenate((np.ones(larder.item_kcal.size, dtype=bool), some, some))
    larder = larder._replace(
        feed_kg=larder.feed_kg[some],
        per_kcal=larder.per_kcal[per_kcal],
        butcher=np.ascontiguousarray(larder.butcher[:, some]),
    )
    return days._replace(beasts=np.ascontiguousarray(beasts[:, some])), larder
