"""Outlooks of the last few plans, so that everything shown of one plan rests on one run.

An undo, a second table or another notebook cell then needs no new run.
"""

import threading
from collections import OrderedDict
from pathlib import Path

from homestead.outlook.independence import remembered
from homestead.questions.breakdowns import broken

KEPT_N = 8
_lock, _outlooks = threading.RLock(), OrderedDict()


def outlook_of(plan, progress=None, years_n=None):
    """Outlook of a plan, kept for the next time that the same plan is asked for.

    plan (Plan)
    progress (callable, optional) : Called with (pieces done, pieces in all); raise in it to give
        up.
    years_n (int, optional) : Weather years, instead of the plan's own number.
    Gives Outlook, worked once for a plan, whoever asks meanwhile.
    """
    years_n = years_n or plan.site.years_n
    key = (plan.model_dump_json(), str(plan.folder), _modified(plan), years_n)
    with _lock:
        if key not in _outlooks:
            _outlooks[key] = remembered(plan, years_n, progress)
            while len(_outlooks) > KEPT_N:
                _outlooks.popitem(last=False)
        _outlooks.move_to_end(key)
        return _outlooks[key]


def _modified(plan):
    """When the plan's weather file changed last; 0 for a built-in place."""
    try:
        path = Path(plan.folder or "", plan.site.weather)
        return path.stat().st_mtime_ns if path.is_file() else 0
    except (OSError, ValueError):
        return 0


def broken_of(plan, years_n=None, progress=None):
    """Days of a plan with parts breaking at random (`Breakdowns`), kept with its outlook."""
    return broken(outlook_of(plan, progress, years_n), progress=progress)
