"""Cell temperature and its effect, against printed examples."""

import pytest

from homestead.formulas.power.solar import cell_temperature_noct_c, cell_temperature_sandia_c


# E15 (from memory). G. M. Masters, Renewable and Efficient Electric Power Systems, 2004, Example
# 8.4: NOCT 47, air 30 deg C, 1000 W/m2: 64 deg C; 150 W at -0.5 %/deg C: 121 W.
def test_cell_temperature_masters_8_4():
    cell = cell_temperature_noct_c(1000.0, 30.0, 47.0)
    assert cell == pytest.approx(64.0, abs=0.3)
    assert 150.0 * (1.0 - 0.005 * (cell - 25.0)) == pytest.approx(121.0, abs=0.5)
    assert 42.8 * (1.0 - 0.0037 * (cell - 25.0)) == pytest.approx(36.7, abs=0.1)


# E16. SAND2004-3535 (2004), Table 1 coefficients (from memory); 900 W/m2, 20 deg C, 5 m/s gives
# 43.51 deg C (recomputed, and equal to a public library's own test value).
def test_cell_temperature_sandia():
    cell = cell_temperature_sandia_c(900.0, 20.0, 5.0, "glass/cell/glass, open rack")
    assert cell == pytest.approx(43.51, abs=0.01)
