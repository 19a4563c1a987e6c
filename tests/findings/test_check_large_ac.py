import pytest
from electrical_plans import about, graver, large

from homestead.findings.finding import ELECTRICIAN, PHRASES
from homestead.findings.gather import findings_of
from homestead.plan import open_plan
from homestead.reference import shipped
from homestead.trades.power import check_electrical as electrical
from homestead.vocabulary import SEVERITIES


def dangers(plan):
    return [one.about for one in electrical.findings_of(plan) if one.severity == "danger"]


def member(raw, key, name):
    return next(one for one in raw[key] if one["name"] == name)


def test_the_sound_large_plan_gives_no_danger():
    plan = large()
    assert sum(one.coupling == "ac" for one in plan.arrays) == 3
    assert plan.grid_former.units_n == 2
    assert dangers(plan) == []


def test_a_wrong_wire_is_found():
    def thin(raw):
        member(raw, "circuit", "south inverter")["size"] = "12"

    assert dangers(large(thin)) == [
        "circuit south inverter: wire",
        "circuit south inverter: breaker",
    ]


def test_a_string_over_voltage_at_the_record_low_is_found():
    # 15 x 37.5 V = 562.5 V by the label; x (1 + 0.0027 x 51.1) at -15 °F = 640 V.
    def long(raw):
        member(raw, "array", "south roof")["modules_per_string"] = 15
        member(raw, "array", "south roof")["voc_coefficient_per_c"] = -0.0027

    found = list(electrical.findings_of(large(long)))
    assert [one.about for one in found if one.severity == "danger"] == ["array south roof"]
    assert any("640 V" in one.said() for one in found)


def test_an_array_larger_than_its_grid_former_is_found():
    def weak(raw):
        raw["grid_former"]["continuous"] = "7.5 kW"  # two of them under 15.6 kW of followers

    assert dangers(large(weak)) == ["AC coupling"]


def test_a_breaker_under_the_continuous_figure_is_found():
    def small(raw):
        member(raw, "circuit", "south inverter")["breaker"] = "35 A"  # 39.6 A is asked

    found = about(electrical.findings_of(large(small)), "circuit south inverter: breaker")
    assert [one.severity for one in found] == ["warning"] and "39.6 A" in found[0].said()


def test_unequal_roof_planes_on_one_tracker_are_found():
    found = about(graver(electrical.findings_of(large())), "array east roof")
    assert len(found) == 1 and "unequal strings in parallel" in found[0].said()


def test_big_compressor_with_and_without_soft_starter():
    (plain,) = about(electrical.findings_of(large()), "starting surge")
    assert plain.severity == "warning" and "With a soft starter" in plain.said()

    def soft(raw):
        raw["cooling"]["starting_factor"] = 1.7

    (gentle,) = about(electrical.findings_of(large(soft)), "starting surge")
    assert gentle.severity == "note"


@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_shipped_plans_give_no_electrical_danger(name):
    assert dangers(open_plan(shipped("data", name, "plan.toml"))) == []


def test_demo_shows_circuits_and_panel():
    plan = open_plan(shipped("data", "demo", "plan.toml"))
    found = list(electrical.findings_of(plan))
    assert len(about(found, "circuit")) >= 3 * len(plan.circuits) > 0
    assert about(found, "panel busbar")


def test_all_findings_hold_the_electrical_ones_gravest_first():
    found = findings_of(large())
    assert set(electrical.findings_of(large())) <= set(found)
    gravity = [SEVERITIES.index(one.severity) for one in found]
    assert gravity == sorted(gravity)


def test_every_electrical_finding_names_a_source_and_promises_nothing():
    for one in electrical.findings_of(large()):
        assert one.source and one.severity in SEVERITIES
        words = one.said().lower()
        assert "safe" not in words and "complian" not in words and "legal" not in words
        if one.severity == "danger":
            assert PHRASES[ELECTRICIAN] in one.said()
