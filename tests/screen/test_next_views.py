"""What readers see of ideas, guesses and sizes, of the calendar, and of the page for the wall."""

import datetime
import re
from dataclasses import replace

import numpy as np
import pytest

from homestead.findings.cautions import ON_THE_WALL
from homestead.outlook import run
from homestead.page import render as page
from homestead.page import wall
from homestead.plan import open_plan, with_changes
from homestead.plan.file import demo_path
from homestead.screen import figures, next_tables, nextsteps, readable, tables, wording
from homestead.simulate.inputs import MONTH_OF_DAY


@pytest.fixture(scope="module")
def plan():
    return open_plan(demo_path())


@pytest.fixture(scope="module")
def outlook(plan):
    return run(plan, years_n=2)


@pytest.fixture(scope="module")
def found(plan):
    return nextsteps.study(plan, years_n=1)


def test_every_idea_has_its_row_and_its_figures(plan, found):
    table = next_tables.changes(found.steps)
    assert sorted(table.index) == sorted(one.name for one in plan.changes)
    for effect in found.steps.single:
        row = table.loc[", with ".join(effect.names)]
        gained = effect.days["p10"] - found.steps.today.days["p10"]
        assert int(row["More than today"]) == gained
        for need, more in effect.gained_by_need.items():
            assert int(row[f"{need.capitalize()}, more"]) == more
        assert row["Cost"] == f"${effect.cost_money:,.0f}"


def test_the_order_spends_more_and_more_and_names_each_idea_once(found):
    table = next_tables.order(found.steps)
    spent = [float(one.strip("$").replace(",", "")) for one in table["Spent so far"]]
    assert spent == sorted(spent) and len(spent) >= 1
    done = [one for text in table["Do"] for one in text.split(" and ")]
    assert len(done) == len(set(done))


def test_pairs_tell_both_sides(found):
    table = next_tables.together(found.steps)
    assert len(table) == len(found.steps.together)
    for (_, row), effect in zip(table.iterrows(), found.steps.together, strict=True):
        apart = [int(one) for one in row["Days gained one by one"].split(" and ")]
        assert int(row["Days gained together"]) == effect.gained["p10"] > sum(apart)


def test_guesses_and_mixes_say_what_was_worked(plan, found):
    guesses = next_tables.guesses(found.sure)
    assert len(guesses) == len(found.sure.guesses)
    assert guesses["How to measure it"].str.len().min() > 10
    assert guesses["By need (days)"].str.len().min() > 4
    mixes = next_tables.mixes(found.buying)
    assert mixes.index[:2].to_list() == ["Today", "Cheapest"]
    bought = {"Today": found.buying.today, "Cheapest": found.buying.best}
    for name, one in bought.items():
        row = mixes.loc[name]
        assert str(row["Plan on (days)"]).rstrip("+") == str(one.reached_days)
        assert row["Cost"] == f"${one.cost_money:,.0f}"
        for need, days in one.figures.by_need.items():
            assert str(row[f"{need.capitalize()} (days)"]).rstrip("+") == str(days)
    assert found.buying.best.reached_days >= plan.buying.days_n
    assert f"{found.buying.best.cost_money:,.0f}" in next_tables.mix_words(found.buying)
    spent = [year.spent_money for year in found.buying.by_year]
    assert spent == sorted(spent) and len(next_tables.buying_years(found.buying)) == len(spent) > 1


def test_figures_of_changes_carry_their_numbers(found, outlook):
    gained = figures.days_gained(found.steps)
    days = [one.days["p10"] for one in found.steps.single]
    assert gained.table["Plan on (days)"].to_list()[: len(days)] == days
    for picture in (
        gained,
        figures.tornado(found.sure),
        figures.days_for_money(found.buying),
        figures.calendar(outlook),
    ):
        assert len(picture.alt.split()) > 12 and len(picture.table)
        assert picture.svg() == picture.svg()


def test_money_is_shown_in_the_plans_own_currency(plan, found):
    prices = {f"change.{one.name}.cost": f"€ {one.cost_money:.0f}" for one in plan.changes}
    prices |= {f"price.{one.name}.cost": f"€ {one.cost_money:.0f}" for one in plan.prices}
    prices |= {"buying.yearly": "€ 1500"}
    prices |= {f"fuel.{one['name']}.price": "€ 3" for one in plan.raw["fuel"] if "price" in one}
    euro = with_changes(plan.raw, prices, folder=plan.folder)
    assert euro.currency == "€" and plan.currency == "$"
    table = next_tables.changes(found.steps, euro.currency)
    assert all(text[0] == "€" for text in table["Cost"])
    assert "€1,150" in page.shared_page(run(euro, years_n=1))


def test_the_calendar_is_that_of_the_starts(outlook):
    table = figures.calendar(outlook).table
    p10 = np.percentile(outlook.together, 10, axis=0, method="lower")
    for month, (_, row) in enumerate(table.iterrows(), start=1):
        days = p10[month == MONTH_OF_DAY]
        assert row.to_list() == [days.min(), days.max()]


def test_the_wall_says_what_to_shed_and_how_long_stores_last(plan, outlook):
    on = datetime.date(2026, 10, 5)
    words = wall.wall_of(outlook, on)
    assert words["title"] == "If it happens in October"
    assert str(outlook.by_month[9].p10) in words["said"]
    comfort = [one.name for one in plan.appliances if one.priority_n == 3]
    assert words["shed"][0].startswith("Battery below 55 % (comfort)")
    assert all(name in words["shed"][0] for name in comfort)
    kept = ("refrigerator", "medical device", "well pump", "blower of the propane furnace")
    assert all(name in words["shed"][-1] for name in kept)
    assert "eat or move" in words["shed"][-2]
    year, day = wall._low_start(outlook, 10)
    together = int(outlook.together[year, day])
    need = words["stores"].loc[[n for n in words["stores"].index if n in plan.failure.counts]]
    assert need["Lasts"].iloc[0] == f"{together} days"
    assert {one.topic for one in words["cautions"]} == {one.topic for one in ON_THE_WALL}
    water = tables.water_stores(plan, outlook).loc["all, without power"]
    resting = words["stores"].loc["water without the pump"]
    assert resting["Lasts"] == f"{water['Days at usual use']} days"
    assert str(water["Days at the least"]) in resting["What happens then"]
    assert f"{outlook.homestead.least}" in words["said"]


def test_the_wall_of_a_small_plan_names_nothing_that_it_lacks(plan):
    needed = ("schema", "name", "site", "person", "house", "envelope")
    bare = with_changes({key: plan.raw[key] for key in needed}, folder=plan.folder)
    words = wall.wall_of(run(bare, years_n=1), datetime.date(2026, 1, 5))
    told = " ".join([*words["daily"], *words["shed"], *words["write_in"]]).lower()
    assert not re.search("propane|gas|generator|cistern|pump|battery|wood", told)
    assert {one.topic for one in words["cautions"]} <= {
        "well and drinking water", "food safety", "medical needs"
    }  # fmt: skip


def test_the_page_holds_ideas_and_the_wall_but_no_cost_that_was_left_out(outlook, found):
    whole = page.shared_page(outlook, found=found)
    assert 'id="next"' in whole and 'id="wall"' in whole and "$730" in whole
    spare = page.shared_page(outlook, found=found, leave_out=("costs",))
    assert "fill the propane tank" in spare
    assert "$730" not in spare and "$2,600" not in spare
    assert 'id="next"' not in page.shared_page(outlook)


@pytest.mark.parametrize("counts", [("power", "food"), ("power", "water"), ("food",)])
def test_the_need_that_goes_first_is_said_to_hide_the_rest(outlook, counts):
    """Without it, the days are those of the others."""
    failure = outlook.plan.failure.model_copy(update={"counts": counts})
    of_these = replace(outlook, plan=outlook.plan.model_copy(update={"failure": failure}))
    said = wording.hidden_words(of_these)
    if len(counts) == 1:
        assert said == []
        return
    # Of two, the one that stands lower: without it the other's days are left.
    first, other = sorted(counts, key=lambda need: of_these.needs[need].p10)
    days = of_these.needs[other].p10
    (words,) = said
    assert words.startswith(f"If {first} held, you could plan on")
    assert ("a year or longer" if days >= 365 else f"plan on {days} days") in words


def test_days_at_the_horizon_never_stand_without_if_nothing_breaks(outlook, found):
    table = tables.days_of_independence(outlook, "us")
    assert (table == "365+").any(axis=None)
    assert "if nothing breaks" in readable.table_html(table, "Days")
    assert "if nothing breaks" not in readable.table_html(table.iloc[:, :0], "Days")
    whole = page.shared_page(outlook, found=found)
    captions = re.findall(r"<table>.*?</table>", whole, re.DOTALL)
    assert all("if nothing breaks" in one for one in captions if ">365+<" in one)
    words = re.sub(r"<[^>]+>", "", whole)
    assert re.search(rf"as they usually do, plan on {found.broken.figures['p10']}\b", words)
