"""Strings of modules at the site's extremes: voltages, how many in series, and what was found.

Owns no rule of the code: those stand in `electrical`. A limit that nobody entered is not made up.
"""

from dataclasses import dataclass

from homestead.findings.finding import DEFER, NOT_ENTERED, Finding
from homestead.formulas.power import electrical
from homestead.formulas.power.solar import (
    STANDARD_CELL_C,
    STANDARD_W_M2,
    cell_temperature_noct_c,
)
from homestead.units import show


@dataclass(frozen=True)
class Strings:
    """Voltages of an array's strings at the site's extremes, and what was found.

    Attributes
    ----------
    cold_open_circuit_v : float
        One string at the record low, no load. [V]
    hot_operating_v : float
        One string at its power point, 1000 W/m2 and the record high. [V]
    fewest_modules_n, most_modules_n : int
        In series, by the tracker's lower limit when hot and the converter's limit when cold.
    findings : tuple of Finding
    """

    cold_open_circuit_v: float
    hot_operating_v: float
    fewest_modules_n: int
    most_modules_n: int
    findings: tuple


def strings(array, site, units="metric"):
    """Check the strings of an array against its converter at the site's extremes.

    array (plan part)
    site (plan part) : Uses its record low and high.
    units ({"us", "metric"}) : Of the temperatures in the findings' text.
    Gives Strings.
    Cold: open circuit at the record low by the module's coefficient, else by the code table.
    Hot: power-point voltage at the cell temperature of 1000 W/m2 and the record high. Sheets
    seldom give a coefficient for it; that of the power stands in, since the current hardly moves
    with temperature (common practice, no source).
    """
    count = array.modules_per_string_n
    voc_coefficient = array.voc_coefficient_per_c
    cold_module_v = float(
        electrical.cold_open_circuit_v(array.voc_v, site.record_low_c, voc_coefficient)
    )
    hot_cell_c = float(cell_temperature_noct_c(STANDARD_W_M2, site.record_high_c, array.noct_c))
    power_coefficient = array.power_coefficient_per_c
    hot_v = count * array.vmp_v * (1.0 + power_coefficient * (hot_cell_c - STANDARD_CELL_C))
    cold_vmp = count * array.vmp_v
    cold_vmp *= 1.0 + power_coefficient * (site.record_low_c - STANDARD_CELL_C)
    most = fewest = None
    if array.converter_max_v is not None:
        most = int(
            electrical.most_modules_in_series(
                array.voc_v, array.converter_max_v, site.record_low_c, voc_coefficient
            )
        )
    if array.tracker_min_v is not None:
        fewest = int(
            electrical.fewest_modules_in_series(
                array.vmp_v, power_coefficient, hot_cell_c, array.tracker_min_v
            )
        )
    cold_v = count * cold_module_v
    findings = (
        _cold_finding(array, site, cold_v, most, units),
        _tracker_finding(array, site, hot_v, cold_vmp, fewest, units),
        _current_finding(array),
    )
    return Strings(cold_v, float(hot_v), fewest, most, findings)


def _unchecked(array, worked_out, limit):
    text = f"{worked_out}. The {limit} is {NOT_ENTERED}; its data sheet has it. {DEFER}"
    return Finding(
        "warning",
        f"array {array.name}",
        text,
        "Data sheet of the converter",
        False,
        code=f"{limit} not entered",
    )


def _cold_finding(array, site, cold_v, most, units):
    known = array.voc_coefficient_per_c is not None
    how = "the module's own coefficient" if known else "the code's table, no coefficient entered"
    count = array.modules_per_string_n
    reached = (
        f"{count} {'module reaches' if count == 1 else 'modules in series reach'} {cold_v:.0f} V "
        f"with no load at {show(site.record_low_c, 'temperature', units)} (by {how})"
    )
    if most is None:
        return _unchecked(array, reached, "highest voltage of the converter's input")
    within = cold_v <= array.converter_max_v
    text = (
        f"{reached}: {'within' if within else 'outside'} the {array.converter_max_v:.0f} V that "
        f"the converter's input takes. That allows {most} in series. More volts than it can ruin "
        f"the converter. {DEFER}"
    )
    severity = "note" if within else "danger"
    return Finding(
        severity,
        f"array {array.name}",
        text,
        "NFPA 70 (NEC), 690.7(A)",
        code="cold",
        numbers={"cold_open_circuit_v": cold_v, "limit_v": array.converter_max_v},
    )


def _tracker_finding(array, site, hot_v, cold_vmp, fewest, units):
    hot, cold = (
        show(air_c, "temperature", units) for air_c in (site.record_high_c, site.record_low_c)
    )
    gives = f"At work a string gives {hot_v:.0f} V at {hot} and {cold_vmp:.0f} V at {cold}"
    if fewest is None or array.tracker_max_v is None:
        return _unchecked(array, gives, "voltage range of the tracker")
    low, high = hot_v < array.tracker_min_v, cold_vmp > array.tracker_max_v
    if low:
        where = f"outside the figure of {array.tracker_min_v:.0f} V, its lower end"
    elif high:
        where = f"outside the figure of {array.tracker_max_v:.0f} V, its upper end"
    else:
        where = f"within the figures of {array.tracker_min_v:.0f} to {array.tracker_max_v:.0f} V"
    text = (
        f"{gives}: {where} of the tracker. The lower end needs "
        f"at least {fewest} in series. Outside them the array gives less than computed. {DEFER}"
    )
    severity = "warning" if low or high else "note"
    return Finding(
        severity,
        f"array {array.name}",
        text,
        "Common practice, no source",
        code="tracker",
        numbers={
            "hot_operating_v": hot_v,
            "cold_operating_v": cold_vmp,
            "lowest_v": array.tracker_min_v,
            "highest_v": array.tracker_max_v,
        },
    )


def _current_finding(array):
    current = array.isc_a * array.strings_n
    gives = (
        f"{array.strings_n} {'string gives' if array.strings_n == 1 else 'strings give'} "
        f"{current:.1f} A short-circuit"
    )
    if array.converter_max_a is None:
        return _unchecked(array, gives, "highest current of the converter's input")
    within = current <= array.converter_max_a
    text = (
        f"{gives}: {'within' if within else 'outside'} the {array.converter_max_a:.1f} A that the "
        f"converter's input takes. {DEFER}"
    )
    severity = "note" if within else "warning"
    return Finding(
        severity,
        f"array {array.name}",
        text,
        "Common practice, no source",
        code="current",
        numbers={"short_circuit_a": current, "limit_a": array.converter_max_a},
    )
