"""What holds for every command: help, version, and a computer whose cache cannot be written."""

import importlib.metadata
import os
import subprocess
import sys

import pytest

from homestead.cli import main


def ran(capsys, *arguments):
    with pytest.raises(SystemExit) as stop:
        main(list(arguments))
    said = capsys.readouterr()
    return stop.value.code, said.out, said.err


@pytest.mark.parametrize("typed", ["-h", "--help"])
def test_help_by_its_short_name_too(capsys, typed):
    code, out, _ = ran(capsys, typed)
    assert code == 0 and "share" in out
    code, out, _ = ran(capsys, "share", typed)
    assert code == 0 and "--pdf" in out


def test_the_version_is_told(capsys):
    code, out, _ = ran(capsys, "--version")
    assert code == 0 and out.strip() == importlib.metadata.version("homestead")


def test_a_computer_whose_cache_cannot_be_written_works_and_is_told_once(tmp_path):
    """The folder of a user without a home of their own, and a package that nobody may write."""
    blocked = tmp_path / "a file, no folder"
    blocked.write_text("", encoding="utf-8")
    program = (
        "from homestead.simulate.kernel import compile as made\n"
        "assert made.FOLDER is None\n"
        "assert made.inlined(lambda x: x + 1) is not None\n"
        "assert made.compiled(lambda x: x + 1)(1) == 2\n"
    )
    drawing = (
        "from homestead import cli\n"
        "try:\n    cli.main(['--version'])\nexcept SystemExit:\n    pass\n"
        "import matplotlib\nmatplotlib.get_configdir()\n"
    )
    kept = {"XDG_CACHE_HOME": str(blocked), "HOME": str(blocked), "PATH": os.environ["PATH"]}
    done = subprocess.run(
        [sys.executable, "-c", program], env=kept, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    done = subprocess.run([sys.executable, "-c", drawing], env=kept, capture_output=True, text=True)
    assert done.returncode == 0 and done.stderr == ""
