"""Outlooks of the last few plans, so that everything shown of one plan rests on one run.

An undo, a second table or another notebook cell then needs no new run.
"""

import threading
from collections import OrderedDict
from dataclasses import replace
from pathlib import Path

from homestead.outlook.independence import remembered
from homestead.plan.schema import IDEAS as IDEA_KEYS
from homestead.plan.schema import Plan, top_key
from homestead.questions.breakdowns import broken
from homestead.simulate.sparing import as_lived

KEPT_N = 8
# What never touches a simulation: an idea added or priced needs no new run.
IDEAS = {name for name in Plan.model_fields if top_key(name) in IDEA_KEYS}
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
    place = (str(plan.folder), _modified(plan), years_n)
    key = (plan.model_dump_json(), *place)
    with _lock:
        if key not in _outlooks:
            _outlooks[key] = _like(plan, place) or remembered(plan, years_n, progress)
            while len(_outlooks) > KEPT_N:
                _outlooks.popitem(last=False)
        _outlooks.move_to_end(key)
        return _outlooks[key]


def _like(plan, place):
    """Outlook of a plan from that of a kept one that differs only in ideas; None if none does."""
    told = plan.model_dump_json(exclude=IDEAS)
    for (_, *other), outlook in reversed(_outlooks.items()):
        if tuple(other) == place and outlook.plan.model_dump_json(exclude=IDEAS) == told:
            return replace(outlook, plan=plan, hours=replace(outlook.hours, plan=as_lived(plan)))
    return None


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
