import pytest

from homestead import reference, units
from homestead.formulas.food import home_produce
from homestead.formulas.food.food_composition import food_energy_kcal


# By hand: 100 lb for each 100 ft, rows 34 in apart: 283.3 ft2 hold 100 lb.
def test_yield_by_area_spreads_the_rows():
    plot = units.parse("100 ft", "length") * units.parse("34 in", "length")
    harvest = home_produce.garden_yield_kg("potatoes", plot)
    assert units.convert(harvest, "mass") == pytest.approx(100.0)


def test_every_row_crop_has_a_spacing():
    for crop in reference.items("crops", "yield_per_row"):
        assert home_produce.garden_yield_kg(crop, 10.0) > 0, crop


def test_unknown_crop_lists_the_nearest():
    with pytest.raises(ValueError, match="nearest: .*potatoes"):
        home_produce.garden_yield_kg("potato", 10.0)
    with pytest.raises(ValueError, match="area_m2"):
        home_produce.garden_yield_kg("potatoes", -1.0)


def test_crop_energy_is_that_of_its_harvest():
    harvest = home_produce.garden_yield_kg("carrots", 10.0)
    expected = food_energy_kcal("carrots", harvest)
    assert home_produce.crop_energy_kcal("carrots", 10.0) == pytest.approx(expected)


# A large egg is about 72 kcal (USDA, from memory): 50 g of the table's 143 kcal per 100 g.
def test_energy_of_an_egg():
    assert home_produce.egg_energy_kcal([0, 1]) == pytest.approx([0.0, 71.5], abs=0.5)


def test_eggs_by_laying():
    assert home_produce.eggs_n_day(14, 365) == pytest.approx(14.0)
    with pytest.raises(ValueError, match="eggs_per_year"):
        home_produce.eggs_n_day(14, 400)


# A cup of goat milk (244 g) is 168 kcal (USDA SR28, from memory); 8 fl oz by volume.
def test_energy_of_a_cup_of_goat_milk():
    cup = units.parse("1 gal", "volume") / 16
    assert home_produce.goat_milk_energy_kcal(cup) == pytest.approx(168, abs=0.5)


def test_milk_levels():
    with pytest.raises(ValueError, match="level must be one of low, high, peak"):
        home_produce.goat_milk_m3_day(4, "mean")
    with pytest.raises(ValueError, match="level must be one of low, high"):
        home_produce.goat_lactation_m3("peak")


def test_feed_of_animals():
    assert home_produce.feed_kg_day("hen", [0, 14])[1] == pytest.approx(
        units.parse("3.5 lb", "mass")
    )
    with pytest.raises(ValueError, match="nearest: .*steer"):
        home_produce.feed_kg_day("steers", 1)
