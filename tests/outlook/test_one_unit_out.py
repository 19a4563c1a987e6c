"""One of several main inverters out: in parallel, and one on each leg."""

import pytest
from small_plans import ARRAY, BATTERY, FORMER, PUMP, SMALLEST, WELL, appliance, plan_of

from homestead.plan import with_changes
from homestead.questions.breakdowns import breakdowns
from homestead.questions.parts_out import parts_of, parts_out

PAIR = FORMER | {"continuous": "3 kW", "units": 2, "idle": "60 W", "charger": "4 kW"}
HOUSE = SMALLEST | {
    "appliance": [
        appliance("light", 100, 24, 1) | {"leg": "A"},
        appliance("radio", 50, 24, 1) | {"leg": "B"},
        appliance("dryer", 2500, 1, 3) | {"supply": "240 V"},
        appliance("fan", 40, 10, 3),
    ],
    "array": [ARRAY | {"name": "roof", "coupling": "ac"}],
    "grid_former": PAIR,
    "battery": BATTERY | {"module": "10 kWh"},
    "well": WELL,
    "pump": PUMP,
    "pipe": {"length": "80 m"},
    "pressure_tank": {"volume": "200 L", "cut_in": "210 kPa", "cut_out": "350 kPa"},
}


def without(plan, name):
    sets = next(one.sets for one in parts_of(plan) if one.name == name)
    return with_changes(plan.raw, sets, folder=plan.folder)


def names(plan):
    return [one.name for one in parts_of(plan) if one.kind == "main inverter unit"]


def test_one_of_a_parallel_pair_leaves_half_the_power_and_all_loads():
    plan = plan_of(HOUSE)
    assert names(plan) == ["one of the main inverters"]
    left = without(plan, "one of the main inverters")
    assert left.grid_former.all_units_w == pytest.approx(3000.0)
    assert left.grid_former.idle_w == pytest.approx(30.0)
    assert left.grid_former.charger_w == pytest.approx(2000.0)
    assert [one.name for one in left.appliances] == ["light", "radio", "dryer", "fan"]
    assert left.pump is not None and len(left.arrays) == 1


@pytest.mark.parametrize(("leg", "stays"), [("A", "radio"), ("B", "light")])
def test_a_unit_on_each_leg_takes_its_leg_and_all_240_v_with_it(leg, stays):
    plan = plan_of(HOUSE | {"grid_former": PAIR | {"arrangement": "one per leg"}})
    assert names(plan) == ["the main inverter of leg A", "the main inverter of leg B"]
    left = without(plan, f"the main inverter of leg {leg}")
    assert [one.name for one in left.appliances] == [stays, "fan"]
    # A 240 V pump and inverters that follow a 240 V grid stand still.
    assert left.pump is None and not left.arrays


def test_two_pairs_lose_one_unit_or_a_leg():
    """One on leg A, two on leg B: what needs both legs is held to twice the weaker leg."""
    plan = plan_of(HOUSE | {"grid_former": PAIR | {"units": 4, "arrangement": "one per leg"}})
    assert names(plan) == ["one of the main inverters"]
    left = without(plan, "one of the main inverters")
    assert left.grid_former.all_units_w == pytest.approx(2 * 3000.0)
    assert left.pump is not None and len(left.arrays) == 1 and len(left.appliances) == 4
    dark = without(plan, "all main inverters of leg B")
    assert [one.name for one in dark.appliances] == ["light", "fan"]
    assert dark.pump is None and not dark.arrays
    assert dark.grid_former.all_units_w == pytest.approx(2 * 3000.0)
    tried = {one.part for one in parts_out(plan, 1).parts}
    assert {"one of the main inverters", "all main inverters of leg A"} <= tried


INVERTERS = [
    {"name": "big", "output": "7 kW"},
    {"name": "small", "output": "3 kW"},
]
ON_THEM = [
    {k: v for k, v in ARRAY.items() if k not in ("coupling", "converter")}
    | {"name": name, "inverter": inverter, "inverter_input": number}
    for name, inverter, number in (("south", "big", 1), ("east", "big", 2), ("west", "small", 1))
]


def behind():
    wired = {"length": "10 m", "size": "8", "breaker": "40 A"}
    circuits = [wired | {"name": one, "feeds": one} for one in ("big", "small")]
    return plan_of(HOUSE | {"array": ON_THEM, "pv_inverter": INVERTERS, "circuit": circuits})


def test_a_pv_inverter_takes_its_arrays_and_its_circuit():
    plan = behind()
    left = without(plan, "the PV inverter big")
    assert [one.name for one in left.arrays] == ["west"]
    assert [one.name for one in left.pv_inverters] == ["small"]
    assert [one.feeds for one in left.circuits] == ["small"]
    # An array alone leaves its inverter to the other one; the last one takes it along.
    assert [one.name for one in without(plan, "the array east").pv_inverters] == ["big", "small"]
    assert [one.name for one in without(plan, "the array west").pv_inverters] == ["big"]
    found = parts_out(plan, 1)
    assert not found.untried
    rows = {one.part: one for one in found.parts}
    assert rows["the PV inverter big"].days <= rows["the array east"].days
    assert "same model" in rows["the PV inverter big"].shelf


def test_a_dark_leg_takes_pv_inverters_and_their_circuits_too():
    plan = behind()
    split = plan_of(plan.raw | {"grid_former": PAIR | {"arrangement": "one per leg"}})
    left = without(split, "the main inverter of leg A")
    assert not left.arrays and not left.pv_inverters and not left.circuits


def test_a_pv_inverter_breaks_once_whatever_hangs_on_it():
    found = breakdowns(behind(), 1, samples_n=20)
    rates = {name: rate for name, rate in found.rates.items() if "array" in name or "PV" in name}
    assert rates == {"the PV inverter big": 0.028, "the PV inverter small": 0.028}


def test_a_single_main_inverter_is_out_as_a_whole():
    assert names(plan_of(HOUSE | {"grid_former": PAIR | {"units": 1}})) == []


def test_it_stands_among_the_parts_with_what_to_keep_on_the_shelf():
    plan = plan_of(HOUSE | {"grid_former": PAIR | {"arrangement": "one per leg"}})
    found = parts_out(plan, 1)
    rows = {one.part: one for one in found.parts}
    row = rows["the main inverter of leg A"]
    assert "same model" in row.shelf and row.least_days <= row.days
    assert not [one for one in found.untried if "leg" in one[0]]


@pytest.mark.parametrize(
    ("more", "rates"),
    [
        ({"units": 1}, {"the main inverter": 0.028}),
        ({"units": 3}, {"one of the main inverters": 3 * 0.028}),
        (
            {"units": 2, "arrangement": "one per leg"},
            {"the main inverter of leg A": 0.028, "the main inverter of leg B": 0.028},
        ),
    ],
)
def test_each_unit_breaks_by_itself(more, rates):
    """Bucher and others 2022: 0.028 a year for each inverter, as in the table."""
    found = breakdowns(plan_of(HOUSE | {"grid_former": PAIR | more}), 1, samples_n=20)
    inverters = {name: rate for name, rate in found.rates.items() if "main inverter" in name}
    assert inverters == pytest.approx(rates)
