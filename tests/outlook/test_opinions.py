"""Opinions side by side, and the meter against the inventory."""

import pytest
from small_plans import ARRAY, BATTERY, FORMER, SMALLEST, appliance, plan_of

from homestead import disk_cache
from homestead.outlook import run
from homestead.plan import with_changes
from homestead.questions.opinions import metered, opinions

HOUSE = SMALLEST | {
    "appliance": [appliance("light", 100, 24, 1), appliance("fan", 50, 12, 3)],
    "array": [ARRAY],
    "grid_former": FORMER,
    "battery": BATTERY,
    "price": [
        {"name": "module", "part": f"array {ARRAY['name']}", "cost": "$300"},
        {"name": "bank", "part": "battery", "cost": "$900"},
    ],
}


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")


def test_two_opinions_are_the_runs_of_the_two_plans():
    plan = plan_of(HOUSE)
    found = opinions(
        plan, {"8 kW will do": {"solar": "8 kW"}, "double it": {"solar": "x2", "battery": "x2"}}, 1
    )
    today, eight, double = found.each
    # By hand: 4 modules of 400 W today; 8 kW is 20 of them, twice is 8, and one bank more.
    assert (today.cost_money, eight.cost_money, double.cost_money) == (0.0, 4800.0, 2100.0)
    raw = {"array.dc rack.strings": 20, "array.dc rack.modules_per_string": 1}
    raw["array.dc rack.converter"] = f"{plan.arrays[0].converter_w * 5} W"
    alone = run(with_changes(plan.raw, raw), 1)
    assert eight.days == alone.homestead.p10
    assert found.unserved_kwh["8 kW will do"].sum() == pytest.approx(
        alone.year.totals["unserved_kwh"]
    )
    assert found.sunless_days["double it"].to_numpy() == pytest.approx(
        2.0 * found.sunless_days["as it is"].to_numpy()
    )
    assert found.sunless_days["8 kW will do"].to_list() == found.sunless_days["as it is"].to_list()
    assert len(found.unserved_kwh) == len(found.sunless_days) == 12


def test_a_part_without_a_price_leaves_the_cost_open():
    plan = plan_of(HOUSE | {"price": HOUSE["price"][:1]})
    found = opinions(plan, {"more storage": {"battery": "x3"}}, 1)
    assert found.each[1].cost_money is None and "no price" in repr(found)


# By hand: 100 W all day and 50 W for half of it are 3.0 kWh a day.
@pytest.mark.parametrize(("meter", "factor"), [("6 kWh", 2.0), ("1.5 kWh", 0.5)])
def test_the_inventory_is_scaled_to_the_meter(meter, factor):
    plan = plan_of(HOUSE | {"meter": {"daily": meter}})
    found = metered(plan)
    assert found.appliances_wh == pytest.approx(3000.0, rel=1e-6)
    assert found.factor == pytest.approx(factor, rel=1e-6)
    again = metered(with_changes(plan.raw, found.sets))
    assert again.appliances_wh + again.others_wh == pytest.approx(again.meter_wh, rel=1e-6)
    assert again.sets == {}


@pytest.mark.parametrize(
    ("meter", "severity", "words"),
    [
        ("3.1 kWh", "note", "within a tenth"),
        ("6 kWh", "warning", "3 kWh a day isn't on it"),
        ("2 kWh", "warning", "more than the house draws"),
    ],
)
def test_the_meter_stands_among_the_findings(meter, severity, words):
    outlook = run(plan_of(HOUSE | {"meter": {"daily": meter}}), 1)
    (one,) = [found for found in outlook.findings if found.about == "meter"]
    assert one.severity == severity and words in one.said()
    assert not [found for found in run(plan_of(HOUSE), 1).findings if found.about == "meter"]


def test_a_label_is_not_scaled_to_the_meter():
    """3.0 kWh a day as above and 1.0 kWh on a label: of 6 kWh, 5.0 are left for the first."""
    label = {"name": "freezer", "label_year": "365 kWh", "priority": 1}
    plan = plan_of(HOUSE | {"meter": {"daily": "6 kWh"}, "appliance": [*HOUSE["appliance"], label]})
    found = metered(plan)
    assert found.factor == pytest.approx(5.0 / 3.0, rel=1e-3)
    assert not any("freezer" in path for path in found.sets)


def test_what_no_scaling_explains_is_questioned():
    found = metered(plan_of(HOUSE | {"meter": {"daily": "40 kWh"}}))
    assert found.sets == {} and "isn't on your list" in repr(found)


def test_without_a_meter_it_says_what_to_enter():
    with pytest.raises(ValueError, match=r"\[meter\]"):
        metered(plan_of(HOUSE))
