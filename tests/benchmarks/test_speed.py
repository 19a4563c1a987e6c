"""How fast, as ratios within one run, so that the machine does not matter.

Each is the best of several tries; the seconds are printed (pytest -s) for a reader.
"""

import importlib.util
import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import pytest

from homestead import disk_cache
from homestead.outlook import independence
from homestead.plan import open_plan
from homestead.plan.file import demo_path
from homestead.simulate import kernel
from homestead.simulate.inputs import hours_of
from homestead.trades.power import check_electrical

# Found about 210 to 280 for one start alone; half of that is left for busy machines.
LEAST_RATIO_ALONE = 100.0
# What `homestead days` cannot start without.
LIBRARIES = "numba, numpy, pandas, pint, pvlib, pydantic, scipy.special, typer"

pytestmark = pytest.mark.benchmark

HERE = Path(__file__).resolve()
ROOT = HERE.parents[2]


def plain_homestead(hours):
    """The plain hour of tests/outlook, which need not be on the path when this runs alone."""
    spec = importlib.util.spec_from_file_location(
        "plain_hour_to_time", HERE.parents[1] / "outlook" / "plain_hour.py"
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.PlainHomestead(hours)


def best_s(work, tries=3):
    """Shortest time of a few tries. [s]."""
    taken = []
    for _ in range(tries):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)


@pytest.fixture(scope="module")
def demo_hours():
    hours = hours_of(open_plan(demo_path()))
    independence.one_year_of_starts(hours, 0)  # compiled before the clock runs
    return hours


@pytest.fixture(scope="module")
def plain_s_per_day(demo_hours):
    """One simulated day in plain Python; no numpy in its loop, lists and floats only."""
    days_n, tries = 60, 3
    ready = [plain_homestead(demo_hours) for _ in range(tries)]
    return best_s(lambda: ready.pop().days_until(0, days_n), tries) / days_n


def test_one_start_worked_by_itself_is_far_faster_than_plain_python(demo_hours, plain_s_per_day):
    def alone():
        return kernel.run_alone(
            0, 365, demo_hours.rows, demo_hours.days, demo_hours.fixed, demo_hours.capacity_by_c,
            demo_hours.start, demo_hours.larder, demo_hours.fuel_start_wh,
            demo_hours.window_n,
        )  # fmt: skip

    alone()
    kernel_s = best_s(lambda: [alone() for _ in range(20)]) / 20 / 365
    ratio = plain_s_per_day / kernel_s
    print(
        f"\none hour: {kernel_s / 24 * 1e9:.0f} ns compiled, {plain_s_per_day / 24 * 1e6:.1f} µs "
        f"plain: {ratio:.0f} times"
    )
    assert ratio >= LEAST_RATIO_ALONE


def test_all_starts_of_the_demo_against_plain_python(demo_hours, plain_s_per_day):
    """30 x 365 starts of up to 365 days: at least 200 times plain Python per simulated hour."""
    all_s = best_s(lambda: independence.independence_days(demo_hours))
    days = independence.independence_days(demo_hours)
    # A start is simulated until its last need fails, or to the horizon.
    lived_n = int(days[:, :, :4].max(axis=2).clip(max=364).sum()) + days[:, :, 0].size
    plain_s = plain_s_per_day * lived_n
    print(
        f"\n{days[:, :, 0].size} starts, {lived_n * 24 / 1e6:.0f} million hours: {all_s:.2f} s; "
        f"plain Python {plain_s:.0f} s: {plain_s / all_s:.0f} times"
    )
    assert days.shape[:2] == (30, 365)
    assert plain_s / all_s >= 200.0


def run_s(*command, tries=2, cache=None):
    """Shortest wall time of a fresh process; `cache` is where results are remembered. [s]."""
    environment = os.environ | ({} if cache is None else {disk_cache.ENVIRONMENT: str(cache)})

    def once():
        done = subprocess.run(
            command,
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
        assert done.returncode == 0, done.stderr[-2000:]

    return best_s(once, tries)


@pytest.fixture(scope="module")
def numpy_s():
    """A fresh interpreter that imports numpy: the yardstick of every process below. [s]."""
    return run_s(sys.executable, "-c", "import numpy", tries=3)


def test_importing_the_package_costs_little_more_than_numpy(numpy_s):
    import_s = run_s(sys.executable, "-c", "import homestead", tries=3)
    plan_s = run_s(sys.executable, "-c", "import homestead.plan", tries=3)
    print(
        f"\nimport numpy {numpy_s:.2f} s, homestead {import_s:.2f} s, homestead.plan {plan_s:.2f} s"
    )
    assert import_s <= 3.0 * numpy_s
    assert plan_s <= 12.0 * numpy_s


def test_the_command_days_in_a_fresh_process(tmp_path):
    """The demo's days from a cold process, its kernel compiled on an earlier run.

    By turns with the import of the libraries that it stands on, so that a busy machine is as busy
    for both: first with nothing remembered, then again; that needs few of the libraries.
    """
    command = (sys.executable, "-m", "homestead", "days", str(demo_path()))
    first, again = [], []
    for turn in range(3):
        import_s = run_s(sys.executable, "-c", f"import {LIBRARIES}", tries=1)
        first_s, again_s = (run_s(*command, tries=1, cache=tmp_path / str(turn)) for _ in range(2))
        first.append(first_s / import_s)
        again.append(again_s / import_s)
        print(
            f"\nhomestead days: {first_s:.2f} s, the same plan again {again_s:.2f} s; import of "
            f"its libraries {import_s:.2f} s"
        )
    assert median(first) <= 4.0
    assert median(again) <= 1.0


def test_electrical_findings_of_a_large_plan_cost_little_beside_reading_it():
    """Worked at every change in a form. About 15 ms each; 50 ms would be felt: three readings."""
    path = ROOT / "tests" / "plans" / "large_ac.toml"
    plan = open_plan(path)
    list(check_electrical.findings_of(plan))
    reading_s = best_s(lambda: open_plan(path), tries=5)
    findings_s = best_s(lambda: list(check_electrical.findings_of(plan)), tries=5)
    print(f"\nfindings {findings_s * 1000:.1f} ms, reading {reading_s * 1000:.1f} ms")
    assert findings_s <= 3.0 * reading_s
