"""PV inverters as parts of their own: two inputs, one limit, one circuit; three on two mains."""

import numpy as np
import pytest
from electrical_plans import HOUSE, about, array, circuit, house

from homestead.formulas.power import solar
from homestead.plan import with_changes
from homestead.plan.schema import read_plan
from homestead.questions.sizes import sized
from homestead.screen.one_line import one_line
from homestead.simulate.inputs import hours_of
from homestead.trades.power import check_coupling, check_strings, check_wiring
from homestead.trades.power.study_loads import loads_of

OWN = {"coupling", "converter", "converter_max_voltage", "converter_max_current"}
OWN |= {"tracker_min", "tracker_max"}


def on(inverter, number, **entries):
    """The house's array on an input, without a converter of its own."""
    left = {key: value for key, value in array(**entries).items() if key not in OWN}
    return left | {"inverter": inverter, "inverter_input": number}


def inverter(**entries):
    return {
        "name": "roof inverter",
        "output": "5 kW",
        "efficiency": 0.96,
        "max_voltage": "600 V",
        "tracker_min": "90 V",
        "tracker_max": "550 V",
        "input_1_short_circuit": "30 A",
        "input_2_short_circuit": "15 A",
    } | entries


def pair(**entries):
    """South on input 1 with two strings, east on input 2 with one."""
    arrays = [on("roof inverter", 1, name="south"), on("roof inverter", 2, name="east", strings=1)]
    return house(array=arrays, pv_inverter=[inverter(**entries)], generator=None)


def test_one_array_on_an_inverter_gives_what_it_gives_with_a_converter_of_its_own(greensboro):
    limits = {"converter_working_current": "12 A", "converter_efficiency": 0.96}
    alone = house(array=[array(strings=2, **limits)])
    behind = house(
        array=[on("roof inverter", 1, strings=2)],
        pv_inverter=[inverter(input_1_working="12 A")],
    )
    for plan in (alone, behind):
        assert plan.arrays[0].coupling == "ac" and plan.arrays[0].converter_w == 5000.0
    got, wanted = (hours_of(one, 1, greensboro).column("pv_ac_w") for one in (behind, alone))
    np.testing.assert_allclose(got, wanted, rtol=1e-12)


def test_each_input_has_its_own_limit_and_the_output_a_joint_one(greensboro):
    plan = pair(input_1_working="8 A")
    south, east = plan.arrays
    dc = {one.name: solar.array_dc_w(greensboro, one).to_numpy() for one in plan.arrays}
    # Input 1 draws 8 A at most: 8 strings' volts of about 264 V, 2.1 kW; input 2 is free of it.
    held = solar.inverter_output_w(greensboro, plan.pv_inverters[0], plan.arrays).to_numpy()
    free = solar.inverter_output_w(greensboro, pair().pv_inverters[0], plan.arrays).to_numpy()
    assert held.max() <= 5000.0 and held.sum() < free.sum()
    south_held = solar.array_output_w(greensboro, south).to_numpy()
    east_own = solar.array_output_w(greensboro, east).to_numpy()
    np.testing.assert_allclose(held, np.minimum(south_held + east_own, 5000.0), rtol=1e-9)
    small = pair(output="2 kW").pv_inverters[0]
    joint = solar.inverter_output_w(greensboro, small, plan.arrays).to_numpy()
    assert joint.max() == pytest.approx(2000.0)
    assert (dc["south"] + dc["east"]).max() > 3000.0


def test_arrays_on_one_input_share_its_current(greensboro):
    both = [on("roof inverter", 1, name="a", strings=1), on("roof inverter", 1, name="b")]
    plan = house(array=both, pv_inverter=[inverter(input_1_working="12 A", output="50 kW")])
    together = solar.inverter_output_w(greensboro, plan.pv_inverters[0], plan.arrays).to_numpy()
    one = house(
        array=[on("roof inverter", 1, strings=3)],
        pv_inverter=[inverter(input_1_working="12 A", output="50 kW")],
    )
    three = solar.inverter_output_w(greensboro, one.pv_inverters[0], one.arrays).to_numpy()
    np.testing.assert_allclose(together, three, rtol=1e-9)
    # 3 x 11.2 A short-circuit on an input that takes 30 A.
    texts = [f.said() for f in check_strings.findings_of(plan) if f.severity != "note"]
    assert any("33.6 A short-circuit: outside the 30.0 A" in text for text in texts)


def test_an_input_is_held_against_its_own_short_circuit_limit():
    # One string of 11.2 A on an input for 15 A is within; two of 22.4 A would not be.
    found = list(check_strings.findings_of(pair()))
    assert not [f for f in about(found, "array east") if f.severity == "danger"]
    two = house(array=[on("roof inverter", 2)], pv_inverter=[inverter()])
    grave = [f for f in check_strings.findings_of(two) if "15.0 A" in f.said()]
    assert grave and all(f.severity == "warning" for f in grave)


def test_an_inverter_with_two_inputs_is_one_circuit_and_counts_once():
    plan = pair()
    (ratio, *_) = about(check_coupling.findings_of(plan, loads_of(plan)), "AC coupling")
    assert "5.0 kW in all" in ratio.said()
    missing = about(check_wiring.findings_of(plan, loads_of(plan)), "disconnects missing")[0]
    assert "roof inverter" in missing.said() and "south" not in missing.said()
    wired = circuit(feeds="roof inverter", size="8", breaker="30 A", disconnect=True)
    plan = house(
        array=list(plan.raw["array"]), pv_inverter=[inverter()], circuit=[wired], generator=None
    )
    (wire,) = about(check_wiring.findings_of(plan, loads_of(plan)), "circuit c1: wire")
    assert "20.8 A (roof inverter: its inverter at full output" in wire.said()  # 5 kW at 240 V


def test_an_array_names_its_inverter_and_nothing_twice():
    _, faults = read_plan(HOUSE | {"array": [on("attic", 1)]})
    assert any("must name a [[pv_inverter]]" in one.message for one in faults)
    twice = on("roof inverter", 1) | {"converter": "4 kW"}
    _, faults = read_plan(HOUSE | {"array": [twice], "pv_inverter": [inverter()]})
    assert [one.where for one in faults] == [("array", 0, "converter")]


@pytest.mark.parametrize("alone", [True, False])
def test_twice_the_modules_give_about_twice_the_sun(greensboro, alone):
    """An input's current limit used to stay as it was while its strings were laid out anew."""
    own = array(strings=2, converter_working_current="24 A")
    behind = on("roof inverter", 1)
    plan = house(
        array=[own if alone else behind],
        pv_inverter=[] if alone else [inverter(input_1_working="24 A")],
    )
    size = sized(plan, f"array {plan.arrays[0].name}")
    sets = size.sets_of(32)
    larger = with_changes(plan.raw, sets)
    today, then = (hours_of(one, 1, greensboro).column("pv_ac_w").sum() for one in (plan, larger))
    assert then == pytest.approx(2.0 * today, rel=1e-6)


def test_the_diagram_shows_inverters_with_their_inputs_and_panels_below_their_feeders():
    feeder = circuit(name="feeder", feeds="basement", size="6", breaker="50 A")
    inside = circuit(name="lamp", panel="basement")
    plan = house(
        array=list(pair().raw["array"]),
        pv_inverter=[inverter()],
        circuit=[inside, feeder],
        subpanel=[{"name": "basement", "busbar": "100 A", "main_breaker": "50 A"}],
        generator=None,
    )
    drawn = one_line(plan)
    for text in ("roof inverter", "PV inverter 5.0 kW", "input 1: south", "input 2: east"):
        assert text in drawn
    assert drawn.index(">feeder<") < drawn.index("basement: busbar") < drawn.index(">lamp<")
