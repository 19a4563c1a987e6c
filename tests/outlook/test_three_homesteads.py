"""Three homesteads unlike the demo, looked at as a careful neighbor would.

An all-electric house, a cabin with an engine and no battery, and a farm on running water. What is
asserted follows from the plan by reasoning; no figure is our own.
"""

from pathlib import Path

import numpy as np
import pytest
from small_plans import Without

from homestead import units
from homestead.findings.gather import findings_of
from homestead.formulas.warmth.fuels import fuel_energy_wh
from homestead.outlook import run
from homestead.plan import open_plan, with_changes
from homestead.screen.wording import power_means, water_means
from homestead.simulate.inputs import hours_of
from homestead.trades.power import figures
from homestead.vocabulary import NEEDS

PLANS = Path(__file__).resolve().parents[1] / "plans"
YEARS_N = 2
POWER, WATER, WARMTH = (NEEDS.index(need) for need in ("power", "water", "warmth"))
JANUARY, MAY, AUGUST, NOVEMBER = (slice(n, n + 28) for n in (0, 120, 212, 304))


def named(name):
    return open_plan(PLANS / f"{name}.toml")


@pytest.fixture(scope="module")
def electric():
    return run(named("all_electric"), YEARS_N)


@pytest.fixture(scope="module")
def farm():
    return run(named("spring_hydro"), YEARS_N)


def texts(outlook):
    return " ".join(one.said() for one in findings_of(outlook.plan, outlook.hours))


@pytest.mark.parametrize("name", ["all_electric", "generator_cabin", "spring_hydro"])
def test_all_that_goes_in_comes_out(name):
    balance = run(named(name), 1).year.balance
    assert max(balance.values()) < 1e-9


def test_all_electric_winter_is_short_and_summer_long(electric):
    days = electric.days
    # The heat pump empties the battery in the first cold nights; from May on the sun carries it.
    assert np.median(days[:, JANUARY, POWER]) <= 5 < 60 <= np.median(days[:, MAY, POWER])
    # All depends on power: neither water nor warmth outlasts it by more than tanks and walls hold.
    winter = days[:, JANUARY]
    assert (winter[..., WATER] <= winter[..., POWER] + 30).all()
    assert np.median(winter[..., WARMTH] - winter[..., POWER]) <= 10
    # It freezes only in winter: from May rooms stay warm until the first cold after the dark.
    assert np.median(days[:, MAY, WARMTH]) > 90


def test_all_electric_without_the_heat_pump_keeps_its_lights(electric):
    out = Without(electric.plan)
    assert out["the heat pump"]["power"] > out[""]["power"]
    assert out["the heat pump"]["warmth"] <= out[""]["warmth"]
    assert out["the main inverter"]["power"] == 0
    assert out["the well pump"]["water"] <= 3  # what stands in the pressure tank


def test_all_electric_is_told_that_nothing_wakes_the_inverter(electric):
    told = {one.severity: one.said() for one in findings_of(electric.plan, electric.hours)
            if one.about == "AC coupling" and "can't start it again" in one.said()}  # fmt: skip
    assert list(told) == ["warning"] and "you have neither" in told["warning"]


def test_farm_drinks_all_year_and_is_dark_in_late_summer(farm):
    days = farm.days
    assert (days[..., WATER] == 365).all()  # the least flow is 1,152 gal a day, use 100
    assert (days[..., WARMTH] == 365).all()  # 7 cords of oak for a winter of about two
    assert np.median(days[:, AUGUST, POWER]) < 10 < 150 < np.median(days[:, NOVEMBER, POWER])
    # Whenever it starts, it ends in the low water of July to October.
    ends = (np.arange(365) + days[..., POWER]) % 365
    assert (days[..., POWER] < 365).all() and ((ends >= 181) & (ends < 304)).all()


def test_farm_findings_name_the_months(farm):
    told = texts(farm)
    assert "Aug" in told and "less than the essentials and the inverter need" in told
    assert "boil the water then" in told
    assert "can charge it with 0.0 kW" not in told


def test_farm_parts(farm):
    out = Without(farm.plan)
    assert out["the hydro plant"]["power"] <= 3
    # A drum under the pipe stands in for a leaking cistern: the spring still runs.
    assert out["the cistern (leaking)"]["water"] == 365
    # 500 gal at 100 gal a day, and the two dry days that end it.
    assert 5 <= out["the spring (dry or not fit to drink)"]["water"] <= 8


def test_more_brook_or_less_use_mends_the_farm(farm):
    fuller = {"hydro.flow": ["60 gal/min"] * 12}
    plan = with_changes(farm.plan.raw, fuller, folder=farm.plan.folder)
    assert (run(plan, 1).days[..., POWER] == 365).all()
    spare = with_changes(farm.plan.raw, {"cutting_back.on": True}, folder=farm.plan.folder)
    assert run(spare, 1).days[..., POWER].sum() >= run(farm.plan, 1).days[..., POWER].sum()


def test_cutting_back_starts_from_rooms_as_warm_as_ever(farm):
    plan = farm.plan
    spare = with_changes(plan.raw, {"cutting_back.on": True}, folder=plan.folder)
    usual, sparing = hours_of(plan, 1), hours_of(spare, 1)
    assert sparing.fixed.keep_c < usual.fixed.keep_c
    assert sparing.start.inside_c == usual.start.inside_c == plan.house.keep_c


def test_cabin_fuel_goes_stale_and_the_second_tank_steps_in():
    plan = named("generator_cabin")
    fixed = hours_of(plan, 1).fixed
    assert fixed.keeps_days[0] == 150 and fixed.keeps_days[1] == np.inf
    out = Without(plan)
    whole = out[""]
    # The pump lifts by the engine alone: without it the cistern's week, with it the fuel's months.
    assert out["the generator"]["water"] <= 14 < 60 < whole["water"]
    assert out["the gasoline cans (gone bad)"]["water"] < whole["water"]
    # Power by hand: 3 h of idling a day, lights, freezer and washer on top, of both fuels.
    per_w = units.parse("44000 Btu/h", "power") / 3500.0
    burned_wh = 3 * units.parse("18000 Btu/h", "power") + per_w * (3 * 210 + 2 / 7 * 500)
    held_wh = 0.95 * sum(
        float(fuel_energy_wh(fuel, units.parse(amount, "volume")))
        for fuel, amount in (("gasoline", "25 gal"), ("propane", "40 gal"))
    )
    days = held_wh / burned_wh  # the pump takes a hundredth more
    assert 0.97 * days <= whole["power"] <= days + 2
    # Without the engine the lights are out at once; with stale gasoline the gas carries its share.
    assert out["the generator"]["power"] == 0
    gas_wh = 0.95 * float(fuel_energy_wh("propane", units.parse("40 gal", "volume")))
    assert out["the gasoline cans (gone bad)"]["power"] == pytest.approx(
        gas_wh / burned_wh, abs=2.0
    )
    # The stove needs no power: warmth depends on the woodshed alone.
    assert whole["warmth"] == 365 and out["the generator"]["warmth"] == 365
    assert out["the wood stove"]["warmth"] < 10


def test_words_and_figures_of_the_farm_speak_of_water_not_sun(farm):
    told = [power_means(farm, "us"), figures.energy_by_month(farm).alt]
    told += [figures.worst_fortnight(farm).alt]
    assert all("water gives" in text.lower() and "sun" not in text for text in told), told
    assert "If no more runs in" in water_means(farm, "us")
