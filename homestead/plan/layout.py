"""Where things stand in a plan's text, and edits of that text which leave every other line alone.

Owns line numbers for messages and the insertion and removal of whole lines. A heading comment
between two parts stays where it is, which an edit of the parsed document does not promise. Leaves
values that are already there to `file`. Expects text that was parsed as TOML before.
"""

import json
import re
from typing import NamedTuple

import tomlkit

_PIECE = r"\"(?:[^\"\\]|\\.)*\"|'[^']*'|[A-Za-z0-9_-]+"
_KEY = rf"(?:{_PIECE})(?:[ \t]*\.[ \t]*(?:{_PIECE}))*"
_HEADER = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_KEY})[ \t]*\]")
_ENTRY = re.compile(rf"[ \t]*({_KEY})[ \t]*=")
_TOKEN = re.compile(r"\"\"\"|'''|\"(?:[^\"\\]|\\.)*\"|'[^']*'|#.*|[\[\]{}]")


class Line(NamedTuple):
    """One line that is neither blank nor a comment."""

    number: int  # from 1
    table: tuple  # the table it belongs to, list positions included
    entry: tuple | None  # key of the entry that begins here
    is_header: bool


def scan(text):
    """Lines of TOML text that hold something, each with the table it belongs to."""
    table: tuple[str | int, ...] = ()
    counts: dict[tuple[str | int, ...], int] = {}
    inside, depth = "", 0  # an open multi-line string, open brackets
    for number, line in enumerate(text.split("\n"), start=1):
        rest = line
        if not inside and not depth:
            if not line.strip() or line.lstrip().startswith("#"):
                continue
            if header := _HEADER.match(line):
                table = _table_of(_names(header[2]), header[1] == "[[", counts)
                yield Line(number, table, None, True)
                continue
            entry = _ENTRY.match(line)
            yield Line(number, table, _names(entry[1]) if entry else None, False)
            rest = line[entry.end() :] if entry else line
        else:
            yield Line(number, table, None, False)
        inside, depth = _still_open(rest, inside, depth)


def _names(key):
    return tuple(_plain(piece) for piece in re.findall(_PIECE, key))


def _plain(piece):
    if piece[0] == '"':
        try:
            return json.loads(piece)
        except ValueError:  # TOML's eight-digit escapes are not JSON's
            return piece[1:-1]
    return piece.strip("'")


def _table_of(names, is_member, counts):
    where: tuple[str | int, ...] = ()
    for name in names[:-1]:
        where += (name,)
        if where in counts:
            where += (counts[where],)
    where += (names[-1],)
    if is_member:
        counts[where] = counts.get(where, -1) + 1
        where += (counts[where],)
    return where


def _still_open(rest, inside, depth):
    """State after a line: the multi-line string that is still open, brackets still open."""
    at = 0
    while at < len(rest):
        if inside:
            end = rest.find(inside, at)
            while inside == '"""' and end > 0 and rest[end - 1] == "\\":
                end = rest.find(inside, end + 1)
            if end < 0:
                return inside, depth
            inside, at = "", end + 3
            continue
        token = _TOKEN.search(rest, at)
        if not token or token[0].startswith("#"):
            break
        at = token.end()
        if token[0] in ('"""', "'''"):
            inside = token[0]
        elif token[0] in "[{":
            depth += 1
        elif token[0] in "]}":
            depth -= 1
    return inside, max(depth, 0)


def line_numbers(text):
    """Line of each table and entry, by where it stands (keys and list positions)."""
    found: dict[tuple[str | int, ...], int] = {}
    for line in scan(text):
        if line.is_header:
            found.setdefault(line.table, line.number)
            if isinstance(line.table[-1], int):
                found.setdefault(line.table[:-1], line.number)
        for n in range(1, len(line.entry or ()) + 1):
            found.setdefault((*line.table, *line.entry[:n]), line.number)
    return found


def _block(text, where, whole):
    """First and last line number of a table under its own header, or None.

    With `whole`, its inner tables count too.
    """
    seen = [
        (index, line)
        for index, line in enumerate(scan(text))
        if (line.table[: len(where)] if whole else line.table) == where
    ]
    if not seen or not seen[0][1].is_header or seen[0][1].table != where:
        return None
    if seen[-1][0] - seen[0][0] + 1 != len(seen):  # written in several places
        return None
    return seen[0][1].number, seen[-1][1].number


def without_table(text, where):
    """Text without one table or list member, or None if it has no header of its own."""
    block = _block(text, where, whole=True)
    if block is None:
        return None
    lines = text.split("\n")
    first, last = block
    before, after = lines[: first - 1], lines[last:]
    if before and not before[-1].strip() and not (after and after[0].strip()):
        before.pop()  # one of the two blank lines that would meet
    return "\n".join(before + after)


def with_member(text, key, part):
    """Text with one more member after the last of its list (at the end if it is the first)."""
    written = tomlkit.aot()
    written.append(_table(part))
    block = tomlkit.dumps(tomlkit.item({key: written})).strip("\n").split("\n")
    members = [line.table[1] for line in scan(text) if line.is_header and line.table[0] == key]
    last = _block(text, (key, max(members)), whole=True) if members else None
    if last is None:
        return text.rstrip("\n") + "\n\n" + "\n".join(block) + "\n"
    lines = text.split("\n")
    return "\n".join([*lines[: last[1]], "", *block, *lines[last[1] :]])


def with_entry(text, where, key, value):
    """Text with one more entry at the end of a table, or None if it has no header of its own."""
    block = _block(text, where, whole=False)
    if block is None:
        return None
    written = tomlkit.dumps({key: inline(value)}).rstrip("\n")
    lines = text.split("\n")
    return "\n".join([*lines[: block[1]], written, *lines[block[1] :]])


def _table(part):
    table = tomlkit.table()
    for key, value in part.items():
        table[key] = inline(value)
    return table


def inline(value):
    """Plain data as tomlkit writes it on one line."""
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        for key, inner in value.items():
            table[key] = inline(inner)
        # Read back: a copy of a table that was built here would lose the blanks after its commas.
        return tomlkit.value(table.as_string())
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        for inner in value:
            array.append(inline(inner))
        return array
    return tomlkit.item(value)
