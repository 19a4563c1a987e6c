"""Older versions in a form: listed, looked at, gone back to without losing the present one."""

import pytest

from homestead.forms import form
from homestead.plan import PlanFile, demo_path, open_plan
from homestead.questions.revisions import revisions_of


@pytest.fixture
def home(tmp_path):
    (tmp_path / "plan.toml").write_text(demo_path().read_text(encoding="utf-8"), encoding="utf-8")
    return tmp_path


def volume(home):
    return PlanFile(home).raw()["cistern"]["volume"]


def test_an_older_version_is_gone_back_to_the_present_one_is_kept_and_undo_works(home):
    before, made = volume(home), form(home, "cistern")
    made.versions.name.value = "before the big tank"
    made.versions.button.click()
    assert made.versions.choice.options == ()
    made.keep_as("before the big tank")
    made.set("cistern.volume", "7500 gal")
    made.versions.button.click()
    made.versions.button.click()  # shut and open again
    assert made.versions.choice.value == 0 and "no older" not in made.versions._said.value
    names = [words for words, _ in made.versions.choice.options]
    at = next(n for n, words in enumerate(names) if "before the big tank" in words)
    made.versions.choice.value = at
    assert f"Volume, cistern: 7500 gal → {before}" in made.versions._said.value
    made.versions._go_back()
    assert volume(home) == before and made.status.startswith("Went back.")
    assert made.undo_title == "going back"
    kept = [open_plan(one.path).raw["cistern"]["volume"] for one in revisions_of(home)]
    assert "7500 gal" in kept
    assert "says the same as your plan now" in made.versions._said.value or kept[-1] == "7500 gal"
    made.undo()
    assert volume(home) == "7500 gal"


def test_a_version_that_holds_no_longer_is_refused_in_words(home):
    made = form(home, "cistern")
    made.keep_as("odd")
    made.set("cistern.volume", "7500 gal")
    (path,) = [one.path for one in revisions_of(home) if one.name == "odd"]
    path.write_text(path.read_text(encoding="utf-8").replace("[cistern]", "[sistern]"))
    made.go_back(next(one for one in revisions_of(home) if one.name == "odd"))
    assert "sistern" in made.status and volume(home) == "7500 gal"


def test_a_name_must_be_one_line_and_the_demo_keeps_none(home):
    made = form(home, "cistern")
    made.keep_as("")
    assert "1 to 200 characters" in made.status and not revisions_of(home)
    shown = form(demo_path(), "cistern")
    shown.versions.button.click()
    assert "no older version yet" in shown.versions._said.value
