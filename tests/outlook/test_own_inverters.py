"""A house on its own inverters: cut-out, sleep, restart at dawn, and years that begin anew."""

import dataclasses

import numpy as np
import pytest
from small_plans import ARRAY, BATTERY, FORMER, SMALLEST, appliance, larger, plan_of
from test_two_days_by_hand import with_inputs

from homestead.outlook import run
from homestead.outlook.ledger import wanted_of, year_of
from homestead.simulate.inputs import hours_of
from homestead.simulate.records import DAYS_N
from homestead.simulate.trace import settled_start, trace_of, years_with_deliveries
from homestead.trades.power import tables
from homestead.trades.power.study_dark import restart

EXACT = 1e-9


def house(greensboro, dead_below=0.05, **entries):
    """No loss, all round: 1000 Wh of which 900 serve the house and 50 keep the inverter awake.

    At 25 deg C, where a lithium bank gives all that it is rated at.
    """
    plan = plan_of(
        SMALLEST
        | {
            "appliance": [appliance("light", 100, 24, 1)],
            "house": SMALLEST["house"] | {"keep": "25 °C", "appliance_heat": 0.0},
            "grid_former": FORMER
            | {
                "idle": "10 W",
                "efficiency": 1.0,
                "charger": "500 W",
                "charger_efficiency": 1.0,
                "reconnect": 0.2,
            },
            "battery": BATTERY
            | {
                "module": "1000 Wh",
                "depth_of_discharge": 0.9,
                "round_trip": 1.0,
                "dead_below": dead_below,
            },
            "shedding": {"comfort_below": 0.0, "useful_below": 0.0},
        }
        | entries
    )
    return hours_of(plan, 1, greensboro)


def two_days(hours, start_wh, pv_ac_w):
    start = hours.start._replace(battery_wh=start_wh)
    hours = dataclasses.replace(hours, start=start)
    return trace_of(with_inputs(hours, pv_ac_w=pv_ac_w, essential_w=100.0, air_c=25.0), 0, 2)


def test_house_is_cut_off_sleeps_on_its_reserve_and_starts_at_dawn(greensboro):
    # 430 Wh at midnight: 330 above the floor of 100. Three hours of 100 + 10 W leave 100: cut off.
    # From hour 3 on 10 W keep the inverter awake. Sun on its AC side from hour 6: 300 W.
    # Hours 3, 4, 5: 90, 80, 70 Wh. Hour 6: 300 into the cells less 10: 360. The house comes back
    # at a fifth of 900 above 100, 280: so from hour 7 on it has light: 360 + 300 - 110 = 550, ...
    sun_w = np.zeros(48)
    sun_w[6:9] = 300.0
    trace = two_days(house(greensboro), 430.0, sun_w)
    expected = [320, 210, 100, 90, 80, 70, 360, 550, 740, 630, 520, 410, 300, 190]
    np.testing.assert_allclose(trace.states.battery_wh[:14], expected, rtol=EXACT)
    used = [100.0] * 3 + [0.0] * 4 + [100.0] * 7
    np.testing.assert_allclose(trace.flows.used_w[:14], used, rtol=EXACT, atol=1e-9)
    assert trace.states.cut_off[:14].tolist() == [0, 0, 0] + [1] * 4 + [0] * 7
    # 190 - 110 would go below 100: 80 W of light are left of 100 in hour 14, then it is dark.
    assert trace.flows.used_w[14] == pytest.approx(80.0)
    assert trace.flows.used_w[15] == 0.0 and trace.states.battery_wh[15] == pytest.approx(90.0)
    # The reserve of 50 Wh carries 10 W for five hours; then the inverter is asleep for good.
    np.testing.assert_allclose(trace.states.battery_wh[19:], 50.0, rtol=EXACT)


def test_no_dawn_where_the_reserve_is_gone(greensboro):
    # The same night without a reserve: at dawn nothing makes a grid, and the sun finds nobody.
    sun_w = np.zeros(48)
    sun_w[6:9] = 300.0
    trace = two_days(house(greensboro, dead_below=0.1), 430.0, sun_w)
    np.testing.assert_allclose(trace.states.battery_wh[2:], 100.0, rtol=EXACT)
    assert trace.flows.used_w[3:].sum() == 0.0
    assert trace.flows.curtailed_w[6:9].tolist() == pytest.approx([300.0] * 3)


def test_a_string_on_the_battery_side_brings_it_back(greensboro):
    hours = house(greensboro, dead_below=0.1)
    hours = dataclasses.replace(hours, start=hours.start._replace(battery_wh=100.0))
    sun_w = np.zeros(48)
    sun_w[6:9] = 300.0
    trace = trace_of(with_inputs(hours, pv_dc_w=sun_w, essential_w=100.0, air_c=25.0), 0, 2)
    # Hour 6: 300 - 10 idle = 290 into the cells: 390, above 280. From hour 7 there is light.
    np.testing.assert_allclose(trace.states.battery_wh[5:9], [100, 390, 580, 770], rtol=EXACT)
    assert trace.flows.used_w[7:9].tolist() == pytest.approx([100.0] * 2)


# --- years ------------------------------------------------------------------------------------


def ac_house(greensboro, years_n, **changes):
    raw = SMALLEST | {
        "appliance": [appliance("light", 150, 24, 1), appliance("saw", 400, 2, 2)],
        "array": [ARRAY | {"coupling": "ac", "converter": "4 kW"}],
        "grid_former": FORMER,
        "battery": BATTERY | {"module": "4 kWh"},
        "shedding": {"comfort_below": 0.0, "useful_below": 0.0},
    }
    return hours_of(plan_of(raw | changes), years_n, greensboro)


def test_each_year_begins_as_its_own_december_leaves_it(greensboro):
    hours = ac_house(greensboro, 3)
    trace = years_with_deliveries(hours)
    assert trace.begins.shape[0] == 3
    for year in range(3):
        december = trace_of(hours, (year + 1) * DAYS_N - 31, 31, delivered=True)
        # Counters of the day are set back in the morning; the stores are what they were.
        assert trace.begins[year, 0] == december.states.battery_wh.iloc[-1]
        alone = dataclasses.replace(hours, start=settled_start(hours, year))
        again = trace_of(alone, year * DAYS_N, DAYS_N, delivered=True)
        here = slice(year * DAYS_N * 24, (year + 1) * DAYS_N * 24)
        assert np.array_equal(again.flows.to_numpy(), trace.flows.iloc[here].to_numpy())


def test_mean_year_does_not_fall_with_the_number_of_years(greensboro):
    """A dead AC-coupled house used to stay dead through all later years."""
    array = [ARRAY | {"coupling": "ac", "strings": 2}]
    battery = BATTERY | {"module": "4 kWh", "modules": 2}
    years = {n: ac_house(greensboro, n, array=array, battery=battery) for n in (1, 3, 10)}
    used = {n: year_of(hours).totals["used_kwh"] for n, hours in years.items()}
    assert len(year_of(years[10]).dark) > 5  # it does die, and comes back the next year
    assert used[10] > 1000.0
    assert min(used.values()) > 0.7 * max(used.values())


def separate_simulation(hours, year):
    """Yearly energy used, by a battery written anew: loops, no shared arithmetic, no reserve trick.

    Lossy one-way by the root of the round trip; the house off from empty to the reconnect level;
    useful and comfort loads off below their levels at the beginning of the hour.
    """
    bank, former, shed = hours.plan.battery, hours.plan.grid_former, hours.plan.shedding
    first = year * DAYS_N * 24
    sun = hours.column("pv_ac_w")
    loads = [
        (hours.column("essential_w"), -1.0),
        (hours.column("useful_w"), shed.useful_below_frac),
        (hours.column("comfort_w"), shed.comfort_below_frac),
    ]
    full = bank.modules_n * bank.module_wh
    floor = full * (1 - bank.depth_of_discharge_frac)
    sleep = full * bank.dead_below_frac
    way = bank.round_trip_frac**0.5
    held, off, used = full, False, 0.0
    for at in [*range(first + 334 * 24, first + DAYS_N * 24), *range(first, first + DAYS_N * 24)]:
        counted = at == first
        if counted:
            used = 0.0
        usable = max(held - floor, 0.0)
        if usable <= 1e-9:
            off = True
        elif usable >= former.reconnect_frac * (full - floor):
            off = False
        idle = min(former.idle_w, min(bank.discharge_w, max(held - sleep, 0.0) * way))
        awake = min(bank.discharge_w, max(held - sleep, 0.0) * way) > former.idle_w
        here = sun[at] if awake else 0.0
        level = usable / (full - floor)
        wanted = 0.0 if off else sum(asked[at] for asked, below in loads if level >= below)
        direct = min(wanted, here)
        most = max(min(bank.discharge_w, usable * way) - idle, 0.0) * former.efficiency_frac
        by_inverter = min(wanted - direct, most, former.continuous_w) if awake else 0.0
        held -= (by_inverter / former.efficiency_frac + idle) / way
        charge = min(here - direct, former.charger_w) * former.charger_efficiency_frac
        held += min(charge, (full - held) / way, bank.charge_w) * way
        used += direct + by_inverter
    return used / 1000.0


WHOLE = {"modules_per_string": 4, "strings": 4, "converter": "6 kW"}
SHEDS = {"comfort_below": 0.5, "useful_below": 0.25}
NO_SHEDDING = {"comfort_below": 0.0, "useful_below": 0.0}


def compared_house(greensboro, array_frac, battery_frac, shedding):
    """A house of 7 kWh a day on 6.4 kW of modules and 16 kWh, or on half of either."""
    return ac_house(
        greensboro,
        3,
        appliance=[
            appliance("light", 150, 24, 1),
            appliance("saw", 400, 4, 2, between="8-16"),
            appliance("games", 250, 8, 3, between="14-24"),
        ],
        array=[
            ARRAY
            | WHOLE
            | {"coupling": "ac", "strings": int(4 * array_frac)}
            | {"converter": f"{6 * array_frac} kW"}
        ],
        battery=BATTERY | {"module": "4 kWh", "modules": int(4 * battery_frac)},
        house=SMALLEST["house"] | {"keep": "25 °C"},
        heater=[{"name": "s", "store": "wood", "output": "60 kW", "efficiency": 0.6}],
        fuel=[{"name": "wood", "fuel": "cordwood", "amount": "90 m^3"}],
        shedding=shedding,
    )


@pytest.mark.parametrize("shedding", [NO_SHEDDING, SHEDS], ids=["no shedding", "shedding"])
@pytest.mark.parametrize("battery", [1.0, 0.5])
@pytest.mark.parametrize("array", [1.0, 0.5])
def test_ac_house_agrees_with_a_battery_written_anew(greensboro, array, battery, shedding):
    """Within 2 %: whole and half array, whole and half battery, with and without shedding."""
    hours = compared_house(greensboro, array, battery, shedding)
    by_year = np.mean([separate_simulation(hours, year) for year in range(3)])
    assert year_of(hours).totals["used_kwh"] == pytest.approx(by_year, rel=0.02)
    assert by_year > 900.0


def test_shedding_is_no_matter_of_form_in_the_comparison(greensboro):
    """What is compared differs by more than the 2 % within which both agree."""
    hours = [compared_house(greensboro, 0.5, 0.5, shedding) for shedding in (NO_SHEDDING, SHEDS)]
    used = [year_of(one).totals["used_kwh"] for one in hours]
    assert abs(used[0] / used[1] - 1.0) > 0.03


def test_a_house_that_goes_dark_in_spite_of_deliveries_says_so_first(greensboro):
    hours = ac_house(greensboro, 3, battery=BATTERY | {"module": "1 kWh"})
    outlook = run(hours.plan, hours=hours)
    first = outlook.findings[0]
    assert (first.severity, first.about) == ("danger", "power in an ordinary year")
    assert "in 3 of 3 weather years" in first.said() and "DC-coupled" in first.said()
    trace = years_with_deliveries(hours)
    dark = (trace.flows.dark_frac.to_numpy() > 0.5).reshape(3, -1)
    for year, day, stays in outlook.year.dark:
        whole = [dark[year, at : at + 24].all() for at in range(DAYS_N * 24 - 23)]
        assert int(np.argmax(whole)) // 24 == day
        assert stays == dark[year, -24:].all()


def test_a_house_that_never_goes_dark_says_nothing(greensboro):
    strong = ARRAY | {"coupling": "dc", "converter": "9 kW", "strings": 3}
    hours = ac_house(
        greensboro, 2, array=[strong], battery=BATTERY | {"module": "20 kWh", "modules": 4}
    )
    assert year_of(hours).dark == ()


# --- sunless days -----------------------------------------------------------------------------


@pytest.mark.parametrize("part", ["panels", "battery"])
def test_sunless_days_never_rise_when_panels_or_batteries_go(greensboro, part):
    def sunless(plan):
        return year_of(hours_of(plan, 1, greensboro)).sunless_days

    raw = dict(ac_house(greensboro, 1).plan.raw)
    whole = sunless(plan_of(larger(raw, part, 2.0)))
    less = sunless(plan_of(raw))
    for name in ("nominal", "usable", "essential_only"):
        assert less[name] <= whole[name] * (1 + 1e-9)
        if part == "panels":
            assert less[name] == pytest.approx(whole[name], rel=1e-12)
    assert all(
        less["usable_by_month"][month] <= days * (1 + 1e-9)
        for month, days in whole["usable_by_month"].items()
    )


def test_what_is_wanted_is_what_a_house_without_limits_uses(greensboro):
    hours = ac_house(greensboro, 1)
    # By hand: 150 W for 24 h and 400 W for 2 h a day are 4.4 kWh; 365 days of it.
    used_w = wanted_of(hours)[:, list(year_of(hours).monthly.columns).index("used_w")]
    assert used_w.sum() / 1000.0 == pytest.approx(365 * 4.4)


def test_the_restart_is_shown_hour_by_hour(greensboro):
    """From the last lit hours until the house is back; its states follow the trace."""
    outlook = run(ac_house(greensboro, 2).plan, 2)
    found = restart(outlook)
    states = found["state"].tolist()
    assert states[:4] == ["on"] * 4 and states[4] == "off, inverter awake"
    off = [one for one in states if one != "on"]
    assert states == ["on"] * 4 + off + states[4 + len(off) :]
    hours = outlook.hours
    trace = years_with_deliveries(hours)
    fell = int(np.flatnonzero(np.diff(trace.states.cut_off) > 0)[0]) + 1
    row = found.iloc[4]
    assert (row["day"], row["hour"]) == (fell // 24 % DAYS_N, fell % 24)
    assert (found.loc[found["state"] != "on", "used_w"] == 0.0).all()
    shown = tables.restart(outlook)
    assert shown["House"].tolist() == states and shown["Battery holds (%)"].between(0, 100).all()
    if states[-1] == "on":  # it came back: with sun, and above the level at which it may
        assert found["sun_w"].iloc[-2:].min() > 0.0


def test_a_house_that_never_runs_empty_has_no_restart(greensboro):
    strong = ARRAY | {"coupling": "dc", "converter": "9 kW", "strings": 5}
    bank = BATTERY | {"module": "20 kWh", "modules": 6}
    outlook = run(ac_house(greensboro, 1, array=[strong], battery=bank).plan, 1)
    assert restart(outlook).empty and tables.restart(outlook).empty
