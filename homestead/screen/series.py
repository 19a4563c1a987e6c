"""Series behind the figures: the worst start, the coldest week, what each store holds.

Plain arrays and tables, no drawing. Owns how an hourly trace is thinned to what a figure shows.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead.outlook.independence import day_text
from homestead.screen.readable import date_text, rounded
from homestead.simulate.inputs import DAYS_N
from homestead.simulate.trace import trace_of
from homestead.vocabulary import NEEDS

AFTER_LAST_FAILURE_FRAC = 0.12  # how far the worst start is drawn past the first failure
LEAST_DAYS = 14
MOST_POINTS = 40
TABLE_ROWS = 12
RUN_UP_DAYS = 7  # the house has forgotten its first state by then


@dataclass(frozen=True)
class Falling:
    """Stores from the first day of isolation on."""

    begins: str  # first day, such as ``"Jan 13"``
    # shape (points, stores); least that is left up to the day of the index since the one before, of
    # what was usable at the start. [%]
    percent: pd.DataFrame
    needs: dict  # store name to the need that it covers
    failures: dict  # need to the day (from 0) on which it fails, those within the days shown


def need_of_fuel(plan, fuel):
    """Need that a fuel store mainly covers: power if only the generator draws on it."""
    burners = [*plan.heaters, plan.hot_water, plan.cooking]
    warms = any(burner is not None and burner.store == fuel.name for burner in burners)
    drives = plan.generator is not None and plan.generator.store == fuel.name
    return "power" if drives and not warms else "warmth"


def worst_start_stores(outlook):
    """Stores in the worst of all starts, until somewhat after the homestead's first failure."""
    year, start = outlook.worst
    together = int(outlook.together[year, start])
    days_n = int(
        np.clip(together * (1 + AFTER_LAST_FAILURE_FRAC), LEAST_DAYS, outlook.horizon_days)
    )
    hours, fixed, plan = outlook.hours, outlook.hours.fixed, outlook.plan
    trace = trace_of(hours, year * DAYS_N + start, days_n)
    percent, needs = {}, {}

    def add(name, values, full, need):
        if full > 0:
            percent[name] = np.clip(values / full * 100.0, 0.0, 100.0)
            needs[name] = need

    reserve_wh = fixed.battery_wh * (1.0 - fixed.discharge_depth_frac)
    lowest_wh = trace.states["battery_wh"].to_numpy().reshape(-1, 24).min(axis=1)
    usable_wh = fixed.battery_wh * fixed.discharge_depth_frac
    add("battery, lowest", lowest_wh - reserve_wh, usable_wh, "power")
    at_end = trace.states.iloc[23::24]
    add("cistern", at_end["cistern_m3"].to_numpy(), hours.start.cistern_m3, "water")
    for number, fuel in enumerate(plan.fuels):
        left_wh = trace.fuel_wh[23::24, number]
        add(fuel.name, left_wh, hours.fuel_start_wh[number], need_of_fuel(plan, fuel))
    left = trace.food_kcal.iloc[23::24]
    larder = hours.larder
    add("pantry", left["pantry_kcal"].to_numpy(), larder.pantry_kcal, "food")
    add("freezer", left["freezer_kcal"].to_numpy(), larder.freezer_kcal, "food")
    # A long line of daily lows is a thicket: the lowest of a few days each is shown instead.
    block = -(-days_n // MOST_POINTS)
    shown = pd.DataFrame(percent, index=pd.RangeIndex(1, days_n + 1, name="Day"))
    lows = shown.groupby((shown.index - 1) // block).min()
    lows.index = pd.Index(np.minimum((lows.index + 1) * block, days_n), name="Day")
    failures = {need: int(outlook.days_of(need)[year, start]) for need in NEEDS}
    return Falling(
        date_text(day_text(start)),
        lows,
        needs,
        {need: day for need, day in failures.items() if day < min(days_n, outlook.horizon_days)},
    )


def falling_table(falling):
    """Some of the days of `Falling`, evenly spread, as a table for readers."""
    points = len(falling.percent)
    shown = np.unique(np.round(np.linspace(0, points - 1, min(TABLE_ROWS, points))).astype(int))
    table = falling.percent.iloc[shown]
    return pd.DataFrame(
        {f"{name} (%)": rounded(table[name], 0) for name in table}, index=table.index
    )


@dataclass(frozen=True)
class Week:
    """Seven days hour by hour, in a year with deliveries."""

    begins: str  # first day, such as ``"Jan 13"``
    hourly: pd.DataFrame  # shape (168, 3); outside_c, inside_c, heat_w


def coldest_week(outlook):
    """The seven days in a row with the lowest mean outdoor temperature, of all weather years."""
    hours = outlook.hours
    air_c = hours.column("air_c")
    daily_c = air_c.reshape(-1, 24).mean(axis=1)
    first = int(np.argmin(np.convolve(daily_c, np.ones(7) / 7, mode="valid")))
    before = min(first, RUN_UP_DAYS)
    trace = trace_of(hours, first - before, before + 7, delivered=True)
    within = slice(before * 24, (before + 7) * 24)
    return Week(
        date_text(day_text(first % DAYS_N)),
        pd.DataFrame(
            {
                "outside_c": air_c[first * 24 : (first + 7) * 24],
                "inside_c": trace.states["inside_c"].to_numpy()[within],
                "heat_w": trace.flows["heat_w"].to_numpy()[within],
            }
        ),
    )
