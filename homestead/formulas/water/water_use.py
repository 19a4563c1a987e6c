"""Water that people, animals and fire ask for.

Owns daily demand. Leaves the garden to `evapotranspiration`, the roof to `rain`, the well to
`wells`. Figures stand in tables ``water_use`` and ``animals`` with their sources.
"""

import re
from functools import cache

import numpy as np

from homestead import reference, units
from homestead.formulas.water.hydraulics import WATER_KG_M3
from homestead.units import checked

# What a family calls its animals -> the row of table `animals`. The heavier class where in doubt,
# since running short is the worse mistake.
ANIMAL_ALIASES = {
    row.item: row.quantity.removeprefix("counts as ") for row in reference.table("animal_names")
}
_ANIMAL_NODE = re.compile(r"^water(_mass)?(_per_100)?_(\d+)F$")


@cache
def _animal_nodes(kind):
    """Air temperatures [deg C] and water per head [m3/day] of one row name."""
    nodes = []
    for row in reference.table("animals"):
        match = _ANIMAL_NODE.match(row.quantity) if row.item == kind else None
        if not match:
            continue
        by_mass, per_hundred, fahrenheit = match.groups()
        amount = units.convert_unit(row.value, row.unit, "kg/day" if by_mass else "m^3/day")
        amount = amount / WATER_KG_M3 if by_mass else amount
        air = units.convert_unit(float(fahrenheit), "degF", "degC")
        nodes.append((float(air), float(amount) / (100.0 if per_hundred else 1.0)))
    nodes.sort()
    return np.array([air for air, _ in nodes]), np.array([amount for _, amount in nodes])


def animal_kinds():
    """Names that `animal_water_m3_day` knows, aliases included.

    Gives list of str.
    """
    rows = [item for item in reference.items("animals") if len(_animal_nodes(item)[0])]
    return sorted({*rows, *ANIMAL_ALIASES})


def animal_water_m3_day(kind, air_c):
    """Water that one animal drinks in a day.

    kind (str) : Such as "growing cattle 600 lb", "steer", "dairy goat", "laying hen";
        `animal_kinds` lists them.
    air_c : Air temperature of the day. [deg C], -60 to 60.
    Gives [m3/day per head].
    Linear between the table's temperatures, held at its ends. In heat beyond the last row an animal
    drinks more than this.
    .. [1] National Research Council, "Nutrient Requirements of Beef Cattle", 2000; others by row in
       table ``animals``.
    """
    air = checked("air_c", air_c, -60, 60, "deg C")
    temperatures, amounts = _animal_nodes(ANIMAL_ALIASES.get(kind, kind))
    if not len(temperatures):
        import difflib

        known = animal_kinds()
        near = difflib.get_close_matches(str(kind), known, n=4, cutoff=0.4) or known
        raise ValueError(f"kind of animal {kind!r} is unknown; nearest: {', '.join(near)}")
    return np.interp(air, temperatures, amounts)


def fixture_use_m3(fixture, end="high"):
    """Water of one use of a fixture: a load, a flush, a shower.

    fixture (str) : An item of table ``water_use`` that has a volume, such as "front-load washer".
    end ({"low", "high"}) : End of the printed range.
    Gives [m3].

    .. [1] Penn State Extension, "Water System Planning: Estimating Water Needs", 2022; J. Broz,
       University of Missouri Extension G1801.
    """
    if end not in ("low", "high"):
        raise ValueError(f"end must be low or high; got {end!r}")
    return reference.value("water_use", fixture, f"volume_{end}", "m^3")


def fixtures_water_m3_day(uses_n_day, end="high"):
    """Water of a day from how often each fixture is used.

    uses_n_day (dict of str to (float or array of shape (n,))) : Uses a day by fixture, each 0 to
        1000.
    end ({"low", "high"}) : End of the printed range.
    Gives [m3/day].
    """
    total = 0.0
    for fixture, uses in uses_n_day.items():
        count = checked(f"uses_n_day[{fixture!r}]", uses, 0, 1000)
        total = total + count * fixture_use_m3(fixture, end)
    return total


def fire_reserve_m3(volume_m3, occupancy_hazard, construction_class, exposed):
    """Least water for fighting a fire in a building without hydrants.

    volume_m3 : Building's volume. [m3], 0 to 1e6.
    occupancy_hazard : Classification number, 3 (worst) to 7 (dwelling).
    construction_class : Classification number, 0.5 to 1.5 (wood frame).
    exposed (bool or array of bool of shape (n,)) : Another building stands close enough to catch.
    Gives [m3].
    Editions differ, some hold dwellings at class 1.0, and the local fire department or authority
    decides: this is a figure to bring to that talk.
    .. [1] NFPA 1142, 2001, 7.3.2.
    """
    volume = checked("volume_m3", volume_m3, 0, 1e6, "m3")
    hazard = checked("occupancy_hazard", occupancy_hazard, 3, 7)
    construction = checked("construction_class", construction_class, 0.5, 1.5)
    near = np.asarray(exposed, dtype=bool)
    share = reference.value("water_use", "fire reserve", "water_per_building_volume", "")
    factor = reference.value("water_use", "fire reserve", "exposure_factor", "")
    least = reference.value("water_use", "fire reserve", "minimum", "m^3")
    least_exposed = reference.value("water_use", "fire reserve", "minimum_exposed", "m^3")
    water = volume * share / hazard * construction * np.where(near, factor, 1.0)
    return np.maximum(water, np.where(near, least_exposed, least))
