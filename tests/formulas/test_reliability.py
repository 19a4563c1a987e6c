import numpy as np
import pytest

from homestead.formulas.power import reliability


def test_a_supply_that_is_enough_loses_nothing():
    assert reliability.loss_of_power_supply_frac([1.0, 2.0], [1.0, 5.0]) == 0.0
    assert reliability.loss_of_load_time_frac([1.0, 2.0], [1.0, 5.0]) == 0.0


def test_a_surplus_hour_does_not_pay_for_a_short_one():
    assert reliability.expected_unserved_wh([5.0, 5.0], [10.0, 0.0]) == pytest.approx(5.0)


def test_measures_of_several_years_at_once():
    demand = np.ones((2, 4))
    supply = np.array([[1.0, 1.0, 1.0, 0.0], [0.0, 0.0, 0.5, 0.5]])
    np.testing.assert_allclose(reliability.loss_of_power_supply_frac(demand, supply), [0.25, 0.75])
    np.testing.assert_allclose(reliability.loss_of_load_time_frac(demand, supply), [0.25, 1.0])


def test_measures_raise():
    with pytest.raises(ValueError, match="demand_wh must sum to more than 0 Wh"):
        reliability.loss_of_power_supply_frac([0.0, 0.0], [1.0, 1.0])
    with pytest.raises(ValueError, match="demand_wh must be a series of 1 or more hours"):
        reliability.loss_of_load_time_frac([], [])
    with pytest.raises(ValueError, match="supply_wh must be 0 or more Wh; got"):
        reliability.expected_unserved_wh([1.0], [np.nan])


def test_outage_table_of_one_unit():
    out_w, chances = reliability.capacity_outage_table([5000.0], 0.1)
    np.testing.assert_allclose(out_w, [0.0, 5000.0])
    np.testing.assert_allclose(chances, [0.9, 0.1])


# Two units of 5 kW, one in ten and one in five out of order: a load of 6 kW needs both,
# 1 - 0.9 x 0.8 = 0.28; 5 kW fails only when both are out, 0.02; nothing never fails. By hand.
def test_loss_of_load_probability_by_hand():
    chances = reliability.loss_of_load_probability_frac([0.0, 5e3, 6e3], [5e3, 5e3], [0.1, 0.2])
    np.testing.assert_allclose(chances, [0.0, 0.02, 0.28], atol=1e-12)


def test_outage_table_raises():
    with pytest.raises(ValueError, match="forced_outage_frac must be from 0 to 1; got 2"):
        reliability.capacity_outage_table([5e3], 2)
    with pytest.raises(ValueError, match="forced_outage_frac must be one number or 3; got"):
        reliability.capacity_outage_table([5e3, 5e3, 5e3], [0.1, 0.2])
    with pytest.raises(ValueError, match="unit_w must be a list of 1 to 20 units"):
        reliability.capacity_outage_table(np.full(21, 5e3), 0.1)
