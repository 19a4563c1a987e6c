import math

import numpy as np
import pytest

from homestead.formulas.food import food_storage


def test_freezer_is_linear_in_its_fill():
    hours = food_storage.freezer_hold_hours(np.array([0.0, 0.25, 0.75]))
    assert hours.tolist() == [0.0, 12.0, 36.0]
    with pytest.raises(ValueError, match="fill_frac must be from 0 to 1"):
        food_storage.freezer_hold_hours(1.2)


@pytest.mark.parametrize("percent", [0.0, 2.0, 6.5, 12.0])
def test_bleach_of_no_printed_strength_is_refused(percent):
    with pytest.raises(ValueError, match="chlorine_percent must be in one of the printed rows"):
        food_storage.bleach_drops(1.0, percent)


def test_bleach_scales_with_volume_and_broadcasts():
    drops = food_storage.bleach_drops([0.001, 0.002], 6.0, [False, True])
    assert drops[1] == pytest.approx(4.0 * drops[0])


def test_pantry_days():
    days = food_storage.days_of_food(100_000.0, 2000.0, [0.0, 1000.0, 2500.0])
    assert days.tolist() == [50.0, 100.0, math.inf]


def test_shelf_life():
    assert food_storage.shelf_life_days("white rice") > food_storage.shelf_life_days("white flour")
    with pytest.raises(ValueError, match="nearest: .*white rice"):
        food_storage.shelf_life_days("whit rice")


# By hand: 10 kg-ish of water by 80 K, half an hour at 1 kW, stove 50 %. Specific heat as hot water.
def test_canning_heat():
    heat = food_storage.canning_heat_wh(0.01, 20.0, 100.0, 0.5, 1000.0, 0.5)
    water = 0.01 * 998.0 * 4186.0 * 80.0 / 3600.0
    assert heat == pytest.approx((water + 500.0) / 0.5)
