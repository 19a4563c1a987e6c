"""Whose number each value of a plan is: the family's own, typical, the template's, or missing.

A value is *yours* if the family entered it: it differs from the template that the plan began from,
says that it was measured or read from a label, or was confirmed ("this is right for us"). It is
*typical* where nothing is entered and a default counts, *example* while it is still the template's
own, and *missing* where a limit that protects people or equipment was not entered.
"""

from collections import Counter
from functools import lru_cache

import tomlkit

from homestead import reference
from homestead.plan.disk import PlanError
from homestead.plan.fields import TYPICAL, kind_of, nearest
from homestead.plan.schema import IDEAS, Plan, part_type, top_key
from homestead.units import quoted

STATES = ("yours", "typical", "example", "missing")
TEMPLATES = ("demo", "cabin", "cold-coast")
SURE = ("measured", "label")
# Names, choices and switches say how the homestead is built; they are no numbers to measure.
NO_NUMBERS = ("text", "choice", "flag", "names")


def states(plan):
    """Whose number each numeric value of a plan is.

    Gives dict of str to str: Path, such as ``"array.barn roof.converter_max_voltage"``, to one of
        `STATES`.
    """
    began = _template(_began_from(plan))
    confirmed = set(plan.confirmed)
    found = {}
    for key, name, part, raw in _parts(plan.raw):
        prefix = key if name is None else f"{key}.{name}"
        kept = confirmed & {key, prefix}
        like = _member(began.get(key), name)
        for field_name, field in part.model_fields.items():
            entry = field.alias or field_name
            path = f"{prefix}.{entry}"
            state = _state(field, raw.get(entry), like.get(entry), kept or path in confirmed)
            if state:
                is_typical = state == "example" and plan.began_from == TYPICAL
                found[path] = "typical" if is_typical else state
    return found


def counts(plan):
    """How many numeric values are whose, as a dict with all of `STATES`."""
    told = Counter(states(plan).values())
    return {state: told[state] for state in STATES}


def in_words(plan):
    """The count in one sentence."""
    told = counts(plan)
    n = sum(told.values())
    rest = [f"{told['example']} are examples"] if told["example"] else []
    rest += [f"{told['typical']} are typical values"] if told["typical"] else []
    rest += [f"{told['missing']} limits are missing"] if told["missing"] else []
    return f"{told['yours']} of {n} numbers are yours{'; ' if rest else ''}{', '.join(rest)}."


def briefly(plan):
    """How many of its numbers are the family's own, in one short sentence."""
    told = counts(plan)
    return f"{told['yours']} of {sum(told.values())} numbers are yours."


def _state(field, raw, like, is_confirmed):
    kind = kind_of(field)
    if kind is None or kind.name in NO_NUMBERS:
        return None
    if raw is None:
        if (field.json_schema_extra or {}).get("protects"):
            return "missing"
        return None if field.default is None or field.is_required() else "typical"
    basis = raw.get("basis") if isinstance(raw, dict) else None
    if is_confirmed or basis in SURE:
        return "yours"
    if basis == TYPICAL:
        return "typical"
    return "example" if raw == like else "yours"


def _parts(raw):
    """Key, name (None for a single part), class and plain data of each part that counts."""
    for field_name in Plan.model_fields:
        part, is_list = part_type(field_name)
        key = top_key(field_name)
        if part is None or key in IDEAS:
            continue
        if is_list:
            for number, member in enumerate(raw.get(key, ())):
                yield key, member.get("name", str(number)), part, member
        elif key in raw or not _is_optional(field_name):
            yield key, None, part, raw.get(key, {})


def _is_optional(field_name):
    return Plan.model_fields[field_name].default is None


def _member(entries, name):
    if isinstance(entries, list):
        return next((entry for entry in entries if entry.get("name") == name), {})
    return entries or {}


def _began_from(plan):
    if plan.began_from:
        return plan.began_from
    for name in TEMPLATES:  # the shipped plans are examples throughout
        if plan.folder == reference.shipped("data", name).resolve():
            return name
    return ""


@lru_cache(maxsize=len(TEMPLATES) + 1)
def _template(name):
    if not name:
        return {}
    return tomlkit.parse(reference.shipped("data", name, "plan.toml").read_text("utf-8")).unwrap()


def confirm(file, paths):
    """Say that entries or whole parts of a `PlanFile` are right for the family; not saved yet.

    Raises PlanError if one of them is nothing that the plan still has from its template.
    """
    examples = [path for path, state in states(file.plan).items() if state == "example"]
    for wanted in paths:
        if not any(path == wanted or path.startswith(f"{wanted}.") for path in examples):
            near = nearest(wanted, examples)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise PlanError(f"{quoted(wanted)}: no example value is there{hint}")
    file.set("confirmed", list(dict.fromkeys([*file.plan.confirmed, *paths])))
