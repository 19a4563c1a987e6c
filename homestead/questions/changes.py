"""What to change next: each candidate change, the best set within a budget, and its order.

The set comes from the search of `mixes`, which takes for granted that an idea never takes days
away. How many sets are worked grows with the ideas that matter, not with the sets that there are.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan import PlanError, with_changes
from homestead.questions.mixes import Lever, Search, joined
from homestead.questions.variants import InAll, Variants
from homestead.shown import Shown
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.vocabulary import NEEDS, SEASONS

SHOWN_FREE_N = 3  # free actions named in the short answer
PAIRED_N = 8  # ideas of which every pair is worked
WORTH_A_STEP_DAYS = 0.5
EXPECTED_EACH_N = 6  # sets worked for each idea, for the bar that shows how far it is


@dataclass(frozen=True)
class Figures:
    """What is kept of a variant."""

    days: dict  # ``"p10"``, ``"p50"``, ``"least"`` and each season's p10 of the homestead
    mean_days: float  # over all starts
    by_need: dict  # p10 of each need
    first_to_fail: str  # need that fails first in most starts, or ``"none"``
    # of an average year; all fuel, the generator's included
    fuel_wh: float
    generator_h: float
    findings: frozenset


@dataclass(frozen=True, kw_only=True)
class Effect(Figures):
    """What a set of changes does: the figures with it, beside those of the plan as it is."""

    names: tuple[str, ...]  # in the order of the plan; the later holds where two set one entry
    before: Figures
    cost_money: float = 0.0

    @property
    def gained(self):
        """Days more than the plan as it is, by the keys of `days`."""
        return {name: days - self.before.days[name] for name, days in self.days.items()}

    @property
    def gained_by_need(self):
        """Days of each need more than today, at 9 starts in 10."""
        return {need: days - self.before.by_need[need] for need, days in self.by_need.items()}

    @property
    def cost_per_day(self):
        """Money for each day gained at p10; infinite if none is."""
        gained = self.gained["p10"]
        return self.cost_money / gained if gained > 0 else np.inf

    @property
    def new_findings(self):
        """Dangers and warnings that the plan as it is lacks; a changed figure alone is not new."""
        known = {finding.key for finding in self.before.findings}
        new = [
            finding
            for finding in self.findings
            if finding.severity != "note" and finding.key not in known
        ]
        return tuple(
            sorted(new, key=lambda finding: (finding.severity, finding.about, finding.code))
        )


@dataclass(frozen=True, repr=False)
class NextSteps(Shown):
    """All that was learnt about the candidate changes."""

    today: Effect  # the plan as it is, no changes
    # each change with those that it needs, most days for the money first; those beyond the budget
    # too
    single: tuple[Effect, ...]
    # the best next step, then the best after that, until the best set is reached; each holds all so
    # far
    order: tuple[Effect, ...]
    best: Effect  # most days within the budget, for the least money
    # pairs that gain more than both of their changes one by one, by more than a day
    together: tuple[Effect, ...]
    # whether the search came to its end: no other set has more days, or the same for less
    is_proven: bool
    worked_n: int  # sets that were worked
    # tuple of (tuple of str, str); sets that the plan cannot take, with the reason: two changes
    # that exclude each other
    conflicts: tuple = ()
    # FreeActions; what costs nothing, which comes first; None where it was not worked
    free: object = None

    def shown(self):
        """What costs nothing, then each step of the best order, with its days."""
        title = f"What to do next: {self.today.days['p10']} days today"
        lines, before = self._shown_free(), set()
        for effect in self.order:
            fresh = [name for name in effect.names if name not in before]
            before |= set(effect.names)
            lines.append((" and ".join(fresh), f"to {effect.days['p10']} days"))
        return title, lines or [("no idea in the plan", "gains a day")]

    def _shown_free(self):
        if self.free is None:
            return []
        best = [
            action
            for action in self.free.actions
            if max(action.gained["p10"], action.need_gained) > 0
        ]
        lines = [
            (
                f"free: {action.name}",
                f"{action.gained['p10']:+d} days ({action.need} {action.need_gained:+d})",
            )
            for action in best[:SHOWN_FREE_N]
        ]
        return [*lines, ("free: all of it", f"to {self.free.together.days['p10']} days")]

    def effect_of(self, *names):
        """Effect of exactly these changes; KeyError if it is not among those shown."""
        for effect in (self.today, *self.single, *self.order, self.best, *self.together):
            if set(effect.names) == set(names):
                return effect
        raise KeyError(names)


def next_steps(
    plan, budget_money=None, years_n=None, executor=None, progress=None, each_alone=False
):
    """Work the candidate changes of a plan, alone and together.

    budget_money (float, optional) : Most that may be spent; without it, all changes may be made.
    years_n, executor : As for `Variants`.
    progress (callable, optional) : Called with (variants done, variants expected in all); raise in
        it to cancel.
    each_alone (bool) : Whether only each change by itself is worked; `best` is the best of them.
    Gives NextSteps.

    Raises PlanError if the plan does not hold with some change and those that it needs.
    """
    told = InAll(progress, 20 + EXPECTED_EACH_N * len(plan.changes))
    variants = Variants(plan, years_n, executor, told)
    ideas = _Ideas(plan, variants, np.inf if budget_money is None else budget_money)
    found = ideas.result(each_alone)
    told.end()
    return found


def lever_of(change):
    """A candidate change as something that is bought once or not at all."""
    return Lever(
        name=change.name,
        steps=(1.0,),
        cost=lambda many: change.cost_money * many,
        question=lambda _many: (change.sets, change.adds),
        needs=tuple(change.needs),
    )


def search_over(plan, levers, variants, days_of, need=None):
    """`Search` over levers whose mixes are worked as variants of a plan.

    levers (tuple of Lever)
    days_of (callable) : From a `Variant` to the days that count.
    need (str, optional) : Whose days are asked for, as for `Variants`.
    Gives Search: Its scores are `Figures`.
    """

    def work(mixes):
        worked = variants.of([search.question(mix) for mix in mixes], True, need)
        return [(days_of(variant), figures_of(variant)) for variant in worked]

    def refuses(mix):
        if sum(map(bool, mix)) < 2:
            return None  # each by itself was tried before
        try:
            with_changes(plan.raw, *search.question(mix), folder=plan.folder)
        except PlanError as error:
            return str(error)
        return None

    search = Search(levers, work, refuses)
    return search


def questions_of(changes):
    """Entries to set and parts to add for changes made one after the other.

    changes (iterable of Change)
    Gives (dict, dict): As `Variants` and `with_changes` take them.
    """
    return joined((change.sets, change.adds) for change in changes)


class _Ideas:
    """The candidate changes of a plan, on one search."""

    def __init__(self, plan, variants, budget_money):
        self.variants, self.budget_money = variants, budget_money
        self.levers = tuple(map(lever_of, plan.changes))
        self.search = search_over(plan, self.levers, variants, lambda variant: variant.reached())
        search = self.search
        self.alone = [search.changed(search.nothing, [n]) for n in range(len(self.levers))]
        for mix in self.alone:
            # A change that the plan cannot take by itself is a fault of the plan.
            with_changes(plan.raw, *search.question(mix), folder=plan.folder)
        asked = [search.nothing, *self.alone]
        variants.of([search.question(mix) for mix in asked])  # whole, so that none is worked twice
        search.try_all(asked)

    def names(self, mix):
        return tuple(self.levers[n].name for n in sorted(self.search.bought(mix)))

    def result(self, each_alone):
        search = self.search
        if each_alone:
            best = max([search.nothing, *self.alone], key=search.days)
            order, together = [], []
        else:
            best = search.most(self.budget_money)
            order = list(self.in_order(best))
            together = self.pairs(best)
        asked = list(dict.fromkeys([search.nothing, *self.alone, *order, best, *together]))
        figures = map(figures_of, self.variants.of([search.question(mix) for mix in asked]))
        known = dict(zip(asked, figures, strict=True))
        today = known[search.nothing]
        effects = {
            mix: Effect(
                **vars(figures), names=self.names(mix), before=today, cost_money=search.cost(mix)
            )
            for mix, figures in known.items()
        }
        single = sorted(
            {mix: effects[mix] for mix in self.alone}.values(),
            key=lambda effect: (
                effect.cost_per_day,
                -effect.gained["p50"],
                -effect.mean_days,
                effect.cost_money,
            ),
        )
        return NextSteps(
            today=effects[search.nothing],
            single=tuple(single),
            order=tuple(effects[mix] for mix in order),
            best=effects[best],
            together=tuple(effects[mix] for mix in together),
            is_proven=search.is_proven,
            worked_n=len(search.worked),
            conflicts=tuple(
                (tuple(self.levers[n].name for n in sorted(some)), why)
                for some, why in search.conflicts.items()
            ),
        )

    def in_order(self, best):
        """Steps to the best set: most days for the money first; two where one gains nothing."""
        here = self.search.nothing
        while here != best:
            here = self.step(here, best)
            yield here

    def step(self, here, best):
        left = sorted(self.search.bought(best) - self.search.bought(here))
        for size in (1, 2):
            options = [self.search.changed(here, some) for some in combinations(left, size)]
            self.search.try_all(options)
            worth = {}
            for mix in options:
                if mix in self.search.worked and (gained := self.gained(here, mix)):
                    money = self.search.cost(mix) - self.search.cost(here)
                    worth[mix] = gained / max(money, 1.0)
            if worth:
                return max(worth, key=worth.get)
        return best

    def gained(self, here, mix):
        """Days at p10 and those of all starts, so that what prepares the next step is seen."""
        then, now = (self.search.worked[some][1] for some in (here, mix))
        gained = now.mean_days - then.mean_days + now.days["p10"] - then.days["p10"]
        return gained if gained > WORTH_A_STEP_DAYS else 0.0

    def pairs(self, best):
        """Pairs that gain more together than their changes do one by one, most first."""
        search = self.search
        means = {n: search.worked[mix][1].mean_days for n, mix in enumerate(self.alone)}
        chosen = sorted(search.bought(best), key=lambda n: -means[n])
        chosen += [n for n in sorted(means, key=means.get, reverse=True) if n not in chosen]
        asked = {}
        for combination, other in combinations(sorted(chosen[:PAIRED_N]), 2):
            both = search.changed(search.nothing, [combination, other])
            if both not in (self.alone[combination], self.alone[other]):
                asked[both] = (combination, other)
        search.try_all(asked)
        base, found = search.days(search.nothing), {}
        for both, some in asked.items():
            if both in search.worked:
                apart = sum(search.days(self.alone[n]) - base for n in some)
                more = search.days(both) - base - max(apart, 0)
                if more > 1:
                    found[both] = more
        return sorted(found, key=found.get, reverse=True)


def figures_of(variant):
    """p10, p50, least of the homestead, each season's p10, and all else that is compared."""
    together = variant.together
    days = {
        "p10": variant.reached(),
        "p50": variant.reached(percent=50),
        "least": int(together.min()),
    }
    for season, months in SEASONS.items():
        chosen = together[:, np.isin(MONTH_OF_DAY, months)]
        days[season] = int(np.percentile(chosen, 10, method="lower"))
    firsts = _first_to_fail(variant)
    return Figures(
        days=days,
        mean_days=float(together.mean()),
        by_need={need: variant.reached(need) for need in NEEDS},
        first_to_fail=max(firsts, key=firsts.get),
        fuel_wh=variant.fuel_wh + variant.generator_fuel_wh,
        generator_h=variant.generator_h,
        findings=variant.findings,
    )


def _first_to_fail(variant):
    """Number of starts in which each counted need is (or shares) the first to fail."""
    together = variant.together
    shares = {
        need: int(((variant.days_of(need) == together) & (together < HORIZON_DAYS)).sum())
        for need in variant.counted
    }
    shares["none"] = int((together >= HORIZON_DAYS).sum())
    return shares
