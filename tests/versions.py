"""Oldest allowed and newest dependencies on each Python that is there, by hand where a network is.

``python tests/versions.py`` makes an environment for each, runs the rooms' tests in it and prints
one line each; ``python tests/versions.py 3.12 newest tests/plan`` does one of them. Needs
``pip install ".[versions]"``.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
RESOLUTIONS = {"oldest": "lowest-direct", "newest": "highest"}
UV = (sys.executable, "-m", "uv")
ROOMS = ("plan", "weather", "formulas", "published", "outlook", "trades", "test_cli_options.py")


def said(*command, **more):
    """Whether a command ended well, and the line that says why not, or its last."""
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=3600, **more
    )
    lines = (done.stdout + done.stderr).strip().splitlines() or [""]
    why = (line for line in lines if "error: " in line.lower())
    return done.returncode == 0, lines[-1] if done.returncode == 0 else next(why, lines[-1])


def tried(python, which, tests):
    """Line about one Python with one set of dependencies; None where that Python is not there."""
    with tempfile.TemporaryDirectory() as folder:
        there, _ = said(*UV, "venv", "--python", python, "--no-python-downloads", folder)
        if not there:
            return None
        own = str(Path(folder) / "bin" / "python")
        made, words = said(
            *UV, "pip", "install", "--python", own, "--resolution", RESOLUTIONS[which],
            "-e", ".[test]",
        )  # fmt: skip
        if not made:
            return f"{python} {which}: cannot be installed: {words}"
        environment = os.environ | {"XDG_CACHE_HOME": str(Path(folder) / "cache")}
        passed, words = said(
            own, "-m", "pytest", "-q", "-p", "no:cacheprovider", *tests, env=environment
        )
        return f"{python} {which}: {'passed' if passed else 'FAILED'}: {words}"


def main(arguments):
    """Try those asked for; 1 if any failed."""
    pythons = [one for one in arguments if one in PYTHONS] or PYTHONS
    which = [one for one in arguments if one in RESOLUTIONS] or RESOLUTIONS
    tests = [one for one in arguments if one.startswith("tests/")]
    tests = tests or [f"tests/{room}" for room in ROOMS]
    failed = False
    for python in pythons:
        for one in which:
            line = tried(python, one, tests)
            print(line or f"{python} {one}: this Python is not on this computer", flush=True)
            failed |= line is not None and "passed" not in line
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
