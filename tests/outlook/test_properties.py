"""More of a store or of sun never shortens the days, more use never lengthens them: where it holds.

The places have no generator and shed nothing, and their water runs by itself or comes from a well
that gives enough. Otherwise it need not hold, by the nature of the thing: see the last tests.
"""

import pytest
from hypothesis import given
from small_plans import (
    ARRAY,
    AT_ONCE,
    BATTERY,
    FIRST_BAD_DAY,
    FORMER,
    NO_RESERVE,
    PUMP,
    SMALLEST,
    WELL,
    appliance,
    examples,
    larger,
    plain_plans,
    plan_of,
)
from steps import STEPS, demo_with

from homestead.outlook import independence
from homestead.simulate.inputs import hours_of
from homestead.vocabulary import NEEDS, OUTCOMES

HORIZON_DAYS = 90
MORE = {
    "panels": "power",
    "battery": "power",
    "cistern": "water",
    "pressure tank": "water",
    "wood": "warmth",
    "pantry": "food",
}
USE = {"essential load": "power", "comfort load": "power", "water use": "water"}


def homestead_days(days):
    return days[:, : len(NEEDS)].min(axis=1)


def decoupled(raw):
    """Plain data without what ties water to power: a cistern that only rain fills.

    Scarce wells go without a pump, by gravity from the cistern; others keep theirs.
    """
    raw = raw | {"cistern": raw["cistern"] | {"from_well": False, "use": "first"}}
    # A house that stays off until its battery has recovered can be dark for longer with more.
    raw["grid_former"] = raw["grid_former"] | AT_ONCE
    raw["battery"] = raw["battery"] | NO_RESERVE
    raw["failure"] = raw.get("failure", {}) | FIRST_BAD_DAY
    if "yield" in raw["well"] and float(raw["well"]["yield"].split()[0]) < 0.1:
        raw = {k: v for k, v in raw.items() if k not in ("pump", "pressure_tank", "pipe")}
    return raw


@pytest.mark.parametrize("part", MORE)
def test_more_of_a_store_or_of_sun_never_shortens_any_start(part, greensboro, failures):
    reached = []

    @examples(20)
    @given(raw=plain_plans())
    def check(raw):
        raw = decoupled(raw)
        if part == "pressure tank" and "pump" not in raw:
            return
        before, after = (
            failures(hours_of(plan_of(one), 1, greensboro), HORIZON_DAYS)
            for one in (raw, larger(raw, part, 1.25))
        )
        need = OUTCOMES.index(MORE[part])
        assert (after[:, need] >= before[:, need]).all()
        assert (homestead_days(after) >= homestead_days(before)).all()
        reached.append((after[:, need] > before[:, need]).any())

    check()
    # The step says something in some of the places; a tank of minutes can do nothing for days.
    assert any(reached) or part == "pressure tank"


@pytest.mark.parametrize("part", USE)
def test_more_use_never_lengthens_any_start(part, greensboro, failures):
    reached = []

    @examples(20)
    @given(raw=plain_plans())
    def check(raw):
        raw = decoupled(raw)
        if part == "water use":
            # Water counts by what a day delivered: when it rains into an empty cistern at night,
            # whoever draws faster gets more of it that day.
            raw = {key: entry for key, entry in raw.items() if key != "rain"}
        before, after = (
            failures(hours_of(plan_of(one), 1, greensboro), HORIZON_DAYS)
            for one in (raw, larger(raw, part, 1.25))
        )
        need = OUTCOMES.index(USE[part])
        assert (after[:, need] <= before[:, need]).all()
        assert (homestead_days(after) <= homestead_days(before)).all()
        reached.append((after[:, need] < before[:, need]).any())

    check()
    assert any(reached)


# --- where it does not hold, by the nature of the thing ------------------------------------------

COUPLED = SMALLEST | {
    "house": SMALLEST["house"] | {"appliance_heat": 0.0},
    "array": [ARRAY | {"modules_per_string": 1}],
    "grid_former": FORMER | AT_ONCE | {"idle": "5 W"},
    "failure": FIRST_BAD_DAY,
    "shedding": {"useful_below": 0.0, "comfort_below": 0.0},
    "heater": [{"name": "stove", "store": "wood", "output": "9 kW", "efficiency": 0.65}],
    "fuel": [{"name": "wood", "fuel": "cordwood", "amount": "6 m^3"}],
    "pantry": [{"name": "shelf", "energy": "300000 kcal"}],
    "pipe": {"length": "80 m"},
}


def test_a_larger_cistern_that_the_pump_fills_can_cost_power(greensboro, failures):
    """The pump fills the larger room with energy that the night's essential load then lacks."""
    raw = COUPLED | {
        "appliance": [appliance("load", 15, 10, 1, between="18-4"), appliance("day", 100, 10, 2)],
        "battery": BATTERY | {"modules": 2, "module": "0.83 kWh"},
        "well": WELL | {"yield": "0.37 L/min"},
        "pump": PUMP | {"wire_to_water": 0.1},
        "water_use": {"per_person": "23 L"},
        "cistern": {"volume": "2 m^3", "start": 0.25},
    }
    before, after = (
        failures(hours_of(plan_of(one), 1, greensboro), HORIZON_DAYS)
        for one in (raw, larger(raw, "cistern", 1.25))
    )
    fewer = after[:, OUTCOMES.index("power")] < before[:, OUTCOMES.index("power")]
    assert 0 < fewer.sum() < 365
    assert (after[:, OUTCOMES.index("water")] >= before[:, OUTCOMES.index("water")]).all()


def test_more_battery_can_empty_a_scarce_well_sooner(greensboro, failures):
    """With power for longer the household draws its full use, not only its least."""
    raw = COUPLED | {
        "appliance": [
            appliance("one", 84, 3, 1),
            appliance("two", 60, 3, 2),
            appliance("three", 200, 2, 3, between="18-4"),
        ],
        "grid_former": FORMER | AT_ONCE | {"idle": "4.48 W"},
        "battery": BATTERY | {"modules": 2, "module": "0.81 kWh"},
        "well": WELL | {"yield": "0.0102 L/min"},
        "pump": PUMP | {"wire_to_water": 0.09184585936533295},
        "pressure_tank": {"volume": "138.01 L", "cut_in": "210 kPa", "cut_out": "350 kPa"},
        "water_use": {"per_person": "79.3 L", "minimum_per_person": "15 L"},
        "cistern": {"volume": "4 m^3", "start": 0.31040224578795295},
        "rain": {"roof": "1.51 m²"},
    }
    before, after = (
        failures(hours_of(plan_of(one), 1, greensboro), 120)
        for one in (raw, larger(raw, "battery", 1.25))
    )
    water = OUTCOMES.index("water")
    assert (after[:, water] < before[:, water]).any()
    assert (after[:, 0] >= before[:, 0]).all()  # power itself is not shortened


@pytest.fixture(scope="module")
def demo_days():
    """Days of the demo's homestead for each of its 30 x 365 starts."""

    def days(step=None):
        plan = demo_with(step)
        found = independence.independence_days(hours_of(plan))
        return found[:, :, [OUTCOMES.index(need) for need in plan.failure.counts]].min(axis=2)

    return days


# With shedding and a generator a step up can cost days: more charge keeps comfort loads on for
# longer and the generator off. Measured on the demo's 10,950 starts: (start share, days at most),
# both from our own runs: pins, not validation.
MEASURED_FEWER = dict.fromkeys(STEPS, (0.0, 0)) | {
    "array +10 %": (0.00987, 108),
    "battery +1 module": (0.00768, 116),
    "cistern +20 %": (0.0011, 67),
}


def test_pin_steps_up_from_the_demo_take_days_from_few_starts(demo_days):
    before = demo_days()
    assert before.shape == (30, 365)
    for step in STEPS:
        gained = demo_days(step) - before
        share, most = float((gained < 0).mean()), int(-min(gained.min(), 0))
        print(
            f"{step}: {share:.4%} of starts have fewer days, by {most} at most; "
            f"{float((gained > 0).mean()):.1%} have more; mean {gained.mean():+.2f} days"
        )
        assert share <= MEASURED_FEWER[step][0], step
        assert most <= MEASURED_FEWER[step][1], step
        assert gained.mean() >= 0.0, step
