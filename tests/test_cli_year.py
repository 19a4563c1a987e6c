"""Older versions, today's stores and the year's calendar from the command line."""

from datetime import date

import icalendar
import pytest
from typer.testing import CliRunner

from homestead import cli, disk_cache, units, workspace
from homestead.outlook import run as outlook_run
from homestead.page import calendar
from homestead.plan import PlanError, PlanFile, demo_path, everyday, open_plan
from homestead.questions import season
from homestead.questions import today as questions
from homestead.screen import over_time
from homestead.simulate.inputs import read_weather


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")
    workspace.new(tmp_path, "cabin")
    file = PlanFile(tmp_path)
    file.set("site.years", 1)
    file.save()
    return tmp_path


def run(*arguments):
    return CliRunner().invoke(cli.app, [str(one) for one in arguments], catch_exceptions=False)


def test_a_family_lists_its_versions_and_goes_back(home):
    assert run("keep", "before winter", home).exit_code == 0
    file = PlanFile(home)
    store = file.plan.fuels[0].name
    before = file.typed(f"fuel.{store}.amount")
    file.set(f"fuel.{store}.amount", "9 cords")
    file.save(note="four cords of oak")
    listed = run("revisions", home).stdout.splitlines()
    assert listed[0].split()[0] == "1" and listed[0].endswith("before: four cords of oak")
    assert 'kept as "before winter"' in listed[1]
    assert "today" not in listed[0].lower()
    said = run("revisions", home, "--since", date.today().isoformat()).stdout
    assert "Since" in said and "Plan on" in said and store in said
    assert len(run("revisions", home, "--days").stdout.splitlines()) == 2
    assert "brings it back" in run("restore", "before winter", home).stdout
    assert PlanFile(home).typed(f"fuel.{store}.amount") == before
    run("restore", "1", home)
    assert PlanFile(home).typed(f"fuel.{store}.amount") == "9 cords"
    with pytest.raises(PlanError, match="no version '77'"):
        run("restore", "77", home)


def test_a_season_is_the_last_one_before_today():
    assert over_time.day_of("Spring", date(2026, 11, 27)) == date(2026, 3, 1)
    assert over_time.day_of("winter", date(2026, 11, 27)) == date(2025, 12, 1)
    assert over_time.day_of("2026-04-02", date(2026, 11, 27)) == date(2026, 4, 2)
    with pytest.raises(ValueError, match="a season"):
        over_time.day_of("soon", date(2026, 11, 27))


def test_a_plan_opens_no_weather_outside_its_folder(home):
    outside = home.parent / f"{home.name}-outside.csv"
    outside.write_text("secret", encoding="utf-8")
    file = PlanFile(home)
    for name in (str(outside), f"../{outside.name}"):
        file.set("site.weather", name)
        file.save()
        with pytest.raises(PlanError, match="must be a file in the plan's folder") as caught:
            read_weather(PlanFile(home).plan)
        assert "secret" not in str(caught.value)


# --- today ----------------------------------------------------------------------------------------


def test_days_from_today_are_those_of_the_one_simulation(home):
    plan = PlanFile(home).plan
    outlook = outlook_run(plan, 3)
    for on, day in ((date(2026, 11, 27), 330), (date(2028, 12, 31), 364), (date(2028, 2, 29), 59)):
        found = questions.today(plan, {}, on, years_n=3)
        assert found.days.tolist() == outlook.together[:, day].tolist()


def test_gauges_set_the_stores_that_the_hours_begin_with():
    plan = open_plan(demo_path())
    sets = {one.name: one.sets_of for one in questions.gauges_of(plan)}
    # 62 % of charge, of which the last 10 % are kept: 52 of 90.
    assert sets["battery"]("62 %") == {"battery.start": pytest.approx(52 / 90, abs=1e-4)}
    assert sets["battery"]("5%") == {"battery.start": 0.0}
    (tank,) = sets["propane tank"]("45%").values()
    (wood,) = sets["woodshed"]("half a cord").values()
    tank_m3, wood_m3 = units.parse("225 gal", "volume"), units.parse("0.5 cords", "volume")
    # Written to five digits.
    assert units.parse(tank, "volume") == pytest.approx(tank_m3, rel=1e-4)
    assert units.parse(wood, "volume") == pytest.approx(wood_m3, rel=1e-4)
    assert sets["cistern"]("1250 gal") == {"cistern.start": 0.5}
    pantry = sets["pantry"]("half")
    assert len(pantry) == len(plan.pantry) and pantry["pantry.home-canned goods.energy"] == (
        "30000 kcal"
    )
    with pytest.raises(ValueError, match="there's no such gauge") as caught:
        questions.today(plan, {"moonshine": "full", "cistern": "9000 gal"}, years_n=1)
    assert "must be from empty to full" in str(caught.value)


def test_less_in_store_never_gives_more_days(home):
    plan = PlanFile(home).plan
    store = plan.fuels[0].name
    many, few = (
        questions.today(plan, {store: one, "pantry": part}, date(2026, 11, 1), 1)
        for one, part in (("9 cords", "100%"), ("0.1 cords", "10%"))
    )
    assert questions.low(few.days) < questions.low(many.days)


def test_today_asks_for_each_gauge_and_says_three_lines_at_most(home):
    plan = PlanFile(home).plan
    n = len(questions.gauges_of(plan))
    done = CliRunner().invoke(cli.app, ["today", "--plan", str(home)], input="lots\n" + "\n" * n)
    assert done.exit_code == 0 and "a share from 0 to 100 %" in done.stdout
    said = run("today", "pantry=half", "--plan", home).stdout
    assert "If nothing arrived from today" in said and "Cutting back from today" in said
    assert sum(line.startswith("- ") for line in said.splitlines()) <= 3
    assert max(map(len, said.splitlines())) <= 80


@pytest.mark.parametrize(
    ("said", "amount"),
    [
        ("half a cord", "0.5 cord"),
        ("a quarter of a cord", "0.25 cord"),
        ("a cord and a half", "1.5 cord"),
        ("two and a half cords", "2.5 cords"),
        ("three cords", "3 cords"),
        ("a dozen", "12"),
        ("12kWh", "12kWh"),
        ("430 W", "430 W"),
    ],
)
def test_amounts_as_people_say_them(said, amount):
    assert everyday.amount_text(said) == amount


# --- the season -----------------------------------------------------------------------------------


def test_chores_are_only_for_parts_that_the_plan_has():
    plan = open_plan(demo_path())
    keys = {one.key for one in season.chores_of(plan)}
    assert {"chimney", "precharge", "generator", "pantry", "water test"} <= keys
    assert {"fuel propane tank", "fuel woodshed", "feed steer"} <= keys
    bare = plan.model_copy(
        update={"generator": None, "pressure_tank": None, "heaters": (), "pantry": (), "fuels": ()}
    )
    left = {one.key for one in season.chores_of(bare)}
    assert not left & {"generator", "precharge", "chimney", "pantry", "furnace", "alarms"}
    for one in season.chores_of(plan):
        assert season.source_text(one) and one.why and set(one.months) <= set(range(1, 13))


def test_fuel_is_ordered_the_month_before_and_the_precharge_is_below_cut_in():
    chores = {one.key: one for one in season.chores_of(open_plan(demo_path()))}
    assert chores["fuel propane tank"].months == (1, 7)  # delivered in February and August
    assert chores["fuel woodshed"].months == (8,)
    assert chores["feed steer"].months == (10,)  # pasture until October
    # Water Systems Council: 2 psi below the cut-in of 40 psi.
    assert "38 psi" in chores["precharge"].text


def test_the_calendar_file_is_read_by_others_and_never_doubles():
    plan = open_plan(demo_path())
    text = calendar.calendar_text(plan, 2027)
    assert text == calendar.calendar_text(plan, 2027)
    read = icalendar.Calendar.from_ical(text)
    events = read.walk("VEVENT")
    names = [str(one["UID"]) for one in events]
    assert (
        len(set(names))
        == len(names)
        == sum(len(one.months) if len(one.months) < 12 else 1 for one in season.chores_of(plan))
    )
    later = icalendar.Calendar.from_ical(calendar.calendar_text(plan, 2031)).walk("VEVENT")
    assert [str(one["UID"]) for one in later] == names
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))  # RFC 5545, 3.1
    chimney = next(one for one in events if "chimney" in one["SUMMARY"])
    assert chimney["RRULE"]["FREQ"] == ["YEARLY"] and chimney["DTSTART"].dt.day == 1


def test_the_calendar_command_lists_and_writes(home):
    done = run("calendar", home, "--ics", home / "chores.ics")
    assert "Every month" in done.stdout and "December" in done.stdout
    assert (home / "chores.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")


def test_the_wall_set_is_written_by_itself(home):
    told = run("wall", home)
    assert told.exit_code == 0 and str(home / "homestead-wall.html") in told.output
    html = (home / "homestead-wall.html").read_text("utf-8")
    assert "Winter: December" in html and open_plan(home).name in html
    assert sorted(one.name for one in home.glob("homestead*")) == ["homestead-wall.html"]
    assert run("wall", home, "--leave-out", "name").exit_code == 0
    assert open_plan(home).name not in (home / "homestead-wall.html").read_text("utf-8")


def test_a_part_is_added_from_one_line(home):
    with pytest.raises(ValueError, match="no animal 'unicorns'"):
        run("add", "animal", "3 unicorns", "--plan", home)
    told = run("add", "animal", "3 goats", "--plan", home)
    assert told.exit_code == 0 and "In the plan: goats" in told.output
    assert open_plan(home).animals[-1].count_n == 3
