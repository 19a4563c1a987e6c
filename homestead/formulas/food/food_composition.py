"""Composition of foods: energy and protein of a mass, energy from protein, fat and carbohydrate.

Raw or dry as the table names each food. Owns no need and no store.
"""

import math

from homestead import reference
from homestead.units import checked


def food_energy_kcal(food, mass_kg):
    """Energy of a mass of food, raw or dry as the table names it.

    food (str) : Such as ``"white rice"`` or ``"black beans"``.
    mass_kg : Edible mass. [kg], 0 or more.
    Gives [kcal].

    .. [1] U.S. Department of Agriculture, National Nutrient Database, release 28, 2015.
    """
    per_kg = reference.value("foods", food, "energy", "kcal/kg")
    return checked("mass_kg", mass_kg, 0.0, math.inf, "kg") * per_kg


def foods():
    """Names of all foods whose energy is known, in table order."""
    return reference.items("foods", "energy")


def assumed_protein_kg(energy_kcal):
    """Protein in food of which only the energy is known.

    energy_kcal : [kcal], 0 or more.
    Gives [kg]. A stand-in: weighed food of known kinds tells far more.

    The low end of the range that adults should eat, as a share of energy, at 4 kcal/g.

    .. [1] Dietary Reference Intakes, 2005, acceptable macronutrient distribution (from memory).
    """
    share = reference.value(
        "food_needs", "food known by its energy alone", "protein_share_of_energy", ""
    )
    per_kg = reference.value("foods", "general", "atwater_protein", "kcal/kg")
    return checked("energy_kcal", energy_kcal, 0.0, math.inf, "kcal") * share / per_kg


def cooking_water_m3(food, mass_kg):
    """Water to soak and cook a dry food, by common practice.

    food (str) : Such as ``"black beans"``; foods that need none give nothing.
    mass_kg : Dry. [kg], 0 or more.
    Gives [m3], washing up not counted.
    """
    mass = checked("mass_kg", mass_kg, 0.0, math.inf, "kg")
    reference.row("foods", food, "energy")  # raises with the nearest names
    if food not in reference.items("foods", "cooking_water"):
        return mass * 0.0
    return mass * reference.value("foods", food, "cooking_water", "m^3/kg")
