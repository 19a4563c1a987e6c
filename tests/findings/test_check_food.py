"""Findings about food: each comes when it should, stays away when it should, and names a source."""

import pytest
from small_plans import ARRAY, BATTERY, FORMER, SMALLEST

from homestead.plan.schema import read_plan
from homestead.simulate.inputs import hours_of
from homestead.trades.food.check_food import findings_of

FREEZER = {"name": "freezer", "power": "90 W", "daily_use": "8 h", "priority": 1}
FROZEN = {"appliance": "freezer", "energy": "60000 kcal", "fill": 1.0, "protein": "3 kg"}
GENERATOR = {
    "rated": "4 kW", "store": "bottles", "no_load_fuel": "4 kW", "full_load_fuel": "16 kW",
}  # fmt: skip
BOTTLES = [{"name": "bottles", "fuel": "propane", "amount": "300 L"}]
BEANS = {"name": "beans", "food": "black beans", "mass": "20 kg"}
RICE = {"name": "rice", "food": "white rice", "mass": "20 kg"}


def found(about, **parts):
    plan, faults = read_plan(SMALLEST | parts)
    assert faults == []
    findings = [one for one in findings_of(plan, hours_of(plan, 1)) if one.about == about]
    assert all(one.source and len(one.said()) > 40 for one in findings)
    assert not any(" safe" in one.said() for one in findings)
    return findings


# Dietary Reference Intakes 2005, from memory: 46 g a day for a woman; sugar holds none.
def test_what_sugar_lacks_runs_short_first():
    sugar = {"name": "sugar", "food": "sugar", "mass": "100 kg"}
    salt = {"name": "salt", "food": "salt", "mass": "20 kg"}
    # Sugar holds no protein, fat or vitamin C: one of them ends it, before its energy does.
    lacks = ("protein", "fat", "vitamin C")
    (one,) = (one for lack in lacks for one in found(lack, pantry=[sugar, salt]))
    assert one.severity == "warning" and "On 100 % of start dates" in one.said()
    assert found("protein", pantry=[BEANS]) == []


def test_an_item_that_outlives_its_time():
    dates = {"best_by": "2026-12-01", "counted": "2026-11-01"}
    (one,) = found("pantry: rice", pantry=[RICE | {"mass": "100 kg"} | dates])
    assert "after 30 days" in one.said() and "best-by" in one.source
    (one,) = found("pantry: flour", pantry=[
        {"name": "flour", "food": "whole wheat flour", "mass": "500 kg"}
    ])  # fmt: skip
    assert "storage charts" in one.source
    assert found("pantry: rice", pantry=[RICE | {"mass": "10 kg"} | dates, BEANS]) == []


POWER = {
    "array": [ARRAY], "grid_former": FORMER, "battery": BATTERY, "freezer": FROZEN,
    "fuel": BOTTLES,
}  # fmt: skip


# USDA Food Safety and Inspection Service: 48 h full; above 40 °F for 2 h is thrown out. Found.
def test_a_freezer_that_is_shed():
    shed = found("freezer", **POWER, generator=GENERATOR, appliance=[FREEZER | {"priority": 3}])
    (one,) = shed
    assert "priority 3" in one.said() and "48 h" in one.said()
    assert found("freezer", **POWER, generator=GENERATOR, appliance=[FREEZER]) == []


def test_a_freezer_with_nothing_behind_it():
    (one,) = found("freezer", **POWER, appliance=[FREEZER])
    assert "No generator backs up" in one.said() and "40 °F" in one.said() and "2 h" in one.said()
    assert found("freezer", appliance=[FREEZER]) == []  # no frozen food in the plan


# Garden guides and farm yields, from memory: potatoes 0.25 to 1.0 lb/ft2.
@pytest.mark.parametrize(
    ("harvest", "side", "severity"), [("120 lb", "above", "warning"), ("20 lb", "below", "note")]
)
def test_a_harvest_outside_the_table(harvest, side, severity):
    bed = {"name": "p", "food": "potatoes", "area": "100 ft²", "eaten": "Jul-Dec"}
    (one,) = found("crop: p", crop=[bed | {"harvest": harvest}])
    assert side in one.said() and one.severity == severity and "25 lb" in one.said()
    for within in ("25.1 lb", "60 lb", "99.9 lb"):
        assert found("crop: p", crop=[bed | {"harvest": within}]) == []
    # A food that the table has no range for is not judged.
    assert found("crop: p", crop=[bed | {"food": "honey", "harvest": "5000 lb"}]) == []


# Storage charts, from memory: potatoes keep about six months.
def test_a_crop_eaten_for_longer_than_it_keeps():
    bed = {
        "name": "p", "food": "potatoes", "area": "100 ft²", "harvest": "60 lb", "eaten": "Aug-May",
    }  # fmt: skip
    (one,) = found("crop: p", crop=[bed | {"picked": "Aug-Sep"}])
    assert "8 months" in one.said() and "about 6" in one.said()
    assert found("crop: p", crop=[bed | {"picked": "Aug-Nov"}]) == []
    assert found("crop: p", crop=[bed]) == []  # no picking entered, nothing to compare


# By hand: 100 kg at 1 kg a day last 100 days; November to March are 151.
def test_feed_that_ends_before_the_grass():
    cow = {
        "name": "cow", "kind": "dairy cow", "count": 1, "food": "6000 kcal", "feed_day": "1 kg",
        "pasture": "Apr-Oct",
    }  # fmt: skip
    (one,) = found("feed: cow", animal=[cow | {"feed": "100 kg"}])
    assert "100 days of the 151 days" in one.said()
    assert "No milk is counted after that, except in months on pasture." in one.said()
    assert found("feed: cow", animal=[cow | {"feed": "151 kg"}]) == []
    del cow["pasture"]
    (one,) = found("feed: cow", animal=[cow | {"feed": "151 kg"}])
    assert "on no pasture" in one.said()
    assert "No milk is counted from then on." in one.said()
    hens = cow | {"name": "hens", "kind": "laying hen", "food": "40 kcal", "feed": "10 kg"}
    (one,) = found("feed: hens", animal=[hens])
    assert "No eggs are counted from then on." in one.said()
    (one,) = found("feed: hens", animal=[hens | {"food": "0 kcal"}])
    assert "counted" not in one.said()


def test_one_food_that_is_most_of_the_store():
    (one,) = found("variety", pantry=[RICE | {"mass": "40 kg"}, BEANS])
    assert one.said().startswith("White rice is 68 %")  # 146,000 of 214,200 kcal, by hand
    assert found("variety", pantry=[RICE, BEANS]) == []


# Sphere Handbook 2018, from memory: at least 2.5 L to drink. Pasta takes 5.4 L a day here, by hand.
def test_water_for_dry_food():
    pasta = {"name": "pasta", "food": "pasta", "mass": "50 kg"}
    (one,) = found("water for dry food", pantry=[pasta])
    # The plan shows US units: 5.39 L are 1.42 gal, 2.5 L are 0.66 gal of 3.785 L.
    assert "1.42 gal" in one.said() and "0.66 gal" in one.said()
    more = SMALLEST["water_use"] | {"minimum_per_person": "8 L"}
    assert found("water for dry food", pantry=[pasta], water_use=more) == []
    honey = {"name": "honey", "food": "honey", "mass": "50 kg"}
    assert found("water for dry food", pantry=[honey]) == []


# USDA, Complete Guide to Home Canning (2015): meat and vegetables of low acid under pressure only.
def test_meat_that_must_be_kept_without_a_freezer():
    pig = {
        "name": "pig", "kind": "pig", "count": 1, "meat": "60 kg", "slaughter": "Nov",
        "meat_eaten": "Nov-Mar",
    }  # fmt: skip
    (one,) = found("meat: pig", animal=[pig])
    assert "only under pressure" in one.said()
    assert found("meat: pig", animal=[pig | {"meat_eaten": "Nov"}]) == []
    assert found("meat: pig", animal=[pig], freezer=FROZEN, appliance=[FREEZER]) == []


def test_low_acid_food_in_jars():
    bed = {"area": "100 ft²", "harvest": "60 lb", "eaten": "Jul-Dec", "preserved": 0.5}
    beans = bed | {"name": "snap beans", "food": "green beans"}
    tomatoes = bed | {"name": "tomatoes", "food": "tomatoes"}
    (one,) = found("canning", crop=[beans, tomatoes])
    assert "snap beans." in one.said() and "tomatoes" not in one.said() and "botulism" in one.said()
    assert found("canning", crop=[tomatoes]) == []
    assert found("canning", crop=[beans | {"preserved": 0.0}]) == []
