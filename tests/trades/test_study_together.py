"""What may run and start together, by hand; and the one line that asks it."""

import math

import numpy as np
import pytest
from electrical_plans import HOUSE, about, house, large

import homestead as hs
from homestead.plan.schema import read_plan
from homestead.questions.run_together import at_its_busiest
from homestead.screen.figures import may_run
from homestead.shown import LINES_N
from homestead.simulate.inputs import hours_of
from homestead.trades.power import check_starting, limit_tables, study_loads
from homestead.trades.power.study_together import Situation, situations, switched_on

AC = {"rated": "1.5 hp", "supply": "240 V", "depth": "60 m", "flow": "20 L/min"}


def load(name, priority, watts, start_va=0.0, volts=240.0, leg=None):
    """A load that runs at any time; a soft starter takes its start to 0.333."""
    start_a = start_va / volts
    return study_loads.Load(
        name, priority, volts, 1, watts, 0.0, 0.0, 0, 24, tuple(range(1, 13)), leg,
        start_a, start_a, False, "entered",
    )  # fmt: skip


def night(steady=6000.0, surge=12000.0, sun=0.0, leg=math.inf, tiers=()):
    return Situation("by night", 1, 0, steady, sun, surge, leg, tiers, frozenset())


PUMP, AIR = load("pump", 1, 1000, 7000), load("air", 3, 2000, 9000)
LIGHTS, OVEN = load("lights", 1, 500), load("oven", 2, 3000)


def test_order_and_headroom_by_hand():
    # Essential first, the harder start first: pump, lights, oven, air.
    steps = switched_on(night(), [OVEN, AIR, LIGHTS, PUMP])
    assert [one.load.name for one in steps] == ["pump", "lights", "oven", "air"]
    # 1000, 1500, 4500 W of 6000; air would make 6500 and starts with 9000 on 12000 - 4500.
    assert [one.running_w for one in steps] == [1000, 1500, 4500, 6500]
    assert [one.fits for one in steps] == [True, True, True, False]
    pump, *_, air = steps
    assert pump.left_va == 12000 - 7000 and air.left_va == 12000 - 4500 - 9000
    # With all else on: 5500 W beside the pump, 4500 beside air.
    assert pump.all_on_va == 12000 - 5500 - 7000 and air.all_on_va == -1500
    # Air fits when the oven is off: 3500 W, and 12000 - 1500 - 9000 = 1500 VA left.
    assert air.off_first == ("oven",)
    # The pump, beside lights and oven, which run: 12000 - 3500 - 7000 is above 0.
    assert pump.off_first == ()


def test_soft_starters_and_sun_leave_more():
    soft = {one.load.name: one for one in switched_on(night(), [AIR, OVEN], soft=True)}
    share = AIR.soft_start_va / AIR.start_va
    assert 0.2 < share < 0.5
    assert soft["air"].left_va == pytest.approx(12000 - 3000 - 9000 * share)
    # 4 kW of sun carry the oven: the surge is left for the start, and no more than that.
    by_day = {one.load.name: one for one in switched_on(night(sun=4000.0), [AIR, OVEN])}
    assert by_day["air"].left_va == 12000 - 9000 and by_day["air"].fits
    assert by_day["air"].left_w == 10000 - 5000


def test_overload_tiers_say_how_long_it_runs():
    tiers = ((1800.0, 7000.0), (60.0, 8000.0), (5.0, 12000.0))
    here = night(tiers=tiers)
    lasts = [here.lasts_s(watts) for watts in (6000, 6500, 7500, 9000, 13000)]
    assert lasts == [math.inf, 1800.0, 60.0, 5.0, 0.0]


def test_a_leg_is_held_to_its_share():
    kettle, iron = (load(name, 2, 2000, volts=120.0, leg="A") for name in ("kettle", "iron"))
    steps = switched_on(night(leg=3000.0), [kettle, iron])
    assert [one.fits for one in steps] == [True, False]
    assert steps[1].off_first == ("kettle",)


def test_what_never_fits_says_so():
    (step,) = switched_on(night(surge=5000.0), [PUMP])
    assert not step.fits and step.off_first is None


def test_what_to_switch_off_holds_no_needless_load():
    small = load("radio", 3, 100)
    steps = switched_on(night(steady=4000.0), [OVEN, small, load("saw", 3, 3500)])
    saw = next(one for one in steps if one.load.name == "saw")
    # Listed: comfort first; the saw of 3500 W comes on before the radio, and waits for the oven.
    assert saw.off_first == ("oven",)


def test_situations_of_a_plan(greensboro):
    plan = large()
    hours = hours_of(plan, 1, greensboro)
    found = {one.name: one for one in situations(hours, 6, 12)}
    assert list(found) == [
        "by night",
        "by day",
        "by night, one main inverter down",
        "by day, one main inverter down",
    ]
    sun_w = hours.column("pv_ac_w").reshape(-1, 24)[151:181, 12]
    assert found["by day"].sun_w == pytest.approx(np.median(sun_w))
    assert found["by night"].sun_w == 0.0 and found["by night"].steady_w == 16000.0
    assert found["by night, one main inverter down"].surge_w == 14000.0
    at_dark = {one.name: one for one in situations(hours, 6, 1)}
    assert at_dark["by day"].sun_w > found["by day"].sun_w * 0.9  # the sunniest hour instead


def test_one_unit_of_a_leg_takes_what_needs_both_legs(greensboro):
    split = large(lambda raw: raw["grid_former"].update(arrangement="one per leg"))
    found = situations(hours_of(split, 1, greensboro), 6, 12)
    names = [one.name for one in found]
    assert names[2:] == [
        "by night, the main inverter of leg A down",
        "by night, the main inverter of leg B down",
    ]
    assert {"well pump", "cooling", "refrigerator", "south roof"} <= found[2].stopped
    assert "chest freezer" not in found[2].stopped and "chest freezer" in found[3].stopped


@pytest.mark.parametrize(("units", "held_n"), [(2, 1), (4, 2), (6, 4)])
def test_pairs_that_lose_a_unit_are_held_to_the_weaker_leg(greensboro, units, held_n):
    former = {"units": units, "continuous": "3 kW", "surge": "6 kW", "arrangement": "one per leg"}
    plan = house(grid_former=former, generator=None)
    found = {one.name: one for one in situations(hours_of(plan, 1, greensboro), 6, 12)}
    down = next(one for name, one in found.items() if name.endswith("down"))
    assert down.surge_w == held_n * 6000.0


def test_one_line_from_a_notebook(greensboro):
    plan = large()
    asked = hs.run_together(plan, month=7, hour=14)
    assert len(repr(asked).splitlines()) <= LINES_N
    assert "cooling" in repr(asked) and "soft starter" in repr(asked)
    table = asked.table
    assert set(table["soft_starters"]) == {True, False}
    assert (table.groupby(["situation", "soft_starters"])["order"].min() == 1).all()
    now = hs.run_together(plan)
    assert 1 <= now.month <= 12
    with pytest.raises(ValueError, match="hour"):
        hs.run_together(plan, month=7, hour=24)


def test_figure_and_tables_hold_the_same_numbers():
    outlook = hs.run(large(), 1)
    picture, tables = may_run(outlook), limit_tables.together(outlook)
    asked = at_its_busiest(outlook.hours)
    assert len(tables) == len(asked.sets)
    for one, table in zip(asked.sets, tables.values(), strict=True):
        here = picture.table[picture.table["Situation"] == one.situation.name]
        plain = here[here["Soft starter"] == "no"].set_index("Motor")["Surge left (kVA)"]
        column = table["Start left, all else on (kVA)"]
        for name, value in plain.items():
            assert float(column[name]) == pytest.approx(value)
    assert any(word in picture.title for word in ("can't start", "can start"))


def test_the_continuous_finding_says_how_long_an_overload_lasts():
    weak = {"continuous": "1.5 kW", "surge": "4 kW", "overload_half_hour": "2 kW"}
    plan = house(grid_former=weak | {"overload_minute": "3 kW"}, generator=None)
    (found,) = about(check_starting.findings_of(plan, study_loads.loads_of(plan)), "continuous")
    assert found.severity == "warning" and "for 30 min" in found.said()


def test_tiers_stand_in_order():
    wrong = HOUSE["grid_former"] | {"overload_half_hour": "7 kW", "overload_minute": "6.5 kW"}
    _, faults = read_plan(HOUSE | {"grid_former": wrong})
    assert [one.where for one in faults] == [("grid_former", "overload_minute")]


@pytest.mark.parametrize(
    ("heats", "hours"),
    [("always", range(24)), ("timer", range(10, 15)), ("surplus", range(8, 17))],
)
def test_a_tank_on_a_timer_or_on_surplus_is_no_load_of_the_night(heats, hours):
    hot = {"store": "electricity", "input": "4500 W", "tank": "50 gal", "heats": heats}
    (one,) = [x for x in study_loads.loads_of(house(hot_water=hot)) if x.name == "water heater"]
    assert [hour for hour in range(24) if one.runs(1, hour)] == list(hours)
