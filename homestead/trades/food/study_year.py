"""Food through a year at a glance: the weakest weather year, its months, how figures came about.

Gathers `food`, `food_days` and `food_produce` for a reader: from which months food runs short
soonest, what is eaten from where, and the way that led to each figure. Energy in kcal, protein in
grams; no display.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import reference
from homestead.formulas.food import food as diet
from homestead.plan import Plan
from homestead.simulate.fresh import produce_food
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.simulate.steps import Step
from homestead.trades.food import (
    study_days as food_days,
)
from homestead.trades.food import (
    study_food as food,
)
from homestead.trades.food import (
    study_produce as food_produce,
)

# Of the table's many rows by age, these two quantities stand for all in the list of sources.
NEED_SOURCE, PROTEIN_SOURCE = "dga-2015", "dri-2005"


@dataclass(frozen=True)
class FoodYear:
    """Food of a homestead, looked at closely, blackouts and dry gardens included.

    Attributes
    ----------
    plan : Plan
    weather_year_n : int
        Weather year (from 0) that holds the start with the fewest days of food; the rest is of it.
    run : FoodDays
        Every start of that year.
    by_start : DataFrame
        As `food.by_month_of_start`.
    start : int
        Day of the year (from 0): first of the month from which food lasts least.
    eaten : DataFrame of 12 rows
        As `food.eaten_by_month`, from `start`.
    through : DataFrame of 365 rows
        As `food.through_the_year`, from `start`.
    need_kcal_day, need_g_day : float
        Of the household.
    steps : list of Step
    """

    plan: Plan
    weather_year_n: int
    run: food_days.FoodDays
    by_start: pd.DataFrame
    start: int
    eaten: pd.DataFrame
    through: pd.DataFrame
    need_kcal_day: float
    need_g_day: float
    steps: list


def food_year_of(outlook):
    """Study the food of a plan in the weather year in which it lasts least.

    Parameters
    ----------
    outlook : Outlook

    Returns
    -------
    FoodYear
    """
    plan, days = outlook.plan, outlook.days_of("food")
    year = int(np.unravel_index(np.argmin(days), days.shape)[0])
    outages = food_days.outages_of(outlook.hours, year)
    run = food_days.food_days(plan, outages=outages)
    by_start = food.by_month_of_start(run)
    soonest = by_start[["energy_least_days", "protein_least_days"]].min(axis=1)
    start = int(np.argmax(int(soonest.idxmin()) == MONTH_OF_DAY))
    here = food_days.Outages(*(values[start : start + 1] for values in outages))
    need_kcal, need_g = food_days.need_of(plan)
    return FoodYear(
        plan=plan,
        weather_year_n=year,
        run=run,
        by_start=by_start,
        start=start,
        eaten=food.eaten_by_month(plan, start, here),
        through=food.through_the_year(plan, start, here),
        need_kcal_day=need_kcal,
        need_g_day=need_g,
        steps=list(steps_of(plan, run)),
    )


def steps_of(plan, run):
    """Way that led to the figures on food.

    Parameters
    ----------
    plan : Plan
    run : FoodDays

    Yields
    ------
    Step
    """
    yield from _need_steps(plan)
    yield from _store_steps(plan)
    yield from _produce_steps(plan)
    yield from _jar_steps(plan)
    need_kcal, need_g = food_days.need_of(plan)
    rule = plan.failure
    for name, days, need in (
        ("energy", run.energy_days, ("need", need_kcal, "kcal/day")),
        ("protein", run.protein_days, ("need", need_g, "g/day")),
    ):
        yield Step(
            f"Fewest days until {name} runs short", float(days.min()), "days",
            "day by day: eaten fresh first, then frozen, then shelves; short when the days of the "
            "rule together give less than its share of the need",
            (
                need,
                ("share of the rule", rule.food_share_frac, "fraction"),
                ("days of the rule", float(rule.food_window_n), "days"),
                ("starts", float(len(run.starts)), ""),
            ),
            "project",
        )  # fmt: skip


def _need_steps(plan):
    people = food.people(plan)
    for name, column, unit, formula, source in (
        ("Energy", "energy_kcal_day", "kcal/day", "by age, sex and activity", NEED_SOURCE),
        ("Protein", "protein_g_day", "g/day", "by age and sex", PROTEIN_SOURCE),
    ):
        inputs = tuple((who, float(each), unit) for who, each in people[column].items())
        total = float(people[column].sum())
        yield Step(f"{name} that the household needs", total, unit, formula, inputs, source)


def _per_kg(name):
    return ("energy of the food", float(diet.food_energy_kcal(name, 1.0)), "kcal/kg")


def _source_of(table, name, quantity):
    return reference.row(table, name, quantity).source


def _store_steps(plan):
    stores, need_kcal = food_days.stores_of(plan), food_days.need_of(plan)[0]
    for item, kcal in zip(plan.pantry, stores.pantry_kcal, strict=True):
        if item.energy_kcal is None:
            mass = ("weight", item.mass_kg, "mass")
            yield Step(
                f"Energy of {item.name}", float(kcal), "food_energy",
                "weight × energy of the food", (mass, _per_kg(item.food)),
                _source_of("foods", item.food, "energy"),
            )  # fmt: skip
    need = ("need", need_kcal, "kcal/day")
    total = float(stores.pantry_kcal.sum())
    yield Step(
        "Days that the pantry alone feeds all", total / need_kcal, "days", "energy / need",
        (("pantry", total, "food_energy"), need), "project",
    )  # fmt: skip
    if plan.freezer:
        frozen = ("freezer", stores.freezer_kcal, "food_energy")
        yield Step(
            "Days that the freezer alone feeds all", stores.freezer_kcal / need_kcal, "days",
            "energy / need", (frozen, need), "project",
        )  # fmt: skip
        held = food.cold_stores_in_a_blackout(plan).iloc[0]
        inputs = (
            ("full freezer", plan.failure.freezer_full_s, "time"),
            ("how full", plan.freezer.fill_frac, "fraction"),
        )
        yield Step(
            "Hours that frozen food keeps in the dark", float(held.hold_h), "h",
            "between full and half full in proportion, doors shut", inputs, "usda-fsis",
        )  # fmt: skip


def _produce_steps(plan):
    for name, row in food_produce.crops(plan).iterrows():
        crop = next(one for one in plan.crops if one.name == name)
        inputs = (
            ("harvest", crop.harvest_kg, "mass"),
            ("share eaten", crop.edible_frac, "fraction"),
            _per_kg(crop.food),
        )
        yield Step(
            f"Energy of a year's {name}", float(row.energy_kcal), "food_energy",
            "harvest × share eaten × energy of the food", inputs,
            _source_of("foods", crop.food, "energy"),
        )  # fmt: skip
        if np.isfinite(row.table_low_kg) and crop.area_m2 > 0:
            source = _source_of("crops", crop.food, "yield_per_area_low")
            for end, kg in (("low", row.table_low_kg), ("high", row.table_high_kg)):
                yield Step(
                    f"Harvest of {name}, {end} end of the table", float(kg), "mass",
                    "bed × yield of the table",
                    (("bed", crop.area_m2, "area"), ("yield", kg / crop.area_m2, "kg/m²")), source,
                )  # fmt: skip
    for animal, (name, row) in zip(
        plan.animals, food_produce.animals(plan).iterrows(), strict=True
    ):
        heads = ("heads", float(animal.count_n), "")
        if row.energy_kcal_day > 0:
            each = ("each a day", animal.food_kcal, "food_energy")
            gives = produce_food(animal) or "produce"
            yield Step(
                f"Energy of {gives} from {name}", float(row.energy_kcal_day), "kcal/day",
                "heads × energy entered for each", (heads, each), "project",
            )  # fmt: skip
        if np.isfinite(row.feed_days):
            inputs = (
                ("feed in store", animal.feed_kg, "mass"), heads,
                ("feed of each a day", animal.feed_day_kg, "mass"),
            )  # fmt: skip
            yield Step(
                f"Days that feed lasts for {name}", float(row.feed_days), "days",
                "feed / (heads × feed of each a day), no pasture", inputs, "project",
            )  # fmt: skip


def _jar_steps(plan):
    jars = food_produce.preserving(plan)
    for name, row in jars.drop(index="all", errors="ignore").iterrows():
        inputs = (
            ("canner loads", float(row.loads_n), ""),
            ("hours at heat", float(row.hours_h), "h"),
            ("heat into the pot", float(row.pot_heat_wh), "energy"),
        )
        yield Step(
            f"Fuel to put up {name}", float(row.fuel_wh), "energy",
            "warming the canner's water and jars, then its loss at heat, over the stove's "
            "efficiency; no recipe", inputs, "usda-aib-539",
        )  # fmt: skip
    each_m3 = food.cooking_water_m3_person_day(plan)
    if each_m3 > 0:
        weights = tuple(
            (item.name, item.mass_kg, "mass") for item in plan.pantry if item.mass_kg is not None
        )
        yield Step(
            "Water to cook dry food, a person and day", each_m3, "volume",
            "water for each weight of dry food, the pantry eaten as a whole at the need", weights,
            "common-practice",
        )  # fmt: skip
