"""A plan through the years: what each phase costs and how far the homestead is after it.

Phases are entered in the plan (`[[phase]]`: name, month, changes); each is worked with all changes
of the phases before it. Leaves the choice of changes to `homestead.questions.changes`.
"""

from dataclasses import dataclass

import pandas as pd

from homestead.questions.changes import figures_of, questions_of
from homestead.questions.variants import Variants


@dataclass(frozen=True)
class Stage:
    """The homestead after one phase."""

    name: str
    date: str  # year and month, ``"2027-05"``; empty for today
    changes: tuple[str, ...]  # made in this phase
    cost_money: float
    cost_so_far_money: float
    days: dict  # ``"p10"``, ``"p50"``, ``"least"`` and each season's p10 of the homestead
    by_need: dict  # p10 of each need
    first_to_fail: str


def stages(plan, years_n=None, executor=None, progress=None):
    """The homestead today and after each phase of the plan.

    years_n, executor, progress : As for `Variants`.
    Gives tuple of Stage: Today first; only today if the plan has no phases.

    Raises PlanError if the plan does not hold after some phase.
    """
    by_name = {change.name: change for change in plan.changes}
    steps = [("today", "", ())]
    steps += [(phase.name, phase.date, phase.changes) for phase in plan.phases]
    made, questions = [], []
    for _, _, names in steps:
        made += [by_name[name] for name in names]
        questions.append(questions_of(made))
    answers = Variants(plan, years_n, executor, progress).of(questions)
    found, spent = [], 0.0
    for (name, date, names), answer in zip(steps, answers, strict=True):
        cost = sum(by_name[name].cost_money for name in names)
        spent += cost
        now = figures_of(answer)
        found.append(
            Stage(name, date, names, cost, spent, now.days, now.by_need, now.first_to_fail)
        )
    return tuple(found)


def as_frame(found):
    """Stages as a table, one row each.

    Gives DataFrame: Columns phase, date, changes, cost_money, cost_so_far_money, p10_days,
        p50_days, least_days, one p10 column for each need, first_to_fail.
    """
    return pd.DataFrame(
        [
            {
                "phase": one.name,
                "date": one.date,
                "changes": ", ".join(one.changes),
                "cost_money": one.cost_money,
                "cost_so_far_money": one.cost_so_far_money,
                **{f"{name}_days": one.days[name] for name in ("p10", "p50", "least")},
                **{f"{need}_p10_days": days for need, days in one.by_need.items()},
                "first_to_fail": one.first_to_fail,
            }
            for one in found
        ]
    )
