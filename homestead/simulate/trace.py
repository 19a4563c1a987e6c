"""Every hour of one run, for figures, tables and balances."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead.simulate import kernel
from homestead.simulate.records import DAYS_N, Flows, State


@dataclass(frozen=True)
class Trace:
    """Every hour of one run.

    Attributes
    ----------
    states, flows : DataFrame of shape (hours, fields)
        Columns as in `State` (end of the hour) and `Flows` (within it).
    fuel_wh : array of shape (hours, stores)
        Heat left in each store at the end of the hour.
    food_kcal : DataFrame of shape (hours, 3)
        pantry, freezer, eaten that day.
    """

    states: pd.DataFrame
    flows: pd.DataFrame
    fuel_wh: np.ndarray
    food_kcal: pd.DataFrame


def trace_of(hours, first_day=0, days_n=None, delivered=False):
    """Run one start and keep every hour.

    Parameters
    ----------
    hours : Hours
    first_day : int
        Day from 0, counted through all weather years.
    days_n : int, optional
        How long; all weather years by default.
    delivered : bool
        Whether fuel, feed and food are made up at each day's end.
    """
    states, flows, fuel_wh, food = kernel.trace(
        first_day,
        days_n or hours.years_n * DAYS_N,
        hours.rows,
        hours.days,
        hours.fixed,
        hours.capacity_by_c,
        hours.start,
        hours.larder,
        hours.fuel_start_wh,
        hours.plan.failure.food_window_n,
        delivered,
    )
    return Trace(
        pd.DataFrame(states, columns=list(State._fields)),
        pd.DataFrame(flows, columns=list(Flows._fields)),
        fuel_wh,
        pd.DataFrame(food, columns=["pantry_kcal", "freezer_kcal", "eaten_kcal"]),
    )
