"""What goes in comes out or stays: power, water, heat and fuel, every hour of shipped plans."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_plans import examples, plan_of, random_plans

from homestead.outlook import ledger
from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import trace_of

# Of what moves or is held in the hour; doubles carry about 1e-16, a year of sums stays below 1e-9.
WITHIN_FRAC = 1e-9
NEGATIVE = 1e-9  # W, Wh or m³: what rounding may leave below nothing in a difference of flows


@pytest.fixture(scope="session")
def traces(shipped_hours):
    return {
        (name, delivered): trace_of(hours, 0, 365, delivered)
        for name, hours in shipped_hours.items()
        for delivered in (True, False)
    }


CASES = [(name, d) for name in ("demo", "cabin", "cold-coast") for d in (True, False)]


def assert_hours_close(hours, trace):
    for name, (residual, through) in ledger.residuals_of(hours, trace).items():
        largest = np.abs(np.asarray(residual)) / np.maximum(np.asarray(through), 1e-3)
        assert largest.max() <= WITHIN_FRAC, name


def assert_house_side_adds_up(flows):
    served = ("essential_w", "useful_w", "comfort_w", "pump_w", "blower_w", "cooling_w")
    used_w = flows[[*served, "electric_heat_w"]].sum(axis=1)
    assert np.abs(used_w - flows.used_w).max() <= WITHIN_FRAC * max(flows.used_w.max(), 1.0)


def assert_fuel_adds_up(hours, trace, delivered):
    before_wh = np.vstack([hours.fuel_start_wh, trace.fuel_wh[:-1]])
    if delivered:
        before_wh[::24] = hours.fuel_start_wh
    else:  # fuel past its time is poured out in the morning, before anything burns
        for store, days in enumerate(hours.fixed.keeps_days):
            if days * 24 < len(before_wh):
                before_wh[int(days) * 24, store] = 0.0
    drop_wh = (before_wh - trace.fuel_wh).sum(axis=1)
    burnt_wh = (trace.flows.fuel_w + trace.flows.generator_fuel_w).to_numpy()
    held_wh = max(hours.fuel_start_wh.sum(), 1.0)
    # A store of 1e7 Wh is known to 1e-9 Wh; a year of subtractions cannot know its drop better.
    assert np.abs(drop_wh - burnt_wh).max() <= WITHIN_FRAC * max(burnt_wh.max(), held_wh * 1e-6)


def assert_within_bounds(hours, trace):
    fixed, states, flows = hours.fixed, trace.states, trace.flows
    # Below what the house may use the inverter draws on to stay awake, down to where it sleeps.
    floor_wh = min(fixed.battery_wh * (1.0 - fixed.discharge_depth_frac), fixed.dead_wh)
    # Where there is no battery, what passes through it leaves the last digits of watts behind.
    assert states.battery_wh.min() >= floor_wh - WITHIN_FRAC * fixed.battery_wh - NEGATIVE
    assert states.battery_wh.max() <= fixed.battery_wh * (1.0 + WITHIN_FRAC) + NEGATIVE
    for name in ("casing_m3", "tank_m3", "cistern_m3"):
        assert states[name].min() >= -NEGATIVE
        assert states[name].max() <= getattr(fixed, name) + NEGATIVE
    assert trace.fuel_wh.min(initial=0.0) >= -NEGATIVE
    assert (trace.fuel_wh <= hours.fuel_start_wh + NEGATIVE).all()
    assert trace.food_kcal.min().min() >= 0.0
    assert trace.food_kcal.eaten_kcal.max() <= fixed.need_kcal * (1.0 + WITHIN_FRAC)
    signed = ("lost_w",)  # heat comes in through the shell on a hot day
    moved = flows.drop(columns=list(signed))
    assert moved.min().min() >= -NEGATIVE * max(1.0, moved.max().max()), moved.min().idxmin()
    assert flows.dark_frac.max() <= 1.0 + WITHIN_FRAC
    assert states.drop(columns="inside_c").min().min() >= -NEGATIVE
    assert states.dark_hours.max() < 2**24 and (states.dark_hours % 1.0 == 0.0).all()
    assert states.cold_h.max() <= fixed.cold_limit_h + NEGATIVE
    assert states.freezer_dark_h.max() <= fixed.freezer_hold_h + NEGATIVE
    assert states.generator_h.max() <= fixed.daily_limit_h + NEGATIVE
    assert states.hand_m3.max() <= fixed.hand_day_m3 + NEGATIVE
    assert flows.pumped_m3.max() <= fixed.pump_m3 + fixed.hand_m3 + NEGATIVE
    assert flows.generator_w.max() <= hours.column("generator_w").max() + NEGATIVE
    assert flows.charge_w.max() <= fixed.charge_w * fixed.charge_efficiency_frac + NEGATIVE


@pytest.mark.parametrize(("name", "delivered"), CASES)
def test_power_water_and_heat_close_every_hour(name, delivered, shipped_hours, traces):
    assert_hours_close(shipped_hours[name], traces[name, delivered])
    assert_house_side_adds_up(traces[name, delivered].flows)


@pytest.mark.parametrize(("name", "delivered"), CASES)
def test_fuel_burnt_is_the_drop_of_the_stores(name, delivered, shipped_hours, traces):
    assert_fuel_adds_up(shipped_hours[name], traces[name, delivered], delivered)


@pytest.mark.parametrize(("name", "delivered"), CASES)
def test_stores_stay_within_bounds_and_no_flow_is_negative(name, delivered, shipped_hours, traces):
    assert_within_bounds(shipped_hours[name], traces[name, delivered])


@pytest.mark.parametrize(("name", "delivered"), CASES)
def test_reported_balance_is_that_of_the_hours(name, delivered, shipped_hours, traces):
    balance = ledger.balance_of(shipped_hours[name], traces[name, delivered])
    assert set(balance) == {f"{one}_residual_frac" for one in ("power", "water", "heat")}
    assert all(0.0 <= residual <= WITHIN_FRAC for residual in balance.values())


@pytest.mark.parametrize(
    ("column", "balance"), [("used_w", "power"), ("garden_m3", "water"), ("vented_w", "heat")]
)
def test_a_flow_that_is_off_is_seen(column, balance, shipped_hours, traces):
    trace = traces["demo", True]
    flows = trace.flows.copy()
    flows.loc[4000, column] += 0.01
    wrong = dataclasses.replace(trace, flows=flows)
    residual, _ = ledger.residuals_of(shipped_hours["demo"], wrong)[balance]
    assert np.abs(residual).argmax() == 4000
    assert np.abs(residual).max() == pytest.approx(0.01, rel=1e-6)


@examples(100)
@given(raw=random_plans(), first_day=st.integers(0, 364), delivered=st.booleans())
def test_random_plans_balance_and_stay_within_bounds(raw, first_day, delivered, greensboro):
    hours = hours_of(plan_of(raw), 1, greensboro)
    trace = trace_of(hours, first_day, 20, delivered)
    assert_hours_close(hours, trace)
    assert_house_side_adds_up(trace.flows)
    assert_fuel_adds_up(hours, trace, delivered)
    assert_within_bounds(hours, trace)
