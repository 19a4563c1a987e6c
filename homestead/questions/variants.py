"""Variants of a plan, worked and remembered: the plan with some entries changed, and its days.

A variant is known by its content (plan, weather, years, sources of this package), so that the same
question is worked once. Variants are independent of each other: any executor can carry them, and
what is sent to it is plain data.
"""

import os
import tempfile
import threading
import zlib
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import asdict, dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from homestead import disk_cache
from homestead.findings.finding import Finding
from homestead.findings.gather import findings_of
from homestead.outlook import independence
from homestead.outlook.ledger import brief_year_of
from homestead.plan import with_changes
from homestead.plan.schema import IDEAS
from homestead.questions.waiting import GivenUp, as_they_come
from homestead.simulate.inputs import hours_of
from homestead.vocabulary import OUTCOMES

FIGURES = ("generator_h", "generator_fuel_wh", "fuel_wh")
REMEMBERED_N = 512  # at about 100 kB for 30 years
# How deep a variant is worked, the deepest first; each answers for those after it.
WHOLE, DAYS, HOMESTEAD = DEPTHS = ("whole", "days", "homestead")


@dataclass(frozen=True)
class Variant:
    """What a changed plan can carry."""

    days: np.ndarray  # int, shape (years, 365, outcomes)
    counted: tuple[str, ...]  # needs that count for the homestead
    # of an average year with deliveries; `fuel_wh` is all other fuel. Not a number if only the days
    # were asked for.
    generator_h: float
    generator_fuel_wh: float
    fuel_wh: float
    findings: frozenset | None  # frozenset of Finding; none if only the days were asked for

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


def _load(key):
    """A variant that `_keep` kept on disk under a key, or None."""
    found = disk_cache.load_arrays(key, "days", "sums")
    try:
        days, sums, about = found["days"], found["sums"].tolist(), found["about"]
        if days.dtype != np.int16 or days.ndim != 3:
            return None
        findings = about["findings"]
        if findings is not None:
            findings = frozenset(Finding(**finding) for finding in findings)
        sums = dict(zip(FIGURES, sums, strict=True))
        return Variant(days, tuple(about["counted"]), findings=findings, **sums)
    except Exception:  # none, or of another kind: it is worked again
        return None


def _keep(key, variant):
    """Keep a variant; silently not, where the folder cannot be written."""
    findings = variant.findings
    told = None if findings is None else [asdict(finding) for finding in findings]
    about = {"counted": variant.counted, "findings": told}
    figures = np.array([getattr(variant, name) for name in FIGURES])
    disk_cache.keep_arrays(key, about, days=variant.days, sums=figures)


@lru_cache(maxsize=4)
def _folder_with(name, packed):
    """Folder of this machine that holds a weather file sent to it; gone when the process ends."""
    folder = tempfile.TemporaryDirectory(prefix="homestead-")
    Path(folder.name, name).write_bytes(zlib.decompress(packed))
    return folder


def work(
    raw, folder, sets, adds, years_n, depth=WHOLE, sent=None, until=None, given_up=None, threads_n=1
):
    """Work one variant from plain data; a top-level function, so that any executor takes it.

    raw (dict) : Plain data of the plan.
    folder (Path or None) : From which its weather path is taken.
    sets, adds (dict) : As in a candidate change.
    years_n
    depth ({"whole", "days", "homestead"}) : ``"days"`` leaves out average year and the findings;
        ``"homestead"`` also ends each start with the first counted need that fails, so that only
        the homestead's days are right.
    sent ((str, bytes), optional) : Name and compressed content of the weather file, for a machine
        that does not have it.
    until (int, optional) : Day at which every start ends, instead of the horizon.
    given_up (threading.Event, optional) : Set when nobody waits for it any more.
    threads_n : Threads that carry the years, where this variant is the only one.
    Gives Variant.
    """

    def years(stretch):
        if given_up is not None and given_up.is_set():
            raise GivenUp
        return independence.years_of_starts(hours, *stretch, shared, horizon_n)

    if sent is not None:
        folder = Path(_folder_with(*sent).name)
        sets = {"site.weather": sent[0], **sets}
    plan = with_changes(raw, sets, adds, folder=folder)
    hours = hours_of(plan, years_n)
    shared = independence.shared_arguments(hours, first_only=depth == HOMESTEAD)
    stretches = independence.stretches_of(hours.years_n, -(-hours.years_n // threads_n))
    horizon_n = until or independence.HORIZON_DAYS
    if threads_n > 1:
        with ThreadPoolExecutor(threads_n) as threads:
            days = np.concatenate(list(threads.map(years, stretches)))
    else:  # one after the other: variants run beside each other already
        days = np.concatenate(list(map(years, stretches)))
    sums = dict.fromkeys(FIGURES, np.nan)
    findings = None
    if depth == WHOLE:
        year = brief_year_of(hours)
        sums = {
            "generator_h": year["generator_h"],
            "generator_fuel_wh": year["generator_fuel_w"],
            "fuel_wh": year["fuel_w"],
        }
        findings = frozenset(findings_of(plan, hours))
    return Variant(days.astype(np.int16), tuple(plan.failure.counts), findings=findings, **sums)


class InAll:
    """A `progress` for several rounds of variants: done so far, and at least those expected."""

    def __init__(self, progress, expected_n):
        self.progress, self.expected_n, self.before_n = progress, expected_n, 0

    def __call__(self, done, asked):
        """Take up where one round is."""
        if self.progress:
            # One more until the end is told, so that these too can be counted in rounds.
            self.expected_n = max(self.expected_n, self.before_n + asked + 1)
            self.progress(self.before_n + done, self.expected_n)
        if done == asked:
            self.before_n += asked

    def end(self):
        """Say that nothing more is to come."""
        if self.progress:
            self.progress(self.expected_n, self.expected_n)


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

    Attributes
    ----------
    worked_n : int
        How many were worked, not found again.
    """

    _remembered: dict = {}

    def __init__(self, plan, years_n=None, executor: Executor | None = None, progress=None):
        self.plan = plan
        self.years_n = years_n or plan.site.years_n
        self._executor = executor
        self._progress = progress
        self._raw = {key: value for key, value in plan.raw.items() if key not in IDEAS}
        self.worked_n = 0

    def of(self, questions, days_only=False, need=None, until=None):
        """Variants for many questions at once, in their order.

        questions (list of (sets, adds)) : As in a candidate change; ``({}, {})`` is the plan
            itself.
        days_only (bool) : Whether the average year and the findings may be left out.
        need (str, optional) : With `days_only`, whose days are asked for, if of one need or the
            ``"homestead"``.
        until (int, optional) : With the ``"homestead"``, a day at which starts may be ended: days
            below it are right, which is all that is asked of one that does not last.
        Gives list of Variant.

        Raises PlanError if a changed plan does not hold.
        """
        depth = WHOLE
        if days_only:
            depth = HOMESTEAD if need == HOMESTEAD else DAYS
        until = until if depth == HOMESTEAD else None
        content = self._content()
        keys = [self._key(content, sets, adds) for sets, adds in questions]
        found, missing = {}, {}
        for key, question in zip(keys, questions, strict=True):
            if key in found or key in missing:
                continue
            known = self._known(key, depth, until)
            if known is None:
                missing[key] = question
            else:
                found[key] = known
        if missing:
            executor = self._executor or ThreadPoolExecutor(os.cpu_count())
            try:
                self._carry(executor, missing, found, depth, until)
            finally:
                if self._executor is None:
                    executor.shutdown(cancel_futures=True)
        return [found[key] for key in keys]

    def one(self, sets=None, adds=None, days_only=False):
        """A single variant."""
        return self.of([(sets or {}, adds or {})], days_only)[0]

    def key_with(self, *more):
        """Key of another result that follows from the plan and from plain data."""
        return disk_cache.digest([self._content(), *more])

    def _known(self, key, depth, until):
        """A variant found again, in memory or on disk; a deeper one answers for a shallower."""
        stored_as = [_key_at(key, deeper) for deeper in DEPTHS[: DEPTHS.index(depth) + 1]]
        if until:
            stored_as.append(_key_at(key, depth, until))
        for stored in stored_as:
            remembered = self._remembered.get(stored)
            if remembered is not None:
                return remembered
            kept = _load(stored)
            if kept is not None:
                return self._remember(stored, kept)
        return None

    def _carry(self, executor, missing, found, depth, until):
        sent = self._sent_along()
        pieces = {}
        given_up = threading.Event()
        threads_n = os.cpu_count() if len(missing) == 1 else 1
        here = () if self._executor else (given_up, threads_n or 1)
        try:
            for key, (sets, adds) in missing.items():
                # The folder of this machine means nothing to another.
                folder = self.plan.folder if sent is None else None
                piece = executor.submit(
                    work, self._raw, folder, sets, adds, self.years_n, depth, sent, until, *here
                )
                pieces[piece] = key
            done = 0

            def look():
                if self._progress:
                    self._progress(done, len(pieces))

            for piece in as_they_come(pieces, look):
                key, variant = pieces[piece], piece.result()
                stored = _key_at(key, depth, until)
                found[key] = self._remember(stored, variant)
                _keep(stored, variant)
                self.worked_n += 1
                done += 1
                look()
        except BaseException:
            given_up.set()
            for piece in pieces:
                piece.cancel()
            raise

    def _sent_along(self):
        """The family's own weather file, where the work may go to another machine."""
        path = Path(self.plan.folder or "", self.plan.site.weather)
        if self._executor is None or not path.is_file():
            return None
        return path.name, zlib.compress(path.read_bytes())

    @classmethod
    def _remember(cls, key, variant):
        while len(cls._remembered) >= REMEMBERED_N:
            cls._remembered.pop(next(iter(cls._remembered)), None)
        cls._remembered[key] = variant
        return variant

    @classmethod
    def rest(cls):
        """Hold none in memory, if the disk has them."""
        if disk_cache.folder() is not None:
            cls._remembered.clear()

    def _content(self):
        """Fingerprint of all that the variants of this plan have in common."""
        content = [
            disk_cache.code_digest(),
            independence.HORIZON_DAYS,
            self.years_n,
            disk_cache.weather_digest(self.plan.site.weather, self.plan.folder),
            self._raw,
        ]
        return disk_cache.digest(content)

    @staticmethod
    def _key(content, sets, adds):
        return disk_cache.digest([content, sets, adds])


def _key_at(key, depth, until=None):
    """Key under which a variant worked to some depth is kept."""
    ends = f"-{until}" if until else ""
    return key if depth == WHOLE else f"{key}-{depth}{ends}"
