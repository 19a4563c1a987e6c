"""What to change next: each candidate change, all sets of them, and the best order within a budget.

Up to `EXHAUSTIVE_N` changes every set is worked, so that changes which only help together are
found. Beyond that the search keeps a beam of the best sets, adds one or two changes at a time and
swaps one for another until nothing gets better; it says so, and it can miss a set of three or more
that do nothing by themselves and in pairs.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from homestead.outlook.hours import MONTH_OF_DAY
from homestead.outlook.independence import HORIZON_DAYS
from homestead.outlook.terms import NEEDS
from homestead.outlook.variants import Variants

EXHAUSTIVE_N = 12
BEAM_N = 12
SEASONS = {
    "winter": (12, 1, 2),
    "spring": (3, 4, 5),
    "summer": (6, 7, 8),
    "autumn": (9, 10, 11),
}


@dataclass(frozen=True)
class Effect:
    """What a set of changes does.

    Attributes
    ----------
    names : tuple of str
        The changes, in the order of the plan.
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


@dataclass(frozen=True)
class NextSteps:
    """All that was learnt about the candidate changes.

    Attributes
    ----------
    today : Effect
        The plan as it is, no changes.
    single : tuple of Effect
        Each change with those that it needs, most days for the money first.
    sets : tuple of Effect
        Every set that was worked, best first.
    order : tuple of Effect
        The best next step, then the best after that, up to the budget; each holds all so far.
    best : Effect
        Most days within the budget.
    together : tuple of Effect
        Pairs that gain more than both of their changes alone, by more than a day.
    exhaustive : bool
        Whether every set was worked.
    """

    today: Effect
    single: tuple
    sets: tuple
    order: tuple
    best: Effect
    together: tuple
    exhaustive: bool

    def effect_of(self, *names):
        """Effect of exactly these changes; KeyError if that set was not worked."""
        for effect in (self.today, *self.sets):
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
        If a changed plan does not hold.
    """
    search = _Search(plan, Variants(plan, years_n, executor, progress), budget_money)
    exhaustive = len(plan.changes) <= EXHAUSTIVE_N
    if exhaustive:
        search.work(search.all_sets())
    else:
        search.beam()
    return search.result(exhaustive)


class _Search:
    """The sets worked so far."""

    def __init__(self, plan, variants, budget_money):
        self.plan = plan
        self.variants = variants
        self.budget_money = np.inf if budget_money is None else budget_money
        self.changes = {change.name: change for change in plan.changes}
        self.order = list(self.changes)
        self.worked = {}
        self.work([frozenset()])
        self.base = self.worked[frozenset()]

    def closed(self, names):
        """Names with all that they need, in turn."""
        names = set(names)
        while True:
            more = {need for name in names for need in self.changes[name].needs} - names
            if not more:
                return frozenset(names)
            names |= more

    def cost(self, names):
        return sum(self.changes[name].cost_money for name in names)

    def all_sets(self):
        """Every set that holds what its members need and stays within the budget."""
        for size in range(1, len(self.order) + 1):
            for names in combinations(self.order, size):
                if self.closed(names) == set(names) and self.cost(names) <= self.budget_money:
                    yield frozenset(names)

    def work(self, sets):
        sets = [names for names in dict.fromkeys(sets) if names not in self.worked]
        questions = [self.question(names) for names in sets]
        for names, variant in zip(sets, self.variants.of(questions), strict=True):
            self.worked[names] = variant

    def question(self, names):
        """Entries to set and parts to add, in the order of the plan."""
        sets, adds = {}, {}
        for name in self.order:
            if name in names:
                sets |= self.changes[name].sets
                for key, parts in self.changes[name].adds.items():
                    adds.setdefault(key, []).extend(parts)
        return sets, adds

    def score(self, names):
        """Days that count when sets are compared: p10, then p50, then the mean; cheaper first."""
        variant = self.worked[names]
        return (
            variant.reached(),
            variant.reached(percent=50),
            float(variant.together.mean()),
            -self.cost(names),
        )

    def beam(self):
        """Best sets by adding one or two changes at a time, then by swapping one for another."""
        beam = [frozenset()]
        while True:
            wider = {
                self.closed(names | set(extra))
                for names in beam
                for size in (1, 2)
                for extra in combinations([one for one in self.order if one not in names], size)
            }
            wider |= {
                self.closed((names - {out}) | {into})
                for names in beam
                for out in names
                for into in self.order
                if into not in names and self.closed(names - {out}) == names - {out}
            }
            wider = [names for names in wider if self.cost(names) <= self.budget_money]
            fresh = [names for names in wider if names not in self.worked]
            if not fresh:
                return
            self.work(fresh)
            best = sorted(self.worked, key=self.score, reverse=True)[:BEAM_N]
            if best == beam:
                return
            beam = best

    def effect(self, names):
        variant, base = self.worked[names], self.base
        days, before = _figures(variant), _figures(base)
        gained = {name: days[name] - before[name] for name in days}
        cost = self.cost(names)
        firsts = _first_to_fail(variant)
        return Effect(
            names=tuple(name for name in self.order if name in names),
            cost_money=cost,
            days=days,
            gained=gained,
            by_need={need: variant.reached(need) for need in NEEDS},
            first_to_fail=max(firsts, key=firsts.get),
            cost_per_day=cost / gained["p10"] if gained["p10"] > 0 else np.inf,
            fuel_wh=_fuel_wh(variant) - _fuel_wh(base),
            generator_h=variant.generator_h - base.generator_h,
            new_findings=tuple(
                one for one in sorted(variant.findings - base.findings) if one[0] != "note"
            ),
        )

    def result(self, exhaustive):
        made = sorted((one for one in self.worked if one), key=self.score, reverse=True)
        effects = {names: self.effect(names) for names in self.worked}
        alone = [self.closed([name]) for name in self.order]
        alone = [names for names in dict.fromkeys(alone) if names in effects]
        single = sorted(
            (effects[names] for names in alone),
            key=lambda one: (one.cost_per_day, -one.gained["p50"], one.cost_money),
        )
        order = []
        here = frozenset()
        while step := self.next_step(here):
            here = step
            order.append(effects[here])
        best = max(effects, key=self.score)
        return NextSteps(
            today=effects[frozenset()],
            single=tuple(single),
            sets=tuple(effects[names] for names in made),
            order=tuple(order),
            best=effects[best],
            together=tuple(self.pairs(effects)),
            exhaustive=exhaustive,
        )

    def next_step(self, here):
        """Most days for the money among single changes, or pairs where no single one helps."""
        start = self.worked[here]
        for size in (1, 2):
            options = [
                self.closed(here | set(extra))
                for extra in combinations([one for one in self.order if one not in here], size)
            ]
            options = [one for one in options if self.cost(one) <= self.budget_money]
            self.work(options)
            gains = {}
            for option in dict.fromkeys(options):
                gained = float(np.mean(self.worked[option].together) - np.mean(start.together)) + (
                    self.worked[option].reached() - start.reached()
                )
                if gained > 0.5:
                    gains[option] = gained / max(self.cost(option) - self.cost(here), 1.0)
            if gains:
                return max(gains, key=gains.get)
        return None

    def pairs(self, effects):
        """Pairs that gain more together than their changes do one by one."""
        base = self.base.reached()
        for one, other in combinations(self.order, 2):
            both = self.closed([one, other])
            first, second = self.closed([one]), self.closed([other])
            if both in (first, second) or not {both, first, second} <= set(self.worked):
                continue
            apart = sum(self.worked[names].reached() - base for names in (first, second))
            if self.worked[both].reached() - base > max(apart, 0) + 1:
                yield effects[both]


def _figures(variant):
    """p10, p50 and least of the homestead, and each season's p10."""
    together = variant.together
    figures = {
        "p10": variant.reached(),
        "p50": variant.reached(percent=50),
        "least": int(together.min()),
    }
    for season, months in SEASONS.items():
        chosen = together[:, np.isin(MONTH_OF_DAY, months)]
        figures[season] = int(np.percentile(chosen, 10, method="lower"))
    return figures


def _fuel_wh(variant):
    return variant.fuel_wh + variant.generator_fuel_wh


def _first_to_fail(variant):
    """Number of starts in which each counted need is (or shares) the first to fail."""
    together = variant.together
    shares = {
        need: int(((variant.days_of(need) == together) & (together < HORIZON_DAYS)).sum())
        for need in variant.counted
    }
    shares["none"] = int((together >= HORIZON_DAYS).sum())
    return shares
