"""Entries about warmth: read into SI, defaults that change nothing, and the rules between them."""

import copy
import tomllib

import pytest

from homestead import reference, units
from homestead.plan.currency import sign_of
from homestead.plan.schema import read_plan

with reference.shipped("data", "demo", "plan.toml").open("rb") as file:
    DEMO = tomllib.load(file)

# An older plan: none of what came with the ledger of fuel.
LATER = ("delivery_months", "delivery_amount", "low_below", "price", "price_amount", "moisture")
for store in DEMO["fuel"]:
    for entry in LATER:
        store.pop(entry, None)
STORES = [one["name"] for one in DEMO["fuel"]]
WOOD, PROPANE = STORES.index("woodshed"), STORES.index("propane tank")
HEAT_PUMP = {
    "name": "heat pump",
    "store": "electricity",
    "output": "10 kW",
    "efficiency": 2.8,
    "mild_output": "10 kW",
    "mild_cop": 3.6,
    "cold_output": "6 kW",
    "cold_cop": 2.2,
}


def changed(key, number=None, /, **entries):
    raw = copy.deepcopy(DEMO)
    (raw[key] if number is None else raw[key][number]).update(entries)
    return raw


def plan_of(raw):
    plan, faults = read_plan(raw)
    assert not faults, faults
    return plan


def messages_of(raw):
    plan, faults = read_plan(raw)
    assert plan is None
    return {fault.where: fault.message for fault in faults}


def test_a_plan_without_the_entries_reads_as_before():
    plan = plan_of(DEMO)
    assert {part.kind for part in plan.envelope} == {"outside"}
    assert plan.house.design_c is None and plan.cooling.sensible_frac is None
    assert not any(heater.is_heat_pump_by_air for heater in plan.heaters)
    assert all(fuel.delivery_months == () and fuel.price_money is None for fuel in plan.fuels)
    assert (plan.hot_water.preheat_by, plan.hot_water.preheat_frac) == ("nothing", 0.0)


def test_entries_are_read_into_si():
    raw = changed(
        "fuel",
        PROPANE,
        delivery_months="Sep, Jan",
        delivery_amount="250 gal",
        price="$3.10",
        price_amount="1 gal",
        tank_diameter="37.5 in",
        tank_length="119 in",
        tank_distance="12 ft",
    )
    raw["fuel"][WOOD]["moisture"] = "28 %"
    raw["house"]["design"] = "12 °F"
    raw["heater"].append(HEAT_PUMP)
    plan = plan_of(raw)
    tank = plan.fuels[PROPANE]
    assert tank.delivery_months == (9, 1)
    assert tank.delivery_amount == pytest.approx(units.parse("250 gal", "volume"))
    assert tank.price_money == pytest.approx(3.1)
    assert tank.tank_distance_m == pytest.approx(units.parse("12 ft", "length"))
    assert plan.fuels[WOOD].moisture_frac == pytest.approx(0.28)
    assert plan.house.design_c == pytest.approx(units.parse("12 °F", "temperature"))
    assert plan.heaters[-1].is_heat_pump_by_air


@pytest.mark.parametrize(
    ("raw", "where", "words"),
    [
        (changed("fuel", WOOD, delivery_months="Sep", delivery_amount="2000 lb"),
         ("fuel", WOOD, "delivery_amount"), "must be a volume"),
        (changed("fuel", PROPANE, price="$3"), ("fuel", PROPANE, "price"), "price_amount"),
        (changed("fuel", PROPANE, delivery_amount="200 gal"),
         ("fuel", PROPANE, "delivery_months"), "when"),
        (changed("fuel", PROPANE, tank_length="3 m"),
         ("fuel", PROPANE, "tank_diameter"), "tank_length"),
        (changed("fuel", PROPANE, moisture=0.3), ("fuel", PROPANE, "moisture"), "cordwood"),
        (changed("fuel", WOOD, moisture=0.7), ("fuel", WOOD, "moisture"), "0 to 0.6"),
        (changed("envelope", 0, edge="30 m"), ("envelope", 0, "edge"), "ground"),
        (changed("envelope", 3, kind="unheated space"), ("envelope", 3, "solar_gain"), "outside"),
        (changed("envelope", 0, kind="moon"), ("envelope", 0, "kind"), "one of"),
        (changed("hot_water", preheat=0.4), ("hot_water", "preheat_by"), "go together"),
        (changed("hot_water", preheat_by="sun"), ("hot_water", "preheat_by"), "go together"),
        (changed("hot_water", preheat_by="wood", preheat=0.3),
         ("hot_water", "preheat_heater"), "wood stove"),
        (changed("hot_water", preheat_by="wood", preheat=0.3, preheat_heater="propane furnace"),
         ("hot_water", "preheat_heater"), "propane furnace"),
        (changed("hot_water", preheat_by="sun", preheat=0.3, preheat_heater="wood stove"),
         ("hot_water", "preheat_heater"), "only"),
        (changed("cooling", sensible=0.2), ("cooling", "sensible"), "0.4 to 1"),
    ],
)  # fmt: skip
def test_a_wrong_entry_is_told_with_its_place(raw, where, words):
    assert words in messages_of(raw)[where]


def test_a_heat_pump_needs_all_four_figures_and_electricity():
    raw = copy.deepcopy(DEMO)
    raw["heater"].append({k: v for k, v in HEAT_PUMP.items() if k != "cold_cop"})
    assert "cold_cop" in messages_of(raw)[("heater", 2)]
    raw = copy.deepcopy(DEMO)
    raw["heater"].append(HEAT_PUMP | {"store": "propane tank", "efficiency": 0.9})
    assert "electricity" in messages_of(raw)[("heater", 2, "store")]


def test_a_fault_elsewhere_makes_no_false_fault_about_the_coil():
    raw = changed("hot_water", preheat_by="wood", preheat=0.3, preheat_heater="wood stove")
    assert plan_of(raw).hot_water.preheat_heater == "wood stove"
    raw["heater"][0]["output"] = "32000"
    assert set(messages_of(raw)) == {("heater", 0, "output")}


def test_all_prices_are_in_one_currency():
    assert sign_of({}) == "$"
    raw = copy.deepcopy(DEMO)
    raw["change"][0]["cost"] = "€ 900"
    where = {one.where: one.message for one in read_plan(raw)[1]}
    others = {("change", n, "cost") for n in range(1, len(raw["change"]))}
    assert set(where) >= others and "currency, €; got $" in where["change", 1, "cost"]
    for one in (*raw["change"], *raw["price"]):
        one["cost"] = "900 CHF"
    raw["buying"]["yearly"] = "900 CHF"
    for one in raw["fuel"]:
        one.pop("price", None)
    plan, faults = read_plan(raw)
    assert not faults and plan.currency == "CHF"
