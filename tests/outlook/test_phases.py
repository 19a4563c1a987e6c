"""A plan through the years: days and cost after each phase, and the rules of phases."""

import copy

import pytest
from small_plans import FIRST_BAD_DAY, SMALLEST, plan_of

from homestead import disk_cache
from homestead.plan.schema import read_plan
from homestead.questions import phases
from homestead.questions.variants import Variants
from homestead.screen import next_tables

SHELVES = SMALLEST | {
    "failure": FIRST_BAD_DAY | {"counts": ["food"]},
    "pantry": [{"name": "shelf", "energy": "20000 kcal"}],
    "change": [
        {"name": "one", "cost": "$100", "sets": {"pantry.shelf.energy": "60000 kcal"}},
        {"name": "two", "cost": "$250", "adds": {"pantry": [{"name": "b", "energy": "9 Mcal"}]}},
        {"name": "three", "cost": "$40", "needs": ["one"], "sets": {"cistern.volume": "1 m^3"}},
    ],
    "phase": [
        {"name": "first year", "date": "2027-05", "changes": ["one"]},
        {"name": "second year", "date": "2028-03", "changes": ["three", "two"]},
    ],
}
SHELVES["change"][1]["adds"]["pantry"][0]["energy"] = "90000 kcal"


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")


def test_days_and_cost_add_up_phase_by_phase():
    plan = plan_of(SHELVES)
    today, first, second = phases.stages(plan)
    assert [one.cost_money for one in (today, first, second)] == [0.0, 100.0, 290.0]
    assert [one.cost_so_far_money for one in (today, first, second)] == [0.0, 100.0, 390.0]
    assert (today.name, first.date, second.changes) == ("today", "2027-05", ("three", "two"))
    all_made = {"pantry.shelf.energy": "60000 kcal", "cistern.volume": "1 m^3"}
    answer = Variants(plan).one(all_made, SHELVES["change"][1]["adds"])
    assert second.days["p10"] == answer.reached()
    assert second.by_need["water"] == answer.reached("water")
    # By hand: days of food grow in proportion to what is on the shelves, 20, 60 and 150 thousand.
    assert today.days["p10"] < first.days["p10"] < second.days["p10"]
    assert second.days["p10"] / first.days["p10"] == pytest.approx(150 / 60, rel=0.05)


def test_a_plan_without_phases_has_today_only():
    (today,) = phases.stages(plan_of({k: v for k, v in SHELVES.items() if k != "phase"}))
    assert (today.changes, today.cost_so_far_money) == ((), 0.0)


def test_the_table_has_a_row_for_each_stage():
    table = next_tables.stages(phases.stages(plan_of(SHELVES)))
    assert list(table["When"]) == ["", "2027-05", "2028-03"]
    assert list(table["What"]) == ["", "one", "three, two"]
    assert list(table["Spent so far"]) == ["$0", "$100", "$390"]
    assert table["Plan on (days)"].is_monotonic_increasing


@pytest.mark.parametrize(
    ("number", "entries", "piece"),
    [
        (0, {"date": "May 2027"}, 'such as "2027-05"'),
        (0, {"date": "2027-13"}, 'such as "2027-05"'),
        (1, {"date": "2026-12"}, "must not be before the phase above it, 2027-05"),
        (1, {"changes": ["three", "too"]}, "must name changes (one, two, three"),
        (1, {"changes": ["one"]}, "again: it is made in 'first year'"),
        (1, {"changes": []}, "must name at least one idea"),
        (0, {"changes": ["three"]}, '"three" needs "one" by then'),
    ],
)
def test_a_broken_rule_of_phases_is_told_in_its_place(number, entries, piece):
    raw = copy.deepcopy(SHELVES)
    raw["phase"][number] |= entries
    plan, faults = read_plan(raw)
    assert plan is None
    assert any(one.where[:2] == ("phase", number) and piece in one.message for one in faults)


def test_two_phases_may_share_a_month_and_a_need_may_be_met_in_the_same_phase():
    raw = copy.deepcopy(SHELVES)
    raw["phase"] = [
        {"name": "a", "date": "2027-05", "changes": ["three", "one"]},
        {"name": "b", "date": "2027-05", "changes": ["two"]},
    ]
    assert read_plan(raw)[1] == []
