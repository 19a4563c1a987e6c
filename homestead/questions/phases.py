"""A plan through the years: what each phase costs and how far the homestead is after it.

Phases are entered in the plan (`[[phase]]`: name, month, changes); each is worked with all changes
of the phases before it. Leaves the choice of changes to `homestead.questions.changes`.
"""

from dataclasses import dataclass

from homestead.questions.changes import Figures, figures_of, questions_of
from homestead.questions.variants import Variants


@dataclass(frozen=True, kw_only=True)
class Stage(Figures):
    """The homestead after one phase."""

    name: str
    date: str  # year and month, ``"2027-05"``; empty for today
    changes: tuple[str, ...]  # made in this phase
    cost_money: float
    cost_so_far_money: float


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
        found.append(
            Stage(
                **vars(figures_of(answer)),
                name=name,
                date=date,
                changes=names,
                cost_money=cost,
                cost_so_far_money=spent,
            )
        )
    return tuple(found)
