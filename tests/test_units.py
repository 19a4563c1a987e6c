"""Reading and showing quantities. Factors are those of NIST Special Publication 811 (2008), app. B,
from memory, unless a line says otherwise; exact by definition where the expected value is long."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from homestead import units

# Each kind in US customary and in metric. SP 811 prints seven digits: half of the last one.
BOTH = [
    ("length", "220 ft", 67.056, "67.056 m"),
    ("length", "1 mi", 1609.344, "1.609344 km"),
    ("length", "1-1/4 in", 0.03175, "31.75 mm"),
    ("area", "1 ft²", 0.09290304, "0.09290304 m²"),
    ("area", "1400 sq ft", 130.064256, "130.064256 m2"),
    ("area", "1 acre", 4046.8564224, "4046.8564224 m^2"),  # 43,560 square feet
    ("volume", "1 gal", 3.785411784e-3, "3.785411784 L"),
    ("volume", "1 cu ft", 0.028316846592, "28.316846592 L"),
    ("volume", "1 cord", 3.624556363776, "3.624556363776 m³"),  # 128 cubic feet
    ("air_volume", "1000 ft³", 28.316846592, "28.316846592 m³"),
    ("flow", "1 gpm", 6.30902e-5, "3.785411784 L/min"),
    ("pressure", "1 psi", 6894.757, "6.894757 kPa"),
    ("power", "1 hp", 745.6999, "745.6999 W"),
    ("power", "40000 Btu/h", 11722.84, "11.72284 kW"),
    ("power", "1 ton", 3516.853, "3.516853 kW"),  # of refrigeration: 12,000 Btu/h
    ("energy", "1 Btu", 0.2930711, "0.2930711 Wh"),
    ("energy", "4.8 kWh", 4800.0, "17.28 MJ"),
    ("temperature", "68 °F", 20.0, "20 °C"),
    ("temperature", "-40 F", -40.0, "233.15 K"),
    ("temperature_difference", "9 °F", 5.0, "5 K"),
    ("mass", "1 lb", 0.45359237, "0.45359237 kg"),
    ("mass", "2 ton", 1814.36948, "1814.36948 kg"),  # short tons
    ("time", "30 min", 1800.0, "0.5 h"),
    ("time", "3 days", 259200.0, "72 hours"),
    ("speed", "1 mph", 0.44704, "0.44704 m/s"),
    ("thermal_resistance", "R-19", 19 * 0.1761102, "3.346094 m²·K/W"),
    ("thermal_resistance", "1 ft²·°F·h/Btu", 0.1761102, "0.1761102 m^2*K/W"),
    ("heat_loss", "1 Btu/h·°F", 0.5275279, "0.5275279 W/K"),
    ("heat_capacity", "1 Btu/°F", 0.5275279, "0.5275279 Wh/K"),
    ("angle", "35 deg", 35.0, "35°"),
    ("current", "13.9 amps", 13.9, "13900 mA"),
    ("voltage", "49.5 V", 49.5, "0.0495 kV"),
    ("rain_depth", "3.4 in", 0.08636, "86.36 mm"),
    ("food_energy", "2000 Cal", 2000.0, "8368 kJ"),  # thermochemical calorie, 4.184 J
    ("charge", "225 Ah", 225.0, "225 A*h"),
    ("money", "$1,200", 1200.0, "1200 EUR"),
    ("fraction", "80 %", 0.8, 0.8),
]


@pytest.mark.parametrize(("kind", "us", "inside", "metric"), BOTH)
def test_each_kind_reads_in_us_and_metric(kind, us, inside, metric):
    assert units.parse(us, kind) == pytest.approx(inside, rel=5e-7)
    assert units.parse(metric, kind) == pytest.approx(inside, rel=5e-7)


def test_no_kind_is_left_out_above():
    assert {kind for kind, *_ in BOTH} == set(units.KINDS) == set(units.EXAMPLES)


@pytest.mark.parametrize("kind", [kind for kind in units.KINDS if kind != "money"])
def test_examples_in_messages_can_be_read(kind):
    pieces = units.EXAMPLES[kind].replace(" or ", ", ").split(", ")
    for piece in pieces:
        text = piece.strip()
        units.parse(text.strip('"') if text.startswith('"') else float(text), kind)


@pytest.mark.parametrize("kind", units.KINDS)
@pytest.mark.parametrize("system", ["us", "metric"])
def test_what_is_shown_can_be_read_again(kind, system):
    inside = {"temperature": 20.0, "fraction": 0.5, "money": 1200.0}.get(kind, 15.0)
    if kind == "temperature_difference":
        inside = 5.0
    shown = units.show(inside, kind, system)
    assert units.parse(shown, kind) == pytest.approx(inside, rel=5e-3)  # three digits are shown


@pytest.mark.parametrize(
    ("kind", "text", "piece"),
    [
        ("length", "220", 'such as "220 ft" or "67 m"; got "220"'),
        ("length", "220 gal", 'got "220 gal"'),
        ("length", 220, "got 220"),
        ("length", True, "got True"),
        ("length", None, "got None"),
        ("length", ["220 ft"], "got ['220 ft']"),
        ("length", "", 'got ""'),
        ("length", "ft", 'got "ft"'),
        ("length", "4,5 m", 'got "4,5 m"'),
        ("length", "1,23 ft", 'got "1,23 ft"'),
        ("length", "nan ft", 'got "nan ft"'),
        ("length", "inf ft", 'got "inf ft"'),
        ("length", "1e999 ft", 'got "1e999 ft"'),
        ("length", "1/0 ft", 'got "1/0 ft"'),
        ("temperature", "68", '"68 °F" or "20 °C"'),
        ("temperature", "20 m", 'got "20 m"'),
        ("energy", "5 kW", '"4.8 kWh" or "480 Wh"'),
        ("power", "5 kWh", "450 W"),
        ("money", "twelve", "$1,200"),
        ("money", "1,2", 'got "1,2"'),
        ("fraction", "80", None),
        ("fraction", "8 ft", '0.8 or "80 %"'),
        ("fraction", math.nan, "got nan"),
        ("fraction", -math.inf, "got -inf"),
        ("fraction", True, "got True"),
        ("fraction", 10**400, "got 1000"),
    ],
)
def test_a_wrong_entry_says_what_is_wanted_and_what_came(kind, text, piece):
    if piece is None:  # a bare number in text is a fraction as it stands
        assert units.parse(text, kind) == 80.0
        return
    with pytest.raises(ValueError) as caught:
        units.parse(text, kind)
    assert str(caught.value).startswith("must be a number with its unit, such as ")
    assert piece in str(caught.value)


def test_thousands_and_the_typographic_minus():
    assert units.parse("2,500 gal", "volume") == units.parse("2500 gal", "volume")
    assert units.parse("\N{MINUS SIGN}8 °F", "temperature") == units.parse("-8 °F", "temperature")


def test_unknown_kind_and_unknown_system():
    with pytest.raises(ValueError, match="kind must be one of length"):
        units.parse("1 ft", "girth")
    with pytest.raises(ValueError, match="kind must be one of length"):
        units.show(1.0, "girth")
    with pytest.raises(ValueError, match='units must be "us" or "metric"; got \'imperial\''):
        units.show(1.0, "length", "imperial")


HOSTILE = [
    "5 m**999999",
    "5 m^9^9^9^9",
    "5 m**9**9**9**9",
    "5 m^(9^9^9)",
    "5 (9^9^9^9) m",
    "5 km^9e99",
    "5 __import__('os').system('true')",
    "5 m.__class__",
    "5 lambda: 0",
    "5 " + "m" * 70,
    "5 " + "(" * 39,
    "5 " + "m*" * 19,
    "9" * 100_000 + " ft",
    "5 ft" + " " * 1_000_000,
    "5 \x00ft",
    "5 ft\n",
    "5 \ud800",
    "٥ ft٥",
]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_text_is_refused_with_a_short_message(text):
    for kind in ("length", "energy", "thermal_resistance", "temperature", "money", "fraction"):
        try:
            assert math.isfinite(units.parse(text, kind))
        except ValueError as error:
            assert len(str(error)) < 300


@settings(max_examples=400, deadline=10_000)
@given(
    st.one_of(
        st.text(max_size=90),
        st.from_regex(r"[0-9]{1,3}[.,]?[0-9]{0,3} ?[A-Za-z0-9*/^()²³°. -]{0,30}", fullmatch=True),
        st.integers(),
        st.floats(),
        st.lists(st.integers(), max_size=3),
        st.dictionaries(st.text(max_size=3), st.booleans(), max_size=2),
    ),
    st.sampled_from(sorted(units.KINDS)),
)
def test_anything_gives_a_finite_number_or_a_value_error(text, kind):
    try:
        value = units.parse(text, kind)
    except ValueError:
        return
    assert isinstance(value, float) and math.isfinite(value)


def test_quoted_is_short_whatever_came():
    deep = []
    for _ in range(100_000):
        deep = [deep]
    for raw in ("x" * 10**6, 10**9999, deep, list(range(10**5)), {"a": "b" * 10**5}):
        assert len(units.quoted(raw)) <= 61


def test_show_in_both_systems():
    depth_m = units.parse("220 ft", "length")
    assert units.show(depth_m, "length") == "220 ft"
    assert units.show(depth_m, "length", "metric") == "67.1 m"
    assert units.show(-0.2, "temperature", "metric") == "0 °C"  # never "-0"
    assert units.show(12_000.0, "power") == "12 kW"
    assert units.show(450.0, "power") == "450 W"
    assert units.show(1234.5, "money") == "$1,234"
    assert units.show(0.126, "fraction") == "13 %"
    assert units.show(35.0, "angle") == "35°"


@pytest.mark.parametrize("kind", units.KINDS)
def test_what_is_not_a_number_is_shown_as_a_dash(kind):
    assert units.show(math.nan, kind) == "–"


def test_convert_keeps_the_shape_of_arrays():
    depths_m = units.convert_unit(np.array([[100.0, 200.0]]), "ft", "m")
    assert units.convert(depths_m, "length") == pytest.approx(np.array([[100.0, 200.0]]))
    assert isinstance(units.convert(1.0, "length"), float)


def test_digits():
    assert [units.digits(one) for one in (0, 0.5, 12345.6, -1e-9, math.inf)] == [
        *("0", "0.5", "12,346", "0", "–")
    ]


def test_checked_passes_arrays_within_limits():
    assert units.checked("depth_m", [1, 2.5], 1, 600, "m").tolist() == [1.0, 2.5]
    assert units.checked("depth_m", 600, 1, 600, "m").shape == ()
    assert units.checked("gain", -5, -math.inf, 3).shape == ()


@pytest.mark.parametrize(
    ("value", "low", "high", "message"),
    [
        (0.5, 1, 600, "depth_m must be from 1 to 600 m; got 0.5"),
        ([1, math.nan], 1, 600, "depth_m must be from 1 to 600 m; got [1, nan]"),
        (math.inf, 1, math.inf, "depth_m must be 1 or more m; got inf"),
        (4, -math.inf, 3, "depth_m must be 3 or less m; got 4"),
        (math.nan, -math.inf, math.inf, "depth_m must be a finite number m; got nan"),
        ("5", 1, 600, "depth_m must be from 1 to 600 m; got '5'"),
        (None, 1, 600, "depth_m must be from 1 to 600 m; got None"),
        (["a"], 1, 600, "depth_m must be from 1 to 600 m; got ['a']"),
        (1j, 1, 600, "depth_m must be from 1 to 600 m; got 1j"),
    ],
)
def test_checked_names_the_argument_the_limit_and_what_came(value, low, high, message):
    with pytest.raises(ValueError) as caught:
        units.checked("depth_m", value, low, high, "m")
    assert str(caught.value) == message


def test_checked_refuses_a_whole_number_beyond_floats():
    with pytest.raises(ValueError, match="depth_m must be from 1 to 600 m"):
        units.checked("depth_m", 10**400, 1, 600, "m")


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("9 KW", "power", 9000.0),
        ("9 kw", "power", 9000.0),
        ("40 PSI", "pressure", units.parse("40 psi", "pressure")),
        ("45 Gal", "volume", units.parse("45 gal", "volume")),
        ("45 GAL", "volume", units.parse("45 gal", "volume")),
        ("r-19", "thermal_resistance", units.parse("R-19", "thermal_resistance")),
        ("5 Lbs", "mass", units.parse("5 lb", "mass")),
        ("3 GPM", "flow", units.parse("3 gal/min", "flow")),
        ("68 f", "temperature", 20.0),
        ("450 BTU/H", "power", units.parse("450 Btu/h", "power")),
    ],
)
def test_letters_of_another_case_mean_the_same_unit(text, kind, value):
    assert units.parse(text, kind) == pytest.approx(value, rel=1e-12)


# On a label for food a "calorie" is a kilocalorie (21 CFR 101.9(c)(1), from memory).
@pytest.mark.parametrize("word", ["calories", "Calories", "cal", "Cal", "kcal", "kilocalories"])
def test_a_calorie_of_food_is_a_kilocalorie(word):
    assert units.parse(f"60000 {word}", "food_energy") == 60000.0


@pytest.mark.parametrize(
    ("text", "kind"),
    [("3.000 gal", "volume"), ("1.200 EUR", "money"), ("€1.250", "money"), ("12.500 L", "volume")],
)
def test_a_point_between_thousands_or_before_decimals_is_asked_about(text, kind):
    with pytest.raises(ValueError, match="may be .* or ") as caught:
        units.parse(text, kind)
    assert text in str(caught.value) and len(str(caught.value)) <= 200


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("3.785 L", "volume", 0.003785),
        ("0.250 in", "length", 0.00635),
        ("$2.599", "money", 2.599),
        ("1.25 in", "length", 0.03175),
        ("3,000 gal", "volume", units.parse("3000 gal", "volume")),
    ],
)
def test_plain_decimals_and_thousands_are_read(text, kind, value):
    assert units.parse(text, kind) == pytest.approx(value)
