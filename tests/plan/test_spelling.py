"""Both spellings are understood everywhere, and what is shown is ours."""

import tomllib

import pytest

from homestead.formulas.power import wiring
from homestead.formulas.water import hydraulics
from homestead.plan import demo_path, with_changes

RAW = tomllib.loads(demo_path().read_text(encoding="utf-8"))


@pytest.mark.parametrize("typed", ["aluminum", "aluminium"])
def test_a_wire_of_either_spelling(typed):
    name = RAW["circuit"][0]["name"]
    plan = with_changes(RAW, {f"circuit.{name}.metal": typed, f"circuit.{name}.size": "4"})
    assert plan.circuits[0].metal == "aluminum"
    # NFPA 70 (NEC) Table 310.16, 4 AWG aluminum at 75 °C: 65 A (from memory).
    assert wiring.conductor_ampacity_a("4", typed, 75) == 65.0


@pytest.mark.parametrize("typed", ["galvanized steel", "galvanised steel"])
def test_a_pipe_of_either_spelling(typed):
    plan = with_changes(RAW, {"pipe.material": typed})
    assert plan.pipe.material == "galvanized steel"
    assert hydraulics.hazen_williams_c(typed) == hydraulics.hazen_williams_c("galvanized steel")
