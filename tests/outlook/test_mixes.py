"""The cheapest mix: against every mix tried one by one, and where no pair shows the way."""

from itertools import product

import numpy as np
import pytest

from homestead.questions.mixes import Lever, Search


def levers_of(costs, steps=1, needs=None):
    return tuple(
        Lever(f"lever {n}", tuple(float(k + 1) for k in range(steps)),
              lambda many, each=each: each * many, lambda many: ({}, {}),
              tuple((needs or {}).get(f"lever {n}", ())))
        for n, each in enumerate(costs)
    )  # fmt: skip


def search_of(levers, days_of):
    return Search(levers, lambda mixes: [(days_of(mix), None) for mix in mixes])


def by_trying_all(levers, days_of, target, budget=np.inf):
    """Cost of the cheapest mix; every mix is worked."""
    costs = [
        sum(lever.cost(many) for lever, many in zip(levers, mix, strict=True))
        for mix in product(*((0.0, *lever.steps) for lever in levers))
        if days_of(mix) >= target
    ]
    best = min(costs, default=None)
    return best if best is not None and best <= budget else None


@pytest.mark.parametrize("number", [6, 20, 57])
def test_a_planted_mix_of_three_that_no_pair_shows_is_found(number):
    """Three needs run out on the same day; each lever but three does nothing at all."""
    levers = levers_of(100.0 + np.arange(number))
    search = search_of(levers, lambda mix: 90 if mix[1] and mix[3] and mix[5] else 10)
    found = search.cheapest(50)
    assert search.bought(found) == {1, 3, 5}
    assert search.is_proven
    assert len(search.worked) < 20 + 6 * np.log2(number) * 3  # of 2 ** number


def chain(seed, levers_n, steps):
    """Days as the least of four needs, each fed by a few levers with returns that fall off."""
    drawn = np.random.default_rng(seed)
    feeds = drawn.random((4, levers_n)) * (drawn.random((4, levers_n)) < 0.5)
    base = drawn.integers(20, 60, 4)

    def days_of(mix):
        return int((base + 40 * np.sqrt(feeds @ np.array(mix))).min().clip(max=365))

    return levers_of(drawn.integers(100, 900, levers_n), steps), days_of


@pytest.mark.parametrize("seed", range(12))
def test_the_cheapest_mix_is_that_of_every_mix_tried(seed):
    levers, days_of = chain(seed, 4, 4)
    today = days_of((0.0,) * 4)
    for target in (today, today + 5, today + 20, 365):
        search = search_of(levers, days_of)
        found = search.cheapest(target)
        wanted = by_trying_all(levers, days_of, target)
        assert search.is_proven
        assert (None if found is None else search.cost(found)) == wanted
        assert len(search.worked) < 5**4 / 4


@pytest.mark.parametrize("seed", range(6))
def test_the_most_days_within_a_budget_are_those_of_every_mix_tried(seed):
    levers, days_of = chain(100 + seed, 4, 3)
    search = search_of(levers, days_of)
    budget = 1500.0
    within = [
        mix
        for mix in product(*((0.0, *lever.steps) for lever in levers))
        if search.cost(mix) <= budget
    ]
    best = search.most(budget)
    assert search.days(best) == max(map(days_of, within))
    same = [mix for mix in within if days_of(mix) == search.days(best)]
    assert search.cost(best) == min(map(search.cost, same))


def test_the_runner_up_is_the_cheapest_that_buys_something_else():
    levers = levers_of([100.0, 150.0, 400.0])
    search = search_of(levers, lambda mix: 50 if mix[0] and mix[1] or mix[2] else 10)
    assert search.cheapest(50) == (1.0, 1.0, 0.0)
    assert search.cheapest(50, avoid=frozenset({0, 1})) == (0.0, 0.0, 1.0)
    assert search.cheapest(60) is None


def test_what_one_needs_is_bought_and_paid_with_it():
    levers = levers_of([100.0, 150.0, 120.0], needs={"lever 0": ["lever 1"]})
    search = search_of(levers, lambda mix: 50 if mix[0] else 10)
    found = search.cheapest(50)
    assert found == (1.0, 1.0, 0.0) and search.cost(found) == 250.0
    assert all(one[1] for one in search.worked if one[0])


def test_what_excludes_each_other_is_learnt_and_told():
    levers = levers_of([100.0, 150.0, 400.0])
    search = Search(
        levers,
        lambda mixes: [(10 + 20 * sum(map(bool, mix)), None) for mix in mixes],
        lambda mix: "the same twice" if mix[0] and mix[1] else None,
    )
    assert search.cheapest(50) == (1.0, 0.0, 1.0)
    assert search.conflicts == {frozenset({0, 1}): "the same twice"}
    assert search.days(search.most()) == 50


def test_a_search_that_may_not_go_on_says_so():
    drawn = np.random.default_rng(4).integers(1, 30, 14)
    levers = levers_of(100.0 + np.arange(14))
    search = search_of(levers, lambda mix: int(10 + drawn @ np.array(mix)))
    search.most_n = 20
    found = search.cheapest(150)
    assert not search.is_proven
    assert found is not None and search.days(found) >= 150
