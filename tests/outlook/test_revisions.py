"""Two plans side by side: the list of changes, the days, the notes of saves."""

import shutil

import pytest

from homestead import disk_cache
from homestead.plan import PlanError, PlanFile, demo_path, open_plan, with_changes
from homestead.plan.kept import note_of
from homestead.questions.revisions import compare, revisions_of
from homestead.reference import shipped


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")


@pytest.fixture
def mine(tmp_path):
    """A plan of one's own, opened."""
    shutil.copy(shipped("data", "cabin", "plan.toml"), tmp_path / "plan.toml")
    return PlanFile(tmp_path)


def with_more_wood(file):
    fuel = file.plan.fuels[0]
    file.set(f"fuel.{fuel.name}.amount", "9 cords")
    return fuel.name


def test_a_save_keeps_its_note_with_the_older_version(mine):
    text = mine.path.read_text()
    with_more_wood(mine)
    mine.save("bought four cords of oak")
    mine.set("name", "Another name")
    mine.save()
    first, second = revisions_of(mine.path)
    assert (first.note, second.note) == ("bought four cords of oak", "")
    assert first.replaced_at <= second.replaced_at
    assert first.path.read_text().partition("\n")[2] == text
    assert note_of(mine.path) == ""
    assert open_plan(first.path).name == open_plan(second.path).name != open_plan(mine.path).name


@pytest.mark.parametrize("note", ["two\nlines", "", "x" * 201, 7])
def test_a_note_is_one_line(mine, note):
    with_more_wood(mine)
    with pytest.raises(PlanError, match="one line"):
        mine.save(note)
    assert revisions_of(mine.path) == ()


def test_a_revision_is_compared_with_the_plan_that_came_after(mine):
    weather = "greensboro-nc"
    assert mine.plan.site.weather == weather
    name = with_more_wood(mine)
    mine.save("more wood")
    (older,) = revisions_of(mine.path)
    both = compare(older, mine.path, years_n=1)
    (entry,) = both.entries
    assert (entry.path, entry.after, entry.what) == (f"fuel.{name}.amount", "9 cords", "changed")
    assert name in entry.label
    assert both.days.loc["warmth", "p10_gained"] >= 0
    assert both.days.loc["food", "p10_gained"] == 0
    assert list(both.changed["path"]) == [entry.path]


def test_the_weather_of_a_revision_lies_beside_its_plan(mine, tmp_path):
    pvlib = pytest.importorskip("pvlib")
    shutil.copy(f"{pvlib.__path__[0]}/data/703165TY.csv", tmp_path / "here.csv")
    mine.set("site.weather", "here.csv")
    mine.save()
    with_more_wood(mine)
    mine.save()
    both = compare(revisions_of(tmp_path)[-1], mine.path, years_n=1)
    assert len(both.entries) == 1


def test_what_was_changed_added_and_removed_is_told_as_typed():
    plan = open_plan(demo_path())
    sets = {
        "battery.modules": 8,
        "water_use.per_person": {"value": "30 gal", "low": "25 gal", "basis": "measured"},
        "by_hand.source": "well",
        "cooking": None,
        "house.keep": "66 °F",
    }
    sets = {key: value for key, value in sets.items() if key != "cooking"}
    raw = {key: value for key, value in plan.raw.items() if key != "cooking"}
    raw["person"] = raw["person"][:-1]
    raw["person"] = [*raw["person"], {"name": "Guest", "age": 30, "sex": "male"}]
    after = with_changes(raw, sets | {"by_hand.flow": "2 gal/min"})
    both = compare(plan, after, years_n=1)
    found = {one.path: one for one in both.entries}
    assert (found["battery.modules"].before, found["battery.modules"].after) == ("6", "8")
    assert found["water_use.per_person"].before == "45 gal (35 gal to 60 gal, estimate)"
    assert found["water_use.per_person"].after == "30 gal (25 gal, measured)"
    assert (found["by_hand"].what, found["by_hand"].before) == ("added", "")
    assert found["by_hand"].after == "source well; flow 2 gal/min"
    assert (found["cooking"].what, found["cooking"].after) == ("removed", "")
    assert found["person.Guest"].what == "added"
    assert found["person.Youngest"].what == "removed"
    assert set(found) == {
        "battery.modules", "water_use.per_person", "by_hand", "cooking", "house.keep",
        "person.Guest", "person.Youngest",
    }  # fmt: skip
    assert found["house.keep"].label == "Keep at, house" or "house" in found["house.keep"].label
    before, now = both.days["p10_before"], both.days["p10_after"]
    assert (now - before == both.days["p10_gained"]).all()
    assert both.days.loc["power", "p10_gained"] >= 0


def test_a_plan_compared_with_itself_shows_nothing():
    both = compare(demo_path(), open_plan(demo_path()), years_n=1)
    assert both.entries == ()
    assert both.changed.empty and list(both.changed.columns)[0] == "path"
    assert (both.days.filter(like="gained") == 0).all().all()


def test_a_file_that_is_no_plan_is_refused(tmp_path):
    (tmp_path / "plan.toml").write_text("schema = 1\n")
    with pytest.raises(PlanError, match="site"):
        compare(demo_path(), tmp_path)
