import numpy as np
import pytest

from homestead import units
from homestead.formulas.power import peak_sun


def test_an_hour_of_full_sun_is_a_peak_sun_hour():
    # By definition: 1 kWh/m2 at 1000 W/m2.
    assert peak_sun.peak_sun_hours(units.parse("1 kWh", "energy")) == pytest.approx(1.0)


def test_rule_is_the_product():
    # 2 kW x 4.5 h x 0.75 = 6.75 kWh.
    assert peak_sun.rule_wh(2000.0, 4.5) == pytest.approx(6750.0)
    assert peak_sun.rule_wh(2000.0, np.array([0.0, 4.0]), 0.5).tolist() == [0.0, 4000.0]


def test_share_of_the_rule_is_within_what_the_trade_says():
    assert 0.7 <= peak_sun.rule_derate_frac() <= 0.8


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: peak_sun.peak_sun_hours(-1.0), "insolation_wh_m2"),
        (lambda: peak_sun.rule_wh(-1.0, 1.0), "rated_w"),
        (lambda: peak_sun.rule_wh(1.0, float("nan")), "sun_h"),
        (lambda: peak_sun.rule_wh(1.0, 1.0, 1.5), "derate_frac"),
    ],
)
def test_values_out_of_range_are_named(call, name):
    with pytest.raises(ValueError, match=name):
        call()
