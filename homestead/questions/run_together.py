"""What may run and start together, asked in one line: order to switch on, headroom, what goes off.

By night, by day with the sun of the hour, and each with one main inverter down; with and without
soft starters. The hour is yours to name, or now.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np
import pandas as pd

from homestead import units
from homestead.outlook.independence import Outlook
from homestead.plan.schema import Plan
from homestead.shown import Shown
from homestead.simulate.inputs import Hours, hours_of
from homestead.trades.power import study_loads as study
from homestead.trades.power.study_together import Situation, Step, situations, switched_on

YEARS_N = 5  # of weather, for the sun of an hour
NAMED_N = 4  # names in a line before the rest is counted


@dataclass(frozen=True)
class Set:
    """One situation worked with and without soft starters."""

    situation: Situation
    # in the order in which to switch on
    plain: tuple[Step, ...]
    soft: tuple[Step, ...]

    @property
    def tightest(self) -> Step | None:
        """Motor whose start leaves least while all else runs, without a soft starter."""
        motors = [step for step in self.plain if np.isfinite(step.all_on_va)]
        return min(motors, key=lambda motor: motor.all_on_va, default=None)

    def on_w(self, soft: bool = False) -> float:
        """Power of all that fits together. [W]."""
        return sum(step.load.running_w for step in (self.soft if soft else self.plain) if step.fits)


@dataclass(frozen=True, repr=False)
class RunTogether(Shown):
    """What may run and start together."""

    # as asked
    month: int
    hour: int
    # by night, by day, and with one main inverter down; empty without a main inverter
    sets: tuple[Set, ...]

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """A line for each situation, then the order by night and what goes off first."""
        if not self.sets:
            return "Your plan has no main inverter", []
        lines = [(case.situation.name, _in_words(case)) for case in self.sets]
        first = self.sets[0]
        lines.append(("switch on, by night", _names([s.load.name for s in first.plain if s.fits])))
        lines.append(("switch off first", _names(self.off_first(first))))
        for case in self.sets:
            wait = [step.load.name for step in case.plain if not step.fits]
            if wait:
                lines.append((f"no room {case.situation.name}", _names(wait)))
        every = all(step.fits for case in self.sets for step in case.plain)
        worst = min(
            (case for case in self.sets if case.tightest),
            key=lambda case: case.tightest.all_on_va,
            default=None,
        )
        title = "Everything that can run fits together" if every else "Not all fits together"
        if worst is not None and worst.tightest.all_on_va < 0.0:
            title += f"; {worst.tightest.load.name} can't start beside all the rest"
        return f"{title} ({datetime(2001, self.month, 1):%B}, {self.hour}:00)", lines

    @staticmethod
    def off_first(case: Set) -> list[str]:
        """Loads that run, in the order in which to switch them off: comfort, the largest first."""
        on = [step.load for step in case.plain if step.fits and step.load.priority_n > 1]
        return [load.name for load in sorted(on, key=lambda x: (-x.priority_n, -x.running_w))]

    @property
    def table(self) -> pd.DataFrame:
        """Each load of each situation, in the order in which to switch it on.

        Columns: situation, soft_starters, order, load, priority, running_w, start_va, together_w,
        left_w, start_left_va (nan without a motor), start_left_all_on_va, lasts, fits, off_first.
        """
        rows = []
        for case in self.sets:
            for soft, steps in ((False, case.plain), (True, case.soft)):
                for order, step in enumerate(steps, 1):
                    rows.append(_row(case.situation, soft, order, step))
        return pd.DataFrame(rows, columns=list(_COLUMNS))


_COLUMNS = (
    *("situation", "soft_starters", "order", "load", "priority", "running_w", "start_va"),
    *("together_w", "left_w", "start_left_va", "start_left_all_on_va", "lasts", "fits"),
    "off_first",
)


def _row(situation: Situation, soft: bool, order: int, step: Step) -> dict:
    off = "it doesn't fit by itself" if step.off_first is None else "; ".join(step.off_first)
    return {
        "situation": situation.name,
        "soft_starters": soft,
        "order": order,
        "load": step.load.name,
        "priority": step.load.priority_n,
        "running_w": step.load.running_w,
        "start_va": step.start_va,
        "together_w": step.running_w,
        "left_w": step.left_w,
        "start_left_va": _or_nan(step.left_va),
        "start_left_all_on_va": _or_nan(step.all_on_va),
        "lasts": lasts_text(step.lasts_s),
        "fits": step.fits,
        "off_first": off,
    }


def _or_nan(value: float) -> float:
    return value if np.isfinite(value) else float("nan")


def lasts_text(seconds: float) -> str:
    """How long something may run, in words."""
    if np.isinf(seconds):
        return "no limit"
    if seconds <= 0.0:
        return "not at all"
    return f"{seconds / 60:.0f} min" if seconds >= 60.0 else f"{seconds:.0f} s"


def _in_words(case: Set) -> str:
    fit_n = sum(step.fits for step in case.plain)
    words = (
        f"{fit_n} of {len(case.plain)} fit, {case.on_w() / 1000:.1f} of "
        f"{case.situation.limit_w / 1000:.1f} kW"
    )
    if case.situation.sun_w > 0.0:
        words += f" ({case.situation.sun_w / 1000:.1f} sun)"
    tight = case.tightest
    if tight is not None:
        soft = next(step for step in case.soft if step.load.name == tight.load.name)
        words += (
            f"; tightest start, all else on: {tight.load.name} {tight.all_on_va / 1000:+.1f} kVA"
        )
        if soft.start_va < tight.start_va:
            words += f" ({soft.all_on_va / 1000:+.1f} with a soft starter)"
    return words


def _names(names: list[str]) -> str:
    if not names:
        return "nothing"
    more = len(names) - NAMED_N
    shown = "; ".join(names[:NAMED_N])  # a name may hold a comma
    return f"{shown}; and {more} more" if more > 0 else shown


def run_together(
    plan: Plan | Outlook, month: int | None = None, hour: int | None = None
) -> RunTogether:
    """What may run and start together, by night, by day, and with one main inverter down.

    plan (Plan or Outlook) : An outlook's weather is used as it is.
    month, hour (int, optional) : From 1 and from 0; now by default.

    Raises ValueError if month or hour is out of range.
    """
    now = datetime.now()
    month = int(units.checked("month", now.month if month is None else month, 1, 12))
    hour = int(units.checked("hour", now.hour if hour is None else hour, 0, 23))
    if isinstance(plan, Outlook):
        return worked(plan.hours, month, hour)
    return worked(hours_of(plan, min(YEARS_N, plan.site.years_n)), month, hour)


def worked(hours: Hours, month: int, hour: int) -> RunTogether:
    """`run_together` from inputs at hand."""
    loads = study.loads_of(hours.plan, hours.fixed)
    sets = tuple(
        Set(situation, switched_on(situation, loads), switched_on(situation, loads, soft=True))
        for situation in situations(hours, month, hour, loads)
    )
    return RunTogether(month, hour, sets)


def at_its_busiest(hours: Hours) -> RunTogether:
    """`run_together` in the month and hour in which the most may run."""
    busiest = study.busiest_hour(study.loads_of(hours.plan, hours.fixed))
    return worked(hours, busiest.month, busiest.hour)
