import numpy as np
import pytest

from homestead.formulas.warmth import cooling

POINTS_C = [-15.0, 0.0, 10.0]
RATED_W = [4000.0, 7000.0, 9000.0]


def test_cooling_electricity_closes_with_the_cop():
    load = np.array([0.0, 3500.0])
    electric = cooling.cooling_electric_wh(load, 14.0)
    assert electric * cooling.cooling_cop(14.0) == pytest.approx(load)
    with pytest.raises(ValueError, match="seer"):
        cooling.cooling_electric_wh(3500.0, 0.0)


# Density 1.2 kg/m3 and 1006 J/(kg K), dry air at 20 degC (textbook): within 0.1 % of the trade's.
def test_heat_of_air_against_textbook_properties():
    assert cooling.air_heat_wh_m3k() * 3600.0 == pytest.approx(1.2 * 1006.0, rel=0.001)


# By hand: halfway between points the mean; 5 K below the coldest 1000 W less; held above.
def test_heat_pump_capacity_between_and_beyond_points():
    outdoor = [-7.5, 5.0, -20.0, -60.0, 30.0]
    capacity = cooling.heat_pump_capacity_w(outdoor, POINTS_C, RATED_W)
    assert capacity == pytest.approx([5500.0, 8000.0, 3000.0, 0.0, 9000.0])


def test_heat_pump_cop_is_never_below_a_plain_heater():
    cop = cooling.heat_pump_cop([-40.0, 0.0], POINTS_C, [1.8, 2.8, 3.6])
    assert cop == pytest.approx([1.0, 2.8])


@pytest.mark.parametrize("points", [[0.0, -15.0, 10.0], [0.0, 10.0], [5.0]])
def test_heat_pump_points_must_rise_and_match(points):
    with pytest.raises(ValueError, match="rated_outdoor_c"):
        cooling.heat_pump_capacity_w(0.0, points, RATED_W)
