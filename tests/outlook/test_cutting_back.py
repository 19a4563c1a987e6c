"""Cutting back: levels by hand, each need by itself, and what costs nothing."""

import pytest
from small_plans import ARRAY, BATTERY, FIRST_BAD_DAY, FORMER, SMALLEST, appliance, plan_of

from homestead import disk_cache
from homestead.outlook import as_dict, run
from homestead.plan.schema import read_plan
from homestead.questions.free_actions import free_actions
from homestead.questions.parts_out import parts_out
from homestead.simulate.inputs import hours_of
from homestead.simulate.sparing import as_lived
from homestead.vocabulary import NEEDS

HOUSE = SMALLEST | {
    "appliance": [
        appliance("light", 20, 24, 1),
        appliance("pump for the aquarium", 40, 24, 1) | {"sparing": 0.5},
        appliance("freezer", 60, 8, 2),
        appliance("sauna", 2000, 2, 3),
        appliance("radio", 10, 10, 3) | {"sparing": 1.0},
    ],
    "array": [ARRAY],
    "grid_former": FORMER,
    "battery": BATTERY | {"module": "6 kWh"},
    "cistern": {"volume": "3000 L", "from_well": False},
    "freezer": {"appliance": "freezer", "energy": "1 kcal", "fill": 0.8},
    "pantry": [{"name": "shelf", "energy": "80000 kcal"}],
    "heater": [{"name": "s", "store": "wood", "output": "6 kW", "efficiency": 0.6}],
    "fuel": [{"name": "wood", "fuel": "cordwood", "amount": "3 m^3"}],
    "failure": FIRST_BAD_DAY,
}
ON = {"cutting_back": {"on": True}}


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")


def test_nothing_changes_while_it_is_off():
    plan = plan_of(HOUSE)
    assert as_lived(plan) is plan


def test_levels_by_hand(greensboro):
    spare = as_lived(plan_of(HOUSE | ON))
    # Essentials stay, one of them at half; the freezer stays; comfort is off, but for the radio.
    assert [one.power_w for one in spare.appliances] == [20.0, 20.0, 60.0, 0.0, 10.0]
    assert spare.water_use.per_person_m3 == pytest.approx(0.015)
    # 15 °C in six tenths of 60 m² of floor and of 180 m² of shell.
    assert (spare.house.keep_c, spare.house.floor_m2) == (15.0, pytest.approx(36.0))
    assert spare.envelope[0].area_m2 == pytest.approx(108.0)
    usual, sparing = (hours_of(plan_of(one), 1, greensboro) for one in (HOUSE, HOUSE | ON))
    assert sparing.fixed.need_kcal == pytest.approx(0.85 * usual.fixed.need_kcal)
    # Food fails below the same amount: 0.8 of the need, whatever is eaten of it.
    threshold = [one.fixed.need_kcal * one.fixed.food_share_frac for one in (usual, sparing)]
    assert threshold[0] == pytest.approx(threshold[1])
    assert sparing.fixed.loss_w_k == pytest.approx(0.6 * usual.fixed.loss_w_k)


def test_sparing_is_never_more_than_the_usual():
    raw = HOUSE | ON | {"water_use": {"per_person": "10 L"}}
    raw["house"] = HOUSE["house"] | {"keep": "12 °C"}
    spare = as_lived(plan_of(raw))
    assert spare.water_use.per_person_m3 == pytest.approx(0.010)
    assert spare.house.keep_c == pytest.approx(12.0)


@pytest.mark.parametrize("need", NEEDS)
def test_each_need_can_be_cut_back_on_by_itself(need, greensboro):
    plan = plan_of(HOUSE | {"cutting_back": {"on": True, "needs": [need]}})
    spare = as_lived(plan)
    assert (spare.appliances != plan.appliances) == (need == "power")
    assert (spare.water_use != plan.water_use) == (need == "water")
    assert (spare.house != plan.house) == (need == "warmth")
    usual = hours_of(plan_of(HOUSE), 1, greensboro).fixed.need_kcal
    eaten = hours_of(plan, 1, greensboro).fixed.need_kcal
    assert (eaten != usual) == (need == "food")


def test_electric_hot_water_and_cooling_are_off():
    raw = HOUSE | {"hot_water": {"store": "electricity", "input": "4 kW"}, "cooling": None}
    raw.pop("cooling")
    raw["cooling"] = {"capacity": "5 kW", "seer": 15}
    spare = as_lived(plan_of(raw | ON))
    assert spare.hot_water is None and spare.cooling is None
    by_gas = raw | {"hot_water": {"store": "gas", "input": "20 kW"}}
    by_gas["fuel"] = [*HOUSE["fuel"], {"name": "gas", "fuel": "propane", "amount": "200 L"}]
    assert as_lived(plan_of(by_gas | ON)).hot_water is not None


def test_a_ration_at_which_food_fails_is_refused():
    plan, faults = read_plan(HOUSE | {"cutting_back": {"ration": 0.8}})
    assert plan is None
    assert "must be above the share at which food fails, 0.8; got 0.8" in str(faults[0])
    plan, faults = read_plan(HOUSE | {"cutting_back": {"needs": ["hope"]}})
    assert plan is None and "must be one of power, water, warmth, food" in str(faults[0])


def test_outlook_shows_both_and_json_too():
    plan = plan_of(HOUSE)
    outlook = run(plan, years_n=1)
    spare = outlook.cutting_back
    # By hand: 3000 L at 60 L a day are 50 days, at 15 L 200; a day may be short of its least.
    assert 50 <= outlook.needs["water"].least <= 52
    assert 200 <= spare.needs["water"].least <= 202
    # 80,000 kcal for one person at 85 %: in proportion, less what the rule lets go empty.
    q = 80_000 / outlook.hours.fixed.need_kcal
    assert outlook.needs["food"].p10 == pytest.approx(q + 1.4, abs=1.0)
    # Of 0.85: a week fails below 0.8, so almost at once after the last full day.
    assert spare.needs["food"].p10 == pytest.approx(q / 0.85, abs=1.0)
    found = as_dict(outlook)["cutting_back"]
    assert set(found) == {"needs", "homestead"} and set(found["needs"]) == set(NEEDS)
    assert found["homestead"]["p10"] == spare.homestead.p10
    turned_on = run(plan_of(HOUSE | ON), years_n=1)
    assert (turned_on.days == spare.days).all()


def test_free_actions_are_those_of_the_changed_plan():
    plan = plan_of(HOUSE)
    found = free_actions(plan, years_n=1, units="metric")
    by_name = {action.name: action for action in found.actions}
    assert "use only 15 L of water a person a day" in by_name and "leave the sauna off" in by_name
    assert "leave the freezer off" not in by_name  # it holds food
    assert found.actions == tuple(
        sorted(found.actions, key=lambda a: (a.gained["p10"], a.need_gained), reverse=True)
    )
    without = run(
        plan_of(
            HOUSE | {"appliance": [one for one in HOUSE["appliance"] if one["name"] != "sauna"]}
        ),
        years_n=1,
    )
    assert by_name["leave the sauna off"].by_need["power"] == without.needs["power"].p10
    water = run(plan_of(HOUSE | {"cutting_back": {"on": True, "needs": ["water"]}}), years_n=1)
    assert by_name["use only 15 L of water a person a day"].days["p10"] == water.homestead.p10
    assert found.together.days["p10"] == run(plan, years_n=1).cutting_back.homestead.p10
    assert "For nothing:" in repr(found)


def test_parts_out_are_worked_cutting_back_too():
    plan = plan_of(HOUSE)
    found = parts_out(plan, years_n=1)
    battery = next(part for part in found.parts if part.part == "the battery")
    raw = {key: value for key, value in HOUSE.items() if key not in ("battery", "array")}
    assert battery.days == run(plan_of(raw), years_n=1).homestead.p10
    assert battery.days_cutting_back == run(plan_of(raw | ON), years_n=1).homestead.p10
