"""How figures were worked out: formula, inputs and source of each, as a table that folds away.

For the steps of any study. Plain HTML, so that it shows without trust and in an export.
"""

import math

from homestead import reference
from homestead import units as measures
from homestead.screen.escaping import html_text
from homestead.screen.notes import WholeSheet
from homestead.screen.readable import count_text, table_of

# Units of studies that have no kind of their own: inside, US customary, metric.
PLAIN_UNITS = {
    "Wh/m³": ("Wh/m^3", "Wh/gal", "Wh/m^3"),
    "m²/s": ("m^2/s", "gal/min/ft", "L/min/m"),
    "kcal/kg": ("kcal/kg", "kcal/lb", "kcal/kg"),
    "kg/m²": ("kg/m^2", "lb/ft^2", "kg/m^2"),
}
SMALL_LENGTH_M = 0.3  # below it a length reads better in inches or millimetres
SHORT_S = 3600.0
OWN_SOURCES = {"project": "Arithmetic of this program"}


# Of these kinds a reader may want fewer digits: what follows from guesses carries no more.
COARSE = ("volume", "length", "flow", "pressure", "rain_depth", "mass")


def value_text(value, kind, units="us", significant=3):
    """Value of a study with its unit, as a reader writes it.

    >>> value_text(0.035052, "length"), value_text(549.6, "Wh/m³"), value_text(90.0, "time")
    ('1.38 in', '2.08 Wh/gal', '1.5 min')
    >>> value_text(549.6, "Wh/m³", significant=2), value_text(0.0036, "volume", significant=2)
    ('2.1 Wh/gal', '0.95 gal')
    """
    if kind in PLAIN_UNITS:
        inside, *shown = PLAIN_UNITS[kind]
        unit = shown[0] if units == "us" else shown[1]
        spoken = unit.replace("^3", "³").replace("^2", "²").replace("/min/", "/min per ")
        number = float(measures.convert_unit(value, inside, unit))
        return f"{measures.digits(number, significant)} {spoken}"
    if kind == "length" and abs(value) < SMALL_LENGTH_M:
        kind = "rain_depth"
    if kind == "time" and abs(value) < SHORT_S:
        number = float(measures.convert_unit(value, "s", "min"))
        return f"{measures.digits(number, significant)} min"
    if kind in COARSE and math.isfinite(value):
        number = measures.convert(float(value), kind, units)
        if significant < 3:
            number = float(f"{number:.3g}")
        return f"{measures.digits(number, significant)} {measures.shown_unit(kind, units)}"
    if kind in measures.KINDS:
        return measures.show(value, kind, units)
    return f"{measures.digits(float(value), significant)} {kind}".rstrip()


def workings(steps, units="us", significant=3):
    """Table of the steps of a study.

    steps (sequence of Step)
    units ({"us", "metric"})
    significant : Digits of each result; its inputs are shown with three, so that it can be worked
        again.
    Gives DataFrame: Index figure; Value, How, From, Source.
    """
    rows = [
        {
            "Figure": step.figure,
            "Value": value_text(step.value, step.kind, units, significant),
            "How": step.formula,
            "From": "; ".join(
                f"{name} {value_text(value, kind, units)}" for name, value, kind in step.inputs
            ),
            "Source": OWN_SOURCES.get(step.source) or reference.cite(step.source),
        }
        for step in steps
    ]
    return table_of(rows, ["Figure", "Value", "How", "From", "Source"])


class Workings:
    """A table of steps that shows itself folded, with one line to open it."""

    def __init__(self, steps, units="us", significant=3):
        self.table = workings(steps, units, significant)
        many = count_text(len(self.table), "figure")
        self.summary = f"How these are calculated: {many} with formula, inputs and source"

    def __repr__(self):
        return f"{self.summary}\n{self.table.to_string()}"

    def _repr_html_(self):
        sheet = WholeSheet(self.table, "Formula, inputs and source of each figure")._repr_html_()
        summary = html_text(self.summary)
        return f"<details><summary><b>{summary}</b></summary>{sheet}</details>"
