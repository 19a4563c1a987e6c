"""Food in the simulation: by hand, by what must hold in any plan, and the same on every screen."""

import numpy as np
import pytest
from small_plans import FIRST_BAD_DAY, SMALLEST

from homestead import units
from homestead.outlook import run
from homestead.plan import with_changes
from homestead.plan.schema import read_plan
from homestead.simulate.food import garden_of, items_of, needs_of
from homestead.simulate.inputs import hours_of
from homestead.simulate.records import ITEMS
from homestead.simulate.trace import trace_of
from homestead.trades.food import check_food
from homestead.trades.food import study_food as food
from homestead.trades.food import study_produce as food_produce
from homestead.trades.food import tables as food_tables
from homestead.trades.food.study_food import by_calendar, ends_text

NAMES = ("demo", "cabin", "cold-coast")


def plan_of(**parts):
    plan, faults = read_plan(SMALLEST | {"failure": FIRST_BAD_DAY} | parts)
    assert faults == []
    return plan


# Issue: 4,000 lb of potatoes more, and every screen must name the same days.
@pytest.mark.parametrize("name", NAMES)
def test_headline_and_food_paragraph_name_the_same_days(name, shipped_hours):
    raw = shipped_hours[name].plan.raw
    heap = {"name": "heap", "food": "potatoes", "mass": "4000 lb"}
    plan = with_changes(
        raw | {"pantry": [*raw["pantry"], heap]}, folder=shipped_hours[name].plan.folder
    )
    outlook = run(plan, years_n=1)
    least = outlook.needs["food"].least
    year = food_tables.year_of(outlook)
    assert year.days_n == least == year.by_start.least_days.min()
    assert f"Food lasts at least {least} days" in food_tables.lasts_words(year)
    heap_row = food_tables.pantry(outlook.hours).loc["heap"]
    # Of all starts the table gives the most that spoils; these are some of them.
    spoils = 100.0 - eaten_share(outlook.hours, "heap")
    assert spoils - 0.5 <= heap_row["Spoils uneaten, at most (%)"] <= spoils + 2.0


def eaten_share(hours, name):
    """Least share of an item that is eaten from any start, by tracing each start. [%]."""
    number = [item.name for item in items_of(hours.plan)].index(name)
    kcal = items_of(hours.plan)[number].kcal
    shares = [trace_of(hours, day, 365).meals[:, number].sum() for day in range(0, 365, 30)]
    return 100.0 * min(shares) / kcal


def days_and_end(plan, start=0):
    hours = hours_of(plan, 1)
    run_ = by_calendar(hours)
    return int(run_.days[start]), ends_text(run_.ends[start])


# By hand: a woman of 40, moderately active, needs 2,000 kcal. 20,000 kcal of honey and nothing
# else: ten full days, then nothing: the second empty day of seven is below 80 %.
def test_honey_by_hand():
    plan = plan_of(pantry=[{"name": "honey", "food": "honey", "mass": f"{20000 / 3040} kg"}])
    assert days_and_end(plan) == (11, "energy")
    assert days_and_end(plan, 100) == (11, "energy")


# Stores only of sugar fail. By hand: 100 kg of sugar hold 387,000 kcal, 193 days of 2,000; it has
# no protein, so more than 60 days' least of it are missing on day 60, counted from 0.
# With vitamin C and salt borne longer, protein is what ends it.
@pytest.mark.parametrize("days", [30, 60])
def test_stores_of_sugar_fail_for_lack_of_protein(days):
    rule = FIRST_BAD_DAY | {"protein_days": days, "vitamin_c_days": 300, "salt_days": 300}
    sugar = {"name": "sugar", "food": "sugar", "mass": "100 kg"}
    assert days_and_end(plan_of(pantry=[sugar], failure=rule)) == (days, "protein")


# By hand: rice has neither vitamin C nor much fat or salt (USDA). One woman, 10 mg a day: 60 days
# without; 3 g of tablets and 2 kg of salt are 300 and more days' worth. Then fat: rice at 0.66 g in
# 365 kcal gives 3.6 of 33.3 g a day, so 90 days' worth are missing after 90 / (1 - 0.1085) = 101.
def test_rice_ends_by_vitamin_c_then_by_fat():
    rice = {"name": "rice", "food": "white rice", "mass": "400 kg"}
    salt = {"name": "salt", "food": "salt", "mass": "2 kg"}
    tablets = {"name": "tablets", "food": "vitamin C tablets", "mass": "3 g"}
    assert days_and_end(plan_of(pantry=[rice, salt])) == (60, "vitamin C")
    assert days_and_end(plan_of(pantry=[rice, salt, tablets])) == (100, "fat")
    oil = {"name": "oil", "food": "vegetable oil", "mass": "10 kg"}
    assert days_and_end(plan_of(pantry=[rice, salt, tablets, oil]))[0] > 300
    # 0.5 g of sodium a day are 1.27 g of salt; rice brings 5 mg in 365 kcal, 23 mg a day.
    # 60 / (1 - 0.046) = 62.9, on the 63rd day.
    assert days_and_end(plan_of(pantry=[rice, tablets, oil])) == (62, "salt")


# By hand: thirty days at 2,000 kcal are eaten of 365,000 kcal; the rest is thrown out on day 30.
def test_what_spoils_before_it_is_eaten():
    dates = {"best_by": "2026-12-01", "counted": "2026-11-01"}
    rice = {"name": "rice", "food": "white rice", "mass": "100 kg"}
    hours = hours_of(plan_of(pantry=[rice | dates]), 1)
    run_ = by_calendar(hours)
    assert run_.spoiled_kcal[0].tolist() == pytest.approx([365_000.0 - 60_000.0])
    assert run_.days[0] == 31
    assert food.pantry(hours).loc["rice", "keeps_days"] == 30.0


def test_what_goes_off_first_is_eaten_first():
    soon = {"best_by": "2026-12-01", "counted": "2026-11-01"}
    shelves = [
        {"name": "late", "food": "white rice", "mass": "40 kg"},
        {"name": "soon", "food": "white rice", "mass": "10 kg"} | soon,
    ]
    plan = plan_of(pantry=shelves)
    # 36,500 kcal of the 60,000 eaten within the thirty days, so none of it need spoil; by
    # proportion alone four fifths of each day's rice would come from the other shelf.
    assert by_calendar(hours_of(plan, 1)).spoiled_kcal.max() == pytest.approx(0.0, abs=1e-6)
    assert [item.name for item in items_of(plan)] == ["soon", "late"]


# By hand: 10 kg of feed at 1 kg a day. The hens lay for ten days; on the eleventh they are
# slaughtered, 20 kg at 215 kcal/hg, all eaten at 2,000 kcal a day within the 120 that it keeps.
def test_hens_are_eaten_when_their_feed_ends_if_the_plan_says_so():
    hens = {
        "name": "hens", "kind": "laying hen", "count": 10, "food": "40 kcal",
        "feed": "10 kg", "feed_day": "0.1 kg",
    }  # fmt: skip
    kept = trace_of(hours_of(plan_of(animal=[hens]), 1), 0, 60).food_kcal.eaten_kcal[::24]
    assert kept.tolist() == [400.0] * 10 + [0.0] * 50
    plan = plan_of(animal=[hens | {"meat_if_feed_ends": "20 kg"}])
    eaten = trace_of(hours_of(plan, 1), 0, 60).food_kcal.eaten_kcal.to_numpy()[::24]
    assert eaten[:10].tolist() == [400.0] * 10
    assert eaten[10:31] == pytest.approx(np.full(21, 2000.0))
    assert eaten.sum() == pytest.approx(4000.0 + 43_000.0)


# By hand: one year in four is bad and gives 40 %: 0.85 of the usual harvest over four years.
def test_bad_crop_years():
    bed = {
        "name": "p",
        "food": "potatoes",
        "area": "100 m²",
        "harvest": "200 kg",
        "eaten": "Jul-Oct",
    }
    usual = garden_of(plan_of(crop=[bed]), 4)
    bad = garden_of(plan_of(crop=[bed | {"bad_years": 0.25, "bad_harvest": 0.4}]), 4)
    assert bad[:, 0].sum() == pytest.approx(0.85 * usual[:, 0].sum())
    by_year = bad[:, 0].reshape(4, 365).sum(axis=1) / usual[:365, 0].sum()
    assert sorted(by_year) == pytest.approx([0.4, 1.0, 1.0, 1.0])


MOTHER = {"name": "A", "age": 30, "sex": "female"}
BABY = {"name": "B", "age": 0, "sex": "female"}


def test_a_nursing_mother_feeds_the_infant_and_eats_for_it():
    alone = needs_of(plan_of(person=[MOTHER])).kcal
    nursing = MOTHER | {"life_stage": "nursing months 1 to 6"}
    fed = needs_of(plan_of(person=[nursing, BABY]))
    assert fed.kcal == alone + 330.0 and fed.formula_kcal == 0.0
    half = MOTHER | {"life_stage": "nursing months 7 to 12"}
    assert needs_of(plan_of(person=[half, BABY])).kcal == alone + 400.0 + 0.5 * 650.0


# By hand: 650 kcal a day (table), 5,100 kcal in a kilogram of powder: 7 whole days.
def test_an_infant_without_a_nursing_mother_lives_on_formula():
    shelf = {"name": "shelf", "energy": "500000 kcal"}
    plan = plan_of(person=[MOTHER, BABY], pantry=[shelf])
    assert days_and_end(plan) == (0, "infant milk")
    can = {"name": "can", "food": "infant formula", "mass": "1 kg"}
    plan = plan_of(person=[MOTHER, BABY], pantry=[shelf, can])
    assert days_and_end(plan) == (7, "infant milk")
    assert [one.severity for one in check_food.findings_of(plan) if one.about == "infant"] == [
        "danger"
    ]


@pytest.mark.parametrize("name", NAMES)
def test_every_day_adds_up(name, shipped_hours):
    hours = shipped_hours[name]
    trace = trace_of(hours, 180, 365)
    larder = hours.larder
    items = larder.item_kcal.size
    eaten = food.eaten_by_day(hours, trace).sum(axis=1).to_numpy()
    assert eaten == pytest.approx(trace.food_kcal.eaten_kcal.to_numpy()[::24])
    gone = trace.meals[:, :items].sum(axis=0) + trace.stores[-1, ITEMS : ITEMS + items]
    assert (gone <= larder.item_kcal * (1 + 1e-12)).all()


# The table of the Dietary Guidelines: father 2,800, mother 2,200 (active), boy of 13 2,200, girl of
# 9 1,600, boy of 5 1,400 (moderate), grandmother 1,800 moderate. Protein from memory.
def test_people_of_the_demo(shipped_hours):
    table = food.people(shipped_hours["demo"].plan)
    assert table["energy_kcal_day"].to_dict() == {
        "Grandmother": 1800, "Father": 2800, "Mother": 2200,
        "Eldest": 2200, "Middle": 1600, "Youngest": 1400,
    }  # fmt: skip
    assert table["protein_g_day"].sum() == 46 + 56 + 46 + 34 + 34 + 19


def test_pantry_and_stores_alone(shipped_hours):
    hours = shipped_hours["demo"]
    table = food.pantry(hours)
    assert table["share_frac"].sum() == pytest.approx(1.0)
    assert table.loc["home-canned goods", "protein_is_assumed"]
    # 60,000 kcal x 10 % at 4 kcal/g. By hand.
    assert table.loc["home-canned goods", "protein_g"] == pytest.approx(1500.0)
    alone = food.stores_alone(hours)
    assert alone.loc["freezer", "days_at_need"] == pytest.approx(110_000 / 12_000)
    # The rule lets five days of 28 go empty (80 % of them are 22.4 days).
    assert alone.loc["freezer", "days"] == 14 and alone.loc["freezer", "ends"] == "energy"
    assert food.pantry(hours_of(plan_of(), 1)).empty


# USDA Food Safety and Inspection Service: full 48 h, half full 24 h, refrigerator 4 h. Found.
def test_cold_stores_in_a_blackout(shipped_hours):
    table = food.cold_stores_in_a_blackout(shipped_hours["demo"].plan)
    assert table.loc["freezer, full", "hold_h"] == 48.0
    assert table.loc["freezer, half full", "hold_h"] == 24.0
    assert table.loc["refrigerator", "hold_h"] == 4.0
    said = table.loc["freezer, as the plan says"]
    assert (said["fill_frac"], said["lost_kcal"]) == (0.8, 110_000.0)
    assert 24.0 < said["hold_h"] < 48.0
    assert list(food.cold_stores_in_a_blackout(plan_of()).index) == ["refrigerator"]


# By hand: 2,400 lb of hay, four goats at 4 lb a day: 150 days; October to April are 212.
def test_feed_of_the_demo(shipped_hours):
    table = food_produce.animals(shipped_hours["demo"].plan)
    goats = table.loc["dairy goats"]
    assert goats["feed_days"] == pytest.approx(150.0) and goats["housed_days"] == 212
    assert not goats["lasts_to_pasture"] and table.loc["steer", "lasts_to_pasture"]
    assert table.loc["hens", "housed_days"] == 365
    # Eggs: 12.56 g in 143 kcal (USDA), 14 hens at 42 kcal.
    assert table.loc["hens", "protein_g_day"] == pytest.approx(14 * 42 * 12.56 / 143)


# By hand: half of 28 lb of snap beans fill 7 quarts: one load, 35 min at heat (test_preserving).
def test_preserving_counts_jars_loads_and_fuel(shipped_hours):
    bed = {"name": "beans", "food": "green beans", "area": "100 ft²", "harvest": "28 lb"}
    stove = {
        "fuel": [{"name": "bottles", "fuel": "propane", "amount": "100 L"}],
        "cooking": {"store": "bottles", "daily": "3 kWh"},
    }
    plan = plan_of(crop=[bed | {"eaten": "Jul-Sep", "preserved": 0.5}], **stove)
    table = food_produce.preserving(plan)
    row = table.loc["beans"]
    assert (row["jars_n"], row["loads_n"], row["method"]) == (7.0, 1.0, "pressure")
    assert row["hours_h"] == pytest.approx(35.0 / 60.0)
    assert row["fuel_wh"] == pytest.approx(row["pot_heat_wh"] / 0.4)  # open burner, 40 %
    assert table.loc["all", "fuel_wh"] == pytest.approx(row["fuel_wh"])
    twice = food_produce.preserving(plan, share_frac=1.0)
    assert twice.loc["all", "jars_n"] == 14.0
    assert food_produce.preserving(shipped_hours["demo"].plan).empty
    assert len(food_produce.preserving(shipped_hours["demo"].plan, 0.25)) > 2
    with pytest.raises(ValueError, match="share_frac must be from 0 to 1"):
        food_produce.preserving(plan, 1.5)


# By hand: picked in July and August, eaten evenly from July to October: 62 of 123 days' worth is
# eaten fresh, 61 of 123 must be kept.
def test_the_surplus_is_what_is_eaten_after_the_picking():
    bed = {"name": "t", "food": "tomatoes", "area": "100 ft²", "harvest": "100 kg"}
    plan = plan_of(crop=[bed | {"eaten": "Jul-Oct", "picked": "Jul-Aug"}])
    assert food_produce.surplus_frac(plan.crops[0]) == pytest.approx(61.0 / 123.0)
    table = food_produce.preserving(plan, "surplus")
    assert table.loc["t", "produce_kg"] == pytest.approx(100.0 * 61.0 / 123.0)
    fresh = plan_of(crop=[bed | {"eaten": "Jul-Oct", "picked": "Jul-Oct"}])
    assert food_produce.preserving(fresh, "surplus").empty


def test_preserving_without_a_stove_still_counts_the_pot():
    bed = {"name": "beans", "food": "green beans", "area": "100 ft²", "harvest": "28 lb"}
    table = food_produce.preserving(plan_of(crop=[bed | {"eaten": "Jul"}]), 0.5)
    assert table.loc["all", "pot_heat_wh"] > 0.0 and np.isnan(table.loc["all", "fuel_wh"])


# By hand: pasta alone, 371 kcal/hg, need 2,000 kcal: 539 g a day at 10 L/kg.
def test_cooking_water_of_a_pantry():
    plan = plan_of(pantry=[{"name": "p", "food": "pasta", "mass": "50 kg"}])
    liters = units.parse(f"{2000 / 3710 * 10} L", "volume")
    assert food.cooking_water_m3_person_day(plan) == pytest.approx(liters)
    assert food.cooking_water_m3_person_day(plan_of()) == 0.0
