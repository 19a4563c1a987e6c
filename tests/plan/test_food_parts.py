"""Entries about food that a plan may have beside the oldest ones, and the rules between them."""

import copy
import tomllib

import pytest

from homestead import reference, units
from homestead.plan.place import LIFE_STAGES
from homestead.plan.schema import read_plan

with reference.shipped("data", "demo", "plan.toml").open("rb") as file:
    DEMO = tomllib.load(file)


def read(part, number, **entries):
    """The demo with entries set in one member of a list, or in a part if number is None."""
    raw = copy.deepcopy(DEMO)
    (raw[part] if number is None else raw[part][number]).update(entries)
    return read_plan(raw)


def faults(part, number, **entries):
    plan, found = read(part, number, **entries)
    assert (plan is None) == bool(found)
    return {fault.where: fault.message for fault in found}


@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_plans_from_before_read_with_defaults(name):
    with reference.shipped("data", name, "plan.toml").open("rb") as source:
        plan, found = read_plan(tomllib.load(source))
    assert found == []
    assert {one.life_stage for one in plan.people} == {"none"}
    assert {one.meat_kg for one in plan.animals} == {0.0}
    assert all(item.best_by is None and item.protein_kg is None for item in plan.pantry)
    assert all(crop.picked == () and crop.preserved_frac == 0.0 for crop in plan.crops)


def test_new_entries_are_read_into_si():
    plan, found = read(
        "animal", 2, meat="420 lb", meat_food="ground beef", slaughter="Nov", meat_eaten="Nov-Apr"
    )
    assert found == []
    steer = plan.animals[2]
    assert steer.meat_kg == units.parse("420 lb", "mass")
    assert (steer.slaughter, steer.meat_eaten) == ((11,), (11, 12, 1, 2, 3, 4))
    plan, found = read("freezer", None, protein="8 kg")
    assert found == [] and plan.freezer.protein_kg == 8.0


def test_life_stages_are_those_of_the_table():
    assert list(LIFE_STAGES[1:]) == reference.items("food_needs", "energy_extra")
    assert list(LIFE_STAGES[1:]) == reference.items("food_needs", "protein_extra")


def test_a_life_stage_is_for_a_woman():
    assert faults("person", 2, life_stage="nursing months 1 to 6") == {}
    told = faults("person", 1, life_stage="nursing months 1 to 6")
    assert "must be none unless female" in told[("person", 1, "life_stage")]
    assert ("person", 4, "life_stage") in faults("person", 4, life_stage="pregnant months 4 to 6")
    assert "must be one of" in faults("person", 2, life_stage="tired")[("person", 2, "life_stage")]


def test_a_best_by_date_needs_a_count_and_a_calendar():
    assert faults("pantry", 0, best_by="2027-06-30", counted="2026-11-01") == {}
    assert ("pantry", 0, "counted") in faults("pantry", 0, best_by="2027-06-30")
    assert ("pantry", 0, "best_by") in faults("pantry", 0, counted="2026-11-01")
    told = faults("pantry", 0, best_by="June 2027", counted="2026-13-01")
    assert "must be a date" in told[("pantry", 0, "best_by")]
    assert ("pantry", 0, "counted") in told


def test_protein_goes_with_an_energy_and_fits_in_it():
    canned = next(n for n, item in enumerate(DEMO["pantry"]) if "energy" in item)
    assert faults("pantry", canned, protein="5 kg") == {}
    # 60,000 kcal hold at most 15 kg of protein at 4 kcal/g (general Atwater factor).
    assert faults("pantry", canned, protein="15 kg") == {}
    told = faults("pantry", canned, protein="16 kg")[("pantry", canned, "protein")]
    assert "15 kg" in told and "or less" in told
    assert "only with an energy" in faults("pantry", 0, protein="5 kg")[("pantry", 0, "protein")]
    assert ("freezer", "protein") in faults("freezer", None, protein="60 kg")


def test_meat_needs_its_month_and_known_names():
    assert "the month of the meat" in faults("animal", 2, meat="420 lb")[("animal", 2, "slaughter")]
    told = faults("animal", 2, meat="420 lb", slaughter="Nov", meat_food="unicorn", produce="mlk")
    assert set(told) == {("animal", 2, "meat_food"), ("animal", 2, "produce")}
