import pytest
from electrical_plans import about, array, graver, house

from homestead.trades.power import check_strings as strings


def found(plan):
    return list(strings.findings_of(plan))


def with_text(plan, text):
    return [one for one in found(plan) if text in one.said()]


def test_a_string_within_its_figures_gives_notes_only():
    assert graver(found(house())) == []


def test_a_string_over_voltage_only_at_the_record_low_is_a_danger():
    # 14 x 40 V = 560 V by the label, within 600 V; x (1 + 0.0027 x 45) at -20 °C = 628 V.
    over = with_text(house(array=[array(modules_per_string=14, tracker_max="590 V")]), "no load")
    assert [one.severity for one in over] == ["danger"] and "628 V" in over[0].said()
    assert with_text(house(array=[array(modules_per_string=13)]), "no load")[0].severity == "note"


# NEC 2023 690.8 and 690.9 in an electrician-course example (case E42, found): Isc 11.2 A needs
# 17.5 A, so a 20 A fuse, and 10 AWG PV wire at 45 °C carries 34.8 A.
def test_fuse_of_the_published_example_is_within_and_the_next_smaller_is_not():
    good = house(array=[array(fuse="20 A")])
    assert with_text(good, "String fuse")[0].severity == "note"
    small = with_text(house(array=[array(fuse="15 A")]), "String fuse")
    assert small[0].severity == "warning" and "17.5 A" in small[0].said()
    assert "20 A" in small[0].said()


def test_wire_of_the_published_example_is_within_its_figures():
    plan = house(array=[array(wire_size="10", wire_ambient="45 °C", fuse="20 A")])
    wire = with_text(plan, "String wire")
    assert wire[0].severity == "note" and "34.8 A" in wire[0].said()


def test_a_wire_too_small_for_the_heat_around_it_is_a_danger():
    # 14 AWG, 90 °C: 25 A x 0.58 at 66 to 70 °C = 14.5 A, above 14.0 A; 20 A at 75 °C terminals
    # above 17.5 A; held to 15 A by 240.4(D), so the 20 A fuse is too large for it.
    plan = house(array=[array(wire_size="14", wire_ambient="70 °C", fuse="20 A")])
    assert with_text(plan, "String wire")[0].severity == "danger"
    # 12 AWG with 60 °C insulation at 55 °C: 20 A x 0.41 = 8.2 A, below 14.0 A.
    plan = house(
        array=[array(wire_size="12", wire_insulation="60 °C", wire_ambient="55 °C", fuse="20 A")]
    )
    wire = with_text(plan, "String wire")
    assert wire[0].severity == "danger" and "8.2 A" in wire[0].said()


def test_smallest_wire_carries_the_figures_and_holds_the_fuse():
    # 17.5 A needs a 20 A fuse: 14 AWG is held to 15 A, 12 AWG to 20 A (E41).
    plan = house(array=[array(fuse="20 A")])
    assert strings.smallest_wire(plan, plan.arrays[0]) == "12"
    # 13.9 A x 1.5625 = 21.7 A, a 25 A fuse: 12 AWG is held to 20 A, 10 AWG to 30 A.
    plan = house(array=[array(isc="13.9 A", imp="13.1 A")])
    assert strings.smallest_wire(plan, plan.arrays[0]) == "10"


def test_three_strings_in_parallel_without_a_fuse_are_a_danger_and_two_are_not():
    three = array(strings=3, converter_max_current="40 A")
    assert about(graver(found(house(array=[three]))), "array rack")[0].severity == "danger"
    assert graver(found(house(array=[three | {"fuse": "20 A"}]))) == []
    assert graver(found(house(array=[array(strings=2)]))) == []


def test_strings_of_arrays_on_one_tracker_count_together_for_the_fuse():
    other = array(name="annex", strings=1, shares_converter_with="rack")
    plan = house(array=[array(converter_max_current="40 A"), other])
    assert strings.parallel_n(plan, plan.arrays[0]) == 3
    assert strings.parallel_n(plan, plan.arrays[1]) == 3
    assert [one.severity for one in graver(found(plan))] == ["danger", "danger"]


@pytest.mark.parametrize(("count", "severity"), [(8, "note"), (7, "warning")])
def test_unequal_strings_in_parallel_are_flagged(count, severity):
    other = array(name="annex", strings=1, modules_per_string=count, shares_converter_with="rack")
    plan = house(array=[array(strings=1), other])
    assert [one.severity for one in with_text(plan, "share a tracker")] == [severity]


def test_arrays_on_their_own_trackers_are_not_compared():
    other = array(name="annex", modules_per_string=7)
    assert with_text(house(array=[array(), other]), "share a tracker") == []


def test_shared_input_current_is_added_up():
    # 2 x 11.2 A and 2 x 11.2 A on an input of 30 A.
    other = array(name="annex", shares_converter_with="rack", fuse="20 A")
    plan = house(array=[array(fuse="20 A"), other])
    assert with_text(plan, "Together they give 44.8 A")[0].severity == "warning"


def test_another_direction_on_the_same_tracker_is_noted():
    other = array(name="annex", strings=1, azimuth="90 deg", shares_converter_with="rack")
    assert with_text(house(array=[array(strings=1), other]), "faces another way")
    assert not with_text(house(array=[array(strings=1)]), "faces another way")


def test_room_for_strings_to_come_is_noted_or_warned_of():
    assert with_text(house(), "spare pole") == []
    fits = array(strings=1, spare_poles=1, future_strings=1)
    assert with_text(house(array=[fits]), "spare pole")[0].severity == "note"
    crowded = array(strings=1, spare_poles=0, future_strings=1)
    assert with_text(house(array=[crowded]), "spare pole")[0].severity == "warning"
    hungry = array(strings=1, spare_poles=3, future_strings=3)  # 4 x 11.2 A on 30 A
    assert with_text(house(array=[hungry]), "spare pole")[0].severity == "warning"


def test_voltage_drop_of_a_string_is_told_when_its_length_is_known():
    # 10 AWG: 2 x 100 ft x 1.24 ohm/kft x 10.6 A = 2.63 V of 264 V (Table 8).
    plan = house(array=[array(wire_size="10", wire_length="100 ft")])
    assert with_text(plan, "2.6 V of 264 V")[0].severity == "note"
    far = house(array=[array(wire_size="10", wire_length="400 ft")])  # 10.5 V, 4.0 %
    assert with_text(far, "is lost in the string's wire")[0].severity == "warning"
    assert with_text(house(array=[array(wire_size="10")]), "is lost") == []


# By hand, NEC 690.8: two strings of Isc 11.2 A joined are 22.4 A, x 1.25 = 28.0 A, x 1.25 = 35.0 A.
# 10 AWG copper has 35 A in the 75 °C column and is held to 30 A by 240.4(D); at 45 °C its 90 °C
# figure is 40 x 0.87 = 34.8 A. 8 AWG has 50 A. (NEC Table 310.16, from memory.)
def joined(count=2, **entries):
    near = array(strings=count, wire_size="10", wire_ambient="45 °C", fuse="20 A")
    return with_text(house(array=[near | {"joined_strings": count} | entries]), "After the joint")


def test_the_wire_after_a_joint_carries_all_its_strings():
    (three,) = joined(3, joined_wire_size="10", joined_fuse="60 A")
    # Three: 33.6 A, 42.0 A, 52.5 A against the 35 A that carries any one of them easily.
    assert three.severity == "danger"
    assert (
        "33.6 A" in three.said() and "52.5 A" in three.said() and "outside 690.8(B)" in three.said()
    )


def test_a_joined_wire_that_carries_them_is_a_note_and_its_fuse_must_fit():
    (good,) = joined(2, joined_wire_size="8", joined_fuse="35 A")
    assert good.severity == "note" and "35.0 A" in good.said()
    (small,) = joined(2, joined_wire_size="8", joined_fuse="30 A")
    assert small.severity == "danger" and "690.9" in small.said()
    (big,) = joined(2, joined_wire_size="8", joined_fuse="80 A")
    assert big.severity == "danger" and "240.4" in big.said()


def test_a_joint_without_wire_or_fuse_cannot_be_checked():
    (no_wire,) = joined(2)
    assert no_wire.severity == "warning" and "can't be checked" in no_wire.said()
    (no_fuse,) = joined(2, joined_wire_size="8")
    assert no_fuse.severity == "warning" and "can't be checked" in no_fuse.said()


@pytest.mark.parametrize(
    ("entries", "where"),
    [
        ({"joined_strings": 2, "joined_wire_size": "11"}, "joined_wire_size"),
        ({"joined_strings": 3}, "joined_strings"),
        ({"joined_wire_size": "8"}, "joined_strings"),
    ],
)
def test_a_joint_that_cannot_be_is_refused(entries, where):
    with pytest.raises(AssertionError, match=f"'{where}'"):
        house(array=[array(strings=2, **entries)])
