"""Motors: full-load and locked-rotor current and their circuit.

Owns the formulas; the tables stand in data/reference/motors.csv. Well pumps, compressors and
blowers start at several times their running current, which is what trips a small inverter or
generator. Motor circuits are a licensed electrician's work under the local code.
"""

import math
from functools import cache

import numpy as np

from homestead import reference
from homestead.units import checked

# NEC 430.52: an inverse-time breaker, at most 250 % of the table's full-load current. [-]
MOTOR_BREAKER_FACTOR = 2.50
# A third of a horsepower may be typed 0.33.
_HORSEPOWER_MATCH = 0.011


def locked_rotor_a(horsepower, code_letter, volts, phases=1):
    """Band of current that a motor draws at standstill, from its code letter.

    horsepower : Rated power. [hp], 0.01 to 1000.
    code_letter (str) : Letter on the name plate, A to V without I, O and Q.
    volts : Rated voltage, line to line. [V], 12 to 15000.
    phases ({1, 3})
    Gives low, high (float or array): Ends of the letter's band. [A]; letter V has no upper end and
        gives infinity.

    I = kVA per horsepower x horsepower / V, in three phases over root three as well [1]_.

    .. [1] NFPA 70, Table 430.7(B); NEMA MG 1, Table 10-1.
    """
    power = checked("horsepower", horsepower, 0.01, 1000.0, "hp")
    voltage = checked("volts", volts, 12.0, 15_000.0, "V")
    letters = [item.split()[1] for item in reference.items("motors", "locked_rotor_low")]
    if code_letter not in letters:
        raise ValueError(f"code_letter must be one of {', '.join(letters)}; got {code_letter!r}")
    if phases not in (1, 3):
        raise ValueError(f"phases must be 1 or 3; got {phases!r}")
    item = f"code {code_letter}"
    low = reference.value("motors", item, "locked_rotor_low", "V*A/hp")
    high = math.inf
    if item in reference.items("motors", "locked_rotor_high"):
        high = reference.value("motors", item, "locked_rotor_high", "V*A/hp")
    per_volt_ampere = power / (voltage * math.sqrt(phases))
    return low * per_volt_ampere, high * per_volt_ampere


@cache
def _full_load_rows(table_v):
    quantity = f"full_load_current_{table_v}v"
    rows = reference.items("motors", quantity)
    powers = [reference.value("motors", row, "rated_power", "hp") for row in rows]
    currents = [reference.value("motors", row, quantity, "A") for row in rows]
    return np.array(powers), np.array(currents)


def _table_volts(volts):
    # The table's note lets its currents serve system voltages of 110 to 120 and 220 to 240 V.
    if 110.0 <= volts <= 120.0:
        return 115
    if 220.0 <= volts <= 240.0:
        return 230
    if volts in (200.0, 208.0):
        return int(volts)
    raise ValueError(f"volts must be 110 to 120, 200, 208 or 220 to 240 V; got {volts!r}")


def motor_full_load_a(horsepower, volts):
    """Full-load current of a single-phase motor, as the code's table counts it.

    horsepower : Rated power, one of the table's rows from 1/6 to 10. [hp]
    volts : 115, 200, 208 or 230 V; 110 to 120 counts as 115 and 220 to 240 as 230.
    Gives [A].

    Circuits are sized on this figure, overload protection on the name plate (430.6(A)) [1]_.

    .. [1] NFPA 70, Table 430.248 and its note.
    """
    powers, currents = _full_load_rows(_table_volts(float(checked("volts", volts, 0.0, 1e4, "V"))))
    power = checked("horsepower", horsepower, powers[0] * 0.98, powers[-1], "hp")
    nearest = np.argmin(np.abs(power[..., None] - powers), axis=-1)
    if np.any(np.abs(powers[nearest] - power) > _HORSEPOWER_MATCH * powers[nearest]):
        known = ", ".join(reference.items("motors", "rated_power"))
        raise ValueError(f"horsepower must be a row of the table ({known}); got {horsepower!r}")
    return currents[nearest]


def motor_breaker_maximum_a(full_load_a):
    """Largest inverse-time breaker of one motor: 250 % of its table current.

    full_load_a : From `motor_full_load_a`. [A], 0 to 1e4.
    Gives [A].

    NFPA 70, 430.52; the exceptions that allow more are left out.
    """
    return MOTOR_BREAKER_FACTOR * checked("full_load_a", full_load_a, 0.0, 1e4, "A")


def full_load_at_least_a(horsepower, volts):
    """Full-load current of the table's row that is not below a motor's rating.

    horsepower : Rated power. [hp], above 0 to 10.
    volts : As in `motor_full_load_a`.
    Gives [A].

    Rows of Table 430.248; a rating between two rows takes the larger (project choice).
    """
    powers, currents = _full_load_rows(_table_volts(float(checked("volts", volts, 0.0, 1e4, "V"))))
    power = float(checked("horsepower", horsepower, 1e-9, powers[-1], "hp"))
    row = np.searchsorted(powers, power * (1.0 - _HORSEPOWER_MATCH), side="left")
    return float(currents[row])


def across_the_line_a(running_a):
    """Starting current of a motor of which only the running current is known.

    running_a : [A], 0 to 1e4.
    Gives [A].

    Six times the running current; motors lie between five and eight (standard motor-starting
    tables, from memory).
    """
    factor = reference.value("motors", "across the line", "starting_over_running", "")
    return factor * checked("running_a", running_a, 0.0, 1e4, "A")


def soft_start_a(starting_a):
    """Starting current of a compressor behind an electronic soft starter.

    starting_a : Across the line. [A], 0 to 1e4.
    Gives [A].

    About a third: common practice, no source. The starter's own papers come first, and a motor
    that starts under load may need more.
    """
    share = reference.value("motors", "soft starter", "current_frac", "")
    return share * checked("starting_a", starting_a, 0.0, 1e4, "A")
