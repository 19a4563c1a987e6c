import math

import numpy as np
import pytest
from electrical_plans import HOUSE, house, large

from homestead import units
from homestead.outlook import run
from homestead.plan import open_plan
from homestead.reference import shipped
from homestead.trades.power import study_loads as loads


def named(plan, name):
    return next(one for one in loads.loads_of(plan) if one.name == name)


def appliance(**entries):
    entry = {"name": "tool", "power": "1150 W", "daily_use": "1 h"} | entries
    return named(house(appliance=[entry]), "tool")


def test_a_starting_current_as_entered_comes_first():
    one = appliance(starting="40 A", horsepower=1.0, code_letter="J")
    assert one.plain_start_a == 40.0 and one.start_va == 4800.0


def test_code_letter_and_horsepower_give_the_locked_rotor_current():
    # Case E34 (derived from NEC Table 430.7(B)): 1 hp, 230 V, code J: at most 34.7 A.
    one = appliance(horsepower=1.0, code_letter="J", supply="230 V")
    assert one.plain_start_a == pytest.approx(34.7, abs=0.1)


def test_horsepower_alone_starts_at_six_times_the_table_current():
    # Case E31: 1 hp at 230 V runs on 8.0 A; E33: across the line six times as a rule.
    assert appliance(horsepower=1.0, supply="230 V").plain_start_a == pytest.approx(48.0)
    # 0.9 hp takes the row of 1 hp.
    assert appliance(horsepower=0.9, supply="230 V").plain_start_a == pytest.approx(48.0)


def test_a_motor_without_figures_starts_at_six_times_its_running_current():
    assert appliance(motor=True, supply="115 V").plain_start_a == pytest.approx(60.0)
    assert appliance().plain_start_a == 0.0


def test_open_ended_code_letter_counts_at_its_low_end():
    one = appliance(horsepower=1.0, code_letter="V", supply="230 V")
    assert one.plain_start_a == pytest.approx(22.4e3 / 230.0)


def test_soft_starter_takes_two_thirds():
    one = appliance(starting="30 A", soft_starter=True)
    assert one.start_a == pytest.approx(10.0, rel=0.01)
    assert one.soft_start_va == one.start_va  # it has one already
    assert appliance(starting="30 A").soft_start_va == pytest.approx(1200.0, rel=0.01)


def test_gentle_factor_of_a_compressor_counts_as_a_soft_starter():
    cooling = {"capacity": "10 kW", "seer": 14.0}
    plain = named(house(cooling=cooling), "cooling")
    assert plain.start_a == pytest.approx(5.0 * plain.running_a)
    assert not plain.has_soft_starter
    soft = named(house(cooling=cooling | {"starting_factor": 1.7}), "cooling")
    assert soft.start_a == pytest.approx(1.7 * soft.running_a)
    assert soft.has_soft_starter and soft.soft_start_va == soft.start_va


def test_machines_come_from_the_physics():
    plan = large()
    pump = named(plan, "well pump")
    flow_m3s = units.parse("9 gal/min", "flow")
    # Lowest water at the pump, 280 ft; 50 psi; friction is on top, so at least this.
    lift_m = units.parse("280 ft", "length") + units.parse("50 psi", "pressure") / 9806.65
    assert pump.running_w > flow_m3s * 9806.65 * lift_m / plan.pump.wire_to_water_frac * 0.99
    assert pump.basis == "physics" and math.isnan(pump.day_wh)
    assert named(plan, "propane furnace").running_w == pytest.approx(600.0)
    assert set(named(plan, "propane furnace").months) == {1, 2, 3, 4, 10, 11, 12}
    assert set(named(plan, "cooling").months) == {5, 6, 7, 8, 9}


def test_electric_heat_and_water_heater_are_loads():
    heat = [{"name": "baseboard", "store": "electricity", "output": "3 kW", "efficiency": 1.0}]
    water = {"store": "electricity", "input": "4500 W"}
    plan = house(heater=heat, hot_water=water)
    assert named(plan, "baseboard").running_w == pytest.approx(3000.0)
    assert named(plan, "baseboard").start_va == 0.0
    assert named(plan, "water heater").running_w == pytest.approx(4500.0)


def test_a_booster_pump_is_a_load():
    plan = house(cistern={"volume": "5 m^3", "delivery": "booster pump", "from_well": False})
    flow_m3s = units.parse("8 gal/min", "flow")
    expected_w = flow_m3s * units.parse("40 psi", "pressure") / 0.35
    assert named(plan, "booster pump").running_w == pytest.approx(expected_w, rel=0.01)


def test_together_adds_what_may_run_in_an_hour():
    by_hour = loads.together_w(loads.loads_of(house()))
    assert by_hour.shape == (12, 24)
    # Freezer always, heater 6 to 8, lights 17 to 22.
    expected = np.full(24, 120.0)
    expected[6:8] += 1500.0
    expected[17:22] += 200.0
    assert np.array_equal(by_hour[0], expected)
    essential = loads.together_w(loads.loads_of(house()), 1)
    assert essential.max() == 320.0


def test_hours_that_pass_midnight_and_months_count():
    entry = {"name": "n", "power": "100 W", "daily_use": "1 h", "between": "22-6", "months": "Dec"}
    by_hour = loads.together_w(loads.loads_of(house(appliance=[entry])))
    assert by_hour[11, [22, 23, 0, 5]].tolist() == [100.0] * 4
    assert by_hour[11, 6] == 0.0 and by_hour[10].sum() == 0.0


def test_busiest_hour_and_its_parts():
    busiest = loads.busiest_hour(loads.loads_of(house()))
    assert (busiest.month, busiest.hour, busiest.total_w) == (1, 6, 1620.0)
    assert busiest.leg_a_w + busiest.leg_b_w == 1620.0
    assert {one.name for one in busiest.running} == {"freezer", "heater"}


def test_legs_take_240_v_in_halves_and_the_rest_evenly():
    def one(watts, **more):
        return {"name": f"x{watts}", "power": f"{watts} W", "daily_use": "1 h"} | more

    plan = house(appliance=[one(3000, supply="240 V"), one(900), one(500), one(400)])
    assert sorted(loads.legs_w(loads.loads_of(plan))) == [2400.0, 2400.0]
    fixed = house(appliance=[one(900, leg="A"), one(500, leg="A"), one(400)])
    assert loads.legs_w(loads.loads_of(fixed)) == (1400.0, 400.0)


def test_inventory_lists_every_load_once():
    found = {load.name: load for load in loads.loads_of(large())}
    assert len(found) == len(loads.loads_of(large()))
    assert {load.basis for load in found.values()} == {"entered", "label", "physics"}
    # 520 kWh a year on the label.
    assert found["refrigerator"].mean_day_wh * 365 == pytest.approx(520e3)


@pytest.fixture(scope="module")
def demo_outlook():
    return run(open_plan(shipped("data", "demo", "plan.toml")), years_n=1)


def test_use_by_month_adds_up_to_the_year(demo_outlook):
    found = loads.by_month(demo_outlook)
    days = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    used = (found["total_kwh_day"] - found["idle_kwh_day"]) * days
    assert used.sum() == pytest.approx(demo_outlook.year.totals["used_kwh"], rel=1e-6)
    short = (found["unserved_kwh_day"] * days).sum()
    assert short == pytest.approx(demo_outlook.year.totals["unserved_kwh"], rel=1e-6, abs=1e-9)


def test_peak_by_month_is_that_of_the_inventory(demo_outlook):
    found = loads.by_month(demo_outlook)
    busiest = loads.busiest_hour(loads.loads_of(demo_outlook.plan))
    assert found["together_w"].max() == pytest.approx(busiest.total_w)
    assert (found["together_essential_w"] <= found["together_w"]).all()


def test_names_that_the_table_knows_stand_beside_it():
    entries = [
        {"name": "Chest freezer", "power": "110 W", "daily_use": "8 h"},
        {"name": "dishwasher", "power": "900 W", "daily_use": "1 h"},
        {"name": "barn water heater", "power": "400 W", "daily_use": "1 h"},
    ]
    found = loads.beside_typical(house(appliance=entries))
    assert list(found.index) == ["Chest freezer", "dishwasher"]
    # DOE wattage list (case E49, found): dishwasher 1,200 to 2,400 W.
    assert found.loc["dishwasher", ["low_w", "high_w"]].tolist() == [1200.0, 2400.0]
    assert not found.loc["dishwasher", "is_within"] and found.loc["Chest freezer", "is_within"]


def test_no_loads_no_inventory():
    plan = house(appliance=[])
    assert loads.loads_of(plan) == ()
    assert loads.beside_typical(plan).empty
    assert HOUSE["appliance"]
