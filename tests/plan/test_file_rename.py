"""A new name for a part: whatever names it follows. And going back to a moment before."""

import copy
import shutil
import tomllib
from pathlib import Path

import pytest
import tomlkit

from homestead.plan import PlanError, PlanFile, demo_path
from homestead.plan.edit import copied_for, put
from homestead.plan.references import NAMED_BY, follow
from homestead.plan.schema import Plan, part_type, top_key

MORE = """
[[change]]
name = "a third stove"
needs = ["two more battery modules"]
sets = { "heater.wood stove.efficiency" = 0.7, "generator.store" = "propane tank", "heater.wood stove.store" = "woodshed" }
adds = { heater = [{ name = "third", store = "woodshed", output = "3 kW", efficiency = 0.7 }] }

[[change]]
name = "in its own table"
[change.sets]
"fuel.woodshed.amount" = "4 cords" # a full shed
"cistern.volume" = "2600 gal"

[[phase]]
name = "first"
date = "2027-05"
changes = ["two more battery modules"]
"""  # noqa: E501


@pytest.fixture
def path(tmp_path):
    path = Path(shutil.copy(demo_path(), tmp_path / "plan.toml"))
    heaters = path.read_text(encoding="utf-8")
    path.write_text(heaters + MORE, encoding="utf-8")
    return path


def replaced(path, *pairs):
    """Plan in which a name was replaced in the whole text, as by an editor."""
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        text = text.replace(old, new)
    return tomllib.loads(text)


CASES = [
    ("fuel", "propane tank", "north tank"),
    ("fuel", "woodshed", "shed.2"),
    ("appliance", "chest freezer", "Gefriertruhe"),
    ("appliance", "medical device", "breathing aid"),
    ("heater", "wood stove", "stove"),
    ("change", "two more battery modules", "more"),
    ("person", "Father", "Papa"),
]


@pytest.mark.parametrize(("key", "old", "new"), CASES)
def test_whatever_names_it_follows(path, key, old, new):
    opened = PlanFile(path)
    wanted = replaced(path, (f'"{old}"', f'"{new}"'), (f'"{key}.{old}.', f'"{key}.{new}.'))
    opened.rename(key, old, new)
    assert opened.raw() == wanted
    opened.save()
    assert PlanFile(path).raw() == wanted
    assert "# a full shed" in path.read_text(encoding="utf-8")


def test_there_and_back_again_is_the_same_plan(path):
    opened = PlanFile(path)
    before = opened.raw()
    for key, old, new in CASES:
        opened.rename(key, old, new)
    for key, old, new in reversed(CASES):
        opened.rename(key, new, old)
    assert opened.raw() == before


@pytest.mark.parametrize(
    ("key", "old", "new", "piece"),
    [
        ("fuel", "no such", "x", 'there is no "no such"'),
        ("gardn", "x", "y", 'there is no "x"'),
        ("cistern", "x", "y", 'there is no "x"'),
        ("fuel", "woodshed", "propane tank", "is used twice"),
        ("fuel", "woodshed", "electricity", 'cannot be called "electricity"'),
        ("fuel", "woodshed", "", "must be a text of 1 to 200 characters"),
        ("fuel", "woodshed", "a\nb", "must be one line of plain text"),
        ("fuel", "woodshed", 5, "must be a text"),
        ("fuel", "woodshed", None, "must be a text"),
        ("fuel", 0, "x", "there is no 0"),
    ],
)
def test_a_name_that_cannot_be_given_changes_nothing(path, key, old, new, piece):
    opened = PlanFile(path)
    text = opened.text
    with pytest.raises(PlanError) as caught:
        opened.rename(key, old, new)
    assert piece in str(caught.value)
    assert opened.text == text


def test_a_circuit_follows_and_keeps_its_own_name(path):
    opened = PlanFile(path)
    opened.rename("appliance", "workshop", "shop")
    (circuit,) = [one for one in opened.plan.circuits if one.feeds == "shop"]
    assert circuit.name == "workshop"


def test_a_circuit_means_the_array_if_an_appliance_has_the_same_name():
    plan = {
        "array": [{"name": "roof"}],
        "appliance": [{"name": "roof"}],
        "circuit": [{"name": "1", "feeds": "roof"}],
    }
    other = copy.deepcopy(plan)
    follow(plan, "appliance", "roof", "fan")
    assert plan["circuit"][0]["feeds"] == "roof"
    follow(other, "array", "roof", "south")
    assert other["circuit"][0]["feeds"] == "south"


def test_the_preheat_and_a_shared_converter_follow():
    plan = {
        "hot_water": {"preheat_heater": {"value": "stove", "basis": "label"}},
        "array": [{"name": "b", "shares_converter_with": "a"}],
        "change": [{"name": "x", "sets": {"hot_water": {"preheat_heater": "stove"}}}],
    }
    follow(plan, "heater", "stove", "range")
    follow(plan, "array", "a", "c")
    assert plan["hot_water"]["preheat_heater"]["value"] == "range"
    assert plan["change"][0]["sets"]["hot_water"]["preheat_heater"] == "range"
    assert plan["array"][0]["shares_converter_with"] == "c"


def test_every_entry_that_names_a_part_is_known():
    """The table of references names entries that exist; a text entry that a rule compares with
    names is in it."""
    known = {}
    for name in Plan.model_fields:
        part, _ = part_type(name)
        if part:
            known[top_key(name)] = {one.alias or key for key, one in part.model_fields.items()}
    for key, pairs in NAMED_BY.items():
        assert key in known
        for part, entry in pairs:
            assert entry in known[part], (part, entry)
    pointing = {
        "store",
        "appliance",
        "feeds",
        "needs",
        "preheat_heater",
        "shares_converter_with",
        "inverter",
    }
    found = {(part, entry) for part, keys in known.items() for entry in keys & pointing}
    found |= {("phase", "changes"), ("circuit", "panel")}
    found -= {("cutting_back", "needs")}  # the needs of a family, not a part of the plan
    assert found == {pair for pairs in NAMED_BY.values() for pair in pairs}


# --- going back -----------------------------------------------------------------------------------


def test_a_snapshot_takes_everything_back(path):
    opened = PlanFile(path)
    text, before = opened.text, opened.snapshot()
    opened.set("cistern.volume", "5000 gal")
    between = opened.snapshot()
    opened.remove("appliance", "fans")
    opened.rename("fuel", "woodshed", "shed")
    opened.add("pantry", {"name": "more", "energy": "5 kcal"})
    opened.set("garden", None)
    opened.restore(between)
    assert opened.plan.garden is not None
    assert opened.text == text.replace('"2500 gal"', '"5000 gal"', 1)
    opened.restore(before)
    assert opened.text == text and not opened.is_changed
    assert opened.plan is before.plan


def test_a_snapshot_of_before_a_save_can_be_saved_again(path):
    opened = PlanFile(path)
    before, text = opened.snapshot(), opened.text
    opened.set("cistern.volume", "5000 gal")
    opened.save()
    opened.restore(before)
    assert opened.is_changed
    opened.save()
    assert path.read_text(encoding="utf-8") == text
    assert len(opened.revisions()) == 2


def test_faults_come_one_by_one_beside_the_text(path):
    opened = PlanFile(path)
    with pytest.raises(PlanError) as caught:
        opened.set_all({"cistern.volume": "x", "person.Father.age": 141})
    where = [fault.where for fault in caught.value.faults]
    assert where == [("person", 1, "age"), ("cistern", "volume")]
    assert len(str(caught.value).splitlines()) == 2
    assert all(fault.message in str(caught.value) for fault in caught.value.faults)
    with pytest.raises(PlanError) as caught:
        opened.remove("appliance", "no such")
    assert caught.value.faults == []


def test_a_line_break_in_a_key_does_not_tear_the_message(path):
    text = path.read_text(encoding="utf-8")
    path.write_text('"a\\nb" = 1\n' + text, encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        PlanFile(path)
    assert len(str(caught.value).split("\n")) == 1
    assert r"a\nb" in str(caught.value)


ODD = """name = "odd" # kept
people = 2
[well] # of the well
depth = "100 ft"

[[appliance]]
name = "a.b"
power = "1 W"

[[appliance]]
name = "c"
power = {value = "2 W", low = "1 W"} # a range
[well.more] # the part goes on below another
low = 1
[pump]
rate.low = 1
pantry = [{name = "rice"}, {name = "beans"}]
"""


@pytest.mark.parametrize("value", ["9 W", {"value": "9 W", "basis": "label"}, None, [1, "2"]])
@pytest.mark.parametrize(
    "where",
    [
        ["name"],
        ["units"],
        ["garden.area"],
        ["well.depth"],
        ["well.yield"],
        ["well.more"],
        ["appliance.a.b.power"],
        ["appliance.1.power", "pump.flow"],
        ["pump.rate", "well.depth", "appliance.c.starting"],
        ["pump.pantry"],
    ],
)
def test_an_edit_of_a_copy_that_shares_parts_leaves_the_older_one_alone(where, value):
    document = tomlkit.parse(ODD)
    shared, whole = copied_for(document, where), copy.deepcopy(document)
    for path in where:
        shared, whole = put(shared, path, value), put(whole, path, value)
    assert shared.as_string() == whole.as_string()
    assert shared.unwrap() == whole.unwrap()
    assert document.as_string() == ODD
    again = put(copied_for(shared, ["well.depth"]), "well.depth", "7 ft")
    assert shared.as_string() == whole.as_string()
    assert again.as_string() == put(whole, "well.depth", "7 ft").as_string()
    assert document.as_string() == ODD
