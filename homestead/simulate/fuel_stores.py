"""Fuel stores: where each stands among them, what is in it, what a propane tank boils off."""

import math

import numpy as np

from homestead import reference, units
from homestead.formulas.warmth import fuels
from homestead.simulate.records import ELECTRICITY, NO_STORE, STORES_N, TANK_STEPS_N, TANKS_N

DAY_S = 86400.0
FULLEST_FRAC = 0.8  # of a propane tank's water capacity; NFPA 58, from memory
SMALLEST_GUESSED_M3 = 0.05  # a bottle, where the plan names no tank; project choice
STANDARD_TANK_C = float(units.convert_unit(0.0, "degF", "degC"))
# Soil around a buried tank stays above the warmest row of the boil-off table; project choice.
BURIED_C = float(units.convert_unit(20.0, "degF", "degC"))


def store_named(plan, store):
    """Position of a fuel store by its name, `NO_STORE` without one."""
    return NO_STORE if store is None else [fuel.name for fuel in plan.fuels].index(store)


def store_of(plan, user):
    """Position of the fuel store that a part names, or what stands for none."""
    if user is None:
        return NO_STORE
    if user.store == "electricity":
        return ELECTRICITY
    return [fuel.name for fuel in plan.fuels].index(user.store)


def keeps_days(plan):
    """Whole days of isolation until each store is stale, a tuple of STORES_N."""
    left = [
        math.inf if fuel.keeps_s is None else max((fuel.keeps_s - fuel.age_s) // DAY_S, 0.0)
        for fuel in plan.fuels
    ]
    return (*left, *(math.inf,) * (STORES_N - len(left)))


def tanks_of(plan):
    """Boil-off of the first propane tanks; one of unknown size is the smallest that holds it."""
    propane = [(number, fuel) for number, fuel in enumerate(plan.fuels) if fuel.fuel == "propane"][
        :TANKS_N
    ]
    per_m3_wh = float(fuels.fuel_energy_wh("propane", 1.0))
    buried_frac = float(fuels.propane_vaporisation_share(BURIED_C))
    found = {"tank_w": [], "tank_heel_wh": [], "tank_fill_per_wh": [], "tank_buried_frac": []}
    for _number, fuel in propane:
        tank_m3 = fuel.tank_m3 or max(fuel.amount / FULLEST_FRAC, SMALLEST_GUESSED_M3)
        size_m = (fuel.tank_diameter_m, fuel.tank_length_m)
        if None in size_m:
            size_m = fuels.propane_tank_size_m(min(tank_m3, fuels.LARGEST_TANK_M3))
        fills = np.arange(TANK_STEPS_N) / 10.0
        by_fill_w = fuels.propane_vaporisation_w(*size_m, fills, STANDARD_TANK_C)
        found["tank_w"].append(tuple(by_fill_w.tolist()))
        found["tank_heel_wh"].append(fuel.amount * fuel.reserve_frac * per_m3_wh)
        found["tank_fill_per_wh"].append(1.0 / (per_m3_wh * tank_m3))
        found["tank_buried_frac"].append(buried_frac * (fuel.tank_place == "underground"))
    none = {"tank_w": (0.0,) * TANK_STEPS_N}
    filled = {
        name: tuple(values) + (none.get(name, 0.0),) * (TANKS_N - len(values))
        for name, values in found.items()
    }
    stores = [number for number, _fuel in propane] + [0] * (TANKS_N - len(propane))
    return {"tanks_n": len(propane), "tank_store": tuple(stores), **filled}


def fuel_wh_per_unit(fuel):
    """Heat in one unit (m³ or kg) of what a store holds. [Wh]."""
    if fuel.fuel == "cordwood" and (fuel.species or fuel.moisture_frac is not None):
        moisture = fuel.moisture_frac
        if moisture is None:
            moisture = reference.value("wood_species", "air-dry wood", "moisture", "")
        per_cord = [
            float(fuels.cordwood_moist_wh_per_cord(wood, moisture))
            for wood in fuel.species or (None,)
        ]
        return float(units.convert_unit(sum(per_cord) / len(per_cord), "Wh/cord", "Wh/m^3"))
    return float(fuels.fuel_energy_wh(fuel.fuel, 1.0))


def fuel_start_wh(plan):
    """Usable heat in each fuel store when isolation begins, array of shape (stores,)."""
    return np.array(
        [fuel.amount * (1.0 - fuel.reserve_frac) * fuel_wh_per_unit(fuel) for fuel in plan.fuels],
        dtype=float,
    )
