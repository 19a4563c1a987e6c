"""Rain on the roof and the tank for it, and the depth of water on a bed.

Owns the simple volumes. Leaves the hour-by-hour tank to the simulation, the garden's need to
`evapotranspiration`.
"""

import numpy as np

from homestead import reference
from homestead.units import checked


def irrigation_volume_m3(area_m2, depth_m, efficiency_frac=1.0):
    """Volume that waters an area to a depth.

    area_m2 : [m2], 0 to 1e7.
    depth_m : [m], 0 to 2.
    efficiency_frac : Share of the water given that reaches the roots, 0.1 to 1.
    Gives [m3].
    """
    area = checked("area_m2", area_m2, 0, 1e7, "m2")
    share = checked("efficiency_frac", efficiency_frac, 0.1, 1)
    return area * checked("depth_m", depth_m, 0, 2, "m") / share


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


def roof_catch_after_first_flush_m3(area_m2, storm_rain_m, collected_frac):
    """Rain of single storms that reaches the tank once the first flush is turned away.

    area_m2 : [m2], 0 to 1e6.
    storm_rain_m : Rain of each storm. [m], 0 to 30.
    collected_frac : 0 to 1.
    Gives [m3 per storm], 0 for a storm smaller than the flush.
    """
    caught = roof_catch_m3(area_m2, storm_rain_m, collected_frac)
    return np.maximum(caught - first_flush_m3(area_m2), 0.0)


def simple_rain_tank_m3(annual_catch_m3):
    """Rain tank by the simple rule: a share of the year's catch.

    annual_catch_m3 : [m3/yr], 0 to 1e7.
    Gives [m3].

    Meant for rain spread over the year; a dry season needs the hourly simulation.

    .. [1] Toronto and Region Conservation Authority, stormwater wiki, rainwater harvesting sizing.
    """
    share = reference.value("water_use", "rain tank", "share_of_year", "")
    return checked("annual_catch_m3", annual_catch_m3, 0, 1e7, "m3") * share
