"""One part out: every kind that a plan has is tried, and what goes with it is no gain."""

from pathlib import Path

import pytest

from homestead.outlook.ledger import year_of
from homestead.outlook.work import hardest_h, hours_had
from homestead.plan import demo_path, open_plan, with_changes
from homestead.questions.parts_out import ON_THE_SHELF, _people, parts_of, parts_out
from homestead.simulate.inputs import hours_of

TESTS = Path(__file__).resolve().parents[1]
DATA = demo_path().parent.parent
SHIPPED = [DATA / name / "plan.toml" for name in ("demo", "cabin", "cold-coast")]
PLANS = [*SHIPPED, *sorted((TESTS / "plans").glob("*.toml"))]

# What a plan must have for a part of that kind to be tried, and how many of them.
OWED = {
    "array or its modules": lambda plan: len(plan.arrays),
    "string": lambda plan: sum(one.strings_n > 1 for one in plan.arrays),
    "main inverter": lambda plan: plan.grid_former is not None,
    "battery": lambda plan: plan.battery is not None,
    "battery module": lambda plan: (
        plan.battery is not None and plan.battery.modules_n > plan.battery.series_n
    ),
    "generator": lambda plan: plan.generator is not None,
    "hydro": lambda plan: plan.hydro is not None,
    "wind turbine": lambda plan: plan.wind is not None,
    "pump": lambda plan: plan.pump is not None,
    "pressure tank": lambda plan: plan.pump is not None and plan.pressure_tank is not None,
    "booster": lambda plan: plan.cistern is not None and plan.cistern.delivery == "booster pump",
    "cistern": lambda plan: plan.cistern is not None,
    "well": lambda plan: plan.well is not None,
    "spring": lambda plan: plan.spring is not None,
    "ram pump": lambda plan: plan.ram_pump is not None,
    "heater": lambda plan: len(plan.heaters),
    "blower": lambda plan: sum(
        one.electric_w > 0 and one.store != "electricity" for one in plan.heaters
    ),
    "hot water": lambda plan: plan.hot_water is not None,
    "freezer": lambda plan: plan.freezer is not None,
    "crop": lambda plan: len(plan.crops),
    "animal": lambda plan: len(plan.animals),
}


@pytest.mark.parametrize("path", PLANS, ids=lambda one: f"{one.parent.name}-{one.stem}")
def test_every_kind_that_a_plan_has_is_tried(path):
    plan = open_plan(path)
    tried = [part.kind for part in parts_of(plan)]
    tried = ["array or its modules" if one in ("array", "modules") else one for one in tried]
    for kind, owed in OWED.items():
        assert tried.count(kind) == int(owed(plan)), kind
    units_n = plan.grid_former.units_n if plan.grid_former else 1
    assert (units_n > 1) == any("main inverter " in kind for kind in tried)
    for part in parts_of(plan):
        assert part.kind in ON_THE_SHELF
        with_changes(plan.raw, part.sets, folder=plan.folder)  # and none of them is a broken plan


def test_together_the_plans_have_one_of_every_kind():
    kinds = {part.kind for path in PLANS for part in parts_of(open_plan(path))}
    assert {"array", "string", "main inverter", "main inverter unit", "battery module", "generator",
            "pump", "pressure tank", "booster", "cistern", "heater", "blower", "freezer", "crop",
            "animal", "well", "spring", "hydro", "wind turbine"} <= kinds  # fmt: skip


@pytest.mark.parametrize("name", ["demo", "cold-coast"])
def test_a_pressure_tank_without_air_never_gives_a_day(name):
    """The pump lifts against the same pressure, so that nothing is saved by the tank's end."""
    plan = open_plan(DATA / name / "plan.toml")
    (part,) = (one for one in parts_of(plan) if one.kind == "pressure tank")
    without = with_changes(plan.raw, part.sets, folder=plan.folder)
    before, after = hours_of(plan, 1), hours_of(without, 1)
    assert after.fixed.pump_wh_m3 == pytest.approx(before.fixed.pump_wh_m3)
    assert after.fixed.tank_m3 < 0.02 * before.fixed.tank_m3
    found = parts_out(plan, 10)
    (tank,) = (one for one in found.parts if one.kind == "pressure tank")
    assert tank.days <= found.whole.days["p10"] and tank.least_days <= found.whole.days["least"]


def test_an_adult_in_bed_is_tried_with_the_hours_that_are_left():
    """By hand: what the chores of the hardest two weeks ask and nobody has is not done."""
    plan = open_plan(TESTS / "plans" / "generator_cabin.toml")
    (others_do,) = _people(plan, 1)
    assert others_do.kind == "adult" and others_do.sets == {}  # Ben does all of it
    raw = {**plan.raw, "person": [dict(one, work="2.5 h") for one in plan.raw["person"]]}
    few = with_changes(raw, folder=plan.folder)
    (part,) = _people(few, 1)
    asked_h = hardest_h(year_of(hours_of(few, 1)).daily_work)
    assert [hours_had(one) for one in few.people] == [2.5, 2.5] and asked_h > 3.0
    left_h = 2.5 - 2.0  # the table's two hours of care
    assert part.sets == {"heater.wood stove.tended": f"6-{6 + round(16 * left_h / asked_h)}"}
    found = next(one for one in parts_out(few, 1).parts if one.kind == "adult")
    assert found.days <= parts_out(few, 1).whole.days["p10"] and "neighbor" in found.shelf
