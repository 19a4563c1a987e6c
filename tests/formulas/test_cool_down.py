import math

import numpy as np
import pytest

from homestead.formulas.warmth import cool_down


def test_pipes_are_never_reached_by_a_mild_winter():
    hours = cool_down.hours_to_pipes_at_risk(20.0, np.array([-10.0, 0.0, 5.0]), 50.0)
    assert hours[0] == pytest.approx(50.0 * math.log(3.0))
    assert np.all(np.isinf(hours[1:]))


def test_a_house_below_the_target_needs_no_time():
    assert cool_down.hours_to_cool(8.0, 20.0, 10.0, 50.0) == 0.0


def test_time_constant_is_capacity_over_loss():
    assert cool_down.time_constant_h([9000.0, 18000.0], 200.0) == pytest.approx([45.0, 90.0])
    with pytest.raises(ValueError, match="loss_w_k"):
        cool_down.time_constant_h(9000.0, 0.0)


@pytest.mark.parametrize("tau", [0.0, -3.0, math.nan])
def test_time_constant_must_be_positive(tau):
    with pytest.raises(ValueError, match="time_constant_h"):
        cool_down.hours_to_cool(20.0, 0.0, 10.0, tau)


def test_cool_down_by_hand():
    assert cool_down.hours_to_cool(20.0, 0.0, 10.0, 40.0) == pytest.approx(40.0 * math.log(2.0))


def test_temperature_after_the_hours_to_cool_is_the_target():
    outside = np.array([-20.0, -5.0, 5.0])
    hours = cool_down.hours_to_cool(20.0, outside, 10.0, 55.0)
    # The room cools as an exponential towards the air outside.
    assert outside + (20.0 - outside) * np.exp(-hours / 55.0) == pytest.approx([10.0] * 3)
    assert np.all(np.diff(hours) > 0)
