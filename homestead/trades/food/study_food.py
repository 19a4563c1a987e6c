"""Food at a closer look: needs of each person, stores, blackouts, and the year by day and month.

Tables for whoever wants to follow a figure, all read from the simulation; what grows and grazes
stands in `study_produce`. Energy in kcal, nutrients in grams.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from homestead.formulas.food import food as diet
from homestead.formulas.food import food_composition, food_storage
from homestead.simulate import constants, kernel
from homestead.simulate.food import (
    items_of,
    needs_of,
    pantry_kcal,
    source_of,
)
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.simulate.records import ITEMS, LACKS, NUTRIENTS_N
from homestead.simulate.trace import trace_of
from homestead.vocabulary import FOOD_ENDS, NUTRIENTS

HORIZON_DAYS = 365
SOURCES = ("garden", "eggs", "milk", "other produce", "meat", "freezer", "pantry")
SPOILT_FROM_FRAC = 0.01  # of an item; less is the rest in a bag
NUTRIENT_COLUMNS = tuple(f"{name.replace(' ', '_')}_g" for name in NUTRIENTS)
MONTHS_N = range(1, 13)


def people(plan):
    """Energy and protein that each person needs in a day.

    Gives DataFrame: A row a person: age_n, sex, activity, life_stage, energy_kcal_day,
        protein_g_day.
    """
    rows = {
        person.name: {
            "age_n": person.age_n,
            "sex": person.sex,
            "activity": person.activity,
            "life_stage": person.life_stage,
            "energy_kcal_day": float(
                diet.energy_need_kcal_day(
                    person.age_n, person.sex, person.activity, person.life_stage
                )
            ),
            "protein_g_day": float(
                diet.protein_need_g_day(person.age_n, person.sex, person.life_stage)
            ),
        }
        for person in plan.people
    }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("name")


class ByCalendar(NamedTuple):
    """Food alone from many starts, the freezer never dark and the garden never dry."""

    days: np.ndarray  # shape (starts,): until food fails for good
    ends: np.ndarray  # what ended it, by number in `FOOD_ENDS`, -1 for nothing
    spoiled_kcal: np.ndarray  # shape (starts, items), in the order of `items_of`


def by_calendar(hours, larder=None, days=None, starts_n=DAYS_N):
    """`ByCalendar` of the first weather year, by the simulation's own food day.

    larder (Larder, optional)
    days (Days, optional) : Instead of the plan's own.
    """
    ended, spoiled_kcal = kernel.food_by_calendar(
        0, starts_n, HORIZON_DAYS, days or hours.days, hours.fixed, larder or hours.larder,
        hours.window_n,
    )  # fmt: skip
    return ByCalendar(ended[:, 0], ended[:, 1], spoiled_kcal)


def pantry(hours):
    """What is in store by item, how long it keeps, and what spoils before it is eaten.

    Gives DataFrame: A row an item: food, energy_kcal, ``NAME_g`` of each nutrient,
        protein_is_assumed, share_frac (of all stores), keeps_days, keeps_from ("best-by date",
        "table", "not known"), spoils_most_kcal (of all starts).
    """
    items, spoiled_kcal = items_of(hours.plan), by_calendar(hours).spoiled_kcal
    total_kcal = max(sum(item.kcal for item in items), 1e-9)
    rows = [
        {
            "name": item.name,
            "food": item.food,
            "energy_kcal": item.kcal,
            **dict(zip(NUTRIENT_COLUMNS, item.kcal * item.per_kcal, strict=True)),
            "protein_is_assumed": item.is_assumed,
            "share_frac": item.kcal / total_kcal,
            "keeps_days": item.keeps_days,
            "keeps_from": item.keeps_from,
            "spoils_most_kcal": float(spoiled_kcal[:, number].max()),
        }
        for number, item in enumerate(items)
    ]
    columns = list(rows[0]) if rows else ["name", "energy_kcal", *NUTRIENT_COLUMNS]
    return pd.DataFrame(rows, columns=columns).set_index("name")


def cold_stores_in_a_blackout(plan):
    """How long cold food keeps without power, by how full the freezer is, and what is then lost.

    Gives DataFrame: A row a store and fill: fill_frac, hold_h, lost_kcal, lost_protein_g, lost_days
        (of the household's need). Doors shut. As frozen food is eaten the freezer empties and holds
        for less; the plan counts no less than half full.

    Hours by fill are the plan's for a full freezer, in the proportion of the published points for
    full and half full (USDA FSIS). Perishable food above 40 °F for more than
    `food_storage.discard_after_hours` is to be thrown out, whatever this table says.
    """
    columns = ["store", "fill_frac", "hold_h", "lost_kcal", "lost_protein_g", "lost_days"]
    rows = []
    if plan.freezer:
        need_kcal = needs_of(plan).kcal
        frozen = [item for item in items_of(plan) if item.is_frozen]
        frozen_kcal = sum(item.kcal for item in frozen)
        frozen_g = sum(item.kcal * item.per_kcal[0] for item in frozen)
        fill = plan.freezer.fill_frac
        per_published = constants.fixed_of(plan).freezer_hold_h / float(
            food_storage.freezer_hold_hours(1)
        )
        for name, frac in (("as the plan says", fill), ("full", 1.0), ("half full", 0.5)):
            held = frac / fill if fill > 0 else 0.0
            kcal = frozen_kcal * held
            hold_h = float(food_storage.freezer_hold_hours(frac)) * per_published
            rows.append((f"freezer, {name}", frac, hold_h, kcal, frozen_g * held, kcal / need_kcal))
    rows.append(
        ("refrigerator", np.nan, food_storage.refrigerator_hold_hours(), np.nan, np.nan, np.nan)
    )
    return pd.DataFrame(rows, columns=columns).set_index("store")


def stores_alone(hours):
    """Days that pantry, freezer or both would feed the household, with nothing fresh.

    Gives DataFrame: Rows pantry, freezer, pantry and freezer; columns energy_kcal, days_at_need
        (energy over the daily need), days (until food fails by the plan's rule), ends (what ends
        it).
    """
    larder = hours.larder
    nothing = hours.days._replace(
        garden=np.zeros_like(hours.days.garden), beasts=np.zeros_like(hours.days.beasts)
    )
    is_frozen = np.arange(larder.item_kcal.size) < larder.frozen_n
    rows = {}
    for name, kept in (
        ("pantry", ~is_frozen),
        ("freezer", is_frozen),
        ("pantry and freezer", is_frozen | ~is_frozen),
    ):
        kcal = np.where(kept, larder.item_kcal, 0.0)
        run = by_calendar(hours, larder._replace(item_kcal=kcal), nothing, 1)
        rows[name] = {
            "energy_kcal": float(kcal.sum()),
            "days_at_need": float(food_storage.days_of_food(kcal.sum(), needs_of(hours.plan).kcal)),
            "days": int(run.days[0]),
            "ends": ends_text(run.ends[0]),
        }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("store")


def ends_text(number):
    """What ends food, by its number; nothing for -1."""
    return FOOD_ENDS[number] if number >= 0 else "nothing"


def by_month_of_start(outlook):
    """Days of food by the month in which isolation begins, over all weather years.

    Gives DataFrame: A row a month: p50_days, least_days, bad_least_days (first bad week), ends (of
        most starts).
    """
    rows = {}
    days, bad, ends = outlook.days_of("food"), outlook.first_bad_of("food"), outlook.food_ends
    for number in MONTHS_N:
        here = month_starts(number)
        kinds, counts = np.unique(ends[:, here], return_counts=True)
        rows[number] = {
            "p50_days": int(np.percentile(days[:, here], 50, method="lower")),
            "least_days": int(days[:, here].min()),
            "bad_least_days": int(bad[:, here].min()),
            "ends": ends_text(kinds[np.argmax(counts)]),
        }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("month")


def month_starts(month):
    """Days of the year (from 0) of a month, as a mask."""
    return month == MONTH_OF_DAY


def eaten_by_day(hours, trace):
    """Energy eaten by source on each day of a trace: columns ``NAME_kcal`` of `SOURCES`."""
    larder, animals, meals = hours.larder, hours.plan.animals, trace.meals
    items_n, beasts_n = larder.item_kcal.size, len(animals)
    by_day = {f"{name}_kcal": np.zeros(len(meals)) for name in SOURCES}
    for number, animal in enumerate(animals):
        by_day[f"{source_of(animal)}_kcal"] += meals[:, items_n + number]
    by_day["meat_kcal"] = meals[:, items_n + beasts_n : items_n + 3 * beasts_n].sum(axis=1)
    by_day["garden_kcal"] = meals[:, items_n + 3 * beasts_n]
    by_day["freezer_kcal"] = meals[:, : larder.frozen_n].sum(axis=1)
    by_day["pantry_kcal"] = meals[:, larder.frozen_n : items_n].sum(axis=1)
    return pd.DataFrame(by_day)


def eaten_by_month(hours, trace, start):
    """Energy eaten by source in each month of a year without deliveries.

    trace (Trace) : A year from that start.
    start : Day of the year from 0.
    Gives DataFrame: A row a month of isolation, in order, index the month's number: ``NAME_kcal``
        for each of `SOURCES`, need_kcal, missing_kcal. A year that does not begin on the first of a
        month ends with the days of its first month.
    """
    frame = eaten_by_day(hours, trace)
    eaten = frame.sum(axis=1)
    frame["need_kcal"] = hours.fixed.need_kcal
    frame["missing_kcal"] = hours.fixed.need_kcal - eaten
    month = MONTH_OF_DAY[(start + np.arange(len(frame))) % DAYS_N]
    return frame.groupby(month, sort=False).sum().rename_axis("month")


def through_the_year(hours, first_day, trace):
    """Stock day by day from one start, with the harvest and without it.

    first_day : Counted through all weather years.
    trace (Trace) : A year from that day.
    Gives DataFrame: A row a day since isolation: month, pantry_kcal, freezer_kcal, then
        pantry_without_harvest_kcal and freezer_without_harvest_kcal: no garden, all else the same.
    """
    bare_days = hours.days._replace(garden=np.zeros_like(hours.days.garden))
    bare = trace_of(replace(hours, days=bare_days), first_day, len(trace.meals))
    days = np.arange(len(trace.meals))
    left, without = _left_kcal(hours, trace), _left_kcal(hours, bare)
    return pd.DataFrame(
        {
            "month": MONTH_OF_DAY[(first_day + days) % DAYS_N],
            "pantry_kcal": left[0],
            "freezer_kcal": left[1],
            "pantry_without_harvest_kcal": without[0],
            "freezer_without_harvest_kcal": without[1],
        },
        index=pd.Index(days, name="day"),
    )


def _left_kcal(hours, trace):
    """On shelves and in the freezer at the end of each day."""
    larder = hours.larder
    end = ITEMS + larder.item_kcal.size
    beasts_n = larder.feed_kg.size
    put_up = trace.stores[:, end + beasts_n : end + 2 * beasts_n].sum(axis=1)
    frozen = trace.stores[:, ITEMS : ITEMS + larder.frozen_n].sum(axis=1)
    return trace.stores[:, ITEMS + larder.frozen_n : end].sum(axis=1) + put_up, frozen


def nutrients(hours, trace, days_n):
    """Each nutrient over the first days of a trace, against the least that people need.

    Gives DataFrame: A row a nutrient: least_g_day (all people), eaten_g_day (average), lacking_days
        (what is missing in all, in days of the least), limit_days.
    """
    days_n = max(days_n, 1)
    least_g, limit_g = hours.larder.limits_g
    least_g = np.maximum(least_g, 1e-9)
    return pd.DataFrame(
        {
            "least_g_day": least_g,
            "eaten_g_day": trace.meals[:days_n, -NUTRIENTS_N:].mean(axis=0),
            "lacking_days": trace.stores[days_n - 1, LACKS : LACKS + NUTRIENTS_N] / least_g,
            "limit_days": limit_g / least_g,
        },
        index=pd.Index(NUTRIENTS, name="nutrient"),
    )


def cooking_water_m3_person_day(plan):
    """Water to soak and cook dry food when the household lives from the pantry. [m3].

    The pantry is eaten as a whole at the household's need; items by energy alone count as ready.
    """
    need_kcal, total_kcal = needs_of(plan).kcal, pantry_kcal(plan)
    if total_kcal <= 0:
        return 0.0
    water_m3 = sum(
        float(food_composition.cooking_water_m3(item.food, item.mass_kg))
        for item in plan.pantry
        if item.food is not None and item.mass_kg is not None
    )
    return water_m3 * need_kcal / total_kcal / len(plan.people)
