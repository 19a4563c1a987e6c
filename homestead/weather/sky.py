"""Sun above the air: declination and the daily radiation that reaches the top of it.

Textbook formulas of one day, for telling cloudy days from clear ones. Hour-by-hour sun position is
pvlib's work, in formulas/power/solar.py; evapotranspiration has FAO's own form of the daily sum.
"""

import numpy as np

from homestead.units import checked

SOLAR_CONSTANT_W_M2 = 1367.0  # World Radiation Center value, as used by Duffie and Beckman
SECONDS_PER_DAY = 86_400.0


def declination_deg(day_of_year):
    """Angle of the sun north of the equator at solar noon of a day.

    day_of_year : 1 for 1 January. [1 to 366]
    Gives Declination. [deg].

    Raises ValueError if a day is outside the range or not a number.

    23.45 deg sin(360 deg (284 + n) / 365) [1]_; within about one degree.

    .. [1] P. I. Cooper, "The absorption of radiation in solar stills", Solar Energy 12, 1969.
    """
    day = checked("day_of_year", day_of_year, 1.0, 366.0)
    return 23.45 * np.sin(2.0 * np.pi * (284.0 + day) / 365.0)


def extraterrestrial_mj_m2_day(latitude_deg, day_of_year):
    """Radiation of one day on a level surface above the air.

    latitude_deg : North positive. [deg], -90 to 90.
    day_of_year : 1 for 1 January. [1 to 366]
    Gives [MJ/m2 in the day]; zero in the polar night.

    Raises ValueError if a latitude or day is outside the range or not a number.

    H0 = (86400 Gsc / pi) (1 + 0.033 cos(360 n / 365))
    (cos(phi) cos(delta) sin(ws) + ws sin(phi) sin(delta)), ws the sunset hour angle [1]_.

    .. [1] J. A. Duffie and W. A. Beckman, "Solar Engineering of Thermal Processes", Wiley,
       section 1.10 (from memory).
    """
    latitude = np.radians(checked("latitude_deg", latitude_deg, -90.0, 90.0, "deg"))
    day = checked("day_of_year", day_of_year, 1.0, 366.0)
    declination = np.radians(declination_deg(day))
    # tan grows without limit at the poles; the clip then means a whole day of sun or of night.
    sunset = np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))
    nearness = 1.0 + 0.033 * np.cos(2.0 * np.pi * day / 365.0)
    shape = np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    shape = shape + sunset * np.sin(latitude) * np.sin(declination)
    joules = SECONDS_PER_DAY * SOLAR_CONSTANT_W_M2 / np.pi * nearness * shape
    return np.maximum(joules, 0.0) / 1e6


def extraterrestrial_w_m2(site):
    """Sun above the air on level ground, mean of each hour of a year.

    Gives array of shape (365, 24): In the site's local standard time. [W/m2].

    .. [1] J. W. Spencer, "Fourier series representation of the position of the sun", Search 2,
       1971: declination, equation of time and distance, in pvlib.
    """
    from pvlib import irradiance, solarposition

    day = np.arange(1.0, 366.0)[:, None, None]
    declination = solarposition.declination_spencer71(day)
    late_min = solarposition.equation_of_time_spencer71(day)
    moment_h = np.arange(24.0)[:, None] + (np.arange(6) + 0.5) / 6
    solar_h = moment_h - site.utc_offset_h + site.longitude_deg / 15.0 + late_min / 60.0
    zenith = solarposition.solar_zenith_analytical(
        np.radians(site.latitude_deg), np.radians((solar_h - 12.0) * 15.0), declination
    )
    height = np.maximum(np.cos(zenith), 0.0).mean(axis=2)
    distance = irradiance.get_extra_radiation(np.arange(1.0, 366.0), method="spencer")
    return height * np.asarray(distance)[:, None]
