"""Checks of PV string voltage against outside figures, cases E17 and E18."""

import pytest

from homestead.formulas.power import electrical


# E17. Open electrician-course notes, "PV System Components, Voltage, and Current Calculations",
# Worked Example 1 (NEC 2023, 690.7(A)): 54.18 V and 11 modules. Status: found. Tolerance 0.01 V,
# count exact.
def test_e17_string_by_temperature_coefficient():
    assert electrical.cold_open_circuit_v(49.5, -10.0, -0.0027) == pytest.approx(54.18, abs=0.01)
    assert electrical.most_modules_in_series(49.5, 600.0, -10.0, -0.0027) == 11


# E18. The same notes by the table: factor 1.14, 56.43 V, 10 modules. Status: found. Exact.
def test_e18_string_by_table():
    assert electrical.cold_voltage_factor(-10.0) == 1.14
    assert electrical.cold_open_circuit_v(49.5, -10.0) == pytest.approx(56.43, abs=1e-9)
    assert electrical.most_modules_in_series(49.5, 600.0, -10.0) == 10


# E18. NFPA 70, Table 690.7(A). Status: row -6 to -10 found, the others from memory. Exact, at both
# ends of each row.
@pytest.mark.parametrize(
    ("warm_c", "cold_c", "factor"),
    [
        (24, 20, 1.02),
        (19, 15, 1.04),
        (14, 10, 1.06),
        (9, 5, 1.08),
        (4, 0, 1.10),
        (-1, -5, 1.12),
        (-6, -10, 1.14),
        (-11, -15, 1.16),
        (-16, -20, 1.18),
        (-21, -25, 1.20),
        (-26, -30, 1.21),
        (-31, -35, 1.23),
        (-36, -40, 1.25),
    ],
)
def test_e18_table_rows(warm_c, cold_c, factor):
    assert electrical.cold_voltage_factor([warm_c, cold_c]).tolist() == [factor, factor]
