"""Older versions, today's stores and the year's calendar from the command line."""

from datetime import date

import pytest
from typer.testing import CliRunner

from homestead import cli, workspace
from homestead.outlook import remembered
from homestead.plan import PlanError, PlanFile
from homestead.screen import over_time
from homestead.simulate.inputs import read_weather


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv(remembered.ENVIRONMENT, "off")
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
