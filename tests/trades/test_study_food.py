"""Food day by day: against the coupled hour, by hand, and by what must hold in any plan."""

import dataclasses

import numpy as np
import pytest
from homestead.simulate.fresh import fresh_of
from homestead.trades.food.study_days import (
    SOURCES,
    Outages,
    food_days,
    keeps_days_of,
    need_of,
    outages_of,
    stores_of,
)
from small_plans import FIRST_BAD_DAY, SMALLEST

from homestead import units
from homestead.plan.schema import read_plan
from homestead.simulate import records as terms
from homestead.trades.food import study_food as food
from homestead.trades.food import study_produce as food_produce
from homestead.vocabulary import OUTCOMES

NAMES = ("demo", "cabin", "cold-coast")
FOOD = OUTCOMES.index("food")


def plan_of(**parts):
    plan, faults = read_plan(SMALLEST | {"failure": FIRST_BAD_DAY} | parts)
    assert faults == []
    return plan


def without_blackout(hours):
    """The same inputs with a freezer that holds forever and a garden that needs no water."""
    rows = hours.rows.copy()
    rows[:, terms.GARDEN] = 0.0
    fixed = hours.fixed._replace(freezer_hold_h=1e9)
    return dataclasses.replace(hours, rows=rows, fixed=fixed)


# Two programs of the same rule: this one by the calendar alone, the other inside the coupled hour.
@pytest.mark.parametrize("name", NAMES)
def test_energy_days_are_those_of_the_coupled_hour_in_a_year_without_blackouts(
    name, shipped_hours, failures
):
    hours = shipped_hours[name]
    coupled = failures(without_blackout(hours))[:, FOOD]
    assert food_days(hours.plan).energy_days.tolist() == coupled.tolist()


@pytest.mark.parametrize("name", NAMES)
def test_energy_days_are_those_of_the_coupled_hour_with_blackouts_too(
    name, shipped_hours, failures
):
    hours = shipped_hours[name]
    coupled = failures(hours)[:, FOOD]
    run = food_days(hours.plan, outages=outages_of(hours))
    assert run.energy_days.tolist() == coupled.tolist()


@pytest.mark.parametrize("name", NAMES)
def test_fresh_food_and_stores_are_those_of_the_coupled_hour(name, shipped_hours):
    hours = shipped_hours[name]
    fresh, stores = fresh_of(hours.plan), stores_of(hours.plan)
    assert fresh.garden_kcal == pytest.approx(hours.days.garden_kcal[:365])
    assert fresh.animal_kcal == pytest.approx(hours.days.animal_kcal[:365, :-1])
    assert fresh.meat_kcal == pytest.approx(hours.days.animal_kcal[:365, -1])
    assert fresh.feed_kg == pytest.approx(hours.days.feed_kg[:365, :-1])
    assert stores.pantry_kcal.sum() == pytest.approx(hours.larder.pantry_kcal)
    assert need_of(hours.plan)[0] == pytest.approx(hours.fixed.need_kcal)


# By hand: a woman of 40, moderately active, needs 2,000 kcal and 46 g (tables). 20,000 kcal of
# honey and nothing else: ten full days, then nothing. Energy of seven days falls below 80 % with
# the second empty day, day 11. Protein: 0.3 g in 304 kcal give 2 g a day; the days before were
# full, so the second day on honey is the one: 5 x 46 + 2 x 2 = 234 of 258 g.
def test_honey_by_hand():
    plan = plan_of(pantry=[{"name": "honey", "food": "honey", "mass": f"{20000 / 3040} kg"}])
    run = food_days(plan, starts=[0, 100])
    assert run.energy_days.tolist() == [11, 11]
    assert run.protein_days.tolist() == [1, 1]
    assert run.first_short.tolist() == ["protein", "protein"]


# By hand: beans alone, 21.6 g in 341 kcal, are 127 g of protein a day: both stop on the same day.
def test_beans_by_hand():
    plan = plan_of(pantry=[{"name": "b", "food": "black beans", "mass": f"{20000 / 3410} kg"}])
    run = food_days(plan, starts=[7])
    assert run.energy_days.tolist() == [11]
    # The week before the last bean held 5 x 126.7 g, above the 257.6 g asked for; protein of the
    # days on beans carries on: 2 x 126.7 = 253 g is the first window below, day 10 + 4.
    assert run.protein_days.tolist() == [14]


# By hand: 2,000 kcal a day, 100 kg of rice at 365 kcal/hg, thirty days to go on its label.
def test_what_spoils_before_it_is_eaten():
    dates = {"best_by": "2026-12-01", "counted": "2026-11-01"}
    rice = {"name": "rice", "food": "white rice", "mass": "100 kg"}
    run = food_days(plan_of(pantry=[rice | dates]), starts=[0])
    # Thirty days at 2,000 kcal are eaten of 365,000 kcal; the rest is thrown out on day 30.
    assert run.spoilt_kcal["rice"].tolist() == pytest.approx([365_000.0 - 60_000.0])
    assert run.energy_days.tolist() == [31]
    kept = food_days(plan_of(pantry=[rice | dates]), starts=[0], spoilage=False)
    assert kept.spoilt_kcal["rice"].tolist() == [0.0] and kept.energy_days[0] > 180


def test_what_goes_off_first_is_eaten_first():
    soon = {"best_by": "2026-12-01", "counted": "2026-11-01"}
    shelves = [
        {"name": "soon", "food": "white rice", "mass": "10 kg"} | soon,
        {"name": "late", "food": "white rice", "mass": "40 kg"},
    ]
    run = food_days(plan_of(pantry=shelves), starts=[0])
    # 36,500 kcal of the 60,000 eaten within the thirty days, so none of it need spoil; by
    # proportion alone four fifths of each day's rice would come from the other shelf.
    assert run.spoilt_kcal["soon"].iloc[0] == pytest.approx(0.0, abs=1e-6)
    assert keeps_days_of(plan_of(pantry=shelves).pantry[0]) == (30.0, "best-by date")
    assert keeps_days_of(plan_of(pantry=shelves).pantry[1])[1] == "table"


# By hand: 8,000 kcal frozen, need 2,000: gone on day 4. Dark on day 2 for 48 h: half is lost.
def test_a_freezer_gone_dark_is_lost():
    plan = plan_of(
        appliance=[{"name": "freezer", "power": "90 W", "daily_use": "8 h", "priority": 1}],
        freezer={"appliance": "freezer", "energy": "8000 kcal", "fill": 1.0},
    )
    dark = np.zeros((1, 365))
    dark[0, 2] = 48.0
    none = np.zeros_like(dark)
    lit = food_days(plan, starts=[0])
    lost = food_days(plan, starts=[0], outages=Outages(dark, none, none))
    assert lost.frozen_lost_kcal.tolist() == [4000.0]
    assert lit.energy_days[0] - lost.energy_days[0] == 2
    short = np.where(dark > 0, 23.9, 0.0)  # half full by then: 24 h is the line
    held = food_days(plan, starts=[0], outages=Outages(short, none, none))
    assert held.frozen_lost_kcal.tolist() == [0.0]


@pytest.mark.parametrize("name", NAMES)
def test_every_day_adds_up(name, shipped_hours):
    plan = shipped_hours[name].plan
    run = food_days(plan, starts=[0, 180], daily=True)
    stores, need = stores_of(plan), need_of(plan)[0]
    eaten = run.eaten_kcal
    assert (eaten.sum(axis=2) <= need * (1 + 1e-12)).all()
    for column, source, held in (
        (0, "pantry", stores.pantry_kcal.sum()),
        (1, "freezer", stores.freezer_kcal),
    ):
        used = eaten[:, :, SOURCES.index(source)].cumsum(axis=0)
        assert used + run.left_kcal[:, :, column] == pytest.approx(np.full(used.shape, held))
    protein_g = run.eaten_protein_g[:, :, SOURCES.index("pantry")].sum(axis=0)
    assert (protein_g <= stores.pantry_g.sum() * (1 + 1e-12)).all()


def test_leaving_out_a_source_never_helps(shipped_hours):
    plan = shipped_hours["demo"].plan
    full = food_days(plan)
    for source in SOURCES:
        less = food_days(plan, without=(source,))
        assert (less.energy_days <= full.energy_days).all(), source
        assert (less.protein_days <= full.protein_days).all(), source
    with pytest.raises(ValueError, match="without must be of garden"):
        food_days(plan, without=("shop",))


def test_meat_counts_in_its_months_and_feed_stops_the_eggs():
    hens = {
        "name": "hens", "kind": "laying hen", "count": 10, "food": "40 kcal",
        "feed": "10 kg", "feed_day": "0.1 kg",
    }  # fmt: skip
    pig = {"name": "pig", "kind": "pig", "count": 1, "meat": "61 kg", "slaughter": "Nov-Dec"}
    plan = plan_of(animal=[hens, pig])
    run = food_days(plan, starts=[0], daily=True)
    eggs = run.eaten_kcal[:, 0, SOURCES.index("eggs")]
    assert eggs[:10].tolist() == [400.0] * 10 and eggs[10:].max() == 0.0  # 10 kg at 1 kg a day
    # A kilogram a day of pork (263 kcal/hg) is more than the 2,000 kcal needed.
    meat = run.eaten_kcal[:, 0, SOURCES.index("meat")]
    assert meat[:304].max() == 0.0 and meat[304:] == pytest.approx(np.full(61, 2000.0))
    by_month = food.fresh_by_month(plan)["meat_kcal"]
    assert by_month[11] + by_month[12] == pytest.approx(61 * 2630.0)
    protein = run.eaten_protein_g[304:, 0, SOURCES.index("meat")]
    assert protein == pytest.approx(np.full(61, 2000.0 / 2630.0 * 168.8))


def test_a_nursing_mother_shortens_the_days():
    def days(stage):
        mother = [{"name": "A", "age": 40, "sex": "female", "life_stage": stage}]
        shelves = [{"name": "s", "energy": "200000 kcal"}]
        return food_days(plan_of(person=mother, pantry=shelves), starts=[0]).energy_days[0]

    assert days("nursing months 1 to 6") < days("none")


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
    plan = shipped_hours["demo"].plan
    table = food.pantry(plan)
    assert table["share_frac"].sum() == pytest.approx(1.0)
    assert table.loc["home-canned goods", "protein_is_assumed"]
    # 60,000 kcal x 10 % at 4 kcal/g. By hand.
    assert table.loc["home-canned goods", "protein_g"] == pytest.approx(1500.0)
    alone = food.stores_alone(plan)
    assert alone.loc["pantry", "days_at_need"] == pytest.approx(
        table["energy_kcal"].sum() / need_of(plan)[0]
    )
    assert alone.loc["freezer", "days_at_need"] == pytest.approx(110_000 / 12_000)
    # The rule lets five days of 28 go empty (80 % of them are 22.4 days).
    extra = alone["energy_days"] - np.floor(alone["days_at_need"])
    assert set(extra) <= {5.0, 6.0}
    assert food.pantry(plan_of()).empty


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


def test_months_of_start_and_of_the_year(shipped_hours):
    plan = shipped_hours["demo"].plan
    run = food_days(plan)
    months = food.by_month_of_start(run)
    assert list(months.index) == list(range(1, 13))
    assert months["energy_least_days"].min() == run.energy_days.min()
    eaten = food.eaten_by_month(plan, start=90)
    assert eaten.index[0] == 4 and len(eaten) == 12
    columns = [f"{name}_kcal" for name in SOURCES] + ["missing_kcal"]
    assert eaten[columns].sum(axis=1).to_numpy() == pytest.approx(eaten["need_kcal"].to_numpy())
    fresh = food.fresh_by_month(plan)
    assert fresh["garden_kcal"].sum() == pytest.approx(
        food_produce.crops(plan)["energy_kcal"].sum()
    )


def test_the_harvest_keeps_the_pantry_fuller(shipped_hours):
    table = food.through_the_year(shipped_hours["demo"].plan, start=200)
    assert (table["pantry_kcal"] >= table["pantry_without_harvest_kcal"] - 1e-6).all()
    assert table["pantry_kcal"].is_monotonic_decreasing
    assert table["pantry_kcal"].sum() > table["pantry_without_harvest_kcal"].sum()
    assert table["month"].iloc[0] == 7 and len(table) == 365


def test_crops_by_month_pick_and_eat_the_same(shipped_hours):
    plan = shipped_hours["demo"].plan
    table = food_produce.crops_by_month(plan)
    for crop in plan.crops:
        one = table.loc[crop.name]
        assert one["picked_kg"].sum() == pytest.approx(crop.harvest_kg)
        assert one["eaten_kg"].sum() == pytest.approx(crop.harvest_kg * crop.edible_frac)
        assert one["kept_kg"].min() == pytest.approx(0.0) and one["kept_kg"].max() > 0.0
    assert food_produce.crops_by_month(plan_of()).empty


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


def test_cautions_are_at_hand():
    assert any("botulism" in one.text for one in food.cautions())
