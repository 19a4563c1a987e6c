"""What limits power and heat in an hour: room at one moment, boil-off, tending, engine and sun."""

import dataclasses

import numpy as np
import pytest
from small_plans import ARRAY, BATTERY, FORMER, SMALLEST, appliance, plan_of
from test_balances import assert_hours_close
from test_kernel_against_plain import assert_traces_agree
from test_two_days_by_hand import with_inputs

from homestead.outlook.ledger import year_of
from homestead.simulate import kernel
from homestead.simulate.inputs import hours_of
from homestead.simulate.kernel.coincidence import refused_of
from homestead.simulate.trace import trace_of
from homestead.units import parse

EXACT = 1e-9


# --- room at one moment -------------------------------------------------------------------------


def refused(room_w, *loads):
    """Refused power of each priority for loads of (power, share of the hour, priority)."""
    power, share, priority = (np.array(one, dtype=float) for one in zip(*loads, strict=True))
    arguments = (np.array([room_w]), np.array([0]), power, share.reshape(1, -1))
    return refused_of(*arguments, priority.astype(np.int64) - 1)[0].tolist()


@pytest.mark.parametrize(
    ("room_w", "loads", "expected"),
    [
        # Half an hour each: one after the other they fit.
        (2000.0, [(1500, 0.5, 1), (1500, 0.5, 2)], [0, 0, 0]),
        # 0.7 h each: 0.3 h are left for the second, 0.4 h of 1500 W are refused.
        (2000.0, [(1500, 0.7, 1), (1500, 0.7, 3)], [0, 0, 600]),
        # Larger than the inverter: it never starts.
        (2000.0, [(2500, 0.2, 1), (500, 1.0, 3)], [500, 0, 0]),
        # Beside 800 W all hour there are 1200 W.
        (2000.0, [(800, 1.0, 1), (1500, 0.1, 2), (1200, 1.0, 3)], [0, 150, 0]),
        # Two and a half of a kind: 1000 W twice, and half an hour of a third.
        (2000.0, [(1000, 2.5, 2)], [0, 500, 0]),
        # 0.6 h of 1500 W leave 500 W there and 2000 W for 0.4 h: 700 W run 0.4 of 0.5 h.
        (2000.0, [(1500, 0.6, 1), (700, 0.5, 1), (300, 1.0, 3)], [70, 0, 0]),
        (9000.0, [(1500, 0.6, 1), (700, 0.5, 1), (300, 1.0, 3)], [0, 0, 0]),
    ],
)
def test_loads_of_an_hour_are_packed_by_hand(room_w, loads, expected):
    assert refused(room_w, *loads) == pytest.approx(expected)


# By brute force: a minute at a time, each load runs its minutes where most power is free.
def test_packing_agrees_with_sixty_minutes_one_by_one():
    rng = np.random.default_rng(7)
    for _ in range(200):
        loads = [
            (float(rng.integers(50, 3000)), int(rng.integers(1, 61)) / 60.0, 1 + n % 3)
            for n in range(int(rng.integers(1, 8)))
        ]
        loads.sort(key=lambda load: (load[2], -load[0]))
        room_w = float(rng.integers(200, 4000))
        free_w, missing = np.full(60, room_w), [0.0, 0.0, 0.0]
        for power_w, share, priority in loads:
            minutes = np.argsort(-free_w, kind="stable")[: round(share * 60)]
            runs = minutes[free_w[minutes] >= power_w]
            free_w[runs] -= power_w
            missing[priority - 1] += power_w * (round(share * 60) - len(runs)) / 60.0
        assert refused(room_w, *loads) == pytest.approx(missing, abs=1e-6)


def kitchen(greensboro, inverter, **entries):
    raw = SMALLEST | {
        "appliance": [appliance("light", 100, 24, 1), appliance("cooker", 2000, 3, 1)],
        "array": [ARRAY | {"strings": 6, "converter": "9 kW"}],
        "grid_former": FORMER | {"continuous": inverter, "surge": "20 kW"},
        "battery": BATTERY | {"module": "90 kWh"},
    }
    return hours_of(plan_of(raw | entries), 1, greensboro)


def test_half_the_main_inverter_changes_energy_and_days_where_it_binds(greensboro, failures):
    whole, half = (kitchen(greensboro, power) for power in ("3 kW", "1500 W"))
    used = [year_of(hours).totals["used_kwh"] for hours in (whole, half)]
    # The cooker's 2000 W for 3 h a day never start on 1500 W.
    assert used[0] - used[1] == pytest.approx(365 * 2.0 * 3.0, rel=0.02)
    days = [failures(hours, horizon_n=60)[:, 0] for hours in (whole, half)]
    assert days[0].min() > 20 and days[1].max() < 8
    assert_traces_agree(half, 0, 20, False)


def test_a_generator_beside_the_inverter_carries_what_it_could_not(greensboro):
    engine = {"rated": "4 kW", "store": "cans", "no_load_fuel": "2 kW", "full_load_fuel": "14 kW"}
    engine |= {"start_below": 0.9, "stop_above": 0.95, "daily_limit": "24 h"}
    cans = {"name": "cans", "fuel": "gasoline", "amount": "4000 L"}
    hours = kitchen(greensboro, "1500 W", generator=engine, fuel=[cans])
    trace = trace_of(hours, 0, 60)
    runs = trace.flows.generator_h == 1.0
    short = trace.flows.essential_short_w
    assert 24 < runs.sum() and short[runs].max() == pytest.approx(0.0, abs=1e-9)
    assert short[trace.flows.generator_h == 0.0].mean() == pytest.approx(250.0, rel=0.01)


def test_a_pump_that_finds_no_room_stands_still(greensboro):
    from small_plans import PUMP, WELL

    water = {"well": WELL, "pump": PUMP, "pipe": {"length": "80 m"}}

    def pumped(inverter):
        hours = kitchen(greensboro, inverter, appliance=[appliance("light", 60, 24, 1)], **water)
        power_w = hours.fixed.pump_m3 * hours.fixed.pump_wh_m3
        return power_w, trace_of(hours, 150, 10).flows.pumped_m3.sum()

    power_w, some_m3 = pumped("3 kW")
    assert some_m3 > 0.3
    assert pumped(f"{power_w + 70:.0f} W")[1] == pytest.approx(some_m3)
    assert pumped(f"{power_w + 30:.0f} W")[1] == 0.0


# --- what a cold tank boils off -----------------------------------------------------------------

BTU_H = parse("1 Btu/h", "power")


def gas_house(greensboro, gallons=30, air_c=None, **tank):
    raw = SMALLEST | {
        "heater": [{"name": "h", "store": "gas", "output": "40 kW", "efficiency": 0.8}],
        "envelope": [{"name": "shell", "area": "900 m²", "r": "1 m²·K/W"}],
        "fuel": [
            {"name": "gas", "fuel": "propane", "amount": f"{gallons} gal", "tank": "120 gal"}
            | {"reserve": 0.0, "tank_diameter": "24 in", "tank_length": "66 in"}
            | tank
        ],
    }
    hours = hours_of(plan_of(raw), 1, greensboro)
    if air_c is None:
        return hours
    share = {-29: 0.125, -18: 1.0}  # the printed rows of -20 and 0 degF
    return with_inputs(hours, air_c=air_c, boil_frac=share[round(air_c)])


# The servicemen's rule by hand (from memory): 24 in x 66 in x K, 60 at a fifth full and 100 when
# 60 % full; 12.5 % of that at -20 degF, all of it at 0 degF.
@pytest.mark.parametrize(
    ("gallons", "air_f", "k_btu_h"), [(24, -20, 60 * 0.125), (24, 0, 60), (84, -20, 100 * 0.125)]
)
def test_a_tank_gives_no_more_than_it_boils_off(greensboro, gallons, air_f, k_btu_h):
    hours = gas_house(greensboro, gallons, air_c=parse(f"{air_f} degF", "temperature"))
    trace = trace_of(hours, 0, 1)
    by_hand_w = 24 * 66 * k_btu_h * BTU_H
    assert trace.flows.fuel_w[0] == pytest.approx(by_hand_w, rel=1e-6)
    assert trace.flows.heat_w[0] == pytest.approx(0.8 * by_hand_w, rel=1e-6)
    full_w = 24 * 66 * 100 * (0.125 if air_f == -20 else 1.0) * BTU_H
    assert trace.flows.boil_frac[0] == pytest.approx(by_hand_w / full_w, rel=1e-6)
    # As the tank empties it gives less each hour; nothing that did not burn is lost.
    assert np.all(np.diff(trace.flows.fuel_w) <= 1e-9)
    gone_wh = hours.fuel_start_wh[0] - trace.fuel_wh[-1, 0]
    assert gone_wh == pytest.approx(trace.flows.fuel_w.sum(), rel=1e-9)


def test_a_buried_tank_is_out_of_the_cold(greensboro):
    cold_c = parse("-20 degF", "temperature")
    above, below = (
        trace_of(gas_house(greensboro, air_c=cold_c, tank_place=place), 0, 1).flows.fuel_w[0]
        for place in ("above ground", "underground")
    )
    # 200 % of 0 degF where the other has 12.5 %; the heater takes 50 kW of it.
    assert below == pytest.approx(min(16 * above, 40_000.0 / 0.8))


def test_starts_together_agree_with_starts_alone_where_the_tank_binds(greensboro, failures):
    colder = greensboro.hourly.assign(air_c=greensboro.hourly["air_c"] - 25.0)
    year = dataclasses.replace(greensboro, hourly=colder)
    hours = gas_house(greensboro, 40)
    hours = hours_of(hours.plan, 1, greensboro, years=[year])
    trace = trace_of(hours, 0, 20)
    left_cold = (trace.states.inside_c < 17.9) & (trace.fuel_wh[:, 0] > 20_000.0)
    assert left_cold.sum() > 5  # it does bind
    together = failures(hours, horizon_n=40)
    for first_day in range(0, 365, 13):
        alone = kernel.run_alone(
            first_day, 40, hours.rows, hours.days, hours.fixed, hours.capacity_by_c, hours.start,
            hours.larder, hours.fuel_start_wh, hours.window_n,
        )  # fmt: skip
        assert together[first_day].tolist() == alone.tolist()
    assert_traces_agree(hours, 0, 20, False)


# --- a stove and who tends it -------------------------------------------------------------------


@pytest.mark.parametrize("fuel", ["cordwood", "pellets"])
def test_a_wood_stove_gives_full_heat_while_somebody_tends_it(greensboro, fuel):
    amount = "9 m^3" if fuel == "cordwood" else "9000 kg"
    stove = {"name": "stove", "store": "shed", "output": "2 kW", "efficiency": 0.7}
    raw = SMALLEST | {"fuel": [{"name": "shed", "fuel": fuel, "amount": amount}]}

    def heat_w(**more):
        hours = hours_of(plan_of(raw | {"heater": [stove | more]}), 1, greensboro)
        return trace_of(with_inputs(hours, air_c=-20.0), 0, 2).flows.heat_w.to_numpy()[:24]

    by_night = 0.3 if fuel == "cordwood" else 1.0
    expected = np.where((np.arange(24) >= 6) & (np.arange(24) < 22), 2000.0, 2000.0 * by_night)
    assert heat_w() == pytest.approx(expected)
    own = np.where((np.arange(24) >= 20) | (np.arange(24) < 7), 2000.0, 1000.0)
    assert heat_w(tended="20-7", untended=0.5) == pytest.approx(own)
    assert heat_w(tended="always") == pytest.approx(np.full(24, 2000.0))


# --- an engine without a battery ----------------------------------------------------------------

ENGINE = {"rated": "3 kW", "store": "cans", "no_load_fuel": "2 kW", "full_load_fuel": "11 kW"}
CABIN = SMALLEST | {
    "appliance": [appliance("light", 100, 24, 1), appliance("saw", 800, 6, 2, between="9-15")],
    "generator": ENGINE,
    "fuel": [{"name": "cans", "fuel": "gasoline", "amount": "400 L", "reserve": 0.0}],
}


def test_an_engine_with_sun_and_no_battery_lasts_as_long_as_its_fuel(greensboro, failures):
    alone = hours_of(plan_of(CABIN), 1, greensboro)
    sunny = hours_of(plan_of(CABIN | {"array": [ARRAY | {"coupling": "ac"}]}), 1, greensboro)
    fuel_wh = alone.fuel_start_wh[0]
    # By hand: 2000 Wh an hour without load, and 3 Wh for each of 24 x 100 + 6 x 800 Wh a day.
    days = fuel_wh / (24 * 2000.0 + 3.0 * 7200.0)
    assert failures(alone, horizon_n=90)[:, 0] == pytest.approx(days, abs=1.01)
    # Sun saves fuel while the engine keeps its least load of 900 W x running share: none below it.
    with_sun = failures(sunny, horizon_n=90)[:, 0]
    assert (with_sun >= failures(alone, horizon_n=90)[:, 0]).all()
    trace = trace_of(sunny, 150, 20)
    assert_hours_close(sunny, trace)
    saved = trace.flows.pv_w - trace.flows.curtailed_w
    at_noon = np.arange(len(saved)) % 24 == 12
    # 900 W are asked for, and the engine keeps 0.3 of the 2.8 to 3 kW that warm air leaves it.
    assert saved[at_noon].max() < 60.0
    easy = CABIN | {
        "array": [ARRAY | {"coupling": "ac"}],
        "generator": ENGINE | {"least_load": 0.0},
    }
    easy = hours_of(plan_of(easy), 1, greensboro)
    flows = trace_of(easy, 150, 20).flows
    noon = (flows.pv_w - flows.curtailed_w)[at_noon]
    assert noon.max() == pytest.approx(900.0) and noon.mean() > 450.0
    assert failures(easy, horizon_n=90)[:, 0].mean() > with_sun.mean() + 1.0
    for hours in (alone, sunny, easy):
        assert_traces_agree(hours, 150, 20, True)


def test_few_engine_hours_go_to_the_hours_that_ask_for_most(greensboro):
    hours = hours_of(plan_of(CABIN | {"generator": ENGINE | {"daily_limit": "6 h"}}), 1, greensboro)
    runs_h = trace_of(hours, 0, 5).flows.generator_h.to_numpy().reshape(-1, 24)
    expected = np.where((np.arange(24) >= 9) & (np.arange(24) < 15), 1.0, 0.0)
    assert np.allclose(runs_h, expected)


# --- summer -------------------------------------------------------------------------------------


def test_a_house_with_central_air_does_not_open_its_windows(greensboro):
    cooling = {"capacity": "5 kW", "cool_to": "25 °C", "months": "Apr-Oct"}

    def year(**more):
        raw = kitchen(greensboro, "9 kW").plan.raw | {"cooling": cooling | more}
        return year_of(hours_of(plan_of(dict(raw)), 1, greensboro))

    shut, opened = (table.monthly.loc[7] for table in (year(), year(windows=True)))
    assert shut["cooling_w"] > 1.15 * opened["cooling_w"]
    assert shut["vented_w"] == 0.0 < opened["vented_w"]


# --- cooling behind shut windows ------------------------------------------------------------------


@pytest.mark.parametrize(("windows", "shut"), [({}, True), ({"windows": True}, False)])
def test_central_air_carries_the_whole_gain_unless_windows_are_opened_too(
    greensboro, windows, shut
):
    """3000 W of sun into rooms at 25 °C, 22 °C outdoors: all but what leaks out through the shell.

    By hand: cooling removes 3000 W - L x 3 K; a SEER of 15 takes 1 W for 15 x 0.29307 = 4.396 W.
    """
    plan = plan_of(
        SMALLEST
        | {
            "house": SMALLEST["house"] | {"keep": "20 °C", "appliance_heat": 0.0}
            | {"per_person": "0 W"},
            "grid_former": FORMER | {"continuous": "9 kW", "surge": "9 kW"},
            "battery": BATTERY | {"module": "200 kWh", "discharge": "9 kW"},
            "cooling": {"capacity": "9 kW", "seer": 15.0, "cool_to": "25 °C"} | windows,
            "shedding": {"comfort_below": 0.0, "useful_below": 0.0},
        }
    )  # fmt: skip
    hours = hours_of(plan, 1, greensboro)
    dry = with_inputs(hours, air_c=22.0, sun_gain_w=3000.0, cooling_allowed=1.0)
    trace = trace_of(dry, 0, 2)
    by_hand_w = (3000.0 - hours.fixed.loss_w_k * 3.0) / (15.0 * 0.29307)
    if shut:
        assert trace.flows.cooling_w[40:].tolist() == pytest.approx([by_hand_w] * 8, rel=1e-4)
        assert trace.flows.vented_w.sum() == 0.0
    else:
        let_out_w = trace.flows.vented_w[40:].to_numpy()
        assert let_out_w.min() > 500.0  # what goes out through the windows needs no electricity
        carried_w = trace.flows.cooling_w[40:] + let_out_w / (15.0 * 0.29307)
        assert carried_w.tolist() == pytest.approx([by_hand_w] * 8, rel=1e-3)
    assert by_hand_w > 300.0
