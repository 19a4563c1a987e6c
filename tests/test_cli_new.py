"""The first plan: it asks nothing unless told to, and what is answered is in it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from homestead import cli, workspace
from homestead.plan import PlanError, PlanFile, demo_path, open_plan
from homestead.workspace import begin

ROOT = Path(__file__).resolve().parents[1]
DEMO = demo_path().read_text(encoding="utf-8")
BEGUN = DEMO.replace('units = "us"\n', 'units = "us"\nbegan_from = "demo"\n', 1)


def run(*arguments, cwd, answers="", **more):
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **more}
    done = subprocess.run(
        [sys.executable, "-m", "homestead", *arguments],
        cwd=cwd,
        env=environment,
        input=answers,
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        timeout=300,
    )
    assert "Traceback" not in done.stderr
    return done


def test_new_asks_nothing(tmp_path):
    done = run("new", "place", cwd=tmp_path)
    assert done.returncode == 0
    assert (tmp_path / "place" / "plan.toml").read_text(encoding="utf-8") == BEGUN


def test_what_is_answered_is_in_the_plan_and_it_runs(tmp_path):
    answers = "Été\nmetric\nsand-point-ak\nAnn Lee 39 f, Father 41 M, Kit 9 female\n"
    done = run("new", "my place", "--ask", cwd=tmp_path, answers=answers)
    assert done.returncode == 0, done.stderr
    plan = open_plan(tmp_path / "my place")
    assert (plan.name, plan.units, plan.site.weather) == ("Été", "metric", "sand-point-ak")
    people = [(one.name, one.age_n, one.sex) for one in plan.people]
    assert people == [("Ann Lee", 39, "female"), ("Father", 41, "male"), ("Kit", 9, "female")]
    assert "change them first" in done.stdout
    assert run("days", "my place", "--years", "1", cwd=tmp_path).returncode == 0
    text = (tmp_path / "my place" / "plan.toml").read_text(encoding="utf-8")
    assert "# --- people and animals" in text and "# about six eggs a week" in text


def test_empty_answers_leave_the_example(tmp_path):
    assert run("new", "place", "--ask", cwd=tmp_path, answers="\n\n\n\n").returncode == 0
    assert (tmp_path / "place" / "plan.toml").read_text(encoding="utf-8") == BEGUN


def test_a_wrong_answer_is_told_and_asked_again(tmp_path):
    answers = "Ours\nfurlongs\nus\nnowhere.csv\n\nAnn, Tom\nAnn 39 x\nAnn 39 f\n"
    done = run("new", "place", "--ask", cwd=tmp_path, answers=answers)
    assert done.returncode == 0, done.stderr
    assert 'units are us or metric; got "furlongs"' in done.stdout
    assert "nowhere.csv: no such weather file" in done.stdout
    assert done.stdout.count("each person is a name, an age and f or m") == 2
    assert [one.name for one in open_plan(tmp_path / "place").people] == ["Ann"]


def test_answers_that_end_too_soon_write_nothing(tmp_path):
    done = run("new", "place", "--ask", cwd=tmp_path, answers="Ours\n")
    assert done.returncode == 130
    assert not (tmp_path / "place").exists()


def test_nothing_is_asked_where_a_plan_is_already(tmp_path):
    run("new", "place", cwd=tmp_path)
    done = run("new", "place", "--ask", cwd=tmp_path, answers="Ours\n\n\n\n")
    assert done.returncode == 1 and "Name of the place" not in done.stdout
    assert "there is a plan already" in done.stderr


def test_a_weather_file_is_copied_beside_the_plan(tmp_path):
    import pvlib

    source = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    mine = tmp_path / "Été weather.csv"
    mine.write_bytes(source.read_bytes())
    done = run("new", "place", "--ask", cwd=tmp_path, answers="\n\nÉté weather.csv\n\n")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "place" / "Été weather.csv").read_bytes() == source.read_bytes()
    mine.unlink()
    assert run("check", "place", cwd=tmp_path).returncode == 0


def test_a_person_who_cannot_be_is_told(tmp_path):
    done = run("new", "place", "--ask", cwd=tmp_path, answers="\n\n\nAnn 390 f\n")
    assert done.returncode == 1
    assert "age: must be 0 to 120" in done.stderr
    assert not (tmp_path / "place" / "plan.toml").exists()


@pytest.mark.parametrize("template", workspace.TEMPLATES)
def test_people_replace_those_of_every_example(template):
    opened = PlanFile(workspace.reference.shipped("data", template, "plan.toml"))
    name = opened.plan.people[0].name
    begin.answered(opened, {"people": begin.people(f"{name} 3 f, B 4 m"), "name": "x"})
    assert [(one.name, one.age_n) for one in opened.plan.people] == [(name, 3), ("B", 4)]


def test_another_weather_file_of_that_name_stays(tmp_path):
    import pvlib

    source = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    mine = tmp_path / "w.csv"
    mine.write_bytes(source.read_bytes())
    (tmp_path / "place").mkdir()
    (tmp_path / "place" / "w.csv").write_text("other", encoding="utf-8")
    with pytest.raises(PlanError, match="another weather file of that name is there already"):
        begin.weather_beside(str(mine), tmp_path / "place")
    assert (tmp_path / "place" / "w.csv").read_text(encoding="utf-8") == "other"


# --- windows that cannot show every letter --------------------------------------------------------


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437"])
def test_a_window_without_the_letters_shows_the_rest(tmp_path, encoding):
    done = run("new", "place", cwd=tmp_path)
    plan = tmp_path / "place" / "plan.toml"
    text = plan.read_text(encoding="utf-8").replace("Larkspur Hollow", "家 Lärchen ²")
    plan.write_text(text, encoding="utf-8")
    done = run("check", "place", cwd=tmp_path, PYTHONIOENCODING=encoding)
    assert done.returncode == 0, done.stderr
    assert "sound" in done.stdout
    plan.write_text(text.replace('"3000 ft²"', '"5 家²"'), encoding="utf-8")
    done = run("check", "place", cwd=tmp_path, PYTHONIOENCODING=encoding)
    assert done.returncode == 1 and "[garden] area" in done.stdout


def test_the_next_command_is_quoted_as_the_system_types_it(monkeypatch):
    assert cli._quoted("my place") == "'my place'"
    monkeypatch.setattr(cli.os, "name", "nt")
    assert cli._quoted("my place") == '"my place"'
