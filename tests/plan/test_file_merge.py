"""Two people on one plan: the second is told, and can merge or reload; nothing is lost."""

import copy
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from homestead.plan import PlanError, PlanFile, demo_path
from homestead.plan.merge import three_way

DEMO_TEXT = demo_path().read_text(encoding="utf-8")
RANGE = '{ value = "220 W", low = "150 W", high = "320 W", basis = "estimate" }'


@pytest.fixture
def path(tmp_path):
    return Path(shutil.copy(demo_path(), tmp_path / "plan.toml"))


@pytest.fixture
def two(path):
    """The plan opened twice: mine, theirs."""
    return PlanFile(path), PlanFile(path)


def test_the_second_is_told_and_may_reload(two):
    mine, theirs = two
    theirs.set("cistern.volume", "5000 gal")
    theirs.save()
    assert mine.is_changed_elsewhere and not theirs.is_changed_elsewhere
    mine.set("garden.area", "3100 ft²")
    with pytest.raises(PlanError, match="somewhere else .* read it again first.*or keep both"):
        mine.save()
    mine.reload()
    assert not mine.is_changed and not mine.is_changed_elsewhere
    assert mine.typed("cistern.volume") == "5000 gal"
    assert mine.typed("garden.area") == "3000 ft²"


def test_different_entries_merge_with_both_comments(path):
    path.write_text(DEMO_TEXT, encoding="utf-8")
    mine = PlanFile(path)
    theirs = DEMO_TEXT.replace('volume = "2500 gal"', 'volume = "5000 gal" # a second tank')
    path.write_text("# a line of theirs\n" + theirs, encoding="utf-8")
    mine.set("garden.area", "3200 ft²")
    mine.set("appliance.lights.power", "300 W")
    merged = mine.merge()
    assert merged.kept == ("appliance.lights.power", "garden.area")
    assert merged.taken == ("cistern.volume",)
    assert merged.conflicts == ()
    mine.save()
    wanted = "# a line of theirs\n" + theirs.replace('"3000 ft²"', '"3200 ft²"')
    got = path.read_text(encoding="utf-8")
    new = '{value = "300 W", low = "150 W", high = "320 W", basis = "estimate"}'
    assert got == wanted.replace(RANGE, new)


def test_what_both_changed_is_listed_with_both_values_and_nothing_is_done(two):
    mine, theirs = two
    theirs.set("cistern.volume", "5000 gal")
    theirs.set("well.yield", {"value": "5 gal/min", "basis": "measured"})
    theirs.save()
    mine.set("cistern.volume", "9000 gal")
    mine.set("well.yield", "4 gal/min")
    mine.set("garden.area", "3200 ft²")
    text = mine.text
    merged = mine.merge()
    assert [(one.path, one.base, one.mine, one.theirs) for one in merged.conflicts[1:]] == [
        ("cistern.volume", "2500 gal", "9000 gal", "5000 gal")
    ]
    assert merged.conflicts[0].path == "well.yield"
    assert merged.conflicts[0].mine["value"] == "4 gal/min"
    assert merged.conflicts[0].theirs == {"value": "5 gal/min", "basis": "measured"}
    assert mine.text == text and mine.is_changed_elsewhere
    # Decided one by one.
    merged = mine.merge({"cistern.volume": "mine", "well.yield": "theirs"})
    assert merged.conflicts == ()
    assert mine.typed("cistern.volume") == "9000 gal"
    assert mine.raw()["well"]["yield"] == {"value": "5 gal/min", "basis": "measured"}
    assert mine.typed("garden.area") == "3200 ft²"
    mine.save()


@pytest.mark.parametrize(("prefer", "volume"), [("mine", "9000 gal"), ("theirs", "5000 gal")])
def test_one_side_may_win_everywhere(two, prefer, volume):
    mine, theirs = two
    theirs.set("cistern.volume", "5000 gal")
    theirs.save()
    mine.set("cistern.volume", "9000 gal")
    assert mine.merge(prefer).conflicts == ()
    assert mine.typed("cistern.volume") == volume


def test_prefer_must_name_a_side(two):
    with pytest.raises(ValueError, match="prefer must be mine or theirs; got 'ours'"):
        two[0].merge("ours")


def test_members_added_and_removed_by_both(two):
    mine, theirs = two
    part = {"power": "5 W", "daily_use": "1 h"}
    theirs.add("appliance", {"name": "their pump", **part})
    theirs.remove("appliance", "clothes washer")
    theirs.save()
    mine.add("appliance", {"name": "my pump", **part})
    mine.remove("appliance", "fans")
    mine.set("garden", None)
    mine.set_all({"by_hand.source": "well", "by_hand.flow": "2 gal/min"})
    merged = mine.merge()
    assert merged.conflicts == ()
    names = [one.name for one in mine.plan.appliances]
    assert {"their pump", "my pump"} <= set(names) and not {"clothes washer", "fans"} & set(names)
    assert mine.plan.garden is None and mine.plan.by_hand is not None
    assert "# --- warmth" in mine.text  # headings stay
    mine.save()
    assert [one.name for one in PlanFile(mine.path).plan.appliances] == names


def test_removed_here_and_changed_there_is_a_conflict(two):
    mine, theirs = two
    theirs.set("appliance.fans.power", "90 W")
    theirs.save()
    mine.remove("appliance", "fans")
    (conflict,) = mine.merge().conflicts
    assert conflict.path == "appliance.fans"
    assert conflict.mine is None and conflict.theirs["power"] == "90 W"
    assert mine.merge("mine").conflicts == ()
    assert "fans" not in [one.name for one in mine.plan.appliances]


def test_the_same_name_added_by_both_is_a_conflict_unless_it_is_the_same(two):
    mine, theirs = two
    part = {"name": "new", "power": "5 W", "daily_use": "1 h"}
    theirs.add("appliance", part)
    theirs.save()
    mine.add("appliance", {**part, "power": "6 W"})
    (conflict,) = mine.merge().conflicts
    assert (conflict.path, conflict.base) == ("appliance.new", None)
    mine.reload()
    mine = PlanFile(mine.path)
    assert mine.merge().conflicts == ()


def test_a_new_order_is_kept(two):
    mine, theirs = two
    theirs.set("cistern.volume", "5000 gal")
    theirs.save()
    heaters = mine.raw()["heater"]
    mine.set("heater", heaters[::-1])
    before = [one.name for one in mine.plan.heaters]
    assert mine.merge().conflicts == ()
    assert [one.name for one in mine.plan.heaters] == before
    assert mine.typed("cistern.volume") == "5000 gal"


def test_both_together_may_not_hold(two):
    """Each alone is sound; together a heater would burn from a store that is gone."""
    mine, theirs = two
    theirs.add("fuel", {"name": "drum", "fuel": "diesel", "amount": "5 gal"})
    theirs.save()
    mine.reload()
    theirs.remove("fuel", "drum")
    theirs.save()
    mine.set("generator.store", "drum")
    text = mine.text
    with pytest.raises(PlanError, match="must name a fuel store") as caught:
        mine.merge()
    assert caught.value.faults[0].where == ("generator", "store")
    assert mine.text == text


def test_what_stands_there_cannot_be_read(two):
    mine, _ = two
    mine.set("cistern.volume", "9000 gal")
    mine.path.write_bytes(b"name = 'x")
    with pytest.raises(PlanError, match="is not TOML"):
        mine.merge()
    with pytest.raises(PlanError, match="is not TOML"):
        mine.reload()
    assert mine.typed("cistern.volume") == "9000 gal"


def test_a_file_that_is_gone_is_written_again(two):
    mine, _ = two
    mine.path.unlink()
    assert not mine.is_changed_elsewhere
    mine.set("cistern.volume", "9000 gal")
    mine.save()
    assert PlanFile(mine.path).typed("cistern.volume") == "9000 gal"


# --- the rule itself ------------------------------------------------------------------------------

VALUES = st.sampled_from(["1 m", "2 m", 3, 3.0, True, ["a"], {"value": "1 m", "low": "0 m"}])
PART = st.dictionaries(st.sampled_from("pqr"), VALUES, max_size=3)
LISTED = st.dictionaries(st.sampled_from(["a", "b.c", "d"]), PART, max_size=3).map(
    lambda members: [{"name": name, **part} for name, part in members.items()]
)
PLANS = st.fixed_dictionaries(
    {}, optional={"name": VALUES, "well": PART, "heater": LISTED, "fuel": LISTED}
)


def done(plan, steps):
    """Plain data after the steps, by the plainest code."""
    from homestead.plan.merge import GONE, Member, Order

    plan = copy.deepcopy(plan)
    for (key, *rest), value in steps:
        if isinstance(value, Order):
            by_name = {one["name"]: one for one in plan[key]}
            turn = iter(value)
            plan[key] = [by_name[next(turn)] if one["name"] in value else one for one in plan[key]]
            continue
        if not rest:
            holder, entry = plan, key
        elif isinstance(rest[0], Member):
            members = plan.setdefault(key, [])
            at = next((n for n, one in enumerate(members) if one["name"] == rest[0]), None)
            if len(rest) == 1:
                if at is not None:
                    del members[at]
                if value is not GONE:
                    members.insert(len(members) if at is None else at, value)
                continue
            holder, entry = members[at], rest[1]
        else:
            holder, entry = plan[key], rest[0]
        if value is GONE:
            holder.pop(entry, None)
        else:
            holder[entry] = value
    return {key: value for key, value in plan.items() if value != []}


def flat(plan):
    found = {}
    for key, value in plan.items():
        if isinstance(value, list) and all(isinstance(one, dict) for one in value):
            for one in value:
                found |= {(key, one["name"], entry): repr(two) for entry, two in one.items()}
        elif isinstance(value, dict):
            found |= {(key, entry): repr(two) for entry, two in value.items()}
        else:
            found[key,] = repr(value)
    return found


@settings(max_examples=400, deadline=None)
@given(PLANS, PLANS, PLANS)
def test_whoever_alone_changed_an_entry_is_followed(base, mine, theirs):
    steps, merged = three_way(base, mine, theirs)
    if merged.conflicts:
        for side in ("mine", "theirs"):
            assert three_way(base, mine, theirs, side)[1].conflicts == ()
        return
    got = flat(done(theirs, steps))
    base, mine, theirs = flat(base), flat(mine), flat(theirs)
    for place in {*base, *mine, *theirs, *got}:
        b, m, t = base.get(place), mine.get(place), theirs.get(place)
        assert got.get(place) == (t if m == b else m), place


@settings(max_examples=200, deadline=None)
@given(PLANS, PLANS)
def test_no_change_of_one_side_is_no_conflict(base, other):
    assert three_way(base, base, other)[0] == []
    steps, merged = three_way(base, other, base)
    assert merged.conflicts == ()
    assert flat(done(base, steps)) == flat(other)
    assert three_way(base, other, other)[0] == []


EDITS = st.lists(
    st.sampled_from(
        [
            ("set", "cistern.volume", "5000 gal"),
            ("set", "cistern.volume", "6000 gal"),
            ("set", "name", "Ours"),
            ("set", "units", "metric"),
            ("set", "garden.months", None),
            ("set", "garden.area", {"value": "2900 ft²", "basis": "measured"}),
            ("set", "well.yield", "4 gal/min"),
            ("set", "well.yield", {"value": "4 gal/min", "basis": "measured"}),
            ("set", "cooling", None),
            ("remove", "animal", "steer"),
            ("remove", "appliance", "fans"),
            ("set", "appliance.fans.power", "90 W"),
            ("rename", "appliance", "lights", "lamps"),
            ("add", "pantry", {"name": "more", "energy": "5 kcal"}),
            ("add", "animal", {"name": "ewes", "kind": "sheep", "count": 3}),
        ]
    ),
    max_size=4,
    unique_by=repr,
)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(EDITS, EDITS)
def test_the_file_holds_what_the_rule_says(path, ours, others):
    path.write_text(DEMO_TEXT, encoding="utf-8")
    mine, theirs = PlanFile(path), PlanFile(path)
    base = mine.raw()
    for opened, edits in ((mine, ours), (theirs, others)):
        for verb, *what in edits:
            try:
                getattr(opened, verb)(*what)
            except PlanError:
                continue  # such as an entry of a part that is gone
    theirs.save()
    steps, _ = three_way(base, mine.raw(), theirs.raw(), "mine")
    wanted = done(theirs.raw(), steps)
    mine.merge("mine")
    assert flat(mine.raw()) == flat(wanted)
    assert PlanFile(path).text == theirs.text  # not saved yet
    mine.save()
    assert flat(PlanFile(path).raw()) == flat(wanted)
    shutil.rmtree(path.parent / "revisions", ignore_errors=True)
