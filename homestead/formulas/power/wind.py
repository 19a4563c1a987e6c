"""Small wind: speed at the hub, air density, power by a curve, and the most that wind can give.

Floats or arrays that broadcast. A value out of range or not a number raises ValueError that names
the argument, the limit and what came. What trees and ridges do to the wind is left out.
"""

import numpy as np

from homestead.units import checked

STANDARD_KG_M3 = 1.225  # at which power curves are given: 15 deg C at sea level, ISO 2533
GAS_J_KG_K = 287.05  # dry air, IEC 61400-12-1
ZERO_C_K = 273.15


def wind_at_height_m_s(speed_m_s, measured_m, height_m, shear):
    """Wind speed at another height. [m/s].

    v (z / z0)**a, heights 1 to 200 m, a 0 to 1 (IEC 61400-1, normal wind profile: 0.2).

    >>> round(float(wind_at_height_m_s(5.0, 10.0, 50.0, 0.2)), 1)
    6.9
    """
    speed = checked("speed_m_s", speed_m_s, 0.0, 120.0, "m/s")
    measured = checked("measured_m", measured_m, 1.0, 200.0, "m")
    height = checked("height_m", height_m, 1.0, 200.0, "m")
    return speed * (height / measured) ** checked("shear", shear, 0.0, 1.0)


def air_density_kg_m3(pressure_pa, air_c):
    """Density of dry air, p / (R T). [kg/m³]; 1e4 to 1.1e5 Pa, -80 to 60 deg C (ideal gas).

    >>> round(float(air_density_kg_m3(101_325.0, 15.0)), 3)
    1.225
    """
    pressure = checked("pressure_pa", pressure_pa, 1e4, 1.1e5, "Pa")
    return pressure / (GAS_J_KG_K * (checked("air_c", air_c, -80.0, 60.0, "deg C") + ZERO_C_K))


def turbine_w(speed_m_s, density_kg_m3, curve_m_s, curve_w):
    """Power of a turbine by its curve, linear between points and 0 outside them. [W].

    Read at v (rho / 1.225)**(1/3) (IEC 61400-12-1, turbines that regulate their power); curve
    arrays of shape (points,), speeds rising. Density 0.5 to 2 kg/m³.

    >>> float(turbine_w(7.0, 1.225, [3.0, 11.0], [0.0, 1000.0]))
    500.0
    """
    speed = checked("speed_m_s", speed_m_s, 0.0, 120.0, "m/s")
    density = checked("density_kg_m3", density_kg_m3, 0.5, 2.0, "kg/m3")
    at_standard_m_s = speed * np.cbrt(density / STANDARD_KG_M3)
    return np.interp(at_standard_m_s, curve_m_s, curve_w, left=0.0, right=0.0)
