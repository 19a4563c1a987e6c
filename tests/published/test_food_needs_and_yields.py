"""Food needs, composition and garden yields against published figures, by case id."""

import numpy as np
import pytest

from homestead import reference, units
from homestead.formulas.food import food, food_composition

ACTIVITIES = ("sedentary", "moderate", "active")


# F01: Dietary Guidelines for Americans 2015-2020, Appendix 2, Table A2-1. Status: found. Exact.
@pytest.mark.parametrize(
    ("age", "male", "female"),
    [
        (2, (1000, 1000, 1000), (1000, 1000, 1000)),
        (3, (1000, 1400, 1400), (1000, 1200, 1400)),
        (5, (1200, 1400, 1600), (1200, 1400, 1600)),
        (8, (1400, 1600, 2000), (1400, 1600, 1800)),
        (10, (1600, 1800, 2200), (1400, 1800, 2000)),
        (12, (1800, 2200, 2400), (1600, 2000, 2200)),
        (14, (2000, 2400, 2800), (1800, 2000, 2400)),
        (16, (2400, 2800, 3200), (1800, 2000, 2400)),
        (18, (2400, 2800, 3200), (1800, 2000, 2400)),
        (19, (2600, 2800, 3000), (2000, 2200, 2400)),
        (20, (2600, 2800, 3000), (2000, 2200, 2400)),
    ],
)
def test_f01_energy_need_of_the_young(age, male, female):
    assert tuple(food.energy_need_kcal_day(age, "male", ACTIVITIES)) == male
    assert tuple(food.energy_need_kcal_day(age, "female", ACTIVITIES)) == female


# F01: adult bands of the same table, as ranges. Status: found. Each year of age stays in its range.
@pytest.mark.parametrize(
    ("sex", "ages", "ranges"),
    [
        ("male", (19, 30), ((2400, 2600), (2600, 2800), (3000, 3000))),
        ("male", (31, 50), ((2200, 2400), (2400, 2600), (2800, 3000))),
        ("male", (51, 95), ((2000, 2200), (2200, 2400), (2400, 2800))),
        ("female", (19, 30), ((1800, 2000), (2000, 2200), (2400, 2400))),
        ("female", (31, 50), ((1800, 1800), (2000, 2000), (2200, 2200))),
        ("female", (51, 95), ((1600, 1600), (1800, 1800), (2000, 2200))),
    ],
)
def test_f01_energy_need_of_adults(sex, ages, ranges):
    years = np.arange(ages[0], ages[1] + 1)
    for activity, (low, high) in zip(ACTIVITIES, ranges, strict=True):
        need = food.energy_need_kcal_day(years, sex, activity)
        assert (need.min(), need.max()) == (low, high), activity


# F01: man 25 and woman 25 active, girl 5 and boy 3 moderate: 8,200 kcal a day. Status: derived
# from the found rows. Exact.
def test_f01_family():
    need = food.energy_need_kcal_day(
        [25, 25, 5, 3],
        ["male", "female", "female", "male"],
        ["active", "active", "moderate", "moderate"],
    )
    assert need.sum() == 8200


# F01: protein, Dietary Reference Intakes. Status: from memory. Exact.
def test_f01_protein_need():
    assert food.protein_need_g_day([5, 10, 16, 40], "male").tolist() == [19, 34, 52, 56]
    assert food.protein_need_g_day([5, 10, 16, 40], "female").tolist() == [19, 34, 46, 46]


# F02: a pound of wheat has 1,483 kcal, of potatoes 349. Status: derived. Half a digit.
def test_f02_energy_of_a_pound():
    pound = units.parse("1 lb", "mass")
    assert food_composition.food_energy_kcal("wheat", pound) == pytest.approx(1483, abs=0.5)
    assert food_composition.food_energy_kcal("potatoes", pound) == pytest.approx(349, abs=0.5)


@pytest.mark.parametrize(
    ("name", "kcal", "protein_g"),
    [
        ("wheat", 327, 12.61),
        ("whole wheat flour", 340, 13.21),
        ("white rice", 365, 7.13),
        ("corn", 365, 9.42),
        ("oats", 389, 16.89),
        ("pinto beans", 347, 21.42),
        ("lentils", 352, 24.63),
        ("peanuts", 567, 25.80),
        ("egg", 143, 12.56),
        ("goat milk", 69, 3.56),
        ("butter", 717, 0.85),
        ("olive oil", 884, 0.0),
        ("honey", 304, 0.30),
        ("potatoes", 77, 2.05),
        ("sweet potatoes", 86, 1.57),
        ("butternut squash", 45, 1.00),
        ("carrots", 41, 0.93),
        ("tomatoes", 18, 0.88),
        ("chicken", 215, 18.60),
        ("cow milk", 61, 3.15),
        ("white flour", 364, 10.33),
        ("black beans", 341, 21.60),
    ],
)
def test_f02_food_composition(name, kcal, protein_g):
    hectogram = units.parse("100 g", "mass")
    assert food_composition.food_energy_kcal(name, hectogram) == pytest.approx(kcal, rel=1e-9)
    protein = hectogram * reference.value("foods", name, "protein", "kg/kg")
    assert protein == pytest.approx(units.parse(f"{protein_g} g", "mass"), rel=1e-9)
