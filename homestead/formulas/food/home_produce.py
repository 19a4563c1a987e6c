"""Home produce: harvest of the garden, eggs, goat milk, and the feed that the animals take.

Yearly or mean daily figures; the season of each lies with the plan and outlook. Yields differ by
half and more between years and places.
"""

import math

from homestead import reference
from homestead.formulas.food.food_composition import food_energy_kcal
from homestead.units import checked


def garden_yield_kg(crop, area_m2):
    """Harvest of a season from an area.

    crop (str) : ``"mixed garden"``, ``"raised bed"`` or a crop such as ``"potatoes"``.
    area_m2 : Planted area. [m2], 0 or more.
    Gives [kg] of produce as picked.

    A crop printed for its length of row is spread over the usual distance between rows. Yields
    differ by half and more between years and gardens.
    """
    area = checked("area_m2", area_m2, 0.0, math.inf, "m2")
    if crop in reference.items("crops", "yield_per_area"):
        return area * reference.value("crops", crop, "yield_per_area", "kg/m^2")
    reference.row("crops", crop, "yield_per_row")  # raises with the nearest names
    return row_yield_kg(crop, area / reference.value("crops", crop, "row_spacing", "m"))


def garden_yield_range_kg(crop, area_m2):
    """Lowest and highest harvest that gardens and fields are known to give from an area.

    crop (str) : Such as ``"potatoes"``; grain and pulses dry.
    area_m2 : Planted area. [m2], 0 or more.
    Gives tuple of float or array: [kg], a season. From memory of garden guides and farm yields: for
        spotting slips of the pen, not for promising a harvest.
    """
    area = checked("area_m2", area_m2, 0.0, math.inf, "m2")
    return tuple(
        area * reference.value("crops", crop, f"yield_per_area_{end}", "kg/m^2")
        for end in ("low", "high")
    )


def row_yield_kg(crop, row_m):
    """Harvest of a season from a length of row.

    crop (str) : Such as ``"carrots"``.
    row_m : [m], 0 or more.
    Gives [kg].
    """
    per_m = reference.value("crops", crop, "yield_per_row", "kg/m")
    return checked("row_m", row_m, 0.0, math.inf, "m") * per_m


def crop_energy_kcal(crop, area_m2):
    """Food energy in the harvest of a crop.

    crop (str) : A crop that is also a food, such as ``"potatoes"``.
    area_m2 : [m2], 0 or more.
    Gives [kcal], peel and loss in storage not taken off.
    """
    return food_energy_kcal(crop, garden_yield_kg(crop, area_m2))


def eggs_n_day(hens_n, eggs_per_year=None):
    """Eggs that a flock lays in an average day.

    hens_n : 0 or more.
    eggs_per_year (float or array, optional) : For each hen. 0 to 366; the table's value if not
        given.
    Gives mean of the year. Without lamps hens lay far fewer in winter.
    """
    hens = checked("hens_n", hens_n, 0.0, math.inf)
    if eggs_per_year is None:
        return hens * reference.value("animals_food", "hen", "eggs_per_year", "1/year") / 365.0
    return hens * checked("eggs_per_year", eggs_per_year, 0.0, 366.0, "1/year") / 365.0


def egg_energy_kcal(eggs_n):
    """Energy of large eggs without their shells.

    eggs_n : 0 or more.
    Gives [kcal].
    """
    mass = reference.value("animals_food", "egg", "edible_mass", "kg")
    return food_energy_kcal("egg", checked("eggs_n", eggs_n, 0.0, math.inf) * mass)


def goat_milk_m3_day(goats_n, level="low"):
    """Milk of does in milk.

    goats_n : Does in milk now. 0 or more.
    level (str) : ``"low"``, ``"high"`` or ``"peak"`` of the published range.
    Gives [m3/day].

    .. [1] M. Gamroth, "Dairy Goats for Family Milk Supply", Oregon State University EC 1439, 1993.
    """
    if level not in ("low", "high", "peak"):
        raise ValueError(f"level must be one of low, high, peak; got {level!r}")
    rate = reference.value("animals_food", "dairy goat", f"milk_{level}", "m^3/day")
    return checked("goats_n", goats_n, 0.0, math.inf) * rate


def goat_lactation_m3(level="low"):
    """Milk of one doe over one lactation. [m3].

    level (str) : ``"low"`` or ``"high"`` of the published range of rate and length.
    """
    if level not in ("low", "high"):
        raise ValueError(f"level must be one of low, high; got {level!r}")
    days = reference.value("animals_food", "dairy goat", f"lactation_{level}", "day")
    return goat_milk_m3_day(1.0, level) * days


def goat_milk_energy_kcal(milk_m3):
    """Energy of goat milk.

    milk_m3 : [m3], 0 or more.
    Gives [kcal].
    """
    density = reference.value("animals_food", "goat milk", "density", "kg/m^3")
    return food_energy_kcal("goat milk", checked("milk_m3", milk_m3, 0.0, math.inf) * density)


def feed_kg_day(animal, animals_n):
    """Feed that animals eat in a day when nothing grows for them.

    animal (str) : ``"hen"``, ``"dairy goat"``, ``"steer"``, ``"beef cow"``, ``"sheep"``,
        ``"horse"``, ``"pig"``.
    animals_n : 0 or more.
    Gives [kg/day].
    """
    rate = reference.value("animals_food", animal, "feed", "kg/day")
    return checked("animals_n", animals_n, 0.0, math.inf) * rate


def produce_of(kind):
    """Food that animals of a kind give while alive, or None.

    kind (str) : As in the table of animal water, other names of it too, such as ``"dairy goat"``.
    Gives str or None: Row of the food table.
    """
    return _kept_for(kind, "gives ")


def meat_of(kind):
    """Row of the food table nearest to the meat of a kind of animal, or None.

    Arguments and errors as in `produce_of`.
    """
    return _kept_for(kind, "meat of ")


def _kept_for(kind, prefix):
    names = reference.animal_names()
    if kind not in names:
        raise ValueError(f"kind must be one of {', '.join(sorted(names))}; got {kind!r}")
    row = names[kind]
    found = {
        one.item: one.quantity.removeprefix(prefix)
        for one in reference.table("animals_food")
        if one.quantity.startswith(prefix)
    }
    cattle = any(word in row for word in ("cattle", "cow", "bull"))
    return found.get(row, found.get("cattle") if cattle else None)
