"""Hours of work: by hand from what the simulation burns, runs and carries."""

import numpy as np
import pytest
from small_plans import BATTERY, FORMER, SMALLEST, appliance, plan_of

from homestead.outlook import run
from homestead.outlook.work import as_dict, daily_work, hours_had, work_of
from homestead.screen import work as shown
from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import trace_of

PEOPLE = [
    {"name": "Ada", "age": 41, "sex": "female"},
    {"name": "Ben", "age": 71, "sex": "male"},
    {"name": "Cleo", "age": 13, "sex": "female"},
    {"name": "Dan", "age": 8, "sex": "male"},
    {"name": "Eve", "age": 3, "sex": "female"},
]
HOUSE = SMALLEST | {
    "person": PEOPLE,
    "appliance": [appliance("light", 100, 24, 1)],
    "grid_former": FORMER,
    "battery": BATTERY,
    "heater": [{"name": "stove", "store": "shed", "output": "6 kW", "efficiency": 0.7}],
    "fuel": [
        {"name": "shed", "fuel": "cordwood", "amount": "30 m^3", "reserve": 0.0},
        {"name": "drum", "fuel": "diesel", "amount": "500 L", "reserve": 0.0},
    ],
    "generator": {
        "rated": "3 kW", "store": "drum", "no_load_fuel": "2 kW", "full_load_fuel": "9 kW",
    },
}  # fmt: skip
GARDEN = {
    "garden": {"area": "100 m^2", "months": "May-Sep"},
    "cistern": {"volume": "5000 L"},
    "crop": [
        {"name": "beds", "food": "potatoes", "area": "60 m^2", "harvest": "100 kg",
         "eaten": "Jul-Oct", "picked": "Aug", "preserved": 0.31},
    ],
}  # fmt: skip


@pytest.fixture(scope="module")
def outlook():
    return run(plan_of(HOUSE), years_n=1)


def test_people_do_what_their_age_allows_or_what_the_plan_says(outlook):
    assert [hours_had(one) for one in outlook.plan.people] == [8.0, 4.0, 3.0, 1.0, 0.0]
    raw = HOUSE | {"person": [PEOPLE[0] | {"work": "2.5 h"}, *PEOPLE[1:]]}
    assert hours_had(plan_of(raw).people[0]) == 2.5
    assert outlook.work.had_h == 16.0


def test_fire_kitchen_and_generator_by_hand(outlook):
    """2 h a cord carried, 0.5 h a day with a fire; 1.5 h and 0.45 h a person; 0.1 h an hour."""
    trace = trace_of(outlook.hours, 0, 60)
    daily = daily_work(outlook.hours, trace)
    left_wh = np.concatenate([outlook.hours.fuel_start_wh[:1], trace.fuel_wh[23::24, 0]])
    per_cord_wh = outlook.hours.fuel_start_wh[0] / 30.0 * 3.624556  # m³ in a cord, 128 ft³
    cords = -np.diff(left_wh) / per_cord_wh
    assert cords.max() > 0.005
    expected = 2.0 * cords + 0.5 * (cords > 0)
    assert daily["fire"].to_numpy() == pytest.approx(expected, rel=1e-6)
    assert daily["kitchen and washing"].to_numpy() == pytest.approx(1.5 + 5 * 0.45)
    runs_h = trace.flows["generator_h"].to_numpy().reshape(60, 24).sum(axis=1)
    assert runs_h.max() > 0
    assert daily["generator"].to_numpy() == pytest.approx(0.25 * (runs_h > 0) + 0.1 * runs_h)


def test_wood_burned_is_cut_again_in_spring(outlook):
    """8 h a cord in March to May, over the year as many cords as were burned."""
    by_month = outlook.work.by_month
    wood = by_month["wood for next winter"]
    assert (wood[[1, 2, 6, 7, 8, 9, 10, 11, 12]] == 0).all() and (wood[[3, 4, 5]] > 0).all()
    fire_h = by_month["fire"] * [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    assert wood[3] * 92 < 4 * fire_h.sum()  # 8 h a cord beside 2 h and the tending


def test_garden_and_jars_by_hand():
    """0.1 h/m² a week in the beds; 31 kg put up at 0.3 h each in August."""
    by_month = run(plan_of(HOUSE | GARDEN), years_n=1).work.by_month
    assert by_month["garden"][6] == pytest.approx(100 * 0.1 / 7)
    assert by_month["garden"][1] == 0.0
    assert by_month["putting up"][8] == pytest.approx(31 * 0.3 / 31)
    assert by_month["putting up"].drop(8).max() == 0.0


def test_water_by_hand_takes_as_long_as_the_pump_is_worked():
    raw = SMALLEST | {
        "well": {"depth": "20 m", "static_level": "5 m", "yield": "20 L/min"},
        "by_hand": {"source": "well", "flow": "10 L/min", "daily_limit": "3 h"},
    }
    hours = hours_of(plan_of(raw), 1)
    trace = trace_of(hours, 0, 3)
    carried_l = 1000.0 * trace.flows["delivered_m3"].to_numpy().reshape(3, 24).sum(axis=1)
    assert carried_l.min() > 10.0
    assert daily_work(hours, trace)["water by hand"].to_numpy() == pytest.approx(carried_l / 600.0)


def test_too_few_hands_are_told_with_the_day_and_the_months():
    raw = HOUSE | GARDEN
    few = raw | {"person": [one | {"work": "1 h"} for one in PEOPLE]}
    outlook = run(plan_of(few), years_n=1)
    work = outlook.work
    assert work.had_h == pytest.approx(5.0)
    assert (work.short_frac[[4, 7]] > 0).all()
    assert "more work than hands" in shown.words(work)
    none = raw | {"person": [one | {"work": "0.5 h"} for one in PEOPLE]}
    work = run(plan_of(none), years_n=1).work
    assert work.first_short == 0 and "on day 1" in shown.words(work)


def test_one_grown_up_in_bed(outlook):
    """Ada has 8 of 16 hours; two go to her care: six are left."""
    ada = next(one for one in outlook.work.ill if one.name == "Ada")
    hours = outlook.hours
    whole = work_of(outlook)
    assert [one.name for one in whole.ill] == ["Ada", "Ben"]
    asked = outlook.work.asked_h.max()
    assert ada.short_h >= max(asked - 6.0, 0.0) and hours.years_n == 1
    assert as_dict(whole)["one_adult_ill"][0]["name"] == "Ada"
    assert "in bed for 2 weeks" in shown.words(whole)


def test_table_and_words_hold_the_same_figures(outlook):
    table = shown.table(outlook.work)
    assert table["Needed (h a day)"].astype(float).to_numpy() == pytest.approx(
        outlook.work.asked_h, abs=0.051
    )
    assert (
        table.iloc[:, 2:].astype(float).sum(axis=1) - table.iloc[:, 0].astype(float)
    ).abs().max() < 0.3
    assert f"you have {outlook.work.had_h:.0f} h" in shown.words(outlook.work)
