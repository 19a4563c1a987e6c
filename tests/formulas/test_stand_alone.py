import numpy as np
import pytest

from homestead.formulas.power.stand_alone import series_parallel_bank, stand_alone_worksheet


def test_bank_of_one_is_the_battery_itself():
    assert series_parallel_bank(12.0, 100.0, 1, 1) == (12.0, 100.0, 1200.0)


def test_bank_of_an_array_of_strings():
    bank = series_parallel_bank(6.0, 225.0, 4, np.array([1, 2]))
    np.testing.assert_allclose(bank.nominal_wh, [5400.0, 10_800.0])


@pytest.mark.parametrize("series_n", [0, 2.5, np.nan])
def test_bank_refuses_a_count_that_is_not_whole(series_n):
    with pytest.raises(ValueError, match="series_n must be"):
        series_parallel_bank(6.0, 225.0, series_n, 1)


def test_worksheet_without_losses_is_plain_division():
    # 2400 Wh at 24 V is 100 Ah; over 5 h 20 A; two days at half depth 400 Ah.
    result = stand_alone_worksheet(
        0.0, 2400.0, 24.0, 5.0, 2.0, 0.5, 1.0, 1.0, 1.0, 1.0, module_derate_frac=1.0
    )
    assert result == pytest.approx((100.0, 100.0, 20.0, 20.0, 400.0, 9600.0))


def test_worksheet_broadcasts_and_grows_with_storage_days():
    result = stand_alone_worksheet(4000.0, 0.0, 48.0, 4.0, np.array([1.0, 3.0]), 0.8)
    assert result.battery_ah[1] == pytest.approx(3.0 * result.battery_ah[0])


def test_worksheet_refuses_a_day_without_sun():
    with pytest.raises(ValueError, match="peak_sun_h_day must be from 0.1 to 15 h; got 0"):
        stand_alone_worksheet(4000.0, 0.0, 48.0, 0, 3.0, 0.8)
