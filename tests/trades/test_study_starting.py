import pytest
from electrical_plans import HOUSE, house, large

from homestead.trades.power import study_starting as starting


def test_the_hardest_start_is_the_sum_of_the_rest_and_the_locked_rotor():
    start = starting.hardest(house())
    # Freezer 10 A x 120 V beside the heater's 1,500 W from 6 to 8; itself not counted twice.
    assert (start.name, start.base_w, start.start_va) == ("freezer", 1500.0, 1200.0)
    assert start.total_va == 2700.0 and start.hour in (6, 7)
    assert start.is_within


def test_one_of_several_starts_while_the_others_run():
    entry = HOUSE["appliance"][1] | {"count": 3}
    start = starting.hardest(house(appliance=[entry]))
    assert start.base_w == pytest.approx(240.0) and start.start_va == 1200.0


def test_starts_come_hardest_first():
    found = {start.name: start for start in starting.starts(large())}
    totals = [start.total_va for start in found.values()]
    assert totals == sorted(totals, reverse=True) and len(totals) == 6
    assert all(start.total_va == start.base_w + start.start_va for start in found.values())
    cooling = found["cooling"]
    assert cooling.soft_start_va == pytest.approx(cooling.start_va / 3, rel=0.002)
    assert not cooling.is_within and cooling.soft_total_va <= cooling.surge_w


def test_no_motor_no_start():
    plan = house(appliance=[HOUSE["appliance"][0]])
    start = starting.hardest(plan)
    assert start.name is None and start.start_va == 0.0 and start.base_w == 200.0
    assert starting.starts(plan) == ()


def test_a_unit_lost_leaves_the_others():
    former = {"continuous": "1 kW", "surge": "2 kW", "units": 3}
    loss = starting.one_unit_fails(house(grid_former=former, array=None))
    assert (loss.left_n, loss.continuous_w, loss.surge_w) == (2, 2000.0, 4000.0)
    assert loss.essential_w == 320.0 and loss.start_va == 1400.0
    assert loss.carries_essential and not loss.leg_is_dark


def test_without_a_former_no_unit_can_fail():
    assert starting.one_unit_fails(house(grid_former=None, battery=None, array=None)) is None


def test_picture_begins_at_the_start_and_falls_to_the_running_load():
    plan = house()
    found = starting.starting_picture(plan)
    start = starting.hardest(plan)
    assert found["across_line_va"].max() == pytest.approx(start.total_va)
    assert found["soft_va"].max() == pytest.approx(start.soft_total_va)
    assert found["across_line_va"].iloc[0] == start.base_w
    begun = found[found.index >= 0.0]["across_line_va"]
    assert begun.is_monotonic_decreasing
    assert begun.iloc[-1] == pytest.approx(start.base_w + 120.0, rel=0.02)
    assert found["surge_w"].max() == 12000.0


def test_all_240_v_loads_and_pv_inverters_stop_with_a_leg_and_none_in_parallel():
    saw = {"name": "saw", "power": "2 kW", "daily_use": "1 h", "priority": 3, "starting": "60 A"}
    appliances = [*HOUSE["appliance"], saw | {"supply": "240 V"}]
    split = house(appliance=appliances, grid_former={"units": 2, "arrangement": "one per leg"})
    loss = starting.one_unit_fails(split)
    assert loss.all_stopped == ("saw", "rack") and loss.stopped == ()
    assert (loss.motor_name, loss.motor_va) == ("freezer", 1200.0)  # 10 A at 120 V
    loss = starting.one_unit_fails(house(appliance=appliances, grid_former={"units": 2}))
    assert loss.all_stopped == ()
    assert (loss.motor_name, loss.motor_va) == ("saw", 14400.0)  # 60 A at 240 V, above 12 kW
