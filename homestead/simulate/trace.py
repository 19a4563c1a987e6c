"""Every hour of one run, for figures, tables and balances."""

import os
import threading
import weakref
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead.simulate import kernel
from homestead.simulate.records import DAYS_N, MONTH_OF_DAY, Flows, State

DECEMBER_DAYS = 31
KEPT_S = 20.0  # between two questions to the same years; thirty of them are 120 MB


@dataclass(frozen=True)
class Trace:
    """Every hour of one run."""

    # shape (hours, fields); columns as in `State` (end of the hour) and `Flows` (within it)
    states: pd.DataFrame
    flows: pd.DataFrame
    fuel_wh: np.ndarray  # shape (hours, stores); heat left in each store at the end of the hour
    food_kcal: pd.DataFrame  # shape (hours, 3); pantry, freezer, eaten that day
    # shape (days, columns); food left at the end of each day, as `larder_rows`, and what was eaten,
    # as in `eat`
    stores: np.ndarray
    meals: np.ndarray
    # shape (runs, fields of State); state at the start of each run; all runs are of the same
    # length, one after another
    begins: np.ndarray

    def change(self, name):
        """How much one field of the state grew in each hour, array of shape (hours,)."""
        after = self.states[name].to_numpy().reshape(len(self.begins), -1)
        before = self.begins[:, [State._fields.index(name)]]
        return np.diff(after, axis=1, prepend=before).ravel()

    def first(self, days_n):
        """The same of its first days alone, which no later day changes; of one run."""
        hours_n = 24 * days_n
        return Trace(
            self.states.iloc[:hours_n],
            self.flows.iloc[:hours_n],
            self.fuel_wh[:hours_n],
            self.food_kcal.iloc[:hours_n],
            self.stores[:days_n],
            self.meals[:days_n],
            self.begins,
        )


def trace_of(hours, first_day=0, days_n=None, delivered=False):
    """Run one start and keep every hour.

    first_day : Day from 0, counted through all weather years.
    days_n (int, optional) : How long; all weather years by default.
    delivered (bool) : Whether fuel, feed and food are made up at each day's end.
    """
    days_n = days_n or hours.years_n * DAYS_N
    return _joined(lambda _: _run(hours, first_day, days_n, hours.start, delivered), 1)


def years_with_deliveries(hours):
    """Every hour of every weather year, fuel, feed and food made up at each day's end.

    Each year begins as its own December leaves the homestead, so that a year that ends dark hands
    nothing on to the next. The newest is kept while it is being asked for: the year and all studies
    of an outlook read the same one, and none changes it. A notebook at rest holds no hours.
    """
    kept_hours, trace = _newest
    if kept_hours() is not hours or trace is None:
        trace = _all_years(hours)
    _keep_a_while(hours, trace)
    return trace


def _all_years(hours):
    def year_alone(year):
        return _run(hours, year * DAYS_N, DAYS_N, settled_start(hours, year), True)

    return _joined(year_alone, hours.years_n)


def _nothing():
    return None


def _keep_a_while(hours, trace):
    """Keep the years as long as their hours are in use and somebody asked for them just now."""
    global _newest, _rest
    _newest = (weakref.ref(hours, _let_go), trace)
    _rest.cancel()
    _rest = threading.Timer(KEPT_S, _let_go, [_newest[0]])
    _rest.daemon = True
    _rest.start()


def let_go():
    """Hold no hours, and no thread that waits to: for a process that others are forked off."""
    global _newest
    _rest.cancel()
    if _rest.is_alive():
        _rest.join()
    _newest = (_nothing, None)


def _let_go(reference):
    global _newest
    if _newest[0] is reference:
        _newest = (_nothing, None)


_newest = (_nothing, None)
_rest = threading.Timer(0.0, _nothing)


def settled_start(hours, year):
    """State on the first morning of a weather year, after its own December with deliveries."""
    _sums, morning = kernel.flows_by_month(
        (year + 1) * DAYS_N - DECEMBER_DAYS,
        MONTH_OF_DAY[-DECEMBER_DAYS:],
        hours.rows,
        hours.fixed,
        hours.capacity_by_c,
        hours.start,
        hours.fuel_start_wh,
    )
    return State(*morning.tolist())


def _run(hours, first_day, days_n, start, delivered):
    found = kernel.trace(
        first_day,
        days_n,
        hours.rows,
        hours.days,
        hours.fixed,
        hours.capacity_by_c,
        start,
        hours.larder,
        hours.fuel_start_wh,
        hours.window_n,
        delivered,
    )
    return (*found, np.array([start]))


def _joined(run_of, runs_n):
    """Trace of runs of one length after each other, by all cores; each is put in its place."""
    first = run_of(0)
    whole = [np.empty((runs_n * len(part), *part.shape[1:])) for part in first]

    def put(n, run):
        for all_runs, part in zip(whole, run, strict=True):
            all_runs[n * len(part) : (n + 1) * len(part)] = part

    put(0, first)
    with ThreadPoolExecutor(os.cpu_count() or 1) as threads:
        list(threads.map(lambda n: put(n, run_of(n)), range(1, runs_n)))
    states, flows, fuel_wh, food, stores, meals, begins = whole
    return Trace(
        _frame(states, State._fields),
        _frame(flows, Flows._fields),
        fuel_wh,
        _frame(food, ("pantry_kcal", "freezer_kcal", "eaten_kcal")),
        stores,
        meals,
        begins,
    )


def _frame(values, names):
    # A hundred megabytes of hours are not copied once more.
    return pd.DataFrame(values, columns=list(names), copy=False)
