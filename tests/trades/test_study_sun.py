import dataclasses

import numpy as np
import pytest
from electrical_plans import array, house, large

from homestead.formulas.power import solar
from homestead.outlook import run
from homestead.simulate.inputs import hours_of
from homestead.trades.power import study_sun as sun


@pytest.fixture(scope="module")
def outlook():
    return run(house(array=[array(), array(name="south", coupling="dc")]), years_n=2)


def one_array(greensboro, **entries):
    return sun.monthly_yield(house(array=[array(**entries)]), greensboro)


def test_months_add_up_to_the_year_of_the_array(greensboro):
    plan = house()
    found = sun.monthly_yield(plan, greensboro)
    made_wh = solar.array_output_w(greensboro, plan.arrays[0]).sum()
    assert found["yield_kwh"].sum() == pytest.approx(made_wh / 1000.0)
    assert list(found.loc["rack"].index) == list(range(1, 13))


def test_sun_on_a_level_plane_is_that_of_the_published_typical_year(greensboro):
    # TMY3 of Greensboro (case E13, found): January 2.41, July 6.08 kWh/m2 a day on the level.
    found = one_array(greensboro, tilt="0 deg")
    assert found.loc[("rack", 1), "sun_h_day"] == pytest.approx(2.41, abs=0.005 + 0.002 * 2.41)
    assert found.loc[("rack", 7), "sun_h_day"] == pytest.approx(6.08, abs=0.005 + 0.002 * 6.08)


def test_clipping_appears_with_a_small_converter_only(greensboro):
    assert one_array(greensboro, converter="9 kW")["clipped_kwh"].abs().max() < 1e-9
    small = one_array(greensboro, converter="3 kW")
    assert (small["clipped_kwh"] > 0).all() and (small["yield_kwh"] > 0).all()
    whole = one_array(greensboro, converter="9 kW")["yield_kwh"]
    assert np.allclose(small["yield_kwh"] + small["clipped_kwh"], whole)


def test_rule_and_its_causes_add_up_to_the_model(greensboro):
    for one in sun.rule_account(large(), greensboro):
        assert one.rule_kwh + sum(one.steps.values()) == pytest.approx(one.yield_kwh, rel=1e-9)


def test_each_cause_has_its_sign(greensboro):
    raised = [90.0 if n < 9 else 20.0 for n in range(36)]  # a hill in the north-east
    entries = {"horizon": [f"{height} deg" for height in raised], "azimuth": "250 deg"}
    (one,) = sun.rule_account(house(array=[array(converter="3 kW", **entries)]), greensboro)
    assert one.steps["the rule's share given back"] == pytest.approx(one.rule_kwh / 3)
    for cause in ("orientation", "horizon", "named losses", "converter efficiency"):
        assert one.steps[cause] < 0, cause
    assert one.steps["converter limit"] < 0 and one.steps["temperature"] < 0


def test_what_is_not_there_takes_nothing(greensboro):
    clean = array(
        soiling=0.0, mismatch=0.0, wiring=0.0, first_year_wear=0.0, converter_efficiency=1.0
    )
    (one,) = sun.rule_account(house(array=[clean | {"converter": "20 kW"}]), greensboro)
    for cause in ("horizon", "named losses", "converter efficiency", "converter limit"):
        assert one.steps[cause] == pytest.approx(0.0, abs=1e-6)


def test_a_plane_at_the_latitude_facing_south_loses_nothing_to_orientation(greensboro):
    tilt = f"{greensboro.site.latitude_deg} deg"
    (one,) = sun.rule_account(house(array=[array(tilt=tilt)]), greensboro)
    assert one.steps["orientation"] == pytest.approx(0.0, abs=1e-6)


def test_named_losses_are_their_product(greensboro):
    lossy = array(soiling=0.05, mismatch=0.02, wiring=0.03, first_year_wear=0.01)
    (one,) = sun.rule_account(house(array=[lossy]), greensboro)
    before = one.rule_kwh + sum(
        one.steps[cause] for cause in list(one.steps)[: list(one.steps).index("named losses")]
    )
    assert one.steps["named losses"] / before == pytest.approx(0.95 * 0.98 * 0.97 * 0.99 - 1)


def test_table_of_the_rule_ends_in_the_model(greensboro):
    found = sun.rule_table(large(), greensboro)
    assert list(found.columns) == ["south roof", "west roof", "east roof"]
    assert np.allclose(found.iloc[:-1].sum(), found.loc["hourly model"])


def test_worst_fortnight_is_the_least_of_all(outlook):
    hours = outlook.hours
    found = sun.worst_fortnight(hours)
    daily = (hours.column("pv_dc_w") + hours.column("pv_ac_w")).reshape(-1, 24).sum(axis=1)
    every = [daily[n : n + 14].mean() for n in range(len(daily) - 13)]
    assert found.pv_wh_day == pytest.approx(min(every))
    assert found.pv_wh_day < daily.mean()
    assert found.first_day == found.year * 365 + found.day_of_year == int(np.argmin(every))


def test_worst_fortnight_hour_by_hour(outlook):
    found = sun.worst_fortnight_hours(outlook)
    worst = sun.worst_fortnight(outlook.hours)
    assert len(found) == 336 and found["day"].iloc[-1] == 13 and found["hour"].iloc[25] == 1
    assert found["pv_w"].sum() / 14 == pytest.approx(worst.pv_wh_day)
    assert found["charge_frac"].between(0.0, 1.0).all()
    assert (found["shed_w"] == found["useful_short_w"] + found["comfort_short_w"]).all()


def test_a_fortnight_without_a_battery_has_no_charge():
    plan = house(battery=None, array=[array()])
    found = sun.worst_fortnight_hours(run(plan, years_n=1))
    assert found["charge_frac"].isna().all()


def test_mean_day_by_month(outlook):
    found = sun.mean_day_by_month(outlook)
    assert found.index.names == ["month", "hour"] and len(found) == 288
    days = np.repeat([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], 24)
    used = (found["used_w"] * days).sum() / 1000.0
    assert used == pytest.approx(outlook.year.totals["used_kwh"], rel=1e-6)
    assert found["charge_frac"].between(0.0, 1.0).all()


def test_no_arrays_no_yield(greensboro):
    plan = house(array=[])
    assert sun.monthly_yield(plan, greensboro).empty
    assert sun.rule_account(plan, greensboro) == ()
    hours = hours_of(plan, years_n=1, measured=greensboro)
    assert sun.worst_fortnight(hours).pv_wh_day == 0.0
    assert dataclasses.is_dataclass(sun.worst_fortnight(hours))
