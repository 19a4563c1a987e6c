"""Rain on the roof and the tank for it, and the depth of water on a bed.

Owns the simple volumes. Leaves the hour-by-hour tank to the simulation, the garden's need to
`evapotranspiration`.
"""

from homestead import reference
from homestead.units import checked


def roof_catch_m3(area_m2, rain_m, collected_frac):
    """Rain that a roof brings to its tank.

    area_m2 : Roof in plan. [m2], 0 to 1e6.
    rain_m : [m], 0 to 30.
    collected_frac : Share that reaches the tank, 0 to 1; 0.75 to 0.90 is usual.
    Gives [m3].

    .. [1] Texas Water Development Board, "Texas Manual on Rainwater Harvesting", 3rd ed.,
       2005, ch. 4.
    """
    area = checked("area_m2", area_m2, 0, 1e6, "m2")
    return (
        area
        * checked("rain_m", rain_m, 0, 30, "m")
        * checked("collected_frac", collected_frac, 0, 1)
    )


def first_flush_m3(area_m2):
    """First water of a storm to turn away, since it carries the roof's dirt.

    area_m2 : Roof in plan. [m2], 0 to 1e6.
    Gives [m3 per storm], the least that the manual names.

    .. [1] "Texas Manual on Rainwater Harvesting", 3rd ed., 2005, ch. 4; from memory.
    """
    depth = reference.value("water_use", "roof", "first_flush", "m")
    return checked("area_m2", area_m2, 0, 1e6, "m2") * depth
