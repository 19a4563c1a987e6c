"""Two people changed one plan: what each changed, entry by entry, and what both changed.

Works on plain data, three ways: the plan that both began with, mine, theirs. An entry is one key of
a part, its range and basis with it; members of a list are known by their names. What only one side
changed is taken; what both changed in different ways is a conflict, for a person to decide.
"""

from typing import Any, NamedTuple

GONE = object()  # stands for an entry, member or part that is not there
SIDES = ("mine", "theirs")


class Conflict(NamedTuple):
    """One entry, member or part that both sides changed, each in its own way."""

    # as for `PlanFile.set`; of a whole member such as ``"array.barn roof"``; of the order of a list
    # ``"heater"``
    path: str
    # as typed, plain data; None where it is not there
    base: Any
    mine: Any
    theirs: Any


class Merged(NamedTuple):
    """What a merge did, or would have to be told first."""

    kept: tuple[str, ...]  # paths of what I changed
    taken: tuple[str, ...]  # paths of what they changed and I did not
    conflicts: tuple[Conflict, ...]  # not decided yet; while there is any, nothing was merged


class Member(str):
    """Name of a member of a list, as one step of a place."""


class Order(list):
    """Names of a list's members in the order wanted."""


class Step(NamedTuple):
    """One thing to do to their plan: keys from the top, and the value (or `GONE`)."""

    where: tuple
    value: Any


def three_way(base, mine, theirs, prefer=None):
    """What must be done to their plan so that it holds the changes of both.

    base, mine, theirs (dict) : Plain data of a plan, as typed.
    prefer (str or dict, optional) : Who is right where both changed the same: ``"mine"`` or
        ``"theirs"``, or a dict from the path of each conflict to one of them.
    Gives (list of Step, Merged).

    Raises ValueError if `prefer` names no side.
    """
    named = prefer.values() if isinstance(prefer, dict) else [prefer] if prefer else []
    for side in named:
        if side not in SIDES:
            raise ValueError(f"prefer must be mine or theirs; got {side!r}")
    found = _Found([], [], [], [], prefer)
    for key in dict.fromkeys((*base, *theirs, *mine)):
        three = [plan.get(key, GONE) for plan in (base, mine, theirs)]
        if all(side is GONE or _has_names(side) for side in three):
            _members(found, key, *three)
        else:
            _entry(found, (key,), *three)
    return found.steps, Merged(tuple(found.kept), tuple(found.taken), tuple(found.conflicts))


class _Found(NamedTuple):
    steps: list
    kept: list
    taken: list
    conflicts: list
    prefer: Any


def _has_names(value):
    members = value if isinstance(value, list) else ()
    names = [member.get("name") for member in members if isinstance(member, dict)]
    texts = [name for name in names if isinstance(name, str)]
    return bool(names) and len(names) == len(value) == len(set(texts))


def _entry(found, where, base, mine, theirs):
    """Decide one entry, or go into a part that all three have."""
    if all(isinstance(side, dict) for side in (base, mine, theirs)) and _is_part(where):
        for key in dict.fromkeys((*base, *theirs, *mine)):
            _entry(found, (*where, key), *(side.get(key, GONE) for side in (base, mine, theirs)))
    elif _same(mine, base):
        if not _same(theirs, base):
            found.taken.append(_text(where))
    elif _same(mine, theirs):
        found.kept.append(_text(where))
    elif _same(theirs, base):
        found.kept.append(_text(where))
        found.steps.append(Step(where, mine))
    else:
        _clash(found, where, base, mine, theirs)


def _is_part(where):
    """Whether a table there is a part, not one entry with its range."""
    return len(where) == 1 or (len(where) == 2 and isinstance(where[1], Member))


def _clash(found, where, base, mine, theirs):
    path = _text(where)
    prefer = found.prefer.get(path) if isinstance(found.prefer, dict) else found.prefer
    if prefer == "mine":
        found.kept.append(path)
        found.steps.append(Step(where, mine))
    elif prefer == "theirs":
        found.taken.append(path)
    else:
        given = (None if side is GONE else side for side in (base, mine, theirs))
        found.conflicts.append(Conflict(path, *given))


def _members(found, key, base, mine, theirs):
    three = [
        {member["name"]: member for member in ([] if side is GONE else side)}
        for side in (base, mine, theirs)
    ]
    for name in dict.fromkeys((*three[0], *three[2], *three[1])):
        _entry(found, (key, Member(name)), *(side.get(name, GONE) for side in three))
    both = [name for name in three[0] if name in three[1] and name in three[2]]
    base, mine, theirs = ([name for name in side if name in both] for side in three)
    if mine != base and mine != theirs:
        if theirs == base:
            found.kept.append(key)
            found.steps.append(Step((key,), Order(mine)))
        else:
            _clash(found, (key,), base, Order(mine), theirs)


def _same(one, other):
    # Typed text counts: 1, 1.0 and true are not the same entry.
    return one is other or (GONE not in (one, other) and repr(one) == repr(other))


def _text(where):
    return ".".join(where)
