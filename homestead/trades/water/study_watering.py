"""Rain on the roof and water for the garden, month by month.

Rain follows the plan's gauge (or the weather file where it carries rain); the garden's need is set
beside a second method of FAO-56, so that a reader sees how far the two lie apart.
"""

import numpy as np
import pandas as pd

from homestead import units
from homestead.formulas.water import daily_radiation, evapotranspiration, rain
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.simulate.months import by_month, month_frame
from homestead.trades.water.study_wells import HIGHEST_SITE_M

# Height of the wind gauge behind weather files; WMO-No. 8, from memory.
WIND_HEIGHT_M = 10.0


def rain_of(hours, monthly):
    """Rain on the roof by month of an average year: lost, caught, kept."""
    plan = hours.plan
    if plan.rain is None:
        return None
    rain_m = by_month(hours.rain_m, hours.years_n)
    fallen_m3 = rain.roof_catch_m3(plan.rain.roof_m2, rain_m, 1.0)
    caught_m3 = monthly.rain_m3.to_numpy()
    share = plan.rain.collected_frac
    past_flush_m3 = caught_m3 / share if share > 0 else fallen_m3
    return month_frame(
        {
            "rain_m": rain_m,
            "fallen_m3": fallen_m3,
            "first_flush_m3": fallen_m3 - past_flush_m3,
            "lost_m3": past_flush_m3 - caught_m3,
            "caught_m3": caught_m3,
            "overflow_m3": monthly.overflow_m3.to_numpy(),
            "kept_m3": caught_m3 - monthly.overflow_m3.to_numpy(),
        }
    )


def evapotranspiration_mm_day(measured):
    """Reference evapotranspiration of each day of a weather file, two ways.

    measured (Weather)
    Gives DataFrame of shape (days, 2): hargreaves_mm_day from temperature alone,
        penman_monteith_mm_day from sun, wind, humidity and temperature; nan where the file has no
        humidity.

    .. [1] FAO-56, eq. 6 and 52; soil heat of a day taken as 0, eq. 42.
    """
    daily = {name: column.to_numpy().reshape(-1, 24) for name, column in measured.hourly.items()}
    air = daily["air_c"]
    mean_c, max_c, min_c = air.mean(axis=1), air.max(axis=1), air.min(axis=1)
    day = np.tile(np.arange(1, DAYS_N + 1), measured.years_n)
    site = measured.site
    above = daily_radiation.extraterrestrial_radiation_mj_m2_day(site.latitude_deg, day)
    found = pd.DataFrame(
        {
            "hargreaves_mm_day": (
                evapotranspiration.reference_evapotranspiration_hargreaves_mm_day(
                    mean_c, max_c, min_c, above
                )
            ),
            "penman_monteith_mm_day": np.nan,
        }
    )
    if "humidity_frac" not in daily:
        return found
    humidity = daily["humidity_frac"]
    vapour_pa = evapotranspiration.actual_vapour_pressure_pa(
        max_c, min_c, humidity.max(axis=1), humidity.min(axis=1)
    )
    sun = units.convert_unit(daily["ghi_w_m2"].sum(axis=1), "Wh", "MJ")
    elevation_m = min(site.elevation_m, HIGHEST_SITE_M)
    # In polar night there is no clear-sky sun to compare with; the formula's limit stands in.
    clear = np.maximum(daily_radiation.clear_sky_radiation_mj_m2_day(above, elevation_m), 0.01)
    net = daily_radiation.net_shortwave_mj_m2_day(sun) - daily_radiation.net_longwave_mj_m2_day(
        max_c, min_c, vapour_pa, sun, clear
    )
    found["penman_monteith_mm_day"] = evapotranspiration.reference_evapotranspiration_mm_day(
        net,
        0.0,
        mean_c,
        max_c,
        min_c,
        evapotranspiration.wind_at_2m_m_s(daily["wind_m_s"].mean(axis=1), WIND_HEIGHT_M),
        elevation_m,
        vapour_pressure_pa=vapour_pa,
    )
    return found


def garden_of(hours, measured, monthly):
    """Garden by month: evapotranspiration two ways, water asked for and given."""
    plan = hours.plan
    if plan.garden is None:
        return None
    month = np.tile(MONTH_OF_DAY, measured.years_n)
    found = evapotranspiration_mm_day(measured).groupby(month).mean()
    found.index = pd.RangeIndex(1, 13, name="month")
    grows = np.isin(found.index, plan.garden.months)
    found["crop_mm_day"] = np.where(grows, found.hargreaves_mm_day * plan.garden.crop_factor, 0.0)
    found["asked_m3"] = by_month(hours.column("water_garden_m3"), hours.years_n)
    found["given_m3"] = monthly.garden_m3
    return found
