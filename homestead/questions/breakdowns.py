"""Parts that break at random: days of independence with and without, and which spare helps most.

Each sampled start lives its days with all parts until one breaks; from then on it goes on without
it, with the stores that it has, until the family has put in its spare, if it has one. What has no
spare stays out: nothing is delivered in isolation.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from homestead import reference
from homestead.outlook.independence import HORIZON_DAYS, independence_days
from homestead.outlook.ledger import brief_year_of
from homestead.plan import PlanError, with_changes
from homestead.plan.schema import Plan
from homestead.questions.parts_out import Part, parts_of
from homestead.shown import Shown
from homestead.simulate import kernel
from homestead.simulate.inputs import DAYS_N, Hours, hours_of
from homestead.simulate.records import State
from homestead.simulate.trace import trace_of
from homestead.vocabulary import OUTCOMES

YEARS_N = 10
SAMPLES_N = 400
DAYS_A_YEAR = 365.0


@dataclass(frozen=True)
class Breaking:
    """A part that breaks, how often, and how long it stays out.

    Attributes
    ----------
    part : Part
    per_day : float
        Chance of breaking on a day.
    repair_days : float
        Until the spare is in; infinite without one.
    """

    part: Part
    per_day: float
    repair_days: float


@dataclass(frozen=True, repr=False)
class Breakdowns(Shown):
    """Days of the homestead when parts break at random, over sampled starts.

    Attributes
    ----------
    without, with_breakdowns : int array of shape (samples,)
        Days of the same starts, without breakdowns and with.
    rates : dict
        Part to breakdowns a year.
    blamed : dict
        Part to the share of samples that it shortened, being the first of those that broke.
    """

    without: np.ndarray
    with_breakdowns: np.ndarray
    rates: dict[str, float]
    blamed: dict[str, float]

    @property
    def figures(self) -> dict[str, int]:
        """p10, p50 and least of the days with breakdowns."""
        low, middle = np.percentile(self.with_breakdowns, (10, 50), method="lower")
        return {"p10": int(low), "p50": int(middle), "least": int(self.with_breakdowns.min())}

    def survival(self, days: int) -> tuple[float, float]:
        """Share of starts that last so many days, without breakdowns and with."""
        return tuple(float((one >= days).mean()) for one in (self.without, self.with_breakdowns))

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Days both ways, and the parts that cost the most."""
        before = int(np.percentile(self.without, 10, method="lower"))
        title = f"If parts break at random: {self.figures['p10']} days, {before} if nothing breaks"
        worst = sorted(self.blamed.items(), key=lambda pair: -pair[1])
        return title, [
            (part, f"ends {share:.0%} of starts sooner".replace("%", " %"))
            for part, share in worst
            if share > 0
        ]


def breakdowns(
    plan: Plan,
    years_n: int = YEARS_N,
    samples_n: int = SAMPLES_N,
    progress: Callable[[int, int], None] | None = None,
    rates: dict[str, float] | None = None,
) -> Breakdowns:
    """Days of independence with parts breaking at random.

    plan (Plan) : Its `breakdowns` names the spares on the shelf.
    years_n, samples_n : Weather years, at most the plan's own, and sampled starts.
    progress (callable, optional) : Called with (samples done, samples in all).
    rates (dict, optional) : Kind of part to breakdowns a year, instead of the table's.
    Gives Breakdowns.

    Exponential times to failure, independent of each other; a generator ages by its hours of
    running and its starts in a year with deliveries. Rates from data/reference/breakdowns.csv.
    """
    homestead = _Homestead(plan, min(years_n, plan.site.years_n))
    return _lived(plan, homestead, plan.breakdowns.spares, samples_n, rates, progress)


@dataclass(frozen=True)
class Spare:
    """What one spare on the shelf is worth.

    Attributes
    ----------
    kind : str
    cost_money : float or None
        By the plan's price of ``"spare KIND"``; None without one.
    days_gained, p10_gained : float, int
        On average over the sampled starts, and at 9 starts in 10.
    """

    kind: str
    cost_money: float | None
    days_gained: float
    p10_gained: int

    @property
    def days_per_100_money(self) -> float:
        """Days on average for each hundred of the plan's money; not a number without a price."""
        return self.days_gained / self.cost_money * 100.0 if self.cost_money else float("nan")


def spares(
    plan: Plan,
    years_n: int = YEARS_N,
    samples_n: int = SAMPLES_N,
    progress: Callable[[int, int], None] | None = None,
    rates: dict[str, float] | None = None,
) -> tuple[Spare, ...]:
    """What each spare that is not on the shelf yet would add, the same starts and breakdowns.

    Arguments are those of `breakdowns`; most days for the money first, then those without a price.
    """
    homestead = _Homestead(plan, min(years_n, plan.site.years_n))
    there = {one.part.kind for one in _breaking(plan, homestead.whole, (), rates)}
    asked = [kind for kind in sorted(there) if kind not in plan.breakdowns.spares]
    prices = {price.part: price.cost_money for price in plan.prices}
    before = _lived(plan, homestead, plan.breakdowns.spares, samples_n, rates)
    found = []
    for done, kind in enumerate(asked, start=1):
        after = _lived(plan, homestead, (*plan.breakdowns.spares, kind), samples_n, rates)
        found.append(
            Spare(
                kind=kind,
                cost_money=prices.get(f"spare {kind}"),
                days_gained=float((after.with_breakdowns - before.with_breakdowns).mean()),
                p10_gained=after.figures["p10"] - before.figures["p10"],
            )
        )
        if progress:
            progress(done, len(asked))
    return tuple(
        sorted(found, key=lambda one: (-np.nan_to_num(one.days_per_100_money), -one.days_gained))
    )


def _lived(
    plan: Plan,
    homestead: _Homestead,
    on_shelf: tuple[str, ...],
    samples_n: int,
    rates: dict[str, float] | None,
    progress: Callable[[int, int], None] | None = None,
) -> Breakdowns:
    breaking = _breaking(plan, homestead.whole, on_shelf, rates)
    counted = homestead.counted
    seed = [plan.site.seed_n, samples_n]
    generator = np.random.default_rng(seed)
    starts = generator.integers(0, homestead.whole.years_n * DAYS_N, samples_n)
    whole = independence_days(homestead.whole)
    without = whole.reshape(-1, whole.shape[2])[starts][:, counted].min(axis=1)
    found = np.empty(samples_n, int)
    blamed = dict.fromkeys((one.part.name for one in breaking), 0)
    for sample, start in enumerate(starts):
        events = _events(breaking, [*seed, sample])
        found[sample] = homestead.live(int(start), events)[counted].min()
        if found[sample] < without[sample]:
            blamed[events[0][1]] += 1
        if progress:
            progress(sample + 1, samples_n)
    return Breakdowns(
        without,
        found,
        {one.part.name: one.per_day * DAYS_A_YEAR for one in breaking},
        {name: n / samples_n for name, n in blamed.items()},
    )


def as_dict(found: Breakdowns) -> dict[str, Any]:
    """Figures as plain data."""
    return found.figures


def _breaking(
    plan: Plan, hours: Hours, on_shelf: tuple[str, ...], rates: dict[str, float] | None
) -> list[Breaking]:
    known = reference.items("breakdowns", "per_year")
    repair = plan.breakdowns.repair_s / 86400.0
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
            if plan.grid_former.arrangement == "parallel" or plan.grid_former.units_n > 2:
                per_year *= plan.grid_former.units_n  # any of them
        elif part.kind in known:
            per_year = reference.value("breakdowns", part.kind, "per_year", "1/year")
        else:
            per_year = 0.0  # crops, animals, single strings: no machines, or in another row
        if per_year > 0.0:
            has_spare = part.kind in on_shelf
            found.append(Breaking(part, per_year / DAYS_A_YEAR, repair if has_spare else np.inf))
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
    for number, one in enumerate(breaking):
        generator = np.random.default_rng([*seed, number])
        day = 0.0
        while True:
            day += generator.exponential(1.0 / one.per_day)
            if day >= HORIZON_DAYS:
                break
            # Whole days: what is mended within half a day was never out.
            out, away_n = int(day), round(min(one.repair_days, HORIZON_DAYS))
            back = out + away_n
            if away_n:
                events.append((out, one.part.name, True))
                if back < HORIZON_DAYS:
                    events.append((back, one.part.name, False))
            day += one.repair_days
            if day >= HORIZON_DAYS:
                break
    return sorted(events)


class _Homestead:
    """A plan with any of its parts out, each such homestead made once."""

    def __init__(self, plan: Plan, years_n: int):
        self._plan, self._years_n = plan, years_n
        self.counted = [OUTCOMES.index(need) for need in plan.failure.counts]
        self.whole = hours_of(plan, years_n)
        self._made = {frozenset(): self.whole}
        self._plans = {}

    def without(self, out: frozenset) -> Hours:
        """Inputs with some parts out; a part that the plan cannot be without stays in."""
        if out not in self._made:
            hours = hours_of(self._plan_without(out), self._years_n)
            if np.array_equal(hours.rows, self.whole.rows):
                hours = Hours(**{**vars(hours), "rows": self.whole.rows})
            self._made[out] = hours
        return self._made[out]

    def _plan_without(self, out: frozenset) -> Plan:
        if not out:
            return self._plan
        if out not in self._plans:
            *before, name = sorted(out)
            plan = self._plan_without(frozenset(before))
            part = next((one for one in parts_of(plan) if one.name == name), None)
            if part is not None:  # else it went with another
                with contextlib.suppress(PlanError):
                    plan = with_changes(plan.raw, part.sets, folder=plan.folder)
            self._plans[out] = plan
        return self._plans[out]

    def live(self, start: int, events: list[tuple] | tuple) -> np.ndarray:
        """Days until each outcome of one start; after the first counted one, not all are sought."""
        whole = self.whole
        fuel_wh = whole.fuel_start_wh.copy()
        kept = kernel.kept_of(1, HORIZON_DAYS, whole.fixed, whole.larder, whole.window_n)
        state, elapsed, out = whole.start, 0, frozenset()
        for day, name, is_out in (*events, (HORIZON_DAYS, "", True)):
            if elapsed and kept.failed[0, self.counted].min() < elapsed:
                break  # what breaks after the end changes nothing
            hours = self.without(out)
            if day > elapsed:
                state = kernel.live_on(
                    start, elapsed, day, HORIZON_DAYS, hours.rows, whole.days, hours.fixed,
                    hours.capacity_by_c, _fitting(state, hours), whole.larder, fuel_wh, kept,
                )  # fmt: skip
                elapsed = day
            out = out | {name} if is_out else out - {name}
            if is_out and "freezer" in name:
                whole.larder.thaw(kept.food)
        return kept.failed[0, : len(OUTCOMES)]


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


__all__ = ["Breakdowns", "Breaking", "Spare", "as_dict", "breakdowns", "spares"]
