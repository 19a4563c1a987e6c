"""A plan changed by code says the same by its fields and by its plain data."""

import pytest

from homestead.outlook import run
from homestead.plan import open_plan, with_changes
from homestead.plan.fields import LISTED, kind_of
from homestead.plan.schema import Plan, part_type
from homestead.plan.written import part
from homestead.questions.variants import Variants
from homestead.reference import shipped

SHIPPED = ("demo", "cabin", "cold-coast")


@pytest.fixture(scope="module", params=SHIPPED)
def plan(request):
    return open_plan(shipped("data", request.param, "plan.toml"))


@pytest.fixture(scope="module")
def demo():
    return open_plan(shipped("data", "demo", "plan.toml"))


def changed(plan, name, **update):
    return plan.model_copy(update={name: getattr(plan, name).model_copy(update=update)})


def test_run_and_variants_see_the_same_changed_plan(demo):
    """A smaller battery set by code; run and variants told different days before."""
    small = changed(demo, "battery", modules_n=2)
    assert small.raw["battery"]["modules"] == 2
    outlook = run(small, years_n=1)
    assert outlook.homestead.p10 != run(demo, years_n=1).homestead.p10
    assert Variants(small, years_n=1).one(days_only=True).reached() == outlook.homestead.p10


def test_a_unit_is_written_and_the_rest_keeps_its_words(demo):
    small = changed(demo, "cistern", volume_m3=3.5)
    assert small.raw["cistern"]["volume"] == "3.5 m³"
    assert {key: one for key, one in small.raw.items() if key != "cistern"} == {
        key: one for key, one in demo.raw.items() if key != "cistern"
    }
    assert demo.raw["cistern"]["volume"] != "3.5 m³"  # the plan itself stays


def test_a_range_goes_with_the_value_that_it_was_of(demo):
    ranged = next(one for one in demo.assumptions if one.path == "well.yield")
    assert ranged.path not in {
        one.path for one in changed(demo, "well", yield_m3s=2e-4).assumptions
    }


def test_parts_that_go_come_and_change_places(demo):
    heaters = demo.heaters
    turned = demo.model_copy(update={"heaters": heaters[::-1], "generator": None})
    assert [one["name"] for one in turned.raw["heater"]] == [one.name for one in heaters[::-1]]
    assert turned.raw["heater"][0] == demo.raw["heater"][-1]
    assert "generator" not in turned.raw
    again = turned.model_copy(update={"heaters": heaters, "generator": demo.generator})
    assert with_changes(again.raw, folder=demo.folder).generator == demo.generator


def test_every_part_written_anew_reads_as_itself(plan):
    """All entries of all parts, as text and back."""
    tried = 0
    for name in Plan.model_fields:
        kind, listed = part_type(name)
        parts = getattr(plan, name)
        if kind is None or parts is None:
            continue
        raw = plan.raw.get(Plan.model_fields[name].alias or name)
        for number, one in enumerate(parts if listed else [parts]):
            typed = (raw[number] if listed else raw) if raw else None
            # What stood there says whether a fuel is weighed or measured.
            blank = one.model_copy(update=dict.fromkeys(type(one).model_fields, object()))
            again = type(one).model_validate(part(one, blank, typed))
            for field_name, field in type(one).model_fields.items():
                expected = getattr(one, field_name)
                found = getattr(again, field_name)
                kind_here = kind_of(field)
                if isinstance(expected, float) or (kind_here and kind_here.name in LISTED):
                    assert found == pytest.approx(expected, rel=1e-12, abs=1e-12), field_name
                else:
                    assert found == expected, (name, field_name)
                tried += 1
    assert tried > 150
