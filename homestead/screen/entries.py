"""What a form needs: every entry of a part, from the schema, and typed text to plan values.

The half of the forms that needs no browser library. Holds no limits and no rules of its own: a
typed text becomes what would stand in the file, and the plan's own reading judges it.
"""

import functools
import re
from typing import NamedTuple

from homestead import reference, units
from homestead.plan.everyday import amount_text, share, understood
from homestead.plan.fields import LISTED, kind_of
from homestead.plan.schema import Plan, part_type, top_key
from homestead.vocabulary import month_runs

# What stands behind the label of a field that is not a quantity with one unit.
HINTS = {
    "fraction": "share or %",
    "money": "in the currency of your prices",
    "months": "such as Nov-Mar, or all",
    "hours": "such as 17-22, or always",
    "names": "with commas between",
    "rain_by_month": "12 amounts with commas",
    "fraction_by_month": "12 shares with commas",
    "flow_by_month": "12 flows with commas",
    "angles": "angles with commas",
    "sets": "part, entry: new value",
    "adds": "part, name, entry: value",
}
# Heat and fuel are sold by the Btu, and such is what a label says.
HEAT = ("output", "mild_output", "cold_output", "input", "capacity", "daily")
HEAT += ("no_load_fuel", "full_load_fuel")
AMOUNTS = {"us": "gal, cords or lb", "metric": "L, m³ or kg"}
_WORDS = {
    "us": "gal gallons? qt pints? cups? ft feet foot in inch inches yd mi sq\\s?ft sqft ft2 "
    "cu\\s?ft °?F lbs? pounds oz cords? psig? mph mi/h acres? gpm cfm btu btu/h".split(),
    "metric": "mm cm m km m2 m² m3 m³ ml l liters? litres? °?C kg g tonnes? t kpa pa bar ha m/s "
    "l/min l/s".split(),
}
_IN = {
    system: re.compile(rf"(?<![A-Za-z])(?:{'|'.join(words)})(?![A-Za-z])|{more}", re.IGNORECASE)
    for (system, words), more in zip(_WORDS.items(), (r"^R-?\d", r"m²·K/W"), strict=True)
}
BRITISH = {"power": "Btu/h", "energy": "Btu"}
# Plain numbers carry their unit in the key.
PLAIN_UNITS = {"_years": "years", "_changes_h": "per hour", "_per_c": "share per °C"}
LISTS = ("names", *LISTED)
OF_IDEAS = ("sets", "adds")  # written and read by `idea_words`
# Lists of twelve, and the kind of each of them.
BY_MONTH = {kind: inner for kind, inner in LISTED.items() if kind.endswith("_by_month")}


class Entry(NamedTuple):
    """One entry of a plan as a form needs it."""

    key: str
    title: str
    help: str
    kind: str
    choices: tuple
    default: object  # as typed; None if there is none
    is_required: bool
    low: float | None = None  # limits in the unit inside
    high: float | None = None
    source: str = ""  # where the default is from

    def label(self, system):
        """Title with the unit, the reader's own system first."""
        return f"{self.title} [{hint}]" if (hint := self.hint(system)) else self.title

    def bare_unit(self, system):
        """Unit of a number typed without one: the first of the hint, where that is one unit.

        Heat is written in watts by some and in Btu by others, so there it has to be typed.
        """
        kind = BY_MONTH.get(self.kind, self.kind)
        if kind not in units.KINDS or kind in ("money", "fraction") or self.key in HEAT:
            return ""
        if self._in_seconds:
            return "s"
        if kind == "thermal_resistance" and system == "us":
            return "R-number"
        return "deg" if kind == "angle" else units.shown_unit(kind, system)

    def limits(self, system):
        """What may be typed, in one unit system, such as ``"from 1 ft to 1,970 ft"``."""
        kind = self.kind if self.kind == "fraction_by_month" else BY_MONTH.get(self.kind, self.kind)
        words = []
        for word, limit in (("from", self.low), ("to", self.high)):
            if limit is not None and self._in_seconds:
                words += [word, f"{units.digits(limit)} s"]
            elif limit is not None and kind in units.KINDS:
                words += [word, units.show(limit, kind, system)]
            elif limit is not None and kind in ("number", "count"):
                words += [word, units.digits(limit, 4)]
        return " ".join(words)

    @property
    def _in_seconds(self):
        """Whether it is a time so short that it is written in seconds."""
        return self.kind == "time" and str(self.default).endswith(" s")

    def hint(self, system):
        """Unit or way of writing, for the label."""
        if self.kind in HINTS:
            return HINTS[self.kind]
        if self.kind == "amount":
            return AMOUNTS[system]
        if self._in_seconds:
            return "s"
        if self.kind == "number":
            ends = (unit for end, unit in PLAIN_UNITS.items() if self.key.endswith(end))
            return next(ends, "")
        if self.kind not in units.KINDS:
            return ""
        own = units.shown_unit(self.kind, system)
        if self.kind == "thermal_resistance" and system == "us":
            return "R-number"
        if system == "us" and self.key in HEAT and self.kind in BRITISH:
            return f"{own} or {BRITISH[self.kind]}"
        return own


def entries_of(part_key, system="us"):
    """Entries of one top-level part of a plan, in the order of the schema.

    part_key (str) : Key in the file, such as ``"cistern"``, ``"appliance"`` or ``"name"``.
    system ({"us", "metric"}) : How defaults are written.
    Gives (tuple of Entry, str): The entries, and what the part is: ``"value"`` (one entry at the
        top), ``"list"``, ``"always"`` (there in every plan, if only by its defaults) or
        ``"optional"``.

    Raises ValueError if there is no such part.
    """
    names = {top_key(name): name for name in Plan.model_fields if name != "schema_n"}
    if part_key not in names:
        raise ValueError(f"part must be one of {', '.join(names)}; got {part_key!r}")
    field = Plan.model_fields[names[part_key]]
    part, is_list = part_type(names[part_key])
    if part is None:
        return (_entry(part_key, field, system),), "value"
    fields = part.model_fields.items()
    entries = tuple(_entry(inner.alias or name, inner, system) for name, inner in fields)
    if is_list:
        return entries, "list"
    is_there = field.is_required() or field.get_default(call_default_factory=True) is not None
    return entries, "always" if is_there else "optional"


def known(part_key, entry_key, raw):
    """What may be chosen for an entry that takes a name or a size of a table; empty if any may be.

    part_key, entry_key (str)
    raw (dict) : Plain data of the plan, for stores that a fuel can come from.
    """
    foods = functools.partial(reference.items, "foods", "energy")
    lists = {
        ("animal", "kind"): reference.animal_names,
        ("pantry", "food"): foods,
        ("crop", "food"): foods,
        ("fuel", "species"): functools.partial(reference.items, "wood_species", "heat_hhv"),
        ("appliance", "name"): functools.partial(reference.items, "appliances", "use_per_day"),
        ("pump", "rated"): functools.partial(reference.items, "motors", "rated_power"),
    }
    if (part_key, entry_key) in lists:
        return tuple(lists[part_key, entry_key]())
    if entry_key == "store":
        names = [fuel["name"] for fuel in raw.get("fuel", ()) if "name" in fuel]
        return (*names, "electricity") if part_key in ("heater", "hot_water") else tuple(names)
    return ()


def about(part_key):
    """First sentence of what a part is, for its heading."""
    name = next(name for name in Plan.model_fields if top_key(name) == part_key)
    part, _ = part_type(name)
    return part.__doc__.splitlines()[0] if part else Plan.model_fields[name].description


def _entry(key, field, system):
    kind = kind_of(field)
    extra = field.json_schema_extra or {}
    name = kind.name if kind else key
    default = None
    if not field.is_required():
        default = as_default(field.get_default(call_default_factory=True), name, system)
    return Entry(
        key,
        field.title,
        field.description or "",
        name,
        tuple(extra.get("choices") or ()),
        default,
        field.is_required(),
        extra.get("low"),
        extra.get("high"),
        extra.get("source") or "",
    )


def as_default(value, kind, system):
    """A default of the schema (in the unit inside) as a person would type it; None if none."""
    if value is None or value == () or value == {}:
        return None
    if kind in ("flag", "choice", "text"):
        return value
    if kind == "count":
        return str(value)
    if kind == "number":
        return units.digits(value, 4)
    if kind == "months":
        return months_text(value)
    if kind == "hours":
        return "always" if value == (0, 24) else f"{value[0]}-{value[1]}"
    if kind == "names":
        return ", ".join(value)
    if kind in BY_MONTH:
        inner = BY_MONTH[kind]
        same = len(set(value)) == 1
        shown = [units.show(number, inner, system) for number in value]
        return f"{shown[0]} in each month" if same else ", ".join(shown)
    if kind == "time" and 0 < value < units.parse("1 min", "time"):
        return f"{units.digits(value)} s"
    return units.show(value, kind, system)


def months_text(months):
    """Months as a person types them.

    >>> months_text((5, 6, 7, 8, 9)), months_text((11, 12, 1)), months_text(tuple(range(1, 13)))
    ('May-Sep', 'Nov-Jan', 'all')
    """
    if set(months) == set(range(1, 13)):
        return "all"
    runs = month_runs(months)
    return ", ".join(first if first == last else f"{first}-{last}" for first, last in runs)


def as_typed(raw, kind):
    """What stands in the file, as text for a field (bool for a flag); empty text for nothing."""
    if isinstance(raw, dict):
        raw = raw.get("value")
    if kind == "flag":
        return raw
    if raw is None:
        return ""
    if kind in LISTS and isinstance(raw, list | tuple):
        return ", ".join(str(item) for item in raw)
    return str(raw)


def in_system(raw, kind, system):
    """What stands in the file, as text in one unit system; as typed where both share the unit.

    >>> in_system("2500 gal", "volume", "metric"), in_system("3/4 hp", "power", "metric")
    ('9,464 L', '3/4 hp')
    >>> in_system("5 cords", "amount", "metric")
    '18.1 m³'
    """
    typed = as_typed(raw, kind)
    one_kind = kind if kind == "fraction_by_month" else BY_MONTH.get(kind, kind)
    if typed in ("", None):
        return typed
    if kind == "amount":
        return _amount_in(typed, system)
    if one_kind not in units.KINDS:
        return typed
    is_same = units.shown_unit(one_kind, "us") == units.shown_unit(one_kind, "metric")
    if is_same and not (system == "metric" and "btu" in typed.lower()):
        return typed
    try:
        if kind in BY_MONTH:
            many = raw["value"] if isinstance(raw, dict) else raw
            return ", ".join(
                units.show(units.parse(item, one_kind), one_kind, system) for item in many
            )
        shown = units.show(units.parse(typed, kind), kind, system)
    except ValueError:
        return typed
    if kind == "thermal_resistance" and system == "us":
        return f"R-{shown.split()[0]}"
    return shown


def _amount_in(typed, system):
    """A stored amount as it is sold in one unit system: wood by the cord or the cubic meter."""
    if not is_foreign(typed, system):
        return typed
    try:
        m3 = units.parse(typed, "volume")
    except ValueError:
        try:
            return units.show(units.parse(typed, "mass"), "mass", system)
        except ValueError:
            return typed
    if "cord" in typed:
        return f"{units.digits(m3)} m³"
    return units.show(m3, "volume", system)


def is_foreign(typed, system):
    """Whether a text is in the units of the other system.

    >>> is_foreign("2500 gal", "metric"), is_foreign("2500 gal", "us"), is_foreign("12 V", "us")
    (True, False, False)
    """
    other = "metric" if system == "us" else "us"
    return isinstance(typed, str) and bool(_IN[other].search(typed))


def in_plan_units(raw, kind, system):
    """What stands in the file as typed, but for what is in the units of the other system."""
    typed = as_typed(raw, kind)
    return in_system(raw, kind, system) if is_foreign(typed, system) else typed


def as_raw(typed, kind, bare_unit=""):
    """What was typed, as it would stand in the file; None for nothing.

    typed (str or bool)
    kind (str) : As in `Entry`.
    bare_unit (str) : Unit of a number without one, as `Entry.bare_unit`.

    Text that cannot be turned stays text, so that the plan's own reading says what is wrong.
    """
    if kind in ("flag", "choice"):
        return None if typed == "" else typed
    text = str(typed).strip()
    if not text:
        return None
    if kind == "count":
        return _number(amount_text(text), int)
    if kind == "number":
        return _number(text, float)
    if kind == "fraction":
        found = share(text)
        return found if found is not None and "%" not in text else _number(text, float)
    if kind in LISTS:
        inner = [word.strip() for word in text.replace(";", ",").split(",") if word.strip()]
        if kind in BY_MONTH and kind != "fraction_by_month":
            return [understood(word, BY_MONTH[kind], bare_unit) for word in inner]
        return [_number(word, float) for word in inner] if kind == "fraction_by_month" else inner
    if kind == "amount":
        return understood(text, "volume")
    return understood(text, kind, bare_unit) if kind in units.KINDS else text


def _number(text, wanted):
    try:
        return wanted(text.replace(",", ""))
    except ValueError:
        return text


def range_text(raw, kind="text", system="us"):
    """Range and basis beside a value, in words; empty without any."""
    if not isinstance(raw, dict) or "value" not in raw:
        return ""
    words = []
    if "low" in raw or "high" in raw:
        low, high = (
            in_plan_units(raw.get(end, raw["value"]), kind, system) for end in ("low", "high")
        )
        words.append(f"between {low} and {high}")
    if raw.get("basis"):
        words.append(f"basis: {raw['basis']}")
    return "; ".join(words)


def with_surety(raw, low, high, basis):
    """Entry with its range and basis, in the table form where there is any.

    >>> with_surety("4 gal/min", "3 gal/min", None, "estimate")
    {'value': '4 gal/min', 'low': '3 gal/min', 'basis': 'estimate'}
    >>> with_surety("4 gal/min", None, None, None)
    '4 gal/min'
    """
    value = raw["value"] if isinstance(raw, dict) and "value" in raw else raw
    given = {"low": low, "high": high, "basis": basis}
    kept = {name: said for name, said in given.items() if said not in (None, "")}
    # A table stays one, so that its place and comment in the file stay too.
    return {"value": value, **kept} if kept or isinstance(raw, dict) else value
