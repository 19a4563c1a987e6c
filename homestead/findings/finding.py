"""What a check found, as data: which check, of what, how grave, what was compared, from where.

Every room that checks something returns these. A finding compares an entered figure with another
and names the source; it never says that a thing is safe or allowed. Its words come from one
template for each code and are written for a reader's units only where they are shown:
``{name}`` is a value, ``{name:2}`` one that rests on guesses, ``{name:.1f}`` one in a fixed unit,
``{name:some {other} words|others}`` the first words if it is true (or a count of one).
"""

import math
from dataclasses import dataclass, field
from string import Formatter

import numpy as np

from homestead.units import digits, rough, show
from homestead.vocabulary import SEVERITIES

# What every template may say beside its values. The first is said once over a list of notes.
ELECTRICIAN = "electrician"
PHRASES = {
    ELECTRICIAN: "Local code and a licensed electrician decide.",
    "not_entered": "not entered, so this can't be checked",
    "health": "The local health department decides.",
    "driller": "The local health department and a licensed well driller decide.",
    "gas_fitter": "The local fire code, the supplier and a licensed gas fitter decide.",
    "heating_fitter": "The local code and a licensed heating fitter decide.",
    "extension": "Ask the extension office of your county.",
}
# Ending of a value's name -> kind of `units`, which follows the reader; and the unit in which a
# template with a format of its own shows it to everybody, with what it is divided by.
KINDS = {
    **{"m": "length", "m2": "area", "m3": "volume", "m3s": "flow", "pa": "pressure"},
    **{"w": "power", "wh": "energy", "c": "temperature", "k": "temperature_difference"},
    **{"kg": "mass", "frac": "fraction", "s": "time", "air_m3": "air_volume"},
}
FIXED = {
    **{"a": (1, "A"), "v": (1, "V"), "w": (1e3, "kW"), "va": (1e3, "kVA"), "wh": (1e3, "kWh")},
    **{"ah": (1, "Ah"), "hz": (1, "Hz"), "c": (1, "°C"), "frac": (0.01, "%"), "s": (1, "s")},
    **{"min": (1, "min"), "h": (1, "h"), "days": (1, "days"), "months": (1, "months")},
}


@dataclass(frozen=True)
class Finding:
    """One result of a check.

    Attributes
    ----------
    code : str
        The subject it belongs to and which check it is, such as ``"water.yield"``. With `subject`
        and `severity` it is known again whatever its figures are.
    severity : {"danger", "warning", "note"}
    label : str
        Template of what it is about, such as ``"circuit {subject}: wire"``.
    template : str
        What was compared with what, in whole sentences; see the module.
    source : str
        Where the rule or the figure comes from.
    subject : str
        Name of the part of the plan; empty if there is but one.
    limit : tuple of str
        Which of the values the others were held against.
    checked : bool
        False if a limit is missing, so that nothing could be compared.
    values : dict
        What was compared, by names that end in the unit: numbers in SI, texts of the plan, lists
        of texts, and claims that choose words.

    Raises ValueError if the severity is unknown.
    """

    code: str
    severity: str
    label: str
    template: str
    source: str
    subject: str = ""
    limit: tuple = ()
    checked: bool = True
    values: dict = field(default_factory=dict, hash=False)

    def __post_init__(self):
        if self.severity not in SEVERITIES:
            raise ValueError(
                f"severity must be one of {', '.join(SEVERITIES)}; got {self.severity!r}"
            )
        object.__setattr__(self, "limit", tuple(self.limit))  # lists, if they come from a file
        values = {name: _plain(value) for name, value in self.values.items()}
        object.__setattr__(self, "values", values)

    @property
    def key(self):
        """What it says, but for its figures: (code, subject, severity)."""
        return self.code, self.subject, self.severity

    @property
    def trade(self):
        """What it belongs to: the part of `code` before the dot."""
        return self.code.partition(".")[0]

    @property
    def about(self):
        """The part of the plan it concerns, for a reader."""
        return words(self.label, {"subject": self.subject})

    def said(self, units="us", decides=True):
        """Its words for a reader.

        units ({"us", "metric"})
        decides (bool) : Whether it says that an electrician decides.
        """
        phrases = PHRASES if decides else PHRASES | {ELECTRICIAN: ""}
        return words(
            self.template, {**phrases, "subject": self.subject, **self.values}, units
        ).strip()


def found(heading, severity, template, source, *parts, subject="", limit=(), checked=True):
    """Finding whose values are what its template names, each from the first part that has it.

    heading (str) : Code and label, such as ``"water.yield: well pump"``.
    parts (dict or object) : Such as ``locals()`` of the check, a part of the plan, a result.
    limit (str or tuple of str)

    Raises ValueError if no part has a field of the template.
    """
    values = {
        name: _looked_up(name, parts)
        for name in fields(template)
        if name != "subject" and name not in PHRASES
    }
    limit = (limit,) if isinstance(limit, str) else limit
    code, _, label = heading.partition(": ")
    return Finding(code, severity, label, template, source, subject, limit, checked, values)


def _looked_up(name, parts):
    for part in parts:
        if isinstance(part, dict):
            if name in part:
                return part[name]
        elif hasattr(part, name):
            return getattr(part, name)
    raise ValueError(f"a field of a finding must be among its parts; got {name!r}")


def fields(template):
    """Names of the values that a template shows or chooses its words by, in order, each once."""
    names = {}
    for _, name, spec, _ in Formatter().parse(template):
        if name is not None:
            names |= {name: None} | dict.fromkeys(fields(spec) if "|" in spec else ())
    return list(names)


def words(template, values, units="us"):
    """Text of a template, in the reader's units.

    >>> words("{lift_m} to {n:one pump|pumps}", {"lift_m": 67.056, "n": True}, "metric")
    '67.1 m to one pump'
    """
    pieces = []
    for literal, name, spec, _ in Formatter().parse(template):
        pieces.append(literal)
        if name is None:
            continue
        if "|" in spec:
            # Split before anything is filled in: a name of the family may hold the mark itself.
            first, other = _choices(spec)
            is_first = values[name] == 1 if name.endswith("_n") else values[name]
            pieces.append(words(first if is_first else other, values, units))
        else:
            pieces.append(_written(name, values[name], spec, units))
    return "".join(pieces)


def _choices(spec):
    """What stands before and after the mark between two choices, outside their own braces."""
    depth = 0
    for place, letter in enumerate(spec):
        depth += (letter == "{") - (letter == "}")
        if letter == "|" and depth == 0:
            return spec[:place], spec[place + 1 :]
    raise ValueError(f"a choice must have two sides; got {spec!r}")


def _written(name, value, spec, units):
    if isinstance(value, tuple):
        return ", ".join(value)
    if isinstance(value, str):
        return value
    pairs = (pair for pair in ("air_m3", "per_h") if name.endswith(f"_{pair}"))
    ending = next(pairs, name.rpartition("_")[2])
    if value is None:
        return "–"
    if ending in KINDS and not spec:
        return show(value, KINDS[ending], units)
    if ending in KINDS and spec.isdigit():
        return rough(value, KINDS[ending], units, int(spec))
    divided_by, unit = FIXED.get(ending, (1, ""))
    number = value / divided_by if divided_by != 1 else value
    text = format(number, spec) if spec[-1:] in ("f", "d", "g") else digits(number, int(spec or 3))
    unit = unit.removesuffix("s") if text == "1" and unit in ("days", "months") else unit
    return f"{text} {unit}".strip()


def _plain(value):
    """A value as plain data: numbers of arrays as Python's, lists as tuples, None for no end."""
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return tuple(value) if isinstance(value, list) else value
