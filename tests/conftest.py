"""Shared by all tests: shipped plans and their weather, read once."""

import random

import pytest
from hypothesis import is_hypothesis_test, settings

from homestead import weather
from homestead.outlook import independence
from homestead.plan import open_plan
from homestead.reference import shipped
from homestead.simulate.inputs import hours_of

# Collected for doctests, several files of this one name would be taken for each other.
collect_ignore_glob = ["*conftest.py"]

# Whole files go to a worker each (--dist=loadfile): the longest first, so that none is left over.
LONGEST_FIRST = (
    "browser/test_browser.py",
    "test_cli.py",
    "browser/test_access.py",
    "browser/test_speed_felt.py",
    "browser/test_walk.py",
    "browser/test_form_fields.py",
    "benchmarks/test_bench_changes.py",
    "test_cli_new.py",
    "screen/test_page.py",
    "outlook/test_kernel_against_plain.py",
    "plan/test_ranges.py",
    "screen/test_hostile_text.py",
    "test_cli_server.py",
    "benchmarks/test_speed.py",
    "screen/test_next_views.py",
    "weather/test_own_weather.py",
    "plan/test_messages.py",
    "test_cli_installation.py",
    "plan/test_file_killed.py",
)
SETTINGS = "_hypothesis_internal_use_settings"  # where hypothesis keeps them on a test
NIGHTLY_TIMES, DAILY_TIMES = 10, 0.2  # of the examples that a property asks for
LEAST_EXAMPLES = 10


def pytest_collection_modifyitems(config, items):
    """Longest files first; at night every property test, with more examples than by day."""
    places = {name: place for place, name in enumerate(LONGEST_FIRST)}

    def place(item):
        path = item.path.relative_to(config.rootpath).as_posix().removeprefix("tests/")
        return places.get(path, len(places))

    items.sort(key=place)
    times = NIGHTLY_TIMES if _is_night(config) else DAILY_TIMES
    for item in items:
        test = getattr(item, "obj", None)
        is_drawn = is_hypothesis_test(test)
        if is_drawn:
            _draw(test, times)
        if _is_night(config) and (is_drawn or item.get_closest_marker("longer_at_night")):
            item.add_marker(pytest.mark.nightly)


def _is_night(config):
    return config.option.markexpr == "nightly"


@pytest.fixture(scope="session")
def at_night(request):
    """Whether this is the long run."""
    return _is_night(request.config)


def _draw(test, times):
    """So many times the examples; once for a test that is there with several parameters."""
    test = getattr(test, "__func__", test)
    if getattr(test, "is_drawn", False):
        return
    asked = getattr(test, SETTINGS, settings.default)
    examples = max(int(times * asked.max_examples), min(asked.max_examples, LEAST_EXAMPLES))
    setattr(test, SETTINGS, settings(asked, max_examples=examples))
    test.is_drawn = True


def pytest_configure(config):
    """At night the seed of what is drawn is new each time, and printed."""
    if _is_night(config):
        if config.option.hypothesis_seed is None and not hasattr(config, "workerinput"):
            config.option.hypothesis_seed = str(random.SystemRandom().randrange(2**32))


def pytest_report_header(config):
    """What repeats this run's draws."""
    seed = config.option.hypothesis_seed
    return f"repeat with --hypothesis-seed={seed}" if seed else None


SHIPPED = ("demo", "cabin", "cold-coast")


@pytest.fixture(scope="session")
def greensboro():
    return weather.read("greensboro-nc")


@pytest.fixture(scope="session")
def shipped_hours():
    """One weather year of each shipped plan, by name."""
    return {
        name: hours_of(open_plan(shipped("data", name, "plan.toml")), years_n=1) for name in SHIPPED
    }


@pytest.fixture(scope="session")
def failures():
    """Days of every start of the first year, within a horizon that a test can afford.

    Only the length of the horizon is changed; the runs are those of every outlook.
    """

    def days(hours, horizon_n=365):
        return independence.years_of_starts(hours, 0, 1, horizon_n=horizon_n)[0]

    return days
