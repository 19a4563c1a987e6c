"""A change moves the needs that depend on it and leaves the others alone."""

import numpy as np
import pytest

from homestead import reference
from homestead.plan import open_plan
from homestead.questions.variants import Variants
from homestead.vocabulary import NEEDS


@pytest.fixture(scope="module", params=["demo", "cold-coast"])
def variants(request):
    plan = open_plan(reference.shipped("data", request.param, "plan.toml"))
    return Variants(plan, years_n=2)


def moved(variants, sets):
    """Needs whose days are not the same from every start, and the days before and after."""
    before, after = variants.of([({}, {}), (sets, {})], days_only=True)
    needs = {n for n in NEEDS if not np.array_equal(before.days_of(n), after.days_of(n))}
    return needs, before, after


def test_more_pantry_moves_food_alone(variants):
    name = variants.plan.pantry[-1].name
    needs, before, after = moved(variants, {f"pantry.{name}.energy": "3000000 kcal"})
    assert needs == {"food"}
    assert np.all(after.days_of("food") >= before.days_of("food"))


# Half of the wood, made up for in the tank: the stove goes out sooner and the furnace, which needs
# power and drinks from the tank of the generator, takes over. Food from the shelf is not touched.
def test_wood_for_propane_moves_warmth_and_what_drinks_from_the_tank():
    variants = Variants(open_plan(reference.shipped("data", "demo", "plan.toml")), years_n=2)
    less = {"fuel.woodshed.amount": "0.2 cords"}
    needs, before, after = moved(variants, less)
    assert {"warmth", "power"} <= needs and "food" not in needs
    assert np.all(after.days_of("warmth") <= before.days_of("warmth"))
    _, _, filled = moved(variants, less | {"fuel.propane tank.amount": "400 gal"})
    assert filled.days_of("power").mean() > after.days_of("power").mean()
    assert filled.days_of("warmth").mean() > after.days_of("warmth").mean()
    # A freezer that is dark for fewer hours may keep its food; a fuller tank never takes any.
    assert np.all(filled.days_of("food") >= before.days_of("food"))


# More water delivered is more water to press and to heat, and a spared well pump is power saved:
# power and warmth lean on the cistern too, either way. Food alone stands apart.
def test_a_cistern_moves_water_and_leaves_food():
    plan = open_plan(reference.shipped("data", "cold-coast", "plan.toml"))
    needs, before, after = moved(Variants(plan, years_n=30), {"cistern.volume": "20000 L"})
    assert "water" in needs and "food" not in needs
    assert after.days_of("water").mean() > before.days_of("water").mean()
