import numpy as np
import pytest

from homestead.formulas.power import inverters


def test_frequency_watt_limits():
    shares = inverters.frequency_watt_frac([59.0, 60.0, 60.036, 61.536, 63.036, 65.0])
    np.testing.assert_allclose(shares, [1.0, 1.0, 1.0, 0.5, 0.0, 0.0], atol=1e-9)


def test_frequency_watt_refuses_settings_outside_the_adjustable_range():
    with pytest.raises(ValueError, match="droop_frac must be from 0.02 to 0.05; got 5"):
        inverters.frequency_watt_frac(60.5, droop_frac=5)
    with pytest.raises(ValueError, match="frequency_hz must be from 40 to 80 Hz; got nan"):
        inverters.frequency_watt_frac(np.nan)


def test_ac_coupling_for_arrays():
    within = inverters.is_ac_coupling_within_rating([2500.0, 9000.0, 9001.0], 9000.0)
    assert within.tolist() == [True, True, False]
    assert inverters.ac_coupling_ratio(4500.0, 9000.0) == pytest.approx(0.5)
    with pytest.raises(ValueError, match="grid_former_w must be from 1 to 1e\\+07 W; got 0"):
        inverters.ac_coupling_ratio(2500.0, 0)


# IEEE 1547-2018 defaults (case E26, from memory): full reduction from 1.0 pu needs 63.036 Hz.
def test_frequency_that_halts_a_follower():
    assert inverters.frequency_that_leaves_hz(0.0) == pytest.approx(63.036, abs=1e-9)
    assert inverters.frequency_that_leaves_hz(1.0) == pytest.approx(60.036, abs=1e-9)


def test_frequency_turns_the_droop_round():
    hz = inverters.frequency_that_leaves_hz([0.2, 0.5, 0.9])
    assert inverters.frequency_watt_frac(hz) == pytest.approx([0.2, 0.5, 0.9])
    with pytest.raises(ValueError, match="keep_frac"):
        inverters.frequency_that_leaves_hz(1.1)


def test_over_frequency_trips_of_the_standard():
    assert inverters.over_frequency_trips() == ((61.2, 300.0), (62.0, 0.16))
