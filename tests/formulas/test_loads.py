import numpy as np
import pytest

from homestead.formulas.power import loads
from homestead.units import parse


def test_appliance_energy_for_arrays_and_limits():
    np.testing.assert_allclose(loads.appliance_wh([0.0, 100.0], 24.0, 2, 0.5), [0.0, 2400.0])
    with pytest.raises(ValueError, match="hours_h_day must be from 0 to 24 h; got 25"):
        loads.appliance_wh(100.0, 25)
    with pytest.raises(ValueError, match="duty_frac must be from 0 to 1; got nan"):
        loads.appliance_wh(100.0, 24, duty_frac=np.nan)


def test_cost_by_hand():
    np.testing.assert_allclose(loads.energy_cost([0.0, 2000.0], 0.15), [0.0, 0.30])
    with pytest.raises(ValueError, match="price_per_kwh must be from 0 to 1000; got -1"):
        loads.energy_cost(1000.0, -1)


def test_unknown_appliance_lists_the_nearest():
    with pytest.raises(ValueError, match="nearest: .*microwave oven"):
        loads.typical_power_w("microwave")


# A 725 W compressor by the DOE's third runs 8 h a day and uses 5.8 kWh (0.333 as printed).
def test_compressor_duty_by_hand():
    used = loads.appliance_wh(725.0, 24.0, 1, loads.compressor_duty_frac())
    assert used == pytest.approx(5800.0, rel=0.002)


def test_refrigerator_rules_get_stricter():
    volumes = np.array([parse("12 ft³", "volume"), parse("22 ft³", "volume")])
    rules = [loads.refrigerator_standard_wh_year(volumes, year) for year in (2001, 2014, 2029)]
    assert np.all(rules[0] > rules[1]) and np.all(rules[1] > rules[2])
    with pytest.raises(ValueError, match="rule_year must be 2001, 2014 or 2029; got 1993"):
        loads.refrigerator_standard_wh_year(0.5, 1993)
    with pytest.raises(ValueError, match="adjusted_volume_m3 must be from 0.1 to 1.5 m3; got 16.4"):
        loads.refrigerator_standard_wh_year(16.4)


def test_daily_use_from_a_label():
    np.testing.assert_allclose(loads.daily_from_label_wh([0.0, 365e3]), [0.0, 1000.0])
    with pytest.raises(ValueError, match="label_wh_year must be 0 or more Wh; got -1"):
        loads.daily_from_label_wh(-1)


def test_load_shape_covers_a_day():
    shape = loads.default_load_shape_frac()
    assert shape.shape == (24,)
    assert shape.sum() == pytest.approx(1.0)
    assert np.all(shape > 0.0)


# 20,000 ft2 x 3 + 4500 = 64,500 VA; 3000 + 0.35 x 61,500 = 24,525 VA, by hand.
def test_dwelling_general_load_by_hand():
    demand = loads.dwelling_demand_va(parse("20000 ft²", "area"))
    assert demand.general_demand_va == pytest.approx(24_525.0)
    assert demand.range_va == 0.0 and demand.dryer_va == 0.0


# Ten kitchen and five laundry circuits over 21,000 ft2 make 85,500 VA, still in the middle step:
# 3000 + 0.35 x 82,500 = 31,875 VA, by hand.
def test_dwelling_of_several_areas():
    areas_m2 = np.array([parse("1500 ft²", "area"), parse("21000 ft²", "area")])
    general = loads.dwelling_demand_va(areas_m2, 10, 5).general_demand_va
    np.testing.assert_allclose(general, [3000.0 + 0.35 * 24_000.0, 31_875.0])


def test_dwelling_range_steps_and_least_dryer():
    area = parse("1500 ft²", "area")
    ranges = loads.dwelling_demand_va(area, range_va=[5e3, 12e3, 13e3, 13.6e3]).range_va
    np.testing.assert_allclose(ranges, [5e3, 8e3, 8.4e3, 8.8e3])
    assert loads.dwelling_demand_va(area, dryer_va=4000.0).dryer_va == pytest.approx(5000.0)


def test_dwelling_refuses_one_kitchen_circuit():
    with pytest.raises(ValueError, match="small_appliance_n must be from 2 to 10; got 1"):
        loads.dwelling_demand_va(140.0, small_appliance_n=1)
