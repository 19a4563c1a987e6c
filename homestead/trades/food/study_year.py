"""Food at a glance: the start with the fewest days of it, and how figures came about.

Gathers what the simulation says of food for a reader; works out no day of its own. Energy in kcal,
nutrients in grams; no display.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import reference
from homestead.formulas.food import food_composition
from homestead.plan import Plan
from homestead.simulate.food import items_of, needs_of, produce_food
from homestead.simulate.inputs import DAYS_N, Hours
from homestead.simulate.steps import Step
from homestead.simulate.trace import trace_of
from homestead.trades.food import study_food as food
from homestead.trades.food import study_produce as food_produce

# Of the table's many rows by age, these two quantities stand for all in the list of sources.
NEED_SOURCE, PROTEIN_SOURCE = "dga-2015", "dri-2005"


@dataclass(frozen=True)
class FoodYear:
    """Food from the start with the fewest days of it, blackouts and dry gardens included."""

    plan: Plan
    hours: Hours
    days_n: int  # days that food lasts from that start: the fewest of all weather years
    ends: str  # what ends it, of `FOOD_ENDS` or "nothing"
    start: int  # day of the year (from 0) of that start
    by_start: pd.DataFrame  # as `study_food.by_month_of_start`
    eaten: pd.DataFrame  # as `study_food.eaten_by_month`
    through: pd.DataFrame  # as `study_food.through_the_year`
    nutrients: pd.DataFrame  # as `study_food.nutrients`, until food ends
    frozen_lost_frac: float  # share of that start's frozen food that a blackout took
    need_kcal_day: float  # of the household
    steps: list  # of Step


def food_year_of(outlook):
    """`FoodYear` of an outlook."""
    plan, hours, days = outlook.plan, outlook.hours, outlook.days_of("food")
    year, start = (int(number) for number in np.unravel_index(np.argmin(days), days.shape))
    first_day, days_n = year * DAYS_N + start, int(days.min())
    trace = trace_of(hours, first_day, DAYS_N)
    eaten = food.eaten_by_month(hours, trace, start)
    frozen_kcal = hours.larder.freezer_kcal
    gone = 1.0 - eaten.freezer_kcal.sum() / frozen_kcal if frozen_kcal else 0.0
    through = food.through_the_year(hours, first_day, trace)
    return FoodYear(
        plan=plan,
        hours=hours,
        days_n=days_n,
        ends=food.ends_text(outlook.food_ends[year, start]),
        start=start,
        by_start=food.by_month_of_start(outlook),
        eaten=eaten,
        through=through,
        nutrients=food.nutrients(hours, trace, days_n),
        frozen_lost_frac=gone if through.freezer_kcal.iloc[-1] == 0.0 and gone > 1e-6 else 0.0,
        need_kcal_day=needs_of(plan).kcal,
        steps=list(steps_of(plan, days_n)),
    )


def steps_of(plan, days_n):
    """Yield a `Step` for each figure on food; the fewest days that food lasts are at hand."""
    yield from _need_steps(plan)
    yield from _store_steps(plan)
    yield from _produce_steps(plan)
    yield from _jar_steps(plan)
    rule = plan.failure
    yield Step(
        "Fewest days until food fails", float(days_n), "days",
        "day by day in the simulation: fresh first, then frozen, then shelves; it fails when the "
        "days of the rule together give less than its share of the need, or a nutrient is missing",
        (
            ("need", needs_of(plan).kcal, "kcal/day"),
            ("share of the rule", rule.food_share_frac, "fraction"),
            ("days of the rule", float(rule.food_fails_window_n), "days"),
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
    return ("energy of the food", float(food_composition.food_energy_kcal(name, 1.0)), "kcal/kg")


def _source_of(table, name, quantity):
    return reference.row(table, name, quantity).source


def _store_steps(plan):
    need_kcal, items = needs_of(plan).kcal, {item.name: item for item in items_of(plan)}
    for item in plan.pantry:
        if item.energy_kcal is None and item.name in items:
            kcal = items[item.name].kcal
            mass = ("weight", item.mass_kg, "mass")
            yield Step(
                f"Energy of {item.name}", float(kcal), "food_energy",
                "weight × energy of the food", (mass, _per_kg(item.food)),
                _source_of("foods", item.food, "energy"),
            )  # fmt: skip
    need = ("need", need_kcal, "kcal/day")
    total = float(sum(item.kcal for item in items.values() if not item.is_frozen))
    yield Step(
        "Days that the pantry alone feeds all", total / need_kcal, "days", "energy / need",
        (("pantry", total, "food_energy"), need), "project",
    )  # fmt: skip
    if plan.freezer:
        frozen_kcal = float(sum(item.kcal for item in items.values() if item.is_frozen))
        frozen = ("freezer", frozen_kcal, "food_energy")
        yield Step(
            "Days that the freezer alone feeds all", frozen_kcal / need_kcal, "days",
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
        crop = next(crop for crop in plan.crops if crop.name == name)
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
                "heads × your energy for each", (heads, each), "project",
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
