"""Photovoltaic arrays: sun on the plane, cell temperature, hourly output, string voltages.

Sun position and angles are pvlib's work, at mid-hour. Battery limits, curtailment and conductors
are elsewhere; this module ends at the output of the array's own converter. An `array` is the
plan's part of that name, a `site` the plan's place.
"""

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np
import pandas as pd

from homestead import reference
from homestead.units import checked
from homestead.weather.hourly import kept_with_year, stamps

STANDARD_W_M2 = 1000.0  # standard test conditions, IEC 60904-3
STANDARD_CELL_C = 25.0
TYPICAL_VOC_PER_C = -0.0027  # crystalline silicon; common practice, no source
# Where NOCT is taken: 800 W/m2, 20 deg C, 1 m/s (Masters 2004, section 8.6; from memory).
NOCT_W_M2 = 800.0
NOCT_AIR_C = 20.0


@dataclass(frozen=True, eq=False)
class _Sun:
    """Sun at the middle of each hour: heights in degrees, azimuth clockwise from north."""

    elevation_deg: np.ndarray
    azimuth_deg: np.ndarray
    extra_w_m2: np.ndarray


def sun_position(times, latitude_deg, longitude_deg, elevation_m):
    """Where the sun stands, as seen through the air.

    times (DatetimeIndex of n stamps) : With their time zone.
    latitude_deg, longitude_deg : North and east positive. [deg]
    elevation_m : Above sea level. [m]
    Gives elevation_deg, azimuth_deg (arrays of shape (n,)): Height above the level horizon with
        refraction, and direction clockwise from north. [deg]

    .. [1] I. Reda and A. Andreas, "Solar Position Algorithm for Solar Radiation Applications",
       NREL/TP-560-34302, 2008.
    """
    from pvlib import solarposition

    checked("latitude_deg", latitude_deg, -90.0, 90.0, "deg")
    checked("longitude_deg", longitude_deg, -180.0, 180.0, "deg")
    checked("elevation_m", elevation_m, -430.0, 9000.0, "m")
    if times.tz is None:
        raise ValueError("times must have a time zone; got stamps without one")
    where = solarposition.get_solarposition(
        times, latitude_deg, longitude_deg, altitude=elevation_m, method="nrel_numpy"
    )
    return where["apparent_elevation"].to_numpy(), where["azimuth"].to_numpy()


@lru_cache(maxsize=64)
def _sun_of_year(latitude_deg, longitude_deg, elevation_m, utc_offset_h, year):
    """All years with the same label at one site share this, which is most of the work."""
    from pvlib import irradiance

    middle = stamps(year, utc_offset_h) + pd.Timedelta(minutes=30)
    elevation, azimuth = sun_position(middle, latitude_deg, longitude_deg, elevation_m)
    extra = np.asarray(irradiance.get_extra_radiation(middle.day_of_year.to_numpy()), dtype=float)
    return _Sun(elevation, azimuth, extra)


def _sun(weather):
    site = weather.site
    place = (site.latitude_deg, site.longitude_deg, site.elevation_m, site.utc_offset_h)
    years = [_sun_of_year(*place, label) for label in weather.year_labels]
    if len(years) == 1:
        return years[0]
    return _Sun(*(np.concatenate([getattr(y, k) for y in years]) for k in _Sun.__annotations__))


def incidence_cosine(sun_zenith_deg, sun_azimuth_deg, tilt_deg, azimuth_deg):
    """Cosine of the angle between the sun and the normal of a plane; negative behind it.

    sun_zenith_deg, sun_azimuth_deg : Sun's angle from overhead, and clockwise from north. [deg]
    tilt_deg, azimuth_deg : Plane's angle from level, 0 to 180, and where it faces, clockwise from
        north. [deg]

    cos(theta) = cos(zenith) cos(tilt) + sin(zenith) sin(tilt) cos(sun azimuth - azimuth) [1]_.

    .. [1] J. A. Duffie and W. A. Beckman, "Solar Engineering of Thermal Processes", Wiley,
       eq. 1.6.3 (from memory).
    """
    zenith = np.radians(checked("sun_zenith_deg", sun_zenith_deg, 0.0, 180.0, "deg"))
    sun = checked("sun_azimuth_deg", sun_azimuth_deg, -360.0, 360.0, "deg")
    tilt = np.radians(checked("tilt_deg", tilt_deg, 0.0, 180.0, "deg"))
    facing = checked("azimuth_deg", azimuth_deg, -360.0, 360.0, "deg")
    across = np.sin(zenith) * np.sin(tilt) * np.cos(np.radians(sun - facing))
    return np.cos(zenith) * np.cos(tilt) + across


def plane_of_array_w_m2(weather, tilt_deg, azimuth_deg, albedo_frac=0.2, horizon_deg=()):
    """Sun on the front of a tilted plane, mean of each hour.

    weather (Weather) : As `homestead.weather.read` gives it.
    tilt_deg : From level. [deg], 0 to 90.
    azimuth_deg : Where the plane faces, clockwise from north. [deg], 0 to 360.
    albedo_frac : Share of light that the ground throws back, 0 to 1.
    horizon_deg (sequence of float) : Heights of the horizon at equal steps of azimuth, from north
        clockwise. [deg], 0 to 90; empty for an open one.
    Gives Series: [W/m2], on the weather's own stamps.
    Hay and Davies sky [1]_: the part of the diffuse light in proportion to the beam's strength
    comes from around the sun, the rest evenly from the sky. The sun stands where it is at
    mid-hour; no beam is counted in hours whose middle has the sun below the horizon. A horizon
    profile takes away the beam and the light around the sun when the sun is behind it, and
    lessens the even sky by the mean of cos(height)**2, which is exact for a level plane.
    .. [1] J. E. Hay and J. A. Davies, "Calculation of the solar radiation incident on an inclined
       surface", First Canadian Solar Radiation Data Workshop, 1980 (from memory).
    """
    parts = _plane_parts(weather, tilt_deg, azimuth_deg, albedo_frac, horizon_deg)
    total = parts.from_sun + parts.sky + parts.ground
    return pd.Series(total, index=weather.hourly.index, name="plane_of_array_w_m2")


class _Plane(NamedTuple):
    """Light on a plane by where it comes from [W/m2], and the cosine of the beam's angle."""

    from_sun: np.ndarray  # beam, and the light around the sun
    sky: np.ndarray
    ground: np.ndarray
    facing: np.ndarray


def _plane_parts(weather, tilt_deg, azimuth_deg, albedo_frac=0.2, horizon_deg=()):
    tilt = checked("tilt_deg", tilt_deg, 0.0, 90.0, "deg")
    checked("azimuth_deg", azimuth_deg, 0.0, 360.0, "deg")
    albedo = checked("albedo_frac", albedo_frac, 0.0, 1.0)
    heights = checked("horizon_deg", horizon_deg, 0.0, 90.0, "deg")
    sun = _sun(weather)
    beam_normal, level, diffuse = (
        weather.hourly[name].to_numpy() for name in ("dni_w_m2", "ghi_w_m2", "dhi_w_m2")
    )
    up = np.sin(np.radians(sun.elevation_deg))
    seen = sun.elevation_deg > 0.0
    sky = 1.0
    if heights.size:
        seen &= sun.elevation_deg > _horizon_height_deg(heights, sun.azimuth_deg)
        sky = float(np.mean(np.cos(np.radians(heights)) ** 2))
    facing = incidence_cosine(90.0 - sun.elevation_deg, sun.azimuth_deg, tilt, azimuth_deg)
    facing = np.where(seen, np.maximum(facing, 0.0), 0.0)
    around_sun = beam_normal / sun.extra_w_m2
    # 0.01745 is the sine of one degree: keeps the ratio finite as the sun sets.
    ratio = facing / np.maximum(up, 0.01745)
    tilt_cosine = np.cos(np.radians(tilt))
    even = diffuse * (1.0 - around_sun) * (1.0 + tilt_cosine) / 2.0 * sky
    ground = level * albedo * (1.0 - tilt_cosine) / 2.0
    return _Plane(beam_normal * facing + diffuse * around_sun * ratio, even, ground, facing)


def through_glass_w_m2(plane, tilt_deg, glass):
    """Light that gets through a module's glass, of a plane's parts; arrays of shape (n,). [W/m2].

    Fresnel and Snell for one pane of index 1.526, 2 mm thick, with or without a coating of index
    1.29; sky and ground averaged over their angles. `glass` is "plain" or "anti-reflective";
    anything else leaves the light whole.

    Source: W. De Soto et al., Solar Energy 80 (2006), B. Marion, Solar Energy 147 (2017), by pvlib.
    """
    if glass not in COATING_INDEX:
        return plane.from_sun + plane.sky + plane.ground
    cosines, through = _through_by_cosine(glass)
    even = _through_of_even_light(glass, float(tilt_deg))
    ground = even["ground"] if tilt_deg > 0.0 else 0.0
    beam = plane.from_sun * np.interp(plane.facing, cosines, through)
    return beam + plane.sky * even["sky"] + plane.ground * ground


@cache
def _through_by_cosine(glass):
    """Share of a beam that gets through at 1801 cosines of its angle, which is fine to 1e-5."""
    from pvlib import iam

    angle_deg = np.linspace(90.0, 0.0, 1801)
    return np.cos(np.radians(angle_deg)), iam.physical(angle_deg, n_ar=COATING_INDEX[glass])


@cache
def _through_of_even_light(glass, tilt_deg):
    from pvlib import iam

    return iam.marion_diffuse("physical", tilt_deg, n_ar=COATING_INDEX[glass])


COATING_INDEX = {"plain": None, "anti-reflective": 1.29}
# Efficiency against irradiance over 1000 W/m2, its logarithm and the square of that: crystalline
# silicon as measured by the EU Joint Research Centre (pvlib's "pvgis6" set of the model of
# T. Huld et al., Solar Energy Materials 95 (2011)).
DIM_LIGHT = (-0.0067560, -0.016444)
DIM_LIGHT_W_M2 = 200.0  # where data sheets print the loss (EN 50380)


def dim_light_frac(irradiance_w_m2, lost_frac):
    """Efficiency of a module in dim light over that at 1000 W/m2; array of shape (n,). [-].

    irradiance_w_m2 : Light on the cells. [W/m2], 0 to 2000.
    lost_frac : Share of its efficiency that the module has lost at 200 W/m2, 0 to 0.3.
    """
    light = checked("irradiance_w_m2", irradiance_w_m2, 0.0, 2000.0, "W/m2")
    lost = checked("dim_light_frac", lost_frac, 0.0, 0.3)

    def curve(w_m2):
        log = np.log(np.maximum(w_m2, 1.0) / STANDARD_W_M2)
        return DIM_LIGHT[0] * log + DIM_LIGHT[1] * log**2

    return np.maximum(1.0 + lost * curve(light) / -curve(DIM_LIGHT_W_M2), 0.0)


def _horizon_height_deg(heights, azimuth_deg):
    steps = np.arange(len(heights) + 1) * (360.0 / len(heights))
    return np.interp(azimuth_deg % 360.0, steps, np.append(heights, heights[0]))


def cell_temperature_noct_c(irradiance_w_m2, air_c, noct_c):
    """Temperature of a cell from the module's nominal operating cell temperature.

    irradiance_w_m2 : Sun on the module. [W/m2], 0 to 2000.
    air_c : [deg C], -70 to 60.
    noct_c : From the module's label or sheet. [deg C], 20 to 80.
    Gives [deg C].
    air + (NOCT - 20) / 800 times the irradiance [1]_. Wind is left out, so a windy site reads
    warmer cells than it has.
    .. [1] G. M. Masters, "Renewable and Efficient Electric Power Systems", Wiley, 2004, eq. 8.24
       (from memory).
    """
    sun = checked("irradiance_w_m2", irradiance_w_m2, 0.0, 2000.0, "W/m2")
    air = checked("air_c", air_c, -70.0, 60.0, "deg C")
    noct = checked("noct_c", noct_c, 20.0, 80.0, "deg C")
    return air + (noct - NOCT_AIR_C) / NOCT_W_M2 * sun


def cell_temperature_sandia_c(irradiance_w_m2, air_c, wind_m_s, mounting):
    """Temperature of a cell from the mounting and the wind, the Sandia model.

    irradiance_w_m2 : Sun on the module. [W/m2], 0 to 2000.
    air_c : [deg C], -70 to 60.
    wind_m_s : At 10 m. [m/s], 0 to 100.
    mounting (str) : A row of data/reference/modules.csv, such as ``"glass/cell/polymer, open
        rack"``.
    Gives [deg C].
    air + E exp(a + b wind) + E / 1000 dT [1]_.
    .. [1] D. L. King, W. E. Boyson, J. A. Kratochvil, "Photovoltaic Array Performance Model",
       SAND2004-3535, Sandia National Laboratories, 2004, eq. 11 and 12.
    """
    sun = checked("irradiance_w_m2", irradiance_w_m2, 0.0, 2000.0, "W/m2")
    air = checked("air_c", air_c, -70.0, 60.0, "deg C")
    wind = checked("wind_m_s", wind_m_s, 0.0, 100.0, "m/s")
    a = reference.value("modules", mounting, "sandia_a", "")
    b = reference.value("modules", mounting, "sandia_b", "s/m")
    warmer_k = reference.value("modules", mounting, "sandia_cell_above_back", "delta_degC")
    return air + sun * np.exp(a + b * wind) + sun / STANDARD_W_M2 * warmer_k


def array_dc_w(weather, array):
    """Output of an array ahead of its converter, mean of each hour.

    weather (Weather)
    array (plan part) : Uses its rated power, counts, tilt, azimuth, horizon, NOCT, power
        coefficient and losses.
    Gives Series: [W].
    Rated power times the sun on the plane over 1000 W/m2, times 1 + coefficient (cell - 25 deg C),
    times what soiling, mismatch, wiring, first-year wear and the month's extra loss leave. Light
    that the glass throws back and the fall of efficiency in dim light are taken off where the
    array names its glass and that loss; the three defaults take about 4.6 % of a year together.
    """
    dc, _ = _dc_and_cell(weather, array)
    return pd.Series(dc, index=weather.hourly.index, name="array_dc_w")


def _dc_and_cell(weather, array):
    """Output ahead of the converter [W] and temperature of the cells [deg C], by hour."""
    if hasattr(array, "model_copy"):
        dc, cell = _module_dc_and_cell(weather, array.model_copy(update=ALONE))
    else:
        dc, cell = _module_dc_and_cell.__wrapped__(weather, array)
    kept = _kept_frac(weather, array)
    return dc * kept * (array.modules_per_string_n * array.strings_n), cell


# What a module's own output does not follow: how many there are, and what is lost after it.
ALONE = {"modules_per_string_n": 1, "strings_n": 1, "converter_w": 0.0, "first_year_wear_frac": 0.0}
ALONE |= {"soiling_frac": 0.0, "mismatch_frac": 0.0, "wiring_frac": 0.0}
ALONE |= {"monthly_loss_frac": (0.0,) * 12}


@kept_with_year
def _module_dc_and_cell(weather, array):
    """The same of one clean module: arrays that differ in number and losses alone share it."""
    parts = _plane_parts(weather, array.tilt_deg, array.azimuth_deg, horizon_deg=array.horizon_deg)
    plane = np.minimum(parts.from_sun + parts.sky + parts.ground, 2000.0)
    light = np.minimum(
        through_glass_w_m2(parts, array.tilt_deg, getattr(array, "glass", None)), 2000.0
    )
    air = weather.hourly["air_c"].to_numpy()
    mounting = getattr(array, "mounting", None)
    if mounting:
        wind = weather.hourly["wind_m_s"].to_numpy()
        cell = cell_temperature_sandia_c(plane, air, wind, mounting)
    else:
        cell = cell_temperature_noct_c(plane, air, array.noct_c)
    rated = float(checked("module_w", array.module_w, 0.0, 2000.0, "W"))
    coefficient = checked("power_coefficient_per_c", array.power_coefficient_per_c, -0.02, 0.0)
    warm = np.maximum(1.0 + coefficient * (cell - STANDARD_CELL_C), 0.0)
    dim = dim_light_frac(light, getattr(array, "dim_light_frac", 0.0))
    return rated * light / STANDARD_W_M2 * warm * dim, cell


def array_rated_w(array):
    """Rated power of all modules of an array at standard test conditions. [W]."""
    module = checked("module_w", array.module_w, 0.0, 2000.0, "W")
    return float(module * array.modules_per_string_n * array.strings_n)


def _kept_frac(weather, array):
    kept = 1.0 - getattr(array, "first_year_wear_frac", 0.0)
    for name in ("soiling_frac", "mismatch_frac", "wiring_frac"):
        kept *= 1.0 - float(checked(name, getattr(array, name), 0.0, 1.0))
    monthly = checked("monthly_loss_frac", array.monthly_loss_frac, 0.0, 1.0)
    if monthly.shape != (12,):
        raise ValueError(
            f"monthly_loss_frac must be 12 values, one a month; got {array.monthly_loss_frac!r}"
        )
    if not monthly.any():
        return kept
    return kept * (1.0 - monthly)[weather.hourly.index.month.to_numpy() - 1]


def array_output_w(weather, array):
    """Output of an array after its own charge controller or PV inverter, mean of each hour.

    weather (Weather)
    array (plan part) : As for `array_dc_w`, and its converter's efficiency and limit.
    Gives Series: [W], direct current for a DC-coupled array, alternating for an AC-coupled one;
        before any curtailment by a full battery.

    Where the strings could give more current than the converter draws, it gives that current
    times the voltage at the power point, which moves with the temperature of the cells as the
    open-circuit voltage does. A real one moves a little above that point and gives somewhat more.
    """
    efficiency = checked("converter_efficiency_frac", array.converter_efficiency_frac, 0.0, 1.0)
    limit = checked("converter_w", array.converter_w, 0.0, 1e6, "W")
    dc, cell = _dc_and_cell(weather, array)
    most_a = _most_drawn_a(array)
    if most_a is not None:
        dc = np.minimum(dc, most_a * _power_point_v(array, cell))
    output = np.minimum(dc * float(efficiency), float(limit))
    return pd.Series(output, index=weather.hourly.index, name="array_output_w")


def inverter_output_w(weather, inverter, arrays):
    """Output of a PV inverter with arrays on its inputs, mean of each hour.

    weather (Weather)
    inverter (plan part) : Its efficiency, joint limit and each input's working current.
    arrays (iterable of plan parts) : Those on its inputs.
    Gives Series: [W], alternating, before any curtailment by a full battery.

    Arrays on one input are held together to its working current, as `array_output_w` holds one;
    both inputs together to the output limit.
    """
    total = np.zeros(len(weather.hourly))
    for number in {array.inverter_input_n for array in arrays}:
        most_a = inverter.working_a(number)
        dc, amperes = np.zeros(len(total)), np.zeros(len(total))
        for array in (array for array in arrays if array.inverter_input_n == number):
            own, cell = _dc_and_cell(weather, array)
            if most_a is None:
                most_a = array.converter_max_a
            dc = dc + own
            amperes = amperes + own / np.maximum(_power_point_v(array, cell), 1.0)
        if most_a is not None:
            dc = dc * np.minimum(1.0, most_a / np.maximum(amperes, 1e-9))
        total += dc
    output = np.minimum(total * inverter.efficiency_frac, inverter.converter_w)
    return pd.Series(output, index=weather.hourly.index, name="inverter_output_w")


def _power_point_v(array, cell_c):
    """Voltage of a string at its power point, which moves with its cells' temperature. [V]."""
    moves_per_c = array.voc_coefficient_per_c or TYPICAL_VOC_PER_C
    voltage = array.vmp_v * array.modules_per_string_n
    return np.maximum(voltage * (1.0 + moves_per_c * (cell_c - STANDARD_CELL_C)), 0.0)


def _most_drawn_a(array):
    """Current that the converter draws at most, or None where nobody entered one. [A]."""
    working = getattr(array, "converter_working_a", None)
    if working is not None:
        return working
    return array.converter_max_a
