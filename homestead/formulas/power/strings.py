"""Strings of modules at the site's extremes: voltages, how many in series, and what was found.

Owns no rule of the code: those stand in `electrical`. A limit that nobody entered is not made up.
"""

from dataclasses import dataclass

from homestead.findings.finding import found
from homestead.formulas.power import electrical
from homestead.formulas.power.solar import (
    STANDARD_CELL_C,
    STANDARD_W_M2,
    cell_temperature_noct_c,
)


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


def strings(array, site):
    """Check the strings of an array against its converter at the site's extremes.

    array (plan part)
    site (plan part) : Uses its record low and high.
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
        _cold_finding(array, site, cold_v, most),
        _tracker_finding(array, site, hot_v, cold_vmp, fewest),
        _current_finding(array),
    )
    return Strings(cold_v, float(hot_v), fewest, most, findings)


def array_finding(code, severity, template, source, array, *parts, limit=(), checked=True):
    """Finding on an array, whose values may be any of its entries."""
    return found(
        f"arrays.{code}: array {{subject}}",
        severity,
        template,
        source,
        *parts,
        array,
        subject=array.name,
        limit=limit,
        checked=checked,
    )


def _unchecked(code, array, worked_out, limit, *parts):
    template = (
        f"{worked_out}. The {limit} is {{not_entered}}; its data sheet has it. {{electrician}}"
    )
    sheet = "Data sheet of the converter"
    code = f"{code} unknown"
    return array_finding(code, "warning", template, sheet, array, *parts, checked=False)


def _cold_finding(array, site, cold_open_circuit_v, most_n):
    by_module = array.voc_coefficient_per_c is not None
    reached = (
        "{modules_per_string_n} {modules_per_string_n:module reaches|modules in series reach} "
        "{cold_open_circuit_v:.0f} with no load at {record_low_c} (by {by_module:the module's own "
        "coefficient|the code's table, no coefficient entered})"
    )
    if most_n is None:
        limit = "highest voltage of the converter's input"
        return _unchecked("cold", array, reached, limit, locals(), site)
    is_within = cold_open_circuit_v <= array.converter_max_v
    return array_finding(
        "cold",
        "note" if is_within else "danger",
        reached + ": {is_within:within|outside} the {converter_max_v:.0f} that the converter's "
        "input takes. That allows {most_n} in series. More volts than it can ruin the converter. "
        "{electrician}",
        "NFPA 70 (NEC), 690.7(A)",
        array,
        locals(),
        site,
        limit="converter_max_v",
    )


def _tracker_finding(array, site, hot_operating_v, cold_operating_v, fewest_n):
    gives = (
        "At work a string gives {hot_operating_v:.0f} at {record_high_c} and "
        "{cold_operating_v:.0f} at {record_low_c}"
    )
    if fewest_n is None or array.tracker_max_v is None:
        return _unchecked("tracker", array, gives, "voltage range of the tracker", locals(), site)
    is_low = hot_operating_v < array.tracker_min_v
    is_high = cold_operating_v > array.tracker_max_v
    return array_finding(
        "tracker",
        "warning" if is_low or is_high else "note",
        gives + ": {is_low:outside the figure of {tracker_min_v:.0f}, its lower end|{is_high:"
        "outside the figure of {tracker_max_v:.0f}, its upper end|within the figures of "
        "{tracker_min_v:.0f} to {tracker_max_v:.0f}}} of the tracker. The lower end needs at least "
        "{fewest_n} in series. Outside them the array gives less than computed. {electrician}",
        "Common practice, no source",
        array,
        locals(),
        site,
        limit=("tracker_min_v", "tracker_max_v"),
    )


def _current_finding(array):
    short_circuit_a = array.isc_a * array.strings_n
    gives = "{strings_n} {strings_n:string gives|strings give} {short_circuit_a:.1f} short-circuit"
    if array.converter_max_a is None:
        limit = "highest current of the converter's input"
        return _unchecked("current", array, gives, limit, locals())
    is_within = short_circuit_a <= array.converter_max_a
    return array_finding(
        "current",
        "note" if is_within else "warning",
        gives + ": {is_within:within|outside} the {converter_max_a:.1f} that the converter's input "
        "takes. {electrician}",
        "Common practice, no source",
        array,
        locals(),
        limit="converter_max_a",
    )
