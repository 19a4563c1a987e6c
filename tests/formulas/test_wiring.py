import numpy as np
import pytest

from homestead.formulas.power import wiring
from homestead.units import parse


def test_ampacity_broadcasts_over_ambient_and_count():
    amps = wiring.conductor_ampacity_a("4", "copper", 90, [30.0, 40.0], [[3], [6]])
    np.testing.assert_allclose(amps, [[95.0, 86.45], [76.0, 69.16]])


def test_ampacity_between_rows_takes_the_warmer():
    assert wiring.conductor_ampacity_a("8", "copper", 75, 30.5) == pytest.approx(50.0 * 0.94)
    # 104 deg F is 40 deg C, a row of its own.
    warm_c = parse("104 °F", "temperature")
    assert wiring.conductor_ampacity_a("8", "copper", 75, warm_c) == pytest.approx(50.0 * 0.88)


def test_ampacity_raises_off_the_table():
    with pytest.raises(ValueError, match="ambient_c must be from -60 to 55 deg C; got 60"):
        wiring.conductor_ampacity_a("8", "copper", 60, 60)
    with pytest.raises(ValueError, match="size must be one of 12, 10, .* aluminum; got '14'"):
        wiring.conductor_ampacity_a("14", "aluminum", 75)
    with pytest.raises(ValueError, match="metal must be 'copper' or 'aluminum'; got 'silver'"):
        wiring.conductor_ampacity_a("14", "silver", 75)
    with pytest.raises(ValueError, match="insulation_c must be 60, 75 or 90 deg C; got 105"):
        wiring.conductor_ampacity_a("14", "copper", 105)
    with pytest.raises(ValueError, match="current_carrying_n must be a whole number"):
        wiring.conductor_ampacity_a("14", "copper", 75, 30, 3.5)


def test_thicker_conductors_resist_less_and_carry_more():
    sizes = ["14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
    ohms = [wiring.conductor_resistance_ohm_m(size, "copper") for size in sizes]
    amps = [wiring.conductor_ampacity_a(size, "copper", 75) for size in sizes]
    assert np.all(np.diff(ohms) < 0.0)
    assert np.all(np.diff(amps) > 0.0)


# Chapter 9 Table 8, note 2: 1 + 0.00323 (25 - 75) = 0.8385 for copper.
def test_resistance_changes_with_temperature():
    hot, cool = wiring.conductor_resistance_ohm_m("6", "copper", np.array([75.0, 25.0]))
    assert cool / hot == pytest.approx(0.8385)
    with pytest.raises(ValueError, match="conductor_c must be from -60 to 150 deg C; got 200"):
        wiring.conductor_resistance_ohm_m("6", "copper", 200)


def test_voltage_drop_goes_with_current_and_length():
    drops = wiring.voltage_drop_v([0.0, 10.0, 20.0], 30.0, "10", "copper")
    assert drops[0] == 0.0
    assert drops[2] == pytest.approx(2.0 * drops[1])
    twice_as_far = wiring.voltage_drop_v(10.0, 60.0, "10", "copper")
    assert twice_as_far == pytest.approx(2.0 * drops[1])
    with pytest.raises(ValueError, match="one_way_m must be from 0 to 100000 m; got -1"):
        wiring.voltage_drop_v(10.0, -1, "10", "copper")


def test_next_breaker_keeps_an_exact_rating_and_refuses_beyond_the_list():
    np.testing.assert_allclose(
        wiring.next_standard_breaker_a([0.0, 15.0, 15.1, 25.6 * 1.5625, 400.0]),
        [15.0, 15.0, 20.0, 40.0, 400.0],
    )
    with pytest.raises(ValueError, match="minimum_a must be from 0 to 1200 A; got 1201"):
        wiring.next_standard_breaker_a(1201)


def test_continuous_load_and_busbar_for_arrays():
    np.testing.assert_allclose(wiring.continuous_load_minimum_a([0.0, 16.0]), [0.0, 20.0])
    np.testing.assert_allclose(wiring.busbar_allowance_a([225.0, 200.0], [200.0, 150.0]), [70, 90])
    with pytest.raises(ValueError, match="current_a must be from 0 to 100000 A; got nan"):
        wiring.continuous_load_minimum_a(float("nan"))
    with pytest.raises(ValueError, match="main_breaker_a must be from 0 to the busbar's 100 A"):
        wiring.busbar_allowance_a(100, 125)


def test_small_conductor_rule_names_only_small_conductors():
    with pytest.raises(ValueError, match="size must be one of 14, 12, 10 for copper; got '8'"):
        wiring.small_conductor_breaker_a("8", "copper")


def test_standard_ratings_are_known():
    assert wiring.is_standard_rating(20) and wiring.is_standard_rating(450)
    assert not wiring.is_standard_rating(18) and not wiring.is_standard_rating(0)
    with pytest.raises(ValueError, match="breaker_a"):
        wiring.is_standard_rating(-1)
