"""A part of a plan as a family would type it, from its fields: text with units, lists, words.

What did not change keeps the words, the range and the basis that were typed.
"""

from homestead import units
from homestead.plan.fields import LISTED, MONTH_NAMES, kind_of

PLAIN = ("text", "choice", "flag", "count", "number", "fraction")


def part(now, before=None, typed=None, currency="$"):
    """Plain data of a part.

    now, before (Part) : As it is, and as it was read from `typed`; None where it is new.
    typed (dict) : What was typed of the part before.
    currency (str) : Sign of the plan's money.
    Gives dict.
    """
    found = {} if before is None else dict(typed or {})
    for name, field in type(now).model_fields.items():
        key, value, kind = field.alias or name, getattr(now, name), kind_of(field)
        if before is not None and value == getattr(before, name):
            continue
        if value in (None, ()):
            found.pop(key, None)
        elif kind is None:
            found[key] = value
        else:
            found[key] = entry(value, kind.name, found.get(key), currency)
    return found


def entry(value, kind, typed=None, currency="$"):
    """One entry as it is typed; `typed` is what stood there, which says if a fuel is weighed."""
    if kind in PLAIN:
        return value
    if kind == "names":
        return list(value)
    if kind == "months":
        return ", ".join(MONTH_NAMES[month - 1][:3] for month in value)
    if kind == "hours":
        return "always" if value == (0, 24) else f"{value[0]}-{value[1]}"
    if kind in LISTED:
        return [entry(number, LISTED[kind]) for number in value]
    if kind == "money":
        return f"{currency}{value!r}"
    if kind == "amount":
        kind = _measure(typed)
    inside = units.KINDS[kind][0]
    return f"{value!r} {units.SPOKEN.get(inside, inside)}"


def _measure(typed):
    text = typed.get("value") if isinstance(typed, dict) else typed
    try:
        units.parse(text, "mass")
    except ValueError:
        return "volume"
    return "mass"
