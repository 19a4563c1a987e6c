"""The whole plan: what is read, the rules between parts, and every fault told at once."""

import copy
import math
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from homestead import reference, units
from homestead.plan.schema import MOST_CHANGES, MOST_PARTS, Plan, part_type, read_plan, top_key

with reference.shipped("data", "demo", "plan.toml").open("rb") as file:
    DEMO = tomllib.load(file)


def changed(*edits):
    """The demo as plain data with some places set; a value of None removes the place."""
    raw = copy.deepcopy(DEMO)
    for where, value in edits:
        inner = raw
        for key in where[:-1]:
            inner = inner[key]
        if value is None:
            del inner[where[-1]]
        else:
            inner[where[-1]] = value
    return raw


def faults_of(raw):
    plan, faults = read_plan(raw)
    assert (plan is None) == bool(faults)
    return {fault.where: fault.message for fault in faults}


def test_the_demo_is_read_into_si():
    plan, faults = read_plan(DEMO)
    assert faults == []
    assert plan.well.depth_m == units.parse("265 ft", "length")
    tank = DEMO["fuel"][1]
    assert plan.fuel_named(tank["name"]).tank_m3 == units.parse(tank["tank"], "volume")
    assert plan.fuel_named("no such") is None
    assert plan.appliances[4].between == (22, 6)


def test_assumptions_come_in_the_order_of_the_schema_with_their_ranges():
    plan, _ = read_plan(DEMO)
    by_path = {one.path: one for one in plan.assumptions}
    well = by_path["well.yield"]
    assert (well.kind, well.basis) == ("flow", "measured")
    assert well.low == units.parse("3 gal/min", "flow")
    assert well.low <= well.value <= well.high
    assert by_path["fuel.woodshed.amount"].high == units.parse("5.5 cords", "volume")
    assert "cistern.volume" not in by_path  # plain values carry no range


def test_every_field_of_every_part_has_a_label_and_help():
    for name in Plan.model_fields:
        part, _ = part_type(name)
        for field_name, field in part.model_fields.items() if part else ():
            assert field.title and field.description, (name, field_name)
        if part:
            assert part.__doc__.splitlines()[0].endswith("."), name


def test_keys_of_a_part_are_told_apart():
    for name in Plan.model_fields:
        part, _ = part_type(name)
        keys = [field.alias for field in part.model_fields.values()] if part else []
        assert len(keys) == len(set(keys)), name


def test_every_fault_is_told_at_once_and_one_hides_no_other():
    raw = changed(
        (("appliance", 0, "power"), "160"),
        (("appliance", 3, "name"), "lights"),  # in the same list as the fault before
        (("well", "depth"), "2650 ft"),
        (("pump", "depht"), "210 ft"),
        (("house", "floor"), None),
        (("battery", "chemistry"), "lead acid"),
        (("heater", 1, "store"), "propane tnk"),
        (("generator", "start_below"), 0.9),
        (("freezer", "fill"), 1.4),
        (("crop", 0, "food"), "potatos"),
        (("gardn",), {"area": "5 m²"}),
    )
    assert set(faults_of(raw)) == {
        ("appliance", 0, "power"),
        ("appliance", 3, "name"),
        ("well", "depth"),
        ("pump", "depht"),
        ("house", "floor"),
        ("battery", "chemistry"),
        ("heater", 1, "store"),
        ("generator", "start_below"),
        ("freezer", "fill"),
        ("crop", 0, "food"),
        ("gardn",),
    }


def test_a_part_that_cannot_be_read_is_not_also_called_missing():
    assert set(faults_of(changed((("grid_former", "idle"), "65")))) == {("grid_former", "idle")}
    assert set(faults_of(changed((("cistern", "volume"), "x")))) == {("cistern", "volume")}
    assert set(faults_of(changed((("fuel", 1, "amount"), "x")))) == {("fuel", 1, "amount")}
    assert set(faults_of(changed((("appliance", 1, "power"), 5)))) == {("appliance", 1, "power")}


@pytest.mark.parametrize(
    ("where", "value", "piece"),
    [
        (("cistrn",), {}, "is not a part of a plan; did you mean 'cistern'?"),
        (("zzzz",), {}, "is not a part of a plan; known: schema, name"),
        (("well",), {f"k{n}": 1 for n in range(999)}, "more faults"),
        (("well", "dept"), "5 m", "is not a known entry; did you mean 'depth'?"),
        (("well", "depth_m"), "5 m", "did you mean 'depth'?"),
        (("array", 0, "azimut"), "5 deg", "did you mean 'azimuth'?"),
        (("site",), None, "is missing; is needed: where you are"),
        (("person",), None, "is missing; at least one is needed: someone who lives with you"),
        (("person",), [], "must be a list of parts, each under [[person]]"),
        (("envelope",), {"name": "x"}, "must be a list of parts, each under [[envelope]]"),
        (("well",), "deep", 'must be a table, under [well]; got "deep"'),
        (("appliance", 0), 5, "must be a table, under [appliance]; got 5"),
        (("name",), None, "is missing: Name of the place"),
        (("schema",), None, "is missing: Schema"),
        (("schema",), 2, "must be 1; got 2"),
        (("units",), "imperial", "must be one of us, metric"),
        (("person", 0, "age"), None, "is missing: Age. In years."),
        (("animal",), [{}] * (MOST_PARTS + 1), f"must have at most {MOST_PARTS} parts"),
        (("change",), [{}] * (MOST_CHANGES + 1), f"must have at most {MOST_CHANGES} parts"),
        (("failure",), {"counts": ["powr"]}, "must be one of power, water, warmth, food"),
        (("failure",), {"counts": []}, "must name at least one of power"),
        (("change", 0, "sets"), {}, "must set or add something"),
        (("change", 0, "sets"), 5, "got 5"),
        (("change", 0, "needs"), ["a miracle"], "must name another change; got 'a miracle'"),
        (("change", 0, "needs"), ["four more modules on the rack"], "must name another change"),
    ],
)
def test_one_fault_is_told_in_its_place(where, value, piece):
    found = faults_of(changed((where, value)))
    assert any(piece in message for message in found.values()), found


NEIGHBOURS = [  # an edit that breaks a rule, where it is told, a piece of the message
    ([(("pantry", 1, "name"), "rice in buckets")], ("pantry", 1, "name"), "is used twice"),
    ([(("generator", "store"), "electricity")], ("generator", "store"), "must name a fuel store"),
    ([(("cooking", "store"), "gas")], ("cooking", "store"), "woodshed, propane tank"),
    ([(("hot_water", "efficiency"), 2.0)], ("hot_water", "efficiency"), "only for a heat pump"),
    ([(("grid_former",), None)], ("grid_former",), "a battery feeds the house through one"),
    ([(("grid_former",), None)], ("array", 0), "needs a [grid_former]"),
    ([(("battery",), None)], ("array", 0, "coupling"), "dc needs a [battery]"),
    ([(("array", 1, "tracker_min"), "500 V")], ("array", 1, "tracker_min"), "below tracker_max"),
    ([(("array", 1, "vmp"), "41.4 V")], ("array", 1, "vmp"), "must be below voc"),
    ([(("array", 1, "imp"), "12 A")], ("array", 1, "imp"), "must be below isc"),
    ([(("grid_former", "surge"), "8 kW")], ("grid_former", "surge"), "at least the continuous"),
    ([(("appliance", 2, "daily_use"), "6 h")], ("appliance", 2, "daily_use"), "5 h from 17 to 22"),
    ([(("appliance", 4, "daily_use"), "9 h")], ("appliance", 4, "daily_use"), "8 h from 22 to 6"),
    ([(("generator", "stop_above"), 0.2)], ("generator", "start_below"), "below stop_above"),
    (
        [(("generator", "full_load_fuel"), "7 kW")],
        ("generator", "full_load_fuel"),
        "no engine gives more",
    ),
    (
        [(("generator", "no_load_fuel"), "118000 Btu/h")],
        ("generator", "no_load_fuel"),
        "must be below full_load_fuel",
    ),
    ([(("shedding", "useful_below"), 0.6)], ("shedding", "useful_below"), "comfort goes first"),
    ([(("pressure_tank", "cut_in"), "60 psi")], ("pressure_tank", "cut_in"), "below cut_out"),
    (
        [(("site", "record_high"), "32 °F"), (("site", "record_low"), "32 °F")],
        ("site", "record_low"),
        "must be below record_high",
    ),
    ([(("cooling", "cool_to"), "68 °F")], ("cooling", "cool_to"), "the house is kept at"),
    ([(("well", "static_level"), "265 ft")], ("well", "static_level"), "less than depth"),
    ([(("well",), None)], ("well",), "the pump needs one"),
    ([(("pump", "depth"), "62 ft")], ("pump", "depth"), "below the static water level"),
    ([(("pump", "depth"), "266 ft")], ("pump", "depth"), "above the bottom"),
    ([(("pipe",), None)], ("pipe",), "from the pump to the house"),
    ([(("pipe", "size"), "1.25")], ("pipe", "size"), "must be a trade size of polyethylene"),
    (
        [(("by_hand",), {"source": "cistern", "flow": "1 gpm"}), (("cistern",), None)],
        ("by_hand", "source"),
        "needs a [cistern]",
    ),
    ([(("cistern",), None)], ("cistern",), "the rain of the roof needs one"),
    ([(("fuel", 1, "amount"), "1500 lb")], ("fuel", 1, "amount"), "of propane must be a volume"),
    ([(("fuel", 0, "fuel"), "pellets")], ("fuel", 0, "amount"), "of pellets must be a mass"),
    ([(("fuel", 1, "amount"), "402 gal")], ("fuel", 1, "amount"), "80 % of the tank"),
    (
        [(("fuel", 1, "amount"), {"value": "9 gal", "high": "450 gal"})],
        ("fuel", 1, "amount"),
        "got 450 gal",
    ),
    ([(("pantry", 0, "energy"), "5 kcal")], ("pantry", 0), "but not both"),
    ([(("pantry", 0, "mass"), None)], ("pantry", 0), "but not both"),
    ([(("freezer", "appliance"), "fridge")], ("freezer", "appliance"), "must name an appliance"),
    ([(("garden", "area"), "2800 ft²")], ("garden", "area"), "they take 2,900 ft²"),
    ([(("pantry", 0, "food"), "white rise")], ("pantry", 0, "food"), "nearest: white rice"),
    ([(("crop", 0, "food"), "potatos")], ("crop", 0, "food"), "potatoes"),
    ([(("fuel", 0, "species"), ["white asch"])], ("fuel", 0, "species"), "white ash"),
    ([(("animal", 0, "kind"), "laying hens")], ("animal", 0, "kind"), "such as laying hen"),
    ([(("animal", 0, "kind"), "cow by weight")], ("animal", 0, "kind"), "from the list"),
    (
        [
            (("change", 0, "needs"), ["fill the propane tank"]),
            (("change", 2, "needs"), ["two more battery modules"]),
            (("change", 1, "needs"), ["four more modules on the rack"]),
        ],
        None,
        "must not go in a circle",
    ),
]


@pytest.mark.parametrize(("edits", "where", "piece"), NEIGHBOURS, ids=range(len(NEIGHBOURS)))
def test_a_broken_rule_between_parts_is_told(edits, where, piece):
    found = faults_of(changed(*edits))
    messages = found.values() if where is None else [found[where]]
    assert any(piece in message for message in messages), found


HOLDS = [  # the other side of those rules
    [(("pressure_tank",), None), (("cistern",), None), (("rain",), None)],
    [(("hot_water", "store"), "electricity"), (("hot_water", "efficiency"), 2.0)],
    [(("appliance", 2, "daily_use"), "5 h")],
    [(("appliance", 4, "daily_use"), "8 h")],
    [(("appliance", 0, "daily_use"), "24 h")],
    [(("fuel", 1, "amount"), "400 gal")],  # 80 % of 500 gal
    [(("fuel", 1, "amount"), "450 gal"), (("fuel", 1, "tank"), None)],
    [
        (("fuel", 0, "fuel"), "pellets"),
        (("fuel", 0, "amount"), "2 ton"),
        (("fuel", 0, "price_amount"), "40 lb"),
        (("fuel", 0, "moisture"), None),
    ],
    [(("animal", 0, "kind"), "hen")],
    [(("animal", 1, "kind"), "dairy goat")],
    [(("garden", "area"), "2900 ft²")],
    [(("garden",), None)],
    [(("pipe", "size"), "1-1/4 in")],
    [(("pump",), None), (("pipe",), None), (("pressure_tank",), None), (("circuit",), None)],
    [(("battery",), None), (("array", 0, "coupling"), "ac")],
    [(("pantry", 0), {"name": "rice", "energy": "5 kcal", "food": "white rice"})],
    [(("change", 0, "needs"), ["fill the propane tank"])],
    [(("animal",), None), (("change",), None), (("crop",), None), (("pantry",), None)],
]


@pytest.mark.parametrize("edits", HOLDS, ids=range(len(HOLDS)))
def test_a_plan_that_keeps_the_rules_is_read(edits):
    assert faults_of(changed(*edits)) == {}


def test_the_propane_limit_tells_the_figure_in_both_systems():
    message = faults_of(changed((("fuel", 1, "amount"), "450 gal")))["fuel", 1, "amount"]
    # 29 CFR 1910.110(b)(19), rounded to 80 % in the table: 400 of 500 gal, 1,514 L.
    assert "1,514 L or less (400 gal or less)" in message and "got 450 gal" in message


HOSTILE = [
    *(math.nan, math.inf, -math.inf, 10**400, -(10**5000), True, False, "", "x" * 10**6),
    *("1e999 ft", "5 m**999999", "5 m^9^9^9", "__import__('os').system('true')", "{{7*7}}"),
    *([], {}, [[[[]]]], {"value": {"value": {}}}, {"value": []}, {"low": 1}, [1, "2", None]),
    *("\x00", "\ud800", "5 ft\x00", [{}] * 1000, {"x": 1}, {"name": "x" * 10**5}),
]
PLACES = [
    *(("name",), ("schema",), ("units",), ("site",), ("site", "rain"), ("person",)),
    *(("person", 0), ("person", 0, "age"), ("well",), ("well", "depth"), ("well", "yield")),
    *(("appliance", 2, "between"), ("appliance", 2, "months"), ("battery", "chemistry")),
    *(("fuel", 1, "amount"), ("fuel", 0, "species"), ("change", 0, "sets"), ("change", 0, "adds")),
    *(("change", 0, "needs"), ("change", 0, "cost"), ("failure", "counts"), ("house", "keep")),
]


@pytest.mark.parametrize("where", PLACES, ids=str)
def test_hostile_values_give_short_faults(where):
    for value in HOSTILE:
        _, faults = read_plan(changed((where, value)))
        assert all(len(fault.message) < 1500 for fault in faults)


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=40),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=10,
)
KEYS = st.sampled_from([top_key(name) for name in Plan.model_fields]) | st.text(max_size=8)


@settings(max_examples=300, deadline=10_000)
@given(st.dictionaries(KEYS, PLAIN, max_size=8))
def test_any_data_is_read_or_refused(raw):
    plan, faults = read_plan(raw)
    assert plan is None and faults


def _places(raw, where=()):
    members = raw.items() if isinstance(raw, dict) else enumerate(raw)
    for key, inner in members:
        yield (*where, key)
        if isinstance(inner, dict | list):
            yield from _places(inner, (*where, key))


@settings(max_examples=300, deadline=10_000)
@given(st.sampled_from(list(_places(DEMO))), PLAIN)
def test_the_demo_with_any_one_place_spoilt_is_read_or_refused(where, value):
    plan, faults = read_plan(changed((where, value)))
    assert (plan is None) == bool(faults)


def test_a_store_may_not_take_the_word_for_electricity():
    found = faults_of(changed((("fuel", 0, "name"), "electricity"), (("change",), None)))
    assert "must not be electricity" in found[("fuel", 0, "name")]
