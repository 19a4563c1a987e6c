"""Both ends of a range go through the rules; a plan called sound runs; one currency everywhere."""

import copy
import re

import pytest
import tomlkit

from homestead.outlook import run
from homestead.page import render
from homestead.plan import PlanError, demo_path, open_plan
from homestead.plan.ranges import ranges_of
from homestead.screen import nextsteps


@pytest.fixture
def raw():
    return copy.deepcopy(open_plan(demo_path()).raw)


@pytest.fixture
def read(tmp_path):
    def plan(raw):
        path = tmp_path / "plan.toml"
        path.write_text(tomlkit.dumps(raw), encoding="utf-8")
        return open_plan(path)

    return plan


@pytest.mark.parametrize(
    ("part", "number", "entry", "typed", "words"),
    [
        (
            "garden",
            None,
            "area",
            {"value": "3000 ft²", "low": "1000 ft²"},
            "with its low: must hold all crops",
        ),
        (
            "circuit",
            0,
            "insulation",
            {"value": "75 °C", "low": "60 °C", "high": "95 °C"},
            "takes no low or high",
        ),
        (
            "circuit",
            4,
            "terminals",
            {"value": "75 °C", "high": "80 °C"},
            "takes no low or high",
        ),
        (
            "generator",
            None,
            "start_below",
            {"value": 0.2, "high": 0.9},
            "with its high: must be below stop_above",
        ),
    ],
)
def test_an_end_that_breaks_a_rule_is_a_fault_of_its_entry(
    raw, read, part, number, entry, typed, words
):
    where = raw[part] if number is None else raw[part][number]
    where[entry] = typed
    with pytest.raises(PlanError, match=words) as caught:
        read(raw)
    assert entry in str(caught.value)
    assert all(len(line) <= 300 for line in str(caught.value).splitlines())


@pytest.mark.parametrize(
    ("part", "number", "entry", "typed"),
    [
        ("site", None, "wet_days", 31),
        ("array", 0, "noct", "70 °C"),
        ("array", 0, "wire_insulation", "55 °C"),
        ("array", 0, "wire_insulation", "95 °C"),
        ("well", None, "yield", "1e-300 gal/min"),
        ("house", None, "open_window_air_changes_h", 30),
    ],
)
def test_what_a_formula_would_refuse_is_refused_where_it_was_typed(
    raw, read, part, number, entry, typed
):
    (raw[part] if number is None else raw[part][number])[entry] = typed
    with pytest.raises(PlanError, match=entry):
        read(raw)


def test_every_range_of_the_demo_is_walked(raw):
    text = demo_path().read_text(encoding="utf-8")
    assert len(list(ranges_of(raw))) == len(re.findall(r"\blow = ", text)) > 5


def test_what_reads_well_also_runs_and_a_plan_in_euros_prints_no_dollar(raw, read):
    """Ranges of a count, an area and a price, and a word for all months, on one page."""
    raw["site"]["years"] = 2
    raw["cooling"]["months"] = "all"
    raw["battery"]["modules"] = {"value": 6, "low": 4, "high": 8}
    raw["garden"]["area"] = {"value": "3000 ft²", "low": "2950 ft²", "high": "4000 ft²"}
    for one in (*raw["change"], *raw["price"]):
        one["cost"] = one["cost"].replace("$", "€")
    raw["change"][0]["cost"] = {"value": "€1,150", "low": "€900", "high": "€1,400"}
    raw["buying"]["yearly"] = raw["buying"]["yearly"].replace("$", "€")
    for fuel in raw["fuel"]:
        if "price" in fuel:
            fuel["price"] = fuel["price"].replace("$", "€")
    raw["fuel"][1]["price"] = {"value": "€2.60", "low": "€2.20", "high": "€3.40"}
    plan = read(raw)
    found = nextsteps.study(plan, years_n=1)
    text = render.shared_page(run(plan, years_n=1), found=found)
    assert not re.search(r"\bnan\b", text, re.IGNORECASE)
    assert "$" not in text
    assert "€2.60" in text and "€3.40" in text and "€2.20" in text
