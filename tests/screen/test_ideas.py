"""Ideas in a form: picked from lists, written in words, worked on all weather years."""

import pytest

from homestead.forms import form
from homestead.forms.ideas import IdeaPicker
from homestead.outlook import run
from homestead.plan import PlanFile, demo_path, open_plan
from homestead.plan.file import with_changes
from homestead.screen import idea_words, kept


@pytest.fixture
def home(tmp_path):
    text = demo_path().read_text(encoding="utf-8").replace("years = 30", "years = 2")
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    return tmp_path


def test_a_part_a_value_an_amount_and_a_cost_make_an_idea(home):
    made = form(home, "change", "price")
    picker = IdeaPicker(made)
    picker.part.value = "pantry.rice in buckets"
    picker.value.value = "mass"
    assert picker.amount.placeholder
    picker.amount.value, picker.cost.value = "1500 lb", "$400"
    picker.add()
    idea = PlanFile(home).raw()["change"][-1]
    assert idea["sets"] == {"pantry.rice in buckets.mass": "1500 lb"} and idea["cost"] == "$400"
    plan = open_plan(home)
    before = run(plan).homestead.p10
    after = run(with_changes(plan.raw, idea["sets"], folder=plan.folder)).homestead.p10
    said = (
        f"Plan on {after} days with it, instead of {before}."
        if after != before
        else "doesn't change your days"
    )
    assert said in made.status
    made.undo()
    assert idea not in PlanFile(home).raw()["change"]


def test_an_idea_that_cannot_be_is_said_and_added_nowhere(home):
    made, before = form(home, "change"), PlanFile(home).raw()["change"]
    picker = IdeaPicker(made)
    picker.part.value, picker.value.value, picker.amount.value = "cistern", "volume", "plenty"
    picker.add()
    assert "cistern" in made.status and PlanFile(home).raw()["change"] == before


def test_no_field_of_an_idea_shows_code_and_what_it_shows_is_read_back():
    file = PlanFile(demo_path())
    for number, idea in enumerate(file.raw()["change"]):
        for kind in ("sets", "adds"):
            made = form(demo_path(), "change")
            shown = made.field(f"change.{idea['name']}.{kind}").typed
            assert not set(shown) & set('{}="[]'), (number, shown)
            assert idea_words.read(shown, kind) == idea.get(kind, {})


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("cistern volume 5000 gal", "a colon"),
        ("sistern, volume: 3 gal", "no part 'sistern'"),
        ("cistern, volum: 3 gal", "did you mean 'volume'"),
    ],
)
def test_words_that_name_nothing_are_told_with_the_way_to_write_them(text, says):
    with pytest.raises(ValueError, match="such as cistern, volume: 5000 gal") as told:
        idea_words.read(text, "sets")
    assert says in str(told.value)


def test_an_idea_needs_no_new_run(home):
    file = PlanFile(home)
    before = kept.outlook_of(file.plan)
    file.add("change", {"name": "dig", "cost": "$1", "sets": {"cistern.volume": "9000 gal"}})
    after = kept.outlook_of(file.plan)
    assert after.days is before.days and after.plan is file.plan
    file.set("cistern.volume", "9000 gal")
    assert kept.outlook_of(file.plan).days is not before.days
