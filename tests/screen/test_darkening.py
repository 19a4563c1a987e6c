"""The drawn homestead: its bands are the flows of the trace, to one scale, and dark is failed."""

import re

import numpy as np
import pytest

from homestead import units as measures
from homestead.outlook import run
from homestead.plan import open_plan, with_changes
from homestead.plan.file import demo_path
from homestead.screen import darkening
from homestead.simulate.inputs import DAYS_N
from homestead.simulate.trace import trace_of


@pytest.fixture(scope="module")
def outlook():
    return run(open_plan(demo_path()), 2)


@pytest.fixture(scope="module")
def moments(outlook):
    return darkening.moments_of(outlook)


def test_the_moments_hold_the_whole_chain_and_the_first_failure(outlook, moments):
    assert 2 <= len(moments) <= 4 and moments[0].day == 1
    assert outlook.homestead.least + 1 in [one.day for one in moments]
    events = [event for one in moments for event in one.events]
    assert len(events) >= 5
    assert [one.day for one in events] == sorted(one.day for one in events)
    for before, after in zip((None, *moments), moments, strict=False):
        assert all((before.day if before else 0) <= one.day < after.day for one in after.events)


def test_flows_are_those_of_the_trace(outlook, moments):
    moment = next(one for one in moments if one.day == outlook.homestead.least + 1)
    year, start = outlook.worst
    flows = trace_of(outlook.hours, year * DAYS_N + start, moment.day).flows
    last = flows.iloc[-72:].sum() / 3
    given = {one.name: one.given for one in moment.flows}
    assert given["sun"] == pytest.approx((last.pv_w - last.curtailed_w) / 1000)
    assert given["cistern"] == pytest.approx(last.delivered_m3)
    failed = {need for need, state in moment.states.items() if state >= 2}
    days = {need: outlook.days_of(need)[year, start] for need in outlook.needs}
    assert failed == {need for need, one in days.items() if one < moment.day} != set()


def test_bands_are_as_wide_as_their_flows_in_every_drawing(outlook, moments):
    ratios = {"energy": [], "water": []}
    for moment, drawn in zip(moments, darkening.drawings(moments, "us"), strict=True):
        widths = re.findall(r'class="flow (\w+)"[^>]*stroke-width="([\d.]+)"', drawn)
        flowing = [one for one in moment.flows if one.given > 0]
        for need in ("power", "water", "warmth", "food"):
            mine = [float(width) for name, width in widths if name == need]
            real = [one.given for one in flowing if one.need == need]
            assert len(mine) == len(real)
            kind = "water" if need == "water" else "energy"
            pairs = zip(mine, real, strict=True)
            ratios[kind] += [(w / r) for w, r in pairs if w > 3]
    for found in ratios.values():
        assert np.ptp(found) < 0.05 * np.mean(found)


def test_a_need_that_failed_and_is_back_says_both(outlook, moments):
    year, start = outlook.worst
    dark = trace_of(outlook.hours, year * DAYS_N + start, moments[-1].day).flows.dark_frac
    assert dark.iloc[-72:].mean() < 0.05 < dark.max()  # else this start would show nothing
    assert moments[-1].states["power"] == darkening.BACK
    drawn = darkening.drawings(moments, "us")[-1]
    assert ">failed<" in drawn and ">lit now<" in drawn
    assert "power failed; lit now" in darkening.words(moments[-1], "us")


def test_food_is_drawn_at_its_energy(outlook, moments):
    year, start = outlook.worst
    eaten = trace_of(outlook.hours, year * DAYS_N + start, 1).food_kcal.eaten_kcal.iloc[-1]
    food = next(one for one in moments[0].flows if one.need == "food")
    # 1 kWh = 859.85 kcal (thermochemical calorie 4.184 J: 3.6 MJ / 4184 J = 860.4)
    assert food.given == pytest.approx(eaten / 860.4, rel=1e-3)
    assert measures.digits(food.given, 2) in darkening.words(moments[0], "us")


def test_a_house_that_never_fails_or_has_next_to_nothing_is_drawn_too():
    raw = open_plan(demo_path()).raw
    needed = ("schema", "name", "site", "person", "house", "envelope")
    bare = with_changes({key: raw[key] for key in needed}, {}, folder=demo_path().parent)
    moments = darkening.moments_of(run(bare, 1))
    drawn = darkening.drawings(moments, "metric")
    assert len(drawn) == len(moments) >= 1 and all("<svg" in one for one in drawn)
    assert len(darkening.table(moments, "metric"))
