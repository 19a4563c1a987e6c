import math

import numpy as np
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


def test_energy_factor_must_be_below_recovery():
    with pytest.raises(ValueError, match="energy_factor must be below"):
        hot_water.standby_loss_w_k([0.6, 0.8], 0.76, 11_000.0)


def test_standby_heat_of_a_day():
    assert hot_water.standby_wh_day(5.0, [60.0, 20.0], 20.0) == pytest.approx([4800.0, 0.0])


# Burch & Christensen 2007 (from memory). Annual mean 44 degF, range 40 degF: ratio 0.4, lag 35
# days, so 50 degF less 8 at day 50 (15 + 35) and about 8 more half a year later. By hand.
def test_mains_water_by_hand():
    mean = units.parse("44 °F", "temperature")
    swing = units.parse("40 °F", "temperature_difference")
    coldest = units.convert(hot_water.mains_water_c(50, mean, swing), "temperature")
    warmest = units.convert(hot_water.mains_water_c(50 + 182.56, mean, swing), "temperature")
    assert coldest == pytest.approx(42.0, abs=1e-6)
    assert warmest == pytest.approx(58.0, abs=0.001)


def test_mains_water_never_freezes_and_follows_the_year():
    days = np.arange(1, 366)
    cold = hot_water.mains_water_c(days, -10.0, 50.0)
    assert cold.min() == 0.5
    mild = hot_water.mains_water_c(days, 14.4, 22.0)
    assert 1 <= days[mild.argmin()] <= 80 < 180 <= days[mild.argmax()] <= 260
    with pytest.raises(ValueError, match="day_of_year"):
        hot_water.mains_water_c(0, 14.4, 22.0)
