"""Tables for readers: units in headers, numbers of the outlook, both unit systems."""

import inspect

import numpy as np
import pandas as pd
import pytest

from homestead import units
from homestead.outlook import run
from homestead.plan import open_plan
from homestead.plan.file import demo_path
from homestead.screen import findings, notes, readable, tables
from homestead.simulate import fuel_stores
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.trades.warmth import tables as warmth_tables
from homestead.trades.water import tables as water_tables


@pytest.fixture(scope="module")
def outlook():
    return run(open_plan(demo_path()), years_n=2)


@pytest.fixture(scope="module")
def cabin():
    return run(open_plan(demo_path().parent.parent / "cabin" / "plan.toml"), years_n=1)


def _made(name, outlook, units_name):
    table = getattr(tables, name)
    given = {"plan": outlook.plan, "outlook": outlook, "units": units_name}
    return table(*[given[one] for one in inspect.signature(table).parameters])


@pytest.mark.parametrize("units_name", ["us", "metric"])
@pytest.mark.parametrize("name", tables.__all__)
def test_every_table_is_a_named_frame_in_both_unit_systems(outlook, cabin, name, units_name):
    for one in (outlook, cabin):
        table = _made(name, one, units_name)
        assert isinstance(table, pd.DataFrame)
        assert table.index.name
        assert not table.isna().any(axis=None)


@pytest.mark.parametrize("name", tables.__all__)
def test_no_unit_of_the_other_system_is_shown(outlook, name):
    text = {one: _made(name, outlook, one).to_string() for one in ("us", "metric")}
    if "units" not in inspect.signature(getattr(tables, name)).parameters:
        return
    for foreign in ("(L/day)", "(m²)", "(kg)", "°C", "(W/K)"):
        assert foreign not in text["us"]
    for foreign in ("gal", "(ft", "(lb)", "°F", "Btu", "cords"):
        assert foreign not in text["metric"]


def test_an_unknown_unit_system_is_told(outlook):
    with pytest.raises(ValueError, match='must be "us" or "metric"; got "imperial"|imperial'):
        tables.heat_by_month(outlook, "imperial")
    with pytest.raises(ValueError, match="imperial"):
        tables.days_of_independence(outlook, "imperial")


def test_days_equal_the_outlook(outlook):
    table = tables.days_of_independence(outlook)
    assert list(table.index) == ["power", "water", "warmth", "food", "homestead"]
    for need, spread in outlook.needs.items():
        shown = table.loc[need, tables.FEWEST]
        assert shown == ("365+" if spread.least >= 365 else spread.least)
    assert table.loc["homestead", tables.NINE_OF_TEN] == outlook.homestead.p10


def test_first_need_by_month_counts_starts(outlook):
    # The need of most starts, counted here one start at a time.
    days = {need: outlook.days_of(need) for need in outlook.plan.failure.counts}
    for month, found in enumerate(tables.first_need_by_month(outlook), start=1):
        times = dict.fromkeys([*days, "none"], 0)
        for year in range(outlook.days.shape[0]):
            for start in np.flatnonzero(month == MONTH_OF_DAY):
                together = outlook.together[year, start]
                if together >= outlook.horizon_days:
                    times["none"] += 1
                    continue
                for need, values in days.items():
                    times[need] += values[year, start] == together
        assert times[found] == max(times.values())


def test_energy_months_add_up_to_the_year(outlook):
    table = tables.energy_by_month(outlook)
    total = float((table["Sun available (kWh/day)"] * tables.DAYS_OF_MONTH).sum())
    # Each month is shown to 0.1 kWh a day, so a year can be off by half of that a day.
    assert total == pytest.approx(outlook.year.totals["pv_kwh"], abs=0.05 * 365)


def test_shell_and_leaks_make_the_whole_house(outlook):
    table = warmth_tables.shell(outlook.plan)
    loss = table[readable.head("Loss", "heat_loss", "us")]
    # Rounded to whole units, so each part may be off by a half.
    assert loss.iloc[:-1].sum() == pytest.approx(loss.iloc[-1], abs=0.5 * len(loss))
    # By hand: 1650 ft² at R-14 lose 1650 / 14 = 117.9 Btu/h·°F.
    assert loss["walls"] == 118


def test_pump_head_by_hand(outlook):
    head = water_tables.head_by_part(water_tables.study_of(outlook))["Head (ft)"]
    # 62 ft to water and 12 ft of rise; 50 psi is 115.3 ft of water (2.307 ft per psi at 62 °F,
    # as printed in pump handbooks, from memory; 0.3 ft wider, for the density taken).
    assert head["lift at rest"] == 74.0
    assert head["pressure"] == pytest.approx(115.3, abs=0.3)
    assert head.iloc[:-1].sum() == pytest.approx(head.iloc[-1], abs=0.05 * len(head))


def test_people_follow_the_published_need(outlook):
    # Dietary Guidelines for Americans 2020-2025, table A2-2 (from memory): a man of 41 to 45,
    # active, needs 2,800 kcal.
    assert tables.people(outlook.plan).loc["Father", "Energy need (kcal/day)"] == 2800


def test_fuel_in_the_plans_own_units(outlook):
    table = tables.fuel_stores(outlook, "us")
    assert table.loc["woodshed", "In store"] == "5 cords"
    metric = tables.fuel_stores(outlook, "metric")
    assert metric.loc["woodshed", "In store"].endswith("m³ stacked")


def test_fuel_by_month_adds_up_to_the_year(outlook):
    daily_wh = tables.fuel_daily_wh(outlook)
    yearly = (daily_wh * tables.DAYS_OF_MONTH[:, None]).sum(axis=0)

    for number, fuel in enumerate(outlook.plan.fuels):
        used = outlook.year.fuel_used[fuel.name] * fuel_stores.fuel_wh_per_unit(fuel)
        assert yearly[number] == pytest.approx(used, rel=1e-9)


def test_water_stores_without_power(outlook):
    table = tables.water_stores(outlook.plan, outlook)
    holds = table["Holds (gal)"]
    assert holds["cistern"] == 2500
    assert table.loc["well, above the pump", "Reached without power"] == "no"
    dark = holds["cistern"] + holds["pressure tank, usable"]
    assert holds["all, without power"] == pytest.approx(dark, abs=1)


def test_assumptions_are_in_words(outlook):
    table = tables.assumptions(outlook.plan)
    assert len(table) == len(outlook.plan.assumptions)
    row = table.loc["well: tested yield"]
    assert row.to_list() == ["4.5 gal/min", "3 gal/min", "5 gal/min", "measured"]
    wood = table.loc["woodshed: in store"]
    assert wood["Value"] == "5 cords"


def test_failure_rules_show_the_plans_limits(outlook):
    rules = tables.failure_rules(outlook.plan)["Fails when"]
    assert "4 hours" in rules["power"]
    assert "1 gal" in rules["water"]
    assert "50 °F" in rules["warmth"] and "6 hours" in rules["warmth"]
    assert "80 %" in rules["food"] and "7 days" in rules["food"]
    metric = tables.failure_rules(outlook.plan, "metric")["Fails when"]
    assert "10 °C" in metric["warmth"]


def test_food_shares(outlook):
    table = tables.food_by_month(outlook)
    both = table["Garden and orchard (kcal/day)"] + table["Animals (kcal/day)"]
    share = both / table["Household needs (kcal/day)"] * 100
    assert np.abs(share - table["Share from the land (%)"]).max() <= 0.51


def test_story_is_in_order(outlook):
    table = tables.story(outlook)
    assert len(table) and table.index.is_monotonic_increasing
    assert table.index.min() >= 1
    assert not table.reset_index()[["Day", "When"]].duplicated().any()


def test_rounding_keeps_about_three_digits():
    assert readable.rounded([1234.6, 0.4]).tolist() == [1235, 0]
    assert readable.rounded([12.34]).tolist() == [12.3]
    assert readable.column([67.056], "length").tolist() == [220]
    assert readable.about(units.parse("126770 gal", "volume"), "volume") == "127,000 gal"
    assert readable.percent(0.9999) == "over 99 %"


def test_months_in_words():
    assert readable.months_text((11, 12, 1, 2)) == "Nov–Feb"
    assert readable.months_text((1, 6, 7)) == "Jan, Jun–Jul"


def test_the_weather_is_told_plainly_and_its_file_folded(outlook):
    shown = notes.weather(outlook)
    text = repr(shown)
    assert text.startswith("Weather at Greensboro")
    assert ": 2 possible years drawn from one typical year, with dark and cold spells" in text
    assert "A real winter can still be worse" in text and ".CSV" not in text
    html = shown._repr_html_()
    assert ".CSV" in html.split("<details>")[1] and ".CSV" not in html.split("<details>")[0]


def test_findings_name_who_decides_by_their_subject(outlook):
    for subject, words in (
        (findings.WARMTH, "licensed trades decide"),
        (findings.FOOD, "extension office"),
        (findings.WIRES, "licensed electrician decide"),
    ):
        first = findings.Findings(outlook, (subject,))._repr_html_().split("</p>")[0]
        assert words in first
