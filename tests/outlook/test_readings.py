"""Readings: what is refused and why, the prediction they are laid over, corrections that close."""

import datetime

import numpy as np
import pandas as pd
import pytest
from small_plans import ARRAY, BATTERY, FORMER, PUMP, SMALLEST, WELL, appliance, plan_of

from homestead import units
from homestead.outlook import run
from homestead.plan import PlanError, demo_path, open_plan, with_changes
from homestead.questions.readings import WHAT, compare, daily_of, read
from homestead.reference import shipped
from homestead.simulate.inputs import MONTH_OF_DAY

TODAY = datetime.date(2026, 11, 20)
HEAD = "date,what,value,unit\n"
PLACE = SMALLEST | {
    "appliance": [appliance("light", 60, 24, 1), appliance("tools", 200, 4, 1)],
    "array": [ARRAY],
    "grid_former": FORMER | {"idle": "0 W"},
    "battery": BATTERY | {"module": "20 kWh"},
    "well": WELL,
    "pump": PUMP,
    "pipe": {"length": "80 m"},
    "pressure_tank": {"volume": "200 L", "cut_in": "210 kPa", "cut_out": "350 kPa"},
    "heater": [{"name": "stove", "store": "wood", "output": "6 kW", "efficiency": 0.6}],
    "fuel": [{"name": "wood", "fuel": "cordwood", "amount": "20 m^3"}],
}


@pytest.fixture(scope="module")
def outlook():
    return run(plan_of(PLACE), years_n=2)


@pytest.fixture
def written(tmp_path):
    def write(*lines, head=HEAD):
        path = tmp_path / "readings.csv"
        path.write_text(head + "\n".join(lines) + "\n", encoding="utf-8")
        return path

    return write


# --- what can be a reading --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "piece"),
    [
        ("2026-11-03,sun,-3,kWh", "must not be negative"),
        ("2026-11-21,sun,3,kWh", "ahead of today, 2026-11-20"),
        ("2026-11,sun,300,kWh", "ahead of today"),  # the month is not over
        ("2026-11-03,sun,3,gal", "unit must be one of energy, such as kWh"),
        ("2026-11-03,sun,3,", "unit must be one of energy"),
        ("2026-11-03,sunn,3,kWh", "what must be one of sun"),
        ("2026-11-03,sun,three,kWh", "value must be a number"),
        ("2026-11-03,sun,nan,kWh", "unit must be"),
        ("2026-11-31,sun,3,kWh", "date must be a day"),
        ("03.11.2026,sun,3,kWh", "date must be a day"),
        ("1926-11-03,sun,3,kWh", "before 1950"),
        ("2026-11-03,sun,3", "too few"),
        ("2026-11-03,generator hours,25,h", "at most 24 h"),
        ("2026-11-03,battery lowest,120,%", "at most 100 %"),
        ("2026-11-03,inside temperature,200,°F", "no room is"),
    ],
)
def test_what_cannot_be_is_left_out_with_its_line_and_reason(written, line, piece):
    path = written("2026-11-02,sun,4,kWh", line, "2026-11-04,sun,5,kWh")
    table, (refused,) = read(path, TODAY)
    assert refused.line_n == 3
    assert piece in refused.reason
    assert refused.text.startswith(line[:10])
    assert list(table["value"]) == [4000.0, 5000.0]
    assert list(table["line_n"]) == [2, 4]


def test_the_second_of_two_readings_of_a_day_is_left_out(written):
    table, (refused,) = read(
        written("2026-11-03,sun,3,kWh", "2026-11-03,pump,1,kWh", "2026-11-03, Sun ,4,kWh"), TODAY
    )
    assert (refused.line_n, refused.reason) == (4, "was read before, in line 2")
    assert len(table) == 2


def test_readings_come_into_si_whatever_their_unit_column_order_and_comments(written):
    path = written(
        "# the first winter",
        "gal,120,water used,2026-01-02,by the meter",
        "",
        "°F,68,inside temperature,2026-02,",
        head="Unit, Value ,What,Date,note\n",
    )
    table, refused = read(path, TODAY)
    assert refused == ()
    assert table["value"].tolist() == pytest.approx([units.parse("120 gal", "volume"), 20.0])
    assert table["days_n"].tolist() == [1, 28]
    assert table["month_n"].tolist() == [1, 2]


@pytest.mark.parametrize(
    ("content", "piece"),
    [
        (b"", "is empty"),
        (b"date,what,value\n2026-01-02,sun,3\n", "missing: unit"),
        (b'date,what,value,unit\n2026-01-02,"sun,3,kWh\n', "is not a CSV table"),
        (b"\xff\xfe\x00", "is not UTF-8"),
        (b"x" * 5_000_001, "larger than 5 MB"),
    ],
)
def test_a_file_that_is_no_table_is_refused_as_a_whole(tmp_path, content, piece):
    path = tmp_path / "broken.csv"
    path.write_bytes(content)
    with pytest.raises(PlanError, match=piece):
        read(path)
    with pytest.raises(PlanError, match="cannot be read"):
        read(tmp_path / "none.csv")


def test_a_plan_without_the_part_cannot_have_its_readings(written, outlook):
    found = compare(outlook, written("2026-11-03,generator hours,2,h"), TODAY)
    assert found.table.empty and found.by_month.empty and found.corrections == ()
    assert "your plan has no generator hours" in found.refused[0].reason


# --- the prediction ---------------------------------------------------------------------------


def test_the_predicted_days_sum_to_the_year_of_the_outlook(outlook):
    daily, totals = daily_of(outlook.hours), outlook.year.totals
    yearly = {what: days.sum(axis=1).mean() for what, days in daily.items()}
    assert set(daily) <= set(WHAT)
    assert yearly["house use"] == pytest.approx(totals["used_kwh"] * 1000)
    assert yearly["pump"] == pytest.approx(totals["pump_kwh"] * 1000)
    assert yearly["sun"] == pytest.approx((totals["pv_kwh"] - totals["curtailed_kwh"]) * 1000)
    assert yearly["wood used"] == pytest.approx(outlook.year.fuel_used["wood"])
    assert daily["battery lowest"].max() <= 1.0


def test_a_reading_stands_beside_the_mean_day_of_its_calendar_month(written, outlook):
    path = written("2025-12-03,sun,3,kWh", "2025-12-04,sun,5,kWh", "2026-04,sun,99,kWh")
    found = compare(outlook, path, TODAY)
    sun = daily_of(outlook.hours)["sun"]
    december, april = sun[:, MONTH_OF_DAY == 12], sun[:, MONTH_OF_DAY == 4]
    assert found.table["predicted"].tolist() == pytest.approx(
        [december.mean(), december.mean(), april.mean() * 30]
    )
    assert found.table["low"][0] == pytest.approx(np.percentile(december, 10))
    assert (found.table["low"] <= found.table["high"]).all()
    first, second = found.by_month.itertuples()
    assert (first.month_n, first.days_n, first.value) == (12, 2, 4000.0)
    assert first.bias == pytest.approx(4000.0 - december.mean())
    assert (second.month_n, second.days_n, second.value) == (4, 30, pytest.approx(3300.0))
    assert second.bias_frac == pytest.approx(3300.0 / april.mean() - 1)


# --- corrections ------------------------------------------------------------------------------


def lines_from(outlook, what, unit, kind, months):
    """Readings that an outlook itself predicts, one a month of 2025."""
    daily = daily_of(outlook.hours)[what]
    for month in months:
        days = np.count_nonzero(month == MONTH_OF_DAY)
        value = daily[:, month == MONTH_OF_DAY].mean() * days
        written_value = float(units.convert_unit(value, units.KINDS[kind][0], unit))
        yield f"2025-{month:02d},{what},{written_value!r},{unit}"


def test_pump_readings_give_back_the_efficiency_that_made_them(written, outlook):
    true = run(with_changes(outlook.plan.raw, {"pump.wire_to_water": 0.25}), years_n=2)
    path = written(*lines_from(true, "pump", "kWh", "energy", (5, 6)))
    found = compare(outlook, path, TODAY)
    (one,) = found.corrections
    assert one.sets == {"pump.wire_to_water": {"value": 0.25, "basis": "measured"}}
    assert outlook.plan.pump.wire_to_water_frac != 0.25  # nothing was applied
    corrected = run(with_changes(outlook.plan.raw, one.sets), years_n=2)
    (again,) = compare(corrected, path, TODAY).corrections
    assert again.sets == {} and "agrees" in again.text


@pytest.mark.parametrize(
    ("what", "unit", "kind", "sets", "path", "expected"),
    [
        ("water used", "gal", "volume", {"water_use.per_person": "90 L"},
         "water_use.per_person", "90.0 L"),
        ("house use", "kWh", "energy",
         {"appliance.light.power": "90 W", "appliance.tools.power": "300 W"},
         "appliance.tools.power", "300.0 W"),
    ],
)  # fmt: skip
def test_use_is_given_back(written, outlook, what, unit, kind, sets, path, expected):
    true = run(with_changes(outlook.plan.raw, sets), years_n=2)
    if what == "house use":  # nothing was short, or it would be the battery that was read
        assert true.year.totals["unserved_kwh"] == pytest.approx(0.0, abs=1e-6)
    found = compare(outlook, written(*lines_from(true, what, unit, kind, (6, 7))), TODAY)
    (one,) = found.corrections
    value, unit_text = one.sets[path]["value"].split(" ", 1)
    wanted, wanted_unit = expected.split(" ", 1)
    assert float(value) == pytest.approx(float(wanted), rel=0.01) and unit_text == wanted_unit


def test_missing_sun_is_offered_as_dirt_or_as_a_loss_of_its_months(written):
    hungry = {"appliance": [appliance("heavy", 900, 24, 1)], "array": [ARRAY | {"soiling": 0.1}]}
    plan = plan_of(PLACE | hungry)  # uses all sun, so that no full battery hides any
    outlook = run(plan, years_n=1)
    true = run(with_changes(plan.raw, {"array.dc rack.soiling": 0.28}), years_n=1)
    year = written(*lines_from(true, "sun", "kWh", "energy", range(1, 13)))
    (one,) = compare(outlook, year, TODAY).corrections
    assert one.sets["array.dc rack.soiling"]["value"] == pytest.approx(0.28, abs=0.002)
    winter = written(*lines_from(true, "sun", "kWh", "energy", (1, 2)))
    (one,) = compare(outlook, winter, TODAY).corrections
    losses = one.sets["array.dc rack.monthly_loss"]
    assert losses[:2] == pytest.approx([0.2, 0.2], abs=0.002) and losses[2:] == [0.0] * 10
    more = run(with_changes(plan.raw, {"array.dc rack.modules_per_string": 5}), years_n=1)
    path = written(*lines_from(more, "sun", "kWh", "energy", range(1, 13)))
    (one,) = compare(outlook, path, TODAY).corrections
    assert one.sets == {} and "doesn't fit your plan" in one.text  # no dirt below nothing


def test_little_is_not_corrected_and_few_days_offer_nothing(written, outlook):
    same = compare(outlook, written(*lines_from(outlook, "pump", "kWh", "energy", (3,))), TODAY)
    assert same.corrections[0].sets == {}
    assert same.by_month["bias"].abs().max() < 1e-6
    few = compare(outlook, written("2026-03-01,pump,9,kWh"), TODAY)
    assert "too few" in few.corrections[0].text


def test_rooms_kept_cooler_than_entered(written, outlook):
    true = run(with_changes(outlook.plan.raw, {"house.keep": "15 °C"}), years_n=2)
    inside = daily_of(true.hours)["inside temperature"][:, MONTH_OF_DAY == 1].mean()
    (one,) = compare(outlook, written(f"2026-01,inside temperature,{inside},°C"), TODAY).corrections
    kept = units.parse(one.sets["house.keep"]["value"], "temperature")
    assert kept == pytest.approx(15.0, abs=0.6)
    warm = compare(outlook, written("2026-07,inside temperature,40,°C"), TODAY)
    assert warm.corrections[0].sets == {}


def test_wood_gives_back_the_efficiency_of_the_stove(written, outlook):
    true = run(with_changes(outlook.plan.raw, {"heater.stove.efficiency": 0.45}), years_n=2)
    path = written(*lines_from(true, "wood used", "m^3", "volume", (1, 12)))
    (one,) = compare(outlook, path, TODAY).corrections
    assert one.sets["heater.stove.efficiency"]["value"] == pytest.approx(0.45, abs=0.01)


def test_a_surplus_goes_to_what_is_uncertain_and_never_onto_a_label(written):
    """10 W for 24 h labeled, 100 W measured, 50 W guessed: the guess alone takes what is read."""
    sure = [
        {"name": "fridge", "label_year": "365 kWh", "priority": 1},
        appliance("pump house", 1, 24, 1) | {"power": {"value": "30 W", "basis": "measured"}},
    ]
    guess = appliance("gadgets", 1, 10, 2)
    plan = plan_of(
        PLACE
        | {
            "appliance": [
                *sure,
                guess | {"power": {"value": "50 W", "low": "20 W", "high": "200 W"}},
            ]
        }
    )
    outlook = run(plan, years_n=1)
    true = run(with_changes(plan.raw, {"appliance.gadgets.power": "150 W"}), years_n=1)
    path = written(*lines_from(true, "house use", "kWh", "energy", (6, 7)))
    (one,) = compare(outlook, path, TODAY).corrections
    assert list(one.sets) == ["appliance.gadgets.power"]
    watts = float(one.sets["appliance.gadgets.power"]["value"].split()[0])
    assert watts == pytest.approx(150.0, rel=0.02)
    assert "labels and measured figures stay" in one.text
    certain = run(plan_of(PLACE | {"appliance": sure}), years_n=1)
    (one,) = compare(certain, path, TODAY).corrections
    assert one.sets == {} and "isn't on your list" in one.text


GAS = {"name": "gas", "fuel": "propane", "amount": "400 L"}
WOOD = {"name": "wood", "fuel": "cordwood", "amount": "20 m^3"}


@pytest.mark.parametrize(
    ("user", "sets", "path", "expected"),
    [
        ({"hot_water": {"store": "gas", "efficiency": 0.8, "input": "9 kW"}},
         {"hot_water.efficiency": 0.6}, "hot_water.efficiency", 0.6),
        ({"cooking": {"store": "gas", "daily": "2 kWh"}},
         {"cooking.daily": "3 kWh"}, "cooking.daily", 3.0),
        ({"heater": [{"name": "furnace", "store": "gas", "output": "9 kW", "efficiency": 0.9}]},
         {"heater.furnace.efficiency": 0.7}, "heater.furnace.efficiency", 0.7),
    ],
)  # fmt: skip
def test_a_fuel_with_one_user_is_compared(written, user, sets, path, expected):
    plan = plan_of(PLACE | {"fuel": [GAS, WOOD]} | user)
    outlook = run(plan, years_n=1)
    true = run(with_changes(plan.raw, sets), years_n=1)
    (one,) = compare(
        outlook, written(*lines_from(true, "propane used", "gal", "volume", (1, 2))), TODAY
    ).corrections
    value = one.sets[path]["value"]
    value = float(value.split()[0]) if isinstance(value, str) else value
    assert value == pytest.approx(expected, rel=0.02)


def test_a_fuel_with_two_users_says_to_read_them_one_by_one(written):
    both = {
        "hot_water": {"store": "gas", "efficiency": 0.8},
        "cooking": {"store": "gas", "daily": "2 kWh"},
    }
    outlook = run(plan_of(PLACE | {"fuel": [GAS, WOOD]} | both), years_n=1)
    (one,) = compare(outlook, written("2026-01,propane used,90,gal"), TODAY).corrections
    assert one.sets == {} and "several users" in one.text


def test_the_sample_of_the_demo_has_two_lines_that_cannot_be():
    outlook = run(open_plan(demo_path()), years_n=2)
    found = compare(outlook, shipped("data", "demo", "readings.csv"), TODAY)
    assert [one.line_n for one in found.refused] == [14, 31]
    assert len(found.table) == 27
    assert set(found.table["what"]) == {one.what for one in found.corrections}
    assert isinstance(found.by_month, pd.DataFrame)
    assert any(one.sets for one in found.corrections)


def test_days_within_a_month_that_was_read_as_a_whole_count_once(written):
    path = written("2025-11-03,pump,1.2,kWh", "2025-11,pump,40,kWh", "2025-12-03,pump,1.3,kWh")
    table, refused = read(path)
    assert table["date"].tolist() == ["2025-11", "2025-12-03"]
    assert [(one.line_n, one.reason) for one in refused] == [
        (2, "is in the month's own reading, in line 3, and counts once")
    ]
