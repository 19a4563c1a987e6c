"""Forms without a browser: every entry there once, every fault beside its field, every save kept.

Wrong values come from the schema's own limits; what a right one does is read back from the file.
"""

import shutil

import ipywidgets
import pytest

from homestead import forms, units
from homestead.forms import form, sheet, static
from homestead.plan import PlanFile, demo_path, open_plan
from homestead.plan.schema import Plan, part_type, top_key
from homestead.screen import entries
from homestead.units import parse

PARTS = [top_key(name) for name in Plan.model_fields if name != "schema_n"]


@pytest.fixture
def home(tmp_path):
    shutil.copy(demo_path(), tmp_path / "plan.toml")
    return tmp_path


def expected_paths(plan_file):
    """Every entry of the schema, found without the forms' own listing."""
    raw, found = plan_file.raw(), []
    for name in Plan.model_fields:
        key, (part, is_list) = top_key(name), part_type(name)
        if name == "schema_n":
            continue
        if part is None:
            found.append(key)
            continue
        inner = [field.alias or inner for inner, field in part.model_fields.items()]
        prefixes = [f"{key}.{one['name']}" for one in raw.get(key, [])] if is_list else [key]
        prefixes += [f"{key}.{forms.NEW}"] if is_list else []
        found += [f"{prefix}.{one}" for prefix in prefixes for one in inner]
    return found


def test_every_entry_of_the_schema_is_there_once(home):
    shown = form(home, *PARTS)
    assert list(shown.value) == expected_paths(shown.file)
    controls = [shown.field(path).control for path in shown.value]  # opens whatever is folded
    assert None not in controls
    assert len(set(map(id, controls))) == len(controls)
    assert all(control.description for control in controls)  # the name a screen reader says
    assert all(control.tooltip for control in controls)


def every_widget(widget):
    yield widget
    for inner in getattr(widget, "children", ()):
        yield from every_widget(inner)


def test_every_entry_is_shown_once_and_everything_has_a_name(home):
    """What stands in the tree of widgets, not in the form's own list."""
    shown = form(home, *PARTS)
    for path in shown.value:
        shown.field(path)
    there = list(every_widget(shown.widget))
    for path in shown.value:
        assert sum(one is shown.field(path).control for one in there) == 1, path
    for one in there:
        if isinstance(one, ipywidgets.Text | ipywidgets.Dropdown | ipywidgets.Checkbox):
            assert one.description.strip()
        if isinstance(one, ipywidgets.Button):
            assert one.description.strip() and one.tooltip.strip()


def test_every_unit_is_in_its_label():
    for key in PARTS:
        for entry in entries.entries_of(key)[0]:
            if entry.kind in units.KINDS and units.shown_unit(entry.kind):
                wanted = units.shown_unit(entry.kind)
                wanted = "R-number" if entry.kind == "thermal_resistance" else wanted
                wanted = "s" if entry.key == "surge_time" else wanted  # seconds, not hours
                assert f"[{wanted}" in entry.label("us"), entry


@pytest.mark.parametrize("key", PARTS)
def test_a_wrong_value_is_told_beside_its_field_and_changes_nothing(key, home):
    shown = form(home, key)
    before = (home / "plan.toml").read_bytes()
    tried, seen = 0, set()
    for path, field in shown._fields.items():
        kind = field.entry.kind
        if f".{forms.NEW}." in path or kind in ("flag", "choice", "text", "names"):
            continue
        if key not in shown.file.raw():
            continue  # not in the plan yet: covered by the test of adding a part
        if field.entry.key in seen:
            continue  # further members of a list have the same entries
        seen.add(field.entry.key)
        shown.set(path, "x")
        assert shown.fault(path), path
        assert 'role="alert"' in shown.message(path)
        tried += 1
        shown._waiting.clear()  # each value alone: the next try need not repeat this one
    assert (home / "plan.toml").read_bytes() == before
    texts_only = {"name", "units"}
    assert tried or key in texts_only or key not in shown.file.raw()


def test_a_value_out_of_range_names_the_limits(home):
    shown = form(home, "cistern", "site", "well")
    shown.set("cistern.volume", "5000000 gal")
    assert "must be" in shown.fault("cistern.volume")
    assert "1,000,000 L" in shown.fault("cistern.volume")
    shown.set("well.depth", "deep")
    assert '"220 ft" or "67 m"' in shown.fault("well.depth")
    assert open_plan(home) == open_plan(home)
    assert open_plan(home).cistern.volume_m3 == pytest.approx(parse("2500 gal", "volume"))


def test_a_valid_change_is_saved_at_once_with_comments_and_a_revision(home):
    shown = form(home, "cistern")
    shown.set("cistern.volume", "5000 gal")
    assert shown.fault("cistern.volume") == ""
    assert shown.status.startswith("Saved ")
    text = (home / "plan.toml").read_text(encoding="utf-8")
    assert 'volume = "5000 gal"' in text
    assert "# --- people and animals" in text
    assert len(shown.file.revisions()) == 1
    assert shown.value["cistern.volume"] == "5000 gal"


def test_a_waiting_value_is_taken_when_its_partner_fits(home):
    shown = form(home, "pressure_tank")
    shown.set("pressure_tank.cut_in", "70 psi")
    assert "must be below cut_out" in shown.fault("pressure_tank.cut_in")
    shown.set("pressure_tank.cut_out", "90 psi")
    assert shown.fault("pressure_tank.cut_in") == shown.fault("pressure_tank.cut_out") == ""
    tank = open_plan(home).pressure_tank
    assert tank.cut_in_pa == pytest.approx(parse("70 psi", "pressure"))
    assert tank.cut_out_pa == pytest.approx(parse("90 psi", "pressure"))
    shown.undo()
    assert open_plan(home).pressure_tank.cut_in_pa == pytest.approx(parse("40 psi", "pressure"))


def test_clearing_a_field_brings_back_the_default(home):
    shown = form(home, "rain", "grid_former")
    shown.set("rain.collected", "50 %")
    assert open_plan(home).rain.collected_frac == 0.5
    shown.set("rain.collected", "")
    assert open_plan(home).rain.collected_frac == 0.85  # the schema's default
    shown.set("grid_former.continuous", "")
    assert "is missing" in shown.fault("grid_former.continuous")


def test_a_range_left_behind_is_taken_out_and_told(home):
    shown = form(home, "well")
    assert "3 gal/min" in shown.message("well.yield")
    shown.set("well.yield", "9 gal/min")
    assert "no longer fit" in shown.message("well.yield")
    assert open_plan(home).well.yield_m3s == pytest.approx(parse("9 gal/min", "flow"))


def test_add_duplicate_rename_remove_and_take_all_back(home):
    before = PlanFile(home).raw()
    shown = form(home, "pantry", "heater")
    shown.set("pantry.+.name", "<b>salt & more</b>")
    assert "Not in your plan yet" in shown.status
    shown.set("pantry.+.energy", "90000 kcal")
    assert open_plan(home).pantry[-1].energy_kcal == 90000
    shown.duplicate("pantry", "<b>salt & more</b>")
    assert open_plan(home).pantry[-1].name == "<b>salt & more</b> 2"
    shown.set("pantry.flour.name", "bread.flour")
    assert "pantry.bread.flour.mass" in shown.value
    shown.remove("heater", "wood stove")
    assert [one.name for one in open_plan(home).heaters] == ["propane furnace"]
    shown.undo()
    assert [one.name for one in open_plan(home).heaters] == ["wood stove", "propane furnace"]
    shown.reset()
    assert PlanFile(home).raw() == before


def test_a_part_that_is_not_there_can_be_added_and_taken_out(home):
    shown = form(home, "by_hand")
    shown.set("by_hand.source", "well")
    assert "Still needed: Rate" in shown.status
    shown.set("by_hand.flow", "2.5 gal")
    assert "must be a number with its unit" in shown.fault("by_hand.flow")
    assert open_plan(home).by_hand is None
    shown.set("by_hand.flow", "2.5 gal/min")
    assert open_plan(home).by_hand.flow_m3s == pytest.approx(parse("2.5 gal/min", "flow"))
    shown.remove("by_hand")
    assert open_plan(home).by_hand is None
    shown.undo()
    assert open_plan(home).by_hand.source == "well"


def test_a_part_that_others_need_stays(home):
    shown = form(home, "fuel", "cistern")
    shown.remove("fuel", "woodshed")
    assert "must name a fuel store" in shown.status
    shown.remove("cistern")
    assert "needs one" in shown.status
    assert open_plan(home).cistern is not None


def test_the_second_of_two_writers_is_refused_and_can_reload(home):
    one, other = form(home, "cistern"), form(home, "cistern")
    one.set("cistern.start", "50 %")
    other.set("cistern.volume", "3000 gal")
    assert "changed somewhere else" in other.status
    assert open_plan(home).cistern.start_frac == 0.5
    other.reload()
    assert other.value["cistern.start"] == "50 %"
    other.set("cistern.volume", "3000 gal")
    assert other.status.startswith("Saved ")
    assert open_plan(home).cistern.start_frac == 0.5


def test_the_demo_is_never_written():
    before = demo_path().read_bytes()
    shown = form(demo_path(), "cistern")
    shown.set("cistern.volume", "5000 gal")
    assert "nothing is kept" in shown.status
    assert demo_path().read_bytes() == before
    assert shown.file.plan.cistern.volume_m3 == parse("5000 gal", "volume")


def test_an_error_in_a_callback_is_a_sentence_in_the_form(home):
    shown = form(home, "cistern")

    def broken(changes):
        raise RuntimeError("<no> such luck")

    shown.file.set_all = broken
    shown.set("cistern.volume", "20 m^3")
    assert "such luck" in shown.status
    assert "&lt;no&gt; such luck" in shown._status.value
    assert "<no>" not in shown._status.value
    assert 'role="alert"' in shown._status.value


def test_names_with_markup_are_escaped_wherever_html_is_read(home):
    text = (home / "plan.toml").read_text(encoding="utf-8")
    (home / "plan.toml").write_text(text.replace("rice in buckets", "<img src=x>"), "utf-8")
    shown = form(home, "pantry")
    shown.set("pantry.<img src=x>.mass", "much")
    read_as_html = [shown._status.value]
    read_as_html += [shown.message(path) for path in shown.value]
    read_as_html += [
        one.value for one in every_widget(shown.widget) if isinstance(one, ipywidgets.HTML)
    ]
    assert any("&lt;img" in one for one in read_as_html)
    assert not any("<img" in one for one in read_as_html)


def test_beside_the_view_stand_the_values_for_a_reader_without_it(home, monkeypatch):
    shown, kept = [], []
    monkeypatch.setattr(sheet, "display", lambda data, raw: shown.append((data, raw)))
    monkeypatch.setattr(static, "display", lambda one, display_id: kept.append(one.data))
    monkeypatch.setattr(static, "update_display", lambda one, display_id: kept.append(one.data))
    made = form(home, "cistern", "pantry")
    made._ipython_display_()
    made.set("cistern.volume", "4321 gal")
    before, after = kept
    assert "4321 gal" not in before and "Volume 4321 gal" in after
    assert "rice in buckets" in after and 'class="hs-static"' in after
    ((data, raw),) = shown
    assert raw
    assert list(data) == [forms.VIEW]


def test_an_unknown_part_or_path_is_told(home):
    with pytest.raises(ValueError, match="part must be one of"):
        form(home, "cisterns")
    with pytest.raises(ValueError, match="path must be one of"):
        form(home, "cistern").set("cistern.volumes", "1 gal")


@pytest.mark.parametrize("key", PARTS)
def test_defaults_are_written_as_a_form_reads_them(key):
    """A default shown in an empty field, typed in as it stands, is the same default again."""
    from homestead.plan.fields import read_entry

    name = next(name for name in Plan.model_fields if top_key(name) == key)
    part, _ = part_type(name)
    for inner, field in (part.model_fields if part else {}).items():
        entry = next(e for e in entries.entries_of(key)[0] if e.key == (field.alias or inner))
        default = None if field.is_required() else field.get_default(call_default_factory=True)
        if entry.default is None or "in each month" in str(entry.default):
            continue
        raw = entries.as_raw(entry.default, entry.kind)
        again = read_entry(raw, entry.kind, field.json_schema_extra)
        # Shown to three digits.
        assert again == (pytest.approx(default, rel=5e-3) if entry.kind in units.KINDS else default)
