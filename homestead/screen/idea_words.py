"""What an idea sets and adds, as a person writes it: the part, its entry, the new value.

``cistern, volume: 5000 gal; fuel, propane tank, amount: 400 gal``. What cannot be written so stays
as it stands in the file.
"""

import tomlkit
from tomlkit.exceptions import TOMLKitError

from homestead.plan.fields import nearest
from homestead.screen import entries

SETS, ADDS = entries.OF_IDEAS
WAY = "write the part, its entry, a colon and the new value, such as cistern, volume: 5000 gal"
FLAGS = {"yes": True, "no": False}


def written(raw, kind):
    """What an idea sets or adds (plain data or None), as text for a field."""
    if not raw:
        return ""
    pairs = raw.items() if kind == SETS else _pairs(raw)
    text = "; ".join(f"{_path_words(path)}: {_value_words(value)}" for path, value in pairs)
    try:
        if read(text, kind) == raw:
            return text
    except ValueError:
        pass
    table = tomlkit.inline_table()
    table.update(raw)
    return table.as_string()


def read(text, kind):
    """Plain data of a text as `written` gives it, or as it stands in the file.

    Raises
    ------
    ValueError
        Saying how to write it.
    """
    if text.lstrip().startswith("{"):
        try:
            return tomlkit.parse(f"entry = {text}\\n")["entry"].unwrap()
        except TOMLKitError as error:
            raise ValueError(WAY) from error
    found = {}
    for piece in filter(str.strip, text.split(";")):
        path, colon, value = piece.rpartition(":")
        words = [word.strip() for word in path.split(",")]
        if not colon or not all(words) or not value.strip():
            raise ValueError(WAY)
        entry = _entry(words)
        key, member = _key(words[0]), ", ".join(words[1:-1])
        raw = value.strip()
        raw = (
            FLAGS.get(raw.lower(), raw) if entry.kind == "flag" else entries.as_raw(raw, entry.kind)
        )
        if kind == SETS:
            found[".".join(filter(None, (key, member, entry.key if len(words) > 1 else "")))] = raw
            continue
        members = found.setdefault(key, [])
        if not members or members[-1]["name"] != member:
            members.append({"name": member})
        members[-1][entry.key] = raw
    return found


def _key(words):
    return words.strip().lower().replace(" ", "_")


def _entry(words):
    """The entry that the first and the last of the words name."""
    key, name = _key(words[0]), _key(words[-1])
    try:
        known = {one.key: one for one in entries.entries_of(key)[0]}
    except ValueError:
        raise ValueError(f"there is no part {words[0]!r}; {WAY}") from None
    by_title = {_key(one.title): one for one in known.values()}
    found = known.get(name) or by_title.get(name)
    if found is None:
        near = nearest(name, list(known))
        hint = f"did you mean {_words(near[0])!r}? " if near else ""
        raise ValueError(f"{words[0]} has no {words[-1]!r}; {hint}{WAY}")
    return found


def _pairs(adds):
    for key, members in adds.items():
        for member in members:
            for entry, value in member.items():
                if entry != "name":
                    yield f"{key}.{member.get('name', '')}.{entry}", value


def _words(key):
    return key.replace("_", " ")


def _path_words(path):
    key, *rest = path.split(".")
    member, entry = ".".join(rest[:-1]), rest[-1] if rest else ""
    return ", ".join(filter(None, (_words(key), member, _words(entry))))


def _value_words(value):
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)
