"""Plans of other formats: an older one is brought up with a dated copy, a newer one is refused.

No format before the first exists; the way up is tried with a step made up here.
"""

import shutil
from pathlib import Path

import pytest

from homestead.plan import PlanError, PlanFile, demo_path, migrate
from homestead.plan.kept import note_of
from homestead.plan.migrate import migrated_from
from homestead.plan.schema import SCHEMA

OLD = demo_path().read_text(encoding="utf-8").replace("schema = 1", "schema = 0 # of old")
OLD = OLD.replace("[cistern]\nvolume =", "[cistern]\nholds =")


def hold_became_volume(document):
    document["cistern"]["volume"] = document["cistern"].pop("holds")


@pytest.fixture
def path(tmp_path, monkeypatch):
    monkeypatch.setattr(migrate, "STEPS", {0: hold_became_volume})
    path = Path(shutil.copy(demo_path(), tmp_path / "plan.toml"))
    path.write_text(OLD, encoding="utf-8")
    return path


def test_opening_reads_the_older_plan_and_writes_nothing(path):
    opened = PlanFile(path)
    assert opened.migrated_from == 0 and opened.is_changed
    assert opened.typed("cistern.volume") == "2500 gal"
    assert path.read_text(encoding="utf-8") == OLD
    assert [one.name for one in path.parent.iterdir()] == ["plan.toml"]


def test_the_next_save_keeps_a_dated_copy_of_the_older_text(path):
    opened = PlanFile(path)
    opened.save()
    (older,) = opened.revisions()
    assert note_of(older) == f"schema 0 raised to {SCHEMA}"
    assert older.read_text(encoding="utf-8").partition("\n")[2] == OLD
    assert opened.migrated_from is None
    again = PlanFile(path)
    assert again.migrated_from is None and not again.is_changed
    assert again.typed("cistern.volume") == "2500 gal"
    assert "# of old" in path.read_text(encoding="utf-8")  # comments stay
    assert PlanFile(older).raw() == again.raw()  # the copy still opens


def test_a_note_of_the_save_stays_beside_it(path):
    opened = PlanFile(path)
    opened.set("garden.area", "3100 ft²")
    opened.save(note="a row more")
    assert note_of(opened.revisions()[0]) == f"a row more (schema 0 raised to {SCHEMA})"


def test_an_older_plan_merges_with_one_of_today(path):
    mine, theirs = PlanFile(path), PlanFile(path)
    theirs.set("garden.area", "3100 ft²")
    theirs.save()
    mine.set("cistern.volume", "5000 gal")
    assert mine.merge().taken == ("garden.area",)
    mine.save()
    assert PlanFile(path).typed("cistern.volume") == "5000 gal"


@pytest.mark.parametrize("number", [SCHEMA + 1, SCHEMA + 1000, 10**30])
def test_a_plan_of_a_newer_homestead_is_refused_and_not_touched(path, number):
    text = OLD.replace("schema = 0", f"schema = {number}")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        PlanFile(path)
    assert str(caught.value) == (
        f"plan.toml: was written by a newer homestead (schema {number}; this one reads schema "
        f"{SCHEMA}); bring homestead up to date. The file was not touched"
    )
    assert path.read_text(encoding="utf-8") == text


@pytest.mark.parametrize("number", [-1, -(10**30)])
def test_a_format_without_a_way_up_is_refused(path, number):
    path.write_text(OLD.replace("schema = 0", f"schema = {number}"), encoding="utf-8")
    with pytest.raises(PlanError, match=f"older than .* can read; it reads schema 0 to {SCHEMA}"):
        PlanFile(path)


def test_as_shipped_no_older_format_is_known(path, monkeypatch):
    monkeypatch.setattr(migrate, "STEPS", {})
    with pytest.raises(PlanError, match=f"it reads schema {SCHEMA} to {SCHEMA}"):
        PlanFile(path)


def test_a_step_that_fails_is_told(path):
    path.write_text(OLD.replace("holds =", "held ="), encoding="utf-8")
    with pytest.raises(PlanError, match=r"cannot be brought from schema 0 to 1 \(.*holds"):
        PlanFile(path)


def test_steps_follow_each_other():
    seen = []
    steps = {number: lambda document: seen.append(document["schema"]) for number in (2, 3, 4)}
    document = {"schema": 2}
    assert migrated_from(document, "plan.toml", newest=5, steps=steps) == 2
    assert seen == [2, 3, 4] and document["schema"] == 5


@pytest.mark.parametrize("written", ["true", '"0"', "1.5", "nan", "[0]"])
def test_a_schema_that_is_no_number_is_a_fault_like_any_other(path, written):
    path.write_text(OLD.replace("schema = 0", f"schema = {written}"), encoding="utf-8")
    with pytest.raises(PlanError, match="line 4, schema: must be a whole number"):
        PlanFile(path)
