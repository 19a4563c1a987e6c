"""Parts that break at random: days of independence with and without, and which spare helps most.

Each sampled start lives its days with all parts until one breaks; from then on it goes on without
it, with the stores that it has, until the family has put in its spare, if it has one. What has no
spare stays out: nothing is delivered in isolation.
"""

from __future__ import annotations

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

    Parameters
    ----------
    plan : Plan
        Its `breakdowns` names the spares on the shelf.
    years_n, samples_n : int
        Weather years, at most the plan's own, and sampled starts.
    progress : callable, optional
        Called with (samples done, samples in all).
    rates : dict, optional
        Kind of part to breakdowns a year, instead of the table's.

    Returns
    -------
    Breakdowns

    Notes
    -----
    Exponential times to failure, independent of each other; a generator ages by its hours of
    running in a year with deliveries. Rates from data/reference/breakdowns.csv.
    """
    homestead = _Homestead(plan, min(years_n, plan.site.years_n))
    breaking = _breaking(plan, homestead.whole, rates)
    counted = homestead.counted
    generator = np.random.default_rng([plan.site.seed_n, samples_n])
    starts = generator.integers(0, homestead.whole.years_n * DAYS_N, samples_n)
    whole = independence_days(homestead.whole)
    without = whole.reshape(-1, whole.shape[2])[starts][:, counted].min(axis=1)
    found = np.empty(samples_n, int)
    blamed = dict.fromkeys((one.part.name for one in breaking), 0)
    for sample, start in enumerate(starts):
        events = _events(breaking, generator)
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


def _breaking(plan: Plan, hours: Hours, rates: dict[str, float] | None) -> list[Breaking]:
    known = reference.items("breakdowns", "per_year")
    spares, repair = plan.breakdowns.spares, plan.breakdowns.repair_s / 86400.0
    found = []
    for part in parts_of(plan):
        if rates is not None:
            per_year = rates.get(part.kind, 0.0)
        elif part.kind == "generator":
            yearly_h = brief_year_of(hours)["generator_h"]
            per_year = yearly_h / reference.value(
                "breakdowns", "generator", "hours_to_failure", "h"
            )
        elif part.kind in known:
            per_year = reference.value("breakdowns", part.kind, "per_year", "1/year")
        else:
            per_year = 0.0  # crops, animals, single strings: no machines, or in another row
        if per_year > 0.0:
            has_spare = part.kind in spares
            found.append(Breaking(part, per_year / DAYS_A_YEAR, repair if has_spare else np.inf))
    return found


def _events(breaking: list[Breaking], generator: np.random.Generator) -> list[tuple]:
    """Days on which parts break and come back, in order: (day, part, whether it is out)."""
    events = []
    for one in breaking:
        day = 0.0
        while True:
            day += generator.exponential(1.0 / one.per_day)
            if day >= HORIZON_DAYS:
                break
            events.append((int(day), one.part.name, True))
            day += one.repair_days
            if day >= HORIZON_DAYS:
                break
            events.append((int(np.ceil(day)), one.part.name, False))
    return sorted(events)


class _Homestead:
    """A plan with any of its parts out, each such homestead made once."""

    def __init__(self, plan: Plan, years_n: int):
        self._plan, self._years_n = plan, years_n
        self.counted = [OUTCOMES.index(need) for need in plan.failure.counts]
        self.whole = hours_of(plan, years_n)
        self._made = {frozenset(): self.whole}

    def without(self, out: frozenset) -> Hours:
        """Inputs with some parts out; a part that the plan cannot be without stays in."""
        if out not in self._made:
            plan = self._plan
            for name in sorted(out):
                part = next((one for one in parts_of(plan) if one.name == name), None)
                if part is None:
                    continue  # it went with another
                try:
                    plan = with_changes(plan.raw, part.sets, folder=plan.folder)
                except PlanError:
                    continue
            hours = hours_of(plan, self._years_n)
            if np.array_equal(hours.rows, self.whole.rows):
                hours = Hours(**{**vars(hours), "rows": self.whole.rows})
            self._made[out] = hours
        return self._made[out]

    def live(self, start: int, events: list[tuple] | tuple) -> np.ndarray:
        """Days until each outcome of one start; after the first counted one, not all are sought."""
        whole = self.whole
        fuel_wh = whole.fuel_start_wh.copy()
        stock = kernel.stock(1, HORIZON_DAYS, whole.fixed, whole.larder, whole.window_n)
        state, elapsed, out = whole.start, 0, frozenset()
        for day, name, is_out in (*events, (HORIZON_DAYS, "", True)):
            if elapsed and stock[0][0, self.counted].min() < elapsed:
                break  # what breaks after the end changes nothing
            hours = self.without(out)
            if day > elapsed:
                state = kernel.live_on(
                    start, elapsed, day, HORIZON_DAYS, hours.rows, whole.days, hours.fixed,
                    hours.capacity_by_c, _fitting(state, hours), fuel_wh, *stock,
                )  # fmt: skip
                elapsed = day
            out = out | {name} if is_out else out - {name}
            if is_out and "freezer" in name:
                stock[1][0, 1] = 0.0  # what thaws is gone
        return stock[0][0, : len(OUTCOMES)]


def _fitting(state: State, hours: Hours) -> State:
    """State within the stores that are left."""
    fixed = hours.fixed
    return State(*state)._replace(
        battery_wh=min(state.battery_wh, fixed.battery_wh),
        casing_m3=min(state.casing_m3, fixed.casing_m3),
        tank_m3=min(state.tank_m3, fixed.tank_m3),
        cistern_m3=min(state.cistern_m3, fixed.cistern_m3),
    )


__all__ = ["Breakdowns", "Breaking", "as_dict", "breakdowns"]
