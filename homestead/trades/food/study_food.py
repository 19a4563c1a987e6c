"""Food at a closer look: needs of each person, stores, blackouts, and the year by day and month.

Tables for whoever wants to follow a figure; the day-by-day arithmetic stands in `food_days`, what
grows and grazes in `food_produce`. Energy in kcal, protein in grams.
"""

import numpy as np
import pandas as pd

from homestead.findings import cautions as words
from homestead.formulas.food import food as diet
from homestead.simulate import constants
from homestead.simulate.fresh import fresh_of
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.trades.food.study_days import SOURCES, food_days, keeps_days_of, need_of, stores_of

MONTHS_N = range(1, 13)


def people(plan):
    """Energy and protein that each person needs in a day.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    DataFrame
        A row a person: age_n, sex, activity, life_stage, energy_kcal_day, protein_g_day.
    """
    rows = {
        one.name: {
            "age_n": one.age_n,
            "sex": one.sex,
            "activity": one.activity,
            "life_stage": one.life_stage,
            "energy_kcal_day": float(
                diet.energy_need_kcal_day(one.age_n, one.sex, one.activity, one.life_stage)
            ),
            "protein_g_day": float(diet.protein_need_g_day(one.age_n, one.sex, one.life_stage)),
        }
        for one in plan.people
    }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("name")


def pantry(plan, run=None):
    """What is on the shelves, how long it keeps, and what spoils before it is eaten.

    Parameters
    ----------
    plan : Plan
    run : FoodDays, optional
        All starts of this plan; worked here if not given.

    Returns
    -------
    DataFrame
        A row an item: food, mass_kg, energy_kcal, protein_g, protein_is_assumed, share_frac (of the
        pantry's energy), keeps_days, keeps_from ("best-by date", "table", "not known"),
        cooking_water_m3, spoils_most_kcal (of all starts), spoils_starts_frac.
    """
    run = run or food_days(plan)
    stores = stores_of(plan)
    total_kcal = max(float(stores.pantry_kcal.sum()), 1e-9)
    rows = []
    for number, item in enumerate(plan.pantry):
        spoilt = run.spoilt_kcal.iloc[:, number].to_numpy()
        dry = item.food is not None and item.mass_kg is not None
        rows.append(
            {
                "name": item.name,
                "food": item.food,
                "mass_kg": item.mass_kg,
                "energy_kcal": stores.pantry_kcal[number],
                "protein_g": stores.pantry_g[number],
                "protein_is_assumed": bool(stores.is_assumed[number]),
                "share_frac": stores.pantry_kcal[number] / total_kcal,
                "keeps_days": stores.keeps_days[number],
                "keeps_from": keeps_days_of(item)[1],
                "cooking_water_m3": (
                    float(diet.cooking_water_m3(item.food, item.mass_kg)) if dry else np.nan
                ),
                "spoils_most_kcal": float(spoilt.max(initial=0.0)),
                "spoils_starts_frac": float((spoilt > 0.0).mean()),
            }
        )
    columns = list(rows[0]) if rows else ["name", "energy_kcal", "protein_g"]
    return pd.DataFrame(rows, columns=columns).set_index("name")


def cold_stores_in_a_blackout(plan):
    """How long cold food keeps without power, by how full the freezer is, and what is then lost.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    DataFrame
        A row a store and fill: fill_frac, hold_h, lost_kcal, lost_protein_g, lost_days (of the
        household's need). Doors shut. As frozen food is eaten the freezer empties and holds for
        less; the plan counts no less than half full.

    Notes
    -----
    Hours by fill are the plan's for a full freezer, in the proportion of the published points for
    full and half full (USDA FSIS). Perishable food above 40 °F for more than
    `formulas.food.food.discard_after_hours` is to be thrown out, whatever this table says.
    """
    columns = ["store", "fill_frac", "hold_h", "lost_kcal", "lost_protein_g", "lost_days"]
    rows = []
    if plan.freezer:
        stores, need_kcal = stores_of(plan), need_of(plan)[0]
        fill = plan.freezer.fill_frac
        per_published = constants.fixed_of(plan).freezer_hold_h / float(diet.freezer_hold_hours(1))
        for name, frac in (("as the plan says", fill), ("full", 1.0), ("half full", 0.5)):
            held = frac / fill if fill > 0 else 0.0
            kcal = stores.freezer_kcal * held
            hold_h = float(diet.freezer_hold_hours(frac)) * per_published
            rows.append(
                (f"freezer, {name}", frac, hold_h, kcal, stores.freezer_g * held, kcal / need_kcal)
            )
    rows.append(("refrigerator", np.nan, diet.refrigerator_hold_hours(), np.nan, np.nan, np.nan))
    return pd.DataFrame(rows, columns=columns).set_index("store")


def stores_alone(plan):
    """Days that pantry, freezer or both would feed the household, with nothing fresh.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    DataFrame
        Rows pantry, freezer, pantry and freezer; columns energy_kcal, protein_g, days_at_need
        (energy over the daily need), energy_days and protein_days (until the plan's rule of
        failure), runs_short_first.
    """
    stores, need_kcal = stores_of(plan), need_of(plan)[0]
    fresh = SOURCES[: SOURCES.index("freezer")]
    energy = {"pantry": float(stores.pantry_kcal.sum()), "freezer": stores.freezer_kcal}
    protein = {"pantry": float(stores.pantry_g.sum()), "freezer": stores.freezer_g}
    rows = {}
    for name, kept in (
        ("pantry", ("pantry",)),
        ("freezer", ("freezer",)),
        ("pantry and freezer", ("pantry", "freezer")),
    ):
        left_out = tuple(one for one in ("freezer", "pantry") if one not in kept)
        run = food_days(plan, starts=[0], without=(*fresh, *left_out))
        kcal = sum(energy[one] for one in kept)
        rows[name] = {
            "energy_kcal": kcal,
            "protein_g": sum(protein[one] for one in kept),
            "days_at_need": float(diet.days_of_food(kcal, need_kcal)),
            "energy_days": int(run.energy_days[0]),
            "protein_days": int(run.protein_days[0]),
            "runs_short_first": str(run.first_short[0]),
        }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("store")


def by_month_of_start(run):
    """Days by the month in which isolation begins, and what runs short first.

    Parameters
    ----------
    run : FoodDays
        All starts of a year.

    Returns
    -------
    DataFrame
        A row a month: energy_p50_days, energy_least_days, protein_p50_days, protein_least_days,
        energy_first_frac, protein_first_frac (share of its starts), runs_short_first (of most of
        them).
    """
    rows = {}
    month = MONTH_OF_DAY[run.starts % DAYS_N]
    for number in MONTHS_N:
        here = month == number
        if not here.any():
            continue
        energy, protein, first = (
            values[here] for values in (run.energy_days, run.protein_days, run.first_short)
        )
        names, counts = np.unique(first, return_counts=True)
        rows[number] = {
            "energy_p50_days": int(np.percentile(energy, 50, method="lower")),
            "energy_least_days": int(energy.min()),
            "protein_p50_days": int(np.percentile(protein, 50, method="lower")),
            "protein_least_days": int(protein.min()),
            "energy_first_frac": float((first == "energy").mean()),
            "protein_first_frac": float((first == "protein").mean()),
            "runs_short_first": str(names[np.argmax(counts)]),
        }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("month")


def fresh_by_month(plan):
    """What garden and animals bring by month, with water and feed enough, eaten or not.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    DataFrame
        A row a month: ``NAME_kcal`` for garden, eggs, milk, other produce and meat, their
        sum fresh_kcal, need_kcal, fresh_protein_g, need_protein_g.
    """
    fresh, (need_kcal, need_g) = fresh_of(plan), need_of(plan)
    by_day = {f"{name}_kcal": np.zeros(DAYS_N) for name in SOURCES if name not in _STORED}
    by_day["garden_kcal"] = fresh.garden_kcal
    by_day["meat_kcal"] = fresh.meat_kcal
    for number, source in enumerate(fresh.animal_source):
        by_day[f"{source}_kcal"] = by_day[f"{source}_kcal"] + fresh.animal_kcal[:, number]
    frame = pd.DataFrame(by_day)
    frame["fresh_kcal"] = frame.sum(axis=1)
    frame["need_kcal"] = need_kcal
    frame["fresh_protein_g"] = fresh.garden_g + fresh.animal_g.sum(axis=1) + fresh.meat_g
    frame["need_protein_g"] = need_g
    return frame.groupby(MONTH_OF_DAY).sum().rename_axis("month")


_STORED = ("freezer", "pantry")


def eaten_by_month(plan, start=0, outages=None):
    """Energy eaten by source in each month of a year without deliveries.

    Parameters
    ----------
    plan : Plan
    start : int
        Day of the year from 0 on which isolation begins.
    outages : Outages, optional
        Of that one start; without it a normal year, no blackout of the freezer.

    Returns
    -------
    DataFrame
        A row a month of isolation, in order, index the month's number: ``NAME_kcal`` for each of
        `SOURCES`, need_kcal, missing_kcal, protein_g, need_protein_g. A year that does not begin
        on the first of a month ends with the days of its first month.
    """
    run = food_days(plan, starts=[start], outages=outages, daily=True)
    need_kcal, need_g = need_of(plan)
    frame = pd.DataFrame(run.eaten_kcal[:, 0, :], columns=[f"{name}_kcal" for name in SOURCES])
    eaten = frame.sum(axis=1)
    frame["need_kcal"] = need_kcal
    frame["missing_kcal"] = need_kcal - eaten
    frame["protein_g"] = run.eaten_protein_g[:, 0, :].sum(axis=1)
    frame["need_protein_g"] = need_g
    month = MONTH_OF_DAY[(start + np.arange(len(frame))) % DAYS_N]
    return frame.groupby(month, sort=False).sum().rename_axis("month")


def through_the_year(plan, start=0, outages=None):
    """Stock day by day from one start, with the harvest and without it.

    Parameters
    ----------
    plan : Plan
    start : int
        Day of the year from 0.
    outages : Outages, optional
        Of that one start.

    Returns
    -------
    DataFrame
        A row a day since isolation: month, pantry_kcal, freezer_kcal, feed_kg, energy_frac and
        protein_frac (eaten over need), then pantry_without_harvest_kcal,
        freezer_without_harvest_kcal and energy_without_harvest_frac: no garden, all else the same.
    """
    need_kcal, need_g = need_of(plan)
    run = food_days(plan, starts=[start], outages=outages, daily=True)
    bare = food_days(plan, starts=[start], outages=outages, daily=True, without=("garden",))
    days = np.arange(run.horizon_days)
    return pd.DataFrame(
        {
            "month": MONTH_OF_DAY[(start + days) % DAYS_N],
            "pantry_kcal": run.left_kcal[:, 0, 0],
            "freezer_kcal": run.left_kcal[:, 0, 1],
            "feed_kg": run.feed_kg[:, 0, :].sum(axis=1),
            "energy_frac": run.eaten_kcal[:, 0, :].sum(axis=1) / need_kcal,
            "protein_frac": run.eaten_protein_g[:, 0, :].sum(axis=1) / need_g,
            "pantry_without_harvest_kcal": bare.left_kcal[:, 0, 0],
            "freezer_without_harvest_kcal": bare.left_kcal[:, 0, 1],
            "energy_without_harvest_frac": bare.eaten_kcal[:, 0, :].sum(axis=1) / need_kcal,
        },
        index=pd.Index(days, name="day"),
    )


def cooking_water_m3_person_day(plan):
    """Water to soak and cook dry food when the household lives from the pantry. [m3].

    The pantry is eaten as a whole at the household's need; items by energy alone count as ready.
    """
    stores, need_kcal = stores_of(plan), need_of(plan)[0]
    total_kcal = float(stores.pantry_kcal.sum())
    if total_kcal <= 0:
        return 0.0
    water_m3 = sum(
        float(diet.cooking_water_m3(item.food, item.mass_kg))
        for item in plan.pantry
        if item.food is not None and item.mass_kg is not None
    )
    return water_m3 * need_kcal / total_kcal / len(plan.people)


def cautions():
    """Cautions on storing, thawing and preserving food: topic, text, source."""
    return words.cautions("food safety")
