"""Outlooks of the last few plans, so that everything shown of one plan rests on one run.

An undo, a second table or another notebook cell then needs no new run.
"""

import threading
from collections import OrderedDict
from functools import lru_cache
from pathlib import Path

from homestead.outlook.independence import HORIZON_DAYS, Outlook, all_findings, independence_days
from homestead.outlook.ledger import year_of
from homestead.questions.breakdowns import breakdowns
from homestead.simulate.inputs import hours_of, weather_named

KEPT_N = 8


class _RecentResults:
    """Results of the last few plans; one plan is worked once, whoever asks meanwhile."""

    def __init__(self, work):
        self._work, self._lock, self._found = work, threading.RLock(), OrderedDict()

    def __call__(self, plan, progress=None, *more):
        key = (plan.model_dump_json(), str(plan.folder), _modified(plan), *more)
        with self._lock:
            if key not in self._found:
                self._found[key] = self._work(plan, progress, *more)
                while len(self._found) > KEPT_N:
                    self._found.popitem(last=False)
            self._found.move_to_end(key)
            return self._found[key]


def _modified(plan):
    """When the plan's weather file changed last; 0 for a built-in place."""
    try:
        path = Path(plan.folder or "", plan.site.weather)
        return path.stat().st_mtime_ns if path.is_file() else 0
    except (OSError, ValueError):
        return 0


@lru_cache(maxsize=2)
def _weather(name, folder, modified_ns):
    return weather_named(name, folder)


def _days_only(plan, progress=None):
    hours = hours_of(plan, None, _weather(plan.site.weather, plan.folder, _modified(plan)))
    return Outlook(plan, hours, independence_days(hours, progress), HORIZON_DAYS, None)


def _with_year(plan, progress=None):
    found = days_only_of(plan, progress)
    year = year_of(found.hours)
    findings = all_findings(found.hours, year)
    return Outlook(plan, found.hours, found.days, HORIZON_DAYS, year, findings)


def _broken(plan, progress, years_n):
    return breakdowns(plan, years_n, progress=progress)


# Days over all starts, without the year and without the checks.
days_only_of = _RecentResults(_days_only)
_outlook = _RecentResults(_with_year)
_breakdowns = _RecentResults(_broken)


def outlook_of(plan, progress=None):
    """Full outlook of a plan, kept for the next time that the same plan is asked for.

    plan (Plan)
    progress (callable, optional) : Called with (pieces done, pieces in all); raise in it to give
        up.
    Gives Outlook.
    """
    return _outlook(plan, progress)


def broken_of(plan, years_n=None, progress=None):
    """Days of a plan with parts breaking at random (`Breakdowns`), kept like the outlook."""
    return _breakdowns(plan, progress, years_n or plan.site.years_n)
