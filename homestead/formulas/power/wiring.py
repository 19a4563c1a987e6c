"""Conductors and their protection: ampacity, resistance, voltage drop, breakers, busbars.

Owns the formulas; the tables are data/reference/conductors.csv, conductor_corrections.csv and
breakers.csv. An answer here is one line of a calculation, not leave to build: the code in force
where you live, its inspector and a licensed electrician decide.
"""

import math
from functools import cache

import numpy as np

from homestead import reference
from homestead.units import checked
from homestead.vocabulary import us_spelling

METALS = ("copper", "aluminum")
INSULATIONS_C = (60, 75, 90)

# NEC 210.19(A)(1), 210.20(A), 215.2 and 215.3: a continuous load counts at 125 %. [-]
CONTINUOUS_FACTOR = 1.25
# NEC 705.12(B): main breaker plus sources at the far end, at most 120 % of the busbar. [-]
BUSBAR_FACTOR = 1.20
# NEC Chapter 9 Table 8 prints resistances at 75 deg C.
_PRINTED_AT_C = 75.0
# 104 deg F arrives as 40.00000000000006 deg C, which must not take the next row. [K]
_ROUNDING_K = 1e-6
# Keeps 40.000000000000007 A, a rounding of binary numbers, from asking for the next size.
_ROUNDING = 1e-9


def _known_conductor(size, metal, quantity):
    metal = us_spelling(metal)
    if metal not in METALS:
        raise ValueError(f"metal must be 'copper' or 'aluminum'; got {metal!r}")
    item = f"{size} {metal}"
    known = reference.items("conductors", quantity)
    if item not in known:
        sizes = ", ".join(name.split()[0] for name in known if name.endswith(metal))
        raise ValueError(f"size must be one of {sizes} for {metal}; got {size!r}")
    return item


@cache
def _ambient_rows(insulation_c):
    quantity = f"factor_{insulation_c}c"
    rows = reference.items("conductor_corrections", quantity)
    tops = [reference.value("conductor_corrections", row, "ambient_high", "degC") for row in rows]
    factors = [reference.value("conductor_corrections", row, quantity, "") for row in rows]
    return np.array(tops), np.array(factors)


@cache
def _bundle_rows():
    rows = reference.items("conductor_corrections", "count_low")
    counts = [reference.value("conductor_corrections", row, "count_low", "") for row in rows]
    factors = [reference.value("conductor_corrections", row, "factor", "") for row in rows]
    return np.array(counts), np.array(factors)


def conductor_ampacity_a(size, metal, insulation_c, ambient_c=30, current_carrying_n=3):
    """Ampacity of a conductor after ambient temperature and bundling.

    size (str) : Trade size: "14" to "1", "1/0" to "4/0".
    metal ({"copper", "aluminum"})
    insulation_c ({60, 75, 90}) : Temperature rating of the insulation. [deg C]
    ambient_c : Air round the conductor. [deg C], -60 to the table's end (55, 70 and 70).
    current_carrying_n (int or array) : Conductors that carry current in the raceway, 1 to 500.
    Gives Continuous current. [A].
    Table value x ambient factor x bundling factor [1]_. A temperature between two printed rows
    takes the warmer row. Terminals may allow less than the insulation (110.14(C)), and small
    conductors have their own limit (`small_conductor_breaker_a`).
    .. [1] NFPA 70, National Electrical Code, 2023, Tables 310.16, 310.15(B)(1)(1), 310.15(C)(1).
    """
    if insulation_c not in INSULATIONS_C:
        raise ValueError(f"insulation_c must be 60, 75 or 90 deg C; got {insulation_c!r}")
    rating_c = int(insulation_c)
    quantity = f"ampacity_{rating_c}c"
    printed_a = reference.value(
        "conductors", _known_conductor(size, metal, quantity), quantity, "A"
    )
    tops_c, ambient_factors = _ambient_rows(rating_c)
    ambient = checked("ambient_c", ambient_c, -60.0, tops_c[-1] + _ROUNDING_K, "deg C")
    count = checked("current_carrying_n", current_carrying_n, 1.0, 500.0)
    if np.any(count != np.floor(count)):
        raise ValueError(
            f"current_carrying_n must be a whole number from 1 to 500; got {current_carrying_n!r}"
        )
    counts, bundle_factors = _bundle_rows()
    warm = ambient_factors[np.searchsorted(tops_c, ambient - _ROUNDING_K, side="left")]
    bundled = bundle_factors[np.searchsorted(counts, count, side="right") - 1]
    return printed_a * warm * bundled


def conductor_resistance_ohm_m(size, metal, conductor_c=_PRINTED_AT_C):
    """Direct-current resistance of a conductor for each meter of its length.

    size (str) : Trade size: "16" (copper only), "14" to "1", "1/0" to "4/0"; stranded.
    metal ({"copper", "aluminum"}) : Copper uncoated.
    conductor_c : Temperature of the metal. [deg C], -60 to 150.
    Gives Resistance of one conductor. [ohm/m].

    Printed at 75 deg C, then R (1 + a (T - 75)) with a = 0.00323 (copper) or 0.00330 [1]_.

    .. [1] NFPA 70, National Electrical Code, Chapter 9, Table 8 and its note 2.
    """
    quantity = "resistance_dc_75c"
    item = _known_conductor(size, metal, quantity)
    metal_c = checked("conductor_c", conductor_c, -60.0, 150.0, "deg C")
    change = reference.value("conductors", metal, "resistance_change", "1/delta_degC")
    printed = reference.value("conductors", item, quantity, "ohm/m")
    return printed * (1.0 + change * (metal_c - _PRINTED_AT_C))


def voltage_drop_v(current_a, one_way_m, size, metal):
    """Voltage lost in the two conductors of a circuit.

    current_a : [A], 0 to 1e5.
    one_way_m : From source to load. [m], 0 to 1e5.
    size, metal (str) : As in `conductor_resistance_ohm_m`.
    Gives Drop out and back. [V].

    2 L R I with the resistance at 75 deg C; for direct current, and near enough for alternating
    current in these sizes at unity power factor.
    """
    current = checked("current_a", current_a, 0.0, 1e5, "A")
    run = checked("one_way_m", one_way_m, 0.0, 1e5, "m")
    return 2.0 * run * conductor_resistance_ohm_m(size, metal) * current


def small_conductor_breaker_a(size, metal):
    """Largest overcurrent device that the small-conductor rule allows.

    size (str) : "14", "12" or "10" (aluminum: "12" or "10").
    metal ({"copper", "aluminum"})
    Gives [A].

    NFPA 70, 240.4(D); motor circuits and some others have their own rule (240.4(G)).
    """
    quantity = "largest_overcurrent_device"
    return reference.value("conductors", _known_conductor(size, metal, quantity), quantity, "A")


@cache
def _ratings():
    rows = reference.items("breakers", "standard_rating")
    return np.array([reference.value("breakers", row, "standard_rating", "A") for row in rows])


def next_standard_breaker_a(minimum_a):
    """Smallest standard breaker or fuse that is not below a current.

    minimum_a : [A], 0 to 1200.
    Gives Standard rating. [A].

    NFPA 70, 240.6(A), ratings up to 1200 A.
    """
    ratings = _ratings()
    least = checked("minimum_a", minimum_a, 0.0, ratings[-1], "A")
    return ratings[np.searchsorted(ratings, least * (1.0 - _ROUNDING), side="left")]


def continuous_load_minimum_a(current_a):
    """Least rating of device and conductor for a current that flows three hours or more.

    current_a : Continuous current. [A], 0 to 1e5.
    Gives 125 % of it. [A].

    NFPA 70, 210.19(A)(1), 210.20(A), 215.2, 215.3.
    """
    return CONTINUOUS_FACTOR * checked("current_a", current_a, 0.0, 1e5, "A")


def busbar_allowance_a(busbar_a, main_breaker_a):
    """Current that the 120 % rule leaves for a source at the far end of a busbar.

    busbar_a : Rating of the busbar. [A], 1 to 1e4.
    main_breaker_a : Rating of the main breaker. [A], 0 to the busbar's.
    Gives To be compared with 125 % of the inverter's output current. [A].

    1.20 x busbar - main [1]_. One of several ways the code allows; the label and the opposite end
    are part of the rule.

    .. [1] NFPA 70, 705.12(B)(2)(3)(b) in 2017, 705.12(B)(3)(2) in 2020, 705.12(B)(2) in 2023.
    """
    busbar = checked("busbar_a", busbar_a, 1.0, 1e4, "A")
    main = checked("main_breaker_a", main_breaker_a, 0.0, math.inf, "A")
    if np.any(main > busbar):
        raise ValueError(
            f"main_breaker_a must be from 0 to the busbar's {busbar_a!r} A; got {main_breaker_a!r}"
        )
    return BUSBAR_FACTOR * busbar - main


def is_standard_rating(breaker_a):
    """Whether a breaker or fuse has one of the standard ratings up to 1200 A (240.6(A)).

    breaker_a : [A], 0 or more.
    Gives bool.
    """
    rating = float(checked("breaker_a", breaker_a, 0.0, 1e5, "A"))
    return bool(np.any(np.abs(_ratings() - rating) < 1e-6))
