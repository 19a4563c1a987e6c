"""The compiled part of the outlook: the hour, the day, and many starts together.

numba is imported here and nowhere else. Its cache looks only at the file of a function: after a
change in hour.py, touch starts.py (the tests do so by themselves).
"""

import functools
import signal
import threading

import numpy as np

from homestead.simulate.kernel import starts
from homestead.simulate.kernel.hour import step
from homestead.simulate.kernel.starts import SAME_FRAC
from homestead.simulate.records import Fixed

__all__ = [
    "SAME_FRAC",
    "flows_by_month",
    "food_by_calendar",
    "live_on",
    "run_alone",
    "run_starts",
    "settled",
    "step",
    "stock",
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


def _to_its_end(compiled):
    """Compiled function for which Ctrl-C waits, the second or less that it takes.

    numba calls Python while it takes arguments apart and puts results together, and does not look
    whether an exception came of it: an interrupt there is lost or brings the interpreter down.
    """

    @functools.wraps(compiled)
    def called(*arguments):
        arguments = [as_record(one) if isinstance(one, Fixed) else one for one in arguments]
        interrupt = signal.getsignal(signal.SIGINT)
        # Python runs the handlers of signals in the main thread alone.
        if threading.current_thread() is not threading.main_thread() or not callable(interrupt):
            return compiled(*arguments)
        if not compiled.signatures:  # compiling takes long, and may be interrupted
            compiled.compile(tuple(map(compiled.typeof_pyval, arguments)))
        waiting = []
        signal.signal(signal.SIGINT, lambda *what: waiting.append(what))
        try:
            return compiled(*arguments)
        finally:
            signal.signal(signal.SIGINT, interrupt)
            if waiting:
                interrupt(*waiting[0])

    return called


food_by_calendar = _to_its_end(starts.food_by_calendar)
live_on = _to_its_end(starts.live_on)
run_alone = _to_its_end(starts.run_alone)
stock = _to_its_end(starts.stock)
run_starts = _to_its_end(starts.run_starts)
trace = _to_its_end(starts.trace)
flows_by_month = _to_its_end(starts.flows_by_month)
settled = _to_its_end(starts.settled)
