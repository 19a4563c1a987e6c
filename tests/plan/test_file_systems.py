"""What differs between Linux, Windows and macOS, tried on whichever of them this is.

Line ends, byte order marks, long and foreign names, files held open, encodings left to chance.
"""

import ast
import os
import re
import shutil
import sys
import types
import unicodedata
from pathlib import Path

import pytest

from homestead import units
from homestead.plan import PlanError, PlanFile, demo_path, disk, open_plan

PACKAGE = Path(__file__).resolve().parents[2] / "homestead"
MODULES = sorted(PACKAGE.rglob("*.py"))
DEMO_TEXT = demo_path().read_text(encoding="utf-8")
COMPOSED, APART = (unicodedata.normalize(form, "Été à Lärchenbühl") for form in ("NFC", "NFD"))


@pytest.fixture
def path(tmp_path):
    return Path(shutil.copy(demo_path(), tmp_path / "plan.toml"))


# --- content --------------------------------------------------------------------------------------


def test_a_windows_editors_mark_and_line_ends(path):
    windows = b"\xef\xbb\xbf" + DEMO_TEXT.replace("\n", "\r\n").encode()
    path.write_bytes(windows)
    opened = PlanFile(path)
    assert not opened.is_changed and not opened.is_changed_elsewhere
    opened.rename("fuel", "woodshed", "shed")
    opened.save()
    content = path.read_bytes()
    assert content.count(b"\r\n") == content.count(b"\n") == DEMO_TEXT.count("\n")
    assert b"\r\r" not in content
    other = PlanFile(path)
    other.set("garden.area", "3100 ft²")
    other.save()
    opened.set("cistern.volume", "5000 gal")
    assert opened.merge().conflicts == ()
    opened.save()
    assert path.read_bytes().count(b"\r\n") == DEMO_TEXT.count("\n")


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "cp1252", "mac-roman"])
def test_another_encoding_is_told(path, encoding):
    path.write_bytes(DEMO_TEXT.replace("Larkspur", "Lärchen").encode(encoding, "replace"))
    with pytest.raises(PlanError, match=r"not UTF-8|not TOML"):
        PlanFile(path)


# --- names of files -------------------------------------------------------------------------------

FOLDERS = [
    "with spaces  and two",
    COMPOSED,
    APART,
    "家の計画",
    "Nora's & Tom's (100 %) #1; [x] {y} ~ $HOME",
    "-starts-with-a-dash",
    "🐔",
    "d" * 200,
]


@pytest.mark.parametrize("name", FOLDERS, ids=lambda name: ascii(name)[:24])
def test_a_folder_of_any_name_is_read_saved_and_keeps_revisions(tmp_path, name):
    folder = tmp_path / name
    folder.mkdir()
    path = Path(shutil.copy(demo_path(), folder / "plan.toml"))
    opened = PlanFile(path)
    opened.set("name", COMPOSED)
    opened.save()
    assert PlanFile(folder).plan.name == COMPOSED
    assert len(opened.revisions()) == 1
    assert list(folder.rglob("*.part")) == []


@pytest.mark.parametrize("stem", ["plan [1]", "plan*?" if os.name != "nt" else "plan", "p" * 180])
def test_a_plan_file_of_any_name(tmp_path, stem):
    path = Path(shutil.copy(demo_path(), tmp_path / f"{stem}.toml"))
    shutil.copy(demo_path(), tmp_path / "plan 1.toml")
    opened = PlanFile(path)
    for volume in ("5000 gal", "6000 gal"):
        opened.set("cistern.volume", volume)
        opened.save()
    assert len(opened.revisions()) == 2
    assert PlanFile(tmp_path / "plan 1.toml").revisions() == []


def test_a_deep_folder(tmp_path):
    folder = tmp_path
    while len(str(folder)) < 1000:
        folder = folder / ("d" * 60)
    folder.mkdir(parents=True)
    opened = PlanFile(shutil.copy(demo_path(), folder / "plan.toml"))
    opened.set("cistern.volume", "5000 gal")
    opened.save()
    assert open_plan(folder).cistern.volume_m3 == pytest.approx(units.parse("5000 gal", "volume"))


def test_revisions_have_names_that_windows_takes(path):
    opened = PlanFile(path)
    opened.set("cistern.volume", "5000 gal")
    opened.save()
    assert not set(opened.revisions()[0].name) & set('<>:"/\\|?*')


@pytest.mark.parametrize(
    ("there", "asked"),
    [
        ("weather.csv", "weather.csv"),
        ("Weather.CSV", "weather.csv"),
        (f"{APART}.csv", f"{COMPOSED}.csv"),
        (f"{COMPOSED}.csv", f"{APART}.csv"),
        ("files/Weather.csv", "files\\weather.csv"),
        ("Files/weather.csv", "files/weather.csv"),
        ("STRASSE.csv", "straße.csv"),
    ],
)
def test_a_file_that_a_plan_names_is_found_as_other_systems_spell_it(tmp_path, there, asked):
    (tmp_path / there).parent.mkdir(exist_ok=True)
    (tmp_path / there).write_text("x", encoding="utf-8")
    found = disk.reachable(tmp_path, asked)
    assert found is not None and found.samefile(tmp_path / there)


def test_a_file_that_is_not_there_or_not_the_only_one_is_not_found(tmp_path):
    for name in ("A.csv", "a.CSV"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    if len(list(tmp_path.iterdir())) == 2:  # where case counts
        assert disk.reachable(tmp_path, "a.csv") is None
    for name in ("b.csv", "", "A.csv/x", "x" * 5000, "a\0b", "/no/such/place/at/all.csv"):
        assert disk.reachable(tmp_path, name) is None


# --- files held open ------------------------------------------------------------------------------


def test_a_file_held_open_for_a_moment_is_waited_for(path, monkeypatch):
    """As on Windows, where a scanner may hold the older file while the new one takes its place."""
    replace, refused = os.replace, []

    def held(source, target):
        if len(refused) < 3:
            refused.append(target)
            raise PermissionError(13, "The process cannot access the file")
        replace(source, target)

    monkeypatch.setattr(disk.os, "replace", held)
    disk.write_atomically(path, "new\n")
    assert path.read_text(encoding="utf-8") == "new\n"
    assert len(refused) == 3


def test_a_file_held_open_for_good_is_told(path, monkeypatch):
    def held(*_):
        raise PermissionError(13, "The process cannot access the file")

    opened = PlanFile(path)
    opened.set("cistern.volume", "5000 gal")
    monkeypatch.setattr(disk.os, "replace", held)
    with pytest.raises(PlanError, match=r"cannot be written \(The process cannot access"):
        opened.save()
    monkeypatch.undo()
    assert path.read_text(encoding="utf-8") == DEMO_TEXT
    assert list(path.parent.rglob("*.part")) == []


@pytest.mark.parametrize("held_for", [0, 2])
def test_the_lock_as_windows_has_it(tmp_path, monkeypatch, held_for):
    calls = []

    def locking(handle, mode, length):
        calls.append((mode, length))
        if len(calls) <= held_for:
            raise PermissionError(13, "Permission denied")

    monkeypatch.setitem(
        sys.modules, "msvcrt", types.SimpleNamespace(locking=locking, LK_NBLCK="nb")
    )
    monkeypatch.setattr(disk, "os", _WindowsOs())
    with disk.only_writer(tmp_path / ".lock"):
        assert calls == [("nb", 1)] * (held_for + 1)


class _WindowsOs:
    """The os module with the name that Windows gives it."""

    name = "nt"

    def __getattr__(self, name):
        return getattr(os, name)


def test_a_share_that_knows_no_locks_is_written_all_the_same(tmp_path, monkeypatch):
    fcntl = pytest.importorskip("fcntl")

    def refuse(*_):
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(fcntl, "flock", refuse)
    with disk.only_writer(tmp_path / ".lock"):
        pass


# --- what the code may not lean on ----------------------------------------------------------------

TEXT_CALLS = {"read_text", "write_text", "NamedTemporaryFile", "TemporaryFile", "fdopen"}


def opened_without_encoding(tree):
    """Lines that open a text file without saying its encoding."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        owner = getattr(getattr(node.func, "value", None), "id", "")
        keywords = {one.arg for one in node.keywords}
        texts = [one.value for one in node.args if isinstance(one, ast.Constant)]
        is_binary = any(isinstance(one, str) and "b" in one and len(one) < 4 for one in texts)
        # A form may be opened too: without arguments only what is called a path or file counts.
        is_file = bool(node.args) or isinstance(node.func, ast.Name) or owner in ("path", "file")
        is_open = name == "open" and owner not in ("os", "webbrowser") and is_file
        if is_open or name in TEXT_CALLS:
            is_own = name == "read_text" and isinstance(node.func, ast.Name)  # plan.disk's
            at = {"read_text": 0, "write_text": 1}.get(name)
            positional = at is not None and len(node.args) > at
            if not ({"encoding"} & keywords or is_binary or positional or is_own):
                yield node.lineno
        if name in ("run", "Popen", "check_output") and {"text", "universal_newlines"} & keywords:
            if "encoding" not in keywords:
                yield node.lineno


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_every_text_file_is_opened_with_its_encoding(module):
    assert list(opened_without_encoding(ast.parse(module.read_text(encoding="utf-8")))) == []


def test_the_walk_above_would_find_what_it_looks_for():
    for line in (
        "open('x')",
        "path.open('w')",
        "path.open()",
        "path.read_text()",
        "path.write_text('x')",
        "os.fdopen(3, 'w')",
        "subprocess.run([], text=True)",
    ):
        assert list(opened_without_encoding(ast.parse(line))) == [1], line
    for line in ("open('x', 'rb')", "path.read_text('utf-8')", "os.open('x', 0)", "read_text(p)"):
        assert list(opened_without_encoding(ast.parse(line))) == [], line


POSIX_ONLY = {"fork", "sched_getaffinity", "sched_setaffinity", "killpg", "setsid", "getuid"}
LINUX_ONLY = {"kernels.py"}  # imported there alone, see the next test
POSIX_MODULES = {"fcntl", "pwd", "grp", "resource", "termios", "readline"}


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_nothing_leans_on_one_system(module):
    tree = ast.parse(module.read_text(encoding="utf-8"))
    used = {one.attr for one in ast.walk(tree) if isinstance(one, ast.Attribute)}
    assert module.name in LINUX_ONLY or not used & POSIX_ONLY
    at_once = [one for one in tree.body if isinstance(one, ast.Import | ast.ImportFrom)]
    named = {one.name for node in at_once if isinstance(node, ast.Import) for one in node.names}
    named |= {node.module for node in at_once if isinstance(node, ast.ImportFrom)}
    assert not named & POSIX_MODULES


def test_what_linux_alone_can_do_is_imported_there_alone():
    users = [
        path
        for path in MODULES
        if path.name not in LINUX_ONLY
        and re.search(r"workspace(\.| import )kernels", path.read_text(encoding="utf-8"))
    ]
    assert [path.name for path in users] == ["server.py"]
    tree = ast.parse(users[0].read_text(encoding="utf-8"))
    guarded = [
        node for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "sys.platform == 'linux'"
    ]  # fmt: skip
    assert any("kernels" in ast.unparse(node) for node in guarded)
    inside = sum(ast.unparse(node).count("kernels") for node in guarded)
    assert inside == ast.unparse(tree).count("kernels")
