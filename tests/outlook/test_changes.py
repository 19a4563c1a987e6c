"""Candidate changes: pairs that only help together, needs, budget, order, conflicts."""

import copy
from types import SimpleNamespace

import numpy as np
import pytest
from small_plans import ARRAY, BATTERY, FIRST_BAD_DAY, FORMER, SMALLEST, appliance, plan_of

from homestead.outlook import remembered
from homestead.plan import PlanError
from homestead.questions import changes
from homestead.questions.changes import next_steps
from homestead.questions.variants import Variants

# Power for some days and water for five, both counted: only both together carry further.
TIGHT = SMALLEST | {
    "appliance": [appliance("light", 10, 24, 1)],
    "grid_former": FORMER | {"idle": "0 W"},
    "battery": BATTERY | {"module": "1.5 kWh"},
    "cistern": {"volume": "330 L", "from_well": False, "delivery": "gravity"},
    "failure": FIRST_BAD_DAY | {"counts": ["power", "water"]},
}
SUN = {"name": "sun", "cost": "$900", "adds": {"array": [ARRAY]}}
TANK = {"name": "tank", "cost": "$500", "sets": {"cistern.volume": "3000 L"}}
SHELF = {
    "name": "shelf",
    "cost": "$100",
    "adds": {"pantry": [{"name": "a", "energy": "9000 kcal"}]},
}


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(remembered.ENVIRONMENT, "off")


def plan_with(*ideas, **more):
    return plan_of(TIGHT | {"change": list(ideas)} | more)


@pytest.fixture(scope="module")
def three():
    """Three changes, two of which only help together; no budget."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(remembered.ENVIRONMENT, "off")
        return next_steps(plan_with(SUN, TANK, SHELF))


def test_every_set_of_changes_is_worked(three):
    assert three.exhaustive
    assert len(three.sets) == 7
    assert len({one.names for one in three.sets}) == 7
    for one in three.sets:
        assert three.effect_of(*one.names) is one
    with pytest.raises(KeyError):
        three.effect_of("a pond")


def test_the_planted_pair_is_found_though_no_single_step_shows_it(three):
    # By hand: 60 L a day from 330 L is 5 whole days and half of a sixth, and the least (a gallon)
    # is still met on the sixth; 10 W around the clock empty 1.5 kWh within 7 days at most.
    assert 4 <= three.today.days["p10"] <= 6
    assert all(one.gained["p10"] <= 2 for one in three.single)
    assert three.best.names == ("sun", "tank")
    assert three.best.gained["p10"] >= 30
    assert [one.names for one in three.together] == [("sun", "tank")]
    assert three.order[-1].names == ("sun", "tank")


def test_figures_of_an_effect_are_those_of_the_changed_plan(three):
    plan = plan_with(SUN, TANK, SHELF)
    both = SUN["adds"] | {}, TANK["sets"]
    today, changed = Variants(plan).of([({}, {}), (both[1], both[0])])
    one = three.effect_of("sun", "tank")
    assert one.days["p10"] == changed.reached()
    assert one.days["p50"] == changed.reached(percent=50)
    assert one.days["least"] == changed.together.min()
    assert one.gained["p10"] == changed.reached() - today.reached()
    assert one.by_need["water"] == changed.reached("water")
    assert one.mean_days == pytest.approx(changed.together.mean())
    assert one.cost_money == 1400.0
    assert one.cost_per_day == pytest.approx(1400.0 / one.gained["p10"])
    # January, February and December by the calendar of 365 days.
    winter = np.r_[0:59, 334:365]
    assert one.days["winter"] == np.percentile(changed.together[:, winter], 10, method="lower")
    assert one.first_to_fail in ("power", "water", "none")
    assert one.fuel_wh == one.generator_h == 0.0


def test_what_gains_nothing_has_no_cost_per_day_and_stands_last(three):
    shelf = three.effect_of("shelf")
    assert shelf.gained["p10"] == 0 and shelf.cost_per_day == np.inf
    assert three.single[-1] is shelf or three.single[-1].cost_per_day == np.inf
    costs = [one.cost_per_day for one in three.single]
    assert costs == sorted(costs)


def test_ties_fall_to_the_cheaper_then_the_smaller_set(three):
    # The shelf adds nothing that counts: the pair without it comes before the pair with it.
    assert [one.names for one in three.sets[:2]] == [("sun", "tank"), ("sun", "tank", "shelf")]
    free = next_steps(plan_with(SUN, TANK, SHELF | {"cost": "$0"}))
    assert free.best.names == ("sun", "tank")


def test_a_budget_bounds_the_sets_the_order_and_the_best_but_not_the_look_at_each():
    steps = next_steps(plan_with(SUN, TANK, SHELF), budget_money=1000.0)
    assert all(one.cost_money <= 1000.0 for one in (*steps.sets, *steps.order, steps.best))
    assert {one.names for one in steps.sets} == {
        ("sun",), ("tank",), ("shelf",), ("sun", "shelf"), ("tank", "shelf"),
    }  # fmt: skip
    tight = next_steps(plan_with(SUN, TANK, SHELF), budget_money=50.0)
    assert {one.names for one in tight.single} == {("sun",), ("tank",), ("shelf",)}
    assert tight.sets == tight.order == ()
    assert tight.best is tight.today


def test_a_change_brings_what_it_needs_in_turn():
    stand = {"name": "stand", "cost": "$50", "sets": {"cistern.volume": "340 L"}}
    tank = TANK | {"needs": ["stand"]}
    filter_ = SHELF | {"needs": ["tank"]}
    steps = next_steps(plan_with(tank, stand, filter_))
    assert {one.names for one in steps.sets} == {
        ("stand",), ("tank", "stand"), ("tank", "stand", "shelf"),
    }  # fmt: skip
    assert [one.names for one in steps.single if "shelf" in one.names] == [
        ("tank", "stand", "shelf")
    ]
    assert steps.effect_of("tank", "stand").cost_money == 550.0
    # Of two that set the same entry the later in the plan holds; here the small one.
    assert steps.effect_of("tank", "stand").by_need["water"] < 10


def test_each_step_of_the_order_adds_to_the_one_before():
    ideas = [
        {"name": f"tank {n}", "cost": f"${n}00", "sets": {"cistern.volume": f"{n}00 L"}}
        for n in (4, 6, 9)
    ]
    power_left_out = {"failure": FIRST_BAD_DAY | {"counts": ["water"]}}
    steps = next_steps(plan_with(*ideas, **power_left_out))
    for before, after in zip(steps.order, steps.order[1:], strict=False):
        assert set(before.names) < set(after.names)
        assert after.mean_days > before.mean_days
    # Days for the money by hand, 60 L a day: 70 L for 400, 270 L for 600, 570 L for 900.
    assert steps.order[0].names == ("tank 9",)


def test_changes_that_exclude_each_other_are_told_and_left_out():
    one = {"name": "one", "adds": {"array": [ARRAY]}}
    other = {"name": "other", "adds": {"array": [ARRAY]}}  # the same name again
    steps = next_steps(plan_with(one, other))
    ((names, why),) = steps.conflicts
    assert names == ("one", "other")
    assert "used twice" in why
    assert {effect.names for effect in steps.sets} == {("one",), ("other",)}


def test_a_change_that_the_plan_cannot_take_is_refused():
    plan = plan_with({"name": "barrel", "sets": {"cistern.volume": "5 lb"}})
    with pytest.raises(PlanError, match="volume"):
        next_steps(plan)


def test_new_findings_are_those_that_today_does_not_have(monkeypatch):
    said = {
        "today": frozenset({("warning", "wires", "12 A on a wire for 10 A"), ("note", "x", "y")}),
        "later": frozenset(
            {
                ("warning", "wires", "14 A on a wire for 10 A"),  # the same with another figure
                ("danger", "strings", "541 V on a converter for 450 V"),
                ("note", "strings", "a note is not a finding to worry about"),
            }
        ),
    }
    assert changes._beyond(said["later"], said["today"]) == (
        ("danger", "strings", "541 V on a converter for 450 V"),
    )
    assert changes._beyond(said["today"], said["later"]) == ()


def test_a_long_string_is_a_new_finding_of_the_change():
    long = ARRAY | {"modules_per_string": 14, "converter_max_voltage": "450 V"}
    steps = next_steps(plan_with({"name": "long", "adds": {"array": [long]}}))
    (one,) = steps.single
    assert any(severity == "danger" for severity, _, _ in one.new_findings)


def test_progress_cancel_and_executor_are_passed_on():
    seen = []

    class Cancelled(Exception):
        pass

    def stop(done, asked):
        seen.append((done, asked))
        raise Cancelled

    with pytest.raises(Cancelled):
        next_steps(plan_with(SUN, TANK | {"cost": "$501"}), years_n=2, progress=stop)
    assert seen == [(1, 3)]

    class Straight:
        """An executor that works at once and counts."""

        def submit(self, work, *arguments):
            from concurrent.futures import Future

            seen.append(work)
            piece = Future()
            piece.set_result(work(*arguments))
            return piece

    seen.clear()
    plan = plan_with(SUN, TANK | {"cost": "$502", "sets": {"cistern.volume": "2999 L"}}, SHELF)
    steps = next_steps(plan, executor=Straight())
    assert len(seen) >= 4
    assert steps.best.names == ("sun", "tank")


# --- more than a search of every set can take -------------------------------------------------


def made_up(monkeypatch, ideas, days_of):
    """A search over a plan with many changes whose days are given by a rule, not worked."""
    plan = plan_with(*ideas)

    class Counted:
        worked_n = 0

        def __init__(self, *_):
            pass

        def of(self, questions):
            answers = []
            for sets, adds in questions:
                names = {part["name"] for part in adds.get("pantry", ())}
                assert not sets
                Counted.worked_n += 1
                reached = days_of(names)
                days = np.full((1, 365, 5), reached, np.int16)
                answers.append(
                    SimpleNamespace(
                        together=days[:, :, 0],
                        reached=lambda need="homestead", percent=10, reached=reached: reached,
                        days_of=lambda need, days=days: days[:, :, 0],
                        counted=("food",),
                        fuel_wh=0.0,
                        generator_fuel_wh=0.0,
                        generator_h=0.0,
                        findings=frozenset(),
                    )
                )
            return answers

    monkeypatch.setattr(changes, "Variants", Counted)
    return plan, Counted


def ideas_of(number):
    return [
        {
            "name": f"idea {n}",
            "cost": f"${100 + n}",
            "adds": {"pantry": [{"name": f"idea {n}", "energy": "100 kcal"}]},
        }
        for n in range(number)
    ]


@pytest.mark.parametrize("number", [12, 13, 20])
def test_a_planted_pair_among_many_is_found(monkeypatch, number):
    def days_of(names):
        return 90 if {"idea 3", "idea 11"} <= names else 10

    plan, counted = made_up(monkeypatch, ideas_of(number), days_of)
    steps = next_steps(plan)
    assert steps.exhaustive == (number <= 12)
    assert steps.best.names == ("idea 3", "idea 11")
    assert [one.names for one in steps.together] == [("idea 3", "idea 11")]
    assert [one.names for one in steps.order] == [("idea 3", "idea 11")]
    if number == 12:
        assert counted.worked_n == 2**12
    else:
        assert counted.worked_n < 2000


def test_the_search_beyond_every_set_finds_the_best_of_a_sum_within_a_budget(monkeypatch):
    """A knapsack: what each brings adds up; the best set is found by trying every set here."""
    drawn = np.random.default_rng(4).integers(1, 30, 13)
    brings = {f"idea {n}": int(days) for n, days in enumerate(drawn)}

    def days_of(names):
        return int(10 + sum(brings[name] for name in names))

    plan, counted = made_up(monkeypatch, ideas_of(13), days_of)
    steps = next_steps(plan, budget_money=430.0)
    best = max(
        days_of([f"idea {n}" for n in range(13) if bits >> n & 1])
        for bits in range(2**13)
        if sum(100 + n for n in range(13) if bits >> n & 1) <= 430
    )
    assert not steps.exhaustive
    assert steps.best.days["p10"] == best
    assert steps.best.cost_money <= 430.0
    assert counted.worked_n < 2**13 / 4


def test_the_search_beyond_every_set_runs_on_a_plan_and_finds_its_planted_pair():
    duds = [
        {
            "name": f"dud {n}",
            "cost": "$340",
            "adds": {"pantry": [{"name": f"{n}", "energy": "9 kcal"}]},
        }
        for n in range(11)
    ]
    ideas = copy.deepcopy([*duds[:6], SUN | {"cost": "$300"}, *duds[6:], TANK | {"cost": "$300"}])
    steps = next_steps(plan_with(*ideas), budget_money=650.0)
    assert len(ideas) == 13 and not steps.exhaustive
    assert steps.best.names == ("sun", "tank")
    assert steps.order[-1].names == ("sun", "tank")
