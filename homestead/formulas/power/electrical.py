"""The code's voltage and current rules for PV source circuits.

Conductors and breakers live in wiring, motors in motors, inverters in inverters.
The local code, its inspector and a licensed electrician decide what may be built.
"""

from functools import cache

import numpy as np

from homestead import reference
from homestead.units import checked

# Standard test conditions of a module's label: cells at 25 deg C (IEC 61215).
STANDARD_CELL_C = 25.0
# NEC 690.8(A): sun brighter than the label's; 690.8(B): a continuous current. [-]
BRIGHT_SUN_FACTOR = 1.25
CONTINUOUS_FACTOR = 1.25
# 14 deg F arrives as -10.00000000000006 deg C, which must not take the next row. [K]
_ROUNDING_K = 1e-6
# A string that fits to the last volt must not lose a module to a rounding of binary numbers.
_ROUNDING = 1e-9


@cache
def _cold_rows():
    rows = reference.items("pv_cold_voltage", "ambient_low")
    lows = [reference.value("pv_cold_voltage", row, "ambient_low", "degC") for row in rows]
    factors = [reference.value("pv_cold_voltage", row, "voltage_factor", "") for row in rows]
    return np.array(lows), np.array(factors)


def cold_voltage_factor(lowest_ambient_c):
    """Rise of a silicon module's open-circuit voltage in the cold, by the code's table.

    lowest_ambient_c : Lowest expected air temperature. [deg C], -40 to 60.
    Gives Multiplies the label's open-circuit voltage. [-]; 1 from 25 deg C up.

    The table [1]_ has rows of whole degrees; a temperature between two rows takes the colder.
    It serves where the module's own coefficient is not known.

    .. [1] NFPA 70, Table 690.7(A), crystalline and multicrystalline silicon.
    """
    lows_c, factors = _cold_rows()
    ambient = checked("lowest_ambient_c", lowest_ambient_c, lows_c[-1] - _ROUNDING_K, 60.0, "deg C")
    # Rows run from warm to cold; the first whose low end is not above the temperature is meant.
    row = np.searchsorted(-lows_c, -ambient - _ROUNDING_K, side="left")
    warm = ambient >= STANDARD_CELL_C - _ROUNDING_K
    return np.where(warm, 1.0, factors[row])[()]


def cold_open_circuit_v(voc_v, lowest_ambient_c, coefficient_per_c=None):
    """Open-circuit voltage of a module, or of a string, on the coldest morning.

    voc_v : Open-circuit voltage at standard conditions. [V], 0 to 2000.
    lowest_ambient_c : Lowest expected air temperature. [deg C], -90 to 60 with a coefficient, -40
        to 60 without.
    coefficient_per_c (float or array, optional) : Change of the voltage for each degree, as a
        share: -0.0027 for -0.27 %. [1/K], -0.01 to 0. Without it the code's table is used.
    Gives [V].
    Voc (1 + b (T - 25)), cells at air temperature before the sun warms them [1]_.
    .. [1] NFPA 70, 690.7(A).
    """
    voltage = checked("voc_v", voc_v, 0.0, 2000.0, "V")
    if coefficient_per_c is None:
        return voltage * cold_voltage_factor(lowest_ambient_c)
    ambient = checked("lowest_ambient_c", lowest_ambient_c, -90.0, 60.0, "deg C")
    coefficient = checked("coefficient_per_c", coefficient_per_c, -0.01, 0.0, "1/K")
    return voltage * (1.0 + coefficient * (ambient - STANDARD_CELL_C))


def _whole(count):
    return int(count) if np.ndim(count) == 0 else count.astype(int)


def most_modules_in_series(voc_v, limit_v, lowest_ambient_c, coefficient_per_c=None):
    """Longest string that stays within a voltage limit on the coldest morning.

    voc_v : Open-circuit voltage of one module. [V], 1 to 2000.
    limit_v : Limit of the code or of the converter, whichever is lower. [V], 0 to 2000.
    lowest_ambient_c, coefficient_per_c : As in `cold_open_circuit_v`.
    Gives int or array of int: Modules; 0 if even one is too much.

    NFPA 70, 690.7: whole part of limit over cold voltage. 600 V is the limit on one- and
    two-family dwellings.
    """
    checked("voc_v", voc_v, 1.0, 2000.0, "V")
    limit = checked("limit_v", limit_v, 0.0, 2000.0, "V")
    cold = cold_open_circuit_v(voc_v, lowest_ambient_c, coefficient_per_c)
    return _whole(np.floor(limit / cold * (1.0 + _ROUNDING)))


def fewest_modules_in_series(vmp_v, coefficient_per_c, cell_c, tracker_minimum_v):
    """Shortest string that keeps a converter's tracker working on the hottest day.

    vmp_v : Voltage of one module at maximum power, standard conditions. [V], 1 to 2000.
    coefficient_per_c : Change of that voltage for each degree, as a share: -0.004 for -0.4 %.
        [1/K], -0.01 to 0.
    cell_c : Hottest cell temperature. [deg C], -40 to 120.
    tracker_minimum_v : Least voltage at which the converter tracks. [V], 0 to 2000.
    Gives int or array of int: Modules, at least 1.

    Minimum over Vmp (1 + b (T - 25)), rounded up (common practice, no source).
    """
    voltage = checked("vmp_v", vmp_v, 1.0, 2000.0, "V")
    coefficient = checked("coefficient_per_c", coefficient_per_c, -0.01, 0.0, "1/K")
    cell = checked("cell_c", cell_c, -40.0, 120.0, "deg C")
    minimum = checked("tracker_minimum_v", tracker_minimum_v, 0.0, 2000.0, "V")
    hot = voltage * (1.0 + coefficient * (cell - STANDARD_CELL_C))
    return _whole(np.maximum(np.ceil(minimum / hot * (1.0 - _ROUNDING)), 1.0))


def pv_maximum_current_a(short_circuit_a):
    """Maximum current of a PV source circuit: 125 % of the label's short-circuit current.

    short_circuit_a : Summed over the parallel strings. [A], 0 to 1e4.
    Gives [A].

    NFPA 70, 690.8(A).
    """
    return BRIGHT_SUN_FACTOR * checked("short_circuit_a", short_circuit_a, 0.0, 1e4, "A")


def pv_source_current_a(short_circuit_a):
    """Current on which a PV source circuit's conductor and fuse are sized.

    short_circuit_a : Summed over the parallel strings. [A], 0 to 1e4.
    Gives Both factors of 1.25 applied. [A].

    NFPA 70, 690.8(A) and 690.8(B).
    """
    return CONTINUOUS_FACTOR * pv_maximum_current_a(short_circuit_a)
