"""Whose number each value is, and that a limit which protects is never made up."""

import pytest

from homestead import workspace
from homestead.formulas.power import strings
from homestead.plan import PlanError, PlanFile, demo_path, open_plan, whose
from homestead.plan.fields import kind_of
from homestead.plan.schema import Plan, part_type

RACK = "array.ground rack"


@pytest.fixture
def file(tmp_path):
    return PlanFile(workspace.new(tmp_path / "place"))


def test_a_new_plan_is_the_examples_and_what_is_changed_is_yours(file):
    assert file.plan.began_from == "demo"
    before = whose.counts(file.plan)
    assert before["yours"] <= 5 and before["example"] > 200  # five are measured in the demo
    file.set("cistern.volume", "2600 gal")
    states, now = whose.states(file.plan), whose.counts(file.plan)
    assert states["cistern.volume"] == "yours"
    assert (now["yours"], now["example"]) == (before["yours"] + 1, before["example"] - 1)
    assert f"{now['yours']} of {sum(now.values())} numbers are yours" in whose.in_words(file.plan)


def test_the_demo_itself_is_an_example_throughout():
    assert whose.states(open_plan(demo_path()))["cistern.volume"] == "example"


def test_what_is_left_out_is_typical_and_a_limit_is_missing(file):
    file.set(f"{RACK}.noct", None)
    file.set(f"{RACK}.converter_max_voltage", None)
    states = whose.states(file.plan)
    assert states[f"{RACK}.noct"] == "typical"
    assert states[f"{RACK}.converter_max_voltage"] == "missing"
    assert "limits are missing" in whose.in_words(file.plan)


def test_one_word_makes_an_entry_or_a_part_yours_and_is_kept(file):
    whose.confirm(file, ["cistern.volume", "array"])
    file.save()
    states = whose.states(PlanFile(file.path).plan)
    assert states["cistern.volume"] == states[f"{RACK}.tilt"] == "yours"
    assert states["pump.depth"] == "example"
    with pytest.raises(PlanError, match="did you mean 'pump.depth'"):
        whose.confirm(file, ["pump.dpth"])


def test_a_label_or_a_measurement_is_yours_though_it_equals_the_template(file):
    volume = file.typed("cistern.volume")
    file.set("cistern.volume", {"value": volume, "basis": "measured"})
    assert whose.states(file.plan)["cistern.volume"] == "yours"


def test_no_limit_that_protects_has_a_default():
    kinds = ("voltage", "current")
    made_up = []
    for name in Plan.model_fields:
        part, _ = part_type(name)
        for field_name, field in part.model_fields.items() if part else ():
            extra = field.json_schema_extra or {}
            kind = kind_of(field)
            limits = field_name.endswith(("max_v", "max_a")) and kind and kind.name in kinds
            if (extra.get("protects") or limits) and field.default is not None:
                made_up += [] if field.is_required() else [f"{name}.{field_name}"]
    assert made_up == []


def strings_of(file):
    rack = next(one for one in file.plan.arrays if one.name == "ground rack")
    return strings.strings(rack, file.plan.site)


def test_without_its_own_coefficient_the_codes_table_counts(file):
    """NFPA 70 (NEC) table 690.7(A): below -5 °F the factor of crystalline silicon is 1.23 or so."""
    file.set(f"{RACK}.modules_per_string", 10)
    file.set(f"{RACK}.voc_coefficient_per_c", None)
    found = strings_of(file)
    assert round(found.cold_open_circuit_v) == 469 and found.most_modules_n == 9
    cold = found.findings[0]
    assert cold.severity == "danger" and "the code's table" in cold.said()
    assert "own coefficient" not in cold.said()


def test_without_the_converters_limit_nothing_is_within_it(file):
    file.set(f"{RACK}.modules_per_string", 12)
    file.set(f"{RACK}.converter_max_voltage", None)
    cold = strings_of(file).findings[0]
    assert cold.severity == "warning" and not cold.checked
    assert "not entered, so this can't be checked" in cold.said() and "within" not in cold.said()
