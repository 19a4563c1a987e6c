"""How much is enough: sizes found are the smallest that do, against cases by hand."""

import math

import numpy as np
import pytest
from small_plans import ARRAY, BATTERY, FIRST_BAD_DAY, FORMER, SMALLEST, appliance, plan_of

from homestead import units
from homestead.outlook import remembered
from homestead.plan import demo_path, open_plan, with_changes
from homestead.questions.enough import CLOSE_FRAC, enough, knee_of, sizable, sized
from homestead.questions.variants import Variants
from homestead.simulate.inputs import hours_of

PANTRY = SMALLEST | {
    "failure": FIRST_BAD_DAY | {"counts": ["food"]},
    "pantry": [
        {"name": "rice", "food": "white rice", "mass": "5 kg"},
        {"name": "tins", "energy": "9000 kcal"},
    ],
}
ENGINE = SMALLEST | {
    "appliance": [appliance("light", 100, 24, 1)],
    "generator": {
        "rated": "2 kW", "store": "gas", "no_load_fuel": "0 W", "full_load_fuel": "8 kW",
        "daily_limit": "24 h",
    },
    "fuel": [{"name": "gas", "fuel": "propane", "amount": "15 L", "reserve": 0.0}],
    "failure": FIRST_BAD_DAY | {"counts": ["power"]},
}  # fmt: skip
BANK = SMALLEST | {
    "appliance": [appliance("light", 60, 24, 1)],
    "array": [ARRAY | {"modules_per_string": 2}],
    "grid_former": FORMER,
    "battery": BATTERY | {"module": "500 Wh", "modules": 6},
    "failure": FIRST_BAD_DAY | {"counts": ["power"]},
}


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(remembered.ENVIRONMENT, "off")


def reached(plan, what, multiple, need, percent=10.0):
    sets, adds, _ = sized(plan, what)(multiple)
    return Variants(plan).one(sets, adds).reached(need, percent)


@pytest.mark.parametrize("days", [10, 40])
def test_the_pantry_for_so_many_days_by_hand(days):
    """Food fails on the first day above q + 0.4, q being the days that the energy lasts.

    So N days need floor(q + 0.4) + 1 >= N, or energy for N - 1.4 days.
    """
    plan = plan_of(PANTRY)
    need_kcal = hours_of(plan, 1).fixed.need_kcal
    found = enough(plan, "pantry", days, "food")
    kcal = units.parse(found.typed, "food_energy")
    assert (days - 1.4) * need_kcal <= kcal <= (days - 1.4) * need_kcal / (1 - CLOSE_FRAC) * 1.001
    assert not found.turns_back
    assert found.today * found.smallest == pytest.approx(kcal)


@pytest.mark.parametrize("days", [5, 30])
def test_the_generator_fuel_for_so_many_days_by_hand(days):
    """0.4 kW of fuel for 100 W; a day may be dark for 4 h, so N days need 24 N - 4 hours."""
    found = enough(plan_of(ENGINE), "fuel gas", days, "power")
    # Propane, 91,452 Btu a gallon (U.S. EIA, Units and Calculators; from memory).
    wh_per_m3 = units.parse("91452 Btu", "energy") / units.convert_unit(1.0, "gal", "m^3")
    least_m3 = (24 * days - 4) * 400.0 / wh_per_m3
    typed_m3 = units.parse(found.typed, "volume")
    assert least_m3 * 0.9999 <= typed_m3 <= least_m3 / (1 - CLOSE_FRAC) * 1.001


def test_the_size_found_does_and_the_next_smaller_number_of_modules_does_not():
    plan = plan_of(BANK)
    today = Variants(plan).one().reached("power")
    found = enough(plan, "battery", today + 20, "power")
    assert isinstance(found.typed, int) and found.typed > 1
    step = 1 / plan.battery.modules_n
    assert reached(plan, "battery", found.smallest, "power") >= today + 20
    assert reached(plan, "battery", found.smallest - step, "power") < today + 20
    assert np.allclose(found.sizes * plan.battery.modules_n % 1, 0.0)


def test_a_bank_in_series_grows_by_whole_strings():
    plan = plan_of(BANK | {"battery": BATTERY | {"module": "500 Wh", "modules": 6, "series": 3}})
    found = enough(plan, "battery", 60, "power")
    assert {round(one * 6) % 3 for one in found.sizes} == {0}
    assert found.smallest is None or found.typed % 3 == 0


def test_an_array_is_counted_in_modules_and_keeps_its_converter_in_step():
    plan = plan_of(BANK)
    sets, _, typed = sized(plan, "array dc rack")(2.5)
    assert typed == "5 modules"
    array = with_changes(plan.raw, sets).arrays[0]
    assert array.strings_n * array.modules_per_string_n == 5
    assert array.converter_w == pytest.approx(4000.0 * 2.5)
    days = reached(plan, "array dc rack", 4.0, "power")
    assert days > Variants(plan).one().reached("power")
    found = enough(plan, "array dc rack", days, "power")
    n = int(found.typed.split()[0])
    assert 2 < n <= 8
    assert reached(plan, "array dc rack", n / 2, "power") >= days
    assert reached(plan, "array dc rack", (n - 1) / 2, "power") < days


def test_a_cistern_by_hand():
    """60 L a day, a gallon of which is the least: N days need N - 1 days' use and a gallon."""
    tank = {"volume": "600 L", "from_well": False, "delivery": "gravity"}
    plan = plan_of(SMALLEST | {"cistern": tank, "failure": FIRST_BAD_DAY | {"counts": ["water"]}})
    found = enough(plan, "cistern", 20, "water")
    typed_l = units.convert_unit(units.parse(found.typed, "volume"), "m^3", "L")
    assert 19 * 60 <= typed_l <= 20 * 60 / (1 - CLOSE_FRAC)
    assert reached(plan, "cistern", found.smallest, "water") >= 20
    assert reached(plan, "cistern", found.smallest * (1 - 1.01 * CLOSE_FRAC), "water") < 20


def test_a_higher_reliability_needs_no_less():
    plan = plan_of(BANK)
    half, most = (enough(plan, "battery", 12, "power", reliability_frac=one) for one in (0.5, 0.95))
    assert half.smallest <= most.smallest


def test_days_that_no_size_reaches_are_told_with_the_whole_curve():
    # Two modules of sun cannot carry 1 kW, whatever the bank.
    plan = plan_of(BANK | {"appliance": [appliance("heavy", 1000, 24, 1)]})
    found = enough(plan, "battery", 300, "power")
    assert found.smallest is None and found.typed is None
    assert len(found.sizes) == len(found.reached_days) >= 6
    assert (found.reached_days < 300).all()


def test_sizes_that_a_plan_may_not_have_are_left_out():
    tank = {"volume": "900 m^3", "from_well": False, "delivery": "gravity"}  # 1000 at most
    plan = plan_of(SMALLEST | {"cistern": tank, "failure": FIRST_BAD_DAY | {"counts": ["water"]}})
    found = enough(plan, "cistern", 300, "water")
    assert found.sizes.max() <= 1.0
    assert found.smallest == pytest.approx(300 * 60 / 900e3, rel=0.05)


def test_what_is_far_too_large_today_is_followed_down():
    plan = plan_of(PANTRY | {"pantry": [{"name": "store", "energy": "1000000 kcal"}]})
    found = enough(plan, "pantry", 5, "food")
    assert found.smallest < 1 / 8
    assert reached(plan, "pantry", found.smallest, "food") >= 5
    assert reached(plan, "pantry", found.smallest * 0.96, "food") < 5


def test_the_knee_of_a_curve_that_bends_once_is_where_it_bends():
    sizes = np.linspace(0.5, 8.0, 16)
    assert sizes[knee_of(sizes, np.minimum(sizes, 3.0) * 10)] == 3.0
    assert sizes[knee_of(sizes, np.where(sizes < 2, sizes, 2 + (sizes - 2) / 10))] == 2.0


def test_the_knee_of_a_saturating_curve_by_calculus():
    # 1 - exp(-x) on 0 to 5, both scaled to 1: farthest above the chord where the slopes agree.
    x = np.linspace(0.0, 5.0, 2001)
    by_hand = -math.log((1 - math.exp(-5)) / 5)
    assert x[knee_of(x, 1 - np.exp(-x))] == pytest.approx(by_hand, abs=0.0025)


def test_a_curve_that_turns_back_is_told(monkeypatch):
    plan = plan_of(PANTRY)

    class Odd:
        def of(self, questions, days_only=False, need=None):
            for sets, _ in questions:
                kcal = units.parse(sets["pantry.rice.energy"], "food_energy")
                yield Found(kcal)

    class Found:
        def __init__(self, kcal):
            self.kcal = kcal

        def reached(self, need, percent):
            return 50 if self.kcal < 60_000 else 20

    found = enough(plan, "pantry", 40, "food", variants=Odd())
    assert found.turns_back
    assert (np.diff(found.reached_days) <= 0).all()


def test_what_can_be_sized_is_named():
    demo = open_plan(demo_path())
    assert {"battery", "cistern", "pantry", "array barn roof", "fuel woodshed"} <= set(
        sizable(demo)
    )
    for what in sizable(demo):
        sets, adds, _ = sized(demo, what)(1.0)
        same = with_changes(demo.raw, sets, adds)
        if what == "pantry":
            total = sum(one.energy_kcal for one in same.pantry)
            assert total == pytest.approx(sized(demo, what).today)
    with pytest.raises(ValueError, match="one of cistern, .*got 'battery'"):
        enough(plan_of(SMALLEST | {"cistern": {"volume": "1 m^3"}, "pantry": PANTRY["pantry"]}),
               "battery", 10)  # fmt: skip


@pytest.mark.parametrize(
    ("more", "named"),
    [
        ({"days": 0}, "days"),
        ({"days": 366}, "days"),
        ({"days": 10, "reliability_frac": 0.3}, "reliability_frac"),
        ({"days": 10, "need": "hope"}, "need"),
    ],
)
def test_questions_out_of_range_are_refused(more, named):
    with pytest.raises(ValueError, match=named):
        enough(plan_of(PANTRY), "pantry", **more)
