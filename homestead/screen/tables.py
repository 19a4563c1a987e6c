"""Tables of an outlook for readers: pandas DataFrames with units in their headers.

Each function returns one table; units are an argument (``"us"`` or ``"metric"``), numbers are
rounded to what they can carry. Tables of the plan alone come from `homestead.screen.plan_tables`
and are handed on here, so that a notebook needs one name.
"""

from itertools import groupby

import numpy as np

from homestead import units as measures
from homestead.screen.plan_tables import (
    assumptions,
    failure_rules,
    pantry,
    people,
)
from homestead.screen.readable import (
    WATTS_PER_KW,
    beside_breakdowns,
    column,
    date_text,
    days_cell,
    days_number,
    fuel_text,
    head,
    hour_text,
    percent,
    rounded,
    table_of,
)
from homestead.simulate import constants, food
from homestead.simulate.fuel_stores import fuel_wh_per_unit
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.simulate.months import DAYS_OF_MONTH
from homestead.simulate.records import BEAST_GIVES, BEAST_MEAT
from homestead.simulate.trace import years_with_deliveries
from homestead.vocabulary import MONTHS, NEEDS

__all__ = [
    "assumptions",
    "by_month",
    "days_of_independence",
    "usual_and_cutting_back",
    "energy_by_month",
    "failure_rules",
    "first_to_fail",
    "food_by_month",
    "fuel_stores",
    "heat_by_month",
    "pantry",
    "people",
    "story",
    "sunless_days",
    "water_stores",
]

NINE_OF_TEN = "Plan on (days)"
HALF = "Half the time (days)"
FEWEST = "Worst case (days)"
FIRST_BAD = "First bad night or day (days)"
WINTER = (12, 1, 2)


def days_of_independence(outlook, units="us"):
    """Days of independence of each need and of the homestead.

    units ({"us", "metric"}) : Accepted like everywhere; days are days in both.
    Gives DataFrame: Rows power, water, warmth, food, homestead.
    """
    measures.shown_unit("length", units)  # a wrong name is told here too
    rows = {**outlook.needs, "homestead": outlook.homestead}
    limit = outlook.horizon_days
    table = table_of(
        {
            "Need": name,
            NINE_OF_TEN: days_cell(spread.p10, limit),
            HALF: days_cell(spread.p50, limit),
            FEWEST: days_cell(spread.least, limit),
            "If it starts on": date_text(spread.worst_start) if spread.least < limit else "none",
            "Lasts a year": percent(spread.reaches_horizon_frac),
        }
        for name, spread in rows.items()
    )
    return beside_breakdowns(table, outlook.plan, outlook.hours.years_n)


def usual_and_cutting_back(outlook):
    """First bad night or day, days as usual and days cutting back, of each need; 9 starts of 10."""
    limit, spare = outlook.horizon_days, outlook.cutting_back
    rows = {**outlook.needs, "homestead": outlook.homestead}
    bad = {**outlook.first_bad, "homestead": outlook.first_bad_together}
    sparing = {**spare.needs, "homestead": spare.homestead}
    table = table_of(
        {
            "Need": name,
            FIRST_BAD: days_cell(bad[name].p10, limit),
            "Lasts as usual (days)": days_cell(usual.p10, limit),
            "Lasts cutting back (days)": days_cell(sparing[name].p10, limit),
        }
        for name, usual in rows.items()
    )
    return beside_breakdowns(table, outlook.plan, outlook.hours.years_n)


def by_month(outlook):
    """Days of the homestead by the month in which isolation begins, and what fails first."""
    limit = outlook.horizon_days
    table = table_of(
        {
            "If it starts in": list(MONTHS),
            NINE_OF_TEN: [days_cell(spread.p10, limit) for spread in outlook.by_month],
            HALF: [days_cell(spread.p50, limit) for spread in outlook.by_month],
            FEWEST: [days_cell(spread.least, limit) for spread in outlook.by_month],
            "Usually goes first": first_need_by_month(outlook),
            "Goes first in the worst tenth": first_need_by_month(outlook, shortest=True),
        }
    )
    return beside_breakdowns(table, outlook.plan, outlook.hours.years_n)


def first_need_by_month(outlook, shortest=False):
    """Need that most starts of each month lose first; "none" where most reach the horizon.

    With `shortest`, of the tenth of the month's starts that lasts least.
    """
    counted = outlook.plan.failure.counts
    days = np.stack([outlook.days_of(need) for need in counted])
    ended = outlook.together < outlook.horizon_days
    found = []
    for month in range(1, 13):
        chosen = month == MONTH_OF_DAY
        first = (days == outlook.together) & ended
        together = outlook.together[:, chosen]
        looked = together <= outlook.by_month[month - 1].p10 if shortest else together >= 0
        times = (first[:, :, chosen] & looked).sum(axis=(1, 2))
        lasting = ((~ended)[:, chosen] & looked).sum()
        found.append("none" if lasting >= times.max() else counted[int(np.argmax(times))])
    return found


def first_to_fail(outlook):
    """Share of all starts in which each need fails first."""
    shares = outlook.first_to_fail
    names = [*NEEDS, "none"]
    labels = [*NEEDS, "none within a year"]
    return table_of({"Fails first": labels, "How often": [percent(shares[name]) for name in names]})


def sunless_days(outlook):
    """Days that the full battery alone carries, without any sun or generator."""
    days = outlook.year.sunless_days
    rows = {
        "nominal": "All the label says, divided by an average day's use.",
        "usable": "What's left after age, reserve and losses, divided by an average day's use.",
        "essential_only": "The same with essential loads, pump and blower alone.",
    }
    return table_of(
        {
            "Capacity": [name.replace("_", " ") for name in rows],
            "Sunless days": [round(float(days[name]), 1) for name in rows],
            "What it means": list(rows.values()),
        }
    )


def _daily(outlook, *names):
    """Mean per day of each month of the sum of `Flows` columns, array of shape (12,)."""
    monthly = outlook.year.monthly
    return sum(monthly[name].to_numpy() for name in names) / DAYS_OF_MONTH


def _by_month(columns):
    return table_of({"Month": list(MONTHS), **columns})


# What a source of power is called in a table.
OFFERED = {"hydro": "Water power", "wind": "Wind"}


def energy_by_month(outlook):
    """Electricity on an average day of each month, in a year with deliveries."""
    sources = tuple(outlook.hours.sources)
    offered = {
        "Sun available (kWh/day)": sum(
            (-_daily(outlook, f"{name}_w") for name in sources), _daily(outlook, "pv_w")
        )
    }
    for name in sources:
        offered[f"{OFFERED[name]} available (kWh/day)"] = _daily(outlook, f"{name}_w")
    wanted = {
        "Not used (kWh/day)" if sources else "Sun not used (kWh/day)": ("curtailed_w",),
        "Generator (kWh/day)": ("generator_w",),
        "Used in the house (kWh/day)": ("used_w",),
        "Inverter idle and losses (kWh/day)": ("idle_w", "conversion_loss_w"),
        "Essential short (kWh/day)": ("essential_short_w",),
        "Useful short (kWh/day)": ("useful_short_w",),
        "Comfort short (kWh/day)": ("comfort_short_w",),
    }
    daily = offered | {label: _daily(outlook, *names) for label, names in wanted.items()}
    return _by_month({label: rounded(watts / WATTS_PER_KW, 1) for label, watts in daily.items()})


def water_stores(plan, outlook, units="us"):
    """Stored water, and the days it lasts with no well: with power and without."""
    fixed = constants.fixed_of(plan)
    least_m3 = float(np.mean(outlook.hours.days.water_least_m3))
    usual_m3 = float(outlook.year.monthly["delivered_m3"].sum()) / DAYS_N
    by_booster = plan.cistern is not None and plan.cistern.delivery == "booster pump"
    by_hand = plan.by_hand.source if plan.by_hand else None
    stores = [("pressure tank, usable", fixed.tank_m3, True)] if plan.pressure_tank else []
    if plan.cistern:
        cistern_m3 = fixed.cistern_m3 * plan.cistern.start_frac
        stores.append(("cistern", cistern_m3, not by_booster or by_hand == "cistern"))
    if plan.well:
        stores.append(("well, above the pump", fixed.casing_m3, by_hand == "well"))
    stores.append(("all, with power", sum(store[1] for store in stores), False))
    reached_m3 = sum(store[1] for store in stores if store[2])
    stores.append(("all, without power", reached_m3, True))
    volumes = [store[1] for store in stores]
    return table_of(
        {
            "Store": [store[0] for store in stores],
            head("Holds", "volume", units): column(volumes, "volume", units, 0),
            "Days at usual use": [days_number(volume / max(usual_m3, 1e-9)) for volume in volumes],
            "Days at the least": [days_number(volume / max(least_m3, 1e-9)) for volume in volumes],
            "Reached without power": ["yes" if store[2] else "no" for store in stores],
        }
    )


def heat_by_month(outlook, units="us"):
    """Warmth on an average day of each month, in a year with deliveries."""
    air_c = outlook.hours.column("air_c").reshape(-1, DAYS_N, 24).mean(axis=(0, 2))
    outside_c = np.bincount(MONTH_OF_DAY, air_c, minlength=13)[1:] / DAYS_OF_MONTH
    inside_c = outlook.year.hourly_means["inside_c"].groupby(level=0).mean().to_numpy()
    kwh = {
        "Heaters give (kWh/day)": ("heat_w",),
        "Sun, people, appliances (kWh/day)": ("gain_w",),
        "Lost through shell and leaks (kWh/day)": ("lost_w",),
        "Cooling removes (kWh/day)": ("cooled_w",),
        "Hot water (kWh/day)": ("hot_water_w",),
    }
    return _by_month(
        {
            head("Outside", "temperature", units): column(outside_c, "temperature", units, 0),
            head("Inside", "temperature", units): column(inside_c, "temperature", units, 0),
            **{
                label: rounded(_daily(outlook, *names) / WATTS_PER_KW, 1)
                for label, names in kwh.items()
            },
        }
    )


def fuel_daily_wh(outlook):
    """Heat drawn from each store on an average day by month, array of shape (12, stores). [Wh]."""
    hours = outlook.hours
    if not hours.plan.fuels:
        return np.zeros((12, 0))
    # With deliveries each day begins with full stores, so the day's use is what is missing.
    at_day_end = years_with_deliveries(hours).fuel_wh[23::24]
    used = (hours.fuel_start_wh - at_day_end).reshape(hours.years_n, DAYS_N, -1).mean(axis=0)
    return np.stack([used[month == MONTH_OF_DAY].mean(axis=0) for month in range(1, 13)])


def fuel_stores(outlook, units="us"):
    """Fuel in store, what a year with deliveries uses, and how long the store would last."""
    plan = outlook.plan
    daily_wh = fuel_daily_wh(outlook)
    winter_wh = daily_wh[[month - 1 for month in WINTER]].mean(axis=0)
    start_wh = outlook.hours.fuel_start_wh
    rows = []
    for number, fuel in enumerate(plan.fuels):
        mean_wh = outlook.year.fuel_used[fuel.name] * fuel_wh_per_unit(fuel) / DAYS_N
        rows.append(
            {
                "Store": fuel.name,
                "Fuel": fuel.fuel,
                "In store": fuel_text(fuel.fuel, fuel.amount, units),
                "Cannot be used": percent(fuel.reserve_frac),
                "Used in a year": fuel_text(fuel.fuel, outlook.year.fuel_used[fuel.name], units),
                "Lasts at winter's pace (days)": _lasts(start_wh[number], winter_wh[number]),
                "Lasts at the whole year's pace (days)": _lasts(start_wh[number], mean_wh),
            }
        )
    return table_of(rows, ["Store", "Fuel", "In store"])


def _lasts(stored_wh, daily_wh):
    if daily_wh <= 1.0:
        return "hardly used"
    # Two digits: how much a winter takes is a guess.
    return days_number(measures.significant(stored_wh / daily_wh))


def food_by_month(outlook):
    """Food that the land gives on an average day of each month, beside the household's need."""
    days, need = outlook.hours.days, food.needs_of(outlook.plan).kcal
    garden = days.garden[:, 0].reshape(-1, DAYS_N).mean(axis=0)
    beasts = days.beasts[:DAYS_N, :, [BEAST_GIVES, BEAST_MEAT]].sum(axis=(1, 2))
    monthly = [
        np.bincount(MONTH_OF_DAY, kcal, minlength=13)[1:] / DAYS_OF_MONTH
        for kcal in (garden, beasts)
    ]
    return _by_month(
        {
            "Garden and orchard (kcal/day)": rounded(monthly[0], 0),
            "Animals (kcal/day)": rounded(monthly[1], 0),
            "Household needs (kcal/day)": rounded(np.full(12, need), 0),
            "Share from the land (%)": rounded(sum(monthly) / need * 100, 0),
        }
    )


def story(outlook):
    """What happens, in order, after the worst of all starts; one row for what comes together."""
    from homestead.outlook.story import story_of

    together = groupby(story_of(outlook), lambda event: (event.day, hour_text(event)))
    rows = [
        {"Day": day + 1, "When": when, "What happens": " ".join(one.text for one in events)}
        for (day, when), events in together
    ]
    return table_of(rows, ["Day", "When", "What happens"])
