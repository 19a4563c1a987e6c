"""Entries of a plan: each kind that is not a plain quantity, limits, ranges and messages."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from homestead import units
from homestead.plan import fields
from homestead.plan.fields import key_of, limits_text, read_entry, read_months

ANY = {"low": None, "high": None, "choices": ("gravity", "bucket")}
KINDS = (
    *units.KINDS,
    *("text", "choice", "flag", "count", "number", "months", "hours", "amount", "names"),
    *("rain_by_month", "fraction_by_month", "angles"),
)


@pytest.mark.parametrize(
    ("raw", "months"),
    [
        ("all", tuple(range(1, 13))),
        (" ALL ", tuple(range(1, 13))),
        ("Nov-Feb", (11, 12, 1, 2)),
        ("jan, May - july", (1, 5, 6, 7)),
        ("Sept", (9,)),
        ("Mar-Mar", (3,)),
        ("Jan, Jan-Feb", (1, 2)),
    ],
)
def test_months(raw, months):
    assert read_months(raw) == months


@pytest.mark.parametrize(
    "raw", ["", "Ja", "Janitor", "Jan-Feb-Mar", "13", 5, None, ["Jan"], True, "Jan," * 5000]
)
def test_months_that_cannot_be_read(raw):
    with pytest.raises(ValueError, match='must be "all" or months such as "Nov-Mar"'):
        read_months(raw)


@pytest.mark.parametrize(
    ("raw", "hours"),
    [("always", (0, 24)), ("any", (0, 24)), ("17-22", (17, 22)), (" 22 - 6 ", (22, 6))],
)
def test_hours(raw, hours):
    assert fields.read_hours(raw) == hours


@pytest.mark.parametrize(
    "raw", ["17", "24-3", "7-25", "7-0", "7-7", "07-7", 17, None, ["17-22"], "1" * 9999 + "-3"]
)
def test_hours_that_cannot_be_read(raw):
    with pytest.raises(ValueError, match='must be "always" or hours of the day such as "17-22"'):
        fields.read_hours(raw)


def test_amount_is_volume_or_mass():
    assert fields.read_amount("5 cords") == units.parse("5 cords", "volume")
    assert fields.read_amount("2 ton") == units.parse("2 ton", "mass")
    with pytest.raises(ValueError, match='must be a volume or a mass, such as "400 gal"'):
        fields.read_amount("400 psi")


@pytest.mark.parametrize(
    ("kind", "raw", "value"),
    [
        ("text", "  barn roof ", "barn roof"),
        ("choice", "bucket", "bucket"),
        ("flag", False, False),
        ("count", 7, 7),
        ("number", 2, 2.0),
        ("names", ["a", "b"], ("a", "b")),
        ("rain_by_month", ["1 mm"] * 12, (0.001,) * 12),
        ("fraction_by_month", [0.5] * 12, (0.5,) * 12),
        ("angles", ["0 deg", "5 deg"], (0.0, 5.0)),
        ("angles", [], ()),
    ],
)
def test_other_kinds(kind, raw, value):
    assert read_entry(raw, kind, ANY) == pytest.approx(value)


@pytest.mark.parametrize(
    ("kind", "raw", "message"),
    [
        ("text", "", "must be a text of 1 to 200 characters"),
        ("text", "x" * 201, "must be a text of 1 to 200 characters"),
        ("text", 5, "must be a text of 1 to 200 characters; got 5"),
        ("text", "two\nlines", "must be one line of plain text"),
        ("text", "nul\x00", "must be one line of plain text"),
        ("text", "half \ud800", "must be one line of plain text"),
        ("choice", "buckit", 'must be one of gravity, bucket; got "buckit" .did you mean \'bucket'),
        ("choice", ["bucket"], r"must be one of gravity, bucket; got \['bucket'\]$"),
        ("flag", 1, "must be true or false; got 1"),
        ("flag", "true", 'must be true or false; got "true"'),
        ("count", 2.0, "must be a whole number; got 2.0"),
        ("count", True, "must be a whole number; got True"),
        ("count", 10**40, "must be a whole number; got 1000"),
        ("number", "2", "must be a plain number without a unit"),
        ("number", math.nan, "must be a plain number without a unit; got nan"),
        ("number", 10**400, "must be a plain number without a unit"),
        ("names", "a", 'must be a list of texts; got "a"'),
        ("names", ["a", 5], "must be a text of 1 to 200 characters; got 5"),
        ("rain_by_month", ["1 mm"] * 11, "must be a list of 12 values, each such as"),
        ("rain_by_month", ["1 mm"] * 11 + [3], "must be a number with its unit"),
        ("angles", ["1 deg"] * 721, "must be a list of at most 720 values"),
    ],
)
def test_other_kinds_that_cannot_be_read(kind, raw, message):
    with pytest.raises(ValueError, match=message):
        read_entry(raw, kind, ANY)


def test_a_whole_number_that_cannot_even_be_printed():
    with pytest.raises(ValueError, match="must be a whole number; got a int too long to show"):
        read_entry(10**5000, "count", ANY)


def test_a_limit_is_told_in_both_systems():
    limits = {"low": 1, "high": 600}
    with pytest.raises(ValueError) as caught:
        read_entry("2200 ft", "length", limits)
    # 600 m is 1,968.5 ft, written with four digits.
    assert str(caught.value) == 'must be 1 to 600 m (3.281 to 1,969 ft); got "2200 ft"'
    assert read_entry("1 m", "length", limits) == 1.0  # both ends are allowed
    assert read_entry("600 m", "length", limits) == 600.0


def test_limits_on_one_side_and_without_units():
    assert limits_text(0, None, "money") == "0 or more"
    assert limits_text(None, 1, "count") == "1 or less"
    assert limits_text(1, 1, "count") == "1"
    assert limits_text(0, 24, "current") == "0 to 24 A"  # the same in both systems: told once


def test_each_of_a_list_is_held_to_the_limits():
    with pytest.raises(ValueError, match="must be 0 to 90"):
        read_entry(["5 deg", "95 deg"], "angles", {"low": 0, "high": 90})


def test_a_range_beside_a_value():
    limits = {"low": 0, "high": 1}
    table = {"value": 0.5, "low": 0.4, "high": "60 %", "basis": "label"}
    assert read_entry(table, "fraction", limits) == 0.5
    assert read_entry({"value": 0.5}, "fraction", limits) == 0.5
    assert read_entry({"value": 0.5, "low": 0.5, "high": 0.5}, "fraction", limits) == 0.5


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ({"value": 0.5, "low": 0.6}, "needs low ≤ value ≤ high; got 0.6, 0.5"),
        ({"value": 0.5, "high": 0.4}, "needs low ≤ value ≤ high; got 0.5, 0.4"),
        ({"value": 0.5, "low": 0.7, "high": 0.4}, "needs low ≤ value ≤ high"),
        ({"low": 0.5}, "as a table takes value, low, high and basis, and value must be there"),
        ({}, "got nothing"),
        ({"value": 0.5, "lo": 0.4}, 'got "value, lo"'),
        ({"value": 0.5, "basis": "guess"}, "basis must be one of measured, label, estimate"),
        ({"value": 0.5, "basis": []}, r"got \[\]"),
        ({"value": {"value": 0.5}}, "must be a number with its unit"),
        ({"value": 0.5, "high": 1.5}, "must be 0 to 1; got 1.5"),
        ({"value": math.nan, "low": 0.1}, "must be a number with its unit"),
    ],
)
def test_a_range_that_does_not_hold(table, message):
    with pytest.raises(ValueError, match=message):
        read_entry(table, "fraction", {"low": 0, "high": 1})


@pytest.mark.parametrize("kind", fields.UNRANGED)
def test_a_range_needs_one_number(kind):
    with pytest.raises(ValueError, match="can't have a low or high"):
        read_entry({"value": "all", "low": "Jan"}, kind, ANY)


def test_key_of_drops_the_unit_only():
    assert [key_of(name) for name in ("depth_m", "r_m2k_w", "keep_c", "count_n", "name")] == [
        *("depth", "r", "keep", "count", "name")
    ]


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=50),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)
TABLE = st.fixed_dictionaries(
    {"value": PLAIN}, optional={"low": PLAIN, "high": PLAIN, "basis": PLAIN}
)


@settings(max_examples=500, deadline=10_000)
@given(PLAIN | TABLE, st.sampled_from(KINDS))
def test_any_entry_is_read_or_refused_with_a_short_message(raw, kind):
    try:
        read_entry(raw, kind, ANY)
    except ValueError as error:
        assert len(str(error)) < 400


def test_a_limit_in_the_other_units_holds_but_nothing_below_zero_does():
    limits = {"low": 0.0, "high": 90.0}
    assert fields.read_entry("194 °F", "temperature", limits) == pytest.approx(90.0)
    assert fields.read_entry("32 °F", "temperature", limits) == pytest.approx(0.0, abs=1e-9)
    # What formulas hold to the same limit must not find it a rounding above.
    assert fields.read_entry("199999.99999999997 L", "volume", {"low": 0, "high": 200}) == 200.0
    with pytest.raises(ValueError, match="must be 0"):
        fields.read_entry(-5e-201, "fraction", {"low": 0.0, "high": 1.0})
