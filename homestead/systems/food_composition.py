"""Composition of foods: energy and protein of a mass, energy from protein, fat and carbohydrate.

Raw or dry as the table names each food. Owns no need and no store.
"""

import math

from homestead import reference
from homestead.units import checked


def food_energy_kcal(food, mass_kg):
    """Energy of a mass of food, raw or dry as the table names it.

    Parameters
    ----------
    food : str
        Such as ``"white rice"`` or ``"black beans"``.
    mass_kg : float or array
        Edible mass. [kg], 0 or more.

    Returns
    -------
    float or array
        [kcal]

    Raises
    ------
    ValueError
        If the food is unknown (nearest names listed) or the mass out of range.

    References
    ----------
    .. [1] U.S. Department of Agriculture, National Nutrient Database, release 28, 2015.
    """
    per_kg = reference.value("foods", food, "energy", "kcal/kg")
    return checked("mass_kg", mass_kg, 0.0, math.inf, "kg") * per_kg


def food_protein_kg(food, mass_kg):
    """Protein in a mass of food; arguments and source as in `food_energy_kcal`.

    Parameters
    ----------
    food : str
        Such as ``"lentils"``.
    mass_kg : float or array
        Edible mass. [kg], 0 or more.

    Returns
    -------
    float or array
        [kg]

    Raises
    ------
    ValueError
        If the food is unknown (nearest names listed) or the mass out of range.
    """
    per_kg = reference.value("foods", food, "protein", "kg/kg")
    return checked("mass_kg", mass_kg, 0.0, math.inf, "kg") * per_kg


def foods():
    """Names of all foods whose energy is known, in table order."""
    return reference.items("foods", "energy")


def atwater_kcal(protein_kg, fat_kg, carbohydrate_kg, food="general"):
    """Energy of a food from its composition.

    Parameters
    ----------
    protein_kg, fat_kg, carbohydrate_kg : float or array
        [kg], 0 or more; carbohydrate by difference, fibre included.
    food : str
        Whose factors to use: ``"general"`` (4, 9, 4 kcal/g) or a food with its own.

    Returns
    -------
    float or array
        [kcal]

    Raises
    ------
    ValueError
        If a value is out of range or the food has no factors (nearest names listed).
    """
    masses = {"protein": protein_kg, "fat": fat_kg, "carbohydrate": carbohydrate_kg}
    return sum(
        checked(f"{name}_kg", mass, 0.0, math.inf, "kg")
        * reference.value("foods", food, f"atwater_{name}", "kcal/kg")
        for name, mass in masses.items()
    )
