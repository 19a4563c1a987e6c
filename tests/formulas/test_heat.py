import math

import numpy as np
import pytest

from homestead import units
from homestead.formulas.warmth import heat


def test_degree_days_add_over_the_last_axis():
    days = np.array([[8.333, 18.333, 28.333], [-1.667, 18.0, 18.333]])
    assert heat.degree_days_k(days) == pytest.approx([10.0, 20.333])
    assert heat.cooling_degree_days_k(days) == pytest.approx([10.0, 0.0])


@pytest.mark.parametrize("wrong", [math.nan, 61.0, [10.0, math.inf], "cold"])
def test_degree_days_refuse_what_is_no_air_temperature(wrong):
    with pytest.raises(ValueError, match="daily_mean_c must be from -80 to 60 degC"):
        heat.degree_days_k(wrong)


def test_more_insulation_never_loses_more():
    loss = heat.conduction_w_k(100.0, np.linspace(0.1, 10.0, 50))
    assert np.all(np.diff(loss) < 0)


@pytest.mark.parametrize(("area", "r", "name"), [(-1.0, 2.0, "area_m2"), (1.0, 0.0, "r_m2k_w")])
def test_conduction_limits(area, r, name):
    with pytest.raises(ValueError, match=name):
        heat.conduction_w_k(area, r)


# ASHRAE 90.1, Table A6.3, unheated slab F-0.73 and F-0.54 (from memory). As printed.
def test_ground_loss_of_a_slab():
    edge = units.parse("100 ft", "length")
    bare = units.convert(heat.ground_loss_w_k(edge), "heat_loss")
    insulated = units.convert(heat.ground_loss_w_k(edge, "slab edge, R-10 to 24 in"), "heat_loss")
    assert (bare, insulated) == pytest.approx((73.0, 54.0))
    with pytest.raises(ValueError, match="nearest: slab edge"):
        heat.ground_loss_w_k(edge, "slab edge")


def test_design_loss_is_nought_on_a_warm_night():
    assert heat.design_heat_loss_w(200.0, 20.0, [-10.0, 25.0]) == pytest.approx([6000.0, 0.0])


def test_sizing_ratio():
    assert heat.heater_sizing_ratio(9000.0, 6000.0) == pytest.approx(1.5)
    with pytest.raises(ValueError, match="design_loss_w"):
        heat.heater_sizing_ratio(9000.0, 0.0)


def test_design_temperature_of_hours():
    hours = np.arange(100.0) / 2.0
    assert heat.heating_design_c(hours, 1.0) == 0.0
    assert heat.heating_design_c(hours, 0.5) == pytest.approx(np.median(hours))
