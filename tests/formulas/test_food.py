import math

import numpy as np
import pytest

from homestead import reference
from homestead.formulas.food import food, food_composition


def test_completed_years_decide():
    need = food.energy_need_kcal_day([4.0, 4.99, 5.0], "female", "active")
    assert need.tolist() == [1400, 1400, 1600]


def test_more_activity_never_needs_less():
    ages = np.arange(0, 121)
    for sex in food.SEXES:
        by_activity = [food.energy_need_kcal_day(ages, sex, each) for each in food.ACTIVITIES]
        assert np.all(np.diff(by_activity, axis=0) >= 0)


def test_need_of_one_person_is_a_number():
    assert np.ndim(food.energy_need_kcal_day(41, "male", "moderate")) == 0


@pytest.mark.parametrize("age", [-1, 121, math.nan])
def test_age_limits(age):
    with pytest.raises(ValueError, match="age must be from 0 to 120 years"):
        food.energy_need_kcal_day(age, "male", "active")


@pytest.mark.parametrize(
    ("sex", "activity", "name"), [("man", "active", "sex"), ("male", "lazy", "activity")]
)
def test_unknown_person_lists_the_known(sex, activity, name):
    with pytest.raises(ValueError, match=f"{name} must be one of .*(female|moderate)"):
        food.energy_need_kcal_day(30, sex, activity)


@pytest.mark.parametrize("name", ["white rice", "white flour", "black beans"])
def test_contract_foods(name):
    assert name in food_composition.foods()
    assert food_composition.food_energy_kcal(name, np.array([1.0, 2.0])).shape == (2,)


def test_unknown_food_lists_the_nearest():
    with pytest.raises(ValueError, match="nearest: .*black beans"):
        food_composition.food_energy_kcal("blak beans", 1.0)
    with pytest.raises(ValueError, match="mass_kg"):
        food_composition.food_energy_kcal("white rice", -1.0)


def test_every_food_holds_its_protein_s_energy():
    """Atwater's factors: 4 kcal/g of protein, and no more than the 9 of pure fat."""
    for name in food_composition.foods():
        energy_kcal = food_composition.food_energy_kcal(name, 1.0)
        protein = reference.value("foods", name, "protein", "kg/kg")
        assert 0.6 * 4000.0 * protein <= energy_kcal <= 1.01 * 9000.0, name
