"""FAO-56 evapotranspiration against the publication's worked examples.

Allen et al., "Crop evapotranspiration", FAO Irrigation and Drainage Paper 56, 1998; found in copies
(test data of open-source libraries) unless a check says otherwise.
"""

import math

import numpy as np
import pytest

from homestead.formulas.water import daily_radiation, evapotranspiration


# W34. Example 2: 1,800 m gives 81.8 kPa and 0.054 kPa/K. Half the last digit.
def test_w34_example_2_pressure():
    pressure = evapotranspiration.air_pressure_pa(1800.0)
    assert pressure == pytest.approx(81_800, abs=50)
    assert evapotranspiration.psychrometric_constant_pa_k(pressure) == pytest.approx(54, abs=0.5)


# W34. Example 3: 24.5 and 15 deg C give 2.39 kPa.
def test_w34_example_3_saturation():
    assert evapotranspiration.mean_saturation_vapour_pressure_pa(24.5, 15.0) == pytest.approx(
        2390, abs=5
    )


# W34. Example 8: 20 deg south, 3 September (day 246).
def test_w34_example_8_extraterrestrial():
    assert daily_radiation.earth_sun_distance_factor(246) == pytest.approx(0.985, abs=0.0005)
    assert daily_radiation.solar_declination_rad(246) == pytest.approx(0.120, abs=0.0005)
    assert daily_radiation.sunset_hour_angle_rad(-20.0, 246) == pytest.approx(1.527, abs=0.0005)
    assert daily_radiation.extraterrestrial_radiation_mj_m2_day(-20.0, 246) == pytest.approx(
        32.2, abs=0.05
    )


# W34. Example 14: 3.2 m/s at 10 m is 2.4 m/s at 2 m.
def test_w34_example_14_wind():
    assert evapotranspiration.wind_at_2m_m_s(3.2, 10.0) == pytest.approx(2.4, abs=0.05)


# Example 20 (from memory): Lyon, July, 26.6 and 14.8 deg C, 45.72 N: Hargreaves 5.0 mm/day.
def test_example_20_hargreaves():
    sun = daily_radiation.extraterrestrial_radiation_mj_m2_day(45.72, 196)
    eto = evapotranspiration.reference_evapotranspiration_hargreaves_mm_day(20.7, 26.6, 14.8, sun)
    assert eto == pytest.approx(5.0, abs=0.05)


def test_garden_need_by_hand():
    # 100 m2 at 5 mm x 0.9 less 1.5 mm of rain is 0.3 m3; at 75 % efficiency 0.4 m3. Derived.
    assert evapotranspiration.garden_water_m3_day(100.0, 5.0, 0.9, 1.5, 0.75) == pytest.approx(0.4)
    wet = evapotranspiration.garden_water_m3_day(100.0, np.array([5.0, 1.0]), 1.0, 3.0)
    assert wet == pytest.approx([0.2, 0.0])


def test_w32_example_17_bangkok():
    mean, high, low = 30.2, 34.8, 25.6
    assert evapotranspiration.vapour_pressure_slope_pa_k(mean) == pytest.approx(246, abs=0.5)
    pressure = evapotranspiration.air_pressure_pa(2.0)
    assert pressure == pytest.approx(101_300, abs=50)
    # The page goes on from its rounded 101.3 kPa.
    assert evapotranspiration.psychrometric_constant_pa_k(101_300.0) == pytest.approx(
        67.4, abs=0.05
    )
    assert evapotranspiration.mean_saturation_vapour_pressure_pa(high, low) == pytest.approx(
        4420, abs=5
    )
    day = 105  # 15 April
    extraterrestrial = daily_radiation.extraterrestrial_radiation_mj_m2_day(13.73, day)
    assert extraterrestrial == pytest.approx(38.06, abs=0.005)
    clear = daily_radiation.clear_sky_radiation_mj_m2_day(extraterrestrial, 2.0)
    assert clear == pytest.approx(28.54, abs=0.01)  # the page multiplies rounded 38.06 by 0.75
    solar = 22.65  # printed there, from 8.5 hours of sunshine
    short = daily_radiation.net_shortwave_mj_m2_day(solar)
    long = daily_radiation.net_longwave_mj_m2_day(high, low, 2850.0, solar, clear)
    assert short == pytest.approx(17.44, abs=0.005)
    assert long == pytest.approx(3.11, abs=0.01)  # computed on the page from rounded terms
    soil = 0.14  # printed there, from March's 29.2 C
    assert short - long == pytest.approx(14.33, abs=0.01)
    eto = evapotranspiration.reference_evapotranspiration_mm_day(
        short - long, soil, mean, high, low, 2.0, 2.0, vapour_pressure_pa=2850.0
    )
    assert eto == pytest.approx(5.72, abs=0.03)


def test_w33_example_18_uccle():
    high, low = 21.5, 12.3
    mean = (high + low) / 2
    wind = evapotranspiration.wind_at_2m_m_s(10 / 3.6, 10.0)  # 10 km/h
    assert wind == pytest.approx(2.078, abs=0.0005)
    assert evapotranspiration.mean_saturation_vapour_pressure_pa(high, low) == pytest.approx(
        1997, abs=0.5
    )
    vapor = evapotranspiration.actual_vapour_pressure_pa(high, low, 0.84, 0.63)
    assert vapor == pytest.approx(1409, abs=0.5)
    assert evapotranspiration.vapour_pressure_slope_pa_k(mean) == pytest.approx(122, abs=0.5)
    gamma = evapotranspiration.psychrometric_constant_pa_k(
        evapotranspiration.air_pressure_pa(100.0)
    )
    assert gamma == pytest.approx(66.6, abs=0.05)
    day = 187
    extraterrestrial = daily_radiation.extraterrestrial_radiation_mj_m2_day(50.80, day)
    assert extraterrestrial == pytest.approx(41.09, abs=0.005)
    clear = daily_radiation.clear_sky_radiation_mj_m2_day(extraterrestrial, 100.0)
    assert clear == pytest.approx(30.90, abs=0.005)
    # Eq. 34 and 35 as the page has them: hours of daylight, and 9.25 of sunshine among them.
    daylight = 24.0 / math.pi * daily_radiation.sunset_hour_angle_rad(50.80, day)
    assert daylight == pytest.approx(16.1, abs=0.05)
    solar = (0.25 + 0.50 * 9.25 / daylight) * extraterrestrial
    assert solar == pytest.approx(22.07, abs=0.005)
    short = daily_radiation.net_shortwave_mj_m2_day(solar)
    long = daily_radiation.net_longwave_mj_m2_day(high, low, vapor, solar, clear)
    assert short == pytest.approx(17.00, abs=0.005)
    assert long == pytest.approx(3.71, abs=0.005)
    assert short - long == pytest.approx(13.28, abs=0.005)
    eto = evapotranspiration.reference_evapotranspiration_mm_day(
        short - long,
        0.0,
        mean,
        high,
        low,
        wind,
        100.0,
        humidity_max_frac=0.84,
        humidity_min_frac=0.63,
    )
    assert eto == pytest.approx(3.88, abs=0.02)
