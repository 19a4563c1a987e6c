"""Plans that come with the package: they hold, and come back from a save as they were."""

import shutil

import pytest

from homestead import reference
from homestead.plan import PlanFile, with_changes
from homestead.plan.file import needed_first
from homestead.plan.schema import read_plan

PLANS = sorted(reference.shipped("data").glob("*/plan.toml"))


def test_demo_cabin_and_cold_coast_are_there():
    assert {path.parent.name for path in PLANS} >= {"demo", "cabin", "cold-coast"}


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.parent.name)
def test_a_shipped_plan_has_no_fault_and_keeps_its_text(path):
    opened = PlanFile(path)
    plan, faults = read_plan(opened.raw())
    assert faults == [] and plan.model_dump() == opened.plan.model_dump()
    assert not opened.is_changed
    assert opened._document.as_string().encode() == path.read_bytes()


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.parent.name)
def test_a_shipped_plan_survives_a_change_and_its_reversal(path, tmp_path):
    copied = shutil.copy(path, tmp_path / "plan.toml")
    opened = PlanFile(copied)
    name, keep = opened.typed("name"), opened.typed("house.keep")
    for new_name, new_keep in (("Elsewhere", "17 °C"), (name, keep)):
        opened.set_all({"name": new_name, "house.keep": new_keep})
        opened.save()
    assert (tmp_path / "plan.toml").read_bytes() == path.read_bytes()
    assert len(opened.revisions()) == 2
    assert PlanFile(copied).plan.model_dump() == PlanFile(path).plan.model_dump()


WITH_IDEAS = [one for one in PLANS if one.parent.name != "typical"]


@pytest.mark.parametrize("path", WITH_IDEAS, ids=lambda path: path.parent.name)
def test_each_candidate_change_of_a_shipped_plan_makes_another_plan(path):
    opened = PlanFile(path)
    by_name = {change.name: change for change in opened.plan.changes}
    assert by_name
    for change in opened.plan.changes:
        assert needed_first(change, by_name)[-1] == change
        changed = with_changes(opened.raw(), change.sets, change.adds)
        assert changed.model_dump() != opened.plan.model_dump()


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.parent.name)
def test_ranges_of_a_shipped_plan_hold(path):
    for one in PlanFile(path).plan.assumptions:
        low = one.value if one.low is None else one.low
        high = one.value if one.high is None else one.high
        assert low <= one.value <= high, one
        assert one.basis in (None, "measured", "label", "estimate")
