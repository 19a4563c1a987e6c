"""Parts that break at random: against the closed form, spares, and the runs they are made of."""

import numpy as np
import pytest
from scipy import stats
from small_plans import ARRAY, BATTERY, FIRST_BAD_DAY, FORMER, SMALLEST, appliance, plan_of

from homestead import disk_cache, reference
from homestead.outlook.independence import independence_days
from homestead.outlook.ledger import brief_year_of
from homestead.plan import demo_path, open_plan
from homestead.plan.rules import BREAKS
from homestead.plan.schema import read_plan
from homestead.questions.breakdowns import _Homestead, breakdowns, spares
from homestead.questions.parts_out import ON_THE_SHELF
from homestead.simulate.inputs import hours_of
from homestead.vocabulary import OUTCOMES

# Far more sun and battery than a lamp needs: only a broken part can end its power.
LAMP = SMALLEST | {
    "appliance": [appliance("lamp", 10, 24, 1)],
    "array": [ARRAY | {"strings": 3, "converter": "9 kW"}],
    "grid_former": FORMER,
    "battery": BATTERY | {"module": "30 kWh"},
    "failure": FIRST_BAD_DAY | {"counts": ["power"]},
}


def test_two_states_follow_the_exponential():
    """With one part that breaks for good, days are those until it breaks: exp(-rate t)."""
    rate = 3.0
    found = breakdowns(plan_of(LAMP), 1, 400, rates={"main inverter": rate})
    assert (found.without == 365).all()
    days = found.with_breakdowns
    # Broken on day n, the first bad night is that day: whole days before it are n.
    inside = days[days < 365]
    share = 1.0 - np.exp(-rate * 364 / 365)
    assert len(inside) / 400 == pytest.approx(share, abs=4 * (share * (1 - share) / 400) ** 0.5)
    # Whole days against the same distribution in whole days, by Kolmogorov and Smirnov.
    exact = stats.truncexpon(b=rate * 364 / 365, scale=365 / rate)
    spread = np.random.default_rng(1).random(len(inside))
    assert stats.kstest(inside + spread, exact.cdf).pvalue > 0.01
    for asked in (60, 120, 240):
        expected = np.exp(-rate * asked / 365)
        error = (expected * (1 - expected) / 400) ** 0.5
        assert (found.with_breakdowns >= asked).mean() == pytest.approx(expected, abs=4 * error)
    assert found.blamed["the main inverter"] == pytest.approx((days < 365).mean())


def test_nothing_breaks_without_rates():
    found = breakdowns(plan_of(LAMP), 1, 20, rates={})
    assert (found.without == found.with_breakdowns).all() and found.rates == {}


def test_a_spare_on_the_shelf_is_worth_days():
    # Out for an hour or so with a spare, which is no bad night; for good without one.
    with_spare = LAMP | {"breakdowns": {"spares": ["main inverter"], "repair": "1 min"}}
    rates = {"main inverter": 3.0}
    without, with_one = (breakdowns(plan_of(raw), 1, 60, rates=rates) for raw in (LAMP, with_spare))
    assert without.figures["p50"] < 200
    assert with_one.figures["p50"] > without.figures["p50"]


def test_a_run_without_events_is_the_run_alone(greensboro):
    plan = open_plan(demo_path())
    homestead = _Homestead(plan, 2)
    days = independence_days(hours_of(plan, 2)).reshape(730, -1)
    for start in (0, 200, 500):
        assert homestead.live(start, ()).tolist() == days[start, :5].tolist()


def test_a_part_out_from_the_first_day_is_the_plan_without_it():
    plan = open_plan(demo_path())
    homestead = _Homestead(plan, 1)
    without = independence_days(homestead.without(frozenset({"the well pump"})))[0]
    for start in (10, 300):
        lived = homestead.live(start, [(0, "the well pump", True)])
        assert lived.tolist() == without[start, :5].tolist()
    # Broken later it lasts at least until then, and no longer than with the pump.
    later = homestead.live(10, [(40, "the well pump", True)])
    whole = homestead.live(10, ())
    assert 40 <= later[1] <= whole[1]
    # Out and back the same day is as if nothing had been.
    back = homestead.live(10, [(40, "the well pump", True), (40, "the well pump", False)])
    assert back.tolist() == whole.tolist()


def test_starts_of_a_few_years_are_those_of_all_years():
    """A homestead without a part is made for the years that its starts need, the wrap included."""
    plan = open_plan(demo_path())
    homestead = _Homestead(plan, 6)
    starts = [4 * 365 + 10, 5 * 365 + 300, 4 * 365 + 200]
    out = [(0, "the array ground rack", True)]
    lived = homestead.live_all(starts, [out] * len(starts))
    days = independence_days(homestead.without(frozenset({"the array ground rack"})))
    assert lived.tolist() == days.reshape(6 * 365, -1)[starts, :5].tolist()


def test_what_was_lived_once_is_found_again(tmp_path, monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, str(tmp_path))
    plan, rates = plan_of(LAMP), {"main inverter": 3.0}
    first, worth = breakdowns(plan, 1, 40, rates=rates), spares(plan, 1, 40, rates=rates)
    monkeypatch.setattr("homestead.questions.breakdowns._lived", None)
    again = breakdowns(plan, 1, 40, rates=rates)
    assert (again.with_breakdowns == first.with_breakdowns).all()
    assert (again.by_need == first.by_need).all() and again.blamed == first.blamed
    assert spares(plan, 1, 40, rates=rates) == worth


def test_breakdowns_are_given_up_at_once():
    class Cancelled(Exception):
        pass

    def stop(done, asked):
        raise Cancelled

    with pytest.raises(Cancelled):
        breakdowns(plan_of(LAMP), 1, 40, stop, {"main inverter": 2.9})


def test_a_homestead_without_garden_and_animals_breaks_down_as_well():
    """Its lists of food are empty; few of several years are looked at."""
    rates = {"main inverter": 2.9, "battery": 1.0}
    found = breakdowns(plan_of(LAMP), 3, 30, rates=rates)
    assert (found.with_breakdowns <= found.without).all() and sum(found.blamed.values()) > 0


def test_two_parts_out_at_once_are_the_plan_without_both():
    plan = open_plan(demo_path())
    homestead = _Homestead(plan, 1)
    both = homestead.without(frozenset({"the array ground rack", "the generator"}))
    assert len(both.plan.arrays) == len(plan.arrays) - 1 and both.plan.generator is None
    assert homestead.without(frozenset({"the generator"})).rows is not None


def test_every_kind_that_breaks_has_a_rate_with_its_source():
    rows = {row.item: row for row in reference.table("breakdowns")}
    assert set(BREAKS) <= set(rows) and set(BREAKS) <= set(ON_THE_SHELF)
    assert all(row.value > 0 and row.note for row in rows.values())
    # By hand from the abstracts: 20 % of two weeks of running; 34.3 % of 15 years.
    assert rows["generator"].value == pytest.approx(-14 * 24 / np.log(0.8), rel=1e-3)
    assert rows["array"].value == pytest.approx(-np.log(1 - 0.343) / 15, rel=1e-2)
    plan, faults = read_plan(SMALLEST | {"breakdowns": {"spares": ["luck"]}})
    assert plan is None and "must be one of generator, array" in str(faults[0])


def test_the_spare_that_keeps_the_lamp_lit_is_worth_the_most_for_its_money():
    """By hand: exp(-rate t) days on average without, all 365 with the one part that breaks."""
    raw = LAMP | {
        "breakdowns": {"repair": "1 min"},
        "price": [
            {"name": "a", "part": "spare main inverter", "cost": "$500"},
            {"name": "b", "part": "spare array", "cost": "$50"},
        ],
    }
    rates = {"main inverter": 3.0, "array": 1e-6}
    first, second = spares(plan_of(raw), 1, 300, rates=rates)
    # Mean of whole days to failure, cut at a year.
    mean = 365.0 / 3.0 * (1.0 - np.exp(-3.0)) - 0.5
    assert first.kind == "main inverter"
    assert first.days_gained == pytest.approx(365.0 - mean, rel=0.1)
    assert first.days_per_100_money == pytest.approx(first.days_gained / 5.0)
    assert second.kind == "array" and second.days_gained == 0.0


def test_a_spare_leaves_the_other_breakdowns_as_they_were():
    rates = {"main inverter": 3.0, "battery": 3.0}
    raw = LAMP | {"breakdowns": {"spares": ["battery"], "repair": "1 min"}}
    bare, with_one = (breakdowns(plan_of(one), 1, 80, rates=rates) for one in (LAMP, raw))
    assert (with_one.with_breakdowns >= bare.with_breakdowns).all()


def test_a_generator_fails_by_its_hours_and_its_starts():
    """Marqusee and Jenket 2020; the start's share is from memory."""
    plan = open_plan(demo_path())
    hours = hours_of(plan, 2)
    rate = breakdowns(plan, 2, 1).rates["the generator"]
    year = brief_year_of(hours)["generator_h"]
    assert rate > year / 1506
    # A start lasts an hour at least.
    assert rate <= year / 1506 + year * 0.0013


@pytest.mark.parametrize("name", ["demo", "cabin"])
def test_breakdowns_never_add_days_to_those_of_all_starts(name):
    """The sampled starts stand for all of them: worst, 1 in 10 and half, of each need as well."""
    plan = open_plan(demo_path().parents[1] / name / "plan.toml")
    days = independence_days(hours_of(plan, 3)).reshape(3 * 365, -1)
    lasts = days[:, [OUTCOMES.index(need) for need in plan.failure.counts]].min(axis=1)
    found = breakdowns(plan, 3, 60)
    assert found.without.min() == lasts.min()
    for percent in (10, 50):
        every, sampled = (
            np.percentile(values, percent, method="lower") for values in (lasts, found.without)
        )
        assert abs(sampled - every) <= 3
        assert np.percentile(found.with_breakdowns, percent, method="lower") <= every
    for need in plan.failure.counts:
        usual = np.percentile(days[:, OUTCOMES.index(need)], 10, method="lower")
        assert found.reached(need) <= usual
