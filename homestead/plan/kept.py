"""Older versions of a plan's file: how they are named, ordered, noted and thinned.

Each lies in the folder `revisions` beside the plan as the text that the file had. A first line
says with which note it was replaced, or which name the family gave it.
"""

import glob
import re
from datetime import datetime, timedelta

from homestead.plan.disk import mode_of, read_text, write_atomically

FOLDER = "revisions"
NOTE_MARK = "# changed after this: "
NAME_MARK = "# kept as: "
SESSION = timedelta(minutes=30)  # saves of a form within it leave one older version behind
_STAMP = "%Y-%m-%dT%H-%M-%S-%f"
_TAIL = re.compile(r"-(\d{4}-\d\d-\d\dT\d\d-\d\d-\d\d-\d{6})(?:-(\d{4,}))?")


def older_versions(path):
    """Older versions of a plan file, in the order in which they were saved.

    Each has a number, so that they stay in order when the clock of the computer jumps.
    """
    found = (path.parent / FOLDER).glob(f"{glob.escape(path.stem)}-*.toml")
    # Another plan's name may begin like this one's: only a date may follow.
    return sorted((file for file in found if replaced_at(file, path)), key=_order)


def _tail(revision):
    """Date and number of a revision's file name, or None."""
    found = _TAIL.search(revision.stem)
    return found if found and found.end() == len(revision.stem) else None


def _order(revision):
    date, number = _tail(revision).groups()
    return int(number or 0), date


def replaced_at(revision, path):
    """When an older version was replaced or kept; None if it belongs to another plan."""
    found = _tail(revision)
    if found is None or revision.stem[: found.start()] != path.stem:
        return None
    try:
        return datetime.strptime(found[1], _STAMP)
    except ValueError:
        return None


def note_of(revision):
    """Note with which a revision was replaced by the next version, or "" if there was none."""
    return _marked(revision, NOTE_MARK)


def name_of(revision):
    """Name that the family gave a version when it was kept, or ""."""
    return _marked(revision, NAME_MARK)


def _marked(revision, mark):
    first = read_text(revision)[0].partition("\n")[0]
    return first.removeprefix(mark) if first.startswith(mark) else ""


def plain_text(text):
    """Text of a version without the line that says why it was kept."""
    return text.partition("\n")[2] if text.startswith((NOTE_MARK, NAME_MARK)) else text


def keep(path, text, newline, note=None, name=None, is_automatic=False):
    """Keep a text of the plan as an older version, unless a save of a form just did.

    To be called under the plan's lock, before the newer text is written. What a form saves within
    half an hour leaves the version before that behind, and none in between; a version that was
    saved with a note, or is replaced with one, always stays.
    """
    before, now = older_versions(path), datetime.now()
    newest = before[-1] if before else None
    is_same = newest is not None and plain_text(read_text(newest)[0]) == text
    if newest is not None and is_automatic and not note and not note_of(newest):
        if timedelta(0) <= now - replaced_at(newest, path) < SESSION:
            return
    first = f"{NOTE_MARK}{note}\n" if note else f"{NAME_MARK}{name}\n" if name else ""
    number = max(len(before), _order(newest)[0] if newest else 0) + 1
    kept = path.parent / FOLDER / f"{path.stem}-{now.strftime(_STAMP)}-{number:04d}.toml"
    write_atomically(kept, first + text, newline, mode=mode_of(path))
    if newest is not None and is_same and not name and not name_of(newest):
        newest.unlink()  # kept by a save that was stopped before the file was written
