"""What preserving in jars costs: jars, canner loads, heat, water and time.

Masses and times are for counting fuel, jars and hours. They are no recipe: method, pressure and
time come from the current national guide and the local extension office, for the elevation.
"""

import math

import numpy as np

from homestead import reference
from homestead.formulas.food.food_storage import canning_heat_wh
from homestead.units import checked

METHODS = ("boiling water", "pressure")


def foods_with_jars():
    """Names of foods whose jars the table can count, in table order."""
    return reference.items("preserving", "mass_per_quart")


def method_of(food):
    """How a food is canned: ``"boiling water"`` (acid or acidified) or ``"pressure"``."""
    reference.row("preserving", food, "mass_per_quart")
    return next(
        method for method in METHODS if food in reference.items("preserving", f"canned by {method}")
    )


def wants_acid(food):
    """Whether a food goes into boiling water only with added acid."""
    return food in reference.items("preserving", "canned with added acid")


def jars_n(food, mass_kg):
    """Quart jars that a mass of produce fills.

    food (str) : Such as ``"green beans"``.
    mass_kg : As picked. [kg], 0 or more.
    Gives Whole jars, the last one begun.

    .. [1] USDA, "Complete Guide to Home Canning", AIB 539, 2015: quantities for a canner load.
    """
    per_jar_kg = reference.value("preserving", food, "mass_per_quart", "kg")
    # A jar that is filled to a billionth of its food is rounding, not food.
    return np.ceil(checked("mass_kg", mass_kg, 0.0, math.inf, "kg") / per_jar_kg - 1e-9)


def canner_loads_n(jars):
    """Loads of a canner of seven quarts for a number of jars; the last one may be part full."""
    fits = reference.value("preserving", "canner load", "jars", "")
    return np.ceil(checked("jars", jars, 0.0, math.inf) / fits)


def load_hours(food):
    """Time at heat of one load, venting included. [h]; for fuel and time only, not a recipe."""
    hold_h = reference.value("preserving", food, "hold", "hour")
    if method_of(food) == "pressure":
        hold_h += reference.value("preserving", "pressure", "venting", "hour")
    return hold_h


def load_water_m3(food):
    """Water for one load: in the canner, and for washing jars and produce. [m3]."""
    canner = reference.value("preserving", method_of(food), "canner_water", "m^3")
    return canner + reference.value("preserving", "jars and lids", "washing_water", "m^3")


def load_heat_wh(food, start_c, efficiency_frac):
    """Fuel heat for one full canner load.

    food (str) : Such as ``"tomatoes"``.
    start_c : Water and food before. [degC], 0 to 60.
    efficiency_frac : Heat into the pot over heat of the fuel. 0.01 to 1.
    Gives [Wh] of fuel.

    Warming the canner's water and seven quarts, counted as water, to the temperature of the
    method, then the loss of the pot for the time at heat. Blanching and the pot itself are left
    out. From physics; no published figure stands behind it.
    """
    method = method_of(food)
    canner = reference.value("preserving", method, "canner_water", "m^3")
    jars = reference.value("preserving", "canner load", "jars", "")
    jar = reference.value("preserving", "jar", "volume", "m^3")
    return canning_heat_wh(
        canner + jars * jar,
        start_c,
        reference.value("preserving", method, "temperature", "degC"),
        load_hours(food),
        reference.value("preserving", method, "simmer", "W"),
        efficiency_frac,
    )


def cooking_efficiency_frac(fuel):
    """Share of a fuel's heat that reaches the pot, by common practice."""
    return reference.value("preserving", fuel, "cooking_efficiency", "")
