"""The first plan: it asks nothing unless told to, and what is answered is in it."""

from pathlib import Path

import pytest
import tomlkit

from homestead import cli, units, workspace
from homestead.formulas.food import food
from homestead.plan import PlanError, demo_path, open_plan, whose
from homestead.plan.schema import read_plan
from homestead.questions import interview
from homestead.workspace import begin
from tests.commands import run

ROOT = Path(__file__).resolve().parents[1]
DEMO = demo_path().read_text(encoding="utf-8")
BEGUN = DEMO.replace('units = "us"\n', 'units = "us"\nbegan_from = "demo"\n', 1)


def test_new_asks_nothing(tmp_path):
    done = run("new", "place", cwd=tmp_path)
    assert done.returncode == 0
    assert (tmp_path / "place" / "plan.toml").read_text(encoding="utf-8") == BEGUN


ANSWERS = {
    "name": "Été", "units": "metric", "weather": "sand-point-ak",
    "people": "Ann Lee 39 f, Father 41 M, Kit 9 female", "animals": "a dozen hens, 3 goats",
    "panels": "6 panels of 430 W facing south", "battery": "12kWh", "generator": "none",
    "well": "220 ft, 4 gpm", "cistern": "1500 gal", "house": "1600 ft²", "heat": "wood",
    "wood": "half a cord", "propane": "none", "pantry": "two months",
}  # fmt: skip


def typed(**changed):
    return "".join(f"{changed.get(one.key, '')}\n" for one in interview.QUESTIONS)


def test_everyday_answers_make_a_plan_of_ones_own(tmp_path):
    done = run("new", "my place", "--interview", cwd=tmp_path, answers=typed(**ANSWERS))
    assert done.returncode == 0, done.stderr
    assert "days" in done.stdout and "numbers are yours" in done.stdout
    plan = open_plan(tmp_path / "my place")
    assert (plan.name, plan.units, plan.site.weather) == ("Été", "metric", "sand-point-ak")
    people = [(one.name, one.age_n, one.sex) for one in plan.people]
    assert people == [("Ann Lee", 39, "female"), ("Father", 41, "male"), ("Kit", 9, "female")]
    assert [(one.count_n, one.kind) for one in plan.animals] == [(12, "hen"), (3, "goat")]
    (array,), (wood,) = plan.arrays, plan.fuels
    modules_n = array.modules_per_string_n * array.strings_n
    assert (array.module_w, modules_n, array.azimuth_deg) == (430.0, 6, 180.0)
    assert array.vmp_v * array.imp_a == pytest.approx(430.0, rel=0.01)  # the module's own watts
    assert plan.battery.module_wh == 12000.0 and plan.generator is None
    assert plan.well.depth_m == pytest.approx(units.parse("220 ft", "length"))
    assert wood.amount == pytest.approx(units.parse("0.5 cord", "volume"))
    need_kcal = sum(
        float(food.energy_need_kcal_day(one.age_n, one.sex, "moderate")) for one in plan.people
    )
    assert plan.pantry[0].energy_kcal == pytest.approx(need_kcal * 61, rel=0.01)
    # Answers are the family's, all else typical, and nothing is left from an example.
    told = whose.states(plan)
    assert "example" not in told.values()
    assert told["well.depth"] == told["battery.module"] == told["fuel.woodshed.amount"] == "yours"
    assert told["appliance.lights.power"] == told["well.bore"] == "typical"
    text = (tmp_path / "my place" / "plan.toml").read_text(encoding="utf-8")
    assert "Larkspur" not in text and "Grandmother" not in text


def test_empty_answers_stay_typical(tmp_path):
    made = workspace.new(tmp_path / "place", answers={})
    told = whose.counts(open_plan(made))
    assert told["yours"] == told["example"] == 0 and told["typical"] > 100


@pytest.mark.parametrize("key", [one.key for one in interview.QUESTIONS])
def test_each_answer_alone_holds(key):
    plan, faults = read_plan(tomlkit.parse(interview.begun({key: ANSWERS[key]})).unwrap())
    assert not faults and plan.people


def test_who_answers_nothing_can_ask_everything(tmp_path):
    run("new", "place", "--interview", cwd=tmp_path, answers=typed())
    for asked in (("days", "--years", 1), ("parts", "--years", 1), ("check",)):
        done = run(*asked, cwd=tmp_path / "place")
        assert done.returncode == 0, (asked, done.stderr)


@pytest.mark.parametrize(
    "key", ["animals", "panels", "battery", "generator", "well", "cistern", "heat", "wood",
            "propane", "pantry"]
)  # fmt: skip
def test_what_a_family_does_not_have_is_left_out(key):
    plan, faults = read_plan(tomlkit.parse(interview.begun({key: "none"})).unwrap())
    part = {
        "panels": plan.arrays if not faults else None, "battery": plan.battery,
        "generator": plan.generator, "well": plan.well, "cistern": plan.cistern,
        "heat": plan.heaters, "animals": plan.animals,
    }  # fmt: skip
    assert not faults and not part.get(key)
    stores = [one.name for one in plan.fuels]
    assert (
        "woodshed" not in stores
        if key == "wood"
        else "propane tank" not in stores or (key != "propane")
    )


def test_faults_of_all_answers_are_told_at_once():
    with pytest.raises(PlanError) as caught:
        interview.begun({"units": "furlongs", "people": "Ann", "battery": "big", "heat": "coal"})
    assert len(str(caught.value).splitlines()) == 4
    assert all(len(line) <= 200 for line in str(caught.value).splitlines())


def test_a_wrong_answer_is_told_and_asked_again(tmp_path):
    answers = typed(units="furlongs\nus", people="Ann, Tom\nAnn 390 f\nAnn 39 f")
    done = run("new", "place", "--interview", cwd=tmp_path, answers=answers)
    assert done.returncode == 0, done.stderr
    assert "us or metric; got 'furlongs'" in done.stdout
    assert "each person is a name, an age, f or m" in done.stdout
    assert "must be 0 to 120" in done.stdout
    assert [one.name for one in open_plan(tmp_path / "place").people] == ["Ann"]


def test_answers_that_end_too_soon_write_nothing(tmp_path):
    done = run("new", "place", "--interview", cwd=tmp_path, answers="Ours\n")
    assert done.returncode == 130
    assert not (tmp_path / "place").exists()


def test_nothing_is_asked_where_a_plan_is_already(tmp_path):
    run("new", "place", cwd=tmp_path)
    done = run("new", "place", "--interview", cwd=tmp_path, answers=typed())
    assert done.returncode == 1 and "What do you call the place" not in done.stdout
    assert "there's already a plan" in done.stderr


def test_a_weather_file_is_copied_beside_the_plan(tmp_path):
    import pvlib

    source = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    mine = tmp_path / "Été weather.csv"
    mine.write_bytes(source.read_bytes())
    answers = typed(weather="nowhere.csv\nÉté weather.csv")
    done = run("new", "place", "--interview", cwd=tmp_path, answers=answers)
    assert done.returncode == 0, done.stderr
    assert "nowhere.csv: no such weather file" in done.stdout
    assert (tmp_path / "place" / "Été weather.csv").read_bytes() == source.read_bytes()
    mine.unlink()
    assert run("check", "place", cwd=tmp_path).returncode == 0


def test_another_weather_file_of_that_name_stays(tmp_path):
    import pvlib

    source = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    mine = tmp_path / "w.csv"
    mine.write_bytes(source.read_bytes())
    (tmp_path / "place").mkdir()
    (tmp_path / "place" / "w.csv").write_text("other", encoding="utf-8")
    with pytest.raises(PlanError, match="there's already another weather file with that name"):
        begin.weather_beside(str(mine), tmp_path / "place")
    assert (tmp_path / "place" / "w.csv").read_text(encoding="utf-8") == "other"


# --- windows that cannot show every letter --------------------------------------------------------


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437"])
def test_a_window_without_the_letters_shows_the_rest(tmp_path, encoding):
    done = run("new", "place", cwd=tmp_path)
    plan = tmp_path / "place" / "plan.toml"
    text = plan.read_text(encoding="utf-8").replace("Larkspur Hollow", "家 Lärchen ²")
    text = text.replace("years = 30", "years = 1")
    plan.write_text(text, encoding="utf-8")
    done = run("check", "place", cwd=tmp_path, PYTHONIOENCODING=encoding)
    assert done.returncode == 0, done.stderr
    assert "reads well" in done.stdout
    plan.write_text(text.replace('"3000 ft²"', '"5 家²"'), encoding="utf-8")
    done = run("check", "place", cwd=tmp_path, PYTHONIOENCODING=encoding)
    assert done.returncode == 1 and "[garden] area" in done.stdout


def test_the_next_command_is_quoted_as_the_system_types_it(monkeypatch):
    assert cli._quoted("my place") == "'my place'"
    monkeypatch.setattr(cli.os, "name", "nt")
    assert cli._quoted("my place") == '"my place"'
