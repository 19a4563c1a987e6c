"""Fuels, firewood and propane tanks against published figures, by case id."""

import numpy as np
import pytest

from homestead import reference, units
from homestead.formulas.warmth import fuels

MILLION_BTU = units.parse("1000000 Btu", "energy")


def btu(wh):
    return wh / units.parse("1 Btu", "energy")


# H01: US EIA, Energy Explained, Units and calculators, 2021-2022 editions. Status: found for gas,
# gasoline and diesel, found in a copy for propane, heating oil and wood. As printed; the tolerance
# only covers floating point.
@pytest.mark.parametrize(
    ("fuel", "one", "printed_btu"),
    [
        ("propane", "1 gal", 91_452),
        ("natural gas", "1 ft³", 1_039),
        ("fuel oil", "1 gal", 138_500),
        ("diesel", "1 gal", 137_381),
        ("gasoline", "1 gal", 120_214),
        ("cordwood", "1 cord", 20_000_000),
    ],
)
def test_h01_heat_of_fuels(fuel, one, printed_btu):
    energy = fuels.fuel_energy_wh(fuel, units.parse(one, "volume"))
    assert btu(energy) == pytest.approx(printed_btu, rel=1e-9)


# H01, electricity 3,412 Btu/kWh. Status: found. Half a digit.
def test_h01_heat_of_a_kilowatt_hour():
    assert btu(units.parse("1 kWh", "energy")) == pytest.approx(3412, abs=0.5)


# H02: Bartok, "Comparing Fuel Costs", Univ. of Connecticut, 2013: $/million Btu = price x k.
# Status: found. Tolerance 0.5 %. For wood the page divides by a printed k.
@pytest.mark.parametrize(
    ("unit_btu", "efficiency", "k"),
    [
        (138_500, 0.70, 10.3),
        (100_000, 0.75, 13.3),
        (92_500, 0.75, 14.4),
        (3_412, 1.00, 293),
        (20_000_000, 0.60, 1 / 12),
        (12_000_000, 0.60, 1 / 7.2),
        (2_000 * 8_200, 0.80, 1 / 13.1),
        # The page's own misprint corrected: 11.1, not 12.5, for gas at 90 %.
        (100_000, 0.90, 11.1),
    ],
)
def test_h02_cost_of_delivered_heat(unit_btu, efficiency, k):
    energy = units.parse(f"{unit_btu} Btu", "energy")
    cost = fuels.delivered_heat_cost_per_wh(1.0, energy, efficiency) * MILLION_BTU
    assert cost == pytest.approx(k, rel=0.005)


# H02, dry chips at 7,400 Btu/lb and 60 %: the page prints /8.8, cut off rather than rounded from
# its own 2000 x 7400 x 0.60 = 8.88 million Btu/ton. Status: derived from the found inputs.
def test_h02_cost_of_heat_from_chips():
    ton = units.parse("2000 lb", "mass")
    energy = fuels.fuel_energy_wh("wood chips", ton)
    cost = fuels.delivered_heat_cost_per_wh(1.0, energy, 0.60) * MILLION_BTU
    assert 1.0 / cost == pytest.approx(8.88, rel=0.005)


# H02: the same page's wood fuels stand in our table. Status: found.
@pytest.mark.parametrize(
    ("fuel", "one", "kind", "printed_btu"),
    [
        ("softwood", "1 cord", "volume", 12_000_000),
        ("pellets", "1 lb", "mass", 8_200),
        ("wood chips", "1 lb", "mass", 7_400),
    ],
)
def test_h02_heat_content_of_wood_fuels(fuel, one, kind, printed_btu):
    energy = fuels.fuel_energy_wh(fuel, units.parse(one, kind))
    assert btu(energy) == pytest.approx(printed_btu, rel=1e-9)


# H03: Penn State EGEE 102, lesson 7, Energy Cost Example 1: oil at $1.02/gal, 130,000 Btu/gal,
# 68 % -> $11.54 a million Btu (printed 11.50). Status: found. Tolerance 0.5 %.
def test_h03_cost_of_heat_from_oil():
    gallon = units.parse("130000 Btu", "energy")
    cost = fuels.delivered_heat_cost_per_wh(1.02, gallon, 0.68) * MILLION_BTU
    assert cost == pytest.approx(11.54, rel=0.005)


# H05: Kuhns & Schmidt, "Wood Heating", Utah State University, Table 1. Status: found; from red oak
# down from memory of the same table. As printed.
@pytest.mark.parametrize(
    ("species", "million_btu"),
    [
        ("apple", 27.0),
        ("green ash", 20.0),
        ("white ash", 24.2),
        ("quaking aspen", 18.2),
        ("basswood", 13.8),
        ("beech", 27.5),
        ("birch", 20.8),
        ("boxelder", 18.3),
        ("cherry", 20.4),
        ("cottonwood", 15.8),
        ("douglas-fir", 20.7),
        ("red oak", 24.6),
        ("white oak", 29.1),
        ("sugar maple", 25.5),
        ("black locust", 27.9),
        ("osage-orange", 32.9),
        ("ponderosa pine", 16.2),
    ],
)
def test_h05_cordwood_by_species(species, million_btu):
    assert fuels.cordwood_wh_per_cord(species) / MILLION_BTU == pytest.approx(million_btu, rel=1e-9)


# H05: most rows are dry mass x about 6,950 Btu/lb (6,940 to 6,970); aspen and beech are not.
# Status: derived from the found rows. It catches a row typed against the wrong species.
def test_h05_heat_follows_dry_mass():
    known = set(reference.items("wood_species", "heat_hhv"))
    both = [each for each in reference.items("wood_species", "dry_mass") if each in known]
    odd = {"quaking aspen", "beech", "alder", "american elm"}  # the last two printed rounded
    assert len(set(both) - odd) >= 8
    for species in set(both) - odd:
        mass = reference.value("wood_species", species, "dry_mass", "lb/cord")
        assert 6_900 <= btu(fuels.cordwood_wh_per_cord(species)) / mass <= 6_985, species


# H06: gross heat by moisture against chips at 10, 45 and 50 % (Univ. of Connecticut) and wood at
# 20 % (Iowa State University Extension). Status: points found; the rule 8600 (1 - m) from memory
# and its tolerance of 8 % from the fit, wet points being net of evaporation.
@pytest.mark.parametrize(
    ("moisture", "per_lb"), [(0.10, 7400), (0.20, 7000), (0.45, 4500), (0.50, 4000)]
)
def test_h06_heat_of_wood_by_moisture(moisture, per_lb):
    one_lb = units.parse("1 lb", "mass")
    assert btu(fuels.wood_heat_wh_kg(moisture) * one_lb) == pytest.approx(per_lb, rel=0.08)


# H07: 80 % rule: 500 gal -> 400 gal -> 36.6 million Btu. Status: derived. Half a digit.
def test_h07_propane_usable():
    usable = fuels.propane_usable_m3(units.parse("500 gal", "volume"))
    assert units.convert(usable, "volume") == pytest.approx(400.0)
    assert fuels.fuel_energy_wh("propane", usable) / MILLION_BTU == pytest.approx(36.6, abs=0.05)


# H08: boil-off relative to 0 degF, LP-gas section of a motor-home owner's manual (2004). Status:
# found. Exact.
def test_h08_vaporisation_by_temperature():
    fahrenheit = [20, 10, 0, -5, -10, -15, -20, -44]
    air = np.array([units.parse(f"{t} °F", "temperature") for t in fahrenheit])
    expected = [2.0, 1.5, 1.0, 0.75, 0.5, 0.25, 0.125, 0.0]
    assert fuels.propane_vaporisation_share(air) == pytest.approx(expected, abs=1e-9)


# H08: rule of the servicemen's handbooks, from memory; 37 x 119 in, 20 % full: 264,180 Btu/h at
# 0 degF, twice that at 20 degF. Status: derived.
def test_h08_vaporisation_of_a_500_gal_tank():
    air = np.array([units.parse(t, "temperature") for t in ("0 °F", "20 °F")])
    shell = units.parse("37 in", "length"), units.parse("119 in", "length")
    boil_off = fuels.propane_vaporisation_w(*shell, 0.20, air) / units.parse("1 Btu/h", "power")
    assert boil_off == pytest.approx([264_180, 528_360], rel=1e-9)


# H08: the manual's 84-lb tank at 0 degF gives 50,400 Btu/h half full (D x L = 560 in2). Status:
# found; D x L derived from that very row, so 20 and 80 % are the test: 33,000 (rule 33,600, 2 %
# from the print) and 64,000, above which our held value must not go.
def test_h08_vaporisation_of_an_84_lb_tank():
    shell = units.parse("20 in", "length"), units.parse("28 in", "length")
    air = units.parse("0 °F", "temperature")
    fill = np.array([0.2, 0.5, 0.8])
    boil_off = fuels.propane_vaporisation_w(*shell, fill, air) / units.parse("1 Btu/h", "power")
    assert boil_off[1] == pytest.approx(50_400, rel=1e-9)
    assert boil_off[0] == pytest.approx(33_000, rel=0.02)
    assert boil_off[1] < boil_off[2] <= 64_000
