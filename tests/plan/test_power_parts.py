"""Entries of the electrical parts: labels, motors, banks, wires, circuits, panel."""

import copy

import pytest
from electrical_plans import HOUSE, circuit, house

from homestead.plan.power import Appliance
from homestead.plan.schema import read_plan


def faults_of(**parts):
    raw = copy.deepcopy(HOUSE)
    for key, value in parts.items():
        raw[key] = raw[key] | value if isinstance(value, dict) and key in raw else value
    return [(one.where, one.message) for one in read_plan(raw)[1]]


def test_a_labeled_refrigerator_uses_its_label_in_a_year():
    one = Appliance.model_validate({"name": "refrigerator", "label_year": "438 kWh"})
    assert one.mean_day_wh * 365 == pytest.approx(438_000.0, rel=1e-12)
    # The compressor runs a third of the day (DOE rule): 1,200 Wh in 8 h are 150 W.
    assert one.daily_use_s == pytest.approx(8 * 3600.0)
    assert one.power_w == pytest.approx(150.0)


@pytest.mark.parametrize(
    ("more", "power_w", "use_h"),
    [
        ({"power": "120 W"}, 120.0, 10.0),
        ({"daily_use": "6 h"}, 200.0, 6.0),
        ({"power": {"value": "120 W", "low": "100 W", "high": "140 W"}}, 120.0, 10.0),
        ({"daily_use": "24 h", "duty": 0.25}, 200.0, 24.0),
    ],
)
def test_a_label_works_out_what_is_left_open(more, power_w, use_h):
    one = Appliance.model_validate({"name": "freezer", "label_year": "438 kWh"} | more)
    assert one.power_w == pytest.approx(power_w)
    assert one.daily_use_s == pytest.approx(use_h * 3600.0)
    assert one.mean_day_wh == pytest.approx(1200.0)


def test_a_label_may_carry_a_range():
    label = {"value": "438 kWh", "low": "400 kWh", "high": "480 kWh", "basis": "label"}
    plan = house(appliance=[{"name": "freezer", "label_year": label}])
    (assumption,) = [one for one in plan.assumptions if "label_year" in one.path]
    assert (assumption.low, assumption.value, assumption.high) == (400e3, 438e3, 480e3)


@pytest.mark.parametrize("label", ["438", "438 W", 438, {"low": "1 kWh"}, "nan kWh"])
def test_a_label_that_cannot_be_read_makes_one_fault(label):
    found = faults_of(appliance=[{"name": "freezer", "label_year": label}])
    assert [where for where, _ in found] == [("appliance", 0, "label_year")]


def test_a_power_too_small_for_its_label_is_a_fault():
    # 438 kWh a year are 1.2 kWh a day, which 50 W give in a day and 40 W do not.
    assert faults_of(appliance=[{"name": "f", "label_year": "438 kWh", "power": "50 W"}]) == []
    ((where, _),) = faults_of(appliance=[{"name": "f", "label_year": "438 kWh", "power": "40 W"}])
    assert where == ("appliance", 0, "daily_use")


def test_label_power_and_time_together_are_one_too_many():
    entry = {"name": "freezer", "label_year": "438 kWh", "power": "100 W", "daily_use": "8 h"}
    found = faults_of(appliance=[entry])
    assert any(where == ("appliance", 0, "label_year") for where, _ in found)


def test_without_label_power_and_time_are_still_needed():
    found = faults_of(appliance=[{"name": "fan"}])
    assert {where[-1] for where, _ in found} == {"power", "daily_use"}


def test_duty_and_days_a_week_lower_the_mean_day():
    # 500 W x 2 h x half the time = 500 Wh, on two of seven days.
    entry = {"name": "w", "power": "500 W", "daily_use": "2 h", "duty": 0.5, "days_a_week": 2}
    one = Appliance.model_validate(entry)
    assert one.day_wh == pytest.approx(500.0)
    assert one.mean_day_wh == pytest.approx(500.0 * 2 / 7)


def test_bank_of_three_strings_of_four_six_volt_batteries():
    # Home Power magazine (case E19, found): three parallel strings of four 6 V, 225 Ah batteries
    # make 24 V and 675 Ah.
    bank = {"modules": 12, "module": "1350 Wh", "module_voltage": "6 V", "series": 4}
    plan = house(battery=bank | {"chemistry": "lead-acid"})
    assert (plan.battery.bank_v, plan.battery.parallel_n) == (24.0, 3)
    assert plan.battery.nominal_wh / plan.battery.bank_v == 675.0


def test_series_must_divide_the_modules():
    found = faults_of(battery={"series": 3})
    assert found == [(("battery", "series"), "must divide the 4 modules evenly; got 3")]


def test_former_knows_its_legs_and_its_units():
    former = house(grid_former={"units": 2}).grid_former
    assert former.is_split and former.all_units_w == 12000.0
    assert former.all_units_surge_w == 24000.0
    assert not house(grid_former={"output": "120 V"}).grid_former.is_split
    assert house(grid_former={"output": "120 V", "phases": "120/240"}).grid_former.is_split


def test_circuits_feed_what_is_there_or_carry_their_current():
    assert faults_of(circuit=[circuit()]) == []
    assert faults_of(circuit=[circuit(feeds="rack"), circuit(name="b", feeds="battery")]) == []
    ((where, message),) = faults_of(circuit=[circuit(feeds="heatr")])
    assert where == ("circuit", 0, "feeds") and "heater" in message
    assert faults_of(circuit=[circuit(feeds="well pump")]) == []  # though the house has none
    assert faults_of(circuit=[circuit(feeds="sauna", current="20 A")]) == []


@pytest.mark.parametrize(
    ("entries", "key"),
    [
        ({"size": "13"}, "size"),
        ({"size": "14", "metal": "aluminum"}, "size"),
        ({"insulation": "80 °C"}, "insulation"),
        ({"terminals": "65 °C"}, "terminals"),
        ({"length": "ten"}, "length"),
    ],
)
def test_wires_that_no_table_holds_are_named(entries, key):
    found = faults_of(circuit=[circuit(**entries)])
    assert [where for where, _ in found] == [("circuit", 0, key)]


def test_string_wires_are_held_to_the_same_tables():
    array = HOUSE["array"][0]
    assert faults_of(array=[array | {"wire_size": "10"}]) == []
    found = faults_of(array=[array | {"wire_size": "11"}])
    assert [where for where, _ in found] == [("array", 0, "wire_size")]


def test_an_array_may_share_the_tracker_of_another_only():
    array = HOUSE["array"][0]
    other = array | {"name": "annex", "shares_converter_with": "rack"}
    assert faults_of(array=[array, other]) == []
    assert faults_of(array=[array | {"shares_converter_with": "rack"}])
    assert faults_of(array=[array | {"shares_converter_with": "annex"}])


def test_main_breaker_fits_its_busbar():
    assert faults_of(panel={"busbar": "200 A", "main_breaker": "200 A"}) == []
    found = faults_of(panel={"busbar": "100 A", "main_breaker": "200 A"})
    assert found == [(("panel", "main_breaker"), "must not be above the busbar's rating")]
