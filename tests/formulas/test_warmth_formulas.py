"""Formulas behind the studies of warmth: shell by part, degree-hours, moist wood, damp air."""

import math

import numpy as np
import psychrolib
import pytest

from homestead import units
from homestead.formulas.warmth import cooling, fuels, heat, hot_water

BTU_WH = units.parse("1 Btu", "energy")


# ANSI/ASHRAE/IES 90.1, table A6.3, unheated slab: 0.73 and 0.54 Btu/(h ft degF). From memory. As
# printed, 100 ft of edge; the tolerance only covers floating point.
@pytest.mark.parametrize(("insulation", "factor"), [("none", 0.73), ("R-10 to 24 in", 0.54)])
def test_a_slab_loses_by_its_edge(insulation, factor):
    edge_m = units.parse("100 ft", "length")
    loss = heat.envelope_part_w_k(90.0, 0.5, "ground", None, edge_m, insulation)
    assert loss == pytest.approx(
        units.convert_unit(100 * factor, "Btu/h/delta_degF", "W/K"), rel=1e-9
    )


# DIN V 4108-6, simplified temperature correction factors: 1.0, 0.5, 0.6. From memory.
def test_a_part_that_does_not_face_outside_loses_its_share():
    across = heat.conduction_w_k(40.0, 2.0)
    shares = {"outside": 1.0, "unheated space": 0.5, "ground": 0.6}
    for kind, share in shares.items():
        assert heat.envelope_part_w_k(40.0, 2.0, kind) == pytest.approx(share * across)
    areas = np.array([10.0, 40.0])
    assert heat.envelope_part_w_k(areas, 2.0, "ground", 0.3) == pytest.approx(0.3 * areas / 2.0)
    with pytest.raises(ValueError, match="temperature_frac"):
        heat.envelope_part_w_k(40.0, 2.0, "ground", 1.2)
    with pytest.raises(ValueError, match="facing moon"):
        heat.envelope_part_w_k(40.0, 2.0, "moon")


# Derived: a day of 12 h at 15 and 12 h at 25 has 60 K h below 20; its mean of 20 shows none.
def test_degree_hours_see_what_the_mean_of_a_day_hides():
    day = np.repeat([15.0, 25.0], 12)
    assert heat.degree_hours_k(day, 20.0) == pytest.approx(60.0)
    assert heat.degree_days_k(day.mean(), 20.0) == pytest.approx(0.0)
    cold = np.linspace(-5.0, 9.0, 24)
    assert heat.degree_hours_k(cold, 20.0) == pytest.approx(
        24.0 * heat.degree_days_k(cold.mean(), 20.0)
    )
    with pytest.raises(ValueError, match="hourly_c"):
        heat.degree_hours_k(math.nan, 20.0)


# Derived: 1,200 W of gains on 200 W/K hold rooms of 20 degC down to 14 degC outdoors.
def test_balance_temperature():
    assert heat.balance_temperature_c(20.0, [0.0, 1200.0], 200.0) == pytest.approx([20.0, 14.0])
    with pytest.raises(ValueError, match="gain_w"):
        heat.balance_temperature_c(20.0, -1.0, 200.0)


# Derived by hand from the printed 29.1 million Btu a cord and 6950 Btu/lb: 3,350 lb of dry wood;
# at 40 % moisture 1,396 lb more water than air-dry, at 1,161 Btu/lb each. Four digits by hand.
def test_wet_oak_by_hand():
    assert fuels.cordwood_moist_wh_per_cord("white oak", 0.2) == pytest.approx(
        fuels.cordwood_wh_per_cord("white oak"), rel=1e-12
    )
    wet = fuels.cordwood_moist_wh_per_cord("white oak", 0.4) / BTU_WH
    assert wet == pytest.approx(29.1e6 - 1396 * 1161, rel=2e-4)


def test_wetter_wood_never_gives_more():
    moisture = np.linspace(0.0, 0.6, 13)
    assert np.all(np.diff(fuels.cordwood_moist_wh_per_cord("douglas-fir", moisture)) < 0)
    assert fuels.cordwood_moist_wh_per_cord(None, 0.2) == pytest.approx(20e6 * BTU_WH, rel=1e-9)
    with pytest.raises(ValueError, match="moisture_frac"):
        fuels.cordwood_moist_wh_per_cord("douglas-fir", 0.61)


# Trade size of a 500 gal tank, from memory: 37.5 by 119 in. A cylinder of that size holds 569 gal;
# the round heads take the rest.
def test_usual_tank_sizes():
    diameter_m, length_m = fuels.propane_tank_size_m(units.parse("500 gal", "volume"))
    assert diameter_m == pytest.approx(units.parse("37.5 in", "length"))
    assert length_m == pytest.approx(units.parse("119 in", "length"))
    small, large = fuels.propane_tank_size_m(0.4), fuels.propane_tank_size_m(0.8)
    assert small[0] < large[0]
    for volume_m3 in (0.1, 0.45, 0.9, 1.9, 3.8, 8.0):
        diameter_m, length_m = fuels.propane_tank_size_m(volume_m3)
        # Between a capsule with half-round heads and the full cylinder, shells being thin.
        cylinder_m3 = math.pi / 4 * diameter_m**2 * length_m
        assert cylinder_m3 - math.pi / 12 * diameter_m**3 <= volume_m3 * 1.09
        assert volume_m3 <= cylinder_m3
    with pytest.raises(ValueError, match="tank_water_m3"):
        fuels.propane_tank_size_m(0.0)


# psychrolib (ASHRAE formulas, an independent library): the saturation pressures of FAO-56 and
# ASHRAE differ by less than 0.5 % from 0 to 40 degC.
@pytest.mark.parametrize("air_c", [0.0, 15.0, 25.5, 32.0, 40.0])
@pytest.mark.parametrize("humidity", [0.3, 0.6, 0.95])
def test_humidity_ratio_against_psychrolib(air_c, humidity):
    psychrolib.SetUnitSystem(psychrolib.SI)
    expected = psychrolib.GetHumRatioFromRelHum(air_c, humidity, 101_325.0)
    assert cooling.humidity_ratio(air_c, humidity) == pytest.approx(expected, rel=0.005)


# ASHRAE Fundamentals, 4840 Btu/h for each cfm and lb/lb, from memory: 100 cfm and 0.005 lb/lb give
# 2,420 Btu/h. As printed, to four digits.
def test_latent_heat_of_damp_air():
    flow_m3s = float(units.convert_unit(100.0, "ft^3/min", "m^3/s"))
    latent_w = cooling.air_latent_w(flow_m3s, [0.005, -0.005])
    assert latent_w[0] == pytest.approx(units.parse("2420 Btu/h", "power"), rel=1e-4)
    assert latent_w[1] == pytest.approx(-latent_w[0])
    with pytest.raises(ValueError, match="ratio_difference"):
        cooling.air_latent_w(flow_m3s, 0.5)


# Derived: 12 kWh drawn, a quarter of it from the sun, 2 kWh standing loss, 80 %: 13.75 kWh of gas.
def test_water_heater_input():
    asked = hot_water.water_heater_input_wh(12_000.0, 2_000.0, 0.8, [0.0, 0.25, 1.0])
    assert asked == pytest.approx([17_500.0, 13_750.0, 2_500.0])
    with pytest.raises(ValueError, match="preheat_frac"):
        hot_water.water_heater_input_wh(12_000.0, 2_000.0, 0.8, 1.1)
