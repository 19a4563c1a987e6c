"""The plan's file: found, read, changed, saved; whatever is wrong with it is a PlanError."""

import difflib
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from homestead import units
from homestead.plan import PlanError, PlanFile, demo_path, layout, open_plan
from homestead.plan import file as plan_file

DEMO_TEXT = demo_path().read_text(encoding="utf-8")


def text_of(opened):
    """What a save would write."""
    return opened._document.as_string()


def line_of(text, piece):
    found = [n for n, line in enumerate(text.split("\n"), start=1) if piece in line]
    assert len(found) == 1, (piece, found)
    return found[0]


def edited(text, *pairs):
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


# --- finding -------------------------------------------------------------------------------------


def test_the_order_in_which_a_plan_is_found(tmp_path, monkeypatch):
    by_name, by_variable, upward = (tmp_path / name for name in ("named", "variable", "upward"))
    for folder in (by_name, by_variable, upward):
        folder.mkdir()
        shutil.copy(demo_path(), folder / "plan.toml")
    (upward / "a" / "b").mkdir(parents=True)
    monkeypatch.chdir(upward / "a" / "b")
    monkeypatch.setenv("HOMESTEAD_PLAN", str(by_variable))
    assert plan_file.find_plan(by_name).parent == by_name
    assert plan_file.find_plan(str(by_name / "plan.toml")).parent == by_name
    assert plan_file.find_plan().parent == by_variable
    monkeypatch.delenv("HOMESTEAD_PLAN")
    assert plan_file.find_plan().parent == upward
    monkeypatch.chdir(tmp_path)
    assert plan_file.find_plan() == demo_path()


@pytest.mark.parametrize(
    "given", ["no/such/plan.toml", "x" * 5000, "nul\x00", "~nobody-of-that-name/x", "a/" * 3000]
)
def test_a_path_without_a_plan(given, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(PlanError, match="there is no plan here; start one with: homestead new"):
        open_plan(given)


def test_a_folder_without_a_plan(tmp_path):
    with pytest.raises(PlanError, match="there is no plan here"):
        open_plan(tmp_path)


def test_the_variable_may_not_point_nowhere(tmp_path, monkeypatch):
    monkeypatch.setenv("HOMESTEAD_PLAN", str(tmp_path / "gone.toml"))
    with pytest.raises(PlanError, match="gone.toml: there is no plan here"):
        open_plan()


def test_spaces_and_other_alphabets_in_a_path(tmp_path):
    folder = tmp_path / "наш дом – été 家"
    folder.mkdir()
    shutil.copy(demo_path(), folder / "my plan.toml")
    opened = PlanFile(folder / "my plan.toml")
    opened.set("name", "Été à la campagne")
    opened.save()
    assert open_plan(folder / "my plan.toml").name == "Été à la campagne"
    assert open_plan(folder / "my plan.toml").folder == folder.resolve()
    assert len(opened.revisions()) == 1


# --- what is wrong with a file -------------------------------------------------------------------


def test_ten_faults_are_told_at_once_each_with_line_and_place(path):
    text = edited(
        DEMO_TEXT,
        ('record_low = "-8 °F"', "record_low = -8"),
        ("age = 41", "age = 141"),
        ('kind = "steer"', 'kind = "steeer"'),
        ('starting = "50 A"', 'startng = "50 A"'),
        ('azimuth = "238 deg"', 'azimuth = "238 ft"'),
        ("depth_of_discharge = 0.9", 'depth_of_discharge = "90 psi"'),
        ('static_level = "62 ft"', 'static_level = "262 yards and more"'),
        ('cut_in = "40 psi"', 'cut_in = "65 psi"'),
        ('store = "woodshed"', 'store = "wood shed"'),
        ('food = "honey"', 'food = "hunny"'),
    )
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        open_plan(path)
    told = str(caught.value).split("\n")
    assert len(told) == 10
    wanted = [
        ("record_low = -8", "[site] record_low: must be a number with its unit"),
        ("age = 141", "[[person]] # age: must be 0 to 120; got 141"),
        ('kind = "steeer"', "[[animal]] # kind: must be a kind of animal from the list"),
        ("startng =", "[[appliance]] # startng: is not a known entry; did you mean 'starting'?"),
        ('azimuth = "238 ft"', '[[array]] # azimuth: must be a number with its unit, such as "35'),
        ("depth_of_discharge", "[battery] depth_of_discharge: must be a number with its unit"),
        ("static_level", '[well] static_level: must be a number with its unit, such as "220 ft"'),
        ("cut_in", "[pressure_tank] cut_in: must be below cut_out"),
        ('store = "wood shed"', "[[heater]] # store: must name a fuel store (woodshed, propane"),
        ('food = "hunny"', "[[pantry]] # food: no energy for 'hunny' in table foods; nearest"),
    ]
    for piece, message in wanted:
        line = line_of(text, piece)
        key = message.partition("]]")[0].strip("[")
        number = text.split("\n")[:line].count(f"[[{key}]]")
        start = f"plan.toml line {line}, {message.replace('#', str(number))}"
        assert sum(line.startswith(start) for line in told) == 1, (start, told)
    assert path.read_text(encoding="utf-8") == text
    assert [one.name for one in path.parent.iterdir()] == ["plan.toml"]


def test_a_fault_inside_a_change_has_its_line_and_its_reason(path):
    text = edited(
        DEMO_TEXT,
        ('"fuel.propane tank.amount" = "400 gal"', '"fuel.propane tank.amount" = "450 gal"'),
        ('{ "battery.modules" = 8 }', '{ "batery.modules" = 8 }'),
    )
    text += "\n[[change]]\nname = 'sub-tables'\n[change.sets]\n'cistern.volume' = 5\n"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        open_plan(path)
    told = str(caught.value).split("\n")
    starts = [line_of(text, f'name = "{name}"') - 1 for name in ("two more battery modules",)]
    starts += [line_of(text, 'name = "fill the propane tank"') - 1, line_of(text, "sub-tables") - 1]
    assert [line.partition(":")[0] for line in told] == [
        f"plan.toml line {starts[0]}, [[change]] 2",
        f"plan.toml line {starts[1]}, [[change]] 3",
        f"plan.toml line {starts[2]}, [[change]] 6",
    ]
    assert "batery.modules" in told[0] and "there is no such part in the plan" in told[0]
    assert "[[fuel]] 2 amount must be at most 80 % of the tank" in told[1]
    assert "[cistern] volume must be a number with its unit" in told[2]


def test_a_change_is_tried_together_with_what_it_needs(path):
    second = '\n[[change]]\nname = "B"\nneeds = ["A"]\nsets = { "fuel.drum.amount" = "40 gal" }\n'
    part = '{ name = "drum", fuel = "diesel", amount = "50 gal" }'
    first = f'\n[[change]]\nname = "A"\nadds = {{ fuel = [{part}] }}\n'
    path.write_text(DEMO_TEXT + second + first, encoding="utf-8")
    assert len(open_plan(path).changes) == 7
    path.write_text(DEMO_TEXT + second.replace('["A"]', "[]") + first, encoding="utf-8")
    with pytest.raises(PlanError, match=r"\[\[change\]\] 6: your plan wouldn't work with it"):
        open_plan(path)


def test_changes_that_need_each_other_end(path):
    text = DEMO_TEXT
    for name, need in (("A", "B"), ("B", "C"), ("C", "A")):
        text += f'\n[[change]]\nname = "{name}"\nneeds = ["{need}"]\nsets = {{ name = "x" }}\n'
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PlanError, match="must not go in a circle: "):
        open_plan(path)


def test_line_numbers_of_all_ways_to_write_toml():
    text = "\n".join(
        [
            'name = """',  # 1
            "[well]",
            'depth = 1"""',
            "# [pump]",
            "site.weather = 'x' # y = 1",  # 5
            "rain = [",
            "  ['a', ']'],",
            "]",
            "[[change]]",
            'name = "a # b [["',  # 10
            "[change.sets]",
            "'cistern.volume' = 1",
            "[[change]]",
            "[[change.adds.pantry]]",
            '"food" = 1',  # 15
            "[[change.adds.pantry]]",
            "food = 2",
            '[ "odd.name" . b ]',
            "x.y = 1",
        ]
    )
    found = layout.line_numbers(text)
    assert ("well",) not in found and ("pump",) not in found and ("depth",) not in found
    assert found["name",] == 1 and found["site", "weather"] == 5 and found["rain",] == 6
    assert found["change",] == found["change", 0] == 9
    assert found["change", 0, "sets", "cistern.volume"] == 12
    assert found["change", 1, "adds", "pantry", 0, "food"] == 15
    assert found["change", 1, "adds", "pantry", 1, "food"] == 17
    assert found["odd.name", "b", "x", "y"] == 19


def test_long_lines_and_many_brackets_are_read():
    for text in ("[" + " " * 200_000, "[[" * 50_000, "a" + " " * 200_000, 'a="""' + '\\"' * 99_999):
        assert layout.line_numbers(text) is not None


BROKEN = {
    "empty": b"",
    "blank": b" \n\t\n",
    "comment": b"# nothing yet\n",
    "truncated": DEMO_TEXT.encode()[: len(DEMO_TEXT) // 2],
    "open string": b'name = "x',
    "open array": b"site = [[[[",
    "not UTF-8": b'name = "caf\xe9"\n',
    "UTF-16": DEMO_TEXT.encode("utf-16"),
    "NUL bytes": b"\x00" * 1000,
    "NUL in text": b'name = "a\x00b"\n',
    "bare carriage returns": b"name = 'a'\rschema = 1\r",
    "deep arrays": b"name = " + b"[" * 50_000 + b"]" * 50_000,
    "deep tables": b"name = " + b"{a=" * 50_000 + b"1" + b"}" * 50_000,
    "deep keys": b".".join([b"a"] * 50_000) + b" = 1",
    "below the depth that the reader refuses": b"name = " + b"[" * 90 + b"]" * 90,
    "twice the same table": b"[site]\n[site]\n",
    "twice the same key": b"schema = 1\nschema = 1\n",
    "key and table": b"site = 1\n[site]\n",
    "huge number": b"schema = 0x" + b"F" * 100_000,
    "huge decimal": b"schema = " + b"9" * 100_000,
    "nan": b"schema = nan\nname = inf\n",
    "dates": b"schema = 2024-01-01\nname = 10:00:00\n",
    "many tables": b"[[person]]\n" * 30_000,
    "many keys": b"".join(b"k%d = 1\n" % n for n in range(30_000)),
    "long key": b"k" * 1_000_000 + b" = 1\n",
    "long text": b'name = "' + b"x" * 1_000_000 + b'"\n',
    "invalid month": b'[garden]\nmonths = "' + b"Jan," * 100_000 + b'"\n',
    "binary": bytes(range(256)) * 100,
    "too large": b"# " + b"x" * 3_000_000,
    "code": b"name = __import__('os').system('true')\n",
    "a page of the web": b"<!DOCTYPE html><html><body>404</body></html>",
    "JSON": b'{"schema": 1, "name": "x"}',
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_file_that_is_no_plan_gives_a_plan_error_and_stays(tmp_path, case):
    path = tmp_path / "plan.toml"
    path.write_bytes(BROKEN[case])
    with pytest.raises(PlanError, match="plan.toml"):
        open_plan(path)
    assert path.read_bytes() == BROKEN[case]


@pytest.mark.parametrize(
    ("case", "piece"),
    [
        ("too large", "is larger than 2 MB; no plan is that big"),
        ("not UTF-8", "is not UTF-8 text (byte 11); save it as UTF-8"),
        ("open string", "is not TOML"),
        ("empty", "schema: is missing"),
    ],
)
def test_what_a_broken_file_is_told(tmp_path, case, piece):
    (tmp_path / "plan.toml").write_bytes(BROKEN[case])
    with pytest.raises(PlanError) as caught:
        open_plan(tmp_path)
    assert piece in str(caught.value)


@settings(
    max_examples=300, deadline=10_000, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8")))
@example(b"\xef\xbb\xbf")
def test_any_bytes_give_a_plan_error_and_nothing_else(tmp_path, content):
    (tmp_path / "plan.toml").write_bytes(content)
    with pytest.raises(PlanError):
        open_plan(tmp_path)


@settings(
    max_examples=200, deadline=10_000, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.integers(0, len(DEMO_TEXT)),
    st.integers(0, 40),
    st.sampled_from(['"', "'", "[", "]", "{", "}", "=", "\n", "#", "0", "\\", ".", "é", ""]),
)
def test_the_demo_with_a_piece_spoilt_is_read_or_refused(tmp_path, at, length, piece):
    spoilt = DEMO_TEXT[:at] + piece + DEMO_TEXT[at + length :]
    (tmp_path / "plan.toml").write_text(spoilt, encoding="utf-8")
    try:
        open_plan(tmp_path)
    except PlanError as error:
        assert "plan.toml" in str(error)


def test_an_unreadable_file(path, monkeypatch):
    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(PlanError, match=r"cannot be read \(Permission denied\)"):
        PlanFile(path)


# --- changing ------------------------------------------------------------------------------------


def test_set_changes_one_line_and_keeps_its_comment(path):
    path.write_text(edited(DEMO_TEXT, ('"2500 gal"', '"2500 gal" # new in May')), encoding="utf-8")
    opened = PlanFile(path)
    before = text_of(opened)
    opened.set("cistern.volume", "5000 gal")
    assert text_of(opened) == before.replace('"2500 gal" # new in May', '"5000 gal" # new in May')
    assert opened.is_changed
    assert opened.typed("cistern.volume") == "5000 gal"
    assert opened.plan.cistern.volume_m3 == units.parse("5000 gal", "volume")
    assert path.read_text(encoding="utf-8") == before  # not saved yet


def test_set_keeps_a_range_and_replaces_it_with_a_table(path):
    opened = PlanFile(path)
    opened.set("well.yield", "4 gal/min")
    assert text_of(opened) == DEMO_TEXT.replace('value = "4.5 gal/min"', 'value = "4 gal/min"')
    assert opened.typed("well.yield") == "4 gal/min"
    opened.set("well.yield", {"value": "4 gal/min", "basis": "label"})
    assert opened.raw()["well"]["yield"] == {"value": "4 gal/min", "basis": "label"}


def added_lines(before, after):
    """Lines added, after checking that nothing else changed."""
    steps = [one for one in difflib.ndiff(before.split("\n"), after.split("\n")) if one[0] in "-+"]
    assert all(step[0] == "+" for step in steps), steps
    return [step[2:] for step in steps]


def test_set_adds_an_entry_inside_its_part_and_above_the_next_heading(path):
    opened = PlanFile(path)
    opened.set("garden.irrigated", False)
    assert added_lines(DEMO_TEXT, text_of(opened)) == ["irrigated = false"]
    assert 'months = "May-Sep"\nirrigated = false\n\n# --- warmth' in text_of(opened)
    before = text_of(opened)
    opened.set("appliance.second freezer, games, chargers.starting", "5 A")
    assert added_lines(before, text_of(opened)) == ['starting = "5 A"']
    assert 'priority = 3\nstarting = "5 A"\n\n# --- sun' in text_of(opened)


def test_set_all_begins_a_part_and_is_all_or_none(path):
    opened = PlanFile(path)
    with pytest.raises(PlanError, match=r"\[by_hand\] flow: is missing"):
        opened.set("by_hand.source", "well")
    with pytest.raises(PlanError, match="daily_limit"):
        opened.set_all({"cistern.volume": "9 gal", "by_hand.daily_limit": "90 gal"})
    assert text_of(opened) == DEMO_TEXT and not opened.is_changed
    opened.set_all({"by_hand.source": "well", "by_hand.flow": "2 gal/min"})
    part = '\n[by_hand]\nsource = "well"\nflow = "2 gal/min"\n'
    assert text_of(opened).replace(part, "", 1).strip() == DEMO_TEXT.strip()


def test_none_removes_an_entry_or_a_part_and_no_heading(path):
    opened = PlanFile(path)
    opened.set("garden.months", None)
    line = 'area = "3000 ft²"\nmonths = "May-Sep"\n'
    assert text_of(opened) == DEMO_TEXT.replace(line, 'area = "3000 ft²"\n')
    opened.set("garden.months", None)  # is gone already
    opened.set("by_hand.flow", None)  # was never there
    opened.set("garden", None)
    assert opened.plan.garden is None
    assert "# --- warmth" in text_of(opened) and "[garden]" not in text_of(opened)


def test_add_goes_after_the_last_of_its_list(path):
    opened = PlanFile(path)
    opened.add("appliance", {"name": "pump for the bees", "power": "5 W", "daily_use": "1 h"})
    assert added_lines(DEMO_TEXT, text_of(opened)) == [
        *("", "[[appliance]]", 'name = "pump for the bees"', 'power = "5 W"', 'daily_use = "1 h"')
    ]
    assert 'daily_use = "1 h"\n\n# --- sun, inverters' in text_of(opened)
    assert opened.plan.appliances[-1].name == "pump for the bees"


def test_add_then_remove_gives_the_same_bytes(path):
    opened = PlanFile(path)
    parts = {
        "appliance": {"name": "x", "power": "5 W", "daily_use": "1 h"},
        "pantry": {"name": "x", "energy": {"value": "5 kcal", "low": "4 kcal", "basis": "label"}},
        "change": {"name": "x", "adds": {"pantry": [{"name": "y", "energy": "1 kcal"}]}},
    }
    for key, part in parts.items():
        opened.add(key, part)
        assert opened.raw()[key][-1] == part
        opened.remove(key, "x")
        assert text_of(opened) == DEMO_TEXT, key


def test_remove_takes_its_own_lines_only(path):
    opened = PlanFile(path)
    opened.remove("appliance", "second freezer, games, chargers")
    block = DEMO_TEXT[DEMO_TEXT.index('[[appliance]]\nname = "second freezer') :]
    block = block[: block.index("# --- sun")]
    assert text_of(opened) == DEMO_TEXT.replace(block, "")
    assert "# --- sun, inverters" in text_of(opened)


def test_the_last_member_can_go_and_the_first_can_come(path):
    opened = PlanFile(path)
    for name in ("hens", "dairy goats", "steer"):
        opened.remove("animal", name)
    assert opened.plan.animals == () and "animal" not in opened.raw()
    opened.add("animal", {"name": "ewes", "kind": "sheep", "count": 3})
    assert text_of(opened).endswith('\n\n[[animal]]\nname = "ewes"\nkind = "sheep"\ncount = 3\n')


@pytest.mark.parametrize(
    ("change", "piece"),
    [
        (lambda opened: opened.remove("appliance", "no such"), "there is no 'no such'"),
        (lambda opened: opened.remove("cistern", "x"), "there is no 'x'"),
        (lambda opened: opened.remove("appliance", 99), "there is no 99"),
        (lambda opened: opened.remove("appliance", "chest freezer"), "must name an appliance"),
        (lambda opened: opened.add("gardn", {"area": "5 m²"}), "is not a part of a plan"),
        (lambda opened: opened.add("appliance", {"name": "lights"}), "is missing: Power while"),
        (lambda opened: opened.add("appliance", "x"), "cannot be written in a plan"),
        (lambda opened: opened.add("appliance", {"name": object()}), "cannot be written"),
        (lambda opened: opened.add("cistern", {"volume": "5 gal"}), "plan"),
        (lambda opened: opened.set("cistern.volum", "5 gal"), "did you mean 'volume'?"),
        (lambda opened: opened.set("cistern.x.volume", "5 gal"), "is not a known entry"),
        (lambda opened: opened.set("cistern", 5), "must be a table"),
        (lambda opened: opened.set("name.x", 5), "there is no such part"),
        (lambda opened: opened.set("appliance.no such.power", "5 W"), "there is no such part"),
        (lambda opened: opened.set("appliance.²²²²²²²²²².power", "5 W"), "there is no such part"),
        (lambda opened: opened.set("", 5), "plan"),
        (lambda opened: opened.set("....", 5), "plan"),
        (lambda opened: opened.set("a\nb", 5), "plan"),
        (lambda opened: opened.set("name", "a\nb"), "must be one line"),
        (lambda opened: opened.set("name", "\ud800"), "must be one line"),
        (lambda opened: opened.set("name", {1, 2}), "cannot be written"),
        (lambda opened: opened.set("site", None), "[site]: is missing"),
        (lambda opened: opened.set("house.keep", float("nan")), "must be a number with its unit"),
        (lambda opened: opened.set("person.Father.age", 10**30), "must be a whole number"),
    ],
)
def test_a_change_that_does_not_hold_changes_nothing(path, change, piece):
    opened = PlanFile(path)
    plan = opened.plan
    with pytest.raises(PlanError) as caught:
        change(opened)
    assert piece in str(caught.value)
    assert text_of(opened) == DEMO_TEXT and opened.plan is plan


def test_typed_of_what_is_not_there(path):
    opened = PlanFile(path)
    for where in (
        "by_hand.flow",
        "name.x",
        "appliance.no such.power",
        "cistern.start",
        "",
        "x.y.z",
    ):
        assert opened.typed(where) is None
    assert opened.typed("appliance.lights.power") == "220 W"
    assert opened.typed("appliance.2.power") == "220 W"  # by position where a name is missing


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"2500 gal"', '"2500 gal', "a quotation mark is not closed"),
        ('"2500 gal"', "0,2", "a number is written with a point"),
    ],
)
def test_common_slips_of_the_hand_are_named(path, old, new, told):
    text = edited(DEMO_TEXT, (old, new))
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PlanError, match=f"line {line_of(text, new)}: {told}"):
        PlanFile(path)


def test_a_notebook_shows_the_faults_and_no_traceback(path):
    path.write_text(edited(DEMO_TEXT, ('"2500 gal"', '"2500 gall"')), encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        PlanFile(path)
    first, *_, last = caught.value._render_traceback_()
    assert "[cistern] volume" in first and last.startswith("Fix it")
