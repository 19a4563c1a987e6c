"""Names by which parts of a plan point at each other, and how they follow a new name."""

import tomlkit

from homestead.plan import layout
from homestead.plan.wiring import FEEDS

# list whose members are named -> entries that name them, as (part, entry)
NAMED_BY = {
    "fuel": (
        ("heater", "store"),
        ("generator", "store"),
        ("hot_water", "store"),
        ("cooking", "store"),
    ),
    "appliance": (("freezer", "appliance"), ("circuit", "feeds")),
    "heater": (("hot_water", "preheat_heater"), ("circuit", "feeds")),
    "subpanel": (("circuit", "panel"), ("circuit", "feeds")),
    "pv_inverter": (("array", "inverter"), ("circuit", "feeds")),
    "array": (("array", "shares_converter_with"), ("circuit", "feeds")),
    "change": (("change", "needs"), ("phase", "changes")),
}
FED_FIRST = (
    "array",
    "pv_inverter",
    "appliance",
    "heater",
    "subpanel",
)  # whose name a circuit means if several have it


def follow(data, key, old, new):
    """Let every entry that names a member of a list name it anew, in place.

    Candidate changes follow too: the paths and values that they set and the parts that they add.

    data (dict) : Plan as plain data or as tomlkit's document.
    key (str) : List of the member, such as ``"fuel"``.
    old, new (str) : Names.
    """
    named_by = [
        pair for pair in NAMED_BY.get(key, ()) if pair[1] != "feeds" or _is_fed(data, key, old)
    ]
    for part, entry in named_by:
        for table in _tables(data.get(part)):
            _rename_in(table, entry, old, new)
    for price in _tables(data.get("price")):
        if price.get("part") == f"{key} {old}":
            price["part"] = f"{key} {new}"
    for change in _tables(data.get("change")):
        if isinstance(change.get("sets"), dict):
            _follow_sets(change, key, named_by, old, new)
        adds = change.get("adds")
        for part, entry in named_by if isinstance(adds, dict) else ():
            for table in _tables(adds.get(part)):
                _rename_in(table, entry, old, new)


def _tables(value):
    if isinstance(value, dict):
        return [value]
    return [table for table in value if isinstance(table, dict)] if isinstance(value, list) else []


def _is_fed(data, key, old):
    """Whether a circuit that feeds this name means a member of this list."""
    before = FED_FIRST[: FED_FIRST.index(key)]
    taken = any(
        _is_name(table.get("name"), old) for part in before for table in _tables(data.get(part))
    )
    return not taken and old.strip() not in FEEDS


def _is_name(value, name):
    return isinstance(value, str) and value.strip() == name.strip()


def _rename_in(table, entry, old, new):
    value = table.get(entry)
    if isinstance(value, dict) and "value" in value:  # a table with its basis
        table, entry, value = value, "value", value["value"]
    if _is_name(value, old):
        table[entry] = new
    elif isinstance(value, list):
        for number, name in enumerate(value):
            if _is_name(name, old):
                value[number] = new


def _follow_sets(change, key, named_by, old, new):
    sets = change["sets"]
    for path in list(sets):
        part, *rest = str(path).split(".")
        entry = rest[-1] if rest else None
        if entry is None:  # a whole part, or list of parts, set anew
            for named, inner in named_by:
                for table in _tables(sets[path]) if named == part else ():
                    _rename_in(table, inner, old, new)
        elif (part, entry) in named_by:
            _rename_in(sets, path, old, new)
    if not any(_renamed_path(path, key, old, new) for path in sets):
        return
    renamed = {_renamed_path(path, key, old, new) or path: sets[path] for path in sets}
    if isinstance(sets, tomlkit.items.InlineTable):
        change["sets"] = layout.inline({path: _plain(value) for path, value in renamed.items()})
        return
    for path in list(sets):  # all again, so that their order stays
        del sets[path]
    for path, value in renamed.items():
        sets[path] = value


def _plain(value):
    """Value without what tomlkit keeps beside it."""
    return value.unwrap() if hasattr(value, "unwrap") else value


def _renamed_path(path, key, old, new):
    """Path with the new name, or None if it does not go through the member."""
    part, *rest = str(path).split(".")
    if part != key or len(rest) < 2 or not _is_name(".".join(rest[:-1]), old):
        return None
    return ".".join((key, new, rest[-1]))
