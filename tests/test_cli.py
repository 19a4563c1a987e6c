"""The command as a family runs it: in a process of its own, by what it prints and how it ends."""

import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from homestead import workspace
from homestead.plan import demo_path, open_plan
from tests import commands

ROOT = Path(__file__).resolve().parents[1]


def start(*arguments, cwd, **more):
    environment = {
        name: value for name, value in os.environ.items() if not name.startswith("HOMESTEAD")
    }
    environment |= {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **more}
    return subprocess.Popen(
        [sys.executable, "-m", "homestead", *map(str, arguments)],
        cwd=cwd,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        # A test run in the background of a shell begins with interrupts switched off.
        preexec_fn=None if os.name == "nt" else _hear_interrupts,
    )


def _hear_interrupts():
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def run(*arguments, cwd, **more):
    done = commands.run(*arguments, cwd=cwd, **more)
    return done.returncode, done.stdout, done.stderr


@pytest.fixture
def home(tmp_path):
    folder = tmp_path / "place"
    workspace.new(folder, "demo")
    return folder


@pytest.fixture
def small(home):
    """The same with one weather year, its plan word for word the same in each test."""
    plan = home / "plan.toml"
    text = plan.read_text(encoding="utf-8").replace("years = 30", "years = 1")
    plan.write_text(text, encoding="utf-8")
    return home


def is_one_sentence(err):
    return err.startswith("homestead: ") and len(err.strip().splitlines()) == 1


@pytest.mark.parametrize("template", workspace.TEMPLATES)
def test_new_makes_a_plan_that_is_sound_and_refuses_a_second_time(template, tmp_path):
    code, out, _ = run("new", "place", "--from", template, cwd=tmp_path)
    assert code == 0
    assert "homestead open place" in out
    made = (tmp_path / "place" / "plan.toml").read_bytes()
    assert open_plan(tmp_path / "place").people
    code, _, err = run("new", "place", cwd=tmp_path)
    assert code == 1
    assert is_one_sentence(err)
    assert "there's already a plan" in err
    assert (tmp_path / "place" / "plan.toml").read_bytes() == made


def test_check_says_sound_or_every_fault(small, tmp_path):
    plan = small / "plan.toml"
    text = plan.read_text(encoding="utf-8")
    code, out, err = run("check", small, cwd=tmp_path)
    assert (code, err) == (0, "")
    assert "reads well (sound)" in out
    counts = re.search(r"dangers: (\d+), warnings: (\d+), notes: (\d+)$", out, re.MULTILINE)
    code, told, _ = run("days", small, "--json", cwd=tmp_path)
    found = [one["severity"] for one in json.loads(told)["findings"]]
    assert code == 0
    words = ("danger", "warning", "note")
    assert [int(one) for one in counts.groups()] == [found.count(word) for word in words]
    text = text.replace('"265 ft"', '"26500 ft"').replace('"450 W"', "450")
    plan.write_text(text, encoding="utf-8")
    code, out, err = run("check", plan, cwd=tmp_path)
    assert code == 1
    assert "[well] depth" in out
    assert out.count("must be a number with its unit") == 2
    assert is_one_sentence(err)


def test_check_reads_the_weather_too(home, tmp_path):
    plan = home / "plan.toml"
    text = plan.read_text(encoding="utf-8")
    (home / "short.csv").write_text("nothing,here\n1,2\n", encoding="utf-8")
    for name in ("short.csv", "missing.csv"):
        plan.write_text(text.replace("greensboro-nc", name), encoding="utf-8")
        code, out, err = run("check", home, cwd=tmp_path)
        assert code == 1
        assert "[site] weather" in out
        assert name in out


def test_a_plan_is_found_upwards_from_where_one_stands(home):
    inner = home / "notebooks"
    inner.mkdir()
    (home / "plan.toml").write_text(
        (home / "plan.toml").read_text("utf-8").replace("Larkspur Hollow", "Ours"), "utf-8"
    )
    _, out, _ = run("check", cwd=inner)
    assert "Ours" in out


def test_days_for_people_and_for_scripts(small, tmp_path):
    code, out, err = run("days", small, cwd=tmp_path)
    assert code == 0
    lines = out.splitlines()
    assert max(map(len, lines)) <= 80 and len(lines) == 5
    assert run("days", small, cwd=tmp_path) == (0, out, err)  # remembered, word for word
    said = " ".join(line.strip() for line in lines)
    code, full, _ = run("days", small, "--full", cwd=tmp_path)
    assert full.startswith("\n".join(lines)) and "Plan on (days)" in full
    assert max(map(len, full.splitlines())) <= 80
    code, out, _ = run("days", small, "--json", cwd=tmp_path)
    found = json.loads(out)
    assert said.startswith(f"Larkspur Hollow: plan on {found['homestead']['p10']} days.")
    spare = found["cutting_back"]["homestead"]["p10"]
    assert f"Cutting back from the first day, plan on {spare} days" in said
    assert {"part", "days", "days_cutting_back", "first_to_fail"} == set(found["parts_out"][0])
    assert set(found["breakdowns"]) == {"p10", "p50", "least"}
    assert found["breakdowns"]["least"] <= found["breakdowns"]["p10"]
    days = [part["days"] for part in found["parts_out"]]
    assert days == sorted(days) and len(days) > 15
    code, told, _ = run("parts", small, cwd=tmp_path)
    assert code == 0 and told.count("the well pump") == 3  # its row, its rate, its shelf
    assert f"as often as they usually do: plan on {found['breakdowns']['p10']}" in told
    row = next(line for line in told.splitlines() if line.startswith("the well pump"))
    shown = next(part for part in found["parts_out"] if part["part"] == "the well pump")
    assert row.split()[3:5] == [str(shown["days"]), str(shown["days_cutting_back"])]
    assert found["weather"]["years"] == 1
    assert found["starts"] == 365
    assert set(found["needs"]) == {"power", "water", "warmth", "food"}
    assert found["homestead"]["least"] <= min(one["least"] for one in found["needs"].values())


def test_days_remembered_are_those_of_the_very_plan(small, tmp_path):
    plan, cache = small / "plan.toml", tmp_path / "kept"
    text = plan.read_text(encoding="utf-8")
    said = []
    for name in ("Larkspur Hollow", "Ours", "Larkspur Hollow"):
        plan.write_text(text.replace("Larkspur Hollow", name), encoding="utf-8")
        code, out, _ = run("days", small, cwd=tmp_path, HOMESTEAD_CACHE=str(cache))
        assert code == 0 and out.startswith(f"{name}: plan on ")
        said.append(out)
        kept = {one: one.read_bytes() for one in cache.glob("*.npz")}
    assert said[0] == said[2]
    for one in kept:
        one.write_bytes(b"broken")
    assert run("days", small, cwd=tmp_path, HOMESTEAD_CACHE=str(cache))[1] == said[0]
    assert any(one.read_bytes() != b"broken" for one in kept)


def test_share_writes_a_page_and_says_where(small, tmp_path):
    code, out, _ = run("share", small, cwd=tmp_path)
    assert code == 0
    page = small / "homestead.html"
    assert f"Page: {page.resolve()}" in out
    assert "Larkspur Hollow: plan on" in out
    assert "Larkspur Hollow" in page.read_text(encoding="utf-8")
    target = tmp_path / "other.html"
    options = ["--output", target, "--leave-out", "location", "--leave-out", "costs"]
    assert run("share", small, *options, cwd=tmp_path)[0] == 0
    text = target.read_text(encoding="utf-8")
    assert "Greensboro" in page.read_text(encoding="utf-8")
    assert "Greensboro" not in text
    assert "1,150" not in text  # the cost of the first idea of the demo


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["check", "nowhere"], "there is no plan here"),
        (["days", "nowhere"], "there is no plan here"),
        (["share", "nowhere"], "there is no plan here"),
        (["open", "nowhere", "--no-browser"], "there is no plan here"),
        (["days", "--years", "0"], "years"),
        (["days", "--yaers", "3"], "No such option"),
        (["new", "place", "--from", "castle"], "--from must be one of demo, cabin, cold-coast"),
        (["share", "--output", "nowhere/page.html"], "cannot be written"),
        (["share", "--leave-out", "everything"], "--leave-out takes location, costs"),
        (["dig"], "No such command"),
    ],
)
def test_what_is_wrong_is_one_sentence(arguments, said, tmp_path):
    code, _, err = run(*arguments, cwd=tmp_path)
    assert code != 0
    assert said in err
    assert is_one_sentence(err)


@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "shut").mkdir(mode=0o500)
    code, _, err = run("new", "shut/place", cwd=tmp_path)
    assert code == 1
    assert is_one_sentence(err)


def test_a_file_in_the_way_is_told(tmp_path):
    (tmp_path / "place").write_text("a file", encoding="utf-8")
    code, _, err = run("new", "place/inner", cwd=tmp_path)
    assert code == 1
    assert "cannot be written" in err
    assert is_one_sentence(err)


def test_a_busy_port_is_told(home, tmp_path):
    with socket.socket() as busy:
        busy.bind(("127.0.0.1", 0))
        busy.listen()
        port = busy.getsockname()[1]
        code, _, err = run("open", home, "--no-browser", "--port", port, cwd=tmp_path)
    assert code == 1
    assert f"port {port} is in use" in err
    assert is_one_sentence(err)


@pytest.mark.skipif(os.name == "nt", reason="signals as on POSIX")
def test_ctrl_c_stops_without_a_traceback(home, tmp_path):
    process = start("days", home, "--years", "200", cwd=tmp_path)
    time.sleep(2.5)
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=120)
    assert process.returncode == 130
    assert "Traceback" not in err
    assert "homestead: stopped" in err


def test_the_command_starts_without_heavy_imports():
    heavy = "numpy pandas pvlib numba matplotlib ipywidgets jupyterlab pydantic pint"
    code = f"import sys, homestead.cli; print([n for n in {heavy.split()!r} if n in sys.modules])"
    found = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert found.stdout.strip() == "[]"


def test_notebooks_are_copied_and_a_changed_one_is_kept(home):
    first = dict(workspace.copy_notebooks(home))
    assert first
    assert set(first.values()) == {"copied"}
    assert set(dict(workspace.copy_notebooks(home)).values()) == {"as shipped"}
    mine = home / "notebooks" / workspace.FIRST
    changed = json.loads(mine.read_text(encoding="utf-8"))
    changed["cells"][0]["source"] = "# Ours"
    mine.write_text(json.dumps(changed), encoding="utf-8")
    again = dict(workspace.copy_notebooks(home))
    assert again[workspace.FIRST] == "you changed yours: kept"
    assert json.loads(mine.read_text(encoding="utf-8"))["cells"][0]["source"] == "# Ours"


def test_a_later_version_replaces_what_nobody_changed(home, tmp_path, monkeypatch):
    workspace.copy_notebooks(home)
    later = tmp_path / "later"
    shutil.copytree(workspace.reference.shipped("notebooks"), later)
    newer = json.loads((later / workspace.FIRST).read_text(encoding="utf-8"))
    newer["cells"][0]["source"] = "# Newer"
    (later / workspace.FIRST).write_text(json.dumps(newer), encoding="utf-8")
    monkeypatch.setattr(workspace.reference, "shipped", lambda *parts: later)
    done = dict(workspace.copy_notebooks(home))
    assert done.pop(workspace.FIRST) == "brought up to date"
    assert set(done.values()) == {"as shipped"}
    assert "# Newer" in (home / "notebooks" / workspace.FIRST).read_text(encoding="utf-8")


def test_running_a_notebook_is_no_change_and_its_dead_forms_go(home):
    workspace.copy_notebooks(home)
    mine = home / "notebooks" / workspace.FIRST
    ran = json.loads(mine.read_text(encoding="utf-8"))
    view = {"application/vnd.jupyter.widget-view+json": {"model_id": "x"}}
    code = next(cell for cell in ran["cells"] if cell["cell_type"] == "code")
    code["outputs"] = [{"output_type": "display_data", "metadata": {}, "data": view}]
    code["execution_count"] = 99
    mine.write_text(json.dumps(ran), encoding="utf-8")
    assert dict(workspace.copy_notebooks(home))[workspace.FIRST] == "as shipped"
    assert "widget-view" not in mine.read_text(encoding="utf-8")


def test_every_shortcut_that_is_switched_off_exists_in_the_installed_lab():
    """A spelling that its registry does not have would switch nothing off."""
    schemas = Path(sys.prefix) / "share" / "jupyter" / "lab" / "schemas" / "@jupyterlab"
    known = set()
    for name in ("notebook-extension/tracker.json", "mainmenu-extension/plugin.json"):
        schema = json.loads((schemas / name).read_text(encoding="utf-8"))
        known |= {
            (one["command"], tuple(one["keys"]), one["selector"])
            for one in schema["jupyter.lab.shortcuts"]
        }
    off = workspace.settings()["@jupyterlab/shortcuts-extension:shortcuts"]["shortcuts"]
    assert {(one["command"], tuple(one["keys"]), one["selector"]) for one in off} <= known
    assert all(one["disabled"] for one in off)


def test_the_demo_is_not_touched_by_new(tmp_path):
    before = demo_path().read_bytes()
    run("new", tmp_path / "place", cwd=tmp_path)
    assert demo_path().read_bytes() == before
