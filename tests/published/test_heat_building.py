"""Building heat loss and cool-down against published worked examples, by case id."""

import numpy as np
import pytest

from homestead import units
from homestead.findings import cautions
from homestead.formulas.warmth import cool_down, fuels, heat


def us_r(resistance_m2k_w):
    return units.convert(resistance_m2k_w, "thermal_resistance")


# H15: hydronic-heating course notes, eq. 2.8: 30 x 50 x 8 ft, 0.8 air changes, 70 in, 10 degF out:
# 10,368 Btu/h. Status: found. Exact.
def test_h15_infiltration():
    loss = heat.infiltration_w_k(units.parse("12000 ft³", "volume"), 0.8)
    room, out = (units.parse(t, "temperature") for t in ("70 °F", "10 °F"))
    watts = heat.design_heat_loss_w(loss, room, out)
    assert watts / units.parse("1 Btu/h", "power") == pytest.approx(10_368, abs=0.5)


# H16: Moaveni, Engineering Fundamentals, 4th ed., Example 11.19: 62,000 Btu/h at 82 degF, HDD 8382,
# furnace 94 %, gas 1000 Btu/ft3: 18,146 Btu a degree-day, 152 million Btu, 161,700 ft3 (161,811
# without the book's rounding). Status: found. Tolerance 0.1 %.
def test_h16_degree_day_fuel():
    design = units.parse("62000 Btu/h", "power")
    loss = design / units.parse("82 °F", "temperature_difference")
    one = units.parse("1 Btu", "energy")
    a_day = heat.seasonal_heat_wh(loss, units.parse("1 °F", "temperature_difference")) / one
    assert a_day == pytest.approx(18_146, rel=0.001)
    season = heat.seasonal_heat_wh(loss, units.parse("8382 °F", "temperature_difference"))
    assert season / one == pytest.approx(152e6, rel=0.001)
    gas_wh_m3 = units.parse("1000 Btu", "energy") / units.parse("1 ft³", "volume")
    burned = fuels.fuel_for_heat(season, "natural gas", 0.94, gas_wh_m3)
    assert burned / units.parse("1 ft³", "volume") == pytest.approx(161_700, rel=0.001)


# H17: Nagle, Saff & Snider, Fundamentals of Differential Equations, sec. 3.3 problem 6: 21 to 16 C
# with 12 C outside: 2.43 h at 3 h, 1.62 h at 2 h. Status: found. Tolerance 0.01 h.
def test_h17_cool_down():
    hours = cool_down.hours_to_cool(21.0, 12.0, 16.0, np.array([3.0, 2.0]))
    assert hours == pytest.approx([2.43, 1.62], abs=0.01)


# H18: WHO 2018 18 C (64 F), 20 C for infants and the elderly; Univ. of Illinois 20 F outdoors for
# attic pipes; Red Cross 55 F in an empty house. Status: found in copies. As printed.
def test_h18_limits():
    assert cautions.temperature_limit_c("general population") == pytest.approx(18.0)
    assert cautions.temperature_limit_c("infants and elderly") == pytest.approx(20.0)
    for item, printed in (("pipes in unheated attic", "20 °F"), ("unattended house", "55 °F")):
        expected = units.parse(printed, "temperature")
        assert cautions.temperature_limit_c(item) == pytest.approx(expected)


def test_h14_seasonal_conductive_loss():
    areas = np.array([units.parse(a, "area") for a in ("380 ft²", "2750 ft²", "1920 ft²")])
    r = np.array([units.parse(t, "thermal_resistance") for t in ("R-1.1", "R-19", "R-30")])
    days = units.parse("6000 °F", "temperature_difference")
    one = units.parse("1 Btu", "energy")
    parts = heat.seasonal_heat_wh(heat.conduction_w_k(areas, r), days) / one
    assert parts == pytest.approx([49_745_455, 20_842_105, 9_216_000], abs=1.0)
    total = heat.seasonal_heat_wh(heat.conduction_w_k(areas, r).sum(), days) / one
    assert total == pytest.approx(79_803_560, abs=1.0)
    assert parts[0] / total == pytest.approx(0.623, abs=0.0005)
