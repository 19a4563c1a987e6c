import math

import numpy as np
import pytest

from homestead.formulas.power import motors


def test_locked_rotor_bands_follow_each_other():
    letters = "ABCDEFGHJKLMNPRSTUV"
    bands = [motors.locked_rotor_a(1.0, letter, 230.0) for letter in letters]
    lows, highs = zip(*bands, strict=True)
    assert lows[0] == 0.0 and highs[-1] == math.inf
    assert all(high < low for high, low in zip(highs[:-1], lows[1:], strict=True))


def test_locked_rotor_of_arrays_and_phases():
    one_phase = motors.locked_rotor_a([1.0, 2.0], "J", 230.0)[0]
    three_phase = motors.locked_rotor_a([1.0, 2.0], "J", 230.0, phases=3)[0]
    np.testing.assert_allclose(one_phase / three_phase, math.sqrt(3.0))
    assert one_phase[1] == pytest.approx(2.0 * one_phase[0])


def test_locked_rotor_raises():
    with pytest.raises(ValueError, match="code_letter must be one of A, B, .*; got 'I'"):
        motors.locked_rotor_a(1.0, "I", 230.0)
    with pytest.raises(ValueError, match="phases must be 1 or 3; got 2"):
        motors.locked_rotor_a(1.0, "J", 230.0, phases=2)
    with pytest.raises(ValueError, match="horsepower must be from 0.01 to 1000 hp; got 0"):
        motors.locked_rotor_a(0, "J", 230.0)


def test_full_load_takes_system_voltages_and_arrays():
    np.testing.assert_allclose(motors.motor_full_load_a([0.33, 0.75, 1.5], 240), [3.6, 6.9, 10.0])
    assert motors.motor_full_load_a(0.5, 120) == pytest.approx(9.8)


def test_full_load_raises_off_the_table():
    with pytest.raises(ValueError, match="horsepower must be a row of the table"):
        motors.motor_full_load_a(0.9, 230)
    with pytest.raises(ValueError, match="horsepower must be from .* to 10 hp; got 15"):
        motors.motor_full_load_a(15, 230)
    with pytest.raises(ValueError, match="volts must be 110 to 120, 200, 208 or 220 to 240 V"):
        motors.motor_full_load_a(1.0, 480)


# NEC Table 430.248 (case E31, found): 3/4 hp at 230 V 6.9 A, 1 hp 8.0 A, 1/2 hp at 115 V 9.8 A.
@pytest.mark.parametrize(
    ("horsepower", "volts", "expected_a"),
    [(0.75, 230, 6.9), (0.8, 230, 8.0), (1.0, 240, 8.0), (0.4, 115, 9.8), (0.05, 115, 4.4)],
)
def test_full_load_takes_the_row_that_is_not_below(horsepower, volts, expected_a):
    assert motors.full_load_at_least_a(horsepower, volts) == expected_a


@pytest.mark.parametrize("horsepower", [0.0, 10.5, float("nan")])
def test_full_load_row_has_its_limits(horsepower):
    with pytest.raises(ValueError, match="horsepower"):
        motors.full_load_at_least_a(horsepower, 230)


# Across the line: five to eight times the running current, six as a rule (case E33, from memory).
def test_across_the_line_and_soft_start():
    assert motors.across_the_line_a(10.0) == 60.0
    # A third with a soft starter: common practice, no source.
    assert motors.soft_start_a([90.0, 30.0]) == pytest.approx([30.0, 10.0], rel=0.002)
    for formula in (motors.across_the_line_a, motors.soft_start_a):
        with pytest.raises(ValueError, match="_a must be from 0"):
            formula(-1.0)


def test_branch_circuit_factors_for_arrays():
    np.testing.assert_allclose(motors.motor_breaker_maximum_a([0.0, 8.0]), [0.0, 20.0])
    with pytest.raises(ValueError, match="full_load_a must be from 0 to 10000 A; got -8"):
        motors.motor_breaker_maximum_a(-8)
