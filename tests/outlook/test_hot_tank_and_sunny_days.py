"""A hot water tank as a store, by hand; appliances that wait for the sun; breakers in the hour."""

import dataclasses

import numpy as np
import pytest
from small_plans import ARRAY, BATTERY, FORMER, PUMP, SMALLEST, WELL, appliance, plan_of
from test_kernel_against_plain import assert_traces_agree
from test_two_days_by_hand import with_inputs

from homestead.outlook import run
from homestead.plan.schema import read_plan
from homestead.questions.dark_days import last_until
from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import trace_of

EXACT = 1e-9
SURE = BATTERY | {"module": "20 kWh", "charge": "9 kW", "discharge": "9 kW", "round_trip": 1.0}
WELL_OFF = {
    "grid_former": FORMER
    | {"continuous": "9 kW", "surge": "9 kW", "idle": "0 W", "efficiency": 1.0, "charger": "9 kW"}
    | {"charger_efficiency": 1.0},
    "battery": SURE | {"depth_of_discharge": 1.0, "dead_below": 0.0},
    "shedding": {"comfort_below": 0.0, "useful_below": 0.0},
    "array": [ARRAY],
}
TANK = {
    "store": "electricity",
    "efficiency": 1.0,
    "input": "4500 W",
    "tank": "189 L",  # 50 gal
    "standby": "80 W",
    "hot": "50 °C",
}


def tank_hours(greensboro, hot_wh=4500.0, full_wh=9000.0, **hot):
    plan = plan_of(SMALLEST | WELL_OFF | {"hot_water": TANK | hot})
    hours = hours_of(plan, 1, greensboro)
    fixed = hours.fixed._replace(hot_tank_wh=full_wh, hot_fill_per_wh=1.0 / full_wh)
    start = hours.start._replace(hot_wh=hot_wh)
    return dataclasses.replace(hours, fixed=fixed, start=start)


def test_a_tank_holds_its_volume_times_the_rise(greensboro):
    # 189 kg of water, 4.186 kJ/(kg K), from cold to 50 °C: the handbook's specific heat.
    hours = hours_of(plan_of(SMALLEST | WELL_OFF | {"hot_water": TANK}), 1, greensboro)
    by_hand_wh = 189.0 * 4186.0 * (50.0 - hours.cold_water_c) / 3600.0
    assert hours.fixed.hot_tank_wh == pytest.approx(by_hand_wh, rel=0.02)
    assert hours.start.hot_wh == hours.fixed.hot_tank_wh


def test_an_element_heats_the_tank_by_its_power_alone(greensboro):
    # Half full, 4500 of 9000 Wh. Standing loss 80 W x 1/2 = 40 W. Nothing drawn: the element gives
    # 4500 W: 8960. Then 9000 - 8960 + 80 x 8960/9000 fills it; from then on 80 W keep it full.
    trace = trace_of(with_inputs(tank_hours(greensboro), pv_ac_w=0.0), 0, 2)
    loss_w = 80.0 * 8960.0 / 9000.0
    expected = [4500.0, 40.0 + loss_w, 80.0, 80.0]
    np.testing.assert_allclose(trace.flows.electric_heat_w[:4], expected, rtol=EXACT)
    np.testing.assert_allclose(trace.states.hot_wh[:4], [8960, 9000, 9000, 9000], rtol=EXACT)


def test_a_timer_lets_the_tank_run_down_and_heats_in_its_hours(greensboro):
    hours = tank_hours(greensboro, hot_wh=9000.0, heats="timer", between="10-12", standby="0 W")
    trace = trace_of(with_inputs(hours, hot_water_w=1000.0, water_rest_m3=0.0), 0, 2)
    # 1000 Wh an hour are drawn: nine hours; the tenth finds it empty: 1000 Wh are missing.
    np.testing.assert_allclose(trace.states.hot_wh[:9], 9000 - 1000 * np.arange(1, 10), atol=1e-6)
    assert trace.flows.useful_short_w[9] == pytest.approx(1000.0)
    assert trace.flows.electric_heat_w[:10].sum() == 0.0
    # 4500 W for two hours, 1000 of it drawn at once.
    np.testing.assert_allclose(trace.flows.electric_heat_w[10:13], [4500, 4500, 0], atol=1e-9)
    np.testing.assert_allclose(trace.states.hot_wh[10:13], [3500, 7000, 6000], rtol=EXACT)


def test_surplus_alone_heats_from_sun_that_house_and_battery_leave(greensboro):
    hours = tank_hours(greensboro, hot_wh=0.0, heats="surplus", standby="0 W", surplus_above=0.95)
    # 700 W of light, 3000 W of sun on the house side in hours 0 and 6 to 8. The battery is full at
    # first: 2300 W are left for the tank. Five hours of light take 3500 of 20,000 Wh. The sun then
    # fills it: 18,800 Wh (0.94) after hour 6, full after hour 7. Hour 8 has sun left for the tank.
    sun_w = np.zeros(48)
    sun_w[0], sun_w[6:9] = 3000.0, 3000.0
    trace = trace_of(with_inputs(hours, pv_ac_w=sun_w, essential_w=700.0, air_c=25.0), 0, 2)
    heated_w = trace.flows.electric_heat_w
    assert heated_w[[0, 8]].tolist() == pytest.approx([2300.0] * 2)
    assert heated_w.sum() == pytest.approx(4600.0)
    assert trace.states.battery_wh[[5, 6, 7]].tolist() == pytest.approx([16500, 18800, 20000])
    assert trace.states.hot_wh[47] == pytest.approx(4600.0)


@pytest.mark.parametrize("heats", ["always", "timer", "surplus"])
def test_energy_of_a_year_with_a_tank_closes_and_agrees_with_the_plain_hour(greensboro, heats):
    plan = plan_of(SMALLEST | WELL_OFF | {"hot_water": TANK | {"heats": heats}})
    hours = hours_of(plan, 1, greensboro)
    assert_traces_agree(hours, 160, 20, True)
    trace = trace_of(hours, 0, 365)
    assert trace.states.hot_wh.between(-1e-9, hours.fixed.hot_tank_wh + 1e-6).all()
    put_in = trace.flows.hot_water_w.sum()
    before = np.append(hours.start.hot_wh, trace.states.hot_wh[:-1])
    lost = np.minimum(80.0 * before / hours.fixed.hot_tank_wh, before).sum()
    water = 1.0 - trace.flows.rest_short_m3 / np.maximum(hours.column("water_rest_m3"), 1e-12)
    got = hours.column("hot_water_w") * water - trace.flows.useful_short_w
    change = trace.states.hot_wh.iloc[-1] - hours.start.hot_wh
    assert put_in - lost - got.sum() == pytest.approx(change, abs=1.0)


def test_cold_days_of_a_tank_are_told_and_shown(greensboro):
    """A tank that nothing heats but sun there is none of: cold every day once it is used up."""
    raw = SMALLEST | WELL_OFF | {"hot_water": TANK | {"heats": "surplus"}}
    raw |= {"well": WELL, "pump": PUMP, "pipe": {"length": "80 m"}, "units": "us"}
    little = raw | {"array": [ARRAY | {"module": "1 W"}]}
    plenty = raw | {"array": [ARRAY | {"strings": 6, "converter": "9 kW"}]}
    told = {}
    for name, entries in (("little", little), ("plenty", plenty)):
        outlook = run(plan_of(entries), 1)
        (one,) = [found for found in outlook.findings if found.about == "hot water tank"]
        told[name] = one
    assert told["little"].severity == "warning" and told["little"].values["cold_days"] > 330
    assert told["plenty"].values["cold_days"] < 120
    assert "mixing valve" in told["plenty"].said()
    always = run(plan_of(SMALLEST | WELL_OFF | {"hot_water": TANK}), 1)
    assert not [found for found in always.findings if found.about == "hot water tank"]


def test_a_timer_or_surplus_asks_for_an_electric_tank():
    for wrong in ({"tank": "0 L"}, {"store": "gas"}):
        raw = SMALLEST | WELL_OFF | {"hot_water": TANK | {"heats": "timer"} | wrong}
        raw |= {"fuel": [{"name": "gas", "fuel": "propane", "amount": "100 L"}]}
        _, faults = read_plan(raw)
        assert [one.where for one in faults] == [("hot_water", "heats")]


# --- sunny days ---------------------------------------------------------------------------------

DRYER = appliance("dryer", 5000, 0.75, 3, between="10-15", supply="240 V", days_a_week=3)


def test_a_dryer_waits_for_sunny_days_and_makes_up_for_them(greensboro):
    plain = plan_of(SMALLEST | WELL_OFF | {"appliance": [DRYER]})
    waits = plan_of(SMALLEST | WELL_OFF | {"appliance": [DRYER | {"sunny_days_only": True}]})
    usual, sunny = (hours_of(plan, 3, greensboro) for plan in (plain, waits))
    asked = [one.column("comfort_w").sum() for one in (usual, sunny)]
    assert asked[1] == pytest.approx(asked[0], rel=0.03)
    sun = sunny.column("pv_dc_w").reshape(-1, 24).sum(axis=1)
    ran = sunny.column("comfort_w").reshape(-1, 24).sum(axis=1) > 0.0
    assert sun[~ran].max() < sun[ran].max() * 0.6
    for month in range(12):  # no dull day of a month runs it, no bright one leaves it out
        here = np.repeat(np.arange(3), 31) * 365 + np.tile(np.arange(31), 3) + month * 30
        assert ran[here].any()
    assert 0.3 < ran.mean() < 0.95


def test_a_dryer_that_waits_needs_panels_and_stands_still_in_dark_days(greensboro):
    raw = {"appliance": [DRYER | {"sunny_days_only": True}]}
    _, faults = read_plan({k: v for k, v in (SMALLEST | WELL_OFF | raw).items() if k != "array"})
    assert [one.where for one in faults] == [("appliance", 0, "sunny_days_only")]
    found = last_until(plan_of(SMALLEST | WELL_OFF | raw), 0.5, 3)
    assert [cut.name for cut in found.cuts] == []
    assert found.hourly["load_w"].max() < 100.0


# --- breakers -----------------------------------------------------------------------------------


def branch(name, feeds, breaker, **more):
    return {"name": name, "feeds": feeds, "length": "10 m", "size": "6", "breaker": breaker} | more


def follower(**more):
    return ARRAY | {"name": "roof", "coupling": "ac", "converter": "4 kW", "strings": 4} | more


def sun_of(greensboro, circuits, **more):
    raw = SMALLEST | WELL_OFF | {"array": [follower()], "circuit": circuits} | more
    return hours_of(plan_of(raw), 1, greensboro).column("pv_ac_w")


def test_a_pv_inverter_gives_no_more_than_its_breaker_lets_through(greensboro):
    free = sun_of(greensboro, [])
    assert free.max() == pytest.approx(4000.0)
    held = sun_of(greensboro, [branch("roof", "roof", "10 A")])
    np.testing.assert_allclose(held, np.minimum(free, 2400.0), rtol=EXACT)  # 10 A at 240 V
    not_entered = branch("roof", "roof", "10 A")
    del not_entered["breaker"]
    np.testing.assert_array_equal(sun_of(greensboro, [not_entered]), free)


def test_a_feeder_holds_the_sun_of_its_panel_less_what_runs_there(greensboro):
    barn = {"name": "barn", "busbar": "100 A", "main_breaker": "0 A"}
    circuits = [
        branch("feeder", "barn", "5 A"),
        branch("roof", "roof", "30 A", panel="barn"),
        branch("heater", "heater", "20 A", panel="barn"),
    ]
    load = appliance("heater", 600, 24, 3)
    free = sun_of(greensboro, [])
    held = sun_of(greensboro, circuits, subpanel=[barn], appliance=[load])
    np.testing.assert_allclose(held, np.minimum(free, 5 * 240.0 + 600.0), rtol=EXACT)


def test_a_feeder_refuses_what_it_cannot_carry(greensboro):
    barn = {"name": "barn", "busbar": "100 A", "main_breaker": "0 A"}
    circuits = [branch("feeder", "barn", "10 A"), branch("saw", "saw", "20 A", panel="barn")]
    load = appliance("saw", 3000, 1, 2, between="10-11")
    raw = SMALLEST | WELL_OFF | {"appliance": [load], "subpanel": [barn]}
    column = "useful_refused_w"
    refused = hours_of(plan_of(raw | {"circuit": circuits}), 1, greensboro).column(column)
    assert refused.reshape(-1, 24)[:, 10] == pytest.approx(3000.0)  # 3 kW behind 2.4 kW
    whole = [branch("feeder", "barn", "15 A"), circuits[1]]
    refused = hours_of(plan_of(raw | {"circuit": whole}), 1, greensboro).column(column)
    assert refused.max() == 0.0


def test_main_inverters_in_the_basement_reach_the_house_through_its_feeder(greensboro):
    basement = {"name": "basement", "busbar": "200 A", "main_breaker": "0 A"}
    circuits = [
        branch("feeder", "basement", "20 A"),
        branch("mains", "main inverter", "60 A", panel="basement"),
    ]
    raw = SMALLEST | WELL_OFF | {"subpanel": [basement], "circuit": circuits}
    assert hours_of(plan_of(raw), 1, greensboro).fixed.former_w == 20 * 240.0
