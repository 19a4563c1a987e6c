"""Fuel stores: who burns, the level through a normal year, propane in the cold, wood, cost."""

import copy
import math

import numpy as np
import pytest
from small_plans import SMALLEST, plan_of

from homestead import units
from homestead.formulas.warmth import fuels
from homestead.outlook.ledger import year_of
from homestead.simulate.inputs import hours_of
from homestead.trades.warmth import study_fuel as fuel
from homestead.trades.warmth import study_warmth as warmth

KWH = units.parse("1 kWh", "energy")


def with_tank(**entries):
    """A furnace, a water heater and a cooker on one propane tank, and a spare store of pellets."""
    raw = copy.deepcopy(SMALLEST)
    raw["site"]["record_low"] = "-20 °C"
    raw["heater"] = [{"name": "furnace", "store": "gas", "output": "8 kW", "efficiency": 0.8}]
    raw["hot_water"] = {"store": "gas", "input": "9 kW", "efficiency": 0.8}
    raw["cooking"] = {"store": "gas", "daily": "4 kWh", "input": "4 kW"}
    tank = {"name": "gas", "fuel": "propane", "amount": "300 gal", "tank": "500 gal"}
    raw["fuel"] = [tank | entries, {"name": "pellets", "fuel": "pellets", "amount": "1000 kg"}]
    return raw


@pytest.fixture(scope="module")
def demo(shipped_hours):
    return shipped_hours["demo"], warmth.delivered_trace(shipped_hours["demo"])


def test_users_and_their_peaks_by_hand():
    users = fuel.users(plan_of(with_tank())).set_index("user")
    assert dict(users["peak_w"]) == {
        "furnace": pytest.approx(10_000.0),
        "hot water": 9000.0,
        "cooking": 4000.0,
    }
    assert set(users["fuel"]) == {"propane"}


def test_use_by_month_is_the_use_of_the_year(demo):
    hours, trace = demo
    used = fuel.used_by_month(hours, trace)
    assert dict(used.sum()) == pytest.approx(year_of(hours).fuel_used, rel=1e-9)


def test_every_month_of_the_ledger_closes(demo):
    hours, trace = demo
    table = fuel.ledger(hours, trace)
    ends = table["start_amount"] + table["delivered_amount"] - table["used_amount"]
    assert table["end_amount"].to_numpy() == pytest.approx(ends.to_numpy(), abs=1e-12)
    wanted = table["used_amount"] + table["short_amount"]
    assert table["wanted_amount"].to_numpy() == pytest.approx(wanted.to_numpy())
    for _, months in table.groupby(level="store"):
        assert list(months["start_amount"][1:]) == list(months["end_amount"][:-1])
    assert (table[["used_amount", "short_amount", "delivered_amount"]] >= 0).to_numpy().all()


def level_of(store="gas", **entries):
    hours = hours_of(plan_of(with_tank(**entries)), years_n=1)
    return fuel.ledger(hours, warmth.delivered_trace(hours)).loc[store], hours.plan.fuels[0]


def test_without_deliveries_the_store_only_falls():
    months, tank = level_of()
    assert (months["delivered_amount"] == 0).all()
    assert (np.diff(months["end_amount"]) <= 0).all()
    assert months["end_amount"].min() >= tank.reserve_frac * tank.amount * (1 - 1e-9)


def test_a_delivery_comes_in_its_month_and_never_overfills():
    plain, _ = level_of()
    months, tank = level_of(delivery_months="Mar", delivery_amount="400 gal")
    came = months["delivered_amount"]
    assert came[came > 0].index.tolist() == [3]
    room_m3 = 0.8 * tank.tank_m3 - plain.loc[2, "end_amount"]
    assert came[3] == pytest.approx(min(room_m3, units.parse("400 gal", "volume")))
    assert (months["end_amount"] <= 0.8 * tank.tank_m3).all()


def test_a_delivery_without_amount_fills_up_to_what_is_entered():
    months, tank = level_of(delivery_months="Apr, Oct")
    for month in (4, 10):
        filled = months.loc[month, "start_amount"] + months.loc[month, "delivered_amount"]
        assert filled == pytest.approx(tank.amount)


def test_the_first_low_month_is_told():
    hours = hours_of(plan_of(with_tank(amount="60 gal")), years_n=1)
    table = fuel.ledger(hours, warmth.delivered_trace(hours))
    first = fuel.first_low_months(table)
    assert first["pellets"] is None
    low = table.loc["gas", "end_amount"] < 0.25 * units.parse("60 gal", "volume")
    assert first["gas"] == low.idxmax() and low.any()


def test_a_propane_tank_in_the_cold():
    plan = plan_of(with_tank(tank_diameter="37.5 in", tank_length="119 in"))
    tank = fuel.propane_tanks(plan).loc["gas"]
    assert tank["fill_frac"] == pytest.approx(0.6)
    assert tank["peak_w"] == pytest.approx(23_000.0)
    assert tank["full_m3"] == pytest.approx(units.parse("400 gal", "volume"))
    assert tank["usable_m3"] == pytest.approx(units.parse("285 gal", "volume"))
    assert tank["share_frac"] == pytest.approx(tank["boil_off_record_low_w"] / 23_000.0)
    # Servicemen's rule, from memory: D x L x 100 Btu/h at 60 % full and 0 degF; half at -10 degF.
    at_zero = units.parse(f"{37.5 * 119 * 100} Btu/h", "power")
    raw = with_tank(tank_diameter="37.5 in", tank_length="119 in")
    raw["site"]["record_low"] = "-10 °F"
    assert fuel.propane_tanks(plan_of(raw)).loc["gas", "boil_off_record_low_w"] == pytest.approx(
        0.5 * at_zero
    )
    assert math.isnan(tank["design_c"]) and not tank["is_usual_size"]


def test_a_lower_tank_boils_off_less_and_bottles_without_size_are_left_out():
    full, low = (
        fuel.propane_tanks(plan_of(with_tank(amount=amount))).loc["gas"]
        for amount in ("300 gal", "100 gal")
    )
    assert low["boil_off_record_low_w"] < full["boil_off_record_low_w"]
    assert full["low_boil_off_w"] < full["boil_off_record_low_w"]
    raw = with_tank()
    del raw["fuel"][0]["tank"]
    assert len(fuel.propane_tanks(plan_of(raw))) == 0


def test_cordwood_by_species_and_moisture():
    raw = copy.deepcopy(SMALLEST)
    wood = {"name": "shed", "fuel": "cordwood", "amount": "2 cords"}
    raw["fuel"] = [
        wood | {"species": ["white oak", "white ash"]},
        wood | {"name": "green", "species": ["white oak"], "moisture": 0.4},
        wood | {"name": "mixed"},
    ]
    table = fuel.cordwood(plan_of(raw)).set_index(["store", "species"])
    dry = table.loc[("shed", "white oak")]
    assert dry["wh_per_cord"] == pytest.approx(fuels.cordwood_wh_per_cord("white oak"))
    assert table.loc[("green", "white oak"), "wh_per_cord"] < dry["wh_per_cord"]
    assert table.loc[("green", "white oak"), "air_dry_wh_per_cord"] == pytest.approx(
        dry["wh_per_cord"]
    )
    assert ("mixed", fuel.MEAN_WOOD) in table.index


# Derived: $3.00 a gallon of 91,452 Btu at 80 % is 3.00 / (26.802 kWh x 0.8).
def test_cost_of_heat_where_a_price_is_entered():
    table = fuel.cost_of_heat(plan_of(with_tank(price="$3.00", price_amount="1 gal")))
    gallon_kwh = units.parse("91452 Btu", "energy") / KWH
    assert set(table["user"]) == {"furnace", "hot water"}
    assert table["cost_per_kwh_money"].to_numpy() == pytest.approx(3.0 / (gallon_kwh * 0.8))
    assert len(fuel.cost_of_heat(plan_of(with_tank()))) == 0
