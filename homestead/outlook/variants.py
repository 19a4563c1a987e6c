"""Variants of a plan, worked and remembered: the plan with some entries changed, and its days.

A variant is known by its content (plan, weather, years, version of this package), so that the same
question is worked once. Variants are independent of each other: any executor can carry them.
"""

import hashlib
import json
import os
from concurrent.futures import Executor, ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from homestead import __version__
from homestead.outlook.checks import findings_of
from homestead.outlook.hours import hours_of, weather_named
from homestead.outlook.independence import HORIZON_DAYS, independence_days
from homestead.outlook.ledger import brief_year_of
from homestead.outlook.terms import OUTCOMES
from homestead.plan import with_changes

REMEMBERED_N = 4096
PERCENTILES = (10, 50)


@dataclass(frozen=True)
class Variant:
    """What a changed plan can carry.

    Attributes
    ----------
    days : int array of shape (years, 365, outcomes)
    counted : tuple of str
        Needs that count for the homestead.
    generator_h, generator_fuel_wh, fuel_wh : float
        Of a mean year with deliveries; `fuel_wh` is all other fuel.
    findings : frozenset of (severity, about, text)
    """

    days: np.ndarray
    counted: tuple
    generator_h: float
    generator_fuel_wh: float
    fuel_wh: float
    findings: frozenset

    @property
    def together(self):
        """Days of the homestead, shape (years, 365)."""
        return np.min([self.days_of(need) for need in self.counted], axis=0)

    def days_of(self, need):
        """Days of a need, or of the ``"homestead"``, shape (years, 365)."""
        if need == "homestead":
            return self.together
        return self.days[:, :, OUTCOMES.index(need)]

    def reached(self, need="homestead", percent=10):
        """Days that all but `percent` of the starts reach."""
        return int(np.percentile(self.days_of(need), percent, method="lower"))


@lru_cache(maxsize=8)
def weather_of(name, folder, stamp):
    """Weather of a site, read once for each state of its file."""
    return weather_named(name, folder)


def _stamp(name, folder):
    path = folder / name if folder else None
    if path is not None and path.is_file():
        status = path.stat()
        return status.st_mtime_ns, status.st_size
    return None


def work(raw, folder, sets, adds, years_n):
    """Work one variant from plain data; a top-level function, so that any executor takes it."""
    plan = with_changes(raw, sets, adds, folder=folder)
    name = plan.site.weather
    hours = hours_of(plan, years_n, weather_of(name, folder, _stamp(name, folder)))
    # One thread: variants run beside each other already.
    with ThreadPoolExecutor(1) as alone:
        days = independence_days(hours, executor=alone)
    year = brief_year_of(hours)
    return Variant(
        days=days.astype(np.int16),
        counted=tuple(plan.failure.counts),
        generator_h=year["generator_h"],
        generator_fuel_wh=year["generator_fuel_w"],
        fuel_wh=year["fuel_w"],
        findings=frozenset((one.severity, one.about, one.text) for one in findings_of(plan, hours)),
    )


class Variants:
    """Variants of one plan, each worked once.

    Parameters
    ----------
    plan : Plan
    years_n : int, optional
        Weather years to try, instead of the plan's own number.
    executor : concurrent.futures.Executor, optional
        Carries the work; threads of this computer by default.
    progress : callable, optional
        Called with (variants done, variants asked for); raise in it to cancel.
    """

    _remembered: dict = {}

    def __init__(self, plan, years_n=None, executor: Executor | None = None, progress=None):
        self.plan = plan
        self.years_n = years_n or plan.site.years_n
        self._executor = executor
        self._progress = progress
        self.worked_n = 0

    def of(self, questions):
        """Variants for many questions at once, in their order.

        Parameters
        ----------
        questions : list of (sets, adds)
            As in a candidate change; ``({}, {})`` is the plan itself.

        Returns
        -------
        list of Variant

        Raises
        ------
        PlanError
            If a changed plan does not hold.
        """
        keys = [self._key(sets, adds) for sets, adds in questions]
        missing = {
            key: question
            for key, question in zip(keys, questions, strict=True)
            if key not in self._remembered
        }
        if missing:
            executor = self._executor or ThreadPoolExecutor(os.cpu_count())
            try:
                self._carry(executor, missing)
            finally:
                if self._executor is None:
                    executor.shutdown(cancel_futures=True)
        return [self._remembered[key] for key in keys]

    def one(self, sets=None, adds=None):
        """A single variant."""
        return self.of([(sets or {}, adds or {})])[0]

    def _carry(self, executor, missing):
        pieces = {
            executor.submit(work, self.plan.raw, self.plan.folder, sets, adds, self.years_n): key
            for key, (sets, adds) in missing.items()
        }
        try:
            for done, piece in enumerate(as_completed(pieces), start=1):
                self._remember(pieces[piece], piece.result())
                self.worked_n += 1
                if self._progress:
                    self._progress(done, len(pieces))
        except BaseException:
            for piece in pieces:
                piece.cancel()
            raise

    @classmethod
    def _remember(cls, key, variant):
        if len(cls._remembered) >= REMEMBERED_N:
            cls._remembered.pop(next(iter(cls._remembered)))
        cls._remembered[key] = variant

    def _key(self, sets, adds):
        name, folder = self.plan.site.weather, self.plan.folder
        content = json.dumps(
            [
                __version__,
                HORIZON_DAYS,
                self.years_n,
                str(folder),
                _stamp(name, folder),
                self.plan.raw,
                sets,
                adds,
            ],
            sort_keys=True,
            default=str,
        )
        return hashlib.sha256(content.encode()).hexdigest()
