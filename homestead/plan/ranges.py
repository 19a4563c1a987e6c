"""Both ends of every range go through all rules: what may be true has to hold as well."""

from homestead.plan.fields import Fault
from homestead.plan.schema import IDEAS, read_plan

ENDS = ("low", "high")
# What comes in a few sizes only: nothing lies between two of them.
STEPPED = dict.fromkeys(("insulation", "terminals", "wire_insulation"), "60, 75 or 90 °C")


def ranges_of(raw):
    """Place and table of each entry with a low or a high, ideas left out.

    Parameters
    ----------
    raw : dict
        Plain data of a plan that was read.

    Yields
    ------
    (tuple, dict)
        Keys and list positions from 0; the entry as typed.
    """
    for key, part in raw.items():
        if key in IDEAS:
            continue
        members = enumerate(part) if isinstance(part, list) else [(None, part)]
        for number, member in members:
            for entry, typed in member.items() if isinstance(member, dict) else ():
                if isinstance(typed, dict) and any(end in typed for end in ENDS):
                    yield (key, entry) if number is None else (key, number, entry), typed


def end_faults(raw, plan):
    """Faults that a plan would have if an entry stood at the low or the high of its range.

    raw (dict) : Plain data of a plan that holds.
    plan (Plan) : What was read from it.
    Gives list of Fault.
    """
    found = []
    for where, _ in ranges_of(raw):
        if where[-1] in STEPPED:
            found.append(Fault(where, f"takes no low or high: it is {STEPPED[where[-1]]}"))
    base = {key: part for key, part in raw.items() if key not in IDEAS}
    for where, typed in ranges_of(raw):
        for end in () if where[-1] in STEPPED else ENDS:
            if end not in typed or typed[end] == typed.get("value"):
                continue
            faults = read_plan(_at(base, where, typed[end]), plan)[1]
            if faults:
                says = "" if faults[0].where == where else f"{'.'.join(map(str, faults[0].where))} "
                found.append(Fault(where, f"with its {end}: {says}{faults[0].message}"))
    return found


def _at(raw, where, value):
    """The data with one entry replaced; only what holds it is copied."""
    key, *inner, entry = where
    part = raw[key]
    if inner:
        member = {**part[inner[0]], entry: value}
        return {**raw, key: [*part[: inner[0]], member, *part[inner[0] + 1 :]]}
    return {**raw, key: {**part, entry: value}}
