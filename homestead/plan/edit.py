"""Edits of a parsed plan that keep its comments and order.

Entries go by paths such as ``"cistern.volume"`` or ``"array.barn roof.strings"``. What a part may
hold is not known here: reading the edited plan says whether it holds.
"""

import copy

import tomlkit

from homestead.plan import layout
from homestead.plan.disk import PlanError
from homestead.plan.fields import TYPICAL
from homestead.plan.merge import GONE, Member, Order
from homestead.plan.schema import Plan, part_type, top_key
from homestead.units import quoted


def index_of(members, name):
    """Position of the member of that name (or of that position, as text), or None."""
    for index, member in enumerate(members):
        if isinstance(member, dict) and member.get("name") == name:
            return index
    is_position = name.isascii() and name.isdecimal() and len(name) < 7
    return int(name) if is_position and int(name) < len(members) else None


def locate(document, path):
    """Table that holds the entry of a path, and the entry's key; None if there is no table."""
    first, *rest = str(path).split(".")
    if not rest:
        return document, first
    inner = document.get(first)
    if isinstance(inner, list):
        name, key = ".".join(rest[:-1]), rest[-1]
        index = index_of(inner, name)
        return (None if index is None else inner[index]), key
    return (inner if isinstance(inner, dict) else None), ".".join(rest)


def new_table(document, path):
    """Key of the single part that a path would begin, or PlanError if it cannot begin one."""
    first, *rest = str(path).split(".")
    single = any(
        top_key(name) == first and part_type(name)[0] and not part_type(name)[1]
        for name in Plan.model_fields
    )
    if not single or len(rest) != 1 or first in document:
        raise PlanError(f"{quoted(str(path))}: there is no such part in the plan")
    return first


def copied_for(document, paths):
    """Copy of a document to `put` values in at these paths; the parts beside them are shared."""
    first = [str(path).split(".")[0] for path in paths]
    # An entry at the top level may move the blank lines of its neighbors.
    if any("." not in str(path) for path in paths) or any(key not in document for key in first):
        return copy.deepcopy(document)
    kept = (item for key, item in document.body if key is None or key.key not in first)
    return copy.deepcopy(document, {id(item): item for item in kept})


def put(document, path, value):
    """Document with one entry set, added or (value None) removed."""
    table, key = locate(document, path)
    if table is None:
        if value is None:
            return document
        document[new_table(document, path)] = tomlkit.table()
        table = document[str(path).split(".")[0]]
    first, *rest = str(path).split(".")
    if value is None:
        cut = None if rest else layout.without_table(tomlkit.dumps(document), (first,))
        if cut is not None:
            return tomlkit.parse(cut)
        table.pop(key, None)
        return document
    entry = table.get(key)
    is_range = isinstance(entry, dict) and "value" in entry and not isinstance(value, dict)
    if is_range and entry.get("basis") != TYPICAL:  # else the family's own takes its place
        entry["value"] = layout.inline(value)
        return document
    if entry is None and rest:
        where: tuple = (first,)
        if isinstance(document[first], list):
            where = (first, index_of(document[first], ".".join(rest[:-1])))
        longer = layout.with_entry(tomlkit.dumps(document), where, key, value)
        if longer is not None:
            return tomlkit.parse(longer)
    table[key] = layout.inline(value)
    return document


def with_member(document, key, part):
    """Document with one more member at the end of a list."""
    if not isinstance(part, dict):
        raise TypeError("a part is a table of entries")
    members = document.get(key)
    if members is not None and not isinstance(members, tomlkit.items.AoT):
        document = copy.deepcopy(document)
        document[key].append(layout.inline(part))
        return document
    return tomlkit.parse(layout.with_member(tomlkit.dumps(document), key, part))


def without_member(document, key, index):
    """Document without the member at a position of a list."""
    cut = layout.without_table(tomlkit.dumps(document), (key, index))
    if cut is not None:
        return tomlkit.parse(cut)
    document = copy.deepcopy(document)
    del document[key][index]
    if not document[key]:
        del document[key]
    return document


def taken_step(document, step):
    """Document after one `merge.Step`: what was typed there is replaced whole."""
    where, value = step
    key, *rest = where
    if isinstance(value, Order):
        return _in_order(document, key, value)
    if len(where) == 1:
        return _whole_part(document, key, value)
    if isinstance(rest[-1], Member):
        index = index_of(document.get(key, ()), rest[-1])
        if index is not None:
            document = without_member(document, key, index)
        return document if value is GONE else with_member(document, key, value)
    path = ".".join(where)
    table, entry = locate(document, path)
    is_range = isinstance(table.get(entry), dict) and not isinstance(value, dict)
    if value is not GONE and is_range:  # else only the value inside the range would change
        table[entry] = layout.inline(value)
        return document
    return put(document, path, None if value is GONE else value)


def _whole_part(document, key, value):
    is_parts = (
        isinstance(value, list) and value and all(isinstance(member, dict) for member in value)
    )
    if value is GONE or isinstance(value, dict) or is_parts:
        while key in document:
            is_list = isinstance(document[key], list) and len(document[key]) > 0
            if is_list:
                document = without_member(document, key, 0)
            else:
                document = put(document, key, None)
    if value is GONE:
        return document
    if is_parts:
        for part in value:
            document = with_member(document, key, part)
        return document
    if isinstance(value, dict):
        document[key] = tomlkit.table()
        document = tomlkit.parse(tomlkit.dumps(document))
        for entry, typed in value.items():
            document = put(document, f"{key}.{entry}", typed)
        return document
    return put(document, key, value)


def _in_order(document, key, names):
    """Document with the members of a list in an order; those not named keep their places."""
    raw = document.unwrap()[key]
    wanted = {name: member for member in raw if (name := member["name"]) in names}
    turn = iter(names)
    ordered = [wanted[next(turn)] if member["name"] in wanted else member for member in raw]
    for index in range(len(raw) - 1, 0, -1):
        document = without_member(document, key, index)
    for part in ordered:
        document = with_member(document, key, part)
    return without_member(document, key, 0)
