"""The plan's file: find, read, change, save, keep revisions.

The file is the only memory. Comments and order survive every change; a save is atomic, keeps the
older version as a dated revision and never overwrites what somebody else has written meanwhile.
"""

import contextlib
import copy
import os
import re
from pathlib import Path
from typing import Any, NamedTuple

import tomlkit
from tomlkit.exceptions import TOMLKitError

from homestead import reference
from homestead.plan import kept, layout
from homestead.plan.disk import (
    PlanError,
    clear_unfinished,
    make_private_folder,
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


def demo_path():
    """Path of the demo plan that comes with the package."""
    return reference.shipped("data", "demo", "plan.toml")


def find_plan(path=None):
    """Path of the plan in use: argument, environment variable, nearest plan.toml, or the demo.

    Raises PlanError if a path was given and nothing is there.
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

    path (str or Path, optional) : File, or folder with a plan.toml. Without it: the environment
        variable HOMESTEAD_PLAN, then the nearest plan.toml upwards from the working folder, then
        the demo.
    Gives Plan.

    Raises PlanError With all faults at once, each saying where it stands and what must hold.
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
        plan = self._checked(document, text)
        self._text, self._newline, self.migrated_from = text, newline, migrated
        self._document, self.plan = document, plan

    @property
    def is_demo(self):
        """Whether this is the demo that comes with the package, which is never written."""
        return self.path.resolve() == demo_path().resolve()

    @property
    def is_changed(self):
        """Whether there are changes that were not saved."""
        return tomlkit.dumps(self._document) != tomlkit.dumps(_parse(self._text, self.path))

    @property
    def text(self):
        """The plan as TOML, as a save would write it."""
        return tomlkit.dumps(self._document)

    def _checked(self, document, text=None):
        raw = document.unwrap()
        plan, faults = read_plan(raw)
        if not faults:
            faults = end_faults(raw, plan) + change_faults(raw, plan)
        if faults:
            # Parts of one list may stand apart in the file; written anew they stand together.
            text = tomlkit.dumps(document) if text is None else text
            raise PlanError(describe(faults, self.path.name, text), faults)
        folder = self.path.resolve().parent
        # The weather of an older version lies beside the plan that it was.
        plan._folder = folder.parent if folder.name == kept.FOLDER else folder
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
        return entry.unwrap() if isinstance(entry, tomlkit.items.Item) else entry

    def set(self, path, value):
        """Change one entry, such as ``set("cistern.volume", "5000 gal")``.

        List members go by name: ``"array.barn roof.strings"``. A value of None removes the entry.
        A range beside the value stays unless the new value is a table itself.

        Raises PlanError if the plan would no longer hold; nothing changes then.
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

        Raises PlanError if there is no such member or the plan would not hold; nothing changes
        then.
        """
        if not isinstance(new, str):
            raise PlanError(f"a name must be a text; got {quoted(new)}")
        members = self._document.get(key)
        named = isinstance(members, list) and any(
            isinstance(member, dict) and member.get("name") == old for member in members
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

    def save(self, note=None, is_automatic=False):
        """Write the file, keeping the older version as a dated revision.

        note (str, optional) : What was changed and why, one line; kept as the first line of the
            older version.
        is_automatic (bool) : Whether nobody asked for this save: then those of half an hour keep
            one older version.

        Raises PlanError if the file changed since it was read, is the demo, or cannot be written,
            or the note is not one line of 1 to 200 characters.
        """
        _check_note(note)
        if self.is_demo:
            raise PlanError("the demo stays as it is; start your own: homestead new FOLDER")
        text = tomlkit.dumps(self._document)
        if text == self._text and not self.is_changed_elsewhere:
            return
        with _only_writer(self.path):
            if self.is_changed_elsewhere:
                raise PlanError(
                    f"{self.path.name} was changed somewhere else since you opened it; read it "
                    f"again first, then make your change again, or keep both changes"
                )
            if self.migrated_from is not None:
                raised = f"schema {self.migrated_from} raised to {self.plan.schema_n}"
                note = f"{note.strip()} ({raised})" if note and len(note) < 150 else note or raised
            note = note and note.strip()
            kept.keep(self.path, self._text, self._newline, note, is_automatic=is_automatic)
            write_atomically(self.path, text, self._newline)
        self._text, self.migrated_from = text, None

    def take_version(self, revision):
        """Take an older version (Path) in the place of what stands here, without saving.

        Raises
        ------
        PlanError
            If it does not hold as a plan of today; nothing changes then.
        """
        document = _parse(kept.plain_text(read_text(revision)[0]), revision)
        migrated_from(document, revision.name)
        self._accept(document)

    def keep_as(self, name):
        """Keep the version in the file under a name of the family's, to go back to.

        Raises PlanError if the name is not one line of 1 to 200 characters, this is the demo, or
        the folder cannot be written.
        """
        _check_note(name, "a name")
        if self.is_demo:
            raise PlanError("the demo keeps no versions; start your own: homestead new FOLDER")
        with _only_writer(self.path):
            kept.keep(self.path, self._text, self._newline, name=name.strip())

    @property
    def is_changed_elsewhere(self):
        """Whether the file holds something else than what was read or saved last."""
        return self.path.exists() and read_text(self.path)[0] != self._text

    def reload(self):
        """Read the file again; changes that were not saved are dropped.

        Raises PlanError if what stands there now does not hold; nothing changes then.
        """
        self._read()

    def merge(self, prefer=None):
        """Take in what was changed in the file since it was read, beside the changes made here.

        prefer (str or dict, optional) : Who is right where both changed the same: ``"mine"`` or
            ``"theirs"``, or a dict from the path of each conflict to one of them.
        Gives Merged: Without conflicts: the plan now holds both, unsaved. With conflicts: each with
            both values, and nothing changed.

        Raises PlanError if what stands in the file cannot be read, or both together do not hold;
            nothing changes then.
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

    def revisions(self):
        """Dated older versions, oldest first."""
        return kept.older_versions(self.path)


def go_back(path, revision):
    """Make an older version the plan again; what stands in the file now is kept first.

    The file in its place may be one that can no longer be read as a plan.

    revision (Path)

    Raises PlanError if the older version does not hold, or the file cannot be written.
    """
    PlanFile(revision)
    older, newline = read_text(revision)
    when = kept.replaced_at(revision, path)
    with _only_writer(path):
        if path.exists():
            text, ends = read_text(path)
            kept.keep(path, text, ends, note=f"went back to the version of {when:%Y-%m-%d}")
        write_atomically(path, kept.plain_text(older), newline)


def begin_again(file, text):
    """Put another plan in the place of a `PlanFile`'s; the one that was there is kept first.

    Raises PlanError if this is the demo, the text is no plan, or the file cannot be written.
    """
    if file.is_demo:
        raise PlanError("the demo stays as it is; start your own: homestead new FOLDER --interview")
    file._checked(_parse(text, file.path))
    with _only_writer(file.path):
        before, ends = read_text(file.path)
        kept.keep(file.path, before, ends, note="began again with the first questions")
        write_atomically(file.path, text)
    file.reload()


@contextlib.contextmanager
def _only_writer(path):
    """Hold the plan's lock, with what stopped writers left cleared away; errors in words."""
    folder, target = path.parent / kept.FOLDER, Path(os.path.realpath(path))
    try:
        make_private_folder(folder)
        make_private_folder(target.parent / kept.FOLDER)  # one lock, by whatever link it is opened
        with only_writer(target.parent / kept.FOLDER / ".lock"):
            clear_unfinished(target.parent, target.name)
            clear_unfinished(folder, f"{path.stem}-")
            yield
    except (OSError, UnicodeEncodeError) as error:
        raise PlanError(
            f"{path}: cannot be written ({getattr(error, 'strerror', None) or error}); "
            "nothing was changed"
        ) from error


def _check_note(note, what="a note"):
    is_line = isinstance(note, str) and 1 <= len(note.strip()) <= 200 and note.strip().isprintable()
    if note is not None and not is_line:
        raise PlanError(f"{what} is one line of 1 to 200 characters; got {quoted(note)}")


def _parse(text, path):
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise PlanError(f"{path.name}: is not TOML: {_plain(error, text)}") from error
    except (RecursionError, ValueError, IndexError, KeyError, TypeError, AttributeError) as error:
        raise PlanError(f"{path.name}: isn't TOML we can read") from error


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
    key, *rest = (_shown(step) if isinstance(step, str) else step for step in where)
    listed = bool(rest) and isinstance(rest[0], int)
    known = {top_key(name): part_type(name) for name in Plan.model_fields}
    if listed:
        return f"[[{key}]] {rest[0] + 1} {'.'.join(str(step) for step in rest[1:])}".rstrip()
    part, of_list = known.get(key, (None, False))
    if part is None and not rest:
        return str(key)
    head = f"[[{key}]]" if of_list else f"[{key}]"
    return f"{head} {'.'.join(str(step) for step in rest)}".rstrip()


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

    raw (dict) : Plain data of a plan, as `PlanFile.raw` gives it.
    sets (dict, optional) : Path to new value, as in a candidate change; None removes the entry.
    adds (dict, optional) : List key to new parts.
    folder (Path, optional) : Folder from which the plan's weather path is taken, as in
        `Plan.folder`.

    Raises PlanError With all faults, if the changed plan does not hold.
    """
    plan, faults = read_plan(_changed(raw, sets, adds))
    if faults:
        raise PlanError(describe(faults, "changed plan", ""), faults)
    plan._folder = folder
    return plan


def _changed(raw, sets, adds):
    # Only what is touched is copied: the rest stays the same object, which `read_plan` knows again.
    touched = {*(adds or {}), *(str(path).split(".")[0] for path in sets or {})}
    data = {key: copy.deepcopy(part) if key in touched else part for key, part in raw.items()}
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

    raw (dict) : Plain data of a plan that holds.
    plan (Plan) : What was read from it.
    Gives list of Fault.
    """
    # A change that changes the list of changes, or the phases that name them, has no meaning.
    base = {key: value for key, value in raw.items() if key not in IDEAS}
    by_name = {change.name: change for change in plan.changes}
    found = []
    for number, change in enumerate(plan.changes):
        data = base
        try:
            for earlier in needed_first(change, by_name):
                data = _changed(data, earlier.sets, earlier.adds)
            faults = read_plan(data, plan)[1]
            reasons = [f"{place_text(fault.where)} {fault.message}" for fault in faults[:3]]
        except PlanError as error:
            reasons = [str(error)]
        if reasons:
            reason = "; ".join(reasons)
            found.append(Fault(("change", number), f"your plan wouldn't work with it: {reason}"))
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
