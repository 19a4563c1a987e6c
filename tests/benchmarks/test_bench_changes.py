"""How fast variants are worked, as ratios within one run, so that the machine does not matter.

CPU time, best of several tries; the figures are printed (pytest -s) for a reader.
"""

import importlib.util
import time
from pathlib import Path

import numpy as np
import pytest

from homestead import disk_cache
from homestead.outlook import run
from homestead.plan import demo_path, open_plan
from homestead.questions import variants
from homestead.questions.breakdowns import breakdowns, spares
from homestead.questions.buying import buying
from homestead.questions.changes import next_steps
from homestead.questions.free_actions import free_actions
from homestead.questions.guesses import sureness
from homestead.questions.parts_out import parts_out
from homestead.questions.variants import Variants
from homestead.simulate.inputs import hours_of

pytestmark = pytest.mark.benchmark

YEARS_N = 4
TESTS = Path(__file__).resolve().parents[1]


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")
    monkeypatch.setattr(Variants, "_remembered", {})


@pytest.fixture(scope="module")
def demo():
    plan = open_plan(demo_path())
    variants.work(plan.raw, plan.folder, {}, {}, 1)  # compiled before the clock runs
    return plan


def cpu_s(work, tries=3):
    """Least CPU time of a few tries, all threads of this process together. [s]."""
    taken = []
    for _ in range(tries):
        begin = time.process_time()
        work()
        taken.append(time.process_time() - begin)
    return min(taken)


def one_variant(plan, years_n=YEARS_N, days_only=True):
    return variants.work(plan.raw, plan.folder, {}, {}, years_n, days_only)


def test_a_variant_is_far_faster_than_plain_python(demo):
    """Every start of a year against the plain hour of the tests, day by day."""
    spec = importlib.util.spec_from_file_location("plain", TESTS / "outlook" / "plain_hour.py")
    plain = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(plain)
    ready = [plain.PlainHomestead(hours_of(demo, 1)) for _ in range(3)]
    plain_day_s = cpu_s(lambda: ready.pop().days_until(0, 20)) / 20
    days = one_variant(demo).days
    # A start ends when all needs have failed, or at the horizon.
    start_days_n = days[:, :, :4].max(axis=2).sum()
    ratio = plain_day_s * start_days_n / cpu_s(lambda: one_variant(demo))
    print(f"\none variant of {YEARS_N} years: {ratio:.0f} times as fast as plain Python")
    assert ratio > 800  # found about 2100; less than half of that is left for busy machines


def numpy_battery_days(hours):
    """A baseline: sun, one load and a battery only, all starts of all years as one array."""
    sun_w = hours.column("pv_dc_w") + hours.column("pv_ac_w")
    load_w = sum(hours.column(name) for name in ("essential_w", "useful_w", "comfort_w"))
    hours_n = len(sun_w)
    at = np.arange(0, hours_n, 24)
    usable_wh = hours.fixed.battery_wh * hours.fixed.discharge_depth_frac
    charge_frac, give_frac = (
        hours.fixed.charge_efficiency_frac,
        hours.fixed.discharge_efficiency_frac,
    )
    store_wh = np.full(len(at), usable_wh)
    dark_h, days = np.zeros(len(at)), np.full(len(at), 365)
    for hour in range(365 * 24):
        here = (at + hour) % hours_n
        net_w = sun_w[here] - load_w[here]
        in_wh = np.minimum(np.maximum(net_w, 0.0) * charge_frac, usable_wh - store_wh)
        asked_wh = np.maximum(-net_w, 0.0) / give_frac
        out_wh = np.minimum(asked_wh, store_wh)
        store_wh += in_wh - out_wh
        dark_h += out_wh < asked_wh
        if hour % 24 == 23:
            fails = (dark_h > 4.0) & (days == 365)
            days[fails] = hour // 24
            dark_h[:] = 0.0
    return days


def test_a_whole_homestead_costs_about_what_a_battery_alone_costs_in_numpy(demo):
    hours = hours_of(demo, YEARS_N)
    numpy_s = cpu_s(lambda: numpy_battery_days(hours), tries=2)
    ratio = numpy_s / cpu_s(lambda: one_variant(demo))
    print(f"\na battery alone by NumPy takes {ratio:.1f} times the whole homestead")
    assert ratio > 0.7  # found 1.4; half of that is left for busy machines


def test_the_cost_grows_in_proportion_to_the_variants(demo):
    taken = {}
    for number in (4, 12):
        questions = [({"battery.modules": 6 + n}, {}) for n in range(number)]

        def work(questions=questions):
            Variants._remembered = {}
            Variants(demo, years_n=2).of(questions, days_only=True)

        taken[number] = cpu_s(work)
    ratio = taken[12] / taken[4]
    print(f"\nthree times as many variants: {ratio:.2f} times the work")
    assert 2.2 < ratio < 4.0


def test_the_cost_grows_in_proportion_to_the_years(demo):
    ratio = cpu_s(lambda: one_variant(demo, 12)) / cpu_s(lambda: one_variant(demo, 4))
    print(f"\nthree times as many years: {ratio:.2f} times the work")
    assert 2.0 < ratio < 4.0


def test_what_is_kept_on_disk_is_found_far_faster_than_worked(demo, tmp_path, monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, str(tmp_path))
    questions = [({"battery.modules": 20 + n}, {}) for n in range(6)]

    def ask():
        Variants._remembered = {}
        Variants(demo, years_n=YEARS_N).of(questions)

    worked_s = cpu_s(ask, tries=1)
    found_s = cpu_s(ask)
    print(f"\nfound again {worked_s / found_s:.0f} times as fast as worked")
    assert worked_s / found_s > 20  # found about 400


def at_night(*given):
    return pytest.param(*given, marks=pytest.mark.nightly)


@pytest.mark.parametrize(
    ("ask", "most"),
    [
        # CPU time over that of one variant on the same years; about half as much again is left.
        (lambda plan, n: parts_out(plan, n), 70),  # 48 homesteads; found 41
        at_night(lambda plan, n: sureness(plan, variants=Variants(plan, n)), 150),  # found 99
        (lambda plan, n: next_steps(plan, years_n=n), 60),  # found 34
        at_night(lambda plan, n: buying(plan, years_n=n), 350),  # found 232
        (lambda plan, n: breakdowns(plan, n), 60),
    ],
    ids=["parts out", "guesses", "ideas", "buying", "breakdowns"],
)
def test_each_question_costs_no_more_than_so_many_variants(demo, ask, most):
    one_s = cpu_s(lambda: one_variant(demo, 10, variants.DAYS))
    Variants._remembered.clear()
    asked_s = cpu_s(lambda: ask(demo, 10), tries=1)
    print(f"\n{asked_s:.1f} s of CPU, {asked_s / one_s:.0f} variants of 10 years ({one_s:.2f} s)")
    assert asked_s <= most * one_s


def test_a_long_question_is_given_up_within_a_second(demo):
    """Nothing is done when it is cancelled: the variants under way stop between their years."""
    seen = []

    class Cancelled(Exception):
        pass

    def stop(done, asked):
        seen.append(time.perf_counter())
        raise Cancelled

    hours_of(demo, 30)  # the weather of all years is there
    worked = Variants(demo, years_n=30, progress=stop)
    with pytest.raises(Cancelled):
        worked.of([({"battery.modules": 30 + n}, {}) for n in range(8)])
    assert time.perf_counter() - seen[0] < 1.0


MOST_VARIANTS = 230  # a minute of two cores where one takes half a second; found 191
CORES_N = 2


@pytest.mark.nightly
def test_the_whole_on_all_years_fits_in_a_minute_of_two_cores(demo):
    """As usual, cutting back, parts out, breakdowns, spares, what is free, ideas, guesses, buying.

    On all of the plan's weather years. The baseline is one variant of the demo on the same years,
    all starts of all needs; where that takes half a second, the whole takes a minute of two cores.
    """
    years_n = demo.site.years_n
    one_s = cpu_s(lambda: one_variant(demo, years_n, variants.DAYS))
    Variants._remembered.clear()
    taken = {}

    def ask(name, question):
        begin = time.process_time()
        found = question()
        taken[name] = time.process_time() - begin
        return found

    outlook = ask("as usual", lambda: run(demo))
    ask("cutting back", lambda: outlook.cutting_back)
    ask("parts out", lambda: parts_out(demo))
    ask("breakdowns", lambda: breakdowns(demo))
    ask("spares", lambda: spares(demo))
    ask("free", lambda: free_actions(demo))
    ask("ideas", lambda: next_steps(demo))
    ask("guesses", lambda: sureness(demo))
    ask("buying", lambda: buying(demo))
    whole_s = sum(taken.values())
    told = ", ".join(f"{name} {seconds / one_s:.0f}" for name, seconds in taken.items())
    print(
        f"\nthe whole on {years_n} years: {whole_s:.0f} s of CPU, {whole_s / CORES_N:.0f} s on "
        f"{CORES_N} cores; {whole_s / one_s:.0f} variants of {one_s:.2f} s ({told})"
    )
    assert outlook.hours.years_n == years_n
    assert whole_s <= MOST_VARIANTS * one_s
    # All parts at once: a quarter minute of two cores where a variant takes half a second.
    assert taken["parts out"] <= 60 * one_s
