"""Nothing lost: saves killed at any moment, and several programs that save one plan."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from homestead import reference, units
from homestead.plan import PlanError, PlanFile, demo_path, disk, kept, open_plan

ROOT = Path(__file__).resolve().parents[2]
SMALL = reference.shipped("data", "cabin", "plan.toml")
POSIX = pytest.mark.skipif(os.name == "nt", reason="kill -9 and fork are POSIX")


def process(*arguments):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.Popen(
        [sys.executable, *map(str, arguments)],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )


@pytest.fixture
def path(tmp_path):
    return Path(shutil.copy(demo_path(), tmp_path / "plan.toml"))


@POSIX
@pytest.mark.longer_at_night
def test_a_save_killed_at_any_moment_leaves_whole_versions_only(tmp_path, at_night):
    path, kills_n = shutil.copy(SMALL, tmp_path / "plan.toml"), 400 if at_night else 100
    running = process(Path(__file__).with_name("saving_killed.py"), path, kills_n, 1)
    out, err = running.communicate(timeout=300)
    assert running.returncode == 0, err[-2000:]
    told = json.loads(out)
    assert told["broken"] == []
    assert told["killed"] == kills_n
    assert told["half_way"] >= 5, "no kill fell into a save: this test would not see a torn file"
    assert told["saves"] >= 10


STEPS = ("mkstemp", "fdopen", "fsync", "chmod", "replace", "after replace")
DIE_AT = """
import os, signal, sys, tempfile
from homestead.plan import PlanFile, disk
path, step, number = sys.argv[1], sys.argv[2], int(sys.argv[3])
opened = PlanFile(path)
opened.set("cistern.volume", "5000 gal")
owner = tempfile if step == "mkstemp" else os
name = step.removeprefix("after ")
before, calls = getattr(owner, name), [0]
def dies(*given, **more):
    calls[0] += 1
    if calls[0] == number and not step.startswith("after"):
        os.kill(os.getpid(), signal.SIGKILL)
    done = before(*given, **more)
    if calls[0] == number:
        os.kill(os.getpid(), signal.SIGKILL)
    return done
setattr(owner, name, dies)
opened.save()
"""


@POSIX
@pytest.mark.parametrize("number", [1, 2])
@pytest.mark.parametrize("step", STEPS)
def test_a_save_killed_at_each_of_its_steps(path, step, number):
    """First call: the revision is written; second: the plan."""
    before = path.read_text(encoding="utf-8")
    after = before.replace('"2500 gal"', '"5000 gal"')
    running = process("-c", DIE_AT, path, step, number)
    assert running.wait(60) == -9, running.stderr.read()
    running.communicate()
    is_new = path.read_text(encoding="utf-8") == after
    assert is_new or path.read_text(encoding="utf-8") == before
    # Of the file's own replace, only the moment after it shows the new version. (A sync of the
    # folder follows the revision, so fsync comes twice before the plan.)
    assert is_new == (step == "after replace" and number == 2)
    revisions = PlanFile(path).revisions()
    assert all(one.read_text(encoding="utf-8") == before for one in revisions)
    opened = PlanFile(path)
    opened.set("cistern.volume", "6000 gal")
    opened.save()
    assert open_plan(path).cistern.volume_m3 == pytest.approx(units.parse("6000 gal", "volume"))
    assert list(path.parent.rglob("*.part")) == []
    texts = [one.read_text(encoding="utf-8") for one in opened.revisions()]
    assert texts == ([before, after] if is_new else [before])  # a stopped save leaves no second one


COUNTS_UP = """
import sys
from homestead.plan import PlanError, PlanFile
done = told = 0
while done < int(sys.argv[2]):
    opened = PlanFile(sys.argv[1])
    opened.set("person.0.age", opened.typed("person.0.age") + 1)
    try:
        opened.save()
        done += 1
    except PlanError as error:
        assert "was changed somewhere else" in str(error), error
        told += 1
print(told)
"""


def test_of_four_programs_that_save_at_once_none_overwrites_another(tmp_path):
    path = Path(shutil.copy(SMALL, tmp_path / "plan.toml"))
    PlanFile(path).set("person.0.age", 1)
    first = PlanFile(path)
    first.set("person.0.age", 0)
    first.save()
    writers = [process("-c", COUNTS_UP, path, 12) for _ in range(4)]
    told = 0
    for one in writers:
        out, err = one.communicate(timeout=300)
        assert one.returncode == 0, err[-2000:]
        told += int(out)
    assert PlanFile(path).typed("person.0.age") == 4 * 12
    assert told > 0, "they never met: this test would not see a lost save"
    assert len(PlanFile(path).revisions()) == 4 * 12 + 1


def test_a_plan_that_is_being_saved_elsewhere_is_waited_for_and_told(path, monkeypatch):
    opened = PlanFile(path)
    opened.set("cistern.volume", "5000 gal")
    (path.parent / "revisions").mkdir()
    monkeypatch.setattr(disk, "LOCK_WAIT_S", 0.1)
    with disk.only_writer(path.parent / "revisions" / ".lock"):
        with pytest.raises(PlanError, match="is being saved by another program; try again"):
            opened.save()
    opened.save()
    assert PlanFile(path).typed("cistern.volume") == "5000 gal"


def test_a_clock_that_goes_back_keeps_the_order_of_revisions(path, monkeypatch):
    class Jumps(kept.datetime):
        nows = iter(((2026, 10, 25, 2), (2026, 10, 25, 1), (2001, 1, 1, 0), (2026, 10, 26, 1)))

        @classmethod
        def now(cls):
            return cls(*next(cls.nows), 30)

    monkeypatch.setattr(kept, "datetime", Jumps)
    opened = PlanFile(path)
    for volume in ("1000 gal", "2000 gal", "3000 gal", "4000 gal"):
        opened.set("cistern.volume", volume)
        opened.save()
    texts = [PlanFile(one).typed("cistern.volume") for one in opened.revisions()]
    assert texts == ["2500 gal", "1000 gal", "2000 gal", "3000 gal"]
