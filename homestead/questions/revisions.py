"""Two plans side by side: what was changed between them, and what it did to the days.

Takes plans, plan files or the dated revisions that each save keeps. Entries are compared as they
were typed, so that a reader finds in the list what stands in the files.
"""

import contextlib
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import pandas as pd

from homestead.plan import Plan, PlanError, PlanFile
from homestead.plan.file import find_plan
from homestead.plan.kept import name_of, note_of, older_versions, replaced_at
from homestead.plan.schema import part_type, top_key
from homestead.questions.variants import Variants
from homestead.vocabulary import NEEDS


@dataclass(frozen=True)
class Revision:
    """An older version of a plan."""

    path: Path
    replaced_at: datetime  # when the next version was saved, by the clock of the computer
    note: str  # what was changed then, as noted with the save; empty if nothing was
    name: str = ""  # name that the family gave this version; empty if none


@dataclass(frozen=True)
class Entry:
    """One entry, or one whole part, that two plans do not share."""

    path: str  # as for `PlanFile.set`; of a part of a list ``"array.barn roof"``
    label: str
    # as typed; empty where it is not there
    before: str
    after: str
    what: str  # ``"changed"``, ``"added"`` or ``"removed"``


@dataclass(frozen=True)
class Comparison:
    """What was changed between two plans and what it did."""

    entries: tuple[Entry, ...]
    # rows homestead and each need; columns p10_before, p10_after, p10_gained and the same for p50
    # and least
    days: pd.DataFrame

    @property
    def changed(self):
        """The entries as a table: path, label, before, after, what."""
        return pd.DataFrame(
            [vars(entry) for entry in self.entries], columns=list(Entry.__dataclass_fields__)
        )


def revisions_of(path=None):
    """Older versions of a plan file, oldest first.

    path (str or Path, optional) : As for `open_plan`.
    Gives tuple of Revision.
    """
    path = find_plan(path)  # the plan itself may be broken: then one wants them most
    return tuple(
        Revision(older, replaced_at(older, path), note_of(older), name_of(older))
        for older in older_versions(path)
    )


def in_force(versions, day):
    """The version that was the plan on a day: the first one replaced after it; None if none was.

    versions (sequence of Revision)
    day (datetime.date)
    """
    later = [version for version in versions if version.replaced_at.date() >= day]
    return later[0] if later else None


def over_time(path=None, years_n=None, most_n=24):
    """Days to plan on of each month's last version and of the plan today.

    Gives list of (date, int): Oldest first; at most `most_n` months. Versions that no longer hold
        are left out.
    """
    path = find_plan(path)
    by_month = {revision.replaced_at.strftime("%Y-%m"): revision for revision in revisions_of(path)}
    points = [
        (revision.replaced_at.date(), revision) for revision in list(by_month.values())[-most_n:]
    ]
    found = []
    for day, version in [*points, (date.today(), path)]:
        with contextlib.suppress(PlanError):
            days = Variants(_plan(version), years_n).one().reached("homestead", 10)
            found.append((day, int(days)))
    return found


def compare(before, after, years_n=None, executor=None, progress=None):
    """What was changed between two plans and what it did to the days.

    before, after (Plan, Revision, str or Path)
    years_n, executor, progress : As for `Variants`; `years_n` is taken from the later plan by
        default, for both.
    Gives Comparison.

    Raises PlanError if one of the two cannot be read.
    """
    before, after = _plan(before), _plan(after)
    years_n = years_n or after.site.years_n
    old, new = (Variants(plan, years_n, executor, progress).one() for plan in (before, after))
    rows = {}
    for need in ("homestead", *NEEDS):
        row = rows[need] = {}
        for name, percent in (("p10", 10), ("p50", 50), ("least", 0)):
            then, now = old.reached(need, percent), new.reached(need, percent)
            row |= {f"{name}_before": then, f"{name}_after": now, f"{name}_gained": now - then}
    return Comparison(entries_between(before, after), pd.DataFrame(rows).T)


def entries_between(before, after):
    """What one plan has otherwise than another, a tuple of Entry."""
    return tuple(_entries(before.raw, after.raw))


def _plan(given):
    if isinstance(given, Plan):
        return given
    return PlanFile(given.path if isinstance(given, Revision) else given).plan


def _entries(before, after):
    """Differences in the order of the schema."""
    for name in Plan.model_fields:
        key = top_key(name)
        part, listed = part_type(name)
        old, new = before.get(key), after.get(key)
        if old == new:
            continue
        if part is None:
            yield _entry(key, Plan.model_fields[name].title, old, new)
        elif listed:
            yield from _members(key, part, old or [], new or [])
        else:
            yield from _parts(key, part, _title(part), old, new)


def _members(key, part, old, new):
    old, new = ({_name(n, member): member for n, member in enumerate(some)} for some in (old, new))
    for name in [*old, *(added for added in new if added not in old)]:
        was, now = old.get(name), new.get(name)
        if was != now:
            yield from _parts(f"{key}.{name}", part, f"{_title(part)}, {name}", was, now)


def _name(number, member):
    return str(member.get("name", number))


def _parts(path, part, label, old, new):
    """Entries of one part; the whole of it in one if it came or went."""
    if old is None or new is None:
        yield _entry(path, label, old, new)
        return
    for name, field in part.model_fields.items():
        key = field.alias or name
        if old.get(key) != new.get(key):
            whole = f"{field.title}, {label[:1].lower()}{label[1:]}"
            yield _entry(f"{path}.{key}", whole, old.get(key), new.get(key))


def _title(part):
    """Name of a kind of part, from the name of its class: ``"Main inverter"``."""
    spaced = "".join(
        f" {letter.lower()}" if letter.isupper() else letter for letter in part.__name__
    )
    return spaced.strip().capitalize()


def _entry(path, label, old, new):
    what = "added" if old is None else "removed" if new is None else "changed"
    return Entry(path, label, _text(old), _text(new), what)


def _text(typed):
    """An entry as a reader sees it: a value with its range, a part with all that it holds."""
    if typed is None:
        return ""
    if isinstance(typed, bool):
        return "yes" if typed else "no"
    if isinstance(typed, list | tuple):
        return ", ".join(_text(value) for value in typed)
    if not isinstance(typed, dict):
        return str(typed)
    if "value" not in typed:
        return "; ".join(f"{key} {_text(value)}" for key, value in typed.items() if key != "name")
    about = [str(typed[end]) for end in ("low", "high") if end in typed]
    notes = [" to ".join(about)] if about else []
    notes += [str(typed["basis"])] if "basis" in typed else []
    return f"{typed['value']} ({', '.join(notes)})" if notes else str(typed["value"])
