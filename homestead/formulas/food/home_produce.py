"""Home produce: harvest of the garden, eggs, goat milk, and the feed that the animals take.

Yearly or mean daily figures; the season of each lies with the plan and outlook. Yields differ by
half and more between years and places.
"""

import math

from homestead import reference
from homestead.units import checked


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
