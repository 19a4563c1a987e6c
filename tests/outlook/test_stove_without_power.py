"""A stove that needs no electricity burns in a dark house; one with a blower does not."""

import pytest
from small_plans import BATTERY, FORMER, SMALLEST, appliance, plan_of

from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import trace_of


@pytest.mark.parametrize(("blower", "burns"), [("0 W", True), ("20 W", False)])
def test_only_a_stove_without_a_blower_heats_when_the_battery_is_empty(blower, burns, greensboro):
    stove = {
        "name": "stove", "store": "wood", "output": "9 kW", "efficiency": 0.6,
        "tended": "always",
    }  # fmt: skip
    raw = SMALLEST | {
        "appliance": [appliance("light", 50, 24, 1)],
        "grid_former": FORMER,
        "battery": BATTERY | {"module": "100 Wh", "start": 0.0},
        "heater": [stove | {"electric": blower}],
        "fuel": [{"name": "wood", "fuel": "cordwood", "amount": "20 m^3"}],
    }
    trace = trace_of(hours_of(plan_of(raw), 1, greensboro), 0, 10)
    assert trace.flows.used_w.max() == 0.0  # dark from the first hour, in January
    if burns:
        assert trace.states.inside_c.min() == pytest.approx(18.0)
    else:
        assert trace.flows.heat_w.max() == 0.0
        assert trace.states.inside_c.min() < 10.0
