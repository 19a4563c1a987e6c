import pytest
from electrical_plans import about, array, graver, house

from homestead.trades.power import check_coupling as coupling
from homestead.trades.power.study_loads import loads_of


def found(plan, text=""):
    return about(coupling.findings_of(plan, loads_of(plan)), text)


# The trade's "factor 1.0" (case E29, from memory): 6.0 kW with 7.6 kW fails, 8.0 kW passes, and
# equal ratings pass.
@pytest.mark.parametrize(
    ("former", "severity"), [("6 kW", "danger"), ("7.6 kW", "note"), ("8 kW", "note")]
)
def test_ratio_of_grid_followers_to_grid_former(former, severity):
    plan = house(
        array=[array(converter="7.6 kW")], grid_former={"continuous": former, "surge": "20 kW"}
    )
    assert found(plan, "AC coupling")[0].severity == severity


def test_several_followers_and_several_formers_are_added_up():
    two = [array(converter="5 kW"), array(name="barn", converter="4 kW")]
    former = {"continuous": "4 kW", "surge": "8 kW"}
    assert found(house(array=two, grid_former=former | {"units": 2}), "AC")[0].severity == "danger"
    assert found(house(array=two, grid_former=former | {"units": 3}), "AC")[0].severity == "note"


def test_dc_coupled_arrays_are_not_in_the_ratio():
    plan = house(array=[array(coupling="dc", converter="9 kW")])
    assert found(plan, "AC coupling") == [] and found(plan, "full battery") == []


def test_followers_stop_without_a_grid_former():
    assert any("stop when no main inverter runs" in one.said() for one in found(house(), "AC"))


# IEEE 1547-2018 defaults (case E26, from memory): full reduction at 63.036 Hz, trips at 61.2 Hz
# (300 s) and 62.0 Hz (0.16 s); at 60.5 Hz 0.845 of the power is left.
def test_full_bank_without_an_entered_frequency_tells_the_standard():
    (one,) = found(house(), "full battery")
    assert one.severity == "note"
    assert "63.04 Hz" in one.said() and "62.0 Hz after 0.16 s" in one.said()


@pytest.mark.parametrize(
    ("raised_hz", "severity", "words"),
    [
        (60.5, "warning", "leaves 85 %"),
        (61.5, "warning", "above 61.2 Hz they trip after 300 s"),
        (62.5, "note", "they drop out"),
        (64.0, "note", "they drop out"),
    ],
)
def test_full_bank_frequency_beside_droop_and_trips(raised_hz, severity, words):
    (one,) = found(house(grid_former={"full_bank_hz": raised_hz}), "full battery")
    assert one.severity == severity and words in one.said()


def test_legs_in_balance_and_out_of_balance():
    assert found(house(), "120/240 V balance")[0].severity == "note"
    heavy = [
        {"name": name, "power": "1700 W", "daily_use": "1 h", "leg": "A"} for name in ("a", "b")
    ]
    # 3.4 kW on leg A of a 6 kW former: half of it is 3 kW.
    (one,) = found(house(appliance=heavy), "120/240 V balance")
    assert one.severity == "warning" and "3.4 kW and 0.0 kW, each on its own leg" in one.said()
    spread = [heavy[0], heavy[1] | {"leg": "B"}]
    assert found(house(appliance=spread), "120/240 V balance")[0].severity == "note"


def test_a_240_v_load_on_a_120_v_former_is_flagged():
    range_ = {"name": "range", "power": "2 kW", "daily_use": "1 h", "supply": "240 V"}
    plan = house(appliance=[range_], grid_former={"output": "120 V"})
    (one,) = found(plan, "120/240 V")
    assert one.severity == "warning" and "range" in one.said()
    assert found(house(grid_former={"output": "120 V"}), "120/240 V") == []


def test_without_a_grid_former_there_is_nothing_to_say():
    plan = house(array=None, grid_former=None, battery=None)
    assert found(plan) == []


def test_sound_house_gives_notes_only():
    assert graver(found(house())) == []


def test_the_makers_own_limit_rules_over_the_ratio():
    weak = {"continuous": "6 kW", "surge": "20 kW"}
    plan = house(array=[array(converter="7.6 kW")], grid_former=weak | {"ac_coupled_limit": "8 kW"})
    ratio = found(plan, "AC coupling")[0]
    assert ratio.severity == "note" and "maker's own limit" in ratio.said()
    tight = {"continuous": "9 kW", "surge": "20 kW", "ac_coupled_limit": "5 kW"}
    plan = house(array=[array(converter="7.6 kW")], grid_former=tight)
    assert found(plan, "AC coupling")[0].severity == "danger"


# By hand: 10 kW of PV inverters on two units of 8 kW; one lost leaves 8 kW, so 2 kW must go.
def test_pv_against_what_is_left_when_one_main_inverter_fails():
    former = {"continuous": "8 kW", "surge": "16 kW", "units": 2}
    big = [array(converter="6 kW"), array(name="barn", converter="4 kW")]
    (lost,) = found(house(array=big, grid_former=former), "PV with a unit lost")
    assert lost.severity == "warning" and "at least 2.0 kW" in lost.said()
    fits = [array(converter="6 kW")]
    (lost,) = found(house(array=fits, grid_former=former), "PV with a unit lost")
    assert lost.severity == "note"
    split = former | {"arrangement": "one per leg"}
    (lost,) = found(house(array=fits, grid_former=split), "PV with a unit lost")
    assert lost.severity == "warning" and "stop if they run at 240 V" in lost.said()
    assert found(house(array=fits, grid_former=former | {"units": 1}), "PV with a unit lost") == []
    # Two pairs of 4 kW: one lost leaves 4 and 8 kW on the legs, so twice 4 kW.
    pairs = split | {"continuous": "4 kW", "surge": "8 kW", "units": 4}
    (lost,) = found(house(array=big, grid_former=pairs), "PV with a unit lost")
    assert "can take 8.0 kW" in lost.said() and "at least 2.0 kW" in lost.said()
