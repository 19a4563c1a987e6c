"""The public door: what ``import homestead as hs`` gives, each name one question put to a plan."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import replace
from pathlib import Path

from homestead import plan as plans
from homestead.outlook import Outlook
from homestead.outlook import run as _run
from homestead.plan.schema import Plan
from homestead.questions.buying import Buying, buying
from homestead.questions.changes import NextSteps
from homestead.questions.changes import next_steps as _next_steps
from homestead.questions.dark_days import last_until
from homestead.questions.free_actions import free_actions
from homestead.questions.guesses import Sureness, sureness
from homestead.questions.hard_winters import hard_winters
from homestead.questions.opinions import metered, opinions
from homestead.questions.parts_out import parts_out
from homestead.questions.run_together import run_together
from homestead.questions.variants import Variants
from homestead.questions.what_if import what_if

__all__ = [
    "free_actions",
    "hard_winters",
    "last_until",
    "metered",
    "next_steps",
    "open_plan",
    "opinions",
    "parts_out",
    "run",
    "run_together",
    "size_for",
    "uncertainty",
    "what_if",
]

Progress = Callable[[int, int], None]


def open_plan(path: str | Path | None = None) -> Plan:
    """Read a plan; the one beside you, or the demo, if no path is given.

    Raises PlanError with all faults, if the plan does not hold.

    Examples
    --------
    >>> import homestead as hs
    >>> from homestead.plan import demo_path
    >>> hs.open_plan(demo_path()).name
    'Larkspur Hollow'
    """
    return plans.open_plan(path)


def run(plan: Plan, years_n: int | None = None, progress: Progress | None = None) -> Outlook:
    """Days of independence of a plan, over every start in all its weather years.

    Examples
    --------
    >>> import homestead as hs
    >>> from homestead.plan import demo_path
    >>> hs.run(hs.open_plan(demo_path()), years_n=1).starts_n
    365
    """
    return _run(plan, years_n, progress)


def next_steps(
    plan: Plan,
    budget: float | None = None,
    years_n: int | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> NextSteps:
    """What to do next: what costs nothing first, then the plan's ideas in their best order.

    Its `free` ranks what costs nothing by the days it adds; ideas are worked alone and together,
    within the budget.
    """
    free = free_actions(plan, variants=Variants(plan, years_n, executor, progress))
    return replace(_next_steps(plan, budget, years_n, executor, progress), free=free)


def size_for(
    plan: Plan,
    days: int | None = None,
    share: float = 0.9,
    years_n: int | None = None,
    yearly_money: float | None = None,
    progress: Progress | None = None,
) -> Buying:
    """What to buy to last a number of days in a share of the starts: the cheapest mix.

    From the plan's ideas and prices; its `buying` says days and money a year where you don't.

    Raises ValueError if `days` is not from 1 to 365 or `share` not from 0.5 to 0.99.
    """
    return buying(plan, days, share, years_n, yearly_money, progress=progress)


def uncertainty(
    plan: Plan,
    need: str = "homestead",
    years_n: int | None = None,
    progress: Progress | None = None,
) -> Sureness:
    """How far the guesses of a plan move its days, and which to measure first."""
    return sureness(plan, need, variants=Variants(plan, years_n, progress=progress))
