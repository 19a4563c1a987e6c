"""The chain of failures of a start, against a case that can be followed by hand."""

import pytest
from small_plans import SMALLEST, appliance, plan_of

from homestead import units
from homestead.outlook import run
from homestead.outlook.story import story_of, story_start_text
from homestead.screen.readable import hour_text

# 100 W day and night from an engine that burns 4 W of fuel for each watt; the stove burns it too.
ENGINE = SMALLEST | {
    "appliance": [appliance("light", 100, 24, 1), appliance("games", 50, 24, 3)],
    "generator": {
        "rated": "2 kW", "store": "tank", "no_load_fuel": "0 W", "full_load_fuel": "8 kW",
        "daily_limit": "24 h",
    },
    "cooking": {"store": "tank", "daily": "1 kWh"},
    "fuel": [
        {"name": "tank", "fuel": "diesel", "amount": "10 L", "reserve": 0.0},
        {"name": "spare", "fuel": "diesel", "amount": "5 L", "reserve": 0.0},
    ],
    "failure": {"counts": ["power"]},
}  # fmt: skip


@pytest.fixture(scope="module")
def outlook():
    return run(plan_of(ENGINE))


def test_the_store_goes_then_the_dark_comes_then_the_need_fails(outlook):
    events = {(one.kind, one.about): one for one in story_of(outlook)}
    # Diesel, 137,381 Btu a gallon (U.S. EIA, Units and Calculators): a liquid, which a cold
    # tank gives all of.
    held_wh = 10 * units.parse("137381 Btu", "energy") / units.convert_unit(1.0, "gal", "L")
    lasts_h = held_wh / (4 * 150 + 1000 / 24)
    gone = events["store", "tank"]
    # 1 % left counts as none; meals take their fuel at meal times, not evenly.
    assert 24 * gone.day + gone.hour == pytest.approx(0.99 * lasts_h, abs=2.0)
    assert gone.text == "“tank” runs out. What burns it stops: generator, cooking."
    dark = events["system", "power"]
    assert 24 * dark.day + dark.hour == pytest.approx(lasts_h, abs=2.0)
    failed = events["need", "power"]
    assert failed.day == outlook.homestead.least == dark.day + (24 - dark.hour < 4)
    assert hour_text(failed) == "by the end of the day" and hour_text(gone) == f"{gone.hour:02d}:00"
    assert ("store", "spare") not in events


def test_events_come_in_order_and_the_start_is_told_with_its_date(outlook):
    events = story_of(outlook)
    assert [(one.day, one.hour) for one in events] == sorted((one.day, one.hour) for one in events)
    assert story_start_text(outlook) == "January 1 of weather year 1 of 1"
