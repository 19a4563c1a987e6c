"""Hydro and wind in the simulation: by hour, in balance, one part out, on every screen."""

import copy

import numpy as np
import pytest
from plain_sources import HOURS, hydro_w, wind_w
from small_plans import BATTERY, FORMER, SMALLEST, appliance, plan_of
from test_balances import assert_hours_close, assert_house_side_adds_up
from test_kernel_against_plain import assert_traces_agree

from homestead.findings.gather import findings_of
from homestead.outlook import ledger
from homestead.outlook.independence import run
from homestead.plan.schema import read_plan
from homestead.questions.parts_out import parts_of, parts_out
from homestead.screen import tables
from homestead.simulate import sources
from homestead.simulate.inputs import hours_of, weather_years
from homestead.simulate.trace import trace_of
from homestead.trades.power.study_sources import calm_so_far_h

HYDRO = {
    "head": "100 ft",
    "flow": ["60 gal/min"] * 5 + ["30 gal/min", "12 gal/min", "0 gal/min", "4 gal/min"]
    + ["40 gal/min"] * 3,
    "most_flow": "50 gal/min",
    "least_flow": "5 gal/min",
    "pipe_inside": "3 in",
    "pipe_length": "900 ft",
    "limit": "460 W",
    "coupling": "dc",
}  # fmt: skip
LIT = {
    **SMALLEST,
    "grid_former": FORMER,
    "battery": BATTERY,
    "appliance": [appliance("lamps", 400, 8, 1, between="16-24"), appliance("fan", 200, 12, 3)],
}


def with_hydro(**changes):
    return plan_of({**LIT, "hydro": {**HYDRO, **changes}})


@pytest.mark.parametrize("coupling", ["dc", "ac"])
def test_every_hour_is_the_plain_one_and_closes(coupling, greensboro):
    plan = with_hydro(coupling=coupling)
    hours = hours_of(plan, 1, greensboro)
    plain_w = np.array([hydro_w(plan.hydro, when) for when in HOURS])
    np.testing.assert_allclose(hours.sources["hydro"], plain_w, rtol=1e-9)
    np.testing.assert_allclose(hours.column(f"pv_{coupling}_w"), plain_w, rtol=1e-9)
    assert not hours.column(f"pv_{'ac' if coupling == 'dc' else 'dc'}_w").any()
    # Limited by the label, by the month's flow, standing still in two months.
    assert plain_w.max() == 460.0 * 0.95 and len(set(plain_w)) == 5
    still = {when.month for when, one in zip(HOURS, plain_w, strict=True) if one == 0.0}
    assert still == {8, 9}
    trace = trace_of(hours, 0, 365)
    assert_hours_close(hours, trace)
    assert_house_side_adds_up(trace.flows)
    assert_traces_agree(hours, 180, 60, False)


def test_a_plan_without_is_untouched(greensboro):
    hours = hours_of(plan_of(LIT), 1, greensboro)
    assert hours.sources == {} and not hours.column("pv_dc_w").any()


def test_year_tells_water_from_sun(greensboro):
    hours = hours_of(with_hydro(), 1, greensboro)
    totals = ledger.year_of(hours).totals
    assert totals["pv_kwh"] == pytest.approx(0.0, abs=1e-9)
    assert totals["hydro_kwh"] == pytest.approx(hours.sources["hydro"].sum() / 1000.0)


def test_more_water_never_shortens_power(greensboro):
    def days(factor):
        flow = [f"{float(one.split()[0]) * factor} gal/min" for one in HYDRO["flow"]]
        plan = with_hydro(flow=flow, most_flow="100 gal/min", limit="2 kW")
        return run(plan, 1).days[..., 0]

    assert (days(1.0) <= days(1.5)).all() and days(1.0).sum() < days(1.5).sum()


def test_one_part_out():
    found = {one.part: one for one in parts_out(with_hydro(), 1).parts}
    assert found["the hydro plant"].days <= 2
    # What depends on the inverter or the battery goes with them, so that the plan still holds.
    for part in parts_of(with_hydro()):
        raw = {key: one for key, one in with_hydro().raw.items() if part.sets.get(key, one)}
        assert not read_plan(copy.deepcopy(raw))[1], part.name


def test_screens_name_the_water():
    outlook = run(with_hydro(), 1)
    by_month = tables.energy_by_month(outlook)
    assert by_month.loc["Aug", "Water power available (kWh/day)"] == 0.0
    assert by_month.loc["Jan", "Water power available (kWh/day)"] == pytest.approx(10.5, abs=0.05)
    assert (by_month["Sun available (kWh/day)"] == 0.0).all()
    made_w = sources.hydro_by_month_w(outlook.plan.hydro)
    assert made_w[0] == pytest.approx(440.0, abs=5.0) and made_w[8] == 0.0


def test_findings():
    told = {one.about: one for one in findings_of(with_hydro())}
    assert "hydro" in told
    texts = " ".join(one.said() for one in findings_of(with_hydro()) if one.about == "hydro")
    assert "43" in texts and "Aug, Sep" in texts and "dump load" in texts and "permit" in texts
    narrow = " ".join(one.said() for one in findings_of(with_hydro(pipe_inside="1 in")))
    assert "more water than that gives less power" in narrow
    assert "hydro" not in {one.about for one in findings_of(plan_of(LIT))}


@pytest.mark.parametrize(
    ("changes", "gone", "text"),
    [
        ({}, "grid_former", "needs a [grid_former]"),
        ({}, "battery", "dc needs a [battery]"),
        ({"least_flow": "60 gal/min"}, "", "must not be above most_flow"),
        ({"pipe_length": "90 ft"}, "", "no pipe is shorter than it falls"),
        ({"flow": ["5 gal/min"] * 11}, "", "a list of 12 values"),
        ({"flow": ["-5 gal/min"] * 12}, "", "must be 0 to 120,000 L/min"),
    ],
)
def test_faults(changes, gone, text):
    raw = {**LIT, "hydro": {**HYDRO, **changes}}
    raw.pop(gone, None)
    faults = [fault.message for fault in read_plan(copy.deepcopy(raw))[1]]
    assert any(text in one for one in faults), faults
    assert all(len(one) <= 200 for one in faults)


WIND = {
    "curve": ["0 W at 3 m/s", "150 W at 5 m/s", "0.7 kW at 8 m/s", "1.5 kW at 12 m/s",
              "1 kW at 16 m/s"],
    "tower": "80 ft",
    "coupling": "ac",
}  # fmt: skip


def with_wind(**changes):
    return plan_of({**LIT, "wind": {**WIND, **changes}})


@pytest.mark.parametrize("coupling", ["dc", "ac"])
def test_wind_is_the_plain_one_every_hour_and_closes(coupling, greensboro):
    plan = plan_of({**LIT, "wind": {**WIND, "coupling": coupling}, "hydro": HYDRO})
    hours = hours_of(plan, 1, greensboro)
    frame = weather_years(plan, 1, greensboro)[0].hourly
    elevation_m = greensboro.site.elevation_m
    pairs = zip(frame["wind_m_s"], frame["air_c"], strict=True)
    plain_w = np.array([wind_w(plan.wind, speed, air, elevation_m) for speed, air in pairs])
    np.testing.assert_allclose(hours.sources["wind"], plain_w, rtol=1e-9, atol=1e-9)
    both_w = plain_w + hours.sources["hydro"] if coupling == "dc" else plain_w
    np.testing.assert_allclose(hours.column(f"pv_{coupling}_w"), both_w, rtol=1e-9, atol=1e-9)
    assert 0.02 < (plain_w > 0.0).mean() < 1.0 and plain_w.max() < 1500.0
    trace = trace_of(hours, 0, 365)
    assert_hours_close(hours, trace)
    assert_house_side_adds_up(trace.flows)
    assert_traces_agree(hours, 60, 40, False)


def test_a_higher_tower_gives_more(greensboro):
    made = [
        hours_of(with_wind(tower=height), 1, greensboro).sources["wind"].sum()
        for height in ("30 ft", "60 ft", "100 ft")
    ]
    assert made[0] < made[1] < made[2]


def test_wind_on_screens_and_out():
    outlook = run(with_wind(), 1)
    offered_wh = outlook.hours.sources["wind"]
    by_month = tables.energy_by_month(outlook)["Wind available (kWh/day)"]
    assert by_month.mean() == pytest.approx(offered_wh.sum() / 365_000, rel=0.05)
    assert "the wind turbine" in [part.name for part in parts_of(with_wind())]
    told = [one.said() for one in findings_of(with_wind(), outlook.hours)
            if one.about == "wind turbine"]  # fmt: skip
    assert len(told) == 2 and "stops for up to" in " ".join(told)


def test_calm_is_counted_through_midnight():
    offered_w = np.array([0.0, 5.0, 0.0, 0.0, 7.0, 0.0])
    assert calm_so_far_h(offered_w).tolist() == [1, 0, 1, 2, 0, 1]


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"rotor": "1.5 m"}, "no rotor of that size takes more"),
        ({"curve": ["1 kW at 11 m/s"]}, "two points or more"),
        ({"curve": ["1 kW at 11 m/s", "2 kW at 8 m/s"]}, "speeds rising"),
        ({"curve": ["much at 11 m/s", "2 kW at 12 m/s"]}, "must be points such as"),
        ({"tower": "1 m"}, "must be 3 to 60 m"),
    ],
)
def test_faults_of_wind(changes, text):
    faults = [f.message for f in read_plan({**LIT, "wind": {**WIND, **changes}})[1]]
    assert any(text in one for one in faults), faults
    assert all(len(one) <= 200 for one in faults)
