"""Spring and ram pump in the simulation: by month, in balance, one part out, on every screen."""

import copy

import numpy as np
import pytest
from plain_sources import HOURS
from small_plans import SMALLEST, plan_of
from test_balances import assert_hours_close
from test_kernel_against_plain import assert_traces_agree

from homestead.findings.gather import findings_of
from homestead.outlook import ledger
from homestead.outlook.independence import run
from homestead.plan.schema import read_plan
from homestead.questions.parts_out import parts_of, parts_out
from homestead.screen import figures
from homestead.screen.wording import water_means
from homestead.simulate import sources
from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import trace_of
from homestead.trades.water import tables as water_tables
from homestead.units import parse

CISTERN = {"volume": "300 gal", "from_well": False}
SPRING = {"flow": ["0.5 gal/min"] * 6 + ["0 gal/min"] * 3 + ["0.4 gal/min"] * 3}
RAM = {
    "fall": "10 ft",
    "lift": "90 ft",
    "most_drive": "4 gal/min",
    "least_drive": "2 gal/min",
    "stream": ["6 gal/min"] * 5 + ["3 gal/min", "1 gal/min"] + ["3 gal/min"] * 5,
}
FED = {**SMALLEST, "cistern": CISTERN, "spring": SPRING}
LIFTED = {**SMALLEST, "cistern": CISTERN, "ram_pump": RAM}
BY_SPRING = {
    **SMALLEST,
    "cistern": CISTERN,
    "spring": {"flow": ["3 gal/min"] * 12, "leads_to": "ram pump"},
    "ram_pump": {key: one for key, one in RAM.items() if key != "stream"},
}
WITH_ROOF = {**FED, "rain": {"roof": "60 m²"}, "ram_pump": RAM}


def plain_m3(plan, when):
    """Water that runs or is lifted into the cistern in an hour, from the plan."""
    month, found = when.month - 1, 0.0
    spring, ram = plan.spring, plan.ram_pump
    if spring and spring.leads_to == "cistern":
        found += spring.flow_m3s[month] * 3600.0
    if ram:
        drive = ram.stream_m3s[month] if ram.stream_m3s else spring.flow_m3s[month]
        if drive >= ram.least_drive_m3s:
            # The fall's energy, less losses, lifts: weight x lift = efficiency x weight x fall.
            drive = min(drive, ram.most_drive_m3s)
            found += 3600.0 * drive * ram.efficiency_frac * ram.fall_m / ram.lift_m
    return found


@pytest.mark.parametrize("raw", [FED, LIFTED, BY_SPRING, WITH_ROOF])
def test_every_hour_is_the_plain_one_and_closes(raw, greensboro):
    plan = plan_of(raw)
    hours = hours_of(plan, 1, greensboro)
    plain = np.array([plain_m3(plan, when) for when in HOURS])
    np.testing.assert_allclose(sum(hours.inflows.values()), plain, rtol=1e-9)
    roof_m3 = hours_of(plan_of({k: v for k, v in raw.items() if k not in ("spring", "ram_pump")}),
                       1, greensboro).column("rain_m3")  # fmt: skip
    np.testing.assert_allclose(hours.column("rain_m3"), plain + roof_m3, rtol=1e-9)
    np.testing.assert_allclose(hours.roof_m3, roof_m3, atol=1e-12)
    assert_hours_close(hours, trace_of(hours, 0, 365))
    assert_traces_agree(hours, 150, 120, False)


def test_water_is_told_apart_and_adds_up(greensboro):
    hours = hours_of(plan_of(WITH_ROOF), 1, greensboro)
    year = ledger.year_of(hours)
    kept = [year.totals[name] for name in ("rain_m3", "spring_m3", "ram_pump_m3")]
    assert min(kept) > 0.0
    used_m3 = float(year.monthly[["delivered_m3", "garden_m3"]].sum().sum())
    # A year that begins as its own December leaves it: what comes in is what is used.
    assert sum(kept) == pytest.approx(used_m3, abs=2 * 1.2)


def test_a_dry_summer_ends_the_water_and_a_bigger_tank_bridges_more():
    def days(volume):
        plan = plan_of({**FED, "cistern": {**CISTERN, "volume": volume}})
        return run(plan, 1).days[..., 1]

    small, large = days("300 gal"), days("3000 gal")
    assert (small <= large).all() and small.sum() < large.sum()
    # From January 1: 181 days of flow, then 300 gal at 60 L (15.9 gal) a day, 18.9 days of it. The
    # 19th day is short, yet a gallon and more is drawn; two days without follow.
    assert 181 + 18 <= small.ravel()[0] <= 181 + 22
    plenty = plan_of({**FED, "spring": {"flow": ["0.5 gal/min"] * 12}})
    assert (run(plenty, 1).days[..., 1] == 365).all()


def test_one_part_out():
    found = {one.part: one for one in parts_out(plan_of(WITH_ROOF), 1).parts}
    assert found["the spring (dry or not fit to drink)"].days_lost >= 0
    assert "the ram pump" in found and "the cistern (leaking)" in found
    alone = {one.part: one for one in parts_out(plan_of(FED), 1).parts}
    assert alone["the spring (dry or not fit to drink)"].days < 30
    for raw in (FED, LIFTED, BY_SPRING, WITH_ROOF):
        for part in parts_of(plan_of(raw)):
            kept = {key: one for key, one in raw.items() if part.sets.get(key, one) is not None}
            assert not read_plan(copy.deepcopy(kept))[1], part.name


def test_screens():
    outlook = run(plan_of(WITH_ROOF), 1)
    study = water_tables.study_of(outlook)
    assert study.monthly.residual_m3.abs().max() < 1e-6
    table = water_tables.in_and_out(study)
    assert (table.filter(like="From the spring").to_numpy() >= 0).all()
    assert table.filter(like="Lifted by the ram pump").to_numpy().sum() > 0
    # 4 of 6 gal/min, 10 ft to 90 ft at 60 %: 384 gal a day; too little in July.
    lifted_m3 = sources.ram_by_month_m3s(outlook.plan) * 86_400.0
    assert lifted_m3[0] == pytest.approx(parse("384 gal", "volume"), rel=1e-9)
    assert lifted_m3[6] == 0.0
    assert "spring" in figures.water_in_and_out(study).alt
    words = water_means(run(plan_of(FED), 1), "us")
    assert "the spring gives" in words and "the well" not in words and "roof" not in words


def test_findings():
    told = [one for one in findings_of(plan_of(FED)) if one.about == "spring"]
    texts = " ".join(one.said() for one in told)
    assert "Not treated" in texts and "Jul, Aug, Sep" in texts and "two hours" in texts
    assert [one.severity for one in told].count("warning") == 2
    treated = {**SPRING, "treatment": "filter and ultraviolet"}
    texts = " ".join(one.said() for one in findings_of(plan_of({**FED, "spring": treated})))
    assert "Treated by filter and ultraviolet" in texts


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        ({**SMALLEST, "spring": SPRING}, "a spring box counts"),
        ({**FED, "spring": {**SPRING, "leads_to": "ram pump"}}, "the spring leads to it"),
        ({**LIFTED, "ram_pump": {**RAM, "lift": "9 ft"}}, "must be more than the fall"),
        ({**LIFTED, "ram_pump": {**RAM, "least_drive": "9 gal/min"}}, "must not be above most"),
        ({**FED, "ram_pump": {k: v for k, v in RAM.items() if k != "stream"}}, "no [spring] leads"),
    ],
)
def test_faults(raw, text):
    faults = [fault.message for fault in read_plan(copy.deepcopy(raw))[1]]
    assert any(text in one for one in faults), faults
    assert all(len(one) <= 200 for one in faults)
