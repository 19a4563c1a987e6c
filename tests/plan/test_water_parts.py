"""Entries of well, pump, pipe, tank and household that carry lists, and the rules between them."""

import copy
import tomllib

import pytest

from homestead import reference, units
from homestead.plan import water
from homestead.plan.schema import read_plan

with reference.shipped("data", "demo", "plan.toml").open("rb") as file:
    DEMO = tomllib.load(file)


def read(**parts):
    """The demo with entries of some parts set; the plan and its faults by place."""
    raw = copy.deepcopy(DEMO)
    for part, entries in parts.items():
        raw.setdefault(part, {}).update(entries)
    plan, faults = read_plan(raw)
    return plan, {fault.where: fault.message for fault in faults}


def test_the_new_entries_have_defaults_that_leave_older_plans_as_they_were():
    raw = copy.deepcopy(DEMO)
    del raw["well"]["drawdown"], raw["pipe"]["fittings"]
    plan, faults = read_plan(raw)
    assert faults == []
    assert plan.well.drawdown_m is None and plan.well.neighbor_distances == {}
    assert plan.pump.curve_points == ((), ())
    assert plan.pipe.fitting_counts == {} and plan.water_use.fixture_uses == {}
    assert plan.pressure_tank.precharge_pa is None
    assert plan.water_use.fire_building_m3 is None


def test_lists_are_read_into_si():
    plan, faults = read(
        well={"drawdown": "48 ft", "neighbors": ["septic tank: 80 ft", "leach field: 31 m"]},
        pump={"curve": ["0 gal/min at 290 ft", "4 gal/min at 240 ft", "8 gal/min at 120 ft"]},
        pipe={"fittings": ["90 deg ell wrought: 4", "gate valve: 1"]},
        water_use={"fixtures": ["low-flush toilet: 24", "shower or tub: 4.5"]},
    )
    assert faults == {}
    assert plan.well.drawdown_m == units.parse("48 ft", "length")
    assert plan.well.neighbor_distances == {
        "septic tank": units.parse("80 ft", "length"),
        "leach field": 31.0,
    }
    flows, heads = plan.pump.curve_points
    assert flows == tuple(units.parse(f"{one} gal/min", "flow") for one in (0, 4, 8))
    assert heads == tuple(units.parse(f"{one} ft", "length") for one in (290, 240, 120))
    assert plan.pipe.fitting_counts == {"90 deg ell wrought": 4.0, "gate valve": 1.0}
    assert plan.water_use.fixture_uses == {"low-flush toilet": 24.0, "shower or tub": 4.5}


@pytest.mark.parametrize(
    ("part", "entry", "value", "said"),
    [
        ("well", "neighbors", ["septic tank 80 ft"], 'written as "name: 220 ft"'),
        ("well", "neighbors", ["septic tank: 80"], "amount of 0 or more"),
        ("well", "neighbors", ["septic tank: -80 ft"], "amount of 0 or more"),
        ("well", "neighbors", ["septic tnak: 80 ft"], "nearest: septic tank"),
        ("pipe", "fittings", ["gate valve: nan"], "amount of 0 or more"),
        ("pipe", "fittings", ["gate valve: inf"], "amount of 0 or more"),
        ("pipe", "fittings", ["gate valve: 1", "gate valve: 2"], "each thing once"),
        ("pipe", "fittings", ["gate vlave: 1"], "nearest: gate valve"),
        ("water_use", "fixtures", ["sauna: 1"], "nearest"),
        ("pump", "curve", ["4 gal/min"], 'points such as "4 gal/min at 240 ft"'),
        ("pump", "curve", ["0 gal/min at 290 ft"], "two points or more"),
        ("pump", "curve", ["1 gal/min at 290 ft", "4 gal/min at 9 ft"], "first at no flow"),
        ("pump", "curve", ["0 gal/min at 90 ft", "4 gal/min at 99 ft"], "heads falling"),
        ("pump", "curve", ["0 gal/min at 90 ft", "0 gal/min at 80 ft"], "flows rising"),
        ("pump", "curve", ["0 L/min at 9 m", "5 L/min at -1 m"], "heads falling"),
        ("well", "drawdown", "210 ft", "pass depth"),
        ("pressure_tank", "precharge", "41 psi", "not be above cut_in"),
    ],
)
def test_a_wrong_entry_is_told_at_its_place(part, entry, value, said):
    plan, faults = read(**{part: {entry: value}})
    assert plan is None
    assert list(faults) == [(part, entry)]
    assert said in faults[(part, entry)]


def test_fittings_must_come_in_the_size_of_the_pipe():
    _, faults = read(pipe={"size": "1", "fittings": ["globe valve: 1"]})
    assert "equivalent_length 1 in" in faults[("pipe", "fittings")]
    assert read(pipe={"size": "1-1/4", "fittings": ["globe valve: 1"]})[1] == {}


def test_a_drawdown_needs_a_yield():
    _, faults = read(well={"drawdown": "20 ft", "yield": "0 gal/min"})
    assert "above 0" in faults[("well", "yield")]


def test_height_above_taps_is_for_gravity_only():
    assert read(cistern={"above_taps": "30 ft"})[1] == {}
    _, faults = read(cistern={"above_taps": "30 ft", "delivery": "booster pump"})
    assert "only for delivery by gravity" in faults[("cistern", "above_taps")]


def test_named_amounts_keeps_colons_inside_a_name():
    assert water.named_amounts(["a: b: 2"], "number") == {"a: b": 2.0}
