"""Days over the years: what changed since spring, and a line through kept versions."""

from datetime import date

import pytest

from homestead import disk_cache, workspace
from homestead.outlook import run
from homestead.plan import PlanFile, open_plan
from homestead.plan.kept import older_versions
from homestead.screen import years_line


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")
    workspace.new(tmp_path, "cabin")
    file = PlanFile(tmp_path)
    file.set("site.years", 1)
    file.save()
    return tmp_path


def test_without_older_versions_it_says_how_to_keep_one(tmp_path):
    workspace.new(tmp_path, "cabin")
    outlook = run(open_plan(tmp_path), years_n=1)
    (said,) = years_line.over_the_years(outlook)
    assert "homestead keep" in repr(said)


def test_the_line_ends_at_today_and_names_what_was_kept(home):
    file = PlanFile(home)
    file.keep_as("before the wood")
    store = file.plan.fuels[0].name
    file.set(f"fuel.{store}.amount", "9 cords")
    file.save()
    outlook = run(open_plan(home))
    *_, heading, picture, numbers = years_line.over_the_years(outlook)
    table = picture.table
    assert table["Plan on (days)"].iloc[-1] == outlook.homestead.p10
    assert "before the wood" in list(table["Kept as"])
    assert repr(heading) == picture.title and str(outlook.homestead.p10) in picture.title
    assert str(outlook.homestead.p10) in numbers._repr_html_()


def test_what_changed_since_spring_is_one_sentence(home):
    file = PlanFile(home)
    store = file.plan.fuels[0].name
    file.set(f"fuel.{store}.amount", "9 cords")
    file.save()
    said = repr(years_line.over_the_years(run(open_plan(home)), date(2200, 4, 1))[0])
    # No version was in force that late: nothing to compare with, so the line comes first.
    assert "Since" not in said
    assert older_versions(home / "plan.toml")
    said = repr(years_line.over_the_years(run(open_plan(home)))[0])
    assert said.startswith("Since March 1") and store in said
