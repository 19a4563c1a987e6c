"""How one entry of a plan is declared, read and checked.

Owns the field types (each with its kind of unit), `spec` and the base class of all parts. A part's
field is declared once; its reading, checking, help text and form all come from that declaration.
"""

import difflib
import math
import re
import unicodedata
from typing import Annotated, Any, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, field_validator

from homestead import units
from homestead.units import quoted
from homestead.vocabulary import FULL_MONTHS, us_spelling

MONTH_NAMES = tuple(name.lower() for name in FULL_MONTHS)
TYPICAL = "typical"  # filled in around what a family said, not its own
BASES = ("measured", "label", "estimate", TYPICAL)
ROUNDING_FRAC = 1e-12
MOST_NAMES_CHARACTERS = 90
ROUNDING_K = 1e-9  # 32 °F arrives as -0.00000000000006 °C


class Kind(NamedTuple):
    """What an entry holds: a kind of `homestead.units`, or one of our own readers."""

    name: str
    suffix: str  # what the field's name ends in, dropped in the file


Length = Annotated[float, Kind("length", "_m")]
Area = Annotated[float, Kind("area", "_m2")]
Volume = Annotated[float, Kind("volume", "_m3")]
Flow = Annotated[float, Kind("flow", "_m3s")]
Pressure = Annotated[float, Kind("pressure", "_pa")]
Power = Annotated[float, Kind("power", "_w")]
Energy = Annotated[float, Kind("energy", "_wh")]
Temperature = Annotated[float, Kind("temperature", "_c")]
Mass = Annotated[float, Kind("mass", "_kg")]
Duration = Annotated[float, Kind("time", "_s")]
Resistance = Annotated[float, Kind("thermal_resistance", "_m2k_w")]
Angle = Annotated[float, Kind("angle", "_deg")]
Current = Annotated[float, Kind("current", "_a")]
Voltage = Annotated[float, Kind("voltage", "_v")]
Rain = Annotated[float, Kind("rain_depth", "_m")]
FoodEnergy = Annotated[float, Kind("food_energy", "_kcal")]
Money = Annotated[float, Kind("money", "_money")]
Fraction = Annotated[float, Kind("fraction", "_frac")]
Number = Annotated[float, Kind("number", "")]
Count = Annotated[int, Kind("count", "_n")]
Text = Annotated[str, Kind("text", "")]
Choice = Annotated[str, Kind("choice", "")]
Flag = Annotated[bool, Kind("flag", "")]
Months = Annotated[tuple[int, ...], Kind("months", "")]
Hours = Annotated[tuple[int, int], Kind("hours", "")]
# Stored amount of a fuel: m³ or kg, whichever the text says.
Amount = Annotated[float, Kind("amount", "")]
ByMonth = Annotated[tuple[float, ...], Kind("rain_by_month", "_m")]
LossByMonth = Annotated[tuple[float, ...], Kind("fraction_by_month", "_frac")]
FlowByMonth = Annotated[tuple[float, ...], Kind("flow_by_month", "_m3s")]
Angles = Annotated[tuple[float, ...], Kind("angles", "_deg")]
Names = Annotated[tuple[str, ...], Kind("names", "")]

_SUFFIXES = sorted(
    "_m _m2 _m3 _m3s _pa _w _wh _c _kg _s _m2k_w _wh_k _deg _a _v _kcal _money _frac _n".split(),
    key=len,
    reverse=True,
)


def key_of(field_name):
    """Key in the file for a field: its name without the unit.

    >>> key_of("depth_m"), key_of("yield_m3s"), key_of("name")
    ('depth', 'yield', 'name')
    """
    for suffix in _SUFFIXES:
        if field_name.endswith(suffix):
            return field_name.removesuffix(suffix)
    return field_name


def spec(
    label, *, within=(None, None), help="", choices=None, source="", protects=False, **default
):
    """Declare one entry: label, limits in the unit inside, help text, where its default is from.

    An entry that `protects` people or equipment has no default: left out it is missing.
    """
    low, high = within
    extra = {
        "low": low, "high": high, "choices": choices, "source": source, "protects": protects,
    }  # fmt: skip
    return Field(title=label, description=help, json_schema_extra=extra, **default)


def optional(label, **declared):
    """Declare an entry that may be left out, as `spec` does; None then."""
    return spec(label, default=None, **declared)


class Assumption(NamedTuple):
    """One entry that carries a range or a basis. Values are in the unit inside."""

    path: str
    label: str
    kind: str
    value: float
    low: float | None
    high: float | None
    basis: str | None


class Fault(NamedTuple):
    """One thing that is wrong: where (keys and list positions) and what must hold."""

    where: tuple
    message: str


def members(listed):
    """Position and member of each in a list that could be read, as rules are given it."""
    return [(number, member) for number, member in enumerate(listed or ()) if member is not None]


def typed_members(plan, key):
    """Members of a list as typed, those with faults too."""
    listed = plan.raw.get(key)
    listed = listed if isinstance(listed, list) else ()
    return [member for member in listed if isinstance(member, dict)]


def typed_names(plan, key):
    """Names of all members of a list, those with other faults too."""
    names = [member.get("name") for member in typed_members(plan, key)]
    return [name.strip() for name in names if isinstance(name, str)]


def must_name(where, what, known, given, none="none yet", otherwise=""):
    """Fault of an entry that names what is not there."""
    names = some_of(known, given, none)
    return Fault(where, f"must name {what} ({names}){otherwise}; got {quoted(given, 40)}")


class Part(BaseModel):
    """Base of all parts of a plan: frozen, no unknown keys, text with units on the way in."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", alias_generator=key_of, validate_default=False
    )

    @field_validator("*", mode="before")
    @classmethod
    def _read(cls, raw: Any, info) -> Any:
        field = cls.model_fields[info.field_name]
        kind = kind_of(field)
        if kind is None:
            return raw
        return read_entry(raw, kind.name, field.json_schema_extra or {})


def kind_of(field):
    """The `Kind` that a pydantic field was declared with, or None for nested parts."""
    for note in field.metadata:
        if isinstance(note, Kind):
            return note
    # An optional entry (`Length | None`) keeps its Kind one level down.
    for inner in getattr(field.annotation, "__args__", ()):
        for note in getattr(inner, "__metadata__", ()):
            if isinstance(note, Kind):
                return note
    return None


def read_entry(raw, kind, limits):
    """Read one entry, plain or as a table with value, low, high and basis.

    Raises ValueError saying what must hold, with unit, and what came.
    """
    if raw is None:
        return None
    if not isinstance(raw, dict):
        return _read_value(raw, kind, limits)
    unknown = set(raw) - {"value", "low", "high", "basis"}
    if unknown or "value" not in raw:
        raise ValueError(
            "as a table takes value, low, high and basis, and value must be there; "
            f"got {quoted(', '.join(map(str, raw))) if raw else 'nothing'}"
        )
    if raw.get("basis", "estimate") not in BASES:
        raise ValueError(f"basis must be one of {', '.join(BASES)}; got {quoted(raw['basis'])}")
    if kind in UNRANGED and ("low" in raw or "high" in raw):
        raise ValueError("can't have a low or high: it isn't one number")
    value = _read_value(raw["value"], kind, limits)
    low = _read_value(raw["low"], kind, limits) if "low" in raw else value
    high = _read_value(raw["high"], kind, limits) if "high" in raw else value
    if isinstance(value, int | float) and not low <= value <= high:
        raise ValueError(
            "needs low ≤ value ≤ high; got "
            + ", ".join(quoted(raw.get(end)) for end in ("low", "value", "high") if end in raw)
        )
    return value


def _read_value(raw, kind, limits):
    readers = {
        "text": _read_text,
        "choice": lambda raw: _read_choice(raw, limits["choices"]),
        "flag": _read_flag,
        "count": _read_count,
        "number": _read_number,
        "months": read_months,
        "hours": read_hours,
        "amount": read_amount,
        "names": _read_names,
        "rain_by_month": lambda raw: _read_list(raw, "rain_depth", 12),
        "fraction_by_month": lambda raw: _read_list(raw, "fraction", 12),
        "flow_by_month": lambda raw: _read_list(raw, "flow", 12),
        "angles": lambda raw: _read_list(raw, "angle", None),
    }
    value = readers[kind](raw) if kind in readers else units.parse(raw, kind)
    if kind in LISTED:
        return tuple(_within(number, LISTED[kind], limits, raw) for number in value)
    return _within(value, kind, limits, raw)


# Kinds that are a list of numbers, and the kind of each.
LISTED = {
    "rain_by_month": "rain_depth",
    "fraction_by_month": "fraction",
    "flow_by_month": "flow",
    "angles": "angle",
}
UNRANGED = (*("text", "choice", "flag", "months", "hours", "names"), *LISTED)


def _within(value, kind, limits, raw):
    """The value; the limit itself, where that came back from the other units a rounding beside."""
    low, high = limits.get("low"), limits.get("high")
    if not isinstance(value, int | float) or isinstance(value, bool):
        return value
    for limit in (low, high):
        if limit is not None and abs(value - limit) <= _slack(limit, kind):
            return type(value)(limit)
    if (low is None or value >= low) and (high is None or value <= high):
        return value
    raise ValueError(f"must be {limits_text(low, high, kind)}; got {quoted(raw)}")


def _slack(limit, kind):
    """How far outside a limit may come back that was written in the other unit system."""
    return ROUNDING_FRAC * abs(limit) + (ROUNDING_K if kind == "temperature" else 0.0)


def limits_text(low, high, kind):
    """Write limits in both unit systems, such as ``1 to 600 m (3.28 to 1,969 ft)``."""
    if kind in units.KINDS and kind not in ("money", "fraction"):
        metric, us = (_limits_in(low, high, kind, system) for system in ("metric", "us"))
        return metric if metric == us else f"{metric} ({us})"
    return _limits_in(low, high, kind, "us")


def _limits_in(low, high, kind, system):
    def number(value):
        if kind in units.KINDS:
            value = units.convert(value, kind, system)
        return units.digits(value, 4)

    unit = f" {units.shown_unit(kind, system)}".rstrip() if kind in units.KINDS else ""
    if low == high:
        return f"{number(low)}{unit}"
    if high is None:
        return f"{number(low)}{unit} or more"
    if low is None:
        return f"{number(high)}{unit} or less"
    return f"{number(low)} to {number(high)}{unit}"


TURNING = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"


def _read_text(raw):
    if not isinstance(raw, str) or not 1 <= len(raw.strip()) <= 200:
        raise ValueError(f"must be a text of 1 to 200 characters; got {quoted(raw)}")
    # Line breaks would tear tables and messages; lone surrogates cannot be saved.
    # Letters that turn the direction of text would let a name pose as another.
    if not raw.isprintable() and any(  # what prints is none of them
        unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp") or letter in TURNING
        for letter in raw.strip()
    ):
        raise ValueError(f"must be one line of plain text; got {ascii(raw[:40])}")
    return raw.strip()


def _read_names(raw):
    if not isinstance(raw, list | tuple) or len(raw) > 200:
        raise ValueError(f"must be a list of texts; got {quoted(raw)}")
    return tuple(_read_text(name) for name in raw)


def _read_choice(raw, choices):
    raw = us_spelling(raw)
    if raw in choices:
        return raw
    near = nearest(raw, choices)[:1] if isinstance(raw, str) else ()
    hint = f" (did you mean {near[0]!r}?)" if near else ""
    raise ValueError(f"must be one of {some_of(choices, raw)}; got {quoted(raw, 40)}{hint}")


def some_of(known, text, none="none yet"):
    """Known names for a message: all if they are few, else those nearest to a text and how many.

    >>> some_of(["pump", "well"], "wel"), some_of([], "x")
    ('pump, well', 'none yet')
    """
    known = list(known)
    written = ", ".join(known)
    if len(written) <= MOST_NAMES_CHARACTERS:
        return written or none
    near = (nearest(str(text), known) or known)[:3]
    short = ", ".join(name if len(name) <= 24 else f"{name[:23]}…" for name in near)
    return f"{short} and {len(known) - len(near)} more; the form lists all"


def nearest(text, known):
    """Up to three known names that are spelled most like a text."""
    return difflib.get_close_matches(text[:60], known, n=3)


def _read_flag(raw):
    if not isinstance(raw, bool):
        raise ValueError(f"must be true or false; got {quoted(raw)}")
    return raw


def _read_count(raw):
    if not isinstance(raw, int) or isinstance(raw, bool) or abs(raw) > 10**9:
        raise ValueError(f"must be a whole number; got {quoted(raw)}")
    return raw


def _read_number(raw):
    wrong = f"must be a plain number without a unit; got {quoted(raw)}"
    if not isinstance(raw, int | float) or isinstance(raw, bool):
        raise ValueError(wrong)
    try:
        number = float(raw)
    except OverflowError:
        raise ValueError(wrong) from None
    if not math.isfinite(number):
        raise ValueError(wrong)
    return number


def _read_list(raw, kind, length):
    if not isinstance(raw, list | tuple) or len(raw) > 720 or (length and len(raw) != length):
        wanted = f"a list of {length} values" if length else "a list of at most 720 values"
        raise ValueError(
            f"must be {wanted}, each such as {units.EXAMPLES[kind]}; got {quoted(raw)}"
        )
    return tuple(units.parse(number, kind) for number in raw)


def read_months(raw):
    """Month numbers from ``"all"``, ``"Nov-Mar"`` or ``"Jan, May-Sep"``.

    >>> read_months("Nov-Feb")
    (11, 12, 1, 2)
    """
    if isinstance(raw, str) and raw.strip().lower() == "all":
        return tuple(range(1, 13))
    found = []
    pieces = raw.split(",") if isinstance(raw, str) and len(raw) <= 200 else [""]
    for piece in pieces:
        ends = [_month(end.strip().lower()) for end in piece.split("-")]
        if len(ends) > 2 or None in ends:
            raise ValueError(
                f'must be "all" or months such as "Nov-Mar" or "Jan, Jun-Aug"; got {quoted(raw)}'
            )
        first, last = ends[0], ends[-1]
        found += [(first + step) % 12 + 1 for step in range((last - first) % 12 + 1)]
    return tuple(dict.fromkeys(found))


def _month(text):
    """Position of a month written out or cut to three letters and up, or None."""
    if len(text) < 3:
        return None
    return next((n for n, name in enumerate(MONTH_NAMES) if name.startswith(text)), None)


def read_hours(raw):
    """Start and end hour from ``"always"`` or ``"17-22"``; the end may pass midnight.

    >>> read_hours("22-6")
    (22, 6)
    """
    if raw in ("always", "any"):
        return (0, 24)
    pattern = r"\s*(\d{1,2})\s*-\s*(\d{1,2})\s*"
    match = re.fullmatch(pattern, raw) if isinstance(raw, str) and len(raw) <= 40 else None
    start, end = (int(match[1]), int(match[2])) if match else (0, 0)
    if start > 23 or not 1 <= end <= 24 or start == end:
        raise ValueError(f'must be "always" or hours of the day such as "17-22"; got {quoted(raw)}')
    return (start, end)


def read_amount(raw):
    """Stored fuel: m³ from a volume such as ``"5 cords"``, kg from a mass such as ``"2 ton"``."""
    for kind in ("volume", "mass"):
        try:
            return units.parse(raw, kind)
        except ValueError:
            continue
    raise ValueError(
        f'must be a volume or a mass, such as "400 gal", "5 cords" or "2000 lb"; got {quoted(raw)}'
    )
