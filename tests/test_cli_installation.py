"""What `homestead check --installation` says: here, and where things are amiss."""

import os
import sys
from pathlib import Path

import pytest

from homestead.workspace import installation
from tests.commands import run

ROOT = Path(__file__).resolve().parents[1]


def test_this_computer_is_tried_line_by_line(tmp_path):
    done = run("check", "--installation", cwd=tmp_path)
    lines = done.stdout.splitlines()
    assert done.returncode == 0, done.stdout + done.stderr
    assert not [line for line in lines if line.startswith("not ok")]
    for what in (
        *("Python: 3.", "homestead: ", "jupyterlab: 4", "ipywidgets: 8", "jupyterlab_widgets: 3"),
        *("weather greensboro-nc: Greensboro", "weather sand-point-ak: Sand Point"),
        *("kernel: 1 + 1 is 2", "a year of the demo: ", "folder for results kept: "),
    ):
        assert sum(line.startswith(f"ok        {what}") for line in lines) == 1, what
    assert list(tmp_path.iterdir()) == []  # nothing is left behind


@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may write anywhere")
def test_a_shut_folder_is_told(tmp_path):
    tmp_path.chmod(0o500)
    found = installation.writable("here", tmp_path)
    assert not found.is_ok and "cannot be written" in found.said


def test_a_file_in_the_way_of_the_folder_is_told_and_ends_with_1(tmp_path):
    blocked = tmp_path / "cache"
    blocked.write_text("a file", encoding="utf-8")
    done = run("check", "--installation", cwd=tmp_path, XDG_CACHE_HOME=str(blocked))
    if sys.platform.startswith("linux"):
        assert done.returncode == 1
        assert "not ok    folder for results kept: " in done.stdout
        assert "-> free some room, or give yourself the right to write there" in done.stdout
        assert done.stderr.splitlines()[-1].startswith("homestead: something needed doesn")
    found = installation.writable("folder", blocked / "inner")
    assert not found.is_ok and found.advice


@pytest.mark.parametrize(
    ("version", "is_ok"), [((3, 10, 9), False), ((3, 11, 0), True), ((3, 14, 1), True)]
)
def test_python(version, is_ok):
    found = installation.python(version)
    assert found.is_ok == is_ok
    assert bool(found.advice) != is_ok


def test_packages_that_are_missing_or_too_old():
    found = installation.package("no-such-package-at-all", 1)
    assert not found.is_ok and found.is_needed and found.said == "is not installed"
    found = installation.package("jupyterlab", 99)
    assert not found.is_ok and "is too old" in found.said and "99 or newer" in found.advice


def test_no_browser_is_no_fault_but_is_told(monkeypatch):
    def none(*_):
        raise installation.webbrowser.Error("could not locate runnable browser")

    monkeypatch.setattr(installation.webbrowser, "get", none)
    found = installation.browser(which=lambda name: None)
    assert not found.is_ok and not found.is_needed and "--no-browser" in found.advice
    assert str(found).startswith("not there browser")
    found = installation.page_printer(which=lambda name: None)
    assert not found.is_ok and not found.is_needed and "print it to PDF" in found.advice


def test_a_kernel_that_is_not_there():
    found = installation.kernel(wait_s=5, name="no-such-kernel")
    assert not found.is_ok and "does not start" in found.said and found.advice


def test_weather_that_is_not_there():
    found = installation.weather_file("nowhere.csv")
    assert not found.is_ok and "no such weather file" in found.said


def test_one_thing_that_fails_makes_the_whole_not_ok(monkeypatch):
    def all_of(*findings):
        monkeypatch.setattr(installation, "findings", lambda: iter(findings))
        said = []
        return installation.report(said.append), said

    good = installation.Finding("a", True, "1")
    spare = installation.Finding("b", False, "none", "get one", is_needed=False)
    bad = installation.Finding("c", False, "broken", "mend it")
    assert all_of(good, spare)[0]
    whole, said = all_of(good, bad, spare)
    assert not whole
    assert said[1:] == ["ok        a: 1", "not ok    c: broken -> mend it",
                        "not there b: none -> get one"]  # fmt: skip
