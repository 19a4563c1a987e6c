"""The plan's file: find, read, change, save, keep revisions.

The file is the only memory. Comments and order survive every change; a save is atomic, keeps the
older version as a dated revision and never overwrites what somebody else has written meanwhile.
"""

import copy
import glob
import os
import re
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import tomlkit
from tomlkit.exceptions import TOMLKitError

from homestead import reference
from homestead.plan import layout
from homestead.plan.disk import (
    PlanError,
    clear_unfinished,
    make_private_folder,
    mode_of,
    only_writer,
    read_text,
    write_atomically,
)
from homestead.plan.edit import (
    copied_for,
    index_of,
    locate,
    new_table,
    put,
    taken_step,
    with_member,
    without_member,
)
from homestead.plan.merge import three_way
from homestead.plan.migrate import migrated_from
from homestead.plan.ranges import end_faults
from homestead.plan.references import follow
from homestead.plan.schema import IDEAS, Fault, Plan, part_type, read_plan, top_key
from homestead.units import quoted

ENVIRONMENT = "HOMESTEAD_PLAN"
STAMP = "%Y-%m-%dT%H-%M-%S-%f"  # in the name of a revision
NOTE_MARK = "# changed after this: "
CLOCK_BACK = timedelta(hours=2)  # as in autumn: revisions keep their order through it


def demo_path():
    """Path of the demo plan that comes with the package."""
    return reference.shipped("data", "demo", "plan.toml")


def find_plan(path=None):
    """Path of the plan in use: argument, environment variable, nearest plan.toml, or the demo.

    Raises
    ------
    PlanError
        If a path was given and nothing is there.
    """
    given = path or os.environ.get(ENVIRONMENT)
    if given:
        try:
            found = Path(given).expanduser()
            found = found / "plan.toml" if found.is_dir() else found
            is_there = found.is_file()
        except (OSError, RuntimeError, ValueError):  # too long, no such user, a NUL inside
            found, is_there = quoted(str(given), 200), False
        if not is_there:
            raise PlanError(f"{found}: there is no plan here; start one with: homestead new FOLDER")
        return found
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / "plan.toml").is_file():
            return folder / "plan.toml"
    return demo_path()


def open_plan(path=None):
    """Read the plan in use.

    Parameters
    ----------
    path : str or Path, optional
        File, or folder with a plan.toml. Without it: the environment variable HOMESTEAD_PLAN,
        then the nearest plan.toml upwards from the working folder, then the demo.

    Returns
    -------
    Plan

    Raises
    ------
    PlanError
        With all faults at once, each saying where it stands and what must hold.
    """
    return PlanFile(path).plan


class Snapshot(NamedTuple):
    """A plan as it stood at one moment, to go back to; made by `PlanFile.snapshot`."""

    document: Any  # never changed in place once it was accepted
    plan: Plan


class PlanFile:
    """A plan with its file: what was read, what changed since, and how to save it.

    Attributes
    ----------
    path : Path
    plan : Plan
    migrated_from : int or None
        Format that the file is written in, if it is an older one; the next save writes the newest
        and keeps the older text as a dated revision.
    """

    def __init__(self, path=None):
        self.path = find_plan(path)
        self._read()

    def _read(self):
        text, newline = read_text(self.path)
        document = _parse(text, self.path)
        migrated = migrated_from(document, self.path.name)
        plan = self._checked(document)
        self._text, self._newline, self.migrated_from = text, newline, migrated
        self._document, self.plan = document, plan

    @property
    def is_demo(self):
        """Whether this is the demo that comes with the package, which is never written."""
        return self.path.resolve() == demo_path().resolve()

    @property
    def is_changed(self):
        """Whether there are changes that were not saved."""
        return tomlkit.dumps(self._document) != self._text

    @property
    def text(self):
        """The plan as TOML, as a save would write it."""
        return tomlkit.dumps(self._document)

    def _checked(self, document):
        raw = document.unwrap()
        plan, faults = read_plan(raw)
        if not faults:
            faults = end_faults(raw, plan) + change_faults(raw, plan)
        if faults:
            raise PlanError(describe(faults, self.path.name, tomlkit.dumps(document)), faults)
        plan._folder = self.path.resolve().parent
        return plan

    def raw(self):
        """The plan as plain data, as typed."""
        return self._document.unwrap()

    def typed(self, path):
        """What was typed for an entry (its value if it is a table with a range), or None."""
        table, key = locate(self._document, path)
        entry = table.get(key) if isinstance(table, dict) else None
        if isinstance(entry, dict) and "value" in entry:
            entry = entry["value"]
        return entry.unwrap() if hasattr(entry, "unwrap") else entry

    def set(self, path, value):
        """Change one entry, such as ``set("cistern.volume", "5000 gal")``.

        List members go by name: ``"array.barn roof.strings"``. A value of None removes the entry.
        A range beside the value stays unless the new value is a table itself.

        Raises
        ------
        PlanError
            If the plan would no longer hold; nothing changes then.
        """
        self.set_all({path: value})

    def set_all(self, changes):
        """Change several entries together; all or none."""
        document = copied_for(self._document, changes)
        for path, value in changes.items():
            document = self._edited(path, put, document, path, value)
        self._accept(document)

    def add(self, key, part):
        """Add a part (plain data) to a list such as ``"appliance"``; PlanError if it is wrong."""
        self._accept(self._edited(key, with_member, self._document, key, part))

    def remove(self, key, name):
        """Remove the member of that name from a list; PlanError if the plan would not hold."""
        members = self._document.get(key)
        index = index_of(members, str(name)) if isinstance(members, list) else None
        if index is None:
            raise PlanError(f"{self.path.name} [[{key}]]: there is no {name!r}")
        self._accept(self._edited(key, without_member, self._document, key, index))

    def rename(self, key, old, new):
        """Give a member of a list a new name; whatever names it follows.

        So a fuel store keeps its heaters, an appliance its freezer and circuit, a change those
        that need it, and candidate changes go on setting the same part.

        Raises
        ------
        PlanError
            If there is no such member or the plan would not hold; nothing changes then.
        """
        if not isinstance(new, str):
            raise PlanError(f"a name must be a text; got {quoted(new)}")
        members = self._document.get(key)
        named = isinstance(members, list) and any(
            isinstance(one, dict) and one.get("name") == old for one in members
        )
        if not named:
            raise PlanError(f"{self.path.name} [[{key}]]: there is no {quoted(old)}")
        if key == "fuel" and isinstance(new, str) and new.strip() == "electricity":
            raise PlanError('a fuel store cannot be called "electricity", which heaters may name')
        self._accept(self._edited(key, _renamed, self._document, key, old, new))

    def snapshot(self):
        """Return the plan as it stands now, for `restore`; costs nothing."""
        return Snapshot(self._document, self.plan)

    def restore(self, snapshot):
        """Go back to a `snapshot` of this file; what was saved meanwhile stays saved."""
        self._document, self.plan = snapshot

    def _edited(self, place, edit, *arguments):
        """Document after an edit; whatever TOML cannot hold is a PlanError."""
        try:
            return edit(*arguments)
        except (TOMLKitError, TypeError, ValueError, AttributeError, RecursionError) as error:
            raise PlanError(f"{place}: cannot be written in a plan ({str(error)[:100]})") from error

    def _accept(self, document):
        plan = self._checked(document)
        self._document, self.plan = document, plan

    def save(self, note=None):
        """Write the file, keeping the older version as a dated revision.

        Parameters
        ----------
        note : str, optional
            What was changed and why, one line; kept as the first line of the older version.

        Raises
        ------
        PlanError
            If the file changed since it was read, is the demo, or cannot be written, or the note
            is not one line of 1 to 200 characters.
        """
        if note is not None and not (isinstance(note, str) and _is_one_line(note.strip())):
            raise PlanError(f"a note is one line of 1 to 200 characters; got {quoted(note)}")
        if self.is_demo:
            raise PlanError(
                "this is the demo, which stays as it is; start your own: homestead new FOLDER"
            )
        text = tomlkit.dumps(self._document)
        if text == self._text and not self.is_changed_elsewhere:
            return
        try:
            make_private_folder(self.revisions_folder)
            with only_writer(self.revisions_folder / ".lock"):
                if self.is_changed_elsewhere:
                    raise PlanError(
                        f"{self.path.name} was changed elsewhere since it was opened; reload it "
                        "first, then make your change again, or merge the two"
                    )
                clear_unfinished(Path(os.path.realpath(self.path)).parent, self.path.name)
                clear_unfinished(self.revisions_folder, f"{self.path.stem}-")
                self._keep_revision(note)
                write_atomically(self.path, text, self._newline)
        except (OSError, UnicodeEncodeError) as error:
            raise PlanError(
                f"{self.path}: cannot be written ({getattr(error, 'strerror', None) or error}); "
                "nothing was changed"
            ) from error
        self._text, self.migrated_from = text, None

    @property
    def is_changed_elsewhere(self):
        """Whether the file holds something else than what was read or saved last."""
        return self.path.exists() and read_text(self.path)[0] != self._text

    def reload(self):
        """Read the file again; changes that were not saved are dropped.

        Raises
        ------
        PlanError
            If what stands there now does not hold; nothing changes then.
        """
        self._read()

    def merge(self, prefer=None):
        """Take in what was changed in the file since it was read, beside the changes made here.

        Parameters
        ----------
        prefer : str or dict, optional
            Who is right where both changed the same: ``"mine"`` or ``"theirs"``, or a dict from the
            path of each conflict to one of them.

        Returns
        -------
        Merged
            Without conflicts: the plan now holds both, unsaved. With conflicts: each with both
            values, and nothing changed.

        Raises
        ------
        PlanError
            If what stands in the file cannot be read, or both together do not hold; nothing
            changes then.
        """
        text, newline = read_text(self.path)
        theirs, base = _parse(text, self.path), _parse(self._text, self.path)
        migrated = migrated_from(theirs, self.path.name)
        migrated_from(base, self.path.name)
        steps, merged = three_way(base.unwrap(), self.raw(), theirs.unwrap(), prefer)
        if merged.conflicts:
            return merged
        for step in steps:
            theirs = self._edited(".".join(step.where), taken_step, theirs, step)
        self._accept(theirs)
        self._text, self._newline, self.migrated_from = text, newline, migrated
        return merged

    @property
    def revisions_folder(self):
        """Folder of the dated older versions."""
        return self.path.parent / "revisions"

    def revisions(self):
        """Dated older versions, oldest first."""
        found = self.revisions_folder.glob(f"{glob.escape(self.path.stem)}-*.toml")
        # Another plan's name may begin like this one's: only a date may follow.
        return sorted(one for one in found if _stamp_of(one, self.path) is not None)

    def _keep_revision(self, note):
        if self.migrated_from is not None:
            raised = f"schema {self.migrated_from} raised to {self.plan.schema_n}"
            note = f"{note.strip()} ({raised})" if note and len(note) < 150 else note or raised
        first = f"{NOTE_MARK}{note.strip()}\n" if note else ""
        revisions, now = self.revisions(), datetime.now()
        newest = _stamp_of(revisions[-1], self.path) if revisions else None
        if newest and now <= newest < now + CLOCK_BACK:
            now = newest + timedelta(microseconds=1)
        older = self.revisions_folder / f"{self.path.stem}-{now.strftime(STAMP)}.toml"
        write_atomically(older, first + self._text, self._newline, mode=mode_of(self.path))
        if revisions and _without_note(read_text(revisions[-1])[0]) == self._text:
            revisions[-1].unlink()  # kept by a save that was stopped before the file was written


def _stamp_of(revision, path):
    try:
        return datetime.strptime(revision.stem.removeprefix(f"{path.stem}-"), STAMP)
    except ValueError:
        return None


def _is_one_line(text):
    return 1 <= len(text) <= 200 and text.isprintable()


def _without_note(text):
    return text.partition("\n")[2] if text.startswith(NOTE_MARK) else text


def note_of(revision):
    """Note with which a revision was replaced by the next version, or "" if there was none."""
    first = read_text(Path(revision))[0].partition("\n")[0]
    return first.removeprefix(NOTE_MARK) if first.startswith(NOTE_MARK) else ""


def _parse(text, path):
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise PlanError(f"{path.name}: is not TOML: {_plain(error, text)}") from error
    except (RecursionError, ValueError, IndexError, KeyError, TypeError, AttributeError) as error:
        raise PlanError(f"{path.name}: is not TOML that can be read") from error


def _plain(error, text):
    """What is most likely behind an error of the parser, in front of its own words."""
    said, number = str(error), getattr(error, "line", 0)
    lines = text.split("\n")
    line = lines[number - 1] if 0 < number <= len(lines) else ""
    if "Control characters" in said and line.count('"') % 2:
        return f"line {number}: a quotation mark is not closed"
    if "Unexpected character: ','" in said and re.search(r"=\s*\d+,\d", line):
        return f"line {number}: a number is written with a point, such as 0.2 ({said})"
    return said


def describe(faults, file_name, text):
    """All faults as lines: file, line, place, what must hold."""
    lines = layout.line_numbers(text)
    written = []
    for fault in faults:
        line = next(
            (
                lines[fault.where[:n]]
                for n in range(len(fault.where), 0, -1)
                if fault.where[:n] in lines
            ),
            None,
        )
        at = f" line {line}," if line else ""
        written.append(f"{file_name}{at} {place_text(fault.where)}: {fault.message}")
    return "\n".join(written)


def place_text(where):
    """Place in a plan as people read it, such as ``[[array]] 2 tilt``; list positions from 1."""
    key, *rest = (_shown(one) if isinstance(one, str) else one for one in where)
    listed = bool(rest) and isinstance(rest[0], int)
    known = {top_key(name): part_type(name) for name in Plan.model_fields}
    if listed:
        return f"[[{key}]] {rest[0] + 1} {'.'.join(str(one) for one in rest[1:])}".rstrip()
    part, of_list = known.get(key, (None, False))
    if part is None and not rest:
        return str(key)
    head = f"[[{key}]]" if of_list else f"[{key}]"
    return f"{head} {'.'.join(str(one) for one in rest)}".rstrip()


def _shown(key):
    """Key on one line and not too long: a key may hold line breaks."""
    return quoted(key, 80).strip('"')


def _renamed(document, key, old, new):
    document = copy.deepcopy(document)
    member = document[key][index_of(document[key], old)]
    follow(document, key, old, new)
    document = put(document, f"{key}.{old}.name", new) if member["name"] == old else document
    return tomlkit.parse(tomlkit.dumps(document))


def with_changes(raw, sets=None, adds=None, folder=None):
    """Plan from plain data with some entries set and parts added; the data itself stays.

    Parameters
    ----------
    raw : dict
        Plain data of a plan, as `PlanFile.raw` gives it.
    sets : dict, optional
        Path to new value, as in a candidate change; None removes the entry.
    adds : dict, optional
        List key to new parts.
    folder : Path, optional
        Folder from which the plan's weather path is taken, as in `Plan.folder`.

    Raises
    ------
    PlanError
        With all faults, if the changed plan does not hold.
    """
    plan, faults = read_plan(_changed(raw, sets, adds))
    if faults:
        raise PlanError(describe(faults, "changed plan", ""), faults)
    plan._folder = folder
    return plan


def _changed(raw, sets, adds):
    # Only what is touched is copied: the rest stays the same object, which `read_plan` knows again.
    touched = {*(adds or {}), *(str(path).split(".")[0] for path in sets or {})}
    data = {key: copy.deepcopy(one) if key in touched else one for key, one in raw.items()}
    for key, parts in (adds or {}).items():
        members = data.setdefault(key, [])
        if not isinstance(members, list) or not isinstance(parts, list | tuple):
            raise PlanError(f"{quoted(str(key))}: is not a list to which parts can be added")
        members.extend(copy.deepcopy(list(parts)))
    for path, value in (sets or {}).items():
        table, key = locate(data, path)
        if table is None:
            table = data[new_table(data, path)] = {}
        if value is None:
            table.pop(key, None)
        else:
            table[key] = copy.deepcopy(value)
    return data


def change_faults(raw, plan):
    """Faults of candidate changes that the plan could not take, each with its reason.

    Each change is tried alone, together with the changes that it needs first.

    Parameters
    ----------
    raw : dict
        Plain data of a plan that holds.
    plan : Plan
        What was read from it.

    Returns
    -------
    list of Fault
    """
    # A change that changes the list of changes, or the phases that name them, has no meaning.
    base = {key: value for key, value in raw.items() if key not in IDEAS}
    by_name = {change.name: change for change in plan.changes}
    found = []
    for number, change in enumerate(plan.changes):
        data = base
        try:
            for one in needed_first(change, by_name):
                data = _changed(data, one.sets, one.adds)
            faults = read_plan(data, plan)[1]
            reasons = [f"{place_text(fault.where)} {fault.message}" for fault in faults[:3]]
        except PlanError as error:
            reasons = [str(error)]
        if reasons:
            reason = "; ".join(reasons)
            found.append(Fault(("change", number), f"the plan would not hold with it: {reason}"))
    return found


def needed_first(change, by_name):
    """Return the change after all that it needs, directly or not, each once."""
    order, met, waiting = [], {change.name}, [(change, iter(change.needs))]
    while waiting:
        one, needs = waiting[-1]
        name = next((name for name in needs if name in by_name and name not in met), None)
        if name is None:
            order.append(waiting.pop()[0])
        else:
            met.add(name)
            waiting.append((by_name[name], iter(by_name[name].needs)))
    return order
