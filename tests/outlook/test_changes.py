"""Candidate changes: pairs that only help together, needs, budget, order, conflicts."""

import numpy as np
import pytest
from small_plans import ARRAY, BATTERY, FIRST_BAD_DAY, FORMER, SMALLEST, appliance, plan_of

from homestead import disk_cache
from homestead.findings.finding import Finding
from homestead.findings.gather import findings_of
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
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")


def plan_with(*ideas, **more):
    return plan_of(TIGHT | {"change": list(ideas)} | more)


@pytest.fixture(scope="module")
def three():
    """Three changes, two of which only help together; no budget."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(disk_cache.ENVIRONMENT, "off")
        return next_steps(plan_with(SUN, TANK, SHELF))


def test_each_change_the_steps_and_the_best_can_be_looked_up(three):
    assert three.is_proven
    for one in (three.today, *three.single, *three.order, three.best):
        assert three.effect_of(*one.names).names == one.names
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
    assert (one.fuel_wh, one.generator_h) == (one.before.fuel_wh, one.before.generator_h)


def test_what_gains_nothing_has_no_cost_per_day_and_stands_last(three):
    shelf = three.effect_of("shelf")
    assert shelf.gained["p10"] == 0 and shelf.cost_per_day == np.inf
    assert three.single[-1] is shelf or three.single[-1].cost_per_day == np.inf
    costs = [one.cost_per_day for one in three.single]
    assert costs == sorted(costs)


def test_ties_fall_to_the_smaller_set_even_where_more_is_free(three):
    assert three.best.names == ("sun", "tank")
    free = next_steps(plan_with(SUN, TANK, SHELF | {"cost": "$0"}))
    assert free.best.names == ("sun", "tank")


def test_every_effect_shows_what_it_does_to_each_need_though_another_hides_it(three):
    # Power and water both end within a week: either by itself gains the homestead next to nothing.
    sun, tank = three.effect_of("sun"), three.effect_of("tank")
    assert sun.gained["p10"] <= 2 and tank.gained["p10"] <= 2
    assert sun.gained_by_need["power"] >= 30 and sun.gained_by_need["water"] == 0
    assert tank.gained_by_need["water"] >= 30 and tank.gained_by_need["power"] == 0


def test_a_budget_bounds_the_order_and_the_best_but_not_the_look_at_each():
    steps = next_steps(plan_with(SUN, TANK, SHELF), budget_money=1000.0)
    assert all(one.cost_money <= 1000.0 for one in (*steps.order, steps.best))
    assert steps.best.names in ((), ("sun",), ("tank",))
    tight = next_steps(plan_with(SUN, TANK, SHELF), budget_money=50.0)
    assert {one.names for one in tight.single} == {("sun",), ("tank",), ("shelf",)}
    assert tight.order == ()
    assert tight.best is tight.today


def test_a_change_brings_what_it_needs_in_turn():
    stand = {"name": "stand", "cost": "$50", "sets": {"cistern.volume": "340 L"}}
    tank = TANK | {"needs": ["stand"]}
    filter_ = SHELF | {"needs": ["tank"]}
    steps = next_steps(plan_with(tank, stand, filter_))
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
    assert {effect.names for effect in steps.single} == {("one",), ("other",)}


def test_a_change_that_the_plan_cannot_take_is_refused():
    plan = plan_with({"name": "barrel", "sets": {"cistern.volume": "5 lb"}})
    with pytest.raises(PlanError, match="volume"):
        next_steps(plan)


def test_new_findings_are_those_that_today_does_not_have():
    def told(severity, about, text, code):
        return Finding(code, severity, "{subject}", text, "source", about)

    def new(after, before):
        then, now = (
            changes.Figures({}, 0.0, {}, "none", 0.0, 0.0, frozenset(found))
            for found in (before, after)
        )
        return changes.Effect(**vars(now), names=(), before=then).new_findings

    volts = told("danger", "strings", "541 V on a converter for 450 V", "cold")
    today = {
        told("warning", "wire 2", "12 A on a wire for 10 A", "wire"),
        told("note", "x", "y", "z"),
    }
    later = {
        told("warning", "wire 2", "14 A on a wire for 10 A", "wire"),  # the same, another figure
        volts,
        told("note", "strings", "a note is not a finding to worry about", "room"),
    }
    assert new(later, today) == (volts,)
    assert new(today, later) == ()
    # Names may hold digits: another wire is another finding.
    other = told("warning", "wire 3", "14 A on a wire for 10 A", "wire")
    assert new({other}, today) == (other,)


def test_a_long_string_is_a_new_finding_of_the_change():
    long = ARRAY | {"modules_per_string": 14, "converter_max_voltage": "450 V"}
    steps = next_steps(plan_with({"name": "long", "adds": {"array": [long]}}))
    (one,) = steps.single
    assert any(found.severity == "danger" for found in one.new_findings)


def test_progress_cancel_and_executor_are_passed_on():
    seen = []

    class Cancelled(Exception):
        pass

    def stop(done, asked):
        seen.append((done, asked))
        raise Cancelled

    with pytest.raises(Cancelled):
        next_steps(plan_with(SUN, TANK | {"cost": "$501"}), years_n=2, progress=stop)
    ((done, expected),) = seen
    assert done <= 1 and expected > 10

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


# --- many ideas -----------------------------------------------------------------------------------


def duds(number):
    return [
        {
            "name": f"dud {n}",
            "cost": f"${340 + n}",
            "adds": {"pantry": [{"name": f"{n}", "energy": "9 kcal"}]},
        }
        for n in range(number)
    ]


@pytest.mark.parametrize("number", [11, 38])
def test_the_pair_is_found_among_many_and_the_work_grows_with_the_ideas_alone(number):
    many = duds(number)
    ideas = [*many[:6], SUN | {"cost": "$300"}, *many[6:], TANK | {"cost": "$300"}]
    steps = next_steps(plan_with(*ideas), years_n=1, budget_money=650.0)
    assert steps.best.names == ("sun", "tank")
    assert steps.order[-1].names == ("sun", "tank")
    assert steps.is_proven
    assert steps.worked_n <= 2 * len(ideas) + 70  # every pair alone would be 741 for 39


def test_the_bar_has_a_total_and_ends_at_it():
    seen = []
    next_steps(
        plan_with(SUN, TANK | {"cost": "$503"}, SHELF),
        progress=lambda done, total: seen.append((done, total)),
    )
    done, totals = zip(*seen, strict=True)
    assert list(done) == sorted(done) and list(totals) == sorted(totals)
    assert done[-1] == totals[-1]


@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_code_and_subject_know_each_finding_of_a_plan(name, shipped_hours):
    found = findings_of(shipped_hours[name].plan, shipped_hours[name])
    keys = [one.key for one in found]
    assert sorted(set(keys)) == sorted(keys), [key for key in keys if keys.count(key) > 1]


def test_the_door_ranks_what_costs_nothing_before_what_costs_money():
    import homestead as hs

    plan = plan_with(SUN, TANK | {"cost": "$501"})
    found = hs.next_steps(plan, years_n=1)
    free = found.free.actions
    assert [one.gained["p10"] for one in free] == sorted(
        (one.gained["p10"] for one in free), reverse=True
    )
    title, lines = found.shown()
    names = [name for name, _ in lines]
    firsts = [name.startswith("free: ") for name in names]
    assert firsts[0] and firsts == sorted(firsts, reverse=True)  # none after what costs money
    assert dict(lines)["free: all of it"] == f"to {found.free.together.days['p10']} days"
