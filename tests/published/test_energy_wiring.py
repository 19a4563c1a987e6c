"""Checks of wiring against outside figures, cases E35 to E43."""

import pytest

from homestead import reference
from homestead.formulas.power import electrical, wiring
from homestead.units import parse


# E35. NEC Table 310.16 (2020, 2023). Status: from memory; copper 60 and aluminum 75 deg C agree
# with public copies. Exact.
@pytest.mark.parametrize(
    ("size", "copper", "aluminum"),
    [
        ("14", (15, 20, 25), None),
        ("12", (20, 25, 30), (15, 20, 25)),
        ("10", (30, 35, 40), (25, 30, 35)),
        ("8", (40, 50, 55), (35, 40, 45)),
        ("6", (55, 65, 75), (40, 50, 55)),
        ("4", (70, 85, 95), (55, 65, 75)),
        ("3", (85, 100, 115), (65, 75, 85)),
        ("2", (95, 115, 130), (75, 90, 100)),
        ("1", (110, 130, 145), (85, 100, 115)),
        ("1/0", (125, 150, 170), (100, 120, 135)),
        ("2/0", (145, 175, 195), (115, 135, 150)),
        ("3/0", (165, 200, 225), (130, 155, 175)),
        ("4/0", (195, 230, 260), (150, 180, 205)),
    ],
)
def test_e35_ampacity(size, copper, aluminum):
    for metal, amps in (("copper", copper), ("aluminum", aluminum)):
        for insulation_c, expected in zip((60, 75, 90), amps or (), strict=False):
            assert wiring.conductor_ampacity_a(size, metal, insulation_c) == expected
    if aluminum is None:
        with pytest.raises(ValueError, match="size must be one of"):
            wiring.conductor_ampacity_a(size, "aluminum", 75)


# E36. NEC Table 310.15(B)(1)(1) (2023). Status: from memory; 90 deg C at 41 to 50 found. Exact,
# at both ends of each row.
@pytest.mark.parametrize(
    ("low_c", "high_c", "factors"),
    [
        (0, 10, (1.29, 1.20, 1.15)),
        (11, 15, (1.22, 1.15, 1.12)),
        (16, 20, (1.15, 1.11, 1.08)),
        (21, 25, (1.08, 1.05, 1.04)),
        (26, 30, (1.00, 1.00, 1.00)),
        (31, 35, (0.91, 0.94, 0.96)),
        (36, 40, (0.82, 0.88, 0.91)),
        (41, 45, (0.71, 0.82, 0.87)),
        (46, 50, (0.58, 0.75, 0.82)),
        (51, 55, (0.41, 0.67, 0.76)),
        (56, 60, (None, 0.58, 0.71)),
        (61, 65, (None, 0.47, 0.65)),
        (66, 70, (None, 0.33, 0.58)),
    ],
)
def test_e36_ambient_correction(low_c, high_c, factors):
    for insulation_c, factor in zip((60, 75, 90), factors, strict=True):
        printed_a = wiring.conductor_ampacity_a("4", "copper", insulation_c)
        for ambient_c in (low_c, high_c):
            if factor is None:
                with pytest.raises(ValueError, match="ambient_c must be from -60 to 55 deg C"):
                    wiring.conductor_ampacity_a("4", "copper", insulation_c, ambient_c)
                continue
            amps = wiring.conductor_ampacity_a("4", "copper", insulation_c, ambient_c)
            assert amps / printed_a == pytest.approx(factor, abs=1e-9)


# E36. NEC Table 310.15(C)(1) (2023). Status: from memory. Exact, at both ends of each row.
@pytest.mark.parametrize(
    ("fewest", "most", "factor"),
    [
        (1, 3, 1.0),
        (4, 6, 0.80),
        (7, 9, 0.70),
        (10, 20, 0.50),
        (21, 30, 0.45),
        (31, 40, 0.40),
        (41, 60, 0.35),
    ],
)
def test_e36_bundling(fewest, most, factor):
    amps = wiring.conductor_ampacity_a("10", "copper", 90, 30, [fewest, most])
    assert amps.tolist() == pytest.approx([40.0 * factor, 40.0 * factor], abs=1e-9)


# E37. NEC Chapter 9 Table 8, ohm for 1000 ft at 75 deg C, stranded, copper uncoated. Status: found
# (five public copies agree). Exact.
@pytest.mark.parametrize(
    ("size", "copper", "aluminum"),
    [
        ("16", 4.99, None),
        ("14", 3.14, None),
        ("12", 1.98, 3.25),
        ("10", 1.24, 2.04),
        ("8", 0.778, 1.28),
        ("6", 0.491, 0.808),
        ("4", 0.308, 0.508),
        ("3", 0.245, 0.403),
        ("2", 0.194, 0.319),
        ("1", 0.154, 0.253),
        ("1/0", 0.122, 0.201),
        ("2/0", 0.0967, 0.159),
        ("3/0", 0.0766, 0.126),
        ("4/0", 0.0608, 0.100),
    ],
)
def test_e37_resistance(size, copper, aluminum):
    run_m = parse("1000 ft", "length")
    for metal, printed in (("copper", copper), ("aluminum", aluminum)):
        if printed is not None:
            ohms = wiring.conductor_resistance_ohm_m(size, metal) * run_m
            assert ohms == pytest.approx(printed, abs=1e-9)


# E37. The same table, solid conductors. Status: found. Exact.
@pytest.mark.parametrize(
    ("item", "printed"),
    [
        ("16 copper", 4.89),
        ("14 copper", 3.07),
        ("12 copper", 1.93),
        ("10 copper", 1.21),
        ("8 copper", 0.764),
        ("12 aluminum", 3.18),
        ("10 aluminum", 2.00),
        ("8 aluminum", 1.26),
    ],
)
def test_e37_resistance_of_solid_conductors(item, printed):
    assert reference.value("conductors", item, "resistance_dc_75c_solid", "ohm/kft") == printed


# E37. Temperature change by 0.00323 (copper) and 0.00330 (aluminum) for each degree from 75.
# Status: from memory. Exact.
def test_e37_temperature_change():
    for metal, per_degree in (("copper", 0.00323), ("aluminum", 0.00330)):
        hot, cold = wiring.conductor_resistance_ohm_m("6", metal, [75.0, 25.0])
        assert cold / hot == pytest.approx(1.0 - 50.0 * per_degree, abs=1e-12)


# E38. Public electrician lesson on voltage drop: 16 AWG, 100 ft one way, 4 A, 24 V lose 3.99 V,
# 16.6 %. Status: found. Tolerance 0.01 V against the unrounded figure.
def test_e38_low_voltage_drop():
    drop_v = wiring.voltage_drop_v(4.0, parse("100 ft", "length"), "16", "copper")
    assert drop_v == pytest.approx(3.992, abs=0.01)
    assert 100.0 * drop_v / 24.0 == pytest.approx(16.6, abs=0.05)


# E40. Public inspector-exam question on NEC Table 310.15(B)(16). Status: question found, answer
# derived. Tolerance 0.01 A.
def test_e40_ampacity_in_a_hot_place():
    assert wiring.conductor_ampacity_a("4", "copper", 90, 40.0) == pytest.approx(86.45, abs=0.01)


# E41. NEC 240.4(D). Status: from memory. Exact.
@pytest.mark.parametrize(
    ("size", "metal", "amps"),
    [
        ("14", "copper", 15),
        ("12", "copper", 20),
        ("10", "copper", 30),
        ("12", "aluminum", 15),
        ("10", "aluminum", 25),
    ],
)
def test_e41_small_conductors(size, metal, amps):
    assert wiring.small_conductor_breaker_a(size, metal) == amps


# E41. NEC 240.6(A): each rating is its own next, and just above one comes the following. Status:
# from memory. Exact.
def test_e41_standard_ratings():
    ratings = [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225]
    ratings += [250, 300, 350, 400, 450, 500, 600, 700, 800, 1000, 1200]
    assert wiring.next_standard_breaker_a(ratings).tolist() == ratings
    above = [rating + 0.5 for rating in ratings[:-1]]
    assert wiring.next_standard_breaker_a(above).tolist() == ratings[1:]


# E41. NEC 210.20(A): 16 A continuous needs a 20 A breaker. Status: from memory. Exact.
def test_e41_continuous_load():
    assert wiring.continuous_load_minimum_a(16.0) == 20.0


# E42. The notes of E17, Worked Example 2 (NEC 690.8): Isc 11.2 A, 14.0 A, 17.5 A, 34.8 A at 45
# deg C, fuse 20 A. Status: found. Tolerance 0.01 A.
def test_e42_pv_source_circuit():
    assert electrical.pv_maximum_current_a(11.2) == pytest.approx(14.0, abs=0.01)
    source_a = electrical.pv_source_current_a(11.2)
    assert source_a == pytest.approx(17.5, abs=0.01)
    assert wiring.conductor_ampacity_a("10", "copper", 90, 45.0) == pytest.approx(34.8, abs=0.01)
    assert wiring.next_standard_breaker_a(source_a) == 20.0


# E43. The notes of E17 (breaker) and NEC 705.12(B) with public code commentary (bus rule): a
# 7.6 kW, 240 V inverter, 32 A, a 200 A bus and main. Status: found. Exact.
def test_e43_inverter_breaker_and_busbar():
    least_a = wiring.continuous_load_minimum_a(32.0)
    assert wiring.next_standard_breaker_a(least_a) == 40.0
    assert wiring.conductor_ampacity_a("8", "copper", 75) == 50.0
    assert wiring.busbar_allowance_a(200.0, 200.0) == 40.0
    assert least_a <= wiring.busbar_allowance_a(200.0, 200.0)


def test_e39_two_methods():
    run_m = parse("100 ft", "length")
    by_table_v = wiring.voltage_drop_v(16.0, run_m, "12", "copper")
    assert by_table_v == pytest.approx(6.34, abs=0.02)
    # The trade's other way on the same page, K = 12.9 ohm cmil/ft, prints 6.32 V.
    assert by_table_v == pytest.approx(6.32, rel=0.01)


def test_e39_aluminum_feeder():
    run_m = parse("300 ft", "length")
    drop_v = wiring.voltage_drop_v(100.0, run_m, "4/0", "aluminum")
    assert drop_v == pytest.approx(6.00, abs=0.02)
    assert 100.0 * drop_v / 240.0 == pytest.approx(2.5, abs=0.01)
