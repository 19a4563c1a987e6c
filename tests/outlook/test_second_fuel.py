"""A second fuel: a generator that burns two, a heater with its own, and fuel that goes stale."""

import copy

import numpy as np
import pytest
from small_plans import BATTERY, FORMER, SMALLEST, Without, appliance, plan_of
from test_balances import assert_hours_close
from test_kernel_against_plain import assert_traces_agree

from homestead.findings.gather import findings_of
from homestead.outlook import ledger
from homestead.outlook.independence import independence_days
from homestead.plan.schema import read_plan
from homestead.questions.parts_out import parts_out
from homestead.simulate import kernel
from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import trace_of

GENERATOR = {
    "rated": "2 kW",
    "store": "cans",
    "second_store": "bottles",
    "no_load_fuel": "2 kW",
    "full_load_fuel": "9 kW",
}
CANS = {"name": "cans", "fuel": "gasoline", "amount": "40 L"}
BOTTLES = {"name": "bottles", "fuel": "propane", "amount": "60 L"}
OIL = {"name": "oil", "fuel": "fuel oil", "amount": "300 L"}
ENGINE = {
    **SMALLEST,
    "grid_former": FORMER,
    "battery": BATTERY,
    "generator": GENERATOR,
    "fuel": [CANS, BOTTLES, OIL],
    "heater": [
        {"name": "gas heater", "store": "bottles", "output": "1 kW", "efficiency": 0.8},
        {"name": "oil heater", "store": "oil", "output": "4 kW", "efficiency": 0.85},
    ],
    "appliance": [appliance("all day", 150, 24, 1)],
}


def engine(**changes):
    return plan_of({**ENGINE, **changes})


def day_of_failures(hours):
    return independence_days(hours)[0]


def test_the_second_store_is_drawn_when_the_first_is_empty(greensboro):
    hours = hours_of(engine(), 1, greensboro)
    trace = trace_of(hours, 100, 60)
    assert_hours_close(hours, trace)
    fuel_wh, burnt_wh = trace.fuel_wh, trace.flows.generator_fuel_w.to_numpy()
    cans, bottles = fuel_wh[:, 0], fuel_wh[:, 1]
    empty = int(np.argmax(cans == 0.0))
    before = np.diff(hours.fuel_start_wh[0] - cans[:empty], prepend=0.0)
    np.testing.assert_allclose(before, burnt_wh[:empty], atol=1e-4)
    assert 24 < empty < len(cans) and bottles[-1] < bottles[empty]
    # No drop of any fuel is lost: what went is what was burned.
    gone = hours.fuel_start_wh.sum() - fuel_wh[-1].sum()
    assert gone == pytest.approx((trace.flows.fuel_w + trace.flows.generator_fuel_w).sum())
    assert_traces_agree(hours, 100, 60, False)
    assert_traces_agree(hours, 0, 40, True)


def test_a_second_fuel_never_shortens_and_the_plain_starts_agree(greensboro):
    with_both = day_of_failures(hours_of(engine(), 1, greensboro))
    one_only = {key: value for key, value in GENERATOR.items() if key != "second_store"}
    alone = day_of_failures(hours_of(engine(generator=one_only), 1, greensboro))
    assert (alone[:, 0] <= with_both[:, 0]).all() and alone[:, 0].sum() < with_both[:, 0].sum()


@pytest.mark.parametrize("keeps", ["9 days", "3 weeks", "100 days"])
def test_starts_together_are_starts_alone(keeps, greensboro):
    fuel = [CANS | {"keeps": keeps, "age": "2 days"}, BOTTLES | {"keeps": "30 days"}, OIL]
    hours = hours_of(engine(fuel=fuel), 1, greensboro)
    together = day_of_failures(hours)
    for first in (0, 77, 200, 364):
        alone = kernel.run_alone(
            first, 365, np.concatenate([hours.rows] * 3), type(hours.days)(*(
                np.concatenate([one] * 3) for one in hours.days)), hours.fixed,
            hours.capacity_by_c, hours.start, hours.larder, hours.fuel_start_wh, hours.window_n,
        )  # fmt: skip
        assert together[first].tolist() == alone.tolist()


def test_stale_fuel_is_not_burned(greensboro):
    fuel = [CANS | {"keeps": "200 days", "age": "190 days"}, BOTTLES, OIL | {"keeps": "5 days"}]
    hours = hours_of(engine(fuel=fuel), 1, greensboro)
    trace = trace_of(hours, 0, 30)
    assert (trace.fuel_wh[: 10 * 24, 0] >= 0.0).all() and trace.fuel_wh[10 * 24 - 1, 0] > 0.0
    assert not trace.fuel_wh[10 * 24 :, 0].any()
    assert trace.fuel_wh[5 * 24 - 1, 2] > 0.0 and not trace.fuel_wh[5 * 24 :, 2].any()
    # What was not burned was poured out: it is the whole of the difference.
    burnt = (trace.flows.fuel_w + trace.flows.generator_fuel_w).sum()
    poured = trace.fuel_wh[10 * 24 - 1, 0] + trace.fuel_wh[5 * 24 - 1, 2]
    assert hours.fuel_start_wh.sum() - trace.fuel_wh[-1].sum() == pytest.approx(burnt + poured)
    assert_traces_agree(hours, 0, 30, False)
    # With deliveries it is made up before it goes stale.
    assert trace_of(hours, 0, 30, True).fuel_wh[-24, 2] > 0.0


def test_longer_keeping_never_shortens(greensboro):
    def days(keeps):
        fuel = [CANS | {"keeps": keeps}, BOTTLES, OIL | {"keeps": keeps}]
        return day_of_failures(hours_of(engine(fuel=fuel), 1, greensboro))[:, (0, 2)]

    short, longer, plain = days("8 days"), days("60 days"), days("7000 days")
    assert (short <= longer).all() and (longer <= plain).all() and short.sum() < plain.sum()


def test_use_of_each_fuel_is_its_own(greensboro):
    used = ledger.year_of(hours_of(engine(), 1, greensboro)).fuel_used
    assert set(used) == {"cans", "bottles", "oil"} and min(used["bottles"], used["oil"]) > 0.0


def test_findings_name_what_keeps_and_what_does_not():
    told = [one.said() for one in findings_of(engine()) if one.about == "fuel in store"]
    assert any("gasoline" in one and "you haven't entered how long" in one for one in told)
    assert not any("propane" in one for one in told)
    fuel = [CANS | {"keeps": "200 days", "age": "150 days"}, BOTTLES, OIL | {"keeps": "2 weeks"}]
    told = [one.said() for one in findings_of(engine(fuel=fuel)) if one.about == "fuel in store"]
    assert any("50 days" in one for one in told) and any("14 days" in one for one in told)


def test_one_store_gone_bad():
    found = parts_out(engine(), 1)
    parts, names = Without(engine()), [one.part for one in found.parts]
    whole = parts[""]
    assert parts["the cans (gone bad)"]["power"] < whole["power"]
    assert parts["the oil (gone bad)"]["warmth"] < whole["warmth"]
    assert "the bottles (gone bad)" not in names


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"generator": GENERATOR | {"second_store": "cans"}}, "must name another fuel store"),
        ({"generator": GENERATOR | {"second_store": "no such"}}, "must name another fuel store"),
        ({"fuel": [CANS, BOTTLES, OIL] + [OIL | {"name": f"o{n}"} for n in range(10)]},
         "must be at most 12 stores"),
        ({"fuel": [CANS | {"keeps": "1 h"}, BOTTLES, OIL]}, "must be 24 to 175,200 h"),
    ],
)  # fmt: skip
def test_faults(changes, text):
    faults = [fault.message for fault in read_plan(copy.deepcopy({**ENGINE, **changes}))[1]]
    assert any(text in one for one in faults), faults
    assert all(len(one) <= 200 for one in faults)
