"""What to buy, on the simulation: the cheapest mix, its runner-up, the years to it, the costs."""

from itertools import product

import pytest
from small_plans import ARRAY, BATTERY, FIRST_BAD_DAY, FORMER, SMALLEST, appliance, plan_of

from homestead import disk_cache, units
from homestead.outlook import run
from homestead.plan import PlanError, with_changes
from homestead.questions.buying import buying, levers_of, yearly_cost
from homestead.questions.variants import Variants
from homestead.simulate.inputs import hours_of

# Power for some days, water for five, food for three: only all three carry further.
TIGHT = SMALLEST | {
    "appliance": [appliance("light", 10, 24, 1)],
    "grid_former": FORMER | {"idle": "0 W"},
    "battery": BATTERY | {"module": "1.5 kWh"},
    "cistern": {"volume": "330 L", "from_well": False, "delivery": "gravity"},
    "pantry": [{"name": "shelf", "energy": "8000 kcal"}],
    "failure": FIRST_BAD_DAY | {"counts": ["power", "water", "food"]},
}
PRICES = [
    {"name": "module", "part": "battery", "cost": "$700", "per": "1 module", "most": "6 modules"},
    {"name": "tank", "part": "cistern", "cost": "$100", "per": "100 L", "most": "1650 L"},
    {"name": "food", "part": "pantry", "cost": "$20", "per": "10000 kcal"},
]
SUN = {"name": "sun", "cost": "$900", "adds": {"array": [ARRAY]}}
TANK = {"name": "tank", "cost": "$500", "sets": {"cistern.volume": "3000 L"}}
FOOD = {
    "name": "food",
    "cost": "$300",
    "adds": {"pantry": [{"name": "more", "energy": "400000 kcal"}]},
}
DUD = {"name": "paint", "cost": "$40", "sets": {"house.appliance_heat": 0.5}}


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")


def test_the_mix_of_three_that_no_pair_shows_is_bought():
    plan = plan_of(TIGHT | {"change": [DUD, SUN, TANK, FOOD]})
    found = buying(plan, 20, years_n=2)
    assert found.today.reached_days < 8
    for pair in ((SUN, TANK), (SUN, FOOD), (TANK, FOOD)):
        sets, adds = {}, {}
        for idea in pair:
            sets, adds = sets | idea.get("sets", {}), adds | idea.get("adds", {})
        assert Variants(plan, 2).one(sets, adds).reached() < 8
    assert [one.name for one in found.best.items] == ["sun", "tank", "food"]
    assert found.best.cost_money == 1700.0 and found.best.reached_days >= 20
    assert found.runner_up is None and found.is_proven


def test_the_mix_is_the_cheapest_of_every_mix_of_the_same_steps():
    """Brute force: every size that the search itself may buy, each worked."""
    plan = plan_of(TIGHT | {"price": PRICES})
    found = buying(plan, 12, years_n=1)
    levers = levers_of(plan)
    assert [one.name for one in levers] == ["battery", "cistern", "pantry"]
    steps = [sorted({0.0, *one.steps}) for one in levers]
    mixes = list(product(*steps))
    questions = []
    for mix in mixes:
        sets = {}
        for lever, many in zip(levers, mix, strict=True):
            sets |= lever.question(many)[0] if many else {}
        questions.append((sets, {}))
    costs = [
        sum(lever.cost(many) for lever, many in zip(levers, mix, strict=True))
        for mix, one in zip(mixes, Variants(plan, 1).of(questions, days_only=True), strict=True)
        if one.reached() >= 12
    ]
    # The search goes on in narrower steps, so it may be cheaper; by a step of each at most.
    assert costs and found.best.cost_money <= min(costs) + 1e-6
    steps_money = sum(lever.cost(lever.steps[0]) for lever in levers)
    assert found.best.cost_money > min(costs) - steps_money
    assert found.best.reached_days >= 12
    assert found.worked_n < len(mixes)


def test_what_is_bought_reaches_the_days_on_all_weather_years_when_written_into_the_plan():
    plan = plan_of(TIGHT | {"price": PRICES, "site": {"weather": "greensboro-nc", "years": 6}})
    found = buying(plan, 12)
    assert found.years_n == 6
    sets = {}
    for lever in levers_of(plan):
        bought = next((one for one in found.best.items if one.name == lever.name), None)
        if bought:
            each_money = lever.cost(1.0)
            sets |= lever.question(bought.cost_money / each_money)[0]
    then = run(with_changes(plan.raw, sets, folder=plan.folder))
    assert then.homestead.p10 == found.best.reached_days >= 12


def test_the_runner_up_leaves_something_of_the_best_out():
    big = TANK | {"name": "pond", "cost": "$4000"}
    plan = plan_of(TIGHT | {"change": [SUN, TANK, FOOD, big]})
    found = buying(plan, 20, years_n=1)
    best, second = ({one.name for one in mix.items} for mix in (found.best, found.runner_up))
    assert best == {"sun", "tank", "food"} and second == {"sun", "pond", "food"}
    assert found.runner_up.cost_money >= found.best.cost_money


def test_days_that_nothing_reaches_are_told_with_the_most_that_money_buys():
    found = buying(plan_of(TIGHT | {"change": [TANK, FOOD]}), 300, years_n=1)
    assert found.best is None and found.runner_up is None
    assert found.most.reached_days == max(one.reached_days for one in found.curve)
    assert "no mix gets there" in repr(found)


def test_the_curve_never_buys_fewer_days_for_more_money():
    found = buying(plan_of(TIGHT | {"price": PRICES}), 12, years_n=1)
    money = [one.cost_money for one in found.curve]
    days = [one.reached_days for one in found.curve]
    assert money == sorted(money) and days == sorted(days) and money[0] == 0.0
    assert found.best.items in [one.items for one in found.curve]


def test_the_years_spend_no_more_than_there_is_and_end_at_the_mix():
    plan = plan_of(TIGHT | {"change": [SUN, TANK, FOOD], "buying": {"yearly": "$800"}})
    found = buying(plan, 20, years_n=1)
    for year in found.by_year:
        assert year.spent_money + year.left_money == pytest.approx(800.0 * year.year_n)
        assert year.left_money >= 0.0
    # $1,700 at $800 a year: in the third.
    assert len(found.by_year) == 3
    assert found.by_year[-1].after.items == found.best.items
    bought = [one.name for year in found.by_year for one in year.bought]
    assert sorted(bought) == ["food", "sun", "tank"]


def test_an_idea_that_sets_what_a_price_covers_is_left_to_the_price():
    plan = plan_of(TIGHT | {"change": [SUN, TANK, FOOD], "price": PRICES[1:]})
    assert [one.name for one in levers_of(plan)] == ["sun", "cistern", "pantry"]


def test_a_price_buys_so_much_for_so_much_money():
    plan = plan_of(TIGHT | {"price": PRICES})
    battery, cistern, pantry = levers_of(plan)
    assert battery.cost(2.0) == 1400.0 and max(battery.steps) == 6 - plan.battery.modules_n
    assert cistern.cost(0.5) == pytest.approx(500.0)  # half a cubic meter, $100 for 100 L
    assert pantry.cost(50_000.0) == pytest.approx(100.0)
    sets, _ = pantry.question(20_000.0)
    assert units.parse(sets["pantry.shelf.energy"], "food_energy") == pytest.approx(28_000.0)


def test_a_cistern_by_hand():
    """60 L a day, a gallon of which is the least: 12 days need 11 days' use and a gallon."""
    plan = plan_of(TIGHT | {"price": PRICES[1:2], "failure": FIRST_BAD_DAY | {"counts": ["water"]}})
    found = buying(plan, 12, years_n=1)
    narrow_l = (1650 - 330) / 4 / 3
    bought_l = found.best.cost_money  # $100 for 100 L
    assert 11 * 60 - 330 <= bought_l <= 12 * 60 - 330 + narrow_l


def test_a_bank_in_series_grows_by_whole_strings_and_an_array_keeps_its_converter_in_step():
    bank = BATTERY | {"module": "500 Wh", "modules": 6, "series": 3}
    sun = [ARRAY | {"modules_per_string": 2}]
    each = {"cost": "$1"}
    plan = plan_of(
        TIGHT
        | {"battery": bank, "array": sun}
        | {"price": [
            each | {"name": "a", "part": "battery"},
            each | {"name": "b", "part": f"array {ARRAY['name']}", "most": "5 modules"},
        ]}
    )  # fmt: skip
    battery, array = levers_of(plan)
    assert {step % 3 for step in battery.steps} == {0.0}
    sets, _ = array.question(3.0)
    grown = with_changes(plan.raw, sets).arrays[0]
    assert grown.strings_n * grown.modules_per_string_n == 5
    assert grown.converter_w == pytest.approx(4000.0 * 2.5)


def test_no_prices_and_no_ideas_is_told():
    found = buying(plan_of(TIGHT), 20, years_n=1)
    assert found.best is None and found.most.items == ()


@pytest.mark.parametrize(("part", "why"), [("batery", "such as battery"), ("fuel", "array NAME")])
def test_a_price_of_what_the_plan_lacks_is_refused(part, why):
    with pytest.raises(PlanError, match=why):
        with_changes(TIGHT | {"price": [{"name": "a", "part": part, "cost": "$1"}]})


def test_a_price_of_a_part_that_is_gone_is_kept_and_told():
    price = {"name": "a", "part": "array south", "cost": "$1"}
    found = buying(plan_of(TIGHT | {"change": [TANK], "price": [price]}), 20, years_n=1)
    assert found.left_out == ("array south",)


def test_two_prices_of_one_part_are_refused():
    twice = [PRICES[0], PRICES[0] | {"name": "again"}]
    with pytest.raises(PlanError, match="has a price already"):
        with_changes(TIGHT | {"price": twice})


@pytest.mark.parametrize("wrong", [{"days": 0}, {"days": 400}, {"share": 0.3}, {"need": "cheer"}])
def test_what_cannot_be_asked_is_refused(wrong):
    with pytest.raises(ValueError, match=r"\w"):
        buying(plan_of(TIGHT), **({"days": 10} | wrong))


# By hand: 10 W around the clock is 87.6 kWh a year out of the battery, and what the inverter loses
# on top of it; at 2 kWh usable that is so many full cycles a year.
def test_a_battery_is_worn_by_its_cycles_or_its_years_whichever_is_sooner():
    sun = {"array": [ARRAY | {"modules_per_string": 4}]}
    price = {"name": "b", "part": "battery", "cost": "$700"}
    plan = plan_of(TIGHT | sun | {"price": [price | {"lasts_years": 10}]})
    hours = hours_of(plan, 1)
    pieces = plan.battery.modules_n
    assert yearly_cost(plan, hours) == pytest.approx(70.0 * pieces)
    few = plan_of(TIGHT | sun | {"price": [price | {"lasts_years": 10, "lasts_cycles": 100}]})
    usable_wh = hours.fixed.battery_wh * hours.fixed.discharge_depth_frac
    night_wh = 10.0 * 8760 * 0.5  # at least half of the year is night or dull
    at_least = 700.0 * pieces / (100.0 / (night_wh * 0.8 / usable_wh))
    assert yearly_cost(few, hours) > max(at_least, 70.0 * pieces)


def test_fuel_and_running_hours_cost_by_what_a_year_takes():
    """0.4 kW of fuel for 100 W around the clock: by hand 3,504 kWh of propane a year."""
    plan = plan_of(
        SMALLEST
        | {
            "appliance": [appliance("light", 100, 24, 1)],
            "generator": {
                "rated": "2 kW", "store": "gas", "no_load_fuel": "0 W", "full_load_fuel": "8 kW",
                "daily_limit": "24 h",
            },
            "fuel": [
                {"name": "gas", "fuel": "propane", "amount": "100 L", "reserve": 0.0,
                 "price": "$3", "price_amount": "1 gal"},
            ],
            "price": [
                {"name": "g", "part": "generator", "cost": "$3000", "lasts_running": "3000 h"}
            ],
        }
    )  # fmt: skip
    hours = hours_of(plan, 1)
    # 91,452 Btu a gallon (EIA, as in data/reference); 3,412.14 Btu a kWh.
    gallons = 3504.0 * 3412.14 / 91452.0
    running_h = 8760.0
    wanted = gallons * 3.0 + 3000.0 * running_h / 3000.0
    assert yearly_cost(plan, hours) == pytest.approx(wanted, rel=0.01)
