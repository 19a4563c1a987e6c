"""Text files on disk: read within bounds, written whole or not at all, one writer at a time.

Owns what differs between systems: line ends, byte order marks, locks, files held open by others.
What the text means belongs to `file`.
"""

import contextlib
import glob
import os
import tempfile
import time
import unicodedata
from importlib import import_module
from pathlib import Path

LARGEST_BYTES = 2_000_000
LOCK_WAIT_S = 10.0
REPLACE_WAITS_S = (0.05, 0.1, 0.2, 0.4)
UNFINISHED = ".part"
PRIVATE_FILE, PRIVATE_FOLDER = 0o600, 0o700  # nobody else of this computer reads them
LONGEST_START = 40  # letters of a name: a long one with more in front may be too long


class PlanError(Exception):
    """A plan that cannot be used: every fault on its own line, each saying where.

    Attributes
    ----------
    faults : list of Fault
        The same faults one by one, each with `where` (keys and list positions from 0) and
        `message`; empty if what is wrong is not a fault of entries.
    """

    def __init__(self, text, faults=()):
        super().__init__(text)
        self.faults = list(faults)

    def _render_traceback_(self):
        # What a notebook shows instead of a traceback, which tells a family nothing.
        return [*str(self).splitlines(), "Fix it, save the file, then open the notebook again."]


def read_text(path):
    """Text of a file with plain line ends, and the line end that the file uses.

    Raises PlanError if it cannot be read, is larger than 2 MB or is not UTF-8.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
        if len(content) > LARGEST_BYTES:
            raise PlanError(f"{path}: is larger than 2 MB; no plan is that big")
        newline = "\r\n" if 2 * content.count(b"\r\n") > content.count(b"\n") else "\n"
        # Some editors put a byte order mark first; TOML knows none.
        return content.decode("utf-8-sig").replace("\r\n", "\n"), newline
    except UnicodeDecodeError as error:
        raise PlanError(
            f"{path}: is not UTF-8 text (byte {error.start}); save it as UTF-8"
        ) from error
    except OSError as error:
        raise PlanError(f"{path}: cannot be read ({error.strerror})") from error


def shared_mode():
    """Mode of a new file that is meant for others, as the system's own rule has it."""
    masked = os.umask(PRIVATE_FILE)
    os.umask(masked)
    return 0o666 & ~masked


def mode_of(path):
    """Mode of a file, or that of a private one if it is not there."""
    try:
        return path.stat().st_mode & 0o777
    except OSError:
        return PRIVATE_FILE


def make_private_folder(path):
    """Make a folder, with those above it, that only its owner may open; also if it was there."""
    path.mkdir(parents=True, exist_ok=True, mode=PRIVATE_FOLDER)
    if os.name != "nt" and path.stat().st_mode & 0o077:
        path.chmod(PRIVATE_FOLDER)


def write_atomically(path, text, newline="\n", mode=PRIVATE_FILE):
    """Write a text file so that a reader sees the old one or the new one, never a half.

    A file that is there keeps its mode; a new one gets `mode`, by default its owner's alone.
    """
    path = Path(os.path.realpath(path))  # a link stays a link
    handle, temporary = tempfile.mkstemp(
        dir=path.parent, prefix=f".{path.name[:LONGEST_START]}.", suffix=UNFINISHED
    )
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline=newline) as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, mode_of(path) if path.exists() else mode)
        _replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    _settle(path.parent)


def _replace(temporary, path):
    """Rename over the file; on Windows a scanner may hold it open for a moment."""
    for wait_s in REPLACE_WAITS_S:
        try:
            os.replace(temporary, path)
            return
        except PermissionError:
            time.sleep(wait_s)
    os.replace(temporary, path)


def _settle(folder):
    """Make a rename last through a loss of power, where the system lets a folder be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def clear_unfinished(folder, start):
    """Remove what writers left behind in a folder when they were stopped half way.

    Only to be called under `only_writer`, else a file that is being written may go.

    folder (Path)
    start (str) : What the names of the files to be written begin with.
    """
    for left in folder.glob(f".{glob.escape(start[:LONGEST_START])}*{UNFINISHED}"):
        with contextlib.suppress(OSError):
            left.unlink()


@contextlib.contextmanager
def only_writer(lock_path):
    """Hold a lock while writing; the system lets go of it when the process ends, however it ends.

    Where the folder's file system knows no locks, nothing is held.

    Raises PlanError if another program holds it for longer than ten seconds.
    """
    handle = os.open(lock_path, os.O_RDWR | os.O_CREAT, PRIVATE_FILE)
    try:
        until = time.monotonic() + LOCK_WAIT_S
        while not _is_locked(handle):
            if time.monotonic() > until:
                raise PlanError("the plan is being saved by another program; try again in a moment")
            time.sleep(0.02)
        yield
    finally:
        os.close(handle)


def _is_locked(handle):
    """Whether the lock was taken, or cannot be taken here at all."""
    try:
        if os.name == "nt":
            msvcrt = import_module("msvcrt")  # which only Windows has
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:  # some network shares
        return True
    return True


def reachable(folder, name):
    """Path of a file that a plan names, however this or another system spells it.

    A plan travels: a name written with a backslash, in other letters of upper or lower case, or
    with its accents put together differently means the same file.

    folder (Path)
    name (str) : Relative to the folder, or absolute.
    Gives Path or None: None if there is no such file, or several that differ only in case.
    """
    try:
        plain = folder / name
        if plain.is_file():
            return plain
        if Path(name).is_absolute():
            return None
        found = folder
        for piece in name.replace("\\", "/").split("/"):
            found = _spelled(found, piece)
            if found is None:
                return None
        return found if found.is_file() else None
    except (OSError, ValueError):  # too long, a NUL inside, a folder that may not be read
        return None


def _spelled(folder, piece):
    if (folder / piece).exists():
        return folder / piece
    wanted = _folded(piece)
    same = [file for file in folder.iterdir() if _folded(file.name) == wanted]
    return same[0] if len(same) == 1 else None


def _folded(name):
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
