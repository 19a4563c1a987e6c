"""Jars, loads and heat of preserving; needs of pregnancy; ranges of harvest; what animals give."""

import numpy as np
import pytest

from homestead import reference, units
from homestead.findings.cautions import cautions
from homestead.formulas.food import food, food_composition, food_storage, home_produce, preserving


# USDA, Complete Guide to Home Canning (2015), snap beans: 14 lb fill a load of 7 quarts, 2 lb a
# quart. Found in a copy.
def test_a_load_of_snap_beans():
    beans = units.parse("14 lb", "mass")
    assert preserving.jars_n("green beans", beans) == 7.0
    assert preserving.canner_loads_n(7.0) == 1.0
    assert preserving.canner_loads_n([0.0, 8.0]).tolist() == [0.0, 2.0]
    assert preserving.jars_n("green beans", beans * 1.01) == 8.0


# As above: quarts of snap beans are held 25 min under pressure; 10 min of venting before (memory).
def test_hours_of_a_load_of_snap_beans():
    assert preserving.load_hours("green beans") == pytest.approx(35.0 / 60.0)


# By hand: 3 gal in the canner and 7 quarts of food from 15 to 100 degC at 4186 J/kgK and 998 kg/m3,
# then 45 min at 700 W, half of the fuel's heat into the pot.
def test_heat_of_a_load_of_tomatoes():
    water = units.parse("3 gal", "volume") + units.parse("1.75 gal", "volume")
    warm = water * 998.0 * 4186.0 * 85.0 / 3600.0
    by_hand = (warm + 700.0 * 0.75) / 0.5
    assert preserving.load_heat_wh("tomatoes", 15.0, 0.5) == pytest.approx(by_hand, rel=0.005)


def test_pressure_takes_less_water_and_every_food_has_its_rows():
    assert preserving.load_water_m3("carrots") < preserving.load_water_m3("tomatoes")
    for name in preserving.foods_with_jars():
        assert preserving.method_of(name) in preserving.METHODS
        assert preserving.load_heat_wh(name, 15.0, 1.0) > 0.0
    acid = [n for n in preserving.foods_with_jars() if preserving.method_of(n) == "boiling water"]
    assert acid == ["tomatoes", "apples"]  # nothing of low acid is ever given a water bath


def test_unknown_food_and_fuel_list_the_nearest():
    with pytest.raises(ValueError, match="nearest: .*tomatoes"):
        preserving.jars_n("tomatos", 1.0)
    with pytest.raises(ValueError, match="mass_kg must be 0 or more"):
        preserving.jars_n("tomatoes", -1.0)
    with pytest.raises(ValueError, match="nearest"):
        preserving.cooking_efficiency_frac("peat")


# Dietary Reference Intakes as printed in Institute of Medicine (2009), Table B-1A: nothing, 340 and
# 452 kcal more a day by third of pregnancy. Found in a copy.
@pytest.mark.parametrize(
    ("stage", "kcal"),
    [
        ("pregnant months 1 to 3", 0.0),
        ("pregnant months 4 to 6", 340.0),
        ("pregnant months 7 to 9", 452.0),
    ],
)
def test_energy_of_pregnancy(stage, kcal):
    plain = food.energy_need_kcal_day(30, "female", "moderate")
    assert food.energy_need_kcal_day(30, "female", "moderate", stage) - plain == kcal


# Dietary Reference Intakes 2005, from memory: nursing adds 330 then 400 kcal and 25 g of protein.
def test_nursing_broadcasts():
    stages = np.array(["none", "nursing months 1 to 6", "nursing months 7 to 12"])
    extra = food.energy_need_kcal_day(30, "female", "active", stages)
    assert (extra - extra[0]).tolist() == [0.0, 330.0, 400.0]
    grams = food.protein_need_g_day(30, "female", stages)
    assert (grams - grams[0]).tolist() == [0.0, 25.0, 25.0]


def test_a_life_stage_of_a_man_is_refused():
    with pytest.raises(ValueError, match='life_stage must be "none" unless female'):
        food.energy_need_kcal_day(30, "male", "active", "nursing months 1 to 6")
    with pytest.raises(ValueError, match="life_stage must be one of none, pregnant"):
        food.protein_need_g_day(30, "female", "tired")


# Rutgers (2012) and Ohio State: 0.5 and 1.24 lb/ft2 of mixed vegetables. Ranges of single crops
# must reach into that band, but for grain, pulses and nuts, which are dry.
def test_ranges_of_vegetables_meet_the_published_means():
    dry = {"corn", "wheat", "oats", "soybeans", "split peas", "lentils", "peanuts"}
    plot = units.parse("100 ft²", "area")
    for crop in reference.items("crops", "yield_per_area_low"):
        low, high = home_produce.garden_yield_range_kg(crop, plot)
        assert 0.0 < low < high, crop
        if crop not in dry and not crop.endswith("beans") or crop == "green beans":
            assert units.convert(high, "mass") >= 50.0 and units.convert(low, "mass") <= 124.0


def test_what_animals_give():
    assert (
        home_produce.produce_of("hen") == "egg"
        and home_produce.produce_of("dairy goat") == "goat milk"
    )
    assert (
        home_produce.produce_of("steer") is None and home_produce.meat_of("steer") == "ground beef"
    )
    assert home_produce.meat_of("horse") is None
    for kind in reference.animal_names():
        for name in (home_produce.produce_of(kind), home_produce.meat_of(kind)):
            assert name is None or name in food_composition.foods()
    with pytest.raises(ValueError, match="kind must be one of"):
        home_produce.produce_of("unicorn")


# By hand: a tenth of 4,000 kcal is 400 kcal, 100 g of protein at 4 kcal/g.
def test_assumed_protein():
    assert food_composition.assumed_protein_kg([0.0, 4000.0]) == pytest.approx([0.0, 0.1])


# Common practice: 100 g of pasta to the liter.
def test_cooking_water():
    liter = units.parse("1 L", "volume")
    assert food_composition.cooking_water_m3("pasta", 0.1) == pytest.approx(liter)
    assert food_composition.cooking_water_m3("honey", 3.0) == 0.0
    with pytest.raises(ValueError, match="nearest"):
        food_composition.cooking_water_m3("pastta", 1.0)


# USDA Food Safety and Inspection Service: above 40 °F for more than 2 h. Found.
def test_discard_rule():
    assert food_storage.discard_after_hours() == 2.0


def test_cautions_name_botulism_and_promise_nothing():
    told = " ".join(one.text.lower() for one in cautions("food safety"))
    assert "botulism" in told and "extension office" in told and "elevation" in told
    assert " is safe" not in told and "are safe" not in told and "safely" not in told


def test_a_range_of_yields_has_its_ends_in_order():
    for crop in reference.items("crops", "yield_per_row"):
        if crop in reference.items("crops", "yield_per_area_low"):
            low, high = home_produce.garden_yield_range_kg(crop, 10.0)
            assert 0.0 < low <= high, crop
    with pytest.raises(ValueError, match="nearest: .*potatoes"):
        home_produce.garden_yield_range_kg("potatos", 10.0)
