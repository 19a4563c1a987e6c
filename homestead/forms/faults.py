"""What is wrong with a plan, sorted to the fields of a form."""

import re
from typing import NamedTuple

from homestead.units import quoted

_PLACE = re.compile(
    r"^.*?(?: line \d+,)? (?:\[\[?(?P<part>\w+)\]\]? ?(?:(?P<number>\d+) ?)?)?"
    r"(?P<entry>[\w.]*): (?P<message>.*)$"
)


class PlacedFault(NamedTuple):
    """One fault: which part, which member (from 1), which entry, what must hold."""

    part: str | None
    number: str | None
    entry: str
    message: str


def read(error):
    """Faults of a `PlanError`, one a line of it, or as it carries them."""
    carried = getattr(error, "faults", None)
    if carried:
        return [_told(fault) for fault in carried]
    found = []
    for line in str(error).splitlines():
        match = _PLACE.match(line)
        found.append(
            PlacedFault(match["part"], match["number"], match["entry"], match["message"])
            if match
            else PlacedFault(None, None, "", line)
        )
    return found


def _told(fault):
    key, *rest = fault.where
    number = rest.pop(0) + 1 if rest and isinstance(rest[0], int) else None
    entry = ".".join(str(step) for step in rest)
    if not entry and number is None:  # an entry at the top of the plan
        return PlacedFault(None, None, str(key), fault.message)
    return PlacedFault(str(key), None if number is None else str(number), entry, fault.message)


def of_field(error, field):
    """Faults of a field in few words: without its own place, with the place of any other."""
    own, said = [], []
    for fault in read(error):
        if fault.entry == field.entry.key and fault.part in (field.member.key, None):
            own.append(fault.message)
        else:
            words = (fault.part, fault.number, fault.entry)
            place = " ".join(word.replace("_", " ") for word in words if word)
            said.append(f"{place}: {fault.message}" if place else fault.message)
    # With a fault of its own the others only follow from it.
    return "; ".join(own or said)


def short(raw):
    """One side of a conflict in a few words."""
    if raw is None:
        return "nothing"
    return quoted(raw if isinstance(raw, str) else str(raw))
