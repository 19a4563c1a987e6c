import numpy as np
import pytest

from homestead.formulas.power import electrical
from homestead.units import parse


def test_cold_factor_is_one_from_standard_conditions_up():
    np.testing.assert_allclose(electrical.cold_voltage_factor([25.0, 40.0]), 1.0)
    assert electrical.cold_voltage_factor(24.9) == pytest.approx(1.02)


def test_cold_factor_between_two_rows_takes_the_colder():
    assert electrical.cold_voltage_factor(-5.5) == pytest.approx(1.14)
    assert electrical.cold_voltage_factor(parse("14 °F", "temperature")) == pytest.approx(1.14)


@pytest.mark.parametrize("ambient_c", [-40.5, 61.0, np.nan, "cold"])
def test_cold_factor_off_the_table_raises(ambient_c):
    with pytest.raises(ValueError, match="lowest_ambient_c must be from -40 to 60 deg C; got"):
        electrical.cold_voltage_factor(ambient_c)


def test_cold_voltage_at_standard_conditions_is_the_label():
    volts = electrical.cold_open_circuit_v(np.array([40.0, 50.0]), 25.0, -0.003)
    np.testing.assert_allclose(volts, [40.0, 50.0])


def test_a_coefficient_in_per_cent_is_refused():
    with pytest.raises(ValueError, match="coefficient_per_c must be from -0.01 to 0 1/K; got"):
        electrical.cold_open_circuit_v(49.5, -10.0, -0.27)


def test_longest_string_at_the_boundary_and_for_arrays():
    # 1.00 x 60 V ten times is 600 V to the last volt.
    assert electrical.most_modules_in_series(60.0, 600.0, 25.0) == 10
    assert isinstance(electrical.most_modules_in_series(60.0, 600.0, 25.0), int)
    counts = electrical.most_modules_in_series([60.0, 60.1, 700.0], 600.0, 25.0)
    assert counts.tolist() == [10, 9, 0]


# 40 V x (1 - 0.004 x 50) = 32 V; 120 / 32 = 3.75, so four modules; by hand.
def test_shortest_string_by_hand():
    assert electrical.fewest_modules_in_series(40.0, -0.004, 75.0, 120.0) == 4
    counts = electrical.fewest_modules_in_series(40.0, -0.004, 75.0, [0.0, 96.0, 96.1])
    assert counts.tolist() == [1, 3, 4]


def test_shortest_string_refuses_impossible_cells():
    with pytest.raises(ValueError, match="cell_c must be from -40 to 120 deg C; got 150"):
        electrical.fewest_modules_in_series(40.0, -0.004, 150, 120.0)


def test_source_current_has_both_factors():
    np.testing.assert_allclose(electrical.pv_source_current_a([0.0, 16.0]), [0.0, 25.0])
    np.testing.assert_allclose(electrical.pv_maximum_current_a([0.0, 16.0]), [0.0, 20.0])
    with pytest.raises(ValueError, match="short_circuit_a must be from 0 to 10000 A; got -1"):
        electrical.pv_source_current_a(-1)
