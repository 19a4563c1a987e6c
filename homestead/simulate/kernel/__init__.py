"""The compiled part of the outlook: the hour, the day, and many starts together.

numba is imported in this folder and nowhere else.
"""

import functools
import gc
import signal
import threading

import numpy as np

from homestead.simulate.kernel import hourly, starts
from homestead.simulate.kernel.hour import step
from homestead.simulate.kernel.kept import kept_of
from homestead.simulate.kernel.starts import SAME_FRAC
from homestead.simulate.records import NOTHING, Fixed

__all__ = [
    "SAME_FRAC",
    "flows_by_month",
    "food_by_calendar",
    "kept_of",
    "live_on",
    "run_alone",
    "run_starts",
    "step",
    "trace",
]


STORES = ("tank_store", "heater_store")  # numbers of fuel stores, several to a plan


def as_record(fixed):
    """A plan's constants in one piece of memory, which functions pass on as one address.

    As a tuple they would be copied at each call, and picked from by a chain of comparisons.
    """
    kinds = [
        (name, np.int64 if kind is int or name in STORES else np.float64, np.shape(value))
        for (name, kind), value in zip(Fixed.__annotations__.items(), fixed, strict=True)
    ]
    return np.array([tuple(fixed)], dtype=kinds)[0]


def _compile(compiled, arguments):
    """Compile a function, or load it, for arguments of these types.

    numba makes millions of objects for it and drops few: looking for garbage takes a tenth more.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        compiled.compile(tuple(map(compiled.typeof_pyval, arguments)))
    finally:
        if was_on:
            gc.enable()


def _to_its_end(compiled):
    """Compiled function for which Ctrl-C waits, the second or less that it takes.

    numba calls Python while it takes arguments apart and puts results together, and does not look
    whether an exception came of it: an interrupt there is lost or brings the interpreter down.
    """

    @functools.wraps(compiled)
    def called(*arguments):
        arguments = [
            as_record(argument) if isinstance(argument, Fixed) else argument
            for argument in arguments
        ]
        if not compiled.signatures:  # compiling takes long, and may be interrupted
            _compile(compiled, arguments)
        interrupt = signal.getsignal(signal.SIGINT)
        # Python runs the handlers of signals in the main thread alone.
        if threading.current_thread() is not threading.main_thread() or not callable(interrupt):
            return compiled(*arguments)
        waiting = []
        signal.signal(signal.SIGINT, lambda *what: waiting.append(what))
        try:
            return compiled(*arguments)
        finally:
            signal.signal(signal.SIGINT, interrupt)
            if waiting:
                interrupt(*waiting[0])

    return called


_food_by_calendar = _to_its_end(hourly.food_by_calendar)
_run_starts = _to_its_end(starts.run_starts)
_trace = _to_its_end(hourly.trace)
flows_by_month = _to_its_end(hourly.flows_by_month)
live_on = _to_its_end(starts.live_on)


def run_starts(
    first_day, starts_n, horizon_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh,
    generator_full_wh, same, window_n, stop_bits,
):  # fmt: skip
    """As `starts.run_starts`; `Kept.failed` of the starts."""
    kept = kept_of(starts_n, horizon_n, fixed, larder, window_n)
    _run_starts(
        first_day, horizon_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh,
        generator_full_wh, same, stop_bits, kept,
    )  # fmt: skip
    return kept.failed


def run_alone(
    first_day, horizon_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh, window_n
):
    """One start worked by itself to its end: its row of `Kept.failed`."""
    kept = kept_of(1, horizon_n, fixed, larder, window_n)
    live_on(
        first_day, 0, horizon_n, horizon_n, rows, days, fixed, capacity_by_c, start, larder,
        fuel_start_wh.copy(), kept,
    )  # fmt: skip
    return kept.failed[0]


def trace(
    first_day, days_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh, window_n,
    delivered,
):  # fmt: skip
    """As `hourly.trace`."""
    kept = kept_of(1, days_n, fixed, larder, window_n)
    return _trace(
        first_day, days_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh, kept,
        delivered,
    )  # fmt: skip


def food_by_calendar(first_day, starts_n, horizon_n, days, fixed, larder, window_n):
    """As `hourly.food_by_calendar`: when and why food fails, and what spoiled."""
    ended = np.array([(horizon_n, NOTHING)] * starts_n)
    spoiled_kcal = np.zeros((starts_n, larder.item_kcal.size))
    kept = kept_of(starts_n, horizon_n, fixed, larder, window_n)
    _food_by_calendar(first_day, horizon_n, days, fixed, larder, kept, ended, spoiled_kcal)
    return ended, spoiled_kcal
