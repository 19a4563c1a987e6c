"""One line in everyday words becomes a part; amounts as people say them; lists to choose from.

Expected values are worked out here by hand or come from the tables.
"""

import shutil

import ipywidgets as widgets
import pytest

from homestead.forms import form
from homestead.plan import PlanFile, demo_path, everyday, open_plan, whose, with_changes
from homestead.questions import families
from homestead.screen import entries
from homestead.units import parse


@pytest.fixture
def home(tmp_path):
    shutil.copy(demo_path(), tmp_path / "plan.toml")
    return tmp_path


def line_of(shown, key):
    """The line of a part on a form, opened."""
    section = next(one for one in shown._sections if key in one.keys)
    section.open()
    boxes = section.panels[key].widget.children
    return next(one for one in boxes if "hs-line" in one._dom_classes).children


def say(shown, key, text):
    line_of(shown, key)[0].value = text


@pytest.mark.parametrize(
    ("text", "kind", "unit", "wanted"),
    [
        ("south", "angle", "deg", "180 deg"), ("South-West", "angle", "deg", "225 deg"),
        ("180", "angle", "deg", "180 deg"), ("half a cord", "volume", "gal", "0.5 cord"),
        ("two and a half cords", "volume", "gal", "2.5 cords"), ("12kWh", "energy", "kWh", "12kWh"),
        ("5 ft 6 in", "length", "ft", "66 in"), ("5' 6\"", "length", "ft", "66 in"),
        ("2,500", "volume", "gal", "2,500 gal"), ("19", "thermal_resistance", "R-number", "R-19"),
        ("68", "temperature", "°F", "68 °F"), ("-4.5", "temperature", "°C", "-4.5 °C"),
        ("1/2", "length", "in", "1/2 in"), ("a dozen", "length", "ft", "12 ft"),
        ("deep", "length", "ft", "deep"), ("12 gal", "length", "ft", "12 gal"),
        ("7", "power", "", "7"),
    ],
)  # fmt: skip
def test_an_amount_as_people_say_it(text, kind, unit, wanted):
    assert everyday.understood(text, kind, unit) == wanted


@pytest.mark.parametrize("part", families.EXAMPLES)
def test_each_example_line_is_taken_by_its_form_and_the_plan_holds(home, part):
    shown = form(home, part)
    before = PlanFile(home).raw()
    line = line_of(shown, part)[0]
    assert line.placeholder == f"such as {families.EXAMPLES[part]}"
    say(shown, part, families.EXAMPLES[part])
    assert "In the plan" in shown.status, shown.status
    after = PlanFile(home).raw()
    assert after != before and after.keys() == before.keys()
    shown.undo()
    assert PlanFile(home).raw() == before


def test_panels_in_one_line_are_the_familys_and_the_rest_is_marked_typical(home):
    say(form(home, "array"), "array", "a dozen panels of 430 W facing south-west, on the barn")
    plan = open_plan(home)
    array = plan.arrays[-1]
    assert (array.name, array.module_w, array.azimuth_deg) == ("barn", 430.0, 225.0)
    # Twelve in strings of at most ten: two of six.
    assert (array.strings_n, array.modules_per_string_n) == (2, 6)
    assert array.vmp_v * array.imp_a == pytest.approx(430.0, rel=0.01)
    states = whose.states(plan)
    typical = {key for key in ("tilt", "voc", "vmp", "isc", "imp", "converter")}
    assert {states[f"array.barn.{key}"] for key in typical} == {"typical"}
    assert {states[f"array.barn.{key}"] for key in ("module", "azimuth", "strings")} == {"yours"}
    # A limit that protects is never filled in.
    assert states["array.barn.converter_max_voltage"] == "missing"


def test_what_the_family_enters_takes_the_place_of_a_typical_value(home):
    shown = form(home, "array")
    say(shown, "array", "6 panels")
    shown.set("array.panels.voc", "49.1")
    assert PlanFile(home).raw()["array"][-1]["voc"] == "49.1 V"
    assert whose.states(open_plan(home))["array.panels.voc"] == "yours"


def test_a_battery_in_one_line(home):
    say(form(home, "battery"), "battery", "4 of 5 kWh lead-acid")
    bank = open_plan(home).battery
    assert (bank.modules_n, bank.module_wh, bank.chemistry) == (4, 5000.0, "lead-acid")
    # A fifth of 20 kWh an hour: charge_rate_high of table battery, common practice.
    assert bank.charge_w == pytest.approx(4000.0)
    assert whose.states(open_plan(home))["battery.charge"] == "typical"


@pytest.mark.parametrize(
    ("part", "text", "wanted"),
    [
        ("fuel", "half a cord of red oak", {"fuel": "cordwood", "species": ["red oak"]}),
        ("fuel", "300 gal diesel", {"amount": "300 gal", "name": "diesel tank"}),
        ("cistern", "a 1500 gal tank", {"volume": "1500 gal"}),
        ("well", "67 m, 15 L/min", {"depth": "67 m", "yield": "15 L/min"}),
        ("pump", "1/2 hp at 160 ft", {"rated": "1/2 hp", "depth": "160 ft"}),
        ("animal", "a dozen hens", {"count": 12, "kind": "hen"}),
        ("pantry", "50 pounds of white rice", {"food": "white rice", "mass": "50 pounds"}),
        ("appliance", "2 box fans 60 W 8 h", {"count": 2, "power": "60 W", "daily_use": "8 h"}),
        ("person", "Ann Lee 39 f", {"name": "Ann Lee", "age": 39, "sex": "female"}),
    ],
)  # fmt: skip
def test_lines_of_other_parts(part, text, wanted):
    (found,) = families.read(part, text)
    assert found | wanted == found


@pytest.mark.parametrize(
    ("part", "text"),
    [
        ("array", "some panels"), ("array", "0 panels"), ("battery", "large"),
        ("generator", "7 kW on coal"), ("cistern", "big"), ("well", "deep"), ("pump", "strong"),
        ("fuel", "much"), ("animal", "3 unicorns"), ("pantry", "50 lb moonbeams"),
        ("appliance", "gadget"), ("person", "Ann"),
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_read_says_so_beside_it_and_changes_nothing(home, part, text):
    before = (home / "plan.toml").read_bytes()
    shown = form(home, part)
    say(shown, part, text)
    assert "Not saved" in line_of(shown, part)[1].value
    assert (home / "plan.toml").read_bytes() == before


def test_lists_to_choose_from_hold_only_what_a_plan_takes():
    plan = open_plan(demo_path())
    for part, key in (("animal", "kind"), ("pantry", "food"), ("crop", "food"), ("pump", "rated"),
                      ("fuel", "species"), ("appliance", "name"), ("heater", "store")):  # fmt: skip
        choices = entries.known(part, key, plan.raw)
        assert len(choices) >= 3 and len(set(choices)) == len(choices)
    for kind in entries.known("animal", "kind", {}):
        with_changes(plan.raw, {"animal.hens.kind": kind}, folder=plan.folder)
    for food in entries.known("pantry", "food", {}):
        with_changes(plan.raw, {"pantry.flour.food": food}, folder=plan.folder)
    for kind in entries.known("fuel", "species", {}):
        with_changes(plan.raw, {"fuel.woodshed.species": [kind]}, folder=plan.folder)
    assert all(parse(one, "power") > 0 for one in entries.known("pump", "rated", {}))


def test_a_list_is_offered_at_the_field_and_an_appliance_brings_its_typical_values(home):
    shown = form(home, "appliance", "animal")
    name = shown.field("appliance.+.name").control
    assert isinstance(name, widgets.Combobox) and "chest freezer" in name.options
    shown.set("appliance.+.name", "sewing machine")
    added = open_plan(home).appliances[-1]
    # Table appliances: 75 to 150 W; half an hour a day is our own choice.
    assert (added.name, added.power_w, added.daily_use_s) == ("sewing machine", 112.0, 1800.0)
    assert whose.states(open_plan(home))["appliance.sewing machine.power"] == "typical"


def test_a_bare_number_takes_the_fields_unit_but_never_where_heat_has_two(home):
    shown = form(home, "cistern", "heater")
    shown.set("cistern.volume", "2600")
    assert PlanFile(home).raw()["cistern"]["volume"] == "2600 gal"
    assert shown.value["cistern.volume"] == "2600 gal"
    shown.set("heater.wood stove.output", "30000")
    assert "W" in shown.fault("heater.wood stove.output")


def test_what_is_needed_stands_first(home):
    shown = form(home, "battery", "pump", "grid_former")
    for section in shown._sections:
        section.open()
        for panel in section.panels.values():
            needed = [one.entry.is_required for one in panel._first]
            assert needed == sorted(needed, reverse=True)


def test_what_is_typical_and_what_is_the_examples_look_so_in_a_table_too(home):
    (home / "plan.toml").write_text(
        'began_from = "demo"\n' + (home / "plan.toml").read_text("utf-8"), "utf-8"
    )
    shown = form(home, "array")
    say(shown, "array", "6 panels of 430 W")
    classes = {
        key: shown.field(f"array.{key}").control._dom_classes
        for key in ("panels.tilt", "panels.module", "ground rack.tilt")
    }
    assert "hs-typical" in classes["panels.tilt"] and "hs-example" in classes["ground rack.tilt"]
    assert not {"hs-typical", "hs-example"} & set(classes["panels.module"])
