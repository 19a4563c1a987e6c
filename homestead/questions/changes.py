"""What to change next: each candidate change, all sets of them, and the best order within a budget.

Up to `EXHAUSTIVE_N` changes every set is worked, so that changes which only help together are
found. Beyond that every pair is worked, and the search keeps a beam of the best sets, adds changes
to them and swaps one for another until nothing gets better; it says so, and it can miss a set of
three or more that do nothing by themselves and in pairs.
"""

import re
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan import PlanError, with_changes
from homestead.questions.variants import Variants
from homestead.shown import Shown
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.vocabulary import NEEDS, SEASONS

EXHAUSTIVE_N = 12
BEAM_N = 12
AT_ONCE_N = 256  # variants held in full at a time; only their figures are kept
WORTH_A_STEP_DAYS = 0.5
_NUMBERS = re.compile(r"\d[\d.,]*")


@dataclass(frozen=True)
class Effect:
    """What a set of changes does.

    Attributes
    ----------
    names : tuple of str
        The changes, in the order of the plan; where two set the same entry, the later one holds.
    cost_money : float
    days : dict
        ``"p10"``, ``"p50"``, ``"least"`` and each season's p10 of the homestead.
    gained : dict
        The same, less those of the plan as it is.
    by_need : dict
        p10 of each need.
    first_to_fail : str
        Need that fails first in most starts, or ``"none"``.
    cost_per_day : float
        Money for each day gained at p10; infinite if none is.
    fuel_wh, generator_h : float
        Change of a mean year: all fuel, the generator's included, and its running hours.
    new_findings : tuple of (severity, about, text)
        Dangers and warnings that the plan as it is does not have.
    gone_findings : tuple of (severity, about, text)
        Those that it has and this set does away with.
    mean_days : float
        Mean over all starts.
    """

    names: tuple
    cost_money: float
    days: dict
    gained: dict
    by_need: dict
    first_to_fail: str
    cost_per_day: float
    fuel_wh: float
    generator_h: float
    new_findings: tuple
    gone_findings: tuple = ()
    mean_days: float = 0.0


@dataclass(frozen=True, repr=False)
class NextSteps(Shown):
    """All that was learnt about the candidate changes.

    Attributes
    ----------
    today : Effect
        The plan as it is, no changes.
    single : tuple of Effect
        Each change with those that it needs, most days for the money first; those beyond the
        budget too.
    sets : tuple of Effect
        Every set within the budget that was worked, best first.
    order : tuple of Effect
        The best next step, then the best after that, up to the budget; each holds all so far.
    best : Effect
        Most days within the budget.
    together : tuple of Effect
        Pairs that gain more than both of their changes one by one, by more than a day.
    exhaustive : bool
        Whether every set was worked.
    conflicts : tuple of (tuple of str, str)
        Sets that the plan cannot take, with the reason: two changes that exclude each other.
    """

    today: Effect
    single: tuple
    sets: tuple
    order: tuple
    best: Effect
    together: tuple
    exhaustive: bool
    conflicts: tuple = ()

    def shown(self):
        """Each step of the best order, with its days and its cost."""
        title = f"What to do next: {self.today.days['p10']} days today"
        lines, before = [], set()
        for effect in self.order:
            fresh = [name for name in effect.names if name not in before]
            before |= set(effect.names)
            lines.append((" and ".join(fresh), f"to {effect.days['p10']} days"))
        return title, lines or [("no idea in the plan", "gains a day")]

    def effect_of(self, *names):
        """Effect of exactly these changes; KeyError if that set was not worked."""
        for effect in (self.today, *self.sets, *self.single):
            if set(effect.names) == set(names):
                return effect
        raise KeyError(names)


def next_steps(plan, budget_money=None, years_n=None, executor=None, progress=None):
    """Work the candidate changes of a plan, alone and together.

    Parameters
    ----------
    plan : Plan
    budget_money : float, optional
        Most that may be spent; without it, all changes may be made.
    years_n, executor, progress
        As for `Variants`.

    Returns
    -------
    NextSteps

    Raises
    ------
    PlanError
        If the plan does not hold with some change and those that it needs.
    """
    search = _Search(plan, Variants(plan, years_n, executor, progress), budget_money)
    exhaustive = len(plan.changes) <= EXHAUSTIVE_N
    if exhaustive:
        search.work(search.all_sets())
    else:
        search.beam()
    return search.result(exhaustive)


def questions_of(changes):
    """Entries to set and parts to add for changes made one after the other.

    Parameters
    ----------
    changes : iterable of Change

    Returns
    -------
    (dict, dict)
        As `Variants` and `with_changes` take them.
    """
    sets, adds = {}, {}
    for change in changes:
        sets |= change.sets
        for key, parts in change.adds.items():
            adds.setdefault(key, []).extend(parts)
    return sets, adds


@dataclass(frozen=True)
class Figures:
    """What is kept of a variant.

    Attributes
    ----------
    days : dict
        ``"p10"``, ``"p50"``, ``"least"`` and each season's p10 of the homestead.
    mean_days : float
    by_need : dict
        p10 of each need.
    first_to_fail : str
    fuel_wh, generator_h : float
        Of a mean year; all fuel, the generator's included.
    findings : frozenset
    """

    days: dict
    mean_days: float
    by_need: dict
    first_to_fail: str
    fuel_wh: float
    generator_h: float
    findings: frozenset


class _Search:
    """The sets worked so far."""

    def __init__(self, plan, variants, budget_money):
        self.plan = plan
        self.variants = variants
        self.budget_money = np.inf if budget_money is None else budget_money
        self.changes = {change.name: change for change in plan.changes}
        self.order = list(self.changes)
        self.worked = {}
        self.conflicts = {}
        for name in self.order:
            # A change that the plan cannot take by itself is a fault of the plan.
            with_changes(plan.raw, *self.question(self.closed([name])), folder=plan.folder)
        self.work([frozenset(), *(self.closed([name]) for name in self.order)])
        self.base = self.worked[frozenset()]

    def closed(self, names):
        """Names with all that they need, in turn."""
        names = set(names)
        while True:
            more = {need for name in names for need in self.changes[name].needs} - names
            if not more:
                return frozenset(names)
            names |= more

    def in_order(self, names):
        return tuple(name for name in self.order if name in names)

    def cost(self, names):
        return sum(self.changes[name].cost_money for name in self.in_order(names))

    def fits(self, names):
        return self.cost(names) <= self.budget_money and names not in self.conflicts

    def question(self, names):
        return questions_of(self.changes[name] for name in self.in_order(names))

    def all_sets(self):
        """Every set that holds what its members need and stays within the budget."""
        for size in range(1, len(self.order) + 1):
            for names in combinations(self.order, size):
                if self.closed(names) == set(names) and self.cost(names) <= self.budget_money:
                    yield frozenset(names)

    def work(self, sets):
        fresh = []
        for names in dict.fromkeys(sets):
            if names in self.worked or names in self.conflicts:
                continue
            if len(names) > 1:
                try:
                    with_changes(self.plan.raw, *self.question(names), folder=self.plan.folder)
                except PlanError as error:
                    self.conflicts[names] = str(error)
                    continue
            fresh.append(names)
        for first in range(0, len(fresh), AT_ONCE_N):
            some = fresh[first : first + AT_ONCE_N]
            questions = [self.question(names) for names in some]
            for names, variant in zip(some, self.variants.of(questions), strict=True):
                self.worked[names] = figures_of(variant)

    def score(self, names):
        """What counts when sets are compared: p10, then p50, then the mean; cheaper, then fewer."""
        one = self.worked[names]
        return (one.days["p10"], one.days["p50"], one.mean_days, -self.cost(names), -len(names))

    def beam(self):
        """Best sets: all pairs first, then by adding and by swapping within a beam of the best."""
        self.work(self.wider(frozenset(), 2))
        beam = [frozenset()]
        while True:
            fresh = {wider for names in beam for wider in self.wider(names, 1)}
            fresh |= {wider for names in beam[:1] for wider in self.wider(names, 2)}
            fresh |= {swapped for names in beam for swapped in self.swapped(names)}
            fresh = [one for one in fresh if one not in self.worked and self.fits(one)]
            # In a fixed order, so that ties fall the same way every time.
            self.work(sorted(fresh, key=self.in_order))
            within = (names for names in self.worked if self.fits(names))
            best = sorted(within, key=self.score, reverse=True)[:BEAM_N]
            if best == beam:
                return
            beam = best

    def wider(self, names, size):
        """Sets with `size` more changes (and what those need) that fit the budget."""
        others = [one for one in self.order if one not in names]
        found = (self.closed(names | set(extra)) for extra in combinations(others, size))
        return [one for one in dict.fromkeys(found) if self.fits(one)]

    def swapped(self, names):
        """Sets with one change for another that nothing else in the set needs."""
        for out in self.in_order(names):
            rest = names - {out}
            if self.closed(rest) == rest:
                for into in self.order:
                    if into not in names:
                        yield self.closed(rest | {into})

    def effect(self, names):
        return effect_between(self.base, self.worked[names], self.in_order(names), self.cost(names))

    def result(self, exhaustive):
        order = []
        here = frozenset()
        while step := self.next_step(here):
            here = step
            order.append(here)
        effects = {names: self.effect(names) for names in self.worked}
        within = [names for names in effects if self.fits(names)]
        made = sorted((one for one in within if one), key=self.score, reverse=True)
        single = sorted(
            {names: effects[names] for names in map(self.closed, zip(self.order))}.values(),
            key=lambda one: (one.cost_per_day, -one.gained["p50"], -one.mean_days, one.cost_money),
        )
        return NextSteps(
            today=effects[frozenset()],
            single=tuple(single),
            sets=tuple(effects[names] for names in made),
            order=tuple(effects[names] for names in order),
            best=effects[max(within, key=self.score)],
            together=tuple(effects[names] for names in self.pairs()),
            exhaustive=exhaustive,
            conflicts=tuple((self.in_order(one), why) for one, why in self.conflicts.items()),
        )

    def next_step(self, here):
        """Most days for the money, by one more change or by two that only help together."""
        options = self.wider(here, 1) + self.wider(here, 2)
        self.work(options)
        start, worth = self.worked[here], {}
        for option in dict.fromkeys(options):
            if option not in self.worked:
                continue
            one = self.worked[option]
            # Days at p10 count, and those of all starts, so that a step which prepares the next
            # one is seen before p10 moves.
            gained = one.mean_days - start.mean_days + one.days["p10"] - start.days["p10"]
            if gained > WORTH_A_STEP_DAYS:
                worth[option] = gained / max(self.cost(option) - self.cost(here), 1.0)
        return max(worth, key=worth.get) if worth else None

    def pairs(self):
        """Pairs that gain more together than their changes do one by one, most first."""
        base = self.base.days["p10"]
        found = {}
        for one, other in combinations(self.order, 2):
            both = self.closed([one, other])
            alone = self.closed([one]), self.closed([other])
            if both in alone or both not in self.worked:
                continue
            apart = sum(self.worked[names].days["p10"] - base for names in alone)
            more = self.worked[both].days["p10"] - base - max(apart, 0)
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


def effect_between(before, after, names, cost_money=0.0):
    """`Effect` of what lies between two `Figures`."""
    gained = {name: after.days[name] - before.days[name] for name in after.days}
    return Effect(
        names=tuple(names),
        cost_money=cost_money,
        days=after.days,
        gained=gained,
        by_need=after.by_need,
        first_to_fail=after.first_to_fail,
        cost_per_day=cost_money / gained["p10"] if gained["p10"] > 0 else np.inf,
        fuel_wh=after.fuel_wh - before.fuel_wh,
        generator_h=after.generator_h - before.generator_h,
        new_findings=_beyond(after.findings, before.findings),
        gone_findings=_beyond(before.findings, after.findings),
        mean_days=after.mean_days,
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


def _beyond(findings, others):
    """Dangers and warnings that are not among others; a changed figure alone is nothing new."""
    known = {_without_figures(one) for one in others}
    return tuple(
        one for one in sorted(findings) if one[0] != "note" and _without_figures(one) not in known
    )


def _without_figures(finding):
    severity, about, text = finding
    return severity, about, _NUMBERS.sub("#", text)
