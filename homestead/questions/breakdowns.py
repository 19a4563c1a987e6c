"""Parts that break at random: days of independence with and without, and which spare helps most.

Each sampled start lives its days with all parts until one breaks; from then on it goes on without
it, with the stores that it has, until the family has put in its spare, if it has one. What has no
spare stays out: nothing is delivered in isolation.
"""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple, dataclass
from typing import Any

import numpy as np

from homestead import disk_cache, reference
from homestead.outlook.independence import HORIZON_DAYS, Outlook, independence_days
from homestead.outlook.ledger import brief_year_of
from homestead.outlook.studies import kept
from homestead.plan import PlanError, with_changes
from homestead.plan.schema import Plan
from homestead.questions.parts_out import Part, parts_of
from homestead.questions.variants import HOMESTEAD, InAll, Variants
from homestead.questions.waiting import GivenUp, as_they_come
from homestead.shown import Shown
from homestead.simulate import kernel
from homestead.simulate.inputs import DAYS_N, Hours, hours_of, read_weather, weather_years
from homestead.simulate.records import COLUMNS, Days, State
from homestead.simulate.trace import trace_of
from homestead.vocabulary import NEEDS, OUTCOMES

SAMPLES_N = 400
RUNS_EACH_N = 50  # that one thread takes on, where nothing is out
ARRAYS = ("without", "with_breakdowns", "by_need")
DAYS_A_YEAR = 365.0


@dataclass(frozen=True)
class Breaking:
    """A part that breaks, how often, and how long it stays out."""

    part: Part
    per_day: float  # chance of breaking on a day
    repair_days: float  # until the spare is in; infinite without one


@dataclass(frozen=True, repr=False)
class Breakdowns(Shown):
    """Days of the homestead when parts break at random, over sampled starts."""

    # int, shape (samples,); days of the same starts, without breakdowns and with
    without: np.ndarray
    with_breakdowns: np.ndarray
    rates: dict[str, float]  # part to breakdowns a year
    # part to the share of samples that it shortened, being the first of those that broke
    blamed: dict[str, float]
    by_need: np.ndarray  # int, shape (samples, outcomes); days of each need with breakdowns
    usual: dict[str, int]  # need or homestead to what 9 starts in 10 reach if nothing breaks
    years_n: int  # weather years over which the starts are spread

    def reached(self, need: str) -> int:
        """Days that 9 starts in 10 reach with breakdowns, of a need or the ``"homestead"``.

        Starts are sampled by the days of the homestead, so a need's can come out above those of
        all starts, which no breakdown can add to.
        """
        if need == HOMESTEAD:
            return self.figures["p10"]
        days = np.percentile(self.by_need[:, OUTCOMES.index(need)], 10, method="lower")
        return int(min(days, self.usual[need]))

    @property
    def figures(self) -> dict[str, int]:
        """p10, p50 and least of the days with breakdowns."""
        low, middle = np.percentile(self.with_breakdowns, (10, 50), method="lower")
        low = min(low, self.usual[HOMESTEAD])
        return {"p10": int(low), "p50": int(middle), "least": int(self.with_breakdowns.min())}

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Days both ways, and the parts that cost the most."""
        title = (
            f"If parts break at random: {self.figures['p10']} days, {self.usual[HOMESTEAD]} if "
            "nothing breaks"
        )
        worst = sorted(self.blamed.items(), key=lambda pair: -pair[1])
        return title, [
            (part, f"ends {share:.0%} of starts sooner".replace("%", " %"))
            for part, share in worst
            if share > 0
        ]


def breakdowns(
    plan: Plan,
    years_n: int | None = None,
    samples_n: int = SAMPLES_N,
    progress: Callable[[int, int], None] | None = None,
    rates: dict[str, float] | None = None,
    need: str | None = None,
    outlook: Outlook | None = None,
) -> Breakdowns:
    """Days of independence with parts breaking at random.

    plan (Plan) : Its `breakdowns` names the spares on the shelf.
    years_n (int, optional) : Weather years; the plan's own number by default.
    samples_n : Sampled starts, spread over all of these years.
    progress (callable, optional) : Called with (samples done, samples in all); raise in it to
        cancel.
    rates (dict, optional) : Kind of part to breakdowns a year, instead of the table's.
    need (str, optional) : The ``"homestead"`` where only its days are asked for: a start ends with
        the first counted need.
    outlook (Outlook, optional) : Of the same plan and years, if it is there.

    Exponential times to failure, independent of each other; a generator ages by its hours of
    running and its starts in a year with deliveries. Rates from data/reference/breakdowns.csv.
    """
    key = _key_of(plan, years_n, samples_n, rates)
    keys = [key, f"{key}-{need}"] if need == HOMESTEAD else [key]
    for one in keys:
        found = disk_cache.load_arrays(one, *ARRAYS)
        if found is not None:
            return Breakdowns(**{name: found[name] for name in ARRAYS}, **found["about"])
    if need == HOMESTEAD:
        lived = _Lived(plan, years_n, samples_n, rates, outlook)
        found = lived.with_spares(plan.breakdowns.spares, progress, all_needs=False)
    else:
        found = _lived(plan, years_n, samples_n, rates, progress, outlook)[1]
    about = {name: getattr(found, name) for name in ("rates", "blamed", "usual", "years_n")}
    disk_cache.keep_arrays(keys[-1], about, **{name: getattr(found, name) for name in ARRAYS})
    return found


@kept
def broken(outlook: Outlook, progress: Callable[[int, int], None] | None = None) -> Breakdowns:
    """Breakdowns of an outlook's plan on its weather years."""
    return breakdowns(outlook.plan, outlook.hours.years_n, progress=progress, outlook=outlook)


@dataclass(frozen=True)
class Spare:
    """What one spare on the shelf is worth."""

    kind: str
    cost_money: float | None  # by the plan's price of ``"spare KIND"``; None without one
    # on average over the sampled starts, and at 9 starts in 10
    days_gained: float
    p10_gained: int

    @property
    def days_per_100_money(self) -> float:
        """Days on average for each hundred of the plan's money; not a number without a price."""
        return self.days_gained / self.cost_money * 100.0 if self.cost_money else float("nan")


def spares(
    plan: Plan,
    years_n: int | None = None,
    samples_n: int = SAMPLES_N,
    progress: Callable[[int, int], None] | None = None,
    rates: dict[str, float] | None = None,
) -> tuple[Spare, ...]:
    """What each spare that is not on the shelf yet would add, the same starts and breakdowns.

    Arguments are those of `breakdowns`; most days for the money first, then those without a price.
    """
    key = _key_of(plan, years_n, samples_n, rates, "spares", _priced(plan))
    known = disk_cache.load_arrays(key)
    if known is not None:
        return tuple(Spare(*row) for row in known["about"])
    on_shelf, prices = plan.breakdowns.spares, _priced(plan)
    told = InAll(progress, samples_n * (1 + len({part.kind for part in parts_of(plan)})))
    lived, before = _lived(plan, years_n, samples_n, rates, told)
    there = {part.part.kind for part in lived.breaking(())}
    asked = [kind for kind in sorted(there) if kind not in on_shelf]
    found = []
    for kind in asked:
        after = lived.with_spares((*on_shelf, kind), told, before)
        found.append(
            Spare(
                kind=kind,
                cost_money=prices.get(f"spare {kind}"),
                days_gained=float((after.with_breakdowns - before.with_breakdowns).mean()),
                p10_gained=after.figures["p10"] - before.figures["p10"],
            )
        )
    told.end()
    found.sort(key=lambda spare: (-np.nan_to_num(spare.days_per_100_money), -spare.days_gained))
    disk_cache.keep_arrays(key, [astuple(spare) for spare in found])
    return tuple(found)


def _priced(plan: Plan) -> dict[str, float]:
    return {price.part: price.cost_money for price in plan.prices}


def _key_of(plan: Plan, years_n: int | None, *more: Any) -> str:
    """Under which a result is kept."""
    return Variants(plan, years_n).key_with(*more)


_last: dict[str, tuple[_Lived, Breakdowns]] = {}


def _lived(
    plan: Plan,
    years_n: int | None,
    samples_n: int,
    rates: Any,
    progress: Any,
    outlook: Outlook | None = None,
) -> tuple[_Lived, Breakdowns]:
    """A plan's sampled starts, lived with what is on its shelf; the last plan's are kept."""
    key = _key_of(plan, years_n, samples_n, rates)
    if key not in _last:
        lived = _Lived(plan, years_n, samples_n, rates, outlook)
        found = lived.with_spares(plan.breakdowns.spares, progress)
        _last.clear()
        _last[key] = lived, found
    return _last[key]


class _Lived:
    """Sampled starts of a plan, lived with one shelf of spares or another."""

    def __init__(
        self,
        plan: Plan,
        years_n: int | None,
        samples_n: int,
        rates: Any,
        outlook: Outlook | None = None,
    ):
        self.plan, self.rates, self.samples_n = plan, rates, samples_n
        whole = outlook.hours if outlook else None
        self.homestead = _Homestead(plan, years_n or plan.site.years_n, whole)
        whole = self.homestead.whole
        self.seed = [plan.site.seed_n, samples_n]
        days = outlook.days if outlook else independence_days(whole)
        days = days.reshape(-1, days.shape[2])
        lasts = days[:, self.homestead.counted].min(axis=1)
        # Evenly over all starts in the order of their days, the worst among them: so the days
        # without breakdowns are those of the whole, and breakdowns alone make the difference.
        places = np.rint(np.linspace(0, len(lasts) - 1, samples_n)).astype(int)
        self.starts = np.argsort(lasts, kind="stable")[places]
        self.without = lasts[self.starts]
        by_name = {name: days[:, n] for n, name in enumerate(OUTCOMES)} | {HOMESTEAD: lasts}
        self.usual = {
            name: int(np.percentile(reached, 10, method="lower"))
            for name, reached in by_name.items()
        }
        self._per_year = _per_year(plan, whole, rates)

    def breaking(self, on_shelf: tuple[str, ...]) -> list[Breaking]:
        """Parts that break, with a spare of some kinds."""
        repair = self.plan.breakdowns.repair_s / 86400.0
        return [
            Breaking(part, rate / DAYS_A_YEAR, repair if part.kind in on_shelf else np.inf)
            for part, rate in self._per_year
        ]

    def with_spares(
        self,
        on_shelf: tuple[str, ...],
        progress: Callable[[int, int], None] | None = None,
        before: Breakdowns | None = None,
        all_needs: bool = True,
    ) -> Breakdowns:
        """Days with breakdowns; of what `before` says only that which a new spare can change."""
        all_needs = all_needs and before is None
        counted = self.homestead.counted
        breaking, events = self.breaking(on_shelf), self.events(on_shelf)
        days = np.empty((self.samples_n, len(OUTCOMES)), int)
        asked = np.arange(self.samples_n)
        if before is not None:
            days[:] = before.by_need
            pairs = zip(self.events(self.plan.breakdowns.spares), events, strict=True)
            ends = before.with_breakdowns
            asked = np.flatnonzero(
                [
                    _until(then, end) != _until(now, end)
                    for (then, now), end in zip(pairs, ends, strict=True)
                ]
            )
        days[asked] = self.homestead.live_all(
            self.starts[asked], [events[n] for n in asked], progress, all_needs
        )
        if before is not None and progress:
            progress(self.samples_n, self.samples_n)
        found = days[:, counted].min(axis=1)
        blamed = dict.fromkeys((breaks.part.name for breaks in breaking), 0)
        for n in np.flatnonzero(found < self.without):
            blamed[events[n][0][1]] += 1
        return Breakdowns(
            self.without,
            found,
            {breaks.part.name: breaks.per_day * DAYS_A_YEAR for breaks in breaking},
            {name: n / self.samples_n for name, n in blamed.items()},
            days,
            self.usual,
            self.homestead.whole.years_n,
        )

    def events(self, on_shelf: tuple[str, ...]) -> list[list[tuple]]:
        """What breaks and comes back in each sample."""
        breaking = self.breaking(on_shelf)
        return [_events(breaking, [*self.seed, n]) for n in range(self.samples_n)]


def _until(events: list[tuple], end: int) -> list[tuple]:
    return [event for event in events if event[0] <= end]


def _per_year(plan: Plan, hours: Hours, rates: dict[str, float] | None) -> list[tuple[Part, float]]:
    """Parts that break and how often a year."""
    known = reference.items("breakdowns", "per_year")
    found = []
    for part in parts_of(plan):
        if rates is not None:
            per_year = rates.get(part.kind, 0.0)
        elif part.kind == "generator":
            per_year = _generator_per_year(hours)
        elif part.kind == "main inverter" and plan.grid_former.units_n > 1:
            per_year = 0.0  # its units break one by one
        elif part.kind == "main inverter unit":
            per_year = reference.value("breakdowns", "main inverter", "per_year", "1/year")
            alike = plan.grid_former.arrangement == "parallel" or not plan.grid_former.is_split
            if alike or plan.grid_former.units_n >= 4:
                per_year *= plan.grid_former.units_n  # any of them
        elif part.kind in known:
            per_year = reference.value("breakdowns", part.kind, "per_year", "1/year")
        else:
            per_year = 0.0  # crops, animals, single strings: no machines, or in another row
        if per_year > 0.0:
            found.append((part, per_year))
    return found


def _generator_per_year(hours: Hours) -> float:
    """Failures of a generator in a year: while it runs, and when it is to start."""
    runs = trace_of(hours, 0, hours.years_n * DAYS_N, True).flows["generator_h"].to_numpy() > 0
    starts_n = int((runs[1:] & ~runs[:-1]).sum()) / hours.years_n
    yearly_h = brief_year_of(hours)["generator_h"]
    to_failure_h = reference.value("breakdowns", "generator", "hours_to_failure", "h")
    return yearly_h / to_failure_h + starts_n * reference.value(
        "breakdowns", "generator start", "fails_frac", ""
    )


def _events(breaking: list[Breaking], seed: list[int]) -> list[tuple]:
    """Days on which parts break and come back, in order: (day, part, whether it is out).

    Each part draws from its own numbers, so that a spare of one leaves the others as they were.
    """
    events = []
    for number, part in enumerate(breaking):
        generator = np.random.default_rng([*seed, number])
        day = 0.0
        while True:
            day += generator.exponential(1.0 / part.per_day)
            if day >= HORIZON_DAYS:
                break
            # Whole days: what is mended within half a day was never out.
            out, away_n = int(day), round(min(part.repair_days, HORIZON_DAYS))
            back = out + away_n
            if away_n:
                events.append((out, part.part.name, True))
                if back < HORIZON_DAYS:
                    events.append((back, part.part.name, False))
            day += part.repair_days
            if day >= HORIZON_DAYS:
                break
    return sorted(events)


class _Run:
    """One start on its way through its breakdowns."""

    def __init__(self, start: int, events: list[tuple] | tuple, whole: Hours):
        self.start, self.elapsed, self.state = start, 0, whole.start
        self.fuel_wh = whole.fuel_start_wh.copy()
        self.kept = kernel.kept_of(1, HORIZON_DAYS, whole.fixed, whole.larder, whole.window_n)
        self.stretches = list(self._cut(events))

    @staticmethod
    def _cut(events):
        """Stretches of its days: until when, what is out, whether the freezer thaws first."""
        begin, out, thaws = 0, frozenset(), False
        for day, name, is_out in (*events, (HORIZON_DAYS, "", True)):
            if day > begin:
                yield day, out, thaws
                begin, thaws = day, False
            out = out | {name} if is_out else out - {name}
            thaws = thaws or (is_out and "freezer" in name)

    def is_over(self, sought: list[int], all_of_them: bool) -> bool:
        failed = self.kept.failed[0, sought]
        return (failed.max() if all_of_them else failed.min()) < self.elapsed


class _Homestead:
    """A plan with any of its parts out, on all its weather years."""

    def __init__(self, plan: Plan, years_n: int, whole: Hours | None = None):
        self._plan = plan
        self.counted = [OUTCOMES.index(need) for need in plan.failure.counts]
        self._measured = read_weather(plan)
        self._years = weather_years(plan, years_n, self._measured)
        self.whole = whole or hours_of(plan, measured=self._measured, years=self._years)
        self._plans = {frozenset(): plan}

    def without(self, out: frozenset, numbers: list[int] | None = None) -> Hours:
        """Inputs of some weather years, by number, with some parts out; of all by default."""
        if not out:
            return self.whole
        all_n = self.whole.years_n
        numbers = list(range(all_n)) if numbers is None else numbers
        years = [self._years[number] for number in numbers]
        hours = hours_of(
            self._plan_without(out), measured=self._measured, years=years, numbers=numbers
        )
        # The soil of the garden remembers the year before; no part that breaks changes it.
        column = COLUMNS.index("water_garden_m3")
        whole = self.whole.rows[:, column].reshape(all_n, -1)
        hours.rows[:, column] = whole[numbers].ravel()
        return hours

    def _plan_without(self, out: frozenset) -> Plan:
        """A part that the plan cannot be without stays in."""
        if out not in self._plans:
            *before, name = sorted(out)
            plan = self._plan_without(frozenset(before))
            part = next((part for part in parts_of(plan) if part.name == name), None)
            if part is not None:  # else it went with another
                with contextlib.suppress(PlanError):
                    plan = with_changes(plan.raw, part.sets, folder=plan.folder)
            self._plans[out] = plan
        return self._plans[out]

    def live(self, start: int, events: list[tuple] | tuple) -> np.ndarray:
        """Days until each outcome of one start."""
        return self.live_all([start], [events])[0]

    def live_all(
        self,
        starts: Any,
        events: list[list[tuple]] | list[tuple],
        progress: Callable[[int, int], None] | None = None,
        all_needs: bool = True,
    ) -> np.ndarray:
        """Days until each outcome of many starts, shape (starts, outcomes).

        Runs that lack the same parts go on together, so that such a homestead is made once. Without
        `all_needs` a run ends with the first counted need.
        """
        runs = [
            _Run(int(start), its, self.whole) for start, its in zip(starts, events, strict=True)
        ]
        sought = list(range(len(NEEDS))) if all_needs else self.counted
        given_up, going, done_n = threading.Event(), runs, 0

        def look() -> None:
            if progress and done_n < len(runs):
                progress(done_n, len(runs))

        with ThreadPoolExecutor(os.cpu_count()) as threads:
            while going:
                pieces = [
                    threads.submit(self._go_on, some, given_up) for some in _lacking_the_same(going)
                ]
                try:
                    for piece in as_they_come(pieces, look):
                        piece.result()
                    going = [
                        run for run in going if run.stretches and not run.is_over(sought, all_needs)
                    ]
                    done_n = len(runs) - len(going)
                    look()
                except BaseException:
                    given_up.set()
                    threads.shutdown(cancel_futures=True)
                    raise
        if progress and runs:
            progress(len(runs), len(runs))
        found = [run.kept.failed[0, : len(OUTCOMES)] for run in runs]
        return np.array(found).reshape(len(runs), len(OUTCOMES))

    def _go_on(self, runs: list[_Run], given_up: threading.Event) -> None:
        """Live the next stretch of runs that lack the same parts."""
        whole, out = self.whole, runs[0].stretches[0][1]
        hours, days, first_of = whole, whole.days, None
        if out:
            # A start needs its own year and the one after it, the last the first.
            places = sorted({run.start // DAYS_N + more for run in runs for more in (0, 1)})
            if len(places) < whole.years_n:
                first_of = {place: number * DAYS_N for number, place in enumerate(places)}
                numbers = [place % whole.years_n for place in places]
                of_year = [day.reshape(whole.years_n, DAYS_N, *day.shape[1:]) for day in days]
                days = Days(*(np.concatenate(by_day[numbers]) for by_day in of_year))
                hours = self.without(out, numbers)
            else:
                hours = self.without(out)
        for run in runs:
            if given_up.is_set():
                raise GivenUp
            until, _, thaws = run.stretches.pop(0)
            if thaws:
                whole.larder.thaw(run.kept.food)
            year, day = divmod(run.start, DAYS_N)
            first_day = run.start if first_of is None else first_of[year] + day
            run.state = kernel.live_on(
                first_day, run.elapsed, until, HORIZON_DAYS, hours.rows, days, hours.fixed,
                hours.capacity_by_c, _fitting(run.state, hours), whole.larder, run.fuel_wh,
                run.kept,
            )  # fmt: skip
            run.elapsed = until


def _lacking_the_same(runs: list[_Run]) -> list[list[_Run]]:
    """Runs by what is out in their next stretch; those that lack nothing in several pieces."""
    groups: dict[frozenset, list[_Run]] = {}
    for run in runs:
        groups.setdefault(run.stretches[0][1], []).append(run)
    whole = groups.pop(frozenset(), [])
    some = [whole[at : at + RUNS_EACH_N] for at in range(0, len(whole), RUNS_EACH_N)]
    return [*sorted(groups.values(), key=len, reverse=True), *some]


def _fitting(state: State, hours: Hours) -> State:
    """State within the stores that are left."""
    fixed = hours.fixed
    return State(*state)._replace(
        battery_wh=min(state.battery_wh, fixed.battery_wh),
        casing_m3=min(state.casing_m3, fixed.casing_m3),
        tank_m3=min(state.tank_m3, fixed.tank_m3),
        cistern_m3=min(state.cistern_m3, fixed.cistern_m3),
        hot_wh=min(state.hot_wh, fixed.hot_tank_wh),
    )
