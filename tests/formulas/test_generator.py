import numpy as np
import pytest

from homestead.formulas.power import generator


def test_fuel_line_ends():
    burned = generator.fuel_w([0.0, 5e3, 10e3], 10e3, 12e3, 44e3)
    np.testing.assert_allclose(burned, [12e3, 28e3, 44e3])


def test_fuel_line_refuses_overload_and_perpetual_motion():
    with pytest.raises(ValueError, match="output_w must be from 0 to rated_w, 7500 W; got 8000"):
        generator.fuel_w(8000, 7500, 10e3, 40e3)
    with pytest.raises(ValueError, match="full_load_fuel_w must be no less than"):
        generator.fuel_w(1000, 7500, 1e3, 7e3)
    with pytest.raises(ValueError, match="output_w must be from 0 to 1e\\+07 W; got nan"):
        generator.fuel_w(np.nan, 7500, 10e3, 40e3)


def test_derating_gives_nothing_back_in_the_cold_or_below_the_sea():
    np.testing.assert_allclose(
        generator.derated_w(7500.0, [0.0, -100.0, 0.0], [25.0, 20.0, -30.0]), 7500.0
    )
    assert generator.derated_w(7500.0, 1500.0, 40.0) < generator.derated_w(7500.0, 1500.0, 30.0)


def test_derating_refuses_a_height_beyond_the_range():
    with pytest.raises(ValueError, match="elevation_m must be from -430 to 5000 m; got 9000"):
        generator.derated_w(7500.0, 9000, 25.0)


def test_efficiency_rises_with_load_on_a_straight_line():
    outputs = np.linspace(500.0, 7500.0, 8)
    shares = generator.efficiency_frac(
        outputs, generator.fuel_w(outputs, 7500.0, 12_000.0, 34_000.0)
    )
    assert np.all(np.diff(shares) > 0.0)
    with pytest.raises(ValueError, match="burned_w must be no less than output_w"):
        generator.efficiency_frac(10.0, 5.0)
