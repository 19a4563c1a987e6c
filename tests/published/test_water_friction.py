"""Pipe friction and fittings against published tables and an independent open-source library."""

import fluids
import numpy as np
import pytest

from homestead import reference
from homestead.formulas.water import hydraulics
from homestead.units import convert_unit, parse

SIZES = ["1", "1-1/4", "1-1/2", "2", "3", "4"]
# Illinois Administrative Code, Title 77, Part 906, Appendix A, Exhibit I: ft per 100 ft, schedule
# 40 plastic, C 150. Found; the layout had lost its column heads, which were assigned by fit.
FRICTION_FT = {
    3: [0.60, 0.16, 0.07, None, None, None],
    5: [1.52, 0.39, 0.18, None, None, None],
    8: [3.63, 0.97, 0.46, 0.14, None, None],
    10: [5.50, 1.46, 0.70, 0.21, None, None],
    15: [None, 3.06, 1.45, 0.44, 0.07, None],
    20: [None, 5.23, 2.46, 0.74, 0.12, None],
    30: [None, None, 5.22, 1.54, 0.23, None],
    50: [None, None, None, 3.98, 0.58, 0.16],
    100: [None, None, None, None, 2.09, 0.55],
}
CASES = [
    (gpm, size, printed)
    for gpm, row in FRICTION_FT.items()
    for size, printed in zip(SIZES, row, strict=True)
    if printed is not None
]


# W14. Tolerance 4 % from 0.5 ft, 5 % from 0.2 ft, 0.02 ft below. They were set after the fit of the
# formula to the table was seen, so this confirms agreement; it is no independent error estimate.
@pytest.mark.parametrize(("gpm", "size", "printed"), CASES)
def test_w14_friction_table(gpm, size, printed):
    friction = hydraulics.friction_head_hazen_williams_m(
        parse(f"{gpm} gpm", "flow"),
        hydraulics.pipe_inside_diameter_m("schedule 40 plastic", size),
        parse("100 ft", "length"),
        hydraulics.hazen_williams_c("schedule 40 plastic"),
    )
    allowed = 0.04 * printed if printed >= 0.5 else 0.05 * printed if printed >= 0.2 else 0.02
    assert convert_unit(friction, "m", "ft") == pytest.approx(printed, abs=allowed)


# W14. The diameters stand in the same exhibit. Found.
def test_w14_inside_diameters():
    printed = [1.049, 1.380, 1.610, 2.067, 3.068, 4.026]
    ours = [hydraulics.pipe_inside_diameter_m("schedule 40 plastic", size) for size in SIZES]
    assert convert_unit(np.array(ours), "m", "in") == pytest.approx(printed, abs=0.0005)


# The velocity form of Hazen-Williams in SI, V = 0.849 C R**0.63 S**0.54 (textbook, from memory).
# The rounded 0.849 is good to 0.06 %, which the exponent makes 0.11 %, and 10.67 to 0.05: so 0.2 %.
def test_hazen_williams_velocity_form():
    diameter, slope, c = 0.05, 0.02, 140
    speed = 0.849 * c * (diameter / 4) ** 0.63 * slope**0.54
    flow = speed * np.pi / 4 * diameter**2
    head = hydraulics.friction_head_hazen_williams_m(flow, diameter, 100.0, c)
    assert head / 100.0 == pytest.approx(slope, rel=0.002)


# W15. "Surge Analysis and the Wave Plan Method", problem 0.2. Found. Tolerance 0.5 %.
def test_w15_darcy_weisbach():
    flow = 2.0 * np.pi / 4 * 0.3**2
    head = hydraulics.friction_head_darcy_m(flow, 0.3, [6.0, 1000.0], 0.12e-3, 1e-6)
    assert hydraulics.friction_factor(600_000, 0.12e-3 / 0.3) == pytest.approx(0.0169, rel=0.005)
    assert head == pytest.approx([0.0689, 11.5], rel=0.005)


# Colebrook solved by the open-source library `fluids`, an independent implementation. Both solve
# the same equation, so only rounding may differ.
@pytest.mark.parametrize("reynolds", [4e3, 2e4, 1e5, 6e5, 1e8])
@pytest.mark.parametrize("relative_roughness", [0.0, 1e-5, 4e-4, 0.01, 0.05])
def test_friction_factor_against_fluids(reynolds, relative_roughness):
    expected = fluids.friction.Colebrook(reynolds, relative_roughness)
    assert hydraulics.friction_factor(reynolds, relative_roughness) == pytest.approx(
        expected, rel=1e-7
    )


def test_darcy_head_against_fluids():
    flow, diameter, length = 0.5e-3, 0.0351, 91.44
    speed = flow / (np.pi / 4 * diameter**2)
    drop = fluids.friction.one_phase_dP(flow * 999.1, 999.1, 999.1e-6, diameter, 1.5e-6, length)
    head = hydraulics.friction_head_darcy_m(flow, diameter, length, 1.5e-6, 1e-6)
    assert speed < 1.0
    # The library picks an explicit form of Colebrook, exact to its own few parts per million.
    assert head == pytest.approx(fluids.core.head_from_P(drop, 999.1), rel=1e-4)


# Hazen-Williams is an empirical fit around 1 m/s; there textbooks grant it about 10 % against
# Darcy-Weisbach. From memory: common practice, no source. Slower water in small smooth pipe is out
# of its field: at 0.6 m/s in 1 in pipe it reads 11 % low, as the function's notes say.
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("speed_m_s", [1.0, 1.5, 2.0])
def test_hazen_williams_near_darcy_of_fluids(size, speed_m_s):
    diameter = hydraulics.pipe_inside_diameter_m("schedule 40 plastic", size)
    flow = speed_m_s * np.pi / 4 * diameter**2
    factor = fluids.friction.Colebrook(speed_m_s * diameter / 1.14e-6, 1.5e-6 / diameter)
    darcy = factor / diameter * speed_m_s**2 / (2 * hydraulics.GRAVITY_M_S2)
    assert hydraulics.friction_head_hazen_williams_m(flow, diameter, 1.0, 150) == pytest.approx(
        darcy, rel=0.10
    )


# W16. Illinois Administrative Code, Title 77, Part 890, Subpart M, Appendix A, Table Q. Found.
W16_FT = {
    "45 deg ell wrought": [0.5, 0.5, 1, 1, 2, 2],
    "90 deg ell wrought": [0.5, 1, 1, 2, 2, 2],
    "tee run wrought": [0.5, 0.5, 0.5, 0.5, 1, 1],
    "tee branch wrought": [1, 2, 3, 4, 5, 7],
    "90 deg ell cast": [1, 2, 4, 5, 8, 11],
    "tee branch cast": [2, 3, 5, 7, 9, 12],
    "gate valve": [None, None, 1, 1, 2, 2],
    "globe valve": [None, None, None, 53, 66, 90],
}


@pytest.mark.parametrize("fitting", W16_FT)
def test_w16_equivalent_lengths(fitting):
    for size, printed in zip(
        ["1/2", "3/4", "1", "1-1/4", "1-1/2", "2"], W16_FT[fitting], strict=True
    ):
        if printed is None:
            with pytest.raises(ValueError, match=fitting):
                hydraulics.fitting_equivalent_length_m(fitting, size)
        else:
            length = hydraulics.fitting_equivalent_length_m(fitting, size)
            assert convert_unit(length, "m", "ft") == pytest.approx(printed)


# W16 is a range check only: published sets differ by a factor of two. Loss coefficients of `fluids`
# (Hooper's 2-K method) at 1 m/s in galvanized pipe stay within that factor for elbow and gate
# valve. The globe valve does not: the table's 53 ft at 1-1/4 in is 2.1 times Hooper's, so it reads
# high.
@pytest.mark.parametrize(
    ("fitting", "size", "hooper"),
    [
        ("90 deg ell cast", "1", "Elbow, 90°, Standard (R/D = 1), Screwed"),
        ("gate valve", "1", "Valve, Gate, Full line size, Beta = 1"),
    ],
)
def test_w16_order_of_magnitude_against_fluids(fitting, size, hooper):
    diameter = hydraulics.pipe_inside_diameter_m("galvanized steel", size)
    reynolds, roughness = 1.0 * diameter / 1e-6, hydraulics.pipe_roughness_m("galvanized steel")
    inches = convert_unit(diameter, "m", "in")
    loss = fluids.fittings.Hooper2K(Di=inches, Re=reynolds, name=hooper)
    length = loss * diameter / fluids.friction.Colebrook(reynolds, roughness / diameter)
    assert 0.5 < hydraulics.fitting_equivalent_length_m(fitting, size) / length < 2.0


# W17. Several public tables, such as the note of the Plastic Pipe and Fittings Association, seen in
# a copy.
def test_w17_hazen_williams_coefficients():
    assert hydraulics.hazen_williams_c("schedule 40 plastic") == 150
    assert hydraulics.hazen_williams_c("new steel") == 140
    ranges = {
        "polyethylene": (140, 150),
        "copper": (130, 140),
        "galvanized steel": (100, 120),
        "cast iron": (100, 120),
    }
    for material, (low, high) in ranges.items():
        assert reference.value("pipes", material, "hazen_williams_c_low", "") == low
        assert reference.value("pipes", material, "hazen_williams_c_high", "") == high
        assert low <= hydraulics.hazen_williams_c(material) <= high
