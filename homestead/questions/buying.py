"""What to buy: the cheapest mix that reaches a number of days, its runner-up, and the years to it.

From the plan's ideas and its prices of one more of a part. The search goes in wide steps, then in
narrow ones around the mix found, with the same few weather years for every mix. A mix that is shown
is worked on all years; one that falls short there is looked for again with more days. An idea that
sets what a price covers is left to the price.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from homestead import units
from homestead.outlook.independence import HORIZON_DAYS
from homestead.outlook.ledger import year_of
from homestead.plan import PlanError, with_changes
from homestead.plan.currency import money_text
from homestead.plan.place import Price
from homestead.plan.schema import Plan
from homestead.questions.changes import Figures, lever_of, search_over
from homestead.questions.mixes import Lever, Mix, Search
from homestead.questions.sizes import Size, sizable, sized
from homestead.questions.variants import InAll, Variants
from homestead.shown import Shown
from homestead.simulate.inputs import hours_of
from homestead.vocabulary import NEEDS

FEW_YEARS_N = 4
COARSE_N, FINE_N = 4, 3  # steps of each lever up to its most, and between two of those
MOST_TIMES = 3.0  # today's size, where the plan does not say how much there may be
MORE_DAYS_FRAC = 0.25  # how much more than today is wanted, where the plan does not say
CURVE_N = 3
BEYOND_FRAC = 1.4  # as many days more than wanted does the curve go, where money buys them
MOST_YEARS_N = 40  # of buying
WORTH_A_STEP_DAYS = 0.5
TANK_FILL_FRAC = 0.8  # propane; NFPA 58, from memory
EXPECTED_EACH_N = 20  # mixes worked for each lever, for the bar that shows how far it is


@dataclass(frozen=True)
class Bought:
    """One thing of a mix."""

    # what it is, and how much of it there is then
    name: str
    words: str
    cost_money: float


@dataclass(frozen=True)
class Purchase:
    """A mix, and what the homestead reaches with it."""

    items: tuple[Bought, ...]  # empty for the plan as it is
    cost_money: float
    # days that the wanted share of starts reaches, of the need that was asked for
    reached_days: int
    figures: Figures
    # fuel and replacement in a year with deliveries, of what has a price and a lifetime; not a
    # number where it was not worked
    yearly_money: float = float("nan")

    @property
    def words(self) -> str:
        """The mix in words."""
        return ", ".join(item.words for item in self.items) or "nothing"


@dataclass(frozen=True)
class BuyingYear:
    """What is bought in one year, and where the homestead is at its end."""

    year_n: int  # 1 for the first
    bought: tuple[Bought, ...]
    # in all so far, and kept for the next year
    spent_money: float
    left_money: float
    after: Purchase


@dataclass(frozen=True, repr=False)
class Buying(Shown):
    """The cheapest mix that reaches a number of days."""

    need: str  # need or ``"homestead"``
    days: int  # days wanted
    share_frac: float  # share of starts that must reach them
    years_n: int  # weather years on which every mix was worked
    today: Purchase
    # the runner-up is the cheapest mix without some part of the best; None if no mix does
    best: Purchase | None
    runner_up: Purchase | None
    most: Purchase  # cheapest mix with the most days where none reaches those wanted; else the best
    # cheapest mix for fewer and for more days, cheapest first; today's plan stands first
    curve: tuple[Purchase, ...]
    # the way to the best mix, or to the most, with the plan's money a year; empty without
    by_year: tuple[BuyingYear, ...]
    is_proven: bool  # whether the search came to its end
    worked_n: int  # mixes worked in the search
    currency: str = "$"
    left_out: tuple[str, ...] = ()  # parts with a price that the plan does not have

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """The cheapest mix, its runner-up and the curve."""
        whose = "" if self.need == "homestead" else f" of {self.need}"
        title = f"To last {self.days} days{whose} in {round(self.share_frac * 100)} starts of 100"
        lines = [("today", f"{self.today.reached_days} days")]
        if self.best is None:
            lines.append(("no mix gets there; the most", self._line(self.most)))
        else:
            lines.append(("cheapest mix", self._line(self.best)))
            second = self.runner_up
            lines.append(("runner-up", self._line(second) if second else "no other mix gets there"))
        lines += [
            (f"{purchase.reached_days} days", self._line(purchase))
            for purchase in self.curve
            if purchase.items
        ]
        return title, lines

    def _line(self, purchase: Purchase) -> str:
        money = money_text(purchase.cost_money, self.currency)
        return f"{money}: {purchase.words} ({purchase.reached_days} days)"


def buying(
    plan: Plan,
    days: int | None = None,
    share: float = 0.9,
    years_n: int | None = None,
    yearly_money: float | None = None,
    need: str = "homestead",
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Buying:
    """Cheapest mix of the plan's ideas and priced parts that reaches a number of days.

    days (int, optional) : 1 to 365; those of the plan's `buying` by default, else a quarter more
        than today.
    share : Share of starts that must reach them, 0.5 to 0.99.
    years_n (int, optional) : Weather years; the plan's own number by default.
    yearly_money (float, optional) : Money a year; that of the plan's `buying` by default.
    need (str) : Need whose days are wanted, or ``"homestead"``.
    executor (concurrent.futures.Executor, optional)
    progress (callable, optional) : Called with (mixes done, mixes expected in all); raise in it to
        cancel.

    Raises ValueError if an argument is out of its range. PlanError If the plan does not hold with
        some idea.
    """
    if days is not None:
        units.checked("days", days, 1, HORIZON_DAYS)
    units.checked("share", share, 0.5, 0.99)
    if need not in ("homestead", *NEEDS):
        raise ValueError(f"need must be homestead or one of {', '.join(NEEDS)}; got {need!r}")
    shop = _Shop(plan, share, need, years_n or plan.site.years_n, executor, progress)
    return shop.answer(days or plan.buying.days_n, yearly_money or plan.buying.yearly_money)


def levers_of(plan: Plan) -> tuple[Lever, ...]:
    """What the plan's ideas and prices let a family buy, in wide steps."""
    priced = [lever for price in plan.prices if (lever := _priced(plan, price.part))]
    names = {lever.name for lever in priced}
    priced += [
        lever
        for fuel in plan.fuels
        if fuel.price_money and f"fuel {fuel.name}" not in names
        if (lever := _priced(plan, f"fuel {fuel.name}"))
    ]
    covered = {path for lever in priced for path in lever.question(lever.steps[-1])[0]}
    parts = {lever.name for lever in priced}
    left = {
        change.name
        for change in plan.changes
        if covered & set(change.sets) or parts & set(change.adds)
    }
    while more := {c.name for c in plan.changes if left & set(c.needs)} - left:
        left |= more
    ideas = [lever_of(change) for change in plan.changes if change.name not in left]
    for lever in ideas:
        with_changes(plan.raw, *lever.question(1.0), folder=plan.folder)
    return (*ideas, *priced)


def _price_of(size: Size) -> Price | None:
    return next((price for price in size.plan.prices if price.part == size.part), None)


def _each_money(size: Size) -> float | None:
    """Price of one more of a part, in pieces or the unit in which it is kept; None without one."""
    price, fuel = _price_of(size), size.fuel
    if price is not None:
        return price.cost_money / (size.amount(price.per) if price.per else 1)
    return fuel.price_money / fuel.price_amount if fuel and fuel.price_money else None


def cost_of(size: Size, new: float) -> float | None:
    """Money for a part of a new size, nothing for a smaller one; None without a price."""
    each_money = _each_money(size)
    return None if each_money is None else each_money * max(new - size.today, 0.0)


def _priced(plan: Plan, part: str) -> Lever | None:
    """A part by its price: how much more of it than today; None if it can't be sized."""
    if part not in sizable(plan):
        return None
    size = sized(plan, part)
    each_money, price, fuel = _each_money(size), _price_of(size), size.fuel
    if price is not None and price.most:
        most = size.changed(price.most)
    elif fuel is not None and fuel.tank_m3:
        most = max(fuel.tank_m3 * TANK_FILL_FRAC, fuel.amount)
    else:
        most = size.today * MOST_TIMES

    def question(more: float) -> tuple[dict[str, Any], dict[str, Any]]:
        new = size.today + more
        return size.sets_of(new if size.step is None else round(new)), {}

    lever = Lever(part, (), lambda more: each_money * more, question)
    steps = _between(size, 0.0, most - size.today, COARSE_N)
    return replace(lever, steps=kept) if (kept := _that_hold(plan, lever, steps)) else None


def _between(size: Size, low: float, high: float, steps_n: int) -> list[float]:
    """Amounts above `low` up to `high`, in whole pieces where the part comes in pieces."""
    amounts = low + (high - low) * np.arange(1, steps_n + 1) / steps_n
    if size.step is None:
        return [float(units.digits(amount, 4).replace(",", "")) for amount in amounts if amount > 0]
    pieces = np.unique(np.floor(amounts / size.step + 1e-9)) * size.step
    return [float(piece) for piece in pieces if piece > low]


def _that_hold(plan: Plan, lever: Lever, steps: list[float]) -> tuple[float, ...]:
    """Steps that the plan can take: limits of the schema, rules between parts."""
    kept = []
    for step in sorted(set(steps)):
        try:
            with_changes(plan.raw, *lever.question(step), folder=plan.folder)
        except PlanError:
            continue
        kept.append(step)
    return tuple(kept)


class _Shop:
    """The search for one plan: on few weather years, each mix that is shown checked on all."""

    def __init__(self, plan, share, need, years_n, executor, progress):
        self.plan, self.need, self.share = plan, need, share
        self.levers = levers_of(plan)
        expected_n = 30 + EXPECTED_EACH_N * len(self.levers)
        self.told = InAll(progress, expected_n)
        self.executor, self.years_n = executor, years_n
        self.few_years_n = min(FEW_YEARS_N, years_n)
        self.few = self.search(self.levers, self.few_years_n)
        self.checked = self.few
        if self.few_years_n < years_n:
            self.checked = self.search(self.levers, years_n)

    def search(self, levers: tuple[Lever, ...], years_n: int) -> Search:
        percent = 100.0 * (1.0 - self.share)
        variants = Variants(self.plan, years_n, self.executor, self.told)
        # What is shown has every need's days; the mixes on the way only those asked for.
        need = self.need if years_n < self.years_n else None
        return search_over(
            self.plan, levers, variants, lambda variant: variant.reached(self.need, percent), need
        )

    def answer(self, days: int | None, yearly_money: float | None) -> Buying:
        nothing = (0.0,) * len(self.levers)
        today = self.checked.days(nothing)
        wanted = days or min(max(round(today * (1 + MORE_DAYS_FRAC)), today + 1), HORIZON_DAYS)
        self.refine(wanted)
        best = self.lasting(wanted)
        most = self.few.most() if best is None else best
        runner_up = None
        if best is not None and best != nothing:
            runner_up = self.lasting(wanted, self.few.bought(best))
        curve = self.curve(wanted, best, most)
        self.checked.try_all([*curve, most])
        if best is not None:
            best, runner_up = self.cheapest_checked(wanted, runner_up)
            most = best
        steps = list(self.by_year(most, yearly_money)) if yearly_money else []
        curve = sorted({*curve, most}, key=self.few.cost)
        self.checked.try_all([*curve, *(after for *_, after in steps)])
        self.told.end()
        return Buying(
            need=self.need,
            days=int(wanted),
            share_frac=self.share,
            years_n=self.years_n,
            today=self.purchase(nothing, with_yearly=True),
            best=None if best is None else self.purchase(best, with_yearly=True),
            runner_up=None if runner_up is None else self.purchase(runner_up, with_yearly=True),
            most=self.purchase(most),
            curve=tuple(map(self.purchase, curve)),
            by_year=tuple(self.buying_year(*step) for step in steps),
            is_proven=self.few.is_proven,
            worked_n=len(self.few.worked),
            currency=self.plan.currency,
            left_out=tuple(
                price.part
                for price in self.plan.prices
                if price.part.startswith(("array ", "fuel ", "battery", "cistern", "pantry"))
                and price.part not in sizable(self.plan)
            ),
        )

    def refine(self, wanted: int) -> None:
        """Narrower steps around the cheapest mix of wide ones."""
        best = self.few.cheapest(wanted)
        if best is not None and best != self.few.nothing:
            worked = self.few.worked
            self.few = self.search(self.narrower(best), self.few_years_n)
            self.few.worked = dict(worked)
            if self.few_years_n == self.years_n:
                self.checked = self.few

    def lasting(self, wanted: int, avoid: frozenset[int] = frozenset()) -> Mix | None:
        """Cheapest mix that reaches the days on all weather years too; None if none does."""
        target = wanted
        while target <= HORIZON_DAYS:
            mix = self.few.cheapest(target, avoid=avoid)
            if mix is None or (reached := self.checked.days(mix)) >= wanted:
                return mix
            target = max(target, self.few.days(mix)) + wanted - reached
        return None

    def cheapest_checked(self, wanted: int, runner_up: Mix | None) -> tuple[Mix, Mix | None]:
        """Cheapest of the mixes tried on all years that reaches the days, and the best other one.

        Few years may have asked for more than all of them do.
        """
        worked = self.checked.worked
        reaching = [mix for mix, (reached, _) in worked.items() if reached >= wanted]
        best, *others = sorted(reaching, key=self.few.cost)
        mine = {item.name for item in self.bought(best)}
        # With all of the best in it, a dearer mix is no other way.
        unlike = [mix for mix in others if not mine <= {item.name for item in self.bought(mix)}]
        return best, unlike[0] if unlike else (runner_up if runner_up != best else None)

    def narrower(self, best: Mix) -> tuple[Lever, ...]:
        """Levers with more steps around those of a mix; what it leaves out gets smaller ones."""
        levers = []
        for lever, many in zip(self.levers, best, strict=True):
            if lever.name not in sizable(self.plan) or len(lever.steps) < 2:
                levers.append(lever)
                continue
            size, ends = sized(self.plan, lever.name), (0.0, *lever.steps)
            at = ends.index(many)
            more = [
                step
                for low, high in zip(ends, ends[1:], strict=False)
                if ends[max(at - 1, 0)] <= low and high <= ends[min(at + 1, len(ends) - 1)]
                for step in _between(size, low, high, FINE_N)
            ]
            steps = {*lever.steps, *_that_hold(self.plan, lever, more)}
            levers.append(replace(lever, steps=tuple(sorted(steps))))
        return tuple(levers)

    def curve(self, wanted: int, best: Mix | None, most: Mix) -> list[Mix]:
        """Cheapest mixes for fewer days than wanted and, where there are some, for more."""
        few = self.few
        today, reached = few.days(few.nothing), few.days(most)
        top = few.days(few.changed(few.nothing, range(len(few.levers)))) or reached
        targets = {round(days) for days in np.linspace(today, reached, CURVE_N + 1)[1:-1]}
        if best is not None and top > reached:
            targets.add(min(round(reached * BEYOND_FRAC), top))
        mixes = {few.cheapest(target) for target in sorted(targets)} - {None}
        return sorted(mixes | {few.nothing, most}, key=few.cost)

    def bought(self, mix: Mix, before: Mix | None = None) -> tuple[Bought, ...]:
        before = before or self.few.nothing
        return tuple(
            Bought(lever.name, self.words(lever, now), lever.cost(now) - lever.cost(then))
            for lever, now, then in zip(self.few.levers, mix, before, strict=True)
            if now > then
        )

    def words(self, lever: Lever, many: float) -> str:
        if lever.name not in sizable(self.plan):
            return lever.name
        size = sized(self.plan, lever.name)
        return f"{size.name}: {size.words(size.today + many)}"

    def purchase(self, mix: Mix, with_yearly: bool = False) -> Purchase:
        reached, figures = self.checked.worked[mix]
        yearly = self.yearly_money(mix) if with_yearly else float("nan")
        return Purchase(self.bought(mix), self.few.cost(mix), reached, figures, yearly)

    def yearly_money(self, mix: Mix) -> float:
        """Fuel and replacement in an average year with deliveries."""
        raw = {key: typed for key, typed in self.plan.raw.items() if key not in ("change", "phase")}
        plan = with_changes(raw, *self.few.question(mix), folder=self.plan.folder)
        return yearly_cost(plan, hours_of(plan, self.years_n))

    def by_year(self, goal: Mix, yearly_money: float):
        """Years of buying: year, money left, mix before and after; most days for it first."""
        here, money, year = self.few.nothing, 0.0, 0
        while here != goal and year < MOST_YEARS_N:
            year, money, before = year + 1, money + yearly_money, here
            while (step := self.next_bought(here, goal, money)) is not None:
                money -= self.few.cost(step) - self.few.cost(here)
                here = step
            yield year, money, before, here

    def buying_year(self, year: int, money: float, before: Mix, after: Mix) -> BuyingYear:
        bought = self.bought(after, before)
        return BuyingYear(year, bought, self.few.cost(after), money, self.purchase(after))

    def next_bought(self, here: Mix, goal: Mix, money: float) -> Mix | None:
        """The next thing on the way to the goal that the money buys; None to save it."""
        search = self.few
        left = [n for n, (now, end) in enumerate(zip(here, goal, strict=True)) if now < end]
        if not left:
            return None
        if search.cost(goal) - search.cost(here) <= money:
            return goal
        options = []
        for n in left:
            steps = [s for s in search.levers[n].steps if here[n] < s <= goal[n]]
            options += [search.closed((*here[:n], step, *here[n + 1 :])) for step in steps]
        paid = {
            option: search.cost(option) - search.cost(here)
            for option in options
            if search.cost(option) - search.cost(here) <= money
        }
        search.try_all([here, *paid])
        then = search.worked[here]
        worth = {}
        for mix, cost in paid.items():
            if mix in search.worked:
                now = search.worked[mix]
                gained = now[0] - then[0] + now[1].mean_days - then[1].mean_days
                if gained > WORTH_A_STEP_DAYS:
                    worth[mix] = gained / max(cost, 1.0)
        return max(worth, key=worth.get, default=None)


def yearly_cost(plan: Plan, hours) -> float:
    """Money an average year with deliveries takes: fuel, and parts by how long they last.

    Only what has a price and a lifetime counts. A battery lasts its years or its full cycles,
    whichever is over first; a generator its hours of running.
    """
    year = year_of(hours)
    money = 0.0
    for fuel in plan.fuels:
        if fuel.price_money:
            used = year.fuel_used.get(fuel.name, 0.0)
            money += used * fuel.price_money / fuel.price_amount
    for price in plan.prices:
        lives = [price.lasts_years_n] if price.lasts_years_n else []
        pieces = 1.0
        if price.part in sizable(plan):
            size = sized(plan, price.part)
            pieces = size.today / (size.amount(price.per) if price.per else 1.0)
        if price.part == "battery" and price.lasts_cycles_n:
            out_wh = float(year.monthly["discharge_w"].sum())
            usable_wh = hours.fixed.battery_wh * hours.fixed.discharge_depth_frac
            cycles = out_wh / usable_wh if usable_wh > 0 else 0.0
            lives.append(price.lasts_cycles_n / cycles if cycles > 0 else math.inf)
        if price.part == "generator" and price.lasts_s:
            run_h = year.totals["generator_h"]
            lives.append(price.lasts_s / 3600.0 / run_h if run_h > 0 else math.inf)
        if lives and not price.part.startswith("spare "):
            money += price.cost_money * pieces / min(lives)
    return money
