"""The search for the cheapest mix of things to buy, on whatever says how many days a mix reaches.

Owns the search alone: levers, mixes, what was learnt. It takes for granted that more never gives
fewer days. Then every mix that falls short says what a mix that does must hold: more of something
than it has. Each such mix is made as large as it may be before it counts, and the cheapest mix
that meets all that was learnt is tried next (an integer program). The first that reaches the days
is the cheapest. Work grows with the number of levers that matter, not with the number of mixes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from homestead.outlook.independence import HORIZON_DAYS

# Mixes worked before the search stops where it is: at least, and for each lever.
LEAST_WORKED_N, WORKED_EACH_N = 60, 25
FEWER_MONEY = 1e-3  # what each thing more must save, so that of two equal mixes the smaller wins
_TOLERANCE = 1e-9

Mix = tuple[float, ...]  # how much of each lever is bought; 0 for nothing


@dataclass(frozen=True)
class Lever:
    """One thing that money buys, in steps."""

    name: str
    steps: tuple[float, ...]  # amounts that may be bought, rising, without 0
    cost: Callable[[float], float]  # from an amount to money
    # from an amount to (sets, adds), as `Variants` takes them
    question: Callable[[float], tuple[dict[str, Any], dict[str, Any]]]
    needs: tuple[str, ...] = ()  # levers of which some must be bought first


def joined(pairs: Iterable[tuple[dict[str, Any], dict[str, Any]]]) -> tuple[dict, dict]:
    """One (sets, adds) of several, made one after the other; the later holds."""
    sets: dict[str, Any] = {}
    adds: dict[str, Any] = {}
    for more_sets, more_adds in pairs:
        sets |= more_sets
        for key, parts in more_adds.items():
            adds.setdefault(key, []).extend(parts)
    return sets, adds


@dataclass
class Search:
    """Mixes of levers worked so far, and what they teach."""

    levers: tuple[Lever, ...]  # sequence of Lever
    # from a list of mixes to a list of (days, score) in their order: the days that count and
    # whatever else tells two mixes of the same days apart
    work: Callable[[list[Mix]], list[tuple[int, Any]]]
    # from a mix to the reason why a plan cannot take it, or None
    refuses: Callable[[Mix], str | None] = lambda mix: None
    worked: dict[Mix, tuple[int, Any]] = field(default_factory=dict)
    conflicts: dict[frozenset[int], str] = field(default_factory=dict)
    is_proven: bool = True

    def __post_init__(self) -> None:
        self.nothing: Mix = (0.0,) * len(self.levers)
        self.place = {lever.name: number for number, lever in enumerate(self.levers)}
        self.most_n = LEAST_WORKED_N + WORKED_EACH_N * len(self.levers)

    # --- mixes ------------------------------------------------------------------------------------

    def cost(self, mix: Mix) -> float:
        """Money for a mix."""
        return float(sum(lever.cost(many) for lever, many in zip(self.levers, mix, strict=True)))

    def question(self, mix: Mix) -> tuple[dict, dict]:
        """What a mix sets and adds in the plan."""
        pairs = zip(self.levers, mix, strict=True)
        return joined(lever.question(many) for lever, many in pairs if many > 0.0)

    def bought(self, mix: Mix) -> frozenset[int]:
        """Numbers of the levers of which a mix buys some."""
        return frozenset(number for number, many in enumerate(mix) if many > 0.0)

    def closed(self, mix: Mix) -> Mix:
        """A mix with the least of all that its members need, in turn."""
        full = list(mix)
        waiting = list(self.bought(mix))
        while waiting:
            for need in self.levers[waiting.pop()].needs:
                if full[self.place[need]] == 0.0:
                    full[self.place[need]] = self.levers[self.place[need]].steps[0]
                    waiting.append(self.place[need])
        return tuple(full)

    def changed(self, mix: Mix, numbers: Iterable[int], step: int = -1) -> Mix:
        """A mix with some levers at one of their steps, the last by default; closed."""
        full = list(mix)
        for number in numbers:
            full[number] = self.levers[number].steps[step]
        return self.closed(tuple(full))

    # --- working them -----------------------------------------------------------------------------

    def holds(self, mix: Mix) -> bool:
        """Whether the plan can take a mix; if not, the fewest that exclude each other are noted."""
        bought = self.bought(mix)
        if any(conflict <= bought for conflict in self.conflicts):
            return False
        reason = self.refuses(mix)
        if reason is None:
            return True
        for number in sorted(bought):
            fewer = list(mix)
            fewer[number] = 0.0
            rest = tuple(fewer)
            if self.closed(rest) == rest and (why := self.refuses(rest)) is not None:
                mix, reason = rest, why
        self.conflicts[self.bought(mix)] = reason
        return False

    def try_all(self, mixes: Iterable[Mix]) -> None:
        """Work mixes that were not worked yet and that the plan can take."""
        fresh = [mix for mix in dict.fromkeys(mixes) if mix not in self.worked and self.holds(mix)]
        if fresh:
            self.worked |= zip(fresh, self.work(fresh), strict=True)

    def days(self, mix: Mix) -> int | None:
        """Days that a mix reaches; None if the plan cannot take it."""
        self.try_all([mix])
        return self.worked[mix][0] if mix in self.worked else None

    # --- questions --------------------------------------------------------------------------------

    def cheapest(
        self, target: int, budget: float = np.inf, avoid: frozenset[int] = frozenset()
    ) -> Mix | None:
        """Cheapest mix that reaches some days; None if none within the budget does.

        `avoid` are levers of which not all may be bought. When as many mixes were worked as may
        be, the cheapest of those that do, and `is_proven` turns false.
        """
        while True:
            mix = self._next(target, avoid)
            if mix is None or self.cost(mix) > budget + _TOLERANCE:
                return None
            days = self.days(mix)
            if days is None:
                continue  # the conflict was noted and is kept to from now on
            if days >= target:
                return mix
            if len(self.worked) >= self.most_n:
                self.is_proven = False
                return self._cheapest_worked(target, budget, avoid)
            self._grown(mix, self._by_cost(), target)

    def most(self, budget: float = np.inf) -> Mix:
        """Cheapest mix with the most days within a budget; of equals the one bought first."""
        everything = self.changed(self.nothing, range(len(self.levers)))
        best, low, high = self.nothing, self.days(self.nothing) or 0, HORIZON_DAYS
        ceiling = self.days(everything)
        if ceiling is not None:
            high = max(ceiling, low)
        while low < high:
            target = (low + high + 1) // 2
            mix = self.cheapest(target, budget)
            if mix is None:
                high = target - 1
            else:
                best, low = mix, max(self.days(mix) or 0, target)
        if not self.is_proven:
            within = [mix for mix in self.worked if self.cost(mix) <= budget + _TOLERANCE]
            best = max(within, key=lambda mix: (self.worked[mix][0], -self.cost(mix)))
        return best

    # --- what is behind them ----------------------------------------------------------------------

    def _by_cost(self) -> list[int]:
        """Levers, the cheapest first: what stays out of a mix that falls short is then dear."""
        return sorted(
            range(len(self.levers)), key=lambda n: self.levers[n].cost(self.levers[n].steps[-1])
        )

    def _is_short(self, mix: Mix, target: int) -> bool:
        days = self.days(mix)
        return days is not None and days < target

    def _grown(self, mix: Mix, levers: list[int], target: int) -> Mix:
        """A mix as large as it may be in some levers and still short of the target."""
        levers = [lever for lever in levers if mix[lever] < self.levers[lever].steps[-1]]
        if not levers:
            return mix
        larger = self.changed(mix, levers)
        if self._is_short(larger, target):
            return larger
        if len(levers) == 1:
            return self._part_grown(mix, levers[0], target)
        left, right = levers[: len(levers) // 2], levers[len(levers) // 2 :]
        self.try_all([self.changed(mix, left), self.changed(mix, right)])  # beside each other
        return self._grown(self._grown(mix, left, target), right, target)

    def _part_grown(self, mix: Mix, lever: int, target: int) -> Mix:
        steps = self.levers[lever].steps
        low, high = sum(step <= mix[lever] for step in steps) - 1, len(steps) - 1
        while high - low > 1:
            middle = (low + high) // 2
            larger = self.changed(mix, [lever], middle)
            if self._is_short(larger, target):
                mix, low = larger, middle
            else:
                high = middle
        return mix

    def lessons(self, target: int) -> np.ndarray:
        """Largest of the mixes that fall short, array of shape (mixes, levers)."""
        short = np.array([mix for mix, (days, _) in self.worked.items() if days < target])
        if not len(short):
            return np.empty((0, len(self.levers)))
        inside = (short[:, None, :] <= short[None, :, :]).all(axis=2)
        np.fill_diagonal(inside, False)
        return short[~inside.any(axis=1)]

    def _next(self, target: int, avoid: frozenset[int]) -> Mix | None:
        """Cheapest mix that meets all that was learnt; None if there is none."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        # One yes or no for each step of each lever: whether as much or more is bought.
        steps = [(n, at) for n, lever in enumerate(self.levers) for at in range(len(lever.steps))]
        column = {step: number for number, step in enumerate(steps)}
        if not steps:
            return None if len(self.lessons(target)) else self.nothing
        costs = np.empty(len(steps))
        rows, low, high = [], [], []

        def rule(terms: dict[int, float], least: float, most: float) -> None:
            row = np.zeros(len(steps))
            for number, factor in terms.items():
                row[number] = factor
            rows.append(row)
            low.append(least)
            high.append(most)

        for (n, at), number in column.items():
            lever = self.levers[n]
            below = lever.cost(lever.steps[at - 1]) if at else 0.0
            costs[number] = lever.cost(lever.steps[at]) - below + FEWER_MONEY
            if at:
                rule({column[n, at - 1]: 1.0, number: -1.0}, 0.0, 1.0)
            else:
                for need in lever.needs:
                    rule({column[self.place[need], 0]: 1.0, number: -1.0}, 0.0, 1.0)
        for short in self.lessons(target):
            more = {}
            for n, lever in enumerate(self.levers):
                at = sum(step <= short[n] for step in lever.steps)
                if at < len(lever.steps):
                    more[column[n, at]] = 1.0
            if not more:
                return None
            rule(more, 1.0, np.inf)
        for apart in (*self.conflicts, *((avoid,) if avoid else ())):
            rule({column[n, 0]: 1.0 for n in apart}, 0.0, len(apart) - 1.0)
        found = milp(
            costs,
            integrality=np.ones(len(steps)),
            bounds=Bounds(0.0, 1.0),
            constraints=LinearConstraint(np.array(rows), low, high) if rows else None,
        )
        if found.x is None:
            return None
        mix = list(self.nothing)
        for (n, at), chosen in zip(steps, found.x, strict=True):
            if chosen > 0.5:
                mix[n] = self.levers[n].steps[at]
        return self.closed(tuple(mix))

    def _cheapest_worked(self, target: int, budget: float, avoid: frozenset[int]) -> Mix | None:
        does = [
            mix
            for mix, (days, _) in self.worked.items()
            if days >= target
            and self.cost(mix) <= budget + _TOLERANCE
            and not (avoid and avoid <= self.bought(mix))
        ]
        return min(does, key=self.cost, default=None)
