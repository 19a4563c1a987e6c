"""What was worked before, kept on disk: one small file for each result.

A result is found again by the content of the plan, its weather and this package's own sources, so
that a change in any of them is a miss and never a wrong answer. The folder is the user's cache;
HOMESTEAD_CACHE moves it, or switches it off with ``off``. Anything there that cannot be read back
is ignored: a cache may be lost, broken or unwritable at any time.
"""

import hashlib
import json
import os
import re
import tempfile
from functools import lru_cache
from importlib import metadata
from pathlib import Path

import numpy as np

from homestead import __version__, reference
from homestead.plan.disk import make_private_folder

ENVIRONMENT = "HOMESTEAD_CACHE"
MOST_BYTES = 200_000_000
TIDIED_EVERY_N = 200  # writes between two looks at the size of the folder
_OURS = re.compile(r"[0-9a-f]{64}(-[a-z]+)*(-\d+)?\.npz")
_written_n = 0


def folder():
    """Folder of the cache, or None if it is switched off."""
    given = os.environ.get(ENVIRONMENT, "")
    if given.strip().lower() == "off":
        return None
    if given.strip():
        return Path(given).expanduser()
    import platformdirs

    return Path(platformdirs.user_cache_dir("homestead", appauthor=False)) / "variants"


@lru_cache(maxsize=1)
def code_digest():
    """Fingerprint of everything in this package that a result depends on.

    Its sources, the reference tables, and the version that reads the sun.
    """
    files = sorted(Path(__file__).resolve().parent.rglob("*.py"))
    files += sorted(reference.shipped("data", "reference").glob("*.csv"))
    whole = hashlib.sha256(f"{__version__} {metadata.version('pvlib')}".encode())
    for path in files:
        whole.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return whole.hexdigest()


def weather_digest(name, place=None):
    """Fingerprint of a weather file by its content; of a built-in place by its name."""
    path = Path(place or "", name)
    try:
        status = path.stat()
        if path.is_file():
            return _file_digest(path, status.st_mtime_ns, status.st_size)
    except OSError:
        pass
    return name


@lru_cache(maxsize=64)
def _file_digest(path, modified_ns, size):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def key_of(plan, years_n, *more):
    """Key of a result that follows from a plan, its weather, so many years and plain data."""
    weather = weather_digest(plan.site.weather, plan.folder)
    return digest([code_digest(), years_n, weather, plan.raw, *more])


def digest(content):
    """Fingerprint of plain data."""
    text = json.dumps(content, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def load_arrays(key, *names):
    """Arrays kept under a key by name, and ``"about"``, or None."""
    here = folder()
    if here is None:
        return None
    path = here / f"{key}.npz"
    try:
        with np.load(path, allow_pickle=False) as kept:
            if str(kept["key"]) != key:
                return None
            found = {name: kept[name] for name in names}
            found["about"] = json.loads(str(kept["about"]))
    except Exception:  # a broken zip, a foreign file, no file at all: it is worked again
        return None
    try:
        os.utime(path)  # the oldest to go is the one longest unused
    except OSError:
        pass
    return found


def keep_arrays(key, about, **arrays):
    """Keep arrays and plain data; silently not, where the folder cannot be written."""
    global _written_n
    here = folder()
    if here is None:
        return
    temporary = None
    try:
        make_private_folder(here)
        handle, temporary = tempfile.mkstemp(dir=here, prefix=".", suffix=".part")
        with os.fdopen(handle, "wb") as file:
            np.savez_compressed(
                file, key=np.array(key), about=np.array(json.dumps(about)), **arrays
            )
        os.replace(temporary, here / f"{key}.npz")
    except OSError:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
        return
    if _written_n % TIDIED_EVERY_N == 0:
        tidy()
    _written_n += 1


def tidy(most_bytes=MOST_BYTES):
    """Remove the results longest unused until the rest fits; nothing but our own files."""
    here = folder()
    if here is None:
        return
    kept = []
    for path in here.glob("*.npz"):
        try:
            if _OURS.fullmatch(path.name):
                status = path.stat()
                kept.append((status.st_mtime_ns, path.name, status.st_size))
        except OSError:  # another run removed it
            continue
    total = sum(size for _, _, size in kept)
    for _, name, size in sorted(kept):
        if total <= most_bytes:
            return
        (here / name).unlink(missing_ok=True)
        total -= size
