"""The plan's file: find, read, change, save, keep revisions.

The file is the only memory. Comments and order survive every change; a save is atomic, keeps the
older version as a dated revision and never overwrites what somebody else has written meanwhile.
"""

import copy
import os
import tempfile
from datetime import datetime
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from homestead import reference
from homestead.plan import layout
from homestead.plan.schema import Fault, Plan, part_type, read_plan, top_key
from homestead.units import quoted

LARGEST_BYTES = 2_000_000
ENVIRONMENT = "HOMESTEAD_PLAN"
STAMP = "%Y-%m-%dT%H-%M-%S-%f"  # in the name of a revision
NOTE_MARK = "# changed after this: "


class PlanError(Exception):
    """A plan that cannot be used: every fault on its own line, each saying where."""


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


class PlanFile:
    """A plan with its file: what was read, what changed since, and how to save it."""

    def __init__(self, path=None):
        self.path = find_plan(path)
        self._text, self._newline = _read_text(self.path)
        self._document = _parse(self._text, self.path)
        self.plan = self._checked(self._document)

    @property
    def is_demo(self):
        """Whether this is the demo that comes with the package, which is never written."""
        return self.path.resolve() == demo_path().resolve()

    @property
    def is_changed(self):
        """Whether there are changes that were not saved."""
        return tomlkit.dumps(self._document) != self._text

    def _checked(self, document):
        raw = document.unwrap()
        plan, faults = read_plan(raw)
        if not faults:
            faults = change_faults(raw, plan)
        if faults:
            raise PlanError(describe(faults, self.path.name, tomlkit.dumps(document)))
        plan._folder = self.path.resolve().parent
        return plan

    def raw(self):
        """The plan as plain data, as typed."""
        return self._document.unwrap()

    def typed(self, path):
        """What was typed for an entry (its value if it is a table with a range), or None."""
        table, key = _locate(self._document, path)
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
        document = copy.deepcopy(self._document)
        for path, value in changes.items():
            document = self._edited(path, _put, document, path, value)
        self._accept(document)

    def add(self, key, part):
        """Add a part (plain data) to a list such as ``"appliance"``; PlanError if it is wrong."""
        self._accept(self._edited(key, _with_member, self._document, key, part))

    def remove(self, key, name):
        """Remove the member of that name from a list; PlanError if the plan would not hold."""
        members = self._document.get(key)
        index = _index_of(members, str(name)) if isinstance(members, list) else None
        if index is None:
            raise PlanError(f"{self.path.name} [[{key}]]: there is no {name!r}")
        self._accept(self._edited(key, _without_member, self._document, key, index))

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
        if self.path.exists() and _read_text(self.path)[0] != self._text:
            raise PlanError(
                f"{self.path.name} was changed elsewhere since it was opened; reload it first, "
                "then make your change again"
            )
        text = tomlkit.dumps(self._document)
        if text == self._text:
            return
        try:
            self._keep_revision(note)
            write_atomically(self.path, text, self._newline)
        except (OSError, UnicodeEncodeError) as error:
            raise PlanError(
                f"{self.path}: cannot be written ({getattr(error, 'strerror', None) or error}); "
                "nothing was changed"
            ) from error
        self._text = text

    @property
    def revisions_folder(self):
        """Folder of the dated older versions."""
        return self.path.parent / "revisions"

    def revisions(self):
        """Dated older versions, oldest first."""
        return sorted(self.revisions_folder.glob(f"{self.path.stem}-*.toml"))

    def _keep_revision(self, note):
        self.revisions_folder.mkdir(exist_ok=True)
        stamp = datetime.now().strftime(STAMP)
        older = self.revisions_folder / f"{self.path.stem}-{stamp}.toml"
        first = f"{NOTE_MARK}{note.strip()}\n" if note else ""
        write_atomically(older, first + self._text, self._newline)


def _is_one_line(text):
    return 1 <= len(text) <= 200 and text.isprintable()


def note_of(revision):
    """Note with which a revision was replaced by the next version, or "" if there was none."""
    first = _read_text(Path(revision))[0].partition("\n")[0]
    return first.removeprefix(NOTE_MARK) if first.startswith(NOTE_MARK) else ""


def write_atomically(path, text, newline="\n"):
    """Write a text file so that a reader sees the old one or the new one, never a half."""
    path = Path(os.path.realpath(path))  # a link stays a link
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline=newline) as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            os.chmod(temporary, path.stat().st_mode)
        else:
            os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _read_text(path):
    """Text with plain line ends, and the line end that the file uses."""
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
        if len(content) > LARGEST_BYTES:
            raise PlanError(f"{path}: is larger than 2 MB, which no plan is")
        newline = "\r\n" if 2 * content.count(b"\r\n") > content.count(b"\n") else "\n"
        # Some editors put a byte order mark first; TOML knows none.
        return content.decode("utf-8-sig").replace("\r\n", "\n"), newline
    except UnicodeDecodeError as error:
        raise PlanError(
            f"{path}: is not UTF-8 text (byte {error.start}); save it as UTF-8"
        ) from error
    except OSError as error:
        raise PlanError(f"{path}: cannot be read ({error.strerror})") from error


def _parse(text, path):
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise PlanError(f"{path.name}: is not TOML: {error}") from error
    except (RecursionError, ValueError, IndexError, KeyError, TypeError, AttributeError) as error:
        raise PlanError(f"{path.name}: is not TOML that can be read") from error


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
    key, *rest = (str(one)[:80] if isinstance(one, str) else one for one in where)
    listed = bool(rest) and isinstance(rest[0], int)
    known = {top_key(name): part_type(name) for name in Plan.model_fields}
    if listed:
        return f"[[{key}]] {rest[0] + 1} {'.'.join(str(one) for one in rest[1:])}".rstrip()
    part, of_list = known.get(key, (None, False))
    if part is None and not rest:
        return str(key)
    head = f"[[{key}]]" if of_list else f"[{key}]"
    return f"{head} {'.'.join(str(one) for one in rest)}".rstrip()


def _index_of(members, name):
    for index, member in enumerate(members):
        if isinstance(member, dict) and member.get("name") == name:
            return index
    is_position = name.isascii() and name.isdecimal() and len(name) < 7
    return int(name) if is_position and int(name) < len(members) else None


def _locate(document, path):
    """Table that holds the entry of a path, and the entry's key; None if there is no table."""
    first, *rest = str(path).split(".")
    if not rest:
        return document, first
    inner = document.get(first)
    if isinstance(inner, list):
        name, key = ".".join(rest[:-1]), rest[-1]
        index = _index_of(inner, name)
        return (None if index is None else inner[index]), key
    return (inner if isinstance(inner, dict) else None), ".".join(rest)


def _new_table(document, path):
    """Key of the single part that a path would begin, or PlanError if it cannot begin one."""
    first, *rest = str(path).split(".")
    single = any(
        top_key(name) == first and part_type(name)[0] and not part_type(name)[1]
        for name in Plan.model_fields
    )
    if not single or len(rest) != 1 or first in document:
        raise PlanError(f"{quoted(str(path))}: there is no such part in the plan")
    return first


def _put(document, path, value):
    """Document with one entry set, added or (value None) removed."""
    table, key = _locate(document, path)
    if table is None:
        if value is None:
            return document
        document[_new_table(document, path)] = tomlkit.table()
        table = document[str(path).split(".")[0]]
    first, *rest = str(path).split(".")
    if value is None:
        cut = None if rest else layout.without_table(tomlkit.dumps(document), (first,))
        if cut is not None:
            return tomlkit.parse(cut)
        table.pop(key, None)
        return document
    entry = table.get(key)
    if isinstance(entry, dict) and "value" in entry and not isinstance(value, dict):
        entry["value"] = layout.inline(value)
        return document
    if entry is None and rest:
        where = (first,)
        if isinstance(document[first], list):
            where = (first, _index_of(document[first], ".".join(rest[:-1])))
        longer = layout.with_entry(tomlkit.dumps(document), where, key, value)
        if longer is not None:
            return tomlkit.parse(longer)
    table[key] = layout.inline(value)
    return document


def _with_member(document, key, part):
    if not isinstance(part, dict):
        raise TypeError("a part is a table of entries")
    members = document.get(key)
    if members is not None and not isinstance(members, tomlkit.items.AoT):
        document = copy.deepcopy(document)
        document[key].append(layout.inline(part))
        return document
    return tomlkit.parse(layout.with_member(tomlkit.dumps(document), key, part))


def _without_member(document, key, index):
    cut = layout.without_table(tomlkit.dumps(document), (key, index))
    if cut is not None:
        return tomlkit.parse(cut)
    document = copy.deepcopy(document)
    del document[key][index]
    if not document[key]:
        del document[key]
    return document


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
        raise PlanError(describe(faults, "changed plan", ""))
    plan._folder = folder
    return plan


def _changed(raw, sets, adds):
    data = copy.deepcopy(raw)
    for key, parts in (adds or {}).items():
        members = data.setdefault(key, [])
        if not isinstance(members, list) or not isinstance(parts, list | tuple):
            raise PlanError(f"{quoted(str(key))}: is not a list to which parts can be added")
        members.extend(copy.deepcopy(list(parts)))
    for path, value in (sets or {}).items():
        table, key = _locate(data, path)
        if table is None:
            table = data[_new_table(data, path)] = {}
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
    # A change that changes the list of changes would have no meaning.
    base = {key: value for key, value in raw.items() if key != "change"}
    by_name = {change.name: change for change in plan.changes}
    found = []
    for number, change in enumerate(plan.changes):
        data = base
        try:
            for one in needed_first(change, by_name):
                data = _changed(data, one.sets, one.adds)
            faults = read_plan(data)[1]
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
