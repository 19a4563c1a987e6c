"""Forms that people enjoy: how sure a value is, units at a switch, tables, two writers.

Without a browser; expected values are typed in the test or come from the schema.
"""

import shutil

import pytest

from homestead.forms import form
from homestead.forms.groups import COLUMNS, GROUPS, OFTEN, TITLES, grouped, shown_first
from homestead.plan import PlanFile, demo_path, open_plan
from homestead.plan.schema import Plan, top_key
from homestead.screen import entries
from homestead.units import parse

PARTS = [top_key(name) for name in Plan.model_fields if name != "schema_n"]


@pytest.fixture
def home(tmp_path):
    shutil.copy(demo_path(), tmp_path / "plan.toml")
    return tmp_path


def test_groups_name_every_part_once_and_only_parts():
    named = [key for _, keys in GROUPS for key in keys]
    assert sorted(named) == sorted(PARTS)
    assert {*COLUMNS, *OFTEN, *TITLES} <= set(PARTS)


def test_parts_stand_in_their_groups():
    headings = [heading for heading, _ in grouped(PARTS)]
    assert len(headings) == len(set(headings)) == len(GROUPS)


@pytest.mark.parametrize(("seed", "stands"), [(1, False), (7, True), (None, False)])
def test_the_seed_stands_open_only_when_somebody_changed_it(seed, stands):
    asked, _ = entries.entries_of("site")
    raw = {"weather": "greensboro-nc", "years": 30} | ({} if seed is None else {"seed": seed})
    shown = [one.key for one in shown_first("site", asked, raw)]
    assert ("seed" in shown) == stands and {"weather", "years"} <= set(shown)


def test_short_times_are_asked_for_in_seconds():
    by_key = {one.key: one for one in entries.entries_of("grid_former")[0]}
    assert by_key["surge_time"].label("us") == "Surge lasts [s]"
    assert by_key["surge_time"].limits("us") == "from 0.01 s to 3,600 s"


def test_low_high_and_basis_are_written_as_the_plan_writes_them(home):
    shown = form(home, "cistern")
    shown.set_surety("cistern.volume", "2400 gal", "2600 gal", "measured")
    written = PlanFile(home).raw()["cistern"]["volume"]
    assert written == {
        "value": "2500 gal", "low": "2400 gal", "high": "2600 gal", "basis": "measured"
    }  # fmt: skip
    assert "2400 gal" in shown.message("cistern.volume")
    assert "measured" in shown.field("cistern.volume").sure.description
    shown.set("cistern.volume", "2450 gal")  # within the range: it stays
    assert PlanFile(home).raw()["cistern"]["volume"]["low"] == "2400 gal"
    shown.set_surety("cistern.volume")
    assert PlanFile(home).raw()["cistern"]["volume"] == {"value": "2450 gal"}
    assert not [one for one in open_plan(home).assumptions if one.basis and one.path == "cistern"]
    shown.undo()
    shown.undo()
    shown.undo()
    assert PlanFile(home).raw()["cistern"]["volume"] == "2500 gal"


def test_a_low_above_the_value_is_told_and_changes_nothing(home):
    before = (home / "plan.toml").read_bytes()
    shown = form(home, "cistern")
    shown.set_surety("cistern.volume", "2600 gal", "", "")
    assert "low ≤ value ≤ high" in shown.fault("cistern.volume")
    assert (home / "plan.toml").read_bytes() == before


def test_a_default_can_carry_a_range(home):
    shown = form(home, "rain")
    shown.set("rain.collected", "")
    shown.set_surety("rain.collected", "75 %", "90 %", "estimate")
    assert open_plan(home).rain.collected_frac == 0.85
    (found,) = [one for one in open_plan(home).assumptions if one.path == "rain.collected"]
    assert (found.low, found.high, found.basis) == (0.75, 0.90, "estimate")


def test_estimates_of_these_parts_are_counted(home):
    plan = open_plan(home)
    expected = [
        one for one in plan.assumptions
        if one.basis == "estimate" and one.path.split(".")[0] == "well"
    ]  # fmt: skip
    shown = form(home, "well", "cistern")
    before = len(expected)
    said = {0: "", 1: "1 value is still an estimate"}
    assert said.get(before, f"{before} values are still estimates") in shown.estimates
    shown.set_surety("cistern.volume", "", "", "estimate")
    shown.set_surety("well.depth", "", "", "estimate")
    assert f"{before + 2} values are still estimates" in shown.estimates


def test_the_switch_changes_what_is_shown_and_not_the_file(home):
    before = (home / "plan.toml").read_bytes()
    shown = form(home, "cistern", "well", "appliance")
    assert shown.value["cistern.volume"] == "2500 gal"
    shown.show_in("metric")
    # 2500 US gal of 3.785411784 L (NIST SP 811, appendix B): 9463.5 L, shown in whole liters.
    assert shown.value["cistern.volume"] == "9,464 L"
    assert shown.field("cistern.volume").control.description == "Volume [L]"
    assert "from " in shown.message("cistern.volume") and " L" in shown.message("cistern.volume")
    assert (home / "plan.toml").read_bytes() == before
    shown.set("cistern.volume", "3000 gal")  # typed as people like
    assert PlanFile(home).raw()["cistern"]["volume"] == "3000 gal"
    shown.show_in("")
    assert shown.value["cistern.volume"] == "3000 gal"


def test_back_to_the_default(home):
    shown = form(home, "rain")
    shown.set("rain.collected", "50 %")
    shown.to_default(shown.field("rain.collected"))
    assert "collected" not in PlanFile(home).raw()["rain"]
    assert shown.value["rain.collected"] == ""
    assert "85 %" in shown.field("rain.collected").control.placeholder


def test_the_first_section_alone_is_built(home):
    shown = form(home, "cistern", "well", "garden")
    built = {path for path, field in shown._fields.items() if field.control is not None}
    assert {path.split(".")[0] for path in built} == {"cistern"}


def test_a_list_is_a_table_with_details_on_demand(home):
    shown = form(home, "appliance")
    built = {path for path, field in shown._fields.items() if field.control is not None}
    names = [one["name"] for one in PlanFile(home).raw()["appliance"]]
    columns = COLUMNS["appliance"]
    assert built == {f"appliance.{name}.{one}" for name in names for one in columns}
    shown.set(f"appliance.{names[0]}.days_a_week", "3")
    assert open_plan(home).appliances[0].days_a_week_n == 3


def test_how_sure_a_cell_is_stands_in_the_details(home):
    name = PlanFile(home).raw()["appliance"][0]["name"]
    shown = form(home, "appliance")
    shown.set_surety(f"appliance.{name}.power", basis="measured")
    assert PlanFile(home).raw()["appliance"][0]["power"]["basis"] == "measured"


def test_remove_asks_once_more(home):
    names = [one["name"] for one in PlanFile(home).raw()["pantry"]]
    shown = form(home, "pantry")
    row = next(iter(shown._sections[0].panels["pantry"].rows.values()))
    row._remove.click()
    assert [one.name for one in open_plan(home).pantry] == names
    assert "Really?" in row._remove.description
    shown.set(f"pantry.{names[1]}.name", "other")  # something else: the question is forgotten
    assert "Remove" in row._remove.description
    row._remove.click()
    row._remove.click()
    assert [one.name for one in open_plan(home).pantry] == ["other", *names[2:]]
    shown.undo()
    assert [one.name for one in open_plan(home).pantry] == [names[0], "other", *names[2:]]


def test_a_new_name_is_followed_by_whatever_names_it(home):
    shown = form(home, "fuel", "heater")
    shown.set("fuel.woodshed.name", "lean-to")
    assert open_plan(home).fuel_named("lean-to") is not None
    assert "lean-to" in [one.store for one in open_plan(home).heaters]


def test_the_new_row_stays_where_it_is_when_it_is_complete(home):
    """A rebuilt row would take the keyboard away from whoever types."""
    shown = form(home, "person")
    control = shown.field("person.+.name").control
    shown.set("person.+.name", "Aunt")
    shown.set("person.+.sex", "female")
    shown.set("person.+.age", "70")
    assert open_plan(home).people[-1].age_n == 70
    assert shown.field("person.Aunt.name").control is control
    assert shown.value["person.+.name"] == ""


def test_two_writers_of_different_values_are_merged(home):
    one, other = form(home, "cistern"), form(home, "cistern")
    one.set("cistern.start", "50 %")
    other.set("cistern.volume", "3000 gal")
    assert "changed somewhere else" in other.status
    assert [button.description for button in other._conflict.children][0].startswith("Keep both")
    other.merge()
    assert open_plan(home).cistern.start_frac == 0.5
    assert open_plan(home).cistern.volume_m3 == pytest.approx(parse("3000 gal", "volume"))
    assert other._conflict.children == ()
    assert other.value["cistern.start"] == "50 %"


@pytest.mark.parametrize(("prefer", "kept"), [("mine", "3000 gal"), ("theirs", "4000 gal")])
def test_two_writers_of_one_value_are_asked(home, prefer, kept):
    one, other = form(home, "cistern"), form(home, "cistern")
    one.set("cistern.volume", "4000 gal")
    other.set("cistern.volume", "3000 gal")
    other.merge()
    assert "Cistern, volume: yours 3000 gal, the other 4000 gal" in other.status
    assert "cistern.volume" not in other.status
    assert PlanFile(home).raw()["cistern"]["volume"] == "4000 gal"
    other.merge(prefer)
    assert PlanFile(home).raw()["cistern"]["volume"] == kept


def test_a_part_goes_only_at_the_second_press_and_another_question_takes_the_first_back(home):
    shown = form(home, "generator", "appliance")
    shown.field("appliance.fans.power")  # opens its section
    parts = {key: panel for one in shown._sections for key, panel in one.panels.items()}
    out, fans = (
        parts["generator"]._out,
        next(row for row in parts["appliance"].rows.values() if row.member.name == "fans"),
    )
    out.click()
    assert out.description.startswith("Really?") and open_plan(home).generator is not None
    fans._remove.click()
    assert not out.description.startswith("Really?")
    out.click()
    assert "Really?" not in fans._remove.description
    out.click()
    assert open_plan(home).generator is None


def test_a_part_that_others_need_is_told_as_not_taken_out(home):
    shown = form(home, "well")
    shown.remove("well")
    assert shown.status.startswith("Not removed: well;") and "is missing" not in shown.status
    assert open_plan(home).well is not None


def test_a_change_that_could_not_be_saved_is_told_beside_its_field_too(home):
    shown = form(home, "cistern", "well")
    path = home / "plan.toml"
    shown.set("cistern.volume", "2600 gal")
    path.write_text(path.read_text(encoding="utf-8") + "\n# by hand\n", encoding="utf-8")
    shown.set("cistern.volume", "2700 gal")
    assert "changed somewhere else" in shown.status and "top of the form" in shown.fault(
        "cistern.volume"
    )
    steps = len(shown._undo)
    shown.undo()  # not now: the step is kept
    assert len(shown._undo) == steps
    shown.merge()
    assert shown.fault("cistern.volume") == ""
    assert open_plan(home).cistern.volume_m3 == pytest.approx(parse("2700 gal", "volume"))
    assert "# by hand" in path.read_text(encoding="utf-8")


def test_a_file_that_is_gone_is_written_anew_only_when_asked(home):
    shown = form(home, "cistern")
    (home / "plan.toml").unlink()
    shown.set("cistern.volume", "2600 gal")
    assert "is gone" in shown.status and not (home / "plan.toml").exists()
    anew = shown._conflict.children[0]
    assert "Write it again" in anew.description
    anew.click()
    assert open_plan(home).cistern.volume_m3 == pytest.approx(parse("2600 gal", "volume"))
    assert shown._conflict.children == ()


def test_a_saved_change_tells_of_fields_that_are_not(home):
    shown = form(home, "well", "cistern")
    shown.set("well.static_level", "many feet")
    assert shown.status.startswith("Not saved")
    shown.set("cistern.volume", "2600 gal")
    assert "Saved" in shown.status and "1 other field" in shown.status
