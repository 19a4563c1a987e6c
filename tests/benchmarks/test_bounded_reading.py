"""What nobody wrote by hand is read in bounded time: ratios to the demo plan in one run.

The cases stand beside the tests of what is said about them (tests/plan, tests/test_units.py).
"""

import contextlib
import importlib.util
from pathlib import Path

import pytest
from test_speed import best_s

from homestead import units
from homestead.plan import PlanError, layout, open_plan
from homestead.plan.file import demo_path
from homestead.plan.schema import read_plan

pytestmark = pytest.mark.benchmark

TESTS = Path(__file__).resolve().parents[1]
TEXT_KINDS = ("length", "energy", "thermal_resistance", "temperature", "money", "fraction")


def module_of(relative):
    """A test module by its file, so that its cases stand in one place."""
    path = TESTS / relative
    spec = importlib.util.spec_from_file_location(f"cases_{path.stem}", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def demo_s():
    """Time to read the demo plan, the unit of every case below. [s]."""
    return best_s(lambda: open_plan(demo_path()))


@pytest.mark.parametrize("piece", ["[", "[[", "a", 'a="""' + '\\"', " "])
def test_reading_lines_grows_with_their_length(piece):
    """Eight times the text takes about eight times as long; a square would take 64 times."""
    short_s, long_s = (
        best_s(lambda n=n: layout.line_numbers("[" + piece * n)) for n in (50_000, 400_000)
    )
    print(f"\n{piece!r}: {long_s / short_s:.1f} times for 8 times the length")
    assert long_s < 24 * short_s


def test_a_file_that_is_no_plan_costs_at_most_a_hundred_plans(tmp_path, demo_s):
    for name, content in module_of("plan/test_file.py").BROKEN.items():
        path = tmp_path / "plan.toml"
        path.write_bytes(content)

        def refused(path=path):
            with contextlib.suppress(PlanError):
                open_plan(path)

        taken_s = best_s(refused, tries=1)
        print(f"\n{name}: {taken_s / demo_s:.1f} demo plans", end="")
        assert taken_s < 100 * demo_s, name


def test_hostile_values_cost_no_more_than_a_few_plans_each(demo_s):
    cases = module_of("plan/test_schema.py")
    for where in cases.PLACES:
        taken_s = best_s(
            lambda where=where: [read_plan(cases.changed((where, one))) for one in cases.HOSTILE],
            tries=1,
        )
        assert taken_s < 3 * len(cases.HOSTILE) * demo_s, where


def test_hostile_texts_cost_less_than_a_plan_each(demo_s):
    for text in module_of("test_units.py").HOSTILE:

        def refused(text=text):
            for kind in TEXT_KINDS:
                with contextlib.suppress(ValueError):
                    units.parse(text, kind)

        assert best_s(refused) < 18 * demo_s, text[:40]
