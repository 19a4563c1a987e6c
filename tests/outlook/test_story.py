"""The chain of failures of a start, against a case that can be followed by hand."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from small_plans import SMALLEST, appliance, plan_of

from homestead import units
from homestead.outlook import run, story
from homestead.outlook.story import is_back, story_of, story_start_text
from homestead.plan import open_plan
from homestead.plan.file import demo_path
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
    assert hour_text(failed) == "by day's end" and hour_text(gone) == f"{gone.hour:02d}:00"
    assert ("store", "spare") not in events


def test_events_come_in_order_and_the_start_is_told_with_its_date(outlook):
    events = story_of(outlook)
    assert [(one.day, one.hour) for one in events] == sorted((one.day, one.hour) for one in events)
    assert story_start_text(outlook) == "January 1 of weather year 1 of 1"


def test_a_need_is_back_after_three_days_with_hardly_an_hour_missing():
    bad = np.zeros(10 * 24)
    bad[2 * 24 : 6 * 24] = 1.0  # days 2 to 5; failed on day 4
    bad[9 * 24] = 1.0  # an hour of a later night: 1 of 72, less than one in twenty
    fixed = SimpleNamespace(cold_below_c=10.0, food_share_frac=0.8, need_kcal=2000.0)
    trace = SimpleNamespace(
        flows=pd.DataFrame({"dark_frac": bad, "least_short_m3": 0.1 * bad}),
        states=pd.DataFrame({"inside_c": 10.0 - bad}),
        food_kcal=pd.DataFrame({"eaten_kcal": 1600.0 - bad}),
    )
    for need in ("power", "water", "warmth", "food"):
        assert [day for day in range(10) if is_back(trace, fixed, need, day, 4)] == [8, 9]


def test_a_chain_says_that_a_need_came_back_before_it_failed_for_good():
    # Twenty cold days, ten mild ones, then cold again; the stove has wood for none of them.
    trace = SimpleNamespace(
        flows=pd.DataFrame({"dark_frac": np.zeros(40 * 24), "least_short_m3": 0.0}),
        states=pd.DataFrame({"inside_c": np.repeat([5.0, 15.0, 5.0], [480, 240, 240])}),
        food_kcal=pd.DataFrame({"eaten_kcal": np.full(40 * 24, 2000.0)}),
    )
    fixed = SimpleNamespace(cold_below_c=10.0, food_share_frac=0.8, need_kcal=2000.0)
    failed = {"power": 365, "water": 365, "warmth": 35, "food": 365}
    bad = {"power": 365, "water": 365, "warmth": 1, "food": 365}
    events = list(story._back(trace, fixed, failed, bad, 40))
    # Days count from 0: warm on days 20, 21 and 22, so back by the end of day 22.
    assert [(one.day, one.about) for one in events] == [(22, "warmth")]
    assert "failed" not in events[0].text


def test_a_chain_says_that_what_failed_came_back(demo_outlook):
    year, day = demo_outlook.worst
    events = {(one.kind, one.about): one for one in story_of(demo_outlook, year, day)}
    failed = events["need", "power"]
    back = [one for one in events.values() if one.text.endswith("It still counts as failed.")]
    assert [one.about for one in back] == ["power"] and back[0].day >= failed.day + 3


@pytest.fixture(scope="module")
def demo_outlook():
    return run(open_plan(demo_path()), 2)
