"""What every notebook needs, loaded once: `kernels` forks kernels off the process that has it.

Importing this module loads the libraries, the rooms, the compiled part and the days of the plan in
use, if they come quickly. Forked kernels share that memory and find the days known.
"""

import ctypes
import gc
import os
import time
from importlib import import_module

from homestead import notebook
from homestead.plan.file import ENVIRONMENT, PlanError, open_plan

LIBRARIES = ("ipykernel.kernelapp", "ipykernel.ipkernel", "IPython.core.completer", "ipywidgets")
MOST_S = 15.0  # of CPU; a large plan is better worked under its bar, in its notebook


class _TakesLong(Exception):
    pass


def _in_time(until_s):
    def goes_on(*_far):
        if time.process_time() > until_s:
            raise _TakesLong

    return goes_on


def _work_plan():
    """Find the days of the plan in use, as the first cells of each notebook ask for them."""
    from homestead.outlook import independence
    from homestead.screen import kept
    from homestead.simulate import trace

    if not all(independence.is_prepared()):
        return  # compiling shows its own bar
    goes_on = _in_time(time.process_time() + MOST_S)
    plan = open_plan(os.environ.get(ENVIRONMENT))
    try:
        outlook = kept.outlook_of(plan, goes_on)
        _ = outlook.cutting_back, outlook.year, outlook.findings
    finally:
        trace.let_go()


def give_back():
    """Give memory that nothing holds any more back to the system, where the C library can."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)


def _load():
    for name in (*LIBRARIES, *notebook.ROOMS.values()):
        import_module(name)
    try:
        _work_plan()
    except (PlanError, OSError, ValueError, _TakesLong):
        pass  # the notebook says what is wrong, or works it
    gc.collect()
    give_back()
    gc.freeze()  # looking for garbage would write to each page, and so copy it


_load()
