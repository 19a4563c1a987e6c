import math

import pytest

from homestead import units
from homestead.formulas.warmth import hot_water


def test_hot_water_scales_with_volume_and_rise():
    one = hot_water.water_heating_wh(0.1, 20.0)
    assert hot_water.water_heating_wh([0.2, 0.1], [20.0, 40.0]) == pytest.approx([2 * one] * 2)


# The kilocalorie was the heat of 1 kg of water by 1 K: 1 m3 near 1000 Mcal, 1.163 kWh each.
def test_hot_water_against_the_calorie():
    kcal = units.convert_unit(998.0, "kcal", "Wh")
    assert hot_water.water_heating_wh(1.0, 1.0) == pytest.approx(kcal, rel=0.001)


@pytest.mark.parametrize(("volume", "rise"), [(-1.0, 10.0), (1.0, -1.0), (math.nan, 10.0)])
def test_hot_water_limits(volume, rise):
    with pytest.raises(ValueError, match="volume_m3|rise_k"):
        hot_water.water_heating_wh(volume, rise)
