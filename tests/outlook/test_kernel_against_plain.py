"""The compiled hour against the same hour written plainly: states, flows, fuel, food, failures."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from plain_hour import PlainHomestead
from small_plans import examples, plan_of, random_plans

from homestead.simulate.inputs import hours_of
from homestead.simulate.records import Flows, State
from homestead.simulate.trace import trace_of

# Both add the same numbers in another order, so rounding is all that may lie between them.
WITHIN_FRAC = 1e-9
LARGEST_UNIT = {"w": 1.0, "wh": 1.0, "m3": 1e-3, "c": 1.0, "h": 1.0, "frac": 1.0, "on": 1.0}


def assert_same(kernel, plain, what):
    """Every column equal within 1e-9 of the largest value of its kind (at least 1 W, 1 L, ...)."""
    suffix = kernel.columns.str.rsplit("_", n=1).str[-1]
    for kind in suffix.unique():
        ours, theirs = kernel.loc[:, suffix == kind], plain.loc[:, suffix == kind]
        scale = max(float(ours.abs().max().max()), LARGEST_UNIT.get(kind, 1.0))
        apart = (ours - theirs).abs().max()
        assert (apart <= WITHIN_FRAC * scale).all(), f"{what}: {apart[apart > 0].to_dict()}"


def assert_traces_agree(hours, first_day, days_n, delivered):
    kernel = trace_of(hours, first_day, days_n, delivered)
    states, flows, fuel, food = PlainHomestead(hours).trace(
        State._fields, first_day, days_n, delivered
    )
    assert_same(kernel.states, pd.DataFrame(states, columns=State._fields), "states")
    assert_same(kernel.flows, pd.DataFrame(flows)[list(Flows._fields)], "flows")
    fuel = np.array(fuel).reshape(kernel.fuel_wh.shape)
    scale = max(float(hours.fuel_start_wh.max(initial=0.0)), 1.0)
    np.testing.assert_allclose(kernel.fuel_wh, fuel, rtol=0, atol=WITHIN_FRAC * scale)
    scale = max(float(kernel.food_kcal.to_numpy().max()), 1.0)
    np.testing.assert_allclose(kernel.food_kcal, np.array(food), rtol=0, atol=1e-9 * scale)


@pytest.mark.parametrize("delivered", [True, False])
@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_a_year_of_each_shipped_plan_agrees_hour_by_hour(name, delivered, shipped_hours):
    hours = shipped_hours[name]
    assert len(hours.rows) == 8760
    assert_traces_agree(hours, 0, 365, delivered)


@pytest.mark.longer_at_night
@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_first_failures_of_shipped_plans_agree(name, shipped_hours, failures, at_night):
    hours = shipped_hours[name]
    kernel = failures(hours)
    for first_day in (0, 91, 182, 320) if at_night else (91, 320):
        assert kernel[first_day].tolist() == PlainHomestead(hours).days_until(first_day)


@examples(150)
@given(raw=random_plans(), first_day=st.integers(0, 364), delivered=st.booleans())
def test_random_plans_agree_for_some_days(raw, first_day, delivered, greensboro):
    hours = hours_of(plan_of(raw), 1, greensboro)
    assert_traces_agree(hours, first_day, 12, delivered)


@examples(60)
@given(raw=random_plans(), first_days=st.lists(st.integers(0, 364), min_size=3, max_size=3))
def test_first_failures_of_random_plans_agree(raw, first_days, greensboro, failures):
    hours = hours_of(plan_of(raw), 1, greensboro)
    kernel = failures(hours, horizon_n=30)
    for first_day in first_days:
        plain = PlainHomestead(hours).days_until(first_day, horizon_n=30)
        assert kernel[first_day].tolist() == plain
