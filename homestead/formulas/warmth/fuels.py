"""Fuels: heat in a stored amount, amount for a heat, propane tanks, firewood, cost of heat.

Higher heating values throughout, as the trade prints them. Owns no burner: an efficiency comes from
the plan. Storage units are m3 for liquids, gas and stacked wood, kg for pellets and chips.
"""

import math
from functools import cache

import numpy as np

from homestead import reference
from homestead.units import checked, convert_unit
from homestead.vocabulary import fuel_measure

LARGEST_TANK_M3 = 200.0  # of the plan's entry


@cache
def storage_unit(fuel):
    """Unit in which a fuel's store is counted: ``"m^3"`` or ``"kg"``.

    fuel (str) : A name of the table of fuels, such as ``"propane"``.
    """
    reference.row("fuels", fuel, "heat_hhv")
    return "kg" if fuel_measure(fuel) == "mass" else "m^3"


@cache
def heat_wh_per_unit(fuel):
    """Higher heating value for each storage unit. [Wh/m3 or Wh/kg].

    fuel (str) : A name of the table of fuels, such as ``"propane"``.
    """
    return reference.value("fuels", fuel, "heat_hhv", f"Wh/({storage_unit(fuel)})")


def fuel_energy_wh(fuel, amount):
    """Heat set free when an amount of fuel burns, before any loss.

    fuel (str) : Such as ``"propane"``, ``"fuel oil"``, ``"pellets"`` or ``"cordwood"``.
    amount : In the fuel's storage unit (`storage_unit`). [m3 or kg], 0 or more.
    Gives energy by the higher heating value. [Wh].
    """
    return checked("amount", amount, 0.0, math.inf, storage_unit(fuel)) * heat_wh_per_unit(fuel)


def fuel_for_heat(heat_wh, fuel, efficiency_frac, energy_wh_per_unit=None):
    """Fuel burned to deliver a heat.

    heat_wh : Heat delivered to the house or the tank. [Wh], 0 or more.
    fuel (str) : Such as ``"propane"``, ``"fuel oil"``, ``"pellets"`` or ``"cordwood"``.
    efficiency_frac : Delivered heat over heat of the fuel (AFUE or stove efficiency). 0.01 to 1.
    energy_wh_per_unit (float or array, optional) : The fuel's own heating value where it is known.
        [Wh per storage unit]
    Gives In the fuel's storage unit: m3 for liquids, gas and stacked wood, kg for pellets.
    """
    heat = checked("heat_wh", heat_wh, 0.0, math.inf, "Wh")
    efficiency = checked("efficiency_frac", efficiency_frac, 0.01, 1.0)
    per_unit = heat_wh_per_unit(fuel)
    if energy_wh_per_unit is not None:
        per_unit = checked("energy_wh_per_unit", energy_wh_per_unit, 1e-6, math.inf, "Wh")
    return heat / efficiency / per_unit


def delivered_heat_cost_per_wh(price_per_unit, energy_wh_per_unit, efficiency_frac=1.0):
    """Money for each watt-hour of delivered heat.

    price_per_unit : Price of one unit of the fuel. [money], 0 or more.
    energy_wh_per_unit : Heat of that unit. [Wh], above 0.
    efficiency_frac : Delivered heat over heat of the fuel. 0.01 to 1; 1 where the heat is already
        net.
    Gives [money/Wh].

    .. [1] J. Bartok, "Comparing Fuel Costs", University of Connecticut, 2013.
    """
    price = checked("price_per_unit", price_per_unit, 0.0, math.inf)
    energy = checked("energy_wh_per_unit", energy_wh_per_unit, 1e-6, math.inf, "Wh")
    return price / energy / checked("efficiency_frac", efficiency_frac, 0.01, 1.0)


@cache
def cordwood_wh_per_cord(species):
    """Heat of one stacked cord of air-dry wood.

    species (str) : Such as ``"white oak"``, ``"green ash"`` or ``"douglas-fir"``.
    Gives [Wh/cord].

    .. [1] M. Kuhns and T. Schmidt, "Wood Heating", Utah State University, Table 1.
    """
    return reference.value("wood_species", species, "heat_hhv", "Wh/cord")


def cordwood_moist_wh_per_cord(species, moisture_frac):
    """Heat of one stacked cord at a moisture other than air-dry.

    species (str or None) : As in `cordwood_wh_per_cord`; None for the mean cord of the table of
        fuels.
    moisture_frac : Water over the mass of the moist wood (wet basis). 0 to 0.6.
    Gives [Wh/cord]; at 20 %, the air-dry wood of the tables, exactly their figure.
    The cord holds the same dry wood D at any moisture m and D m / (1 - m) of water. Water beyond
    that of air-dry wood takes its heat of evaporation with it up the flue; drier wood gains the
    same way. D = 0.8 x the air-dry mass. A fire of wet wood also burns worse, and fouls the flue:
    that is not in this figure, so it is the better end.
    """
    moisture = checked("moisture_frac", moisture_frac, 0.0, 0.6)
    air_dry = reference.value("wood_species", "air-dry wood", "moisture", "")
    if species is None:
        heat_wh = reference.value("fuels", "cordwood", "heat_hhv", "Wh/cord")
    else:
        heat_wh = cordwood_wh_per_cord(species)
    per_kg = reference.value("wood_species", "air-dry wood", "heat_per_dry_mass", "Wh/kg")
    dry_kg = heat_wh / per_kg * (1.0 - air_dry)
    more_water_kg = dry_kg * (moisture / (1.0 - moisture) - air_dry / (1.0 - air_dry))
    to_evaporate = reference.value("wood_species", "water in wood", "heat_up_the_flue", "Wh/kg")
    return heat_wh - more_water_kg * to_evaporate


def wood_heat_wh_kg(moisture_frac):
    """Gross heat of wood as it goes into the stove, from its moisture.

    moisture_frac : Water over the mass of the moist wood (wet basis). 0 to 0.7.
    Gives [Wh/kg] of moist wood.

    8600 Btu/lb times (1 - m), hardly depending on the species. Gross: the heat that evaporates
    the wood's water is not taken off, so very wet wood does worse than this says.
    """
    moisture = checked("moisture_frac", moisture_frac, 0.0, 0.7)
    return reference.value("fuels", "wood", "heat_hhv_dry", "Wh/kg") * (1.0 - moisture)


def propane_usable_m3(tank_water_m3, fill_frac=0.8, heel_frac=0.0):
    """Liquid propane that a tank gives up when filled to a share of its water capacity.

    tank_water_m3 : Water capacity, as the tank's plate says. [m3], 0 or more.
    fill_frac : Liquid level now. 0 to 0.85; a delivery fills to 0.8.
    heel_frac : Share of the water capacity that stays in the tank unused. 0 to 0.85.
    Gives [m3]; 0 where the level is below the heel.

    .. [1] 29 CFR 1910.110(b)(19), which the trade rounds to 80 % of water capacity.
    """
    tank = checked("tank_water_m3", tank_water_m3, 0.0, math.inf, "m3")
    fill = checked("fill_frac", fill_frac, 0.0, 0.85)
    heel = checked("heel_frac", heel_frac, 0.0, 0.85)
    return tank * np.maximum(fill - heel, 0.0)


def propane_tank_size_m(tank_water_m3):
    """Usual outside size of a horizontal propane tank, from its water capacity.

    tank_water_m3 : [m3], 0.001 to 200.
    Gives tuple of float: Diameter and length of the shell. [m]. The nearest usual tank, scaled to
        the capacity with its shape kept.
    """
    tank = float(checked("tank_water_m3", tank_water_m3, 1e-3, LARGEST_TANK_M3, "m3"))
    sizes = {
        item: reference.value("propane_tanks", item, "water_capacity", "m^3")
        for item in reference.items("propane_tanks")
    }
    nearest = min(sizes, key=lambda item: abs(math.log(sizes[item] / tank)))
    scale = (tank / sizes[nearest]) ** (1.0 / 3.0)
    return tuple(
        scale * reference.value("propane_tanks", nearest, side, "m")
        for side in ("diameter", "length")
    )


@cache
def _nodes(prefix, ending, axis_unit, value_unit):
    """Sorted nodes of a printed curve: what stands in the quantity against the value."""
    start = len(prefix)
    pairs = sorted(
        (float(row.quantity[start : len(row.quantity) - len(ending)]), row)
        for row in reference.table("fuels")
        if row.quantity.startswith(prefix) and row.quantity.endswith(ending)
    )
    values = [reference.value("fuels", r.item, r.quantity, value_unit) for _, r in pairs]
    axis = [float(convert_unit(x, "degF", "degC")) if axis_unit else x for x, _ in pairs]
    return np.array(axis), np.array(values)


def propane_vaporisation_w(tank_diameter_m, tank_length_m, fill_frac, air_c):
    """Steady heat that an above-ground propane tank can boil off.

    tank_diameter_m, tank_length_m : Outside size of the shell. [m], 0.1 to 5 and 0.1 to 20.
    fill_frac : Liquid level. 0 to 0.85.
    air_c : Outdoor temperature. [degC], -60 to 60.
    Gives Burner input that the tank can feed. [W].
    Btu/h = D x L x K x s, D and L in inches; K from the fill (linear between rows), s from the
    temperature (linear between rows). Held at the last row above 60 % full and above 20 degF,
    where the tank gives more: the error is on the side of too little gas. Nothing boils below
    -44 degF.
    .. [1] Rule of the LP-gas servicemen's handbooks (from memory), and an owner's manual, 2004.
    """
    diameter = checked("tank_diameter_m", tank_diameter_m, 0.1, 5.0, "m")
    length = checked("tank_length_m", tank_length_m, 0.1, 20.0, "m")
    fill = checked("fill_frac", fill_frac, 0.0, 0.85)
    air = checked("air_c", air_c, -60.0, 60.0, "degC")
    by_fill = np.interp(fill, *_nodes("vaporisation_at_fill_", "", "", "W/m^2"))
    return diameter * length * by_fill * propane_vaporisation_share(air)


def propane_vaporisation_share(air_c):
    """Boil-off of a propane tank relative to that at 0 degF, from the air's temperature.

    air_c : Outdoor temperature. [degC], -60 to 60.
    Gives 0 to 2; linear between the printed rows, held above 20 degF.
    """
    air = checked("air_c", air_c, -60.0, 60.0, "degC")
    return np.interp(air, *_nodes("vaporisation_share_at_", "_degF", "degF", ""))
