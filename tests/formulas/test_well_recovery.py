"""How a well fills up again, and where a pump settles when the level falls with its flow."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from homestead.formulas.water import pumps, wells
from homestead.units import parse


# Derived by hand: 90 gal drawn, 1.5 gal/min: 60 min.
def test_casing_recovery_by_hand():
    hours = wells.casing_recovery_h(parse("90 gal", "volume"), parse("1.5 gal/min", "flow"))
    assert hours == pytest.approx(1.0, rel=1e-12)
    assert wells.casing_recovery_h([0.0, 1.0], 1e-3) == pytest.approx([0.0, 1000 / 3600])
    with pytest.raises(ValueError, match="yield_m3s must be from 1e-09 to 1"):
        wells.casing_recovery_h(1.0, 0.0)


# Derived: the level's own differential equation, stepped second by second, is an independent way.
def test_level_recovery_against_small_steps():
    area_m2, capacity = math.pi / 4 * 0.15**2, 2e-5
    left, seconds = 1.0, 0
    while left > 0.1:
        left -= capacity * left / area_m2
        seconds += 1
    assert wells.level_recovery_h(0.15, capacity, 0.9) == pytest.approx(seconds / 3600, rel=2e-3)
    assert wells.level_recovery_h(0.15, capacity, [0.0, 0.5])[0] == 0.0
    with pytest.raises(ValueError, match="recovered_frac must be from 0 to 0.999"):
        wells.level_recovery_h(0.15, capacity, 1.0)


# Independent: a root finder of another library, and friction by the formula in US units with its
# own constant (4.52 psi form, 0.2 % apart from the SI one, so 0.1 % in flow).
@pytest.mark.parametrize("most_m", [1000.0, 3.0])
def test_operating_point_with_drawdown_against_a_root_finder(most_m):
    flows = [parse(f"{q} gal/min", "flow") for q in (0, 5, 10)]
    heads = [parse(f"{h} ft", "length") for h in (300, 240, 100)]
    fall = parse("40 ft", "length") / parse("5 gal/min", "flow")
    lift_m, bore_m, length_m = 40.0, parse("1.049 in", "length"), parse("300 ft", "length")

    def spare_m(q_m3s):
        gpm = q_m3s / parse("1 gal/min", "flow")
        psi_ft = 4.52 * gpm**1.852 / (145**1.852 * 1.049**4.8704)
        friction_m = psi_ft * 2.3067 * length_m
        pump_m = np.interp(q_m3s, flows, heads)
        return pump_m - lift_m - min(fall * q_m3s, most_m) - friction_m

    found = pumps.pump_operating_point(flows, heads, lift_m, bore_m, length_m, 145, fall, most_m)
    assert found.flow_m3s == pytest.approx(brentq(spare_m, 0.0, flows[-1]), rel=1e-3)
    assert not found.runs_off_curve


def test_drawdown_never_adds_flow():
    curve = ([0.0, 3e-4, 6e-4], [90.0, 70.0, 20.0])
    falls = np.array([0.0, 1e4, 1e5])
    found = pumps.pump_operating_point(*curve, 40.0, 0.027, 80.0, 145.0, falls)
    assert np.all(np.diff(found.flow_m3s) < 0)
    with pytest.raises(ValueError, match="drawdown_per_flow_s_m2"):
        pumps.pump_operating_point(*curve, 40.0, 0.027, 80.0, 145.0, -1.0)
