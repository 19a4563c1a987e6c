"""Reference evapotranspiration by FAO-56, and the water that a garden needs.

Owns air and vapor, grass reference evapotranspiration and crop coefficients. Leaves the sun to
`daily_radiation`. FAO-56 is R. Allen et al., FAO Irrigation and Drainage Paper 56, 1998. Radiation
stays in MJ/m2 a day, as in the publication; pressure is in Pa.
"""

import numpy as np

from homestead.units import checked

MM_PER_MJ_M2 = 0.408  # water that 1 MJ evaporates from 1 m2, FAO-56 eq. 20
AIR_LOW_C, AIR_HIGH_C = -60.0, 60.0


def _air(name, value):
    return checked(name, value, AIR_LOW_C, AIR_HIGH_C, "deg C")


def air_pressure_pa(elevation_m):
    """Mean air pressure at a site.

    elevation_m : [m], -430 to 5000.
    Gives [Pa].

    .. [1] FAO-56, eq. 7.
    """
    z = checked("elevation_m", elevation_m, -430, 5000, "m")
    return 101_300.0 * ((293.0 - 0.0065 * z) / 293.0) ** 5.26


def psychrometric_constant_pa_k(pressure_pa):
    """Psychrometric constant of moist air.

    pressure_pa : [Pa], 40000 to 110000.
    Gives [Pa/K].

    .. [1] FAO-56, eq. 8.
    """
    return 0.665e-3 * checked("pressure_pa", pressure_pa, 40_000, 110_000, "Pa")


def saturation_vapour_pressure_pa(air_c):
    """Saturation vapor pressure over water.

    air_c : [deg C], -60 to 60.
    Gives [Pa].

    .. [1] FAO-56, eq. 11.
    """
    t = _air("air_c", air_c)
    return 610.8 * np.exp(17.27 * t / (t + 237.3))


def mean_saturation_vapour_pressure_pa(max_c, min_c):
    """Mean of the saturation vapor pressures at a day's highest and lowest temperature.

    max_c, min_c : [deg C], -60 to 60.
    Gives [Pa].

    .. [1] FAO-56, eq. 12.
    """
    high = saturation_vapour_pressure_pa(_air("max_c", max_c))
    return 0.5 * (high + saturation_vapour_pressure_pa(_air("min_c", min_c)))


def vapour_pressure_slope_pa_k(air_c):
    """Slope of the saturation vapor pressure curve.

    air_c : [deg C], -60 to 60.
    Gives [Pa/K].

    .. [1] FAO-56, eq. 13.
    """
    t = _air("air_c", air_c)
    return 4098.0 * saturation_vapour_pressure_pa(t) / (t + 237.3) ** 2


def actual_vapour_pressure_pa(max_c, min_c, humidity_max_frac, humidity_min_frac):
    """Actual vapor pressure from a day's extremes of temperature and humidity.

    max_c, min_c : [deg C], -60 to 60.
    humidity_max_frac, humidity_min_frac : Highest (at night) and lowest relative humidity, 0 to 1.
    Gives [Pa].

    .. [1] FAO-56, eq. 17.
    """
    moist = checked("humidity_max_frac", humidity_max_frac, 0, 1)
    dry = checked("humidity_min_frac", humidity_min_frac, 0, 1)
    cold = saturation_vapour_pressure_pa(_air("min_c", min_c))
    return 0.5 * (cold * moist + saturation_vapour_pressure_pa(_air("max_c", max_c)) * dry)


def wind_at_2m_m_s(wind_m_s, height_m):
    """Wind speed at 2 m from that at another height, over short grass.

    wind_m_s : [m/s], 0 to 100.
    height_m : Height of the gauge. [m], 0.5 to 200.
    Gives [m/s].

    .. [1] FAO-56, eq. 47.
    """
    wind = checked("wind_m_s", wind_m_s, 0, 100, "m/s")
    height = checked("height_m", height_m, 0.5, 200, "m")
    return wind * 4.87 / np.log(67.8 * height - 5.42)


def reference_evapotranspiration_mm_day(
    net_radiation_mj_m2_day,
    soil_heat_mj_m2_day,
    mean_c,
    max_c,
    min_c,
    wind_2m_m_s,
    elevation_m,
    vapour_pressure_pa=None,
    humidity_mean_frac=None,
    humidity_max_frac=None,
    humidity_min_frac=None,
):
    """Water that the reference grass uses in a day, by FAO-56 Penman-Monteith.

    net_radiation_mj_m2_day : [MJ/m2 a day], -20 to 40.
    soil_heat_mj_m2_day : [MJ/m2 a day], -20 to 20; 0 for a single day.
    mean_c, max_c, min_c : Air temperature of the day. [deg C], -60 to 60.
    wind_2m_m_s : [m/s], 0 to 50; see `wind_at_2m_m_s`.
    elevation_m : [m], -430 to 5000.
    vapour_pressure_pa (float or array of shape (n,), optional) : Actual vapor pressure. [Pa], 0 to
        20000.
    humidity_mean_frac (float or array of shape (n,), optional) : Mean relative humidity of the day,
        0 to 1.
    humidity_max_frac, humidity_min_frac (float or array of shape (n,), optional) : Its extremes,
        which serve better than the mean. Give exactly one of the three forms.
    Gives [mm/day], not below 0.
    .. [1] FAO-56, eq. 6; humidity by eq. 17 and eq. 19.
    """
    net = checked("net_radiation_mj_m2_day", net_radiation_mj_m2_day, -20, 40, "MJ/m2 a day")
    soil = checked("soil_heat_mj_m2_day", soil_heat_mj_m2_day, -20, 20, "MJ/m2 a day")
    mean = _air("mean_c", mean_c)
    saturated = mean_saturation_vapour_pressure_pa(max_c, min_c)
    if np.any(np.asarray(max_c, dtype=float) < np.asarray(min_c, dtype=float)):
        raise ValueError(f"max_c must not be below min_c; got {max_c!r} and {min_c!r}")
    wind = checked("wind_2m_m_s", wind_2m_m_s, 0, 50, "m/s")
    extremes = humidity_max_frac is not None and humidity_min_frac is not None
    half = (humidity_max_frac is None) != (humidity_min_frac is None)
    forms = (vapour_pressure_pa is not None) + (humidity_mean_frac is not None) + extremes
    if forms != 1 or half:
        raise ValueError(
            "give exactly one of vapour_pressure_pa, humidity_mean_frac, or humidity_max_frac with "
            f"humidity_min_frac; got {forms} complete forms"
        )
    if extremes:
        actual = actual_vapour_pressure_pa(max_c, min_c, humidity_max_frac, humidity_min_frac)
    elif humidity_mean_frac is not None:
        actual = saturated * checked("humidity_mean_frac", humidity_mean_frac, 0, 1)
    else:
        actual = checked("vapour_pressure_pa", vapour_pressure_pa, 0, 20_000, "Pa")
    slope = vapour_pressure_slope_pa_k(mean)
    gamma = psychrometric_constant_pa_k(air_pressure_pa(elevation_m))
    deficit_kpa = np.maximum(saturated - actual, 0.0) / 1000.0
    radiation_term = MM_PER_MJ_M2 * slope * (net - soil)
    air_term = gamma * 900.0 / (mean + 273.0) * wind * deficit_kpa
    water = (radiation_term + air_term) / (slope + gamma * (1.0 + 0.34 * wind))
    return np.maximum(water, 0.0)  # below zero is dew, which waters no garden


def reference_evapotranspiration_hargreaves_mm_day(
    mean_c, max_c, min_c, extraterrestrial_mj_m2_day
):
    """Water that the reference grass uses in a day, from temperature alone.

    mean_c, max_c, min_c : [deg C], -60 to 60.
    extraterrestrial_mj_m2_day : [MJ/m2 a day], 0 to 60.
    Gives [mm/day], not below 0.

    Fit for spans of five days and more; too low in high wind, too high in moist air.

    .. [1] FAO-56, eq. 52.
    """
    mean = _air("mean_c", mean_c)
    spread = _air("max_c", max_c) - _air("min_c", min_c)
    if np.any(spread < 0):
        raise ValueError(f"max_c must not be below min_c; got {max_c!r} and {min_c!r}")
    sun = checked("extraterrestrial_mj_m2_day", extraterrestrial_mj_m2_day, 0, 60, "MJ/m2 a day")
    return np.maximum(0.0023 * (mean + 17.8) * np.sqrt(spread) * MM_PER_MJ_M2 * sun, 0.0)


def garden_water_m3_day(
    area_m2, eto_mm_day, crop_coefficient_frac=1.0, effective_rain_mm_day=0.0, efficiency_frac=1.0
):
    """Water to give a garden in a day.

    area_m2 : Planted area. [m2], 0 to 1e6.
    eto_mm_day : Reference evapotranspiration. [mm/day], 0 to 20.
    crop_coefficient_frac : 0 to 1.5; see `crop_coefficient`.
    effective_rain_mm_day : Rain that the roots can use. [mm/day], 0 to 500.
    efficiency_frac : Share of the water given that reaches the roots, 0.1 to 1.
    Gives [m3/day], 0 where rain covers the need.

    .. [1] FAO-56, eq. 56 (crop evapotranspiration).
    """
    area = checked("area_m2", area_m2, 0, 1e6, "m2")
    eto = checked("eto_mm_day", eto_mm_day, 0, 20, "mm/day")
    kc = checked("crop_coefficient_frac", crop_coefficient_frac, 0, 1.5)
    rain = checked("effective_rain_mm_day", effective_rain_mm_day, 0, 500, "mm/day")
    share = checked("efficiency_frac", efficiency_frac, 0.1, 1)
    return area * np.maximum(kc * eto - rain, 0.0) / 1000.0 / share
