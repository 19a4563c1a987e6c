"""Sun and heat radiation of a whole day on level ground, by FAO-56.

Owns the daily sums that evapotranspiration needs. The hourly sun on a tilted panel is another
matter, see `solar`. FAO-56 is R. Allen et al., FAO Irrigation and Drainage Paper 56, 1998.
"""

import numpy as np

from homestead.units import checked

SOLAR_CONSTANT_MJ_M2_MIN = 0.0820  # FAO-56 eq. 21
STEFAN_BOLTZMANN_MJ_K4_M2_DAY = 4.903e-9  # FAO-56 eq. 39
KELVIN_OFFSET = 273.16  # as FAO-56 writes it


def earth_sun_distance_factor(day_of_year):
    """Inverse relative distance of earth and sun.

    day_of_year : 1 to 366.

    .. [1] FAO-56, eq. 23.
    """
    day = checked("day_of_year", day_of_year, 1, 366)
    return 1.0 + 0.033 * np.cos(2.0 * np.pi * day / 365.0)


def solar_declination_rad(day_of_year):
    """Declination of the sun.

    day_of_year : 1 to 366.
    Gives [rad].

    .. [1] FAO-56, eq. 24.
    """
    day = checked("day_of_year", day_of_year, 1, 366)
    return 0.409 * np.sin(2.0 * np.pi * day / 365.0 - 1.39)


def sunset_hour_angle_rad(latitude_deg, day_of_year):
    """Hour angle of sunset; 0 in polar night, pi under the midnight sun.

    latitude_deg : North positive. [deg], -90 to 90.
    day_of_year : 1 to 366.
    Gives [rad].

    .. [1] FAO-56, eq. 25.
    """
    latitude = np.radians(checked("latitude_deg", latitude_deg, -90, 90, "deg"))
    cosine = -np.tan(latitude) * np.tan(solar_declination_rad(day_of_year))
    return np.arccos(np.clip(cosine, -1.0, 1.0))


def extraterrestrial_radiation_mj_m2_day(latitude_deg, day_of_year):
    """Sun on a level surface above the air, over a day.

    latitude_deg : North positive. [deg], -90 to 90.
    day_of_year : 1 to 366.
    Gives [MJ/m2 a day].

    .. [1] FAO-56, eq. 21.
    """
    sunset = sunset_hour_angle_rad(latitude_deg, day_of_year)
    latitude = np.radians(np.asarray(latitude_deg, dtype=float))
    declination = solar_declination_rad(day_of_year)
    path = sunset * np.sin(latitude) * np.sin(declination)
    path = path + np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    scale = 24.0 * 60.0 / np.pi * SOLAR_CONSTANT_MJ_M2_MIN  # minutes in a day
    return scale * earth_sun_distance_factor(day_of_year) * path


def _extraterrestrial(value):
    return checked("extraterrestrial_mj_m2_day", value, 0, 60, "MJ/m2 a day")


def clear_sky_radiation_mj_m2_day(extraterrestrial_mj_m2_day, elevation_m):
    """Sun on level ground under a cloudless sky.

    extraterrestrial_mj_m2_day : [MJ/m2 a day], 0 to 60.
    elevation_m : [m], -430 to 5000.
    Gives [MJ/m2 a day].

    .. [1] FAO-56, eq. 37.
    """
    z = checked("elevation_m", elevation_m, -430, 5000, "m")
    return (0.75 + 2e-5 * z) * _extraterrestrial(extraterrestrial_mj_m2_day)


def net_shortwave_mj_m2_day(solar_mj_m2_day, albedo_frac=0.23):
    """Sun that a surface keeps.

    solar_mj_m2_day : Sun on level ground. [MJ/m2 a day], 0 to 60.
    albedo_frac : Reflected share, 0 to 1; 0.23 for the grass reference.
    Gives [MJ/m2 a day].

    .. [1] FAO-56, eq. 38.
    """
    solar = checked("solar_mj_m2_day", solar_mj_m2_day, 0, 60, "MJ/m2 a day")
    return (1.0 - checked("albedo_frac", albedo_frac, 0, 1)) * solar


def net_longwave_mj_m2_day(max_c, min_c, vapour_pressure_pa, solar_mj_m2_day, clear_sky_mj_m2_day):
    """Heat that a surface radiates to the sky, outgoing positive.

    max_c, min_c : [deg C], -60 to 60.
    vapour_pressure_pa : Actual. [Pa], 0 to 20000.
    solar_mj_m2_day : [MJ/m2 a day], 0 to 60.
    clear_sky_mj_m2_day : [MJ/m2 a day], 0.01 to 60.
    Gives [MJ/m2 a day].
    The share of clear sky is held at 1, as the publication says.
    .. [1] FAO-56, eq. 39.
    """
    high = checked("max_c", max_c, -60, 60, "deg C") + KELVIN_OFFSET
    low = checked("min_c", min_c, -60, 60, "deg C") + KELVIN_OFFSET
    vapour_kpa = checked("vapour_pressure_pa", vapour_pressure_pa, 0, 20_000, "Pa") / 1000.0
    solar = checked("solar_mj_m2_day", solar_mj_m2_day, 0, 60, "MJ/m2 a day")
    clear = checked("clear_sky_mj_m2_day", clear_sky_mj_m2_day, 0.01, 60, "MJ/m2 a day")
    cloud = 1.35 * np.minimum(solar / clear, 1.0) - 0.35
    surface = STEFAN_BOLTZMANN_MJ_K4_M2_DAY * 0.5 * (high**4 + low**4)
    return surface * (0.34 - 0.14 * np.sqrt(vapour_kpa)) * cloud
