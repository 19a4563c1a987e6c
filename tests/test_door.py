"""The public door: plain amounts, one part out, and results that show themselves."""

import math

import pytest

import homestead as hs
from homestead.outlook import run
from homestead.plan import PlanError, demo_path, with_changes
from homestead.questions import parts_out as parts
from homestead.questions.what_if import part_named
from homestead.shown import LINES_N, Shown


@pytest.fixture(scope="module")
def plan():
    return hs.open_plan(demo_path())


# The demo's bank: 6 modules of 4.8 kWh, 28.8 kWh in all. Worked by hand, whole modules rounded up.
@pytest.mark.parametrize(
    ("amount", "modules_n"),
    [
        ("+10 kWh", 6 + math.ceil(10 / 4.8)),
        ("-10 kWh", math.ceil(18.8 / 4.8)),
        ("43.2 kWh", 9),
        ("x2", 12),
        ("1.5 times", 9),
        ("+2 modules", 8),
        ("8 modules", 8),
    ],
)
def test_a_plain_amount_of_battery(plan, amount, modules_n):
    found = hs.what_if(plan, years_n=1, battery=amount)
    assert found.changed[0][0] == "battery"
    assert found.changed[0][1].startswith(f"{modules_n} modules")


def test_what_if_is_the_run_of_the_changed_plan(plan):
    found = hs.what_if(plan, years_n=1, battery="+2 modules", propane="+50 gal")
    changed = with_changes(
        plan.raw, {"battery.modules": 8, "fuel.propane tank.amount": "170 gal"}, folder=plan.folder
    )
    assert found.after.days["p10"] == run(changed, years_n=1).homestead.p10
    assert found.before.days["p10"] == run(plan, years_n=1).homestead.p10
    assert found.days_gained == found.after.days["p10"] - found.before.days["p10"]


@pytest.mark.parametrize(
    ("word", "part"),
    [
        ("solar", "array ground rack"),
        ("array_barn_roof", "array barn roof"),
        ("barn_roof", "array barn roof"),
        ("propane", "fuel propane tank"),
        ("wood", "fuel woodshed"),
        ("Cistern", "cistern"),
    ],
)
def test_a_plain_word_finds_its_part(plan, word, part):
    assert part_named(plan, word) == part


@pytest.mark.parametrize(
    "amounts", [{"kerosene": "+1 gal"}, {"battery": "+10 gal"}, {"battery": "-90 kWh"}, {}]
)
def test_what_cannot_be_is_refused(plan, amounts):
    with pytest.raises(ValueError, match=r"\w") as caught:
        hs.what_if(plan, years_n=1, **amounts)
    assert len(str(caught.value)) <= 200


def test_an_entry_by_its_path(plan):
    with pytest.raises(PlanError):
        hs.what_if(plan, {"battery.modules": -3}, years_n=1)
    assert hs.what_if(plan, {"generator": None}, years_n=1).days_gained < 0


def test_every_part_of_the_demo_can_be_out(plan):
    found = hs.parts_out(plan, years_n=1)
    assert found.untried == ()
    names = {one.part for one in found.parts}
    for array in plan.arrays:
        assert any(array.name in name for name in names)
    for many in (plan.heaters, plan.crops, plan.animals):
        assert all(any(one.name in name for name in names) for one in many)
    assert {"the well pump", "the battery", "the generator", "the main inverter"} <= names
    assert [one.days for one in found.parts] == sorted(one.days for one in found.parts)


def test_a_part_out_is_the_run_of_the_plan_without_it(plan):
    found = {one.part: one for one in hs.parts_out(plan, years_n=1).parts}
    without = with_changes(
        plan.raw,
        {
            "generator": None,
            "circuit": [c for c in plan.raw["circuit"] if c["feeds"] != "generator"],
        },
        folder=plan.folder,
    )
    outlook = run(without, years_n=1)
    assert found["the generator"].days == outlook.homestead.p10
    assert found["the generator"].least_days == outlook.homestead.least


def test_no_power_chain_without_the_main_inverter(plan):
    found = {one.part: one for one in hs.parts_out(plan, years_n=1).parts}
    assert found["the main inverter"].first_to_fail == "power"
    assert found["the main inverter"].days <= found["the battery"].days + 1


def test_every_kind_of_part_has_something_for_the_shelf(plan):
    assert {part.kind for part in parts.parts_of(plan)} <= set(parts.ON_THE_SHELF)


class Long(Shown):
    def shown(self):
        return "a <b>title</b>", [(f"line {n}", "<script>") for n in range(40)]


def test_a_long_result_stays_within_twelve_lines_and_is_escaped():
    text = repr(Long())
    assert len(text.splitlines()) == LINES_N
    assert "and 30 more" in text
    html = Long()._repr_html_()
    assert "<script>" not in html and "<b>" not in html


def test_results_show_themselves_in_twelve_lines(plan):
    for result in (
        hs.run(plan, years_n=1),
        hs.what_if(plan, years_n=1, cistern="5000 gal"),
        hs.parts_out(plan, years_n=1),
    ):
        assert 3 <= len(repr(result).splitlines()) <= LINES_N
        assert result._repr_html_().startswith("<table>")


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no_such_name"):
        hs.no_such_name  # noqa: B018


def test_the_door_names_what_it_gives():
    assert set(hs.__all__) <= set(dir(hs))
    assert all(callable(getattr(hs, name)) for name in hs.__all__)
