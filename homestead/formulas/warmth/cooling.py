"""Cooling: electricity for a cooling load, sensible heat of moving air, heat pump by outdoor air.

Owns no cooling load of the house (outlook) and no humidity.
"""

import math
from functools import cache

import numpy as np

from homestead import reference
from homestead.formulas.water import evapotranspiration
from homestead.units import checked, convert_unit

# Outdoor temperatures at which heat pumps are rated for heating, 47 and 17 degF: AHRI 210/240, from
# memory.
RATED_MILD_C = float(convert_unit(47.0, "degF", "degC"))
RATED_COLD_C = float(convert_unit(17.0, "degF", "degC"))


@cache
def _btu_wh():
    return float(convert_unit(1.0, "Btu", "Wh"))


def cooling_cop(seer):
    """Mean coefficient of performance over a season, from the rated SEER.

    seer : Seasonal energy efficiency ratio, Btu of cooling for each Wh. 5 to 45.
    Gives heat moved over electricity.
    """
    return checked("seer", seer, 5.0, 45.0, "Btu/Wh") * _btu_wh()


def cooling_electric_wh(cooling_wh, seer):
    """Electricity that a cooling load takes.

    cooling_wh : Heat taken out of the house. [Wh], 0 or more. A power in W gives a power in W.
    seer : Seasonal energy efficiency ratio, Btu for each Wh. 5 to 45.
    Gives [Wh].
    """
    return checked("cooling_wh", cooling_wh, 0.0, math.inf, "Wh") / cooling_cop(seer)


@cache
def air_heat_wh_m3k():
    """Heat that warms one m3 of standard air by 1 K. [Wh/(m3 K)].

    Source: 0.018 Btu/(ft3 degF), that is 0.075 lb/ft3 times 0.24 Btu/(lb degF).
    """
    return reference.value("insulation", "air", "heat_capacity_per_volume", "Wh/m^3/delta_degC")


def humidity_ratio(air_c, humidity_frac, pressure_pa=101_325.0):
    """Mass of water vapor in moist air over the mass of its dry air.

    air_c : [degC], -60 to 60.
    humidity_frac : Relative humidity over water. 0 to 1.05 (weather files pass 1 a little).
    pressure_pa : Of the air. [Pa], 50 000 to 110 000.
    Gives [kg/kg].

    w = 0.622 e / (p - e), e the vapor pressure.

    .. [1] FAO-56, eq. 11, for the saturation pressure.
    """
    humidity = checked("humidity_frac", humidity_frac, 0.0, 1.05)
    pressure = checked("pressure_pa", pressure_pa, 50_000.0, 110_000.0, "Pa")
    vapor_pa = humidity * evapotranspiration.saturation_vapour_pressure_pa(air_c)
    return 0.622 * vapor_pa / (pressure - vapor_pa)


def air_latent_w(flow_m3s, ratio_difference):
    """Heat to take the water out of a flow of air.

    flow_m3s : [m3/s], 0 or more.
    ratio_difference : Humidity ratio of the air less that of the room. [kg/kg], -0.1 to 0.1.
    Gives [W]; negative where the air is the drier.

    Standard air at sea level; in feet and Btu this is 4840 x cfm x lb/lb.
    """
    flow = checked("flow_m3s", flow_m3s, 0.0, math.inf, "m3/s")
    difference = checked("ratio_difference", ratio_difference, -0.1, 0.1, "kg/kg")
    per_volume = reference.value("moist_air", "air", "latent_heat_per_volume", "Wh/m^3")
    return flow * 3600.0 * per_volume * difference  # 3600 s in an hour


def _between_rated(outdoor_c, rated_outdoor_c, rated, least):
    """Linear between rated points, held above the warmest, carried on below the coldest."""
    outdoor = checked("outdoor_c", outdoor_c, -60.0, 60.0, "degC")
    points = checked("rated_outdoor_c", rated_outdoor_c, -60.0, 60.0, "degC")
    if points.ndim != 1 or points.shape != rated.shape or points.size < 2:
        raise ValueError(
            "rated_outdoor_c must be at least two points, as many as rated values; got "
            f"{rated_outdoor_c!r}"
        )
    if not np.all(np.diff(points) > 0):
        raise ValueError(f"rated_outdoor_c must rise from point to point; got {rated_outdoor_c!r}")
    slope = (rated[1] - rated[0]) / (points[1] - points[0])
    below = rated[0] + slope * np.minimum(outdoor - points[0], 0.0)
    inside = np.interp(outdoor, points, rated)
    return np.maximum(np.where(outdoor < points[0], below, inside), least)


def heat_pump_capacity_w(outdoor_c, rated_outdoor_c, rated_w):
    """Heating capacity of a heat pump at an outdoor temperature.

    outdoor_c : [degC], -60 to 60.
    rated_outdoor_c (array of shape (n,)) : Rated points, rising, n at least 2. [degC]
    rated_w (array of shape (n,)) : Capacity at those points. [W], 0 or more.
    Gives [W]. Linear between the points; the first straight line is carried on below the coldest
        point, down to 0; held at the last value above the warmest.
    """
    rated = checked("rated_w", rated_w, 0.0, math.inf, "W")
    return _between_rated(outdoor_c, rated_outdoor_c, rated, 0.0)


def heat_pump_cop(outdoor_c, rated_outdoor_c, rated_cop):
    """Coefficient of performance of a heat pump at an outdoor temperature.

    outdoor_c : [degC], -60 to 60.
    rated_outdoor_c (array of shape (n,)) : Rated points, rising, n at least 2. [degC]
    rated_cop (array of shape (n,)) : Coefficient at those points. 1 to 10.
    Gives As `heat_pump_capacity_w`, but not below 1, what a plain electric heater gives.
    """
    rated = checked("rated_cop", rated_cop, 1.0, 10.0)
    return _between_rated(outdoor_c, rated_outdoor_c, rated, 1.0)
