"""Evapotranspiration: limits, forms of humidity, and the sun's edge cases."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from homestead.formulas.water import daily_radiation, evapotranspiration

DAY = (13.28, 0.0, 16.9, 21.5, 12.3, 2.078, 100.0)


def test_three_forms_of_humidity_agree_where_they_must():
    vapor = evapotranspiration.actual_vapour_pressure_pa(21.5, 12.3, 0.84, 0.63)
    by_vapour = evapotranspiration.reference_evapotranspiration_mm_day(
        *DAY, vapour_pressure_pa=vapor
    )
    by_extremes = evapotranspiration.reference_evapotranspiration_mm_day(
        *DAY, humidity_max_frac=0.84, humidity_min_frac=0.63
    )
    share = vapor / evapotranspiration.mean_saturation_vapour_pressure_pa(21.5, 12.3)
    by_mean = evapotranspiration.reference_evapotranspiration_mm_day(*DAY, humidity_mean_frac=share)
    assert by_vapour == pytest.approx(by_extremes, rel=1e-12)
    assert by_vapour == pytest.approx(by_mean, rel=1e-12)


@pytest.mark.parametrize(
    "forms",
    [
        {},
        {"humidity_max_frac": 0.8},
        {"vapour_pressure_pa": 1400.0, "humidity_mean_frac": 0.7},
        {"vapour_pressure_pa": 1400.0, "humidity_min_frac": 0.7},
    ],
)
def test_humidity_comes_in_exactly_one_form(forms):
    with pytest.raises(ValueError, match="exactly one of vapour_pressure_pa"):
        evapotranspiration.reference_evapotranspiration_mm_day(*DAY, **forms)


def test_highest_below_lowest_is_refused():
    with pytest.raises(ValueError, match="max_c must not be below min_c"):
        evapotranspiration.reference_evapotranspiration_mm_day(
            13.0, 0.0, 17.0, 10.0, 12.0, 2.0, 100.0, vapour_pressure_pa=1000.0
        )


def test_dew_is_not_negative_need():
    night = evapotranspiration.reference_evapotranspiration_mm_day(
        -5.0, 0.0, 5.0, 6.0, 4.0, 0.0, 100.0, humidity_mean_frac=1.0
    )
    assert night == 0


@given(wind=st.floats(0, 10), more_sun=st.floats(0, 10), damp=st.floats(0.2, 0.9))
def test_more_sun_and_drier_air_never_use_less(wind, more_sun, damp):
    def eto(net, humidity):
        return evapotranspiration.reference_evapotranspiration_mm_day(
            net, 0.0, 20.0, 26.0, 14.0, wind, 200.0, humidity_mean_frac=humidity
        )

    assert eto(8.0 + more_sun, damp) >= eto(8.0, damp)
    assert eto(8.0, damp - 0.1) >= eto(8.0, damp)


def test_sun_chain_broadcasts_over_days_and_places():
    days = np.arange(1, 366)
    places = np.array([[-35.0], [0.0], [36.1]])
    sun = daily_radiation.extraterrestrial_radiation_mj_m2_day(places, days)
    assert sun.shape == (3, 365)
    assert np.all(sun > 0)
    # The south has its summer when the north has its winter.
    assert days[sun[0].argmax()] < 10 or days[sun[0].argmax()] > 340
    assert 150 < days[sun[2].argmax()] < 190


def test_slope_is_the_derivative_of_the_curve():
    # The publication rounds the constant to 4098 (= 17.27 x 237.3 = 4098.2), so 1e-4.
    step = 1e-4
    for air in (-5.0, 10.0, 30.0):
        high = evapotranspiration.saturation_vapour_pressure_pa(air + step)
        low = evapotranspiration.saturation_vapour_pressure_pa(air - step)
        numeric = (high - low) / (2 * step)
        assert evapotranspiration.vapour_pressure_slope_pa_k(air) == pytest.approx(
            numeric, rel=1e-4
        )


def test_polar_night_and_midnight_sun():
    assert daily_radiation.extraterrestrial_radiation_mj_m2_day(80.0, 355) == pytest.approx(
        0.0, abs=1e-9
    )
    assert daily_radiation.extraterrestrial_radiation_mj_m2_day(90.0, 172) > 40
