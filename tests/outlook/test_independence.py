"""Days of independence: what the figures mean, that they repeat, that any executor carries them."""

import dataclasses
import json
import multiprocessing
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np
import pytest
from small_plans import ARRAY, BATTERY, FORMER, SMALLEST, appliance, plan_of

from homestead.outlook import Outlook, as_dict, independence, ledger, run
from homestead.outlook.independence import day_text
from homestead.plan import open_plan
from homestead.plan.file import demo_path
from homestead.simulate.fuel_stores import fuel_wh_per_unit
from homestead.simulate.inputs import MONTH_OF_DAY, hours_of
from homestead.simulate.trace import trace_of, years_with_deliveries
from homestead.vocabulary import MONTHS, NEEDS, OUTCOMES


def outlook_of(days, counts=NEEDS):
    """An outlook with given days, array of shape (years, 365, outcomes)."""
    plan = plan_of(SMALLEST | {"failure": {"counts": list(counts)}})
    return Outlook(plan, None, days)


def days_full(value=365):
    return np.full((2, 365, 2 * len(OUTCOMES)), value, dtype=np.int32)


@pytest.fixture(scope="session")
def short_hours(greensboro):
    """A place that fails in every need within weeks."""
    raw = SMALLEST | {
        "appliance": [appliance("light", 120, 24, 1)],
        "array": [ARRAY],
        "grid_former": FORMER,
        "battery": BATTERY,
        "cistern": {"volume": "300 L", "from_well": False},
        "rain": {"roof": "6 m²"},
        "heater": [{"name": "s", "store": "wood", "output": "6 kW", "efficiency": 0.6}],
        "fuel": [{"name": "wood", "fuel": "cordwood", "amount": "1 m^3"}],
        "pantry": [{"name": "shelf", "energy": "40000 kcal"}],
    }
    return hours_of(plan_of(raw), 2, greensboro)


# --- definitions ------------------------------------------------------------------------------


def test_days_are_the_whole_days_before_the_first_failing_day(short_hours, failures):
    """The same days found again from the trace of every hour, by the rules of each need."""
    rule, need_kcal = short_hours.plan.failure, short_hours.fixed.need_kcal
    failed = failures(short_hours)
    seen = set()
    for first_day in (0, 60, 200, 300):
        trace = trace_of(short_hours, first_day, 365)
        states = trace.states
        flows = trace.flows
        dark = np.r_[np.zeros(23), flows.dark_frac.to_numpy() > 0.1]
        # Dark hours of the 24 that end with each hour; a bad night has more than 4 of them.
        within = np.convolve(dark, np.ones(24), "valid").reshape(-1, 24).max(axis=1)
        bad = {
            "power": within > 4.0,
            "water": flows.delivered_m3.to_numpy().reshape(-1, 24).sum(axis=1)
            < np.roll(short_hours.days.water_least_m3, -first_day)[:365] - 1e-9,
            "warmth": states.cold_h.to_numpy().reshape(-1, 24).max(axis=1) >= 6.0,
            "pipes": states.inside_c.to_numpy().reshape(-1, 24).min(axis=1) < 0.0,
        }
        eaten = trace.food_kcal.eaten_kcal.to_numpy()[::24]

        def hungry(days_n, eaten=eaten):
            window = np.convolve(np.r_[np.full(days_n - 1, need_kcal), eaten], np.ones(days_n))
            return window[days_n - 1 :][:365] < 0.8 * days_n * need_kcal - 1e-6

        def within_days(flags, days_n):
            return np.convolve(np.r_[np.zeros(days_n - 1), flags], np.ones(days_n), "valid")

        bad["food"] = hungry(7)
        asked_wh, short_wh = (
            within_days(flows[name].to_numpy().reshape(-1, 24).sum(axis=1), 7)
            for name in ("essential_asked_w", "essential_short_w")
        )
        asked_wh *= 7 / np.minimum(np.arange(1, 366), 7)
        ends = {
            "power": (short_wh > 0.05 * asked_wh + 1.0)
            | (bad["power"] & (within_days(bad["power"], 7) >= 3)),
            "water": within_days(bad["water"], 2) >= 2,
            "warmth": bad["pipes"] | (bad["warmth"] & (within_days(bad["warmth"], 7) >= 3)),
            "food": hungry(28),
            "pipes": bad["pipes"],
        }
        assert (rule.bad_nights_n, rule.dry_days_n, rule.food_fails_window_n) == (3, 2, 28)
        last = max(np.argmax(ends[need]) for need in NEEDS)
        for number, outcome in enumerate(OUTCOMES):
            for column, flags in (
                (number, ends[outcome]),
                (len(OUTCOMES) + number, bad[outcome] | ends[outcome]),
            ):
                first = int(np.argmax(flags)) if flags.any() else 365
                if first > last:
                    first = 365  # a run ends when every need has failed
                assert failed[first_day, column] == first, (first_day, outcome, column)
                seen.add(first)
    assert len(seen) > 8  # of many different days, not of the ends of the scale


def test_a_start_reaches_the_horizon_when_nothing_fails():
    outlook = outlook_of(days_full())
    assert outlook.homestead.least == outlook.horizon_days == 365
    assert outlook.homestead.reaches_horizon_frac == 1.0
    assert outlook.first_to_fail == dict.fromkeys(NEEDS, 0.0) | {"none": 1.0}


def test_homestead_days_are_the_fewest_over_the_needs_that_count():
    days = days_full()
    days[:, :, OUTCOMES.index("power")] = 3
    days[:, :, OUTCOMES.index("food")] = 90
    days[:, :, OUTCOMES.index("pipes")] = 1  # pipes stand beside warmth and do not count
    assert outlook_of(days).homestead.least == 3
    assert outlook_of(days, counts=("water", "food")).homestead.least == 90


def test_needs_that_tie_share_the_start():
    days = days_full()
    days[0, :, OUTCOMES.index("power")] = 7  # one year in two: power and water on the same day
    days[0, :, OUTCOMES.index("water")] = 7
    days[1, :, OUTCOMES.index("food")] = 40
    days[1, 0, OUTCOMES.index("food")] = 365  # one start never fails
    shares = outlook_of(days).first_to_fail
    expected = {"power": 0.25, "water": 0.25, "warmth": 0.0, "food": 364 / 730, "none": 1 / 730}
    assert shares == pytest.approx(expected)
    assert sum(shares.values()) == pytest.approx(1.0)


def test_spread_says_what_nine_half_and_one_in_ten_reach():
    days = days_full()
    # 730 starts with 1 to 365 days, each twice.
    days[:, :, OUTCOMES.index("water")] = np.arange(1, 366)
    outlook = outlook_of(days)
    spread, water = outlook.needs["water"], outlook.days_of("water")
    for share, reached in ((0.9, spread.p10), (0.5, spread.p50), (0.1, spread.p90)):
        assert (water >= reached).mean() >= share  # so many starts reach it ...
        assert (water >= reached + 1).mean() < share + 1 / 365  # ... and no more than one day more
    assert (spread.least, spread.worst_start) == (1, "01-01")
    assert spread.reaches_horizon_frac == pytest.approx(1 / 365)


def test_by_month_takes_the_starts_of_that_month():
    days = days_full()
    days[:, :, OUTCOMES.index("food")] = MONTH_OF_DAY * 10
    days[1, 45, OUTCOMES.index("food")] = 2  # 15 February of the second year
    months = outlook_of(days).by_month
    assert [one.p50 for one in months] == [10 * month for month in range(1, 13)]
    assert (months[1].least, months[1].worst_start) == (2, "02-15")
    assert (months[6].least, months[6].worst_start) == (70, "07-01")
    assert outlook_of(days).worst == (1, 45)


def test_day_text_names_the_first_and_last_day_of_every_month():
    ends = np.flatnonzero(np.diff(MONTH_OF_DAY))
    assert [day_text(day) for day in (0, *ends, 364)] == [
        "01-01", "01-31", "02-28", "03-31", "04-30", "05-31", "06-30", "07-31", "08-31", "09-30",
        "10-31", "11-30", "12-31",
    ]  # fmt: skip


# --- repeatable, cancellable, carried by anything ---------------------------------------------


@pytest.fixture(scope="module")
def short_days(short_hours):
    return independence.independence_days(short_hours)


def test_the_same_inputs_give_the_same_bytes(short_hours, short_days, greensboro):
    again = hours_of(short_hours.plan, 2, greensboro)
    assert again.rows.tobytes() == short_hours.rows.tobytes()
    assert independence.independence_days(again).tobytes() == short_days.tobytes()
    first, second = (run(short_hours.plan, years_n=2) for _ in range(2))
    assert json.dumps(as_dict(first)) == json.dumps(as_dict(second))
    assert first.year.hourly_means.to_numpy().tobytes() == (
        second.year.hourly_means.to_numpy().tobytes()
    )


def test_another_seed_gives_other_weather(short_hours, greensboro):
    site = short_hours.plan.site.model_copy(update={"seed_n": 6})
    other = hours_of(short_hours.plan.model_copy(update={"site": site}), 2, greensboro)
    assert other.rows.tobytes() != short_hours.rows.tobytes()


def test_threads_and_processes_give_the_same(short_hours, short_days):
    with ThreadPoolExecutor(2) as threads:
        by_threads = independence.independence_days(short_hours, executor=threads)
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=spawn) as processes:
        by_processes = independence.independence_days(short_hours, executor=processes)
    assert by_threads.tobytes() == by_processes.tobytes() == short_days.tobytes()
    assert short_days.shape == (2, 365, 2 * len(OUTCOMES) + 1)  # and what ends the food


def test_progress_is_told_of_every_piece(short_hours):
    told = []
    independence.independence_days(short_hours, progress=lambda *pair: told.append(pair))
    assert told == [(1, 2), (2, 2)]


class StopNow(Exception):
    """What somebody raises who does not want to wait."""


class Watched(ThreadPoolExecutor):
    """One worker that remembers what it was given."""

    def __init__(self):
        super().__init__(1)
        self.pieces = []

    def submit(self, *task):
        self.pieces.append(super().submit(*task))
        return self.pieces[-1]


def test_raising_in_progress_cancels_what_has_not_begun(short_hours):
    def stop(done, pieces_n):
        raise StopNow

    many = dataclasses.replace(
        short_hours,
        years_n=12,
        rows=np.tile(short_hours.rows, (6, 1)),
        days=type(short_hours.days)(*(np.concatenate([one] * 6) for one in short_hours.days)),
    )
    with Watched() as executor, pytest.raises(StopNow):
        independence.independence_days(many, stop, executor)
    assert len(executor.pieces) == 12
    assert sum(piece.cancelled() for piece in executor.pieces) >= 6


# --- the figures as data ----------------------------------------------------------------------

SPREAD = {"p10", "p50", "p90", "least", "worst_start", "reaches_horizon_frac"}
YEAR = {
    "pv_kwh", "used_kwh", "curtailed_kwh", "unserved_kwh", "generator_h", "generator_fuel_kwh",
    "propane_l", "wood_cords", "well_m3", "rain_m3", "heat_kwh", "pump_kwh",
}  # fmt: skip


@pytest.fixture(scope="module")
def demo_outlook():
    return run(open_plan(demo_path()), years_n=2)


def test_as_dict_has_the_published_keys_and_is_json(demo_outlook):
    found = json.loads(json.dumps(as_dict(demo_outlook), allow_nan=False))
    assert set(found) == {
        "plan", "weather", "starts", "horizon_days", "numbers", "needs", "homestead", "first_bad",
        "cutting_back", "chance", "by_month", "sunless_days", "year", "balance", "findings",
    }  # fmt: skip
    assert set(found["weather"]) == {"source", "years", "synthetic"}
    assert (found["weather"]["years"], found["weather"]["synthetic"]) == (2, True)
    assert (found["starts"], found["horizon_days"]) == (730, 365)
    assert set(found["needs"]) == set(NEEDS)
    assert all(set(one) == SPREAD for one in found["needs"].values())
    assert set(found["homestead"]) == SPREAD | {"first_to_fail"}
    assert set(found["homestead"]["first_to_fail"]) == {*NEEDS, "none"}
    assert list(found["by_month"]) == [f"{month:02d}" for month in range(1, 13)]
    assert all(set(one) == {"p10", "p50"} for one in found["by_month"].values())
    low, high = found["chance"]["p10"]
    assert low <= found["homestead"]["p10"] <= high
    assert set(found["first_bad"]) == set(NEEDS)
    assert all(set(one) == SPREAD for one in found["first_bad"].values())
    for need in NEEDS:
        assert found["first_bad"][need]["p50"] <= found["needs"][need]["p50"]
    sunless = {"nominal", "usable", "essential_only", "usable_by_month"}
    assert set(found["sunless_days"]) == sunless
    assert list(found["sunless_days"]["usable_by_month"]) == list(MONTHS)
    assert set(found["year"]) == YEAR
    assert set(found["balance"]) == {f"{one}_residual_frac" for one in ("power", "water", "heat")}
    for finding in found["findings"]:
        assert set(finding) == {
            "code", "severity", "subject", "about", "text", "source", "values", "limit",
        }  # fmt: skip
        assert finding["severity"] in ("danger", "warning", "note")
        assert finding["limit"].items() <= finding["values"].items()
    cold = next(one for one in found["findings"] if one["code"] == "arrays.cold")
    assert (cold["subject"], cold["limit"]) == ("ground rack", {"converter_max_v": 450.0})
    assert 200.0 < cold["values"]["cold_open_circuit_v"] < 450.0
    for spread in (found["homestead"], *found["needs"].values()):
        whole = [spread[name] for name in ("least", "p10", "p50", "p90")]
        assert all(isinstance(one, int) for one in whole) and whole == sorted(whole)


def test_reported_year_is_the_sum_of_its_hours(demo_outlook):
    hours, year = demo_outlook.hours, demo_outlook.year.totals
    total = years_with_deliveries(hours).flows.sum() / hours.years_n
    assert year["pv_kwh"] == pytest.approx(total.pv_w / 1000.0)
    short_w = total.essential_short_w + total.useful_short_w + total.comfort_short_w
    assert year["unserved_kwh"] == pytest.approx(short_w / 1000.0)
    assert year["well_m3"] == pytest.approx(total.pumped_m3)
    # Heat in the fuel bought is the heat burnt, and by the amounts: cords and liters.
    fuel_wh = {fuel.name: 0.0 for fuel in hours.plan.fuels}
    for fuel in hours.plan.fuels:
        per_unit = fuel_wh_per_unit(fuel)
        fuel_wh[fuel.name] = demo_outlook.year.fuel_used[fuel.name] * per_unit
    assert sum(fuel_wh.values()) == pytest.approx(total.fuel_w + total.generator_fuel_w)
    assert year["propane_l"] == pytest.approx(demo_outlook.year.fuel_used["propane tank"] * 1000)
    cord_m3 = 4 * 4 * 8 * 0.3048**3  # feet, by definition of the cord and of the foot
    assert year["wood_cords"] == pytest.approx(demo_outlook.year.fuel_used["woodshed"] / cord_m3)


def test_sunless_days_by_hand(greensboro):
    # 4 modules of 2.5 kWh: 10,000 Wh on the labels. Five years at 2 %: 9,000 Wh. 0.8 of it may be
    # used and 0.9 of that comes out: 6,480 Wh. 45 W essential and 45 W useful through an inverter
    # of 0.9 are 100 W, and 8 W idle make 108 W: 2,592 Wh a day. 10,000 / 2,592 = 3.858 days and
    # 6,480 / 2,592 = 2.5 days. Essential alone: 45 / 0.9 + 8 = 58 W: 6,480 / 1,392 = 4.655 days.
    raw = SMALLEST | {
        "appliance": [appliance("one", 45, 24, 1), appliance("two", 45, 24, 2)],
        "array": [ARRAY],
        "grid_former": FORMER | {"idle": "8 W", "efficiency": 0.9},
        "battery": BATTERY
        | {
            "modules": 4,
            "module": "2.5 kWh",
            "age_years": 5.0,
            "fade": 0.02,
            "depth_of_discharge": 0.8,
            "round_trip": 0.81,
        },
    }
    hours = hours_of(plan_of(raw), 1, greensboro)
    rows = hours.rows.copy()
    rows[:, 0] = 400.0  # sun at all hours, so that everything is served on every day
    days = ledger.year_of(dataclasses.replace(hours, rows=rows)).sunless_days
    assert days["nominal"] == pytest.approx(10_000 / 2_592, rel=1e-9)
    assert days["usable"] == pytest.approx(2.5, rel=1e-9)
    assert days["essential_only"] == pytest.approx(6_480 / 1_392, rel=1e-9)
