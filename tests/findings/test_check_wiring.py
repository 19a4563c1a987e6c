import pytest
from electrical_plans import HOUSE, about, array, circuit, graver, house
from small_plans import plan_of

from homestead.plan.schema import read_plan
from homestead.simulate.constants import fixed_of
from homestead.trades.power import check_wiring as wiring
from homestead.trades.power.study_loads import loads_of


def found(plan, text=""):
    return about(wiring.findings_of(plan, loads_of(plan)), text)


def of(*circuits, **parts):
    return house(circuit=list(circuits), **parts)


def test_sound_circuit_gives_notes_only():
    # 1,500 W at 120 V: 12.5 A on 12 AWG (20 A at 60 °C) and a 20 A breaker.
    every = found(of(circuit()))
    assert graver(every) == [] and len(about(every, "circuit c1")) == 3


# NEC 210.20(A), case E41: a 20 A breaker carries 16 A continuous.
@pytest.mark.parametrize(("current", "severity"), [("16 A", "note"), ("16.1 A", "warning")])
def test_breaker_beside_125_per_cent_of_a_continuous_load(current, severity):
    plan = of(circuit(current=current, continuous=True, size="10"))
    (one,) = found(plan, "circuit c1: breaker")
    assert one.severity == severity


# NEC Table 310.16, case E35: 14 AWG copper carries 15 A at 60 °C.
@pytest.mark.parametrize(("current", "severity"), [("15 A", "note"), ("15.1 A", "danger")])
def test_wire_beside_table_310_16(current, severity):
    plan = of(circuit(current=current, size="14", breaker="15 A", terminals="60 °C"))
    assert found(plan, "circuit c1: wire")[0].severity == severity


# Case E40: 4 AWG copper, 90 °C, at 40 °C: 95 x 0.91 = 86.45 A, 85 A at 75 °C terminals.
@pytest.mark.parametrize(("current", "severity"), [("85 A", "note"), ("86 A", "danger")])
def test_terminals_limit_what_the_insulation_would_allow(current, severity):
    hot = {"insulation": "90 °C", "ambient": "40 °C", "terminals": "75 °C"}
    plan = of(circuit(size="4", current=current, breaker="90 A", **hot))
    (one,) = found(plan, "circuit c1: wire")
    assert one.severity == severity and "86.5 A after correction" in one.said()


def test_bundling_takes_its_share():
    # 12 AWG at 75 °C: 25 A x 0.7 with seven wires = 17.5 A (Table 310.15(C)(1), case E36).
    plan = of(circuit(current="17.6 A", terminals="75 °C", bundled=7))
    assert found(plan, "circuit c1: wire")[0].severity == "danger"
    plan = of(circuit(current="17.5 A", terminals="75 °C", bundled=7))
    assert found(plan, "circuit c1: wire")[0].severity == "note"


def test_terminals_count_as_60_degrees_up_to_100_a_unless_entered():
    assert "60 °C assumed" in found(of(circuit()), "circuit c1: wire")[0].said()
    big = of(circuit(size="3/0", breaker="125 A", current="100 A", supply="240 V"))
    assert "75 °C assumed" in found(big, "circuit c1: wire")[0].said()


# Small conductors, 240.4(D), case E41: 14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A, 12 aluminum 15 A.
@pytest.mark.parametrize(
    ("size", "metal", "breaker", "severity"),
    [
        ("14", "copper", "15 A", "note"),
        ("14", "copper", "20 A", "danger"),
        ("12", "copper", "25 A", "danger"),
        ("10", "copper", "30 A", "note"),
        ("10", "copper", "35 A", "danger"),
        ("12", "aluminum", "15 A", "note"),
        ("12", "aluminum", "20 A", "danger"),
    ],
)
def test_breaker_beside_the_small_conductor_rule(size, metal, breaker, severity):
    plan = of(circuit(size=size, metal=metal, breaker=breaker, current="10 A", terminals="75 °C"))
    assert found(plan, "circuit c1: breaker")[0].severity == severity


def test_larger_wires_take_the_next_standard_breaker():
    # 6 AWG copper at 60 °C: 55 A, so 60 A is the next standard size and 70 A is not.
    wire = {"size": "6", "current": "40 A", "supply": "240 V", "terminals": "60 °C"}
    assert found(of(circuit(breaker="60 A", **wire)), "circuit c1: breaker")[0].severity == "note"
    (one,) = found(of(circuit(breaker="70 A", **wire)), "circuit c1: breaker")
    assert one.severity == "danger" and "60 A" in one.said()


def test_a_rating_that_is_not_standard_is_flagged():
    (one,) = found(of(circuit(breaker="18 A")), "circuit c1: breaker")
    assert one.severity == "warning" and "240.6(A)" in one.said()


# Voltage drop by Table 8, case E39: 12 AWG, 100 ft, 16 A loses 6.34 V.
def test_voltage_drop_beside_three_per_cent():
    long = circuit(length="100 ft", current="16 A")
    (one,) = found(of(long), "circuit c1: voltage drop")
    assert one.severity == "warning" and "6.3 V of 120 V, 5.3 %" in one.said()
    (one,) = found(of(long | {"supply": "240 V"}), "circuit c1: voltage drop")
    assert one.severity == "note"


def test_feeder_and_branch_are_added_for_the_five_per_cent():
    # Feeder 25 A x 2 x 150 ft x 0.491 ohm/kft = 3.7 V of 240 V, 1.5 %; branch 3.0 or 4.1 %.
    feeder = circuit(
        name="feeder", feeds="main inverter", size="6", breaker="40 A", length="150 ft"
    )
    near = circuit(length="70 ft")
    assert found(of(feeder, near), "voltage drop in all")[0].severity == "note"
    far = circuit(length="100 ft")
    assert found(of(feeder, far), "voltage drop in all")[0].severity == "warning"
    assert found(of(far), "voltage drop in all") == []


PUMP = {
    "well": {"depth": "60 m", "static_level": "20 m", "yield": "20 L/min"},
    "pump": {"rated": "1 hp", "supply": "115 V", "depth": "50 m", "flow": "15 L/min"},
    "pipe": {"length": "60 m"},
}


# Motor branch circuit, case E32: 1 hp at 115 V counts 16 A, wire 20 A, breaker up to 40 A.
@pytest.mark.parametrize(
    ("size", "breaker", "wire", "protection"),
    [
        ("12", "40 A", "note", "note"),
        ("12", "45 A", "note", "danger"),
        ("14", "30 A", "danger", "note"),
        ("12", "15 A", "note", "warning"),
    ],
)
def test_motor_circuit_of_the_published_example(size, breaker, wire, protection):
    plan = of(circuit(feeds="well pump", size=size, breaker=breaker, terminals="60 °C"), **PUMP)
    (one,) = found(plan, "circuit c1: wire")
    assert one.severity == wire and "16.0 A (well pump: Table 430.248" in one.said()
    assert found(plan, "circuit c1: breaker")[0].severity == protection


def test_a_motor_breaker_may_lie_between_its_current_and_125_per_cent():
    # Case E31: 3/4 hp at 115 V counts 13.8 A, 125 % of it is 17.3 A for the wire alone.
    pump = PUMP | {"pump": PUMP["pump"] | {"rated": "0.75 hp"}}
    plan = of(circuit(feeds="well pump", breaker="15 A"), **pump)
    assert found(plan, "circuit c1: breaker")[0].severity == "note"


def test_a_load_with_a_start_counts_as_a_motor_for_its_wire_alone():
    # 430.22: 125 % of 12.5 A is 15.6 A, above the 15 A of 14 AWG at 60 °C; the breaker stays with
    # the small-conductor rule, 15 A for 14 AWG (240.4(D)).
    saw = {"name": "saw", "power": "1500 W", "daily_use": "1 h"}
    wire = {"feeds": "saw", "size": "14", "breaker": "15 A", "terminals": "60 °C"}
    assert found(of(circuit(**wire), appliance=[saw]), "circuit c1: wire")[0].severity == "note"
    starts = of(circuit(**wire), appliance=[saw | {"starting": "50 A"}])
    (one,) = found(starts, "circuit c1: wire")
    assert one.severity == "danger" and "430.22" in one.source
    assert found(starts, "circuit c1: breaker")[0].severity == "note"
    large = of(circuit(**wire | {"breaker": "20 A"}), appliance=[saw | {"starting": "50 A"}])
    assert found(large, "circuit c1: breaker")[0].severity == "danger"


# 4/0 copper carries 230 A at 75 °C (Table 310.16); 125 % of 184 A is 230 A, of 187 A 233.75 A.
@pytest.mark.parametrize(("current", "is_told"), [("184 A", False), ("187 A", True)])
def test_where_the_answer_hangs_on_not_continuous_a_note_says_so(current, is_told):
    bank = {"feeds": "battery", "size": "4/0", "insulation": "90 °C", "breaker": "250 A"}
    plan = of(circuit(**bank, current=current, continuous=False))
    told = found(plan, "circuit c1: not continuous")
    assert bool(told) == is_told
    if told:
        (one,) = told
        assert one.severity == "note" and "Ask the electrician which counts" in one.said()
        assert current.replace(" A", ".0 A") in one.said() and "233.8 A" in one.said()
        assert "230 A" in one.said()
    assert found(of(circuit(**bank, current=current)), "circuit c1: not continuous") == []


def test_horsepower_of_an_appliance_counts_by_the_table():
    saw = {"name": "saw", "power": "900 W", "daily_use": "1 h", "horsepower": 1.0}
    plan = of(circuit(feeds="saw", breaker="30 A"), appliance=[saw])
    assert "16.0 A (saw: Table 430.248" in found(plan, "circuit c1: wire")[0].said()


def test_compressor_breaker_goes_by_its_running_current():
    # 4 kW of cooling at SEER 10 runs on about 1.4 kW: 5.7 A, so 15 A is the most.
    cooling = {"capacity": "4 kW", "seer": 10.0}
    plan = of(circuit(feeds="cooling", breaker="15 A"), cooling=cooling)
    assert found(plan, "circuit c1: breaker")[0].severity == "note"
    plan = of(circuit(feeds="cooling", breaker="20 A"), cooling=cooling)
    assert found(plan, "circuit c1: breaker")[0].severity == "danger"


# Inverter output, case E43: 7.6 kW at 240 V is 32 A (31.7), so a 40 A breaker.
@pytest.mark.parametrize(("breaker", "severity"), [("40 A", "note"), ("35 A", "warning")])
def test_inverter_breaker_of_the_published_example(breaker, severity):
    plan = of(
        circuit(feeds="rack", size="8", terminals="75 °C", breaker=breaker),
        array=[array(converter="7.6 kW")],
        grid_former={"continuous": "8 kW"},
    )
    assert found(plan, "circuit c1: breaker")[0].severity == severity


def test_dc_array_circuit_counts_both_factors():
    # 2 x 11.2 A x 1.25 = 28.0 A, held against 35.0 A.
    plan = of(circuit(feeds="rack", size="8", breaker="40 A"), array=[array(coupling="dc")])
    (one,) = found(plan, "circuit c1: wire")
    assert "35.0 A, 50.0 A after correction against 28.0 A" in one.said()


def test_battery_circuit_counts_the_formers_full_power():
    # 6 kW / 0.94 / 51.2 V = 124.7 A, x 1.25 = 155.8 A.
    plan = of(circuit(feeds="battery", size="2/0", breaker="175 A"))
    (one,) = found(plan, "circuit c1: wire")
    assert "155.8 A" in one.said() and one.severity == "note"


def test_a_circuit_without_a_known_current_says_so():
    bank = {key: value for key, value in HOUSE["battery"].items() if key != "module_voltage"}
    plan = plan_of(HOUSE | {"battery": bank, "circuit": [circuit(feeds="battery")]})
    (one,) = found(plan, "circuit c1")
    assert one.severity == "note" and "don't say what it carries" in one.said()


@pytest.mark.parametrize("feeds", ["well pump", "cooling", "water heater"])
def test_a_circuit_to_a_part_that_is_left_out_says_so(feeds):
    (one,) = found(of(circuit(feeds=feeds)), "circuit c1")
    assert one.severity == "note" and "don't say what it carries" in one.said()


def test_disconnect_present_missing_and_unknown():
    gone = of(circuit(feeds="generator", size="6", breaker="60 A", disconnect=False))
    assert found(gone, "circuit c1: disconnect")[0].severity == "warning"
    there = of(circuit(feeds="generator", size="6", breaker="60 A", disconnect=True))
    assert found(there, "circuit c1: disconnect") == []
    assert "Entered for: c1" in [o for o in found(there) if o.about == "disconnects"][0].said()
    assert "generator" not in found(there, "disconnects missing")[0].said()
    assert "generator" in found(house(), "disconnects missing")[0].said()


# 120 % rule, case E43: 200 A busbar and main leave 40 A; 32 A of inverter needs exactly that.
@pytest.mark.parametrize(
    ("converter", "far", "severity"),
    [("7680 W", True, "note"), ("7700 W", True, "danger"), ("7680 W", False, "danger")],
)
def test_busbar_rule_of_the_published_example(converter, far, severity):
    panel = {"busbar": "200 A", "main_breaker": "200 A", "backfeed_at_far_end": far}
    plan = house(
        panel=panel, array=[array(converter=converter)], grid_former={"continuous": "9 kW"}
    )
    assert found(plan, "panel busbar")[0].severity == severity


def test_backfeed_breaker_below_125_per_cent_is_flagged():
    panel = {"busbar": "200 A", "main_breaker": "100 A", "backfeed_breaker": "25 A"}
    assert found(house(panel=panel), "panel back-feed")[0].severity == "warning"  # 26.04 A
    wide = panel | {"backfeed_breaker": "30 A"}
    assert found(house(panel=wide), "panel back-feed") == []


def test_no_panel_and_no_followers_leave_the_busbar_alone():
    assert found(house(), "panel") == []
    panel = {"busbar": "200 A", "main_breaker": "100 A"}
    assert found(house(panel=panel, array=[array(coupling="dc")]), "panel") == []


# --- nameplates, terminals that nobody entered, panels and feeders --------------------------------


def test_terminals_that_nobody_entered_are_asked_for_and_make_no_danger():
    # 14 AWG copper, Table 310.16: 15 A at 60 °C, 20 A at 75 °C.
    (one,) = found(of(circuit(current="15.1 A", size="14", breaker="15 A")), "circuit c1: wire")
    assert one.severity == "warning" and not one.checked and "Read it on the breaker" in one.said()
    (one,) = found(of(circuit(current="20.1 A", size="14", breaker="15 A")), "circuit c1: wire")
    assert one.severity == "danger"
    # 6 AWG: 55 A takes a 60 A breaker, 65 A takes 70 A; 80 A is outside of either.
    wire = {"size": "6", "current": "40 A", "supply": "240 V"}
    (one,) = found(of(circuit(breaker="70 A", **wire)), "circuit c1: breaker")
    assert one.severity == "warning"
    assert found(of(circuit(breaker="80 A", **wire)), "circuit c1: breaker")[0].severity == "danger"


# A condenser's plate of 20.1 A minimum circuit ampacity and 35 A maximum breaker (440.4(B)): 10 AWG
# at 75 °C carries 35 A; the small-conductor rule would stop at 30 A.
@pytest.mark.parametrize(("breaker", "severity"), [("35 A", "note"), ("40 A", "danger")])
def test_a_plates_maximum_breaker_rules(breaker, severity):
    cooling = {"capacity": "10 kW", "seer": 14.0}
    plate = {"plate_ampacity": "20.1 A", "plate_breaker": "35 A", "terminals": "75 °C"}
    plan = of(circuit(feeds="cooling", size="10", breaker=breaker, **plate), cooling=cooling)
    assert found(plan, "circuit c1: breaker")[0].severity == severity
    assert found(plan, "circuit c1: wire")[0].severity == "note"
    thin = of(circuit(feeds="cooling", size="14", breaker="15 A", **plate), cooling=cooling)
    (one,) = found(thin, "circuit c1: wire")
    assert one.severity == "danger" and "20.1 A is the minimum circuit ampacity" in one.said()


def basement(*circuits, **panel):
    feeder = circuit(name="feeder", feeds="basement", size="6", breaker="50 A", terminals="75 °C")
    sub = {"name": "basement", "busbar": "100 A", "main_breaker": "50 A"} | panel
    main = {"busbar": "200 A", "main_breaker": "100 A"}
    return of(feeder, *circuits, subpanel=[sub], panel=main)


def test_a_busbar_counts_what_feeds_it_and_no_other_panels_pv():
    # 5 kW at 240 V: 20.8 A, 26.0 A with 125 %. In the main panel the basement's busbar sees none.
    rack = circuit(feeds="rack", size="8", breaker="30 A")
    plan = basement(rack)
    assert found(plan, "panel basement busbar") == []
    assert "26.0 A" in found(plan, "panel busbar")[0].said()
    # In the basement it feeds that busbar, and through the feeder the main one too.
    plan = basement(rack | {"panel": "basement"}, busbar="60 A")
    (one,) = found(plan, "panel basement busbar")
    assert one.severity == "danger" and "22 A, 120 % of a 60 A busbar less the 50 A" in one.said()
    assert "26.0 A" in found(plan, "panel busbar")[0].said()


def test_a_feeder_carries_what_inverters_and_sun_push_together():
    # Nothing is known of what the basement asks: 6 kW of main inverter and 5 kW of PV, 45.8 A.
    (one,) = found(basement(), "circuit feeder: wire")
    assert "45.8 A (basement: main inverters and all PV inverters above it together" in one.said()
    # The 1.5 kW heater alone: 6.25 A at 240 V.
    (one,) = found(basement(circuit(panel="basement")), "circuit feeder: wire")
    assert "6.2 A (basement: all loads entered below it" in one.said()
    # The rack stands there: it pushes 20.8 A back.
    (one,) = found(
        basement(circuit(feeds="rack", panel="basement", size="8")), "circuit feeder: wire"
    )
    assert "20.8 A (basement: all inverters below it" in one.said()


def test_a_panel_without_a_main_is_held_to_its_feeders_breaker():
    # 120 % of 60 A less the feeder's 50 A: 22 A, as with a main of 50 A.
    rack = circuit(feeds="rack", size="8", breaker="30 A", panel="basement")
    (one,) = found(basement(rack, busbar="60 A", main_breaker="0 A"), "panel basement busbar")
    assert one.severity == "danger" and "22 A, 120 % of a 60 A busbar" in one.said()
    assert "less the 50 A feeder's breaker" in one.said()


def test_a_feeder_counts_its_continuous_part_with_a_quarter_more():
    # 1.5 kW for hours on end: 6.25 A, 7.8 A with 125 % (215.2(A)).
    long = circuit(panel="basement", continuous=True)
    (one,) = found(basement(long), "circuit feeder: wire")
    assert one.values["least_a"] == pytest.approx(1.25 * 6.25)
    # PV of 20.8 A pushed back is continuous: 26.0 A.
    back = circuit(feeds="rack", panel="basement", size="8")
    (one,) = found(basement(back), "circuit feeder: wire")
    assert one.values["least_a"] == pytest.approx(1.25 * 5000 / 240)


# --- cables side by side, plates of motors --------------------------------------------------------


def test_two_cables_to_a_pole_carry_twice_and_lose_half():
    # NEC Table 310.16: 230 A for AWG 4/0 copper at 75 °C; two of them 460 A.
    cable = {"feeds": "battery", "size": "4/0", "breaker": "450 A", "terminals": "75 °C"}
    one, two = (of(circuit(current="400 A", parallel=n, **cable)) for n in (1, 2))
    assert found(one, "circuit c1: wire")[0].severity == "danger"
    (wire,) = found(two, "circuit c1: wire")
    assert wire.values["printed_a"] == 2 * 230.0 and "2 side by side" in wire.said()
    lost = [found(plan, "circuit c1: voltage drop")[0].values["drop_frac"] for plan in (one, two)]
    assert lost[1] == pytest.approx(lost[0] / 2)
    assert found(two, "circuit c1: cables side by side")[0].severity == "note"
    assert found(one, "circuit c1: cables side by side") == []
    # 310.10(G): from 1/0 on.
    thin = of(circuit(current="80 A", parallel=2, **cable | {"size": "4", "breaker": "100 A"}))
    assert found(thin, "circuit c1: cables side by side")[0].severity == "warning"


def test_a_running_current_on_the_plate_is_what_its_wire_is_held_against():
    # 11.5 A on the plate where power over voltage says 1500 / 120 = 12.5 A; and 20 A, above it.
    heater = HOUSE["appliance"][2]
    for plate, least in (("11.5 A", 1.25 * 11.5), ("20 A", 25.0)):
        motor = heater | {"motor": True, "running": plate}
        plan = house(appliance=[*HOUSE["appliance"][:2], motor], circuit=[circuit()])
        (wire,) = found(plan, "circuit c1: wire")
        assert wire.values["least_a"] == pytest.approx(least) and "on its plate" in wire.said()


def test_panels_that_feed_each_other_in_a_ring_are_no_plan():
    a, b = ({"name": n, "busbar": "100 A", "main_breaker": "50 A"} for n in ("a", "b"))
    ring = [circuit(name="1", feeds="a", panel="b"), circuit(name="2", feeds="b", panel="a")]
    _, faults = read_plan(HOUSE | {"subpanel": [a, b], "circuit": ring})
    assert any("must not feed itself" in one.message for one in faults)


def test_arrays_on_one_converter_need_one_disconnect():
    two = [array(), array(name="east", shares_converter_with="rack")]
    assert "east" not in found(house(array=two), "disconnects missing")[0].said()


def test_the_main_inverters_breaker_limits_what_it_gives():
    # 20 A at 240 V let through 4.8 kW of its 6 kW.
    plan = of(circuit(feeds="main inverter", size="8", breaker="20 A"))
    assert fixed_of(plan).former_w == pytest.approx(4800.0)
    assert fixed_of(of(circuit(feeds="main inverter", breaker="40 A"))).former_w == 6000.0
