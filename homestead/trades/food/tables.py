"""Tables of the closer look at food, for readers.

Most need the plan alone; those of days take a `FoodYear`. Energy in kcal, protein in grams.
"""

import math

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.formulas.food import preserving as jars
from homestead.outlook import studies
from homestead.outlook.independence import day_text
from homestead.screen.notes import listed
from homestead.screen.readable import (
    WATTS_PER_KW,
    beside_breakdowns,
    column,
    date_text,
    days_cell,
    days_number,
    days_words,
    head,
    months_text,
    percent,
    rounded,
)
from homestead.screen.workings import Workings
from homestead.simulate.food import needs_of
from homestead.trades.food import study_food as food
from homestead.trades.food import study_produce as food_produce
from homestead.trades.food import study_year as food_year
from homestead.vocabulary import MONTHS, NUTRIENTS

HEAT_FOR = "Heat counted for"
SOURCE_WORDS = {
    "garden": "Garden",
    "eggs": "Eggs",
    "milk": "Milk",
    "other produce": "Other produce",
    "meat": "Meat",
    "freezer": "Freezer",
    "pantry": "Pantry",
}


@studies.kept
def year_of(outlook):
    """Study of the food of an outlook."""
    return food_year.food_year_of(outlook)


def people(plan):
    """Energy and protein that each person needs in a day."""
    table = food.people(plan)
    rows = {
        "Name": [*table.index, "all"],
        "Age": [*table.age_n, ""],
        "Activity": [*table.activity, ""],
        "Energy (kcal/day)": rounded([*table.energy_kcal_day, table.energy_kcal_day.sum()], 0),
        "Protein (g/day)": rounded([*table.protein_g_day, table.protein_g_day.sum()], 0),
    }
    return pd.DataFrame(rows).set_index("Name")


def _keeps_text(days, basis):
    if basis == "not known" or not math.isfinite(days):
        return "not known"
    years, months = (float(measures.convert_unit(days, "day", unit)) for unit in ("year", "month"))
    if years >= 2:
        return f"{years:.0f} years"
    return f"{months:.0f} months" if months >= 2 else f"{days:.0f} days"


def pantry(hours, units="us"):
    """What is in store: energy, protein, days of need, how long it keeps, what spoils."""
    table, need_kcal = food.pantry(hours), needs_of(hours.plan).kcal
    spoils = table.spoils_most_kcal if len(table) else pd.Series(dtype=float)
    assumed = table.get("protein_is_assumed", [])
    keeps = zip(table.get("keeps_days", []), table.get("keeps_from", []), strict=True)
    energy_kcal = table.energy_kcal.astype(float)
    return pd.DataFrame(
        {
            "Food": table.index,
            "Energy (kcal)": rounded(np.round(energy_kcal, -2), 0),
            "Protein (g)": [
                f"{amount:,.0f}{', assumed' if guess else ''}"
                for amount, guess in zip(table.protein_g, assumed, strict=True)
            ],
            "Fat (g)": rounded(table.fat_g.astype(float), 0),
            "Feeds all (days)": rounded(energy_kcal / need_kcal, 1),
            "Keeps": [_keeps_text(*keep) for keep in keeps],
            "Spoils uneaten, at most (%)": [
                int(round(float(spoil))) for spoil in 100 * spoils / energy_kcal.clip(lower=1e-9)
            ],
        }
    ).set_index("Food")


def stores_alone(hours):
    """Days that pantry and freezer feed everybody with nothing fresh, and what ends them."""
    table = food.stores_alone(hours)
    limit = food.HORIZON_DAYS
    shown = pd.DataFrame(
        {
            "Store": table.index,
            "Energy (kcal)": rounded(np.round(table.energy_kcal, -2), 0),
            "Energy over need (days)": rounded(table.days_at_need, 0),
            "Until food fails (days)": [days_cell(day, limit) for day in table.days],
            "What ends it": table.ends,
        }
    ).set_index("Store")
    return beside_breakdowns(shown, hours.plan, hours.years_n, "food")


def nutrients(year):
    """What people need of each nutrient at the least, and what they eat, from the worst start."""
    table = year.nutrients
    milli = table.index == "vitamin C"
    factor = np.where(milli, 1000.0, 1.0)
    return pd.DataFrame(
        {
            "Nutrient": [
                f"{name.capitalize()} ({'mg' if small else 'g'})"
                for name, small in zip(table.index, milli, strict=True)
            ],
            "Least for all, a day": rounded(table.least_g_day * factor, 0),
            "Eaten a day": rounded(table.eaten_g_day * factor, 0),
            "Missing so far (days of it)": rounded(table.lacking_days, 0),
            "Food fails at (days of it)": rounded(table.limit_days, 0),
        }
    ).set_index("Nutrient")


def blackout(plan):
    """Cold food without power: how long it keeps with shut doors, what is lost after."""
    table = food.cold_stores_in_a_blackout(plan)

    def text(value, places=0):
        return "not in the plan" if pd.isna(value) else f"{value:,.{places}f}"

    return pd.DataFrame(
        {
            "Store": table.index,
            "Keeps, doors shut (h)": rounded(table.hold_h.astype(float), 0),
            "Then lost (kcal)": [text(amount, 0) for amount in table.lost_kcal],
            "Protein of that (g)": [text(amount, 0) for amount in table.lost_protein_g],
            "Days of need of that": [text(day, 1) for day in table.lost_days],
        }
    ).set_index("Store")


def crops(plan, units="us"):
    """Each crop's harvest against the range of the table, and what it feeds."""
    table = food_produce.crops(plan)
    label = [head(name, "mass", units) for name in ("Harvest", "Table, low", "Table, high")]
    columns = ["Crop", *label, "Within the table", "Energy (kcal)", "Protein (g)"]
    if not len(table):
        return pd.DataFrame(columns=columns).set_index("Crop")

    def masses(name):
        return [
            "no row"
            if pd.isna(mass_kg)
            else measures.digits(measures.convert(mass_kg, "mass", units))
            for mass_kg in table[name]
        ]

    return pd.DataFrame(
        {
            "Crop": table.index,
            head("Bed", "area", units): column(table.area_m2, "area", units, 0),
            label[0]: masses("harvest_kg"),
            label[1]: masses("table_low_kg"),
            label[2]: masses("table_high_kg"),
            "Within the table": [
                {True: "yes", False: "no"}.get(is_within, "not known")
                for is_within in table.within_table
            ],
            "Energy (kcal)": rounded(np.round(table.energy_kcal, -2), 0),
            "Protein (g)": rounded(table.protein_g, 0),
            "Feeds all (days)": rounded(table.days_of_need, 1),
            "Eaten in": [months_text(crop.eaten) for crop in plan.crops],
        }
    ).set_index("Crop")


def animals(plan, units="us"):
    """What the animals give, the feed that they eat, and whether it lasts to pasture."""
    table = food_produce.animals(plan)
    if not len(table):
        columns = ["Animals", "Heads", "Gives", "Energy (kcal/day)"]
        return pd.DataFrame(columns=columns).set_index("Animals")

    def mass(values, places=0):
        return column(values.astype(float), "mass", units, places)

    return pd.DataFrame(
        {
            "Animals": table.index,
            "Heads": table.count_n,
            "Gives": [give if isinstance(give, str) else "no daily food" for give in table.gives],
            "Energy (kcal/day)": rounded(table.energy_kcal_day, 0),
            "Protein (g/day)": rounded(table.protein_g_day, 0),
            head("Meat a year", "mass", units): mass(table.meat_kg),
            head("Feed in store", "mass", units): mass(table.feed_kg),
            head("Feed eaten", "mass", units, "day"): mass(table.feed_kg_day, 1),
            "Feed lasts (days)": [
                days_number(day) if math.isfinite(day) else "no stored feed"
                for day in table.feed_days
            ],
            "Longest without pasture (days)": table.housed_days,
            "Lasts until pasture": ["yes" if lasts else "no" for lasts in table.lasts_to_pasture],
        }
    ).set_index("Animals")


def _heat_words(food):
    """How a food is canned, with the acid that it needs; empty for the row that sums all."""
    if not isinstance(food, str):
        return ""
    method = jars.method_of(food)
    acid = ", only with added acid" if jars.wants_acid(food) else ""
    return f"{method}{acid}"


def preserving(plan, units="us", share_frac=None):
    """What putting up a share of each crop takes: jars, loads, hours, water, fuel.

    A crop is counted as one food of the table, and the kind of heat is that food's: a mixed bed
    holds more than it. Without a share in the plan the row says so; ``share_frac="surplus"`` counts
    what is eaten after the picking.
    """
    table = food_produce.preserving(plan, share_frac)
    heads = {
        "mass": head("Produce", "mass", units),
        "water": head("Water", "volume", units),
    }
    columns = ["Crop", "Counted as", HEAT_FOR, heads["mass"], "Jars (quarts)", "Loads"]
    columns += ["Hours at heat"]
    columns += [heads["water"], "Fuel (kWh)", "Share of the stove's fuel"]
    if not len(table):
        return pd.DataFrame(columns=columns).set_index("Crop")
    numbers = table.drop(columns=["food", "method", "fuel"]).astype(float)
    return pd.DataFrame(
        {
            "Crop": table.index,
            "Counted as": [name if isinstance(name, str) else "" for name in table.food],
            HEAT_FOR: [_heat_words(name) for name in table.food],
            heads["mass"]: column(numbers.produce_kg, "mass", units, 0),
            "Jars (quarts)": rounded(numbers.jars_n, 0),
            "Loads": rounded(numbers.loads_n, 0),
            "Hours at heat": rounded(numbers.hours_h, 0),
            heads["water"]: column(numbers.water_m3, "volume", units, 0),
            "Fuel (kWh)": [
                "no stove"
                if math.isnan(fuel_wh)
                else measures.digits(measures.significant(fuel_wh / WATTS_PER_KW))
                for fuel_wh in numbers.fuel_wh
            ],
            "Share of the stove's fuel": [
                "" if math.isnan(frac) else percent(frac) for frac in numbers.fuel_frac
            ],
        }
    ).set_index("Crop")


def by_start(year):
    """Days of food by the month in which isolation begins, and what ends it."""
    table, limit = year.by_start, food.HORIZON_DAYS

    def cells(name):
        return [days_cell(days, limit) for days in table[name]]

    shown = pd.DataFrame(
        {
            "If it starts in": [MONTHS[month - 1] for month in table.index],
            "Food lasts, half reach (days)": cells("p50_days"),
            "Food lasts, fewest (days)": cells("least_days"),
            "First bad week, soonest (days)": cells("bad_least_days"),
            "What ends it": table.ends.to_list(),
        }
    ).set_index("If it starts in")
    return beside_breakdowns(shown, year.plan, year.hours.years_n, "food")


def eaten(year):
    """Energy eaten by source on an average day of each month of isolation, and what is left."""
    table, through = year.eaten, year.through
    days = through.groupby("month", sort=False).size()
    at_end = through.groupby("month", sort=False).last()
    left_kcal = at_end.pantry_kcal + at_end.freezer_kcal
    daily = table.div(days, axis=0)
    used = [name for name in SOURCE_WORDS if daily[f"{name}_kcal"].sum() > 0]
    return pd.DataFrame(
        {
            "Month": [MONTHS[month - 1] for month in table.index],
            **{
                f"{SOURCE_WORDS[name]} (kcal/day)": rounded(daily[f"{name}_kcal"], 0)
                for name in used
            },
            "Missing (kcal/day)": rounded(daily.missing_kcal, 0),
            "In store at its end (days)": rounded(left_kcal / year.need_kcal_day, 0),
        }
    ).set_index("Month")


def in_words(year):
    """How long food lasts, what spoils, frozen food lost, water to cook: one sentence each."""
    plan = year.plan
    told = [lasts_words(year)]
    spoils = food.pantry(year.hours)
    if len(spoils):
        most = spoils.energy_kcal.astype(float) * food.SPOILT_FROM_FRAC
        names = list(spoils.index[spoils.spoils_most_kcal.astype(float) > most])
        if names:
            told.append(f"Some of this will spoil before you can eat it: {', '.join(names)}.")
    if plan.freezer:
        told.append(
            f"If it starts then, a blackout spoils {percent(year.frozen_lost_frac)} of the "
            f"frozen food."
            if year.frozen_lost_frac
            else "If it starts then, you eat the frozen food before a blackout can spoil it."
        )
    each_m3 = food.cooking_water_m3_person_day(plan)
    if each_m3 > 0:
        told.append(
            f"Cooking dry food takes {measures.rough(each_m3, 'volume', plan.units)} of water a "
            "person each day."
        )
    unjarred = [crop.name for crop in plan.crops if crop.food not in jars.foods_with_jars()]
    if unjarred:
        told.append(f"Kept in cellar or bin, not counted in jars: {', '.join(unjarred)}.")
    return listed(told)


ENDS_WORDS = {
    "energy": "too little to eat",
    "infant milk": "no more formula for the infant",
    **{name: f"too little {name}" for name in NUTRIENTS},
}


def lasts_words(year):
    """How many days food lasts at the fewest, from when, and what ends it."""
    limit = food.HORIZON_DAYS
    if year.days_n >= limit:
        return "Food lasts a year or longer whenever it starts, if nothing breaks."
    return (
        f"Food lasts at least {days_words(year.days_n, limit)}. The worst date is "
        f"{date_text(day_text(year.start))}; it ends with {ENDS_WORDS[year.ends]}."
    )


def worked(year, units="us"):
    """How the figures on food are worked out, as a table that folds away."""
    return Workings(year.steps, units)
