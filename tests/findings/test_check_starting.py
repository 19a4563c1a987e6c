import pytest
from electrical_plans import HOUSE, about, house

from homestead.trades.power import check_starting as starting
from homestead.trades.power.study_loads import loads_of


def found(plan, text):
    return about(starting.findings_of(plan, loads_of(plan)), text)


PUMP = {
    "well": {"depth": "60 m", "static_level": "20 m", "yield": "20 L/min"},
    "pump": {
        "rated": "1 hp",
        "supply": "230 V",
        "depth": "50 m",
        "flow": "15 L/min",
        "code_letter": "J",
    },
    "pipe": {"length": "60 m"},
}


def test_loads_within_and_outside_the_continuous_power():
    assert found(house(), "continuous power")[0].severity == "note"
    # 1,500 + 120 W in the hours from 6 to 8.
    (one,) = found(house(grid_former={"continuous": "1.6 kW"}), "continuous power")
    assert one.severity == "warning" and "06:00: 1.6 kW" in one.said()
    (one,) = found(house(grid_former={"continuous": "1.62 kW"}), "continuous power")
    assert one.severity == "note"


def test_starting_surge_within_and_outside():
    # Freezer: 10 A x 120 V = 1,200 VA beside the heater's 1,500 W.
    former = {"continuous": "2 kW", "surge": "2.7 kW"}
    assert found(house(grid_former=former), "starting surge")[0].severity == "note"
    (one,) = found(house(grid_former=former | {"surge": "2.6 kW"}), "starting surge")
    assert one.severity == "warning" and "freezer" in one.said() and "2.7 kVA" in one.said()


def test_code_letter_of_the_pump_sets_its_start():
    # NEC Table 430.7(B), case E34: 1 hp, 230 V, code J draws up to 34.7 A, that is 8.0 kVA.
    (one,) = found(house(**PUMP), "starting surge")
    assert "well pump, 8.0 kVA" in one.said()


def test_soft_starter_is_shown_beside_the_plain_start():
    (one,) = found(house(grid_former={"continuous": "2 kW", "surge": "2 kW"}), "starting surge")
    assert one.severity == "warning" and "With a soft starter 1.9 kVA, within it" in one.said()
    soft = [one if one["name"] != "freezer" else one | {"soft_starter": True} for one in _loads()]
    plan = house(appliance=soft, grid_former={"continuous": "2 kW", "surge": "2 kW"})
    (one,) = found(plan, "starting surge")
    assert one.severity == "note" and "With a soft starter" not in one.said()


def _loads():
    return HOUSE["appliance"]


def test_without_a_motor_nothing_is_said_of_starting():
    assert found(house(appliance=[_loads()[0]]), "starting surge") == []


def test_one_unit_alone_is_noted():
    (one,) = found(house(), "loss of a unit")
    assert one.severity == "note" and "dark" in one.said()


@pytest.mark.parametrize(("surge", "severity"), [("1.6 kW", "note"), ("1.3 kW", "warning")])
def test_what_is_left_when_one_of_two_units_fails(surge, severity):
    # Freezer's 1,200 VA beside 200 W of lights.
    former = {"continuous": "1 kW", "surge": surge, "units": 2}
    (one,) = found(house(grid_former=former, array=None), "loss of a unit")
    assert one.severity == severity and "1.4 kVA (freezer)" in one.said()


def test_units_one_per_leg_leave_the_240_v_pump_without_power():
    former = {"continuous": "9 kW", "surge": "18 kW", "units": 2, "arrangement": "one per leg"}
    (one,) = found(house(**PUMP, grid_former=former), "loss of a unit")
    assert one.severity == "warning" and "needs both legs: well pump" in one.said()
    (one,) = found(house(**PUMP, grid_former=former | {"arrangement": "parallel"}), "loss")
    assert one.severity == "note"


def test_without_a_grid_former_nothing_is_said():
    plan = house(array=None, grid_former=None, battery=None)
    assert found(plan, "") == []
