"""Closer looks at warmth: shell, a year's need two ways, heaters, cool-down, hot water, cooling."""

import copy
import dataclasses
import math

import numpy as np
import pandas as pd
import pytest
from small_plans import SMALLEST, plan_of

from homestead import units
from homestead.formulas.warmth import fuels, heat
from homestead.outlook.ledger import year_of
from homestead.simulate import heaters
from homestead.simulate.inputs import hours_of
from homestead.simulate.records import COLUMNS
from homestead.trades.warmth import (
    study_cool_down as cool_down,
)
from homestead.trades.warmth import (
    study_hot_water_cooling as hot_water_cooling,
)
from homestead.trades.warmth import (
    study_warmth as warmth,
)

ROUNDING = 1e-9
HEATER = {"name": "burner", "store": "tank", "output": "100 kW", "efficiency": 0.8}
TANK = {"name": "tank", "fuel": "propane", "amount": "900 m^3"}


def bare(weather="greensboro-nc", keep="20 °C", **house):
    """A house without any gain, its thermostat always held, one year of weather."""
    raw = copy.deepcopy(SMALLEST)
    raw["site"] |= {"weather": weather, "years": 1}
    raw["house"] |= {"keep": keep, "per_person": "0 W", **house}
    raw |= {"heater": [HEATER], "fuel": [TANK]}
    return raw


def studied(raw):
    hours = hours_of(plan_of(raw), years_n=1)
    return hours, warmth.delivered_trace(hours)


@pytest.fixture(scope="module")
def demo(shipped_hours):
    return shipped_hours["demo"], warmth.delivered_trace(shipped_hours["demo"])


@pytest.fixture(scope="module")
def coast(shipped_hours):
    return shipped_hours["cold-coast"], warmth.delivered_trace(shipped_hours["cold-coast"])


@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_the_shell_adds_up_to_the_loss_of_the_coupled_hour(shipped_hours, name):
    hours = shipped_hours[name]
    shell = warmth.shell(hours.plan)
    assert shell["share_frac"].sum() == pytest.approx(1.0)
    assert shell["loss_w_k"].sum() == pytest.approx(hours.fixed.loss_w_k, rel=ROUNDING)
    assert shell.index[-1] == warmth.AIR_LEAKS


def test_a_slab_is_taken_by_its_edge_and_an_attic_by_its_share():
    raw = bare()
    raw["envelope"] += [
        {"name": "slab", "area": "60 m²", "r": "0.5 m²·K/W", "kind": "ground", "edge": "100 ft"},
        {"name": "attic", "area": "60 m²", "r": "5 m²·K/W", "kind": "unheated space"},
    ]
    shell = warmth.shell(plan_of(raw))
    # ASHRAE 90.1, table A6.3: 0.73 Btu/(h ft degF), from memory.
    edge_w_k = float(units.convert_unit(73.0, "Btu/h/delta_degF", "W/K"))
    assert shell.loc["slab", "loss_w_k"] == pytest.approx(edge_w_k)
    assert math.isnan(shell.loc["slab", "area_m2"])
    assert shell.loc["attic", "loss_w_k"] == pytest.approx(0.5 * 60 / 5)


# Theory: without gains, and with the thermostat above every hour of the year, nothing is stored
# and no day crosses the base: both ways are loss x the sum of differences. Rounding only.
def test_the_two_ways_agree_where_nothing_can_tell_them_apart():
    hours, trace = studied(bare("sand-point-ak", keep="27 °C"))
    assert hours.column("air_c").max() < 27.0
    need = warmth.year_need(hours, trace)
    assert np.allclose(need.months["base_c"], 27.0)
    by_hand_wh = hours.fixed.loss_w_k * (27.0 - hours.column("air_c")).sum()
    assert need.bridge[warmth.BY_THE_HOUR] == pytest.approx(by_hand_wh, rel=ROUNDING)
    assert need.bridge[warmth.BY_DEGREE_DAYS] == pytest.approx(by_hand_wh, rel=ROUNDING)
    assert need.months["hourly_wh"].to_numpy() == pytest.approx(
        need.months["degree_day_wh"].to_numpy(), rel=ROUNDING
    )


# Theory, no gains, rooms never below the thermostat: heat = loss x sum(inside - outside) + what
# the mass gained >= loss x (degree-days - cooling degree-days), and no hour needs more than
# loss x (thermostat - outside): <= loss x degree-hours. In January the band is narrow.
@pytest.mark.parametrize("mass", ["light", "medium", "heavy"])
def test_the_two_ways_agree_within_the_band_of_theory(mass):
    hours, trace = studied(bare(mass=mass))
    need = warmth.year_need(hours, trace)
    loss, air_c = hours.fixed.loss_w_k, hours.column("air_c")
    for hours_n in (31 * 24, 8760):
        daily_c = air_c[:hours_n].reshape(-1, 24).mean(axis=1)
        below_k = heat.degree_days_k(daily_c, 20.0)
        lowest_wh = loss * 24 * (below_k - heat.cooling_degree_days_k(daily_c, 20.0))
        highest_wh = loss * heat.degree_hours_k(air_c[:hours_n], 20.0)
        hourly_wh = trace.flows["heat_w"][:hours_n].sum()
        assert lowest_wh * (1 - ROUNDING) <= hourly_wh <= highest_wh * (1 + ROUNDING)
        if hours_n < 8760:
            assert highest_wh - lowest_wh < 0.03 * highest_wh  # the band says something
    assert need.months["degree_day_wh"][1] == pytest.approx(
        loss * 24 * heat.degree_days_k(air_c[:744].reshape(-1, 24).mean(axis=1), 20.0)
    )


@pytest.mark.parametrize("place", ["demo", "coast"])
def test_the_bridge_leads_from_one_figure_to_the_other(request, place):
    hours, trace = request.getfixturevalue(place)
    bridge = warmth.year_need(hours, trace).bridge
    assert bridge.iloc[:-1].sum() == pytest.approx(bridge.iloc[-1])
    assert bridge.iloc[-1] == pytest.approx(trace.flows["heat_w"].sum())
    assert bridge["days that cross the base"] >= 0
    assert bridge["warmth that mass carries over"] < 0


def test_more_gains_lower_the_base_and_the_need():
    need = warmth.year_need(*studied(bare()))
    sunny = bare()
    sunny["house"]["per_person"] = "150 W"
    gained = warmth.year_need(*studied(sunny))
    loss_w_k = warmth.loss_w_k(plan_of(sunny))
    assert gained.months["base_c"].to_numpy() == pytest.approx(20.0 - 150.0 / loss_w_k)
    assert gained.bridge[warmth.BY_THE_HOUR] < need.bridge[warmth.BY_THE_HOUR]


def test_gains_by_month_are_those_of_the_coupled_hour(demo):
    hours, trace = demo
    gains = warmth.gains_by_month(hours, trace)
    assert gains.sum() == pytest.approx(trace.flows["gain_w"].sum(), rel=ROUNDING)
    assert list(gains.index) == list(range(1, 13))


def test_design_day_by_hand():
    raw = bare(design="-10 °C")
    raw["heater"] = [
        HEATER | {"name": "stove", "output": "1800 W"},
        HEATER | {"name": "furnace", "output": "5400 W", "electric": "300 W"},
    ]
    day = warmth.design_day(hours_of(plan_of(raw), years_n=1))
    loss_w = (180 / 2 + heat.infiltration_w_k(60 * 2.44, 0.4)) * 30.0
    assert day.is_entered and day.loss_w == pytest.approx(loss_w)
    assert list(day.heaters["needs_power"]) == [False, True]
    assert day.heaters["ratio_frac"].to_numpy() == pytest.approx([1800 / loss_w, 5400 / loss_w])
    assert day.heaters["together_frac"].iloc[-1] == pytest.approx(7200 / loss_w)


def test_design_temperature_comes_from_the_weather_if_it_is_not_entered():
    hours = hours_of(plan_of(bare()), years_n=1)
    day = warmth.design_day(hours)
    air_c = hours.column("air_c")
    # One percent of the hours are colder, to within the one hour between which it lies.
    assert abs((air_c < day.design_c).mean() - 0.01) <= 1.0 / len(air_c)
    assert not day.is_entered
    assert day.coldest_c == air_c.min() < day.design_c


@pytest.mark.parametrize("place", ["demo", "coast"])
def test_heaters_share_out_all_heat_fuel_and_electricity(request, place):
    hours, trace = request.getfixturevalue(place)
    sums = warmth.heaters_by_month(hours, trace).sum()
    assert sums["heat_wh"] == pytest.approx(trace.flows["heat_w"].sum(), rel=ROUNDING)
    assert sums["electric_wh"] == pytest.approx(trace.flows["blower_w"].sum(), rel=ROUNDING)
    hot, cook = hours.plan.hot_water, hours.plan.cooking
    others_wh = trace.flows["hot_water_w"].sum() / hot.efficiency_frac + cook.daily_wh * 365
    assert sums["fuel_wh"] + others_wh == pytest.approx(trace.flows["fuel_w"].sum(), rel=ROUNDING)


def test_a_second_heater_takes_only_what_the_first_leaves():
    raw = bare()
    raw["heater"] = [
        HEATER | {"name": "stove", "output": "1500 W"},
        HEATER | {"name": "second", "efficiency": 0.9},
    ]
    hours, trace = studied(raw)
    table = warmth.heaters_by_month(hours, trace)
    wanted = np.minimum(trace.flows["heat_w"], 1500.0).sum()
    assert table.loc["stove", "heat_wh"].sum() == pytest.approx(wanted)
    assert table.loc[("stove", 7), "running_h"] < table.loc[("stove", 1), "running_h"] <= 744
    second = table.loc["second"]
    assert (second["fuel_wh"] * 0.9).to_numpy() == pytest.approx(second["heat_wh"].to_numpy())


HEAT_PUMP = {
    "name": "heat pump",
    "store": "electricity",
    "output": "9 kW",
    "efficiency": 2.8,
    "mild_output": "10 kW",
    "mild_cop": 3.6,
    "cold_output": "6 kW",
    "cold_cop": 2.2,
    "off_below": "-20 °C",
}


def test_a_heat_pump_follows_the_air():
    heater = plan_of(bare() | {"heater": [HEAT_PUMP]}).heaters[0]
    rated = units.parse("47 °F", "temperature"), units.parse("17 °F", "temperature")
    air_c = np.array([*rated, sum(rated) / 2, 20.0, -20.1])
    assert heaters.cop_of(heater, air_c)[:4] == pytest.approx([3.6, 2.2, 2.9, 3.6])
    # Rated 10 kW in mild air, but no more than the plan's output goes into the rooms.
    assert heaters.limit_w_of(heater, air_c) == pytest.approx([9000, 6000, 8000, 9000, 0])


def still(hours, air_c):
    """The same homestead in unchanging air without sun or people."""
    rows = hours.rows.copy()
    for name, value in (("air_c", air_c), ("sun_gain_w", 0.0), ("people_w", 0.0)):
        rows[:, COLUMNS.index(name)] = value
    return dataclasses.replace(hours, rows=rows)


def test_cool_down_begins_on_the_evening_before_the_coldest_night():
    air_c = np.full(8760, 5.0)
    air_c[24 * 40 + 22 : 24 * 41 + 10] = -15.0
    assert cool_down.coldest_evening(air_c) == 24 * 40 + 18
    air_c[:] = 5.0
    air_c[:12] = -15.0  # the night of New Year: its evening is the last of the year before
    assert cool_down.coldest_evening(air_c) == 24 * 364 + 18


def test_sun_and_people_slow_the_cooling(demo, shipped_hours):
    hours, _ = demo
    found = cool_down.cool_down(hours)
    assert found.hours_to_limit > found.steady_hours_to_limit
    assert found.curve["inside_c"].iloc[0] == pytest.approx(hours.plan.house.keep_c)
    assert not np.any(found.curve["pipes_c"] - found.curve["inside_c"])


def test_pipes_near_outdoors_are_at_risk_sooner():
    inside = plan_of(bare())
    half, open_air = (plan_of(bare(pipes_outside=share)) for share in (0.5, 1.0))
    tau_h = warmth.time_constant_h(inside)
    # Rooms at 20 and air at -20 put pipes halfway at their limit of 0 at once.
    assert cool_down.steady_hours_to_pipes(half, -20.0) == pytest.approx(0.0, abs=1e-9)
    assert cool_down.steady_hours_to_pipes(half, -10.0) == pytest.approx(tau_h * math.log(1.5))
    assert cool_down.steady_hours_to_pipes(inside, -20.0) == pytest.approx(tau_h * math.log(2.0))
    assert cool_down.steady_hours_to_pipes(open_air, -1.0) == 0.0
    assert cool_down.steady_hours_to_pipes(inside, 3.0) == math.inf


def with_hot_water(**entries):
    raw = bare()
    raw["hot_water"] = {"store": "tank", "efficiency": 0.8, "standby": "100 W"} | entries
    return hours_of(plan_of(raw), years_n=1)


def test_hot_water_by_fuel_and_by_electricity():
    by_gas = hot_water_cooling.hot_water_by_month(with_hot_water())
    by_power = hot_water_cooling.hot_water_by_month(
        with_hot_water(store="electricity", efficiency=3.0)
    )
    assert by_gas["standby_wh"].to_numpy() == pytest.approx(2400.0)
    assert by_gas["input_wh"].to_numpy() == pytest.approx(by_gas["draw_wh"] / 0.8 + 3000.0)
    assert by_gas["fuel_amount"].to_numpy() == pytest.approx(
        fuels.fuel_for_heat(by_gas["input_wh"].to_numpy(), "propane", 1.0)
    )
    assert by_power["electric_wh"].to_numpy() == pytest.approx(
        (by_power["draw_wh"] + 2400.0).to_numpy() / 3.0
    )
    assert by_power["fuel_amount"].isna().all() and not by_gas["electric_wh"].any()


def test_preheat_takes_its_share_in_its_months():
    plain = hot_water_cooling.hot_water_by_month(with_hot_water())
    sunny = hot_water_cooling.hot_water_by_month(
        with_hot_water(preheat_by="sun", preheat=0.6, preheat_months="Apr-Sep")
    )
    assert sunny["preheat_wh"][1] == 0 and sunny["input_wh"][1] == plain["input_wh"][1]
    assert sunny["preheat_wh"][6] == pytest.approx(0.6 * plain["draw_wh"][6])
    saved = plain["input_wh"][6] - sunny["input_wh"][6]
    assert saved == pytest.approx(sunny["preheat_wh"][6] / 0.8)
    assert not sunny["preheat_fuel_wh"].any()


def test_a_house_without_hot_water_or_cooling_has_none():
    hours, trace = studied(bare())
    assert not hot_water_cooling.hot_water_by_month(hours).to_numpy().any()
    assert not hot_water_cooling.cooling_by_month(hours, trace).to_numpy().any()


def test_cooling_counts_what_dries_the_air_too(demo):
    hours, trace = demo
    table = hot_water_cooling.cooling_by_month(hours, trace)
    cool = hours.plan.cooling
    total_wh = table["sensible_wh"] + table["latent_wh"]
    assert table["sensible_wh"].sum() == pytest.approx(trace.flows["cooled_w"].sum())
    # SEER is Btu of cooling for each Wh.
    btu = total_wh / units.parse("1 Btu", "energy")
    assert (table["electric_wh"] * cool.seer).to_numpy() == pytest.approx(btu.to_numpy())
    assert table["running_h"][1] == 0 < table["running_h"][7] <= 744
    # Full-load hours are fewer than the hours touched, and give the same heat at full power.
    assert 0 < table["full_load_h"][7] < 0.9 * table["running_h"][7]
    at_full_wh = table["full_load_h"] * cool.capacity_w
    assert at_full_wh.to_numpy() == pytest.approx(total_wh.to_numpy())


def test_damp_air_takes_more_power_than_dry_air_for_the_same_rooms(demo, greensboro):
    def july(humidity_frac):
        hourly = greensboro.hourly.assign(humidity_frac=humidity_frac)
        year = dataclasses.replace(greensboro, hourly=hourly)
        hours = hours_of(demo[0].plan, 1, greensboro, years=[year])
        return hot_water_cooling.cooling_by_month(hours, warmth.delivered_trace(hours)).loc[7]

    dry, damp = july(0.2), july(0.8)
    # On the dampest afternoons the unit is at its limit, and cools the rooms a little less.
    assert 0.96 * dry["sensible_wh"] < damp["sensible_wh"] <= dry["sensible_wh"]
    # In dry air only people's moisture is left; damp air never asks a coil for more than 0.35.
    assert dry["latent_wh"] < 0.2 * dry["sensible_wh"]
    assert dry["latent_wh"] < damp["latent_wh"] <= damp["sensible_wh"] * 0.35 / 0.65 * (1 + 1e-9)
    assert damp["electric_wh"] > dry["electric_wh"]


def test_a_mean_year_is_a_mean_over_years(shipped_hours):
    hours = hours_of(shipped_hours["demo"].plan, years_n=2)
    trace = warmth.delivered_trace(hours)
    months = warmth.year_need(hours, trace).months["hourly_wh"]
    pd.testing.assert_series_equal(
        months, year_of(hours).monthly["heat_w"], check_names=False, check_index_type=False
    )


def test_the_coupled_hour_loses_by_slab_edge_and_attic_too():
    raw = bare()
    raw["envelope"] += [
        {"name": "slab", "area": "60 m²", "r": "1 m²·K/W", "kind": "ground", "edge": "31 m"},
        {"name": "attic", "area": "60 m²", "r": "5 m²·K/W", "kind": "unheated space"},
    ]
    hours = hours_of(plan_of(raw), years_n=1)
    assert warmth.loss_w_k(hours.plan) == pytest.approx(hours.fixed.loss_w_k, rel=ROUNDING)


def test_a_heat_pump_in_the_coupled_year_and_in_the_table_are_the_same():
    raw = bare("sand-point-ak")
    former = {"continuous": "40 kW", "surge": "50 kW", "idle": "0 W", "charger": "1 kW"}
    raw["grid_former"] = former
    raw["fuel"].append({"name": "diesel", "fuel": "diesel", "amount": "900 m^3"})
    raw["generator"] = {
        "rated": "30 kW",
        "store": "diesel",
        "no_load_fuel": "5 kW",
        "full_load_fuel": "90 kW",
        "start_below": 0.9,
        "stop_above": 1.0,
        "daily_limit": "24 h",
    }
    # A light keeps the engine on; for warmth that the burner gives, it would not be started.
    light = {"name": "light", "power": "10 W", "daily_use": "24 h", "priority": 1}
    raw["appliance"] = [light]
    raw["heater"] = [HEAT_PUMP | {"off_below": "-6 °C", "electric": "90 W"}, HEATER]
    hours, trace = studied(raw)
    table = warmth.heaters_by_month(hours, trace)
    electric_w = trace.flows["electric_heat_w"].sum()
    assert table.loc["heat pump", "electric_wh"].sum() == pytest.approx(electric_w, rel=ROUNDING)
    heat_pump = table.loc["heat pump"].sum()
    assert 2.2 < heat_pump["heat_wh"] / heat_pump["electric_wh"] < 3.6
    assert table.loc["burner", "heat_wh"].sum() > 0  # below -6 °C and above what the pump gives


def test_a_coil_takes_wood_for_its_share_of_the_hot_water():
    raw = bare() | {"water_use": {"per_person": "100 L"}}
    raw["fuel"].append({"name": "shed", "fuel": "cordwood", "amount": "900 m^3"})
    raw["heater"] = [HEATER | {"name": "stove", "store": "shed", "efficiency": 0.7}]
    raw["well"] = {"depth": "30 m", "static_level": "5 m", "yield": "20 L/min"}
    raw["by_hand"] = {"source": "well", "flow": "20 L/min", "daily_limit": "24 h"}
    raw["hot_water"] = {
        "store": "tank",
        "efficiency": 0.8,
        "preheat_by": "wood",
        "preheat": 0.5,
        "preheat_heater": "stove",
    }
    hours, trace = studied(raw)
    by_wood = hot_water_cooling.hot_water_by_month(hours)
    heaters = warmth.heaters_by_month(hours, trace)["fuel_wh"].sum()
    burnt_wh = trace.flows["fuel_w"].sum()
    day_wh = burnt_wh - heaters
    days_n = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    delivered = trace.flows["delivered_m3"].sum()
    asked = hours.column("water_least_m3").sum() + hours.column("water_rest_m3").sum()
    whole_wh = ((by_wood["input_wh"] + by_wood["preheat_fuel_wh"]) * days_n).sum()
    standing_wh = hours.plan.hot_water.standby_w / 0.8 * 8760
    # What nobody carries is not warmed: the draw shrinks with the water.
    got_frac = 1.0 - trace.flows["rest_short_m3"].sum() / hours.column("water_rest_m3").sum()
    assert 0 < delivered <= asked * (1 + ROUNDING)
    assert day_wh == pytest.approx(standing_wh + (whole_wh - standing_wh) * got_frac, rel=1e-6)


def test_cool_down_is_the_textbook_curve(shipped_hours):
    hours = still(shipped_hours["demo"], -12.0)
    found = cool_down.cool_down(hours)
    tau_h = warmth.time_constant_h(hours.plan)
    expected = -12.0 + 32.0 * np.exp(-found.curve.index.to_numpy() / tau_h)
    assert found.curve["inside_c"].to_numpy() == pytest.approx(expected, abs=1e-9)
    exact_h = tau_h * math.log(32.0 / 22.0)
    # Linear between whole hours: the chord of an exponential is off by at most tau (1/tau)^2 / 8.
    assert found.hours_to_limit == pytest.approx(exact_h, abs=1.0 / (8 * tau_h) * 1.1)
    assert found.hours_to_pipes_at_risk == pytest.approx(tau_h * math.log(32.0 / 12.0), abs=0.01)
