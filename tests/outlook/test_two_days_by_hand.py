"""Two days and one day solved by hand, with every number of the arithmetic shown.

The plan gives the parts; inputs and constants are then set to round numbers, so that the result
can be followed on paper.
"""

import dataclasses
import math

import numpy as np
import pytest
from small_plans import BATTERY, FORMER, PUMP, SMALLEST, WELL, appliance, plan_of

from homestead.simulate.inputs import hours_of
from homestead.simulate.records import COLUMNS, Days
from homestead.simulate.trace import trace_of

EXACT = 1e-9


def with_inputs(hours, food=0.0, **columns):
    """The same homestead with given hourly inputs (a value, or 24 or 48 of them, then nothing)."""
    rows = np.zeros_like(hours.rows)
    for name, values in columns.items():
        values = np.atleast_1d(np.asarray(values, dtype=float))
        column = rows[:, COLUMNS.index(name)]
        column[: len(values) if len(values) > 1 else None] = values
    least_m3 = rows[:, COLUMNS.index("water_least_m3")].reshape(-1, 24).sum(axis=1)
    garden = np.zeros((len(least_m3), 5))
    garden[:, 0] = food
    days = Days(least_m3, garden, np.zeros((len(least_m3), 0, 3)))
    return dataclasses.replace(hours, rows=rows, days=days)


@pytest.fixture(scope="module")
def two_days(greensboro):
    """A dark house: battery, wood stove with a blower, gravity cistern, freezer and pantry.

    Rooms, and the battery in them, are at 25 deg C, where a lithium bank gives all it is rated at.
    """
    plan = plan_of(
        SMALLEST
        | {
            "appliance": [appliance("freezer", 30, 24, 1)],
            "grid_former": FORMER | {"idle": "10 W", "efficiency": 0.8},
            "battery": BATTERY
            | {
                "module": "1000 Wh",
                "depth_of_discharge": 0.8,
                "round_trip": 0.81,
                "dead_below": 0.2,  # the inverter sleeps as soon as the house is off
            },
            "shedding": {"comfort_below": 0.0, "useful_below": 0.0},
            "house": SMALLEST["house"]
            | {"keep": "25 °C", "appliance_heat": 0.0, "per_person": "0 W"},
            "heater": [
                {
                    "name": "stove",
                    "store": "wood",
                    "output": "1000 W",
                    "efficiency": 0.5,
                    "electric": "20 W",
                    "tended": "always",
                }
            ],
            "fuel": [{"name": "wood", "fuel": "cordwood", "amount": "1 m^3"}],
            "cistern": {"volume": "90 L", "from_well": False},
            "pantry": [{"name": "shelf", "energy": "500 kcal"}],
            "freezer": {"appliance": "freezer", "energy": "3000 kcal", "fill": 0.3},
            "failure": {"food_window": 2, "cold_below": "20 °C", "freezer_full": "24 h"},
        }
    )
    hours = hours_of(plan, 1, greensboro)
    # A house that keeps 0.9 of its warmth over the air in an hour and loses 50 W/K: 1 K more at
    # the end of an hour takes 50 / (1 - 0.9) = 500 W.
    fixed = hours.fixed._replace(
        loss_w_k=50.0,
        steady_c_per_w=1 / 50.0,
        w_per_c=500.0,
        c_per_w=1 / 500.0,
        decay_frac=0.9,
        mean_frac=(1.0 - 0.9) / -math.log(0.9),
        need_kcal=2000.0,
    )
    hours = dataclasses.replace(hours, fixed=fixed, fuel_start_wh=np.array([40_000.0]))
    sun_w = np.zeros(48)
    sun_w[6:18] = 200.0  # the first day only
    return with_inputs(
        hours,
        pv_dc_w=sun_w,
        essential_w=30.0,
        air_c=15.0,
        water_least_m3=0.001,
        water_rest_m3=0.002,
    )


@pytest.fixture(scope="module")
def traced(two_days):
    return trace_of(two_days, 0, 2)


def test_battery_over_two_days_by_hand(traced):
    # Every hour: 30 W freezer + 10 W blower = 40 W in the house; 40 / 0.8 = 50 W at the bus and
    # 10 W idle make 60 W. From the cells (one way 0.9): 60 / 0.9 = 66.667 Wh.
    # Night, hours 0 to 5: 1000 - 6 x 66.667 = 600 Wh.
    # Sun of 200 W, hours 6 to 8: 140 W over, 126 Wh into the cells: 726, 852, 978.
    # Hour 9: room for 22 Wh takes 24.444 W; full at 1000 until hour 17.
    # Evening: 1000 - 6 x 66.667 = 600. Next day without sun: 200 Wh (the floor) after hour 29.
    night = np.arange(1, 7) * (60.0 / 0.9)
    expected = [*(1000 - night), 726, 852, 978, *[1000] * 9, *(1000 - night), *(600 - night)]
    battery_wh = traced.states.battery_wh.to_numpy()
    np.testing.assert_allclose(battery_wh[:30], expected, rtol=EXACT)
    np.testing.assert_allclose(battery_wh[30:], 200.0, rtol=EXACT)


def test_energy_of_two_days_by_hand(traced):
    total = traced.flows.sum()
    assert total.pv_w == pytest.approx(12 * 200.0)
    # Turned away: 140 - 24.444 in hour 9, then 140 in each of 8 hours.
    assert total.curtailed_w == pytest.approx(140.0 - 22.0 / 0.9 + 8 * 140.0)
    assert total.used_w == pytest.approx(30 * 40.0)
    assert total.idle_w == pytest.approx(30 * 10.0)
    # Lost: 10 W in the inverter for 30 h; 6.667 Wh in the cells in 18 dark hours; 0.1 of what
    # the sun put in (3 x 140 + 24.444).
    assert total.conversion_loss_w == pytest.approx(300.0 + 18 * 60.0 * (1 / 0.9 - 1) + 44.4444444)
    # Dark from hour 30 on: 30 W of freezer for 18 h; and the blower of the heat that would bring
    # 25 deg C back: from 24 it takes 1 K x 500 W/K, so 10 W; from 23.1 it takes 950 W, so 19 W;
    # then the stove's 1000 W, so 20 W.
    assert total.essential_short_w == pytest.approx(18 * 30.0 + 10.0 + 19.0 + 16 * 20.0)
    assert traced.flows.dark_frac.tolist() == pytest.approx([0.0] * 30 + [1.0] * 18)


def test_warmth_of_two_days_by_hand(traced):
    # 10 K above the air at 50 W/K: 500 W of heat, 1000 W of wood, as long as the blower runs.
    np.testing.assert_allclose(traced.flows.heat_w[:30], 500.0, rtol=EXACT)
    np.testing.assert_allclose(traced.flows.fuel_w[:30], 1000.0, rtol=EXACT)
    assert traced.fuel_wh[-1, 0] == pytest.approx(40_000.0 - 30 * 1000.0)
    # Then the warmth over the air shrinks to 0.9 of itself every hour: 24, 23.1, 22.29, ...
    warm_c = 15.0 + 10.0 * 0.9 ** np.arange(1, 19)
    np.testing.assert_allclose(traced.states.inside_c[30:], warm_c, rtol=EXACT)
    # Mean of the hour below 20 deg C: 10 x 0.9^(n-1) x 0.94912 < 5 from n = 8, which is hour 37.
    # Six hours are a bad night, and more are not counted.
    assert traced.states.cold_h.tolist() == [0.0] * 37 + [1, 2, 3, 4, 5] + [6] * 6


def test_water_and_food_of_two_days_by_hand(traced):
    # 3 L an hour out of 90 L: dry after hour 29. On the second day 6 x 3 L = 18 L came.
    assert traced.states.cistern_m3[29] == pytest.approx(0.0, abs=1e-15)
    assert traced.states.water_m3[23] == pytest.approx(0.072)
    assert traced.states.water_m3[47] == pytest.approx(0.018)
    # Day 1: 2000 kcal out of the freezer, 1000 are left. A freezer a tenth full counts as half:
    # 24 h x 0.5 = 12 dark hours, reached in hour 41. Day 2: the 500 kcal of the pantry.
    food = traced.food_kcal
    assert food.freezer_kcal[[0, 24]].tolist() == [3000.0, 1000.0]  # that morning
    assert food.eaten_kcal[[0, 47]].tolist() == [2000.0, 500.0]
    assert traced.states.freezer_dark_h[[29, 30, 41]].tolist() == [0.0, 1.0, 12.0]


def test_every_need_has_its_first_bad_day_and_its_end_by_hand(two_days, failures):
    # The second day is bad for all. Power: 18 dark hours > 4. Water: 18 L < 24 x 1 L. Warmth: cold
    # from hour 37, six hours together at hour 42. Food: (2000 + 500) / 4000 = 62.5 % < 80 %.
    # Power ends that same day: 889 of 960 + 1249 Wh were missing, and five days before isolation
    # count as served with as much: 889 / (2209 / 2 x 7) = 11.5 % > 5 %. Water ends on the second
    # dry day, warmth on the third cold night. Food ends when more than a fifth of 28 days' need is
    # missing, 11,200 kcal: 1500 on the second day, 2000 on each after it: 1500 + 5 x 2000 = 11,500
    # on the seventh. Pipes: never below 0 deg C.
    assert failures(two_days)[0].tolist() == [1, 2, 3, 6, 365, 1, 1, 1, 1, 365, 0]


@pytest.fixture(scope="module")
def generator_day(greensboro):
    """Generator that cycles until its fuel ends, and a pump that depends on the same power."""
    raw = SMALLEST | {
        "appliance": [appliance("light", 60, 24, 1)],
        "grid_former": FORMER
        | {"idle": "0 W", "efficiency": 1.0, "charger": "400 W", "charger_efficiency": 1.0},
        "battery": BATTERY | {"module": "1000 Wh", "depth_of_discharge": 1.0, "round_trip": 1.0},
        "shedding": {"comfort_below": 0.0, "useful_below": 0.0},
        "generator": {
            "rated": "500 W",
            "store": "drum",
            "no_load_fuel": "200 W",
            "full_load_fuel": "1700 W",
            "start_below": 0.45,
            "stop_above": 0.75,
            "daily_limit": "24 h",
        },
        "fuel": [{"name": "drum", "fuel": "diesel", "amount": "1 L"}],
        "house": SMALLEST["house"] | {"keep": "25 °C"},
        "well": WELL,
        "pump": PUMP,
        "pipe": {"length": "50 m"},
        "pressure_tank": {"volume": "200 L", "cut_in": "210 kPa", "cut_out": "350 kPa"},
    }
    hours = hours_of(plan_of(raw), 1, greensboro)
    fixed = hours.fixed._replace(
        well_yield_m3=0.1, casing_m3=0.2, pump_m3=0.5, pump_wh_m3=1000.0, pump_wh_m3_m3=0.0,
        tank_m3=0.05,
    )  # fmt: skip
    start = hours.start._replace(casing_m3=0.2, tank_m3=0.05)
    hours = dataclasses.replace(hours, fixed=fixed, start=start, fuel_start_wh=np.array([4000.0]))
    return with_inputs(hours, essential_w=60.0, air_c=25.0, water_least_m3=0.04, generator_w=500.0)


def test_generator_and_pump_of_a_day_by_hand(generator_day):
    # 60 W of light and 40 L at 1000 Wh/m³ = 40 W of pump: 100 W an hour from 1000 Wh.
    # At the start of hour 6 charge is 0.40 < 0.45: start. 500 W = 100 W house + 400 W charger:
    # 800 Wh. At hour 7 charge is 0.80 >= 0.75: stop. The same again in hour 11.
    # Each full hour burns 200 + 3 x 500 = 1700 Wh; 4000 - 2 x 1700 = 600 Wh are left for hour 16:
    # 600 / 1700 = 0.35294 h, 176.47 Wh, of which 76.47 into the cells: 476.47 Wh.
    # Four hours later 76.47 Wh are left for hour 21.
    rest = 500.0 * 600.0 / 1700.0 - 100.0
    down = [900, 800, 700, 600, 500, 400]
    expected = [*down, *[800, 700, 600, 500, 400] * 2, *(400 + rest - 100 * np.arange(5)), 0, 0, 0]
    trace = trace_of(generator_day, 0, 1)
    np.testing.assert_allclose(trace.states.battery_wh, expected, rtol=EXACT, atol=1e-9)
    runs_h = np.zeros(24)
    runs_h[[6, 11, 16]] = 1.0, 1.0, 600.0 / 1700.0
    np.testing.assert_allclose(trace.flows.generator_h, runs_h, rtol=EXACT, atol=1e-12)
    assert trace.flows.generator_fuel_w.sum() == pytest.approx(4000.0, rel=EXACT)
    # Hour 21: light first, the other 16.47 W lift 16.47 L, the tank gives 23.53 L: nothing is
    # short. Hour 22: no power; the last 26.47 L of the tank. Hour 23: no water.
    short_m3 = trace.flows.least_short_m3.to_numpy()
    tank_m3 = 0.05 - (0.04 - (rest - 60.0) / 1000.0)
    np.testing.assert_allclose(short_m3[20:], [0, 0, 0.04 - tank_m3, 0.04], rtol=EXACT, atol=1e-15)
    # With water short, the power that the pump missed counts as dark, beside the light.
    assert trace.flows.dark_frac.tolist() == pytest.approx([0.0] * 22 + [1.0] * 2)
    assert trace.states.dark_hours.iloc[-1] == 0b11
    # The well gives what was lifted: 21 h of 40 L and 16.47 L, from a casing that stays full.
    assert trace.flows.inflow_m3.sum() == pytest.approx(21 * 0.04 + (rest - 60.0) / 1000.0)
    assert trace.states.casing_m3.tolist() == pytest.approx([0.2] * 24)
