"""Words of findings: one template for each code, nothing in it that isn't a value, both units."""

import json
import math
import random
import re
import sys
from dataclasses import asdict, replace
from pathlib import Path

import pytest

from homestead.findings.finding import KINDS as ENDINGS
from homestead.findings.finding import PHRASES, Finding, fields, found, words
from homestead.findings.gather import findings_of
from homestead.outlook.independence import all_findings
from homestead.plan import open_plan
from homestead.plan.file import PlanError, with_changes
from homestead.screen.escaping import html_text
from homestead.screen.findings import SUBJECTS
from homestead.simulate.inputs import hours_of
from homestead.units import KINDS

TESTS = Path(__file__).resolve().parents[1]
sys.path.append(str(TESTS / "fuzz"))

import walk_ranges  # noqa: E402

RANDOM_N = 24
SEED = 20
NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
# Numbers that a template may hold itself: sections and tables of a code, sizes of wire, what the
# law multiplies by, what both unit systems are written for, and ranges of the trade.
LITERAL = re.compile(
    r"\d{3}\.\d+(\([A-Z]\))*|AWG 1/0|120/240 V|1[02]\d %|x 1\.25|with 1\.25|ratio of 1\.0|"
    r"75 °C|20 ft \(6 m\)|40 °F \(4 °C\)|1 gal \(4 L\)|24[0 ]V|120 V|240 V|1200 A|99 %|[13] % for|"
    r"10 to 15 %|30 to 75 %|50 to 200 h|:00"
)


@pytest.fixture(scope="module")
def everything(shipped_hours):
    """Findings of the shipped plans, of those of the tests and of random ones."""
    told = [one for hours in shipped_hours.values() for one in all_findings(hours)]
    for path in sorted((TESTS / "plans").glob("*.toml")):
        told += all_findings(hours_of(open_plan(path), years_n=1))
    for raw, changes in walk_ranges.together(RANDOM_N, random.Random(SEED).random()):
        raw = raw | {"site": raw["site"] | {"years": 1}}
        try:
            plan = with_changes(raw, changes)
            hours = hours_of(plan, years_n=1)
        except PlanError:
            continue
        told += [*findings_of(plan, hours), *findings_of(plan)]
    assert len(told) > 1000 and len({one.code for one in told}) > 60
    return told


def test_each_code_has_one_template_one_label_and_a_subject_of_the_screens(everything):
    for name in ("template", "label"):
        by_code = {(one.code, getattr(one, name)) for one in everything}
        assert len(by_code) == len({one.code for one in everything})
    assert {one.trade for one in everything} == set(SUBJECTS)


def test_fields_are_values_and_values_are_fields(everything):
    for one in everything:
        shown = set(fields(one.template)) - set(PHRASES) - {"subject"}
        assert shown == set(one.values), one.code
        assert set(one.limit) <= shown, one.code
        assert set(fields(one.label)) <= {"subject"}


def test_numbers_of_the_words_are_values(everything):
    for template, one in {one.template: one for one in everything}.items():
        bare = re.sub(r"\{[^{}:|]*(:[^{}|]*)?\}", "", template)  # fields without a choice
        bare = LITERAL.sub("", bare)
        assert not NUMBER.search(bare), (one.code, NUMBER.search(bare)[0])


@pytest.mark.parametrize("units", ["us", "metric"])
def test_both_unit_systems_are_written_from_the_same_values(everything, units):
    for one in everything:
        text = one.said(units)
        assert text and "  " not in text and "{" not in text and "|" not in text, one.code
        assert not re.search(r"\b(nan|inf|None|True|False)\b|–", text), (one.code, text)
        other = ("°F", " gal", " psi", " ft ", " lb ") if units == "metric" else (" kPa", " m³")
        assert not [unit for unit in other if unit in LITERAL.sub("", text)], (one.code, text)


def test_values_are_plain_data_that_survive_a_file(everything):
    for one in everything:
        kept = json.loads(json.dumps(asdict(one), allow_nan=False))
        assert Finding(**kept) == replace(one) and hash(Finding(**kept)) == hash(one)


def test_numbers_carry_their_unit_in_their_name(everything):
    endings = {name.rpartition("_")[2] for one in everything for name, value in one.values.items()
               if isinstance(value, float)}  # fmt: skip
    known = {"a", "v", "w", "va", "wh", "ah", "hz", "c", "k", "m", "m2", "m3", "m3s", "pa", "kg"}
    known |= {"s", "min", "h", "days", "months", "frac", "n", "changes"}
    assert endings <= known


def test_what_a_family_writes_is_shown_and_never_acted_on():
    evil = "<b>{x}|{y:a|b}</b>"
    one = found("water.c: {subject}", "note",  "{is_on:{subject} runs|no}", "s",
                {"is_on": True}, subject=evil)  # fmt: skip
    assert one.said() == f"{evil} runs" and one.about == evil
    assert "<b>" not in html_text(one.said())


def test_choices_count_and_nest():
    said = "{pumps_n} {pumps_n:pump|pumps}{is_deep: at {depth_m}|{is_dry:, dry|}}"
    assert words(said, {"pumps_n": 1, "is_deep": True, "depth_m": 67.056}) == "1 pump at 220 ft"
    assert words(said, {"pumps_n": 2, "is_deep": False, "is_dry": True}) == "2 pumps, dry"
    assert fields(said) == ["pumps_n", "is_deep", "depth_m", "is_dry"]
    with pytest.raises(ValueError, match="two sides"):
        words("{is_on:{a|b}}", {"is_on": True, "a": 1})


def test_a_field_that_no_part_has_is_refused():
    with pytest.raises(ValueError, match="must be among its parts; got 'depth_m'"):
        found("water.c: well", "note", "{depth_m}", "source", {"head_m": 1.0})


@pytest.mark.parametrize(
    ("name", "value", "spec", "us", "metric"),
    [
        ("head_m", 67.056, "", "220 ft", "67.1 m"),
        ("loss_w", 50_240.0, ":2", "50 kW", "50 kW"),
        ("room_air_m3", 100.0, "", "3,531 ft³", "100 m³"),
        ("rating_c", 90.0, ":.0f", "90 °C", "90 °C"),
        ("low_c", -20.0, "", "-4 °F", "-20 °C"),
        ("peak_w", 4_250.0, ":.1f", "4.2 kW", "4.2 kW"),
        ("left_frac", 0.441, ":.0f", "44 %", "44 %"),
        ("lasts_days", 1.0, ":.0f", "1 day", "1 day"),
        ("rate_per_h", 0.5, ":.2f", "0.50", "0.50"),
        ("end_h", math.inf, ":.0f", "–", "–"),
    ],
)
def test_values_are_written_by_the_unit_in_their_name(name, value, spec, us, metric):
    one = found("food.c: x", "note", f"{{{name}{spec}}}", "source", {name: value})
    assert (one.said("us"), one.said("metric")) == (us, metric)


def test_every_kind_that_follows_the_reader_is_one_of_units():
    assert set(ENDINGS.values()) <= set(KINDS)
