"""The plan's file: find, read, change, save, keep revisions.

The file is the only memory. Comments and order survive every change; a save is atomic, keeps the
older version as a dated revision and never overwrites what somebody else has written meanwhile.
"""

import copy
import os
import re
import tempfile
from datetime import datetime
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from homestead import reference
from homestead.plan.schema import Plan, part_type, read_plan, top_key

LARGEST_BYTES = 2_000_000
ENVIRONMENT = "HOMESTEAD_PLAN"


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
        found = Path(given).expanduser()
        found = found / "plan.toml" if found.is_dir() else found
        if not found.is_file():
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
        self._text = _read_text(self.path)
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
        plan, faults = read_plan(document.unwrap())
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
        entry = table.get(key) if table is not None else None
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
            _put(document, path, value)
        self._accept(document)

    def add(self, key, part):
        """Add a part (plain data) to a list such as ``"appliance"``; PlanError if it is wrong."""
        document = copy.deepcopy(self._document)
        members = document.get(key)
        if members is None:
            members = document[key] = tomlkit.aot()
        members.append(tomlkit.item(part))
        self._accept(document)

    def remove(self, key, name):
        """Remove the member of that name from a list; PlanError if the plan would not hold."""
        document = copy.deepcopy(self._document)
        members = document.get(key, [])
        index = _index_of(members, name)
        if index is None:
            raise PlanError(f"{self.path.name} [[{key}]]: there is no {name!r}")
        del members[index]
        if not members:
            del document[key]
        self._accept(document)

    def _accept(self, document):
        plan = self._checked(document)
        self._document, self.plan = document, plan

    def save(self):
        """Write the file, keeping the older version as a dated revision.

        Raises
        ------
        PlanError
            If the file changed since it was read, is the demo, or cannot be written.
        """
        if self.is_demo:
            raise PlanError(
                "this is the demo, which stays as it is; start your own: homestead new FOLDER"
            )
        if self.path.exists() and _read_text(self.path) != self._text:
            raise PlanError(
                f"{self.path.name} was changed elsewhere since it was opened; reload it first, "
                "then make your change again"
            )
        text = tomlkit.dumps(self._document)
        if text == self._text:
            return
        try:
            self._keep_revision()
            write_atomically(self.path, text)
        except OSError as error:
            raise PlanError(
                f"{self.path}: cannot be written ({error.strerror}); nothing was changed"
            ) from error
        self._text = text

    @property
    def revisions_folder(self):
        """Folder of the dated older versions."""
        return self.path.parent / "revisions"

    def revisions(self):
        """Dated older versions, oldest first."""
        return sorted(self.revisions_folder.glob(f"{self.path.stem}-*.toml"))

    def _keep_revision(self):
        self.revisions_folder.mkdir(exist_ok=True)
        stamp = datetime.now().strftime("%Y-%m-%dT%H-%M-%S-%f")
        write_atomically(self.revisions_folder / f"{self.path.stem}-{stamp}.toml", self._text)


def write_atomically(path, text):
    """Write a text file so that a reader sees the old one or the new one, never a half."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
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
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise PlanError(f"{path}: is larger than 2 MB, which no plan is")
        return path.read_text(encoding="utf-8").replace("\r\n", "\n")
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
    lines = _lines(text)
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
        written.append(f"{file_name}{at} {_place(fault.where)}: {fault.message}")
    return "\n".join(written)


def _place(where):
    key, *rest = where
    listed = bool(rest) and isinstance(rest[0], int)
    known = {top_key(name): part_type(name) for name in Plan.model_fields}
    if listed:
        return f"[[{key}]] {rest[0] + 1} {'.'.join(str(one) for one in rest[1:])}".rstrip()
    part, of_list = known.get(key, (None, False))
    if part is None and not rest:
        return str(key)
    head = f"[[{key}]]" if of_list else f"[{key}]"
    return f"{head} {'.'.join(str(one) for one in rest)}".rstrip()


_HEADER = re.compile(r"^\s*(\[\[?)\s*([\w.\-\"' ]+?)\s*\]\]?")
_ENTRY = re.compile(r"^\s*([\w\-]+|\"[^\"]*\")\s*=")


def _lines(text):
    """Line number of each table and entry, by where it stands."""
    found, table, counts = {}, (), {}
    for number, line in enumerate(text.splitlines(), start=1):
        if match := _HEADER.match(line):
            names = tuple(name.strip(" \"'") for name in match[2].split("."))
            if match[1] == "[[" and len(names) == 1:
                counts[names[0]] = counts.get(names[0], -1) + 1
            if names[0] in counts:
                table = (names[0], counts[names[0]], *names[1:])
            else:
                table = names
            found.setdefault(table, number)
        elif match := _ENTRY.match(line):
            found.setdefault((*table, match[1].strip('"')), number)
    return found


def _index_of(members, name):
    for index, member in enumerate(members):
        if member.get("name") == name:
            return index
    return int(name) if name.isdigit() and int(name) < len(members) else None


def _locate(document, path):
    """Table that holds the entry of a path, and the entry's key."""
    first, *rest = path.split(".")
    if not rest:
        return document, first
    inner = document.get(first)
    if isinstance(inner, list):
        name, key = ".".join(rest[:-1]), rest[-1]
        index = _index_of(inner, name)
        return (None if index is None else inner[index]), key
    return inner, rest[-1]


def _put(document, path, value):
    table, key = _locate(document, path)
    if table is None:
        first, *rest = path.split(".")
        listed = any(top_key(name) == first and part_type(name)[1] for name in Plan.model_fields)
        if listed or len(rest) != 1:
            raise PlanError(f"{path}: there is no such part in the plan")
        document[first] = tomlkit.table()
        table = document[first]
    if value is None:
        table.pop(key, None)
        return
    entry = table.get(key)
    if isinstance(entry, dict) and "value" in entry and not isinstance(value, dict):
        entry["value"] = value
        return
    if isinstance(value, dict):
        inline = tomlkit.inline_table()
        inline.update(value)
        value = inline
    table[key] = value


def with_changes(raw, sets=None, adds=None):
    """Plan from plain data with some entries set and parts added; the data itself stays.

    Parameters
    ----------
    raw : dict
        Plain data of a plan, as `PlanFile.raw` gives it.
    sets : dict, optional
        Path to new value, as in a candidate change.
    adds : dict, optional
        List key to new parts.

    Raises
    ------
    PlanError
        With all faults, if the changed plan does not hold.
    """
    data = copy.deepcopy(raw)
    for key, parts in (adds or {}).items():
        data.setdefault(key, []).extend(copy.deepcopy(parts))
    for path, value in (sets or {}).items():
        table, key = _locate(data, path)
        if table is None:
            raise PlanError(f"{path}: there is no such part in the plan")
        table[key] = value
    plan, faults = read_plan(data)
    if faults:
        raise PlanError(describe(faults, "changed plan", ""))
    return plan
