"""A plan's monthly rain laid on the cloudy days of weather years.

Typical-year files carry no rain worth using (the precipitation column of TMY3 is known to be
wrong), so the month's total comes from the plan and the days from the clouds. Each month's total
is kept; how hard it rained in a given hour is not knowable from it.
"""

import numpy as np

from homestead.units import checked, convert_unit
from homestead.weather.hourly import DAYS_PER_YEAR, HOURS_PER_YEAR
from homestead.weather.sky import extraterrestrial_mj_m2_day

DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
HOURS_OF_RAIN = 6  # project choice: a wet day's rain falls within a quarter of it


def rain_on_cloudy_days(weather, monthly_rain_m, seed=0, wet_days_n=9, spread_frac=0.0):
    """Hourly rain, each month's total laid on its cloudiest days.

    weather (Weather) : One or several years.
    monthly_rain_m (array of shape (12,)) : Rain of each month, January first. [m], 0 to 3 each.
    seed : Chooses the hours within the wet days.
    wet_days_n (int or array of shape (12,)) : How many days of each month are wet, 1 to 28.
    spread_frac : How much a month's total varies from year to year, standard deviation over mean, 0
        to 2; 0 keeps each month's total.
    Gives array of shape (8760 * years,): Rain within each hour. [m].

    Raises ValueError if a value is outside its range, or there are not twelve months.

    Cloudiest: lowest ratio of the day's sun to the sun above the air. The k-th cloudiest of n
    wet days gets a share in proportion to exp(-2 k / n), so about 60 % of a month's rain falls on
    a third of its wet days. In the polar night, where clouds cannot be told, the more humid days
    come first, then the earlier. Project choices, no source. Totals that vary follow a gamma
    distribution [1]_, each month by itself; the wet days grow with the root of the total.

    .. [1] H. C. S. Thom, "A note on the gamma distribution", Monthly Weather Review 86, 1958:
       the usual distribution of monthly rain (from memory).
    """
    monthly = checked("monthly_rain_m", monthly_rain_m, 0.0, 3.0, "m")
    if monthly.shape != (12,):
        raise ValueError(f"monthly_rain_m must be 12 values, one a month; got {monthly_rain_m!r}")
    wet = np.broadcast_to(checked("wet_days_n", wet_days_n, 1, 28), (12,)).astype(int)
    spread = float(checked("spread_frac", spread_frac, 0.0, 2.0))
    sun = weather.hourly["ghi_w_m2"].to_numpy().reshape(weather.years_n, DAYS_PER_YEAR, 24)
    if "humidity_frac" in weather.hourly:
        humidity = weather.hourly["humidity_frac"].to_numpy().reshape(sun.shape).mean(axis=2)
    else:
        humidity = np.zeros(sun.shape[:2])
    day = np.arange(DAYS_PER_YEAR)
    above_mj = extraterrestrial_mj_m2_day(weather.site.latitude_deg, day + 1)
    above_wh = convert_unit(above_mj, "MJ", "Wh")
    # 50 Wh/m2 keeps the ratio finite near the polar night, where it means nothing anyway.
    clearness = sun.sum(axis=2) / np.maximum(above_wh, 50.0)
    rain = np.zeros((weather.years_n, DAYS_PER_YEAR, 24))
    ends = np.cumsum(DAYS_IN_MONTH)
    for year in range(weather.years_n):
        generator = np.random.default_rng([int(seed), year])
        starts = generator.integers(0, 24 - HOURS_OF_RAIN + 1, DAYS_PER_YEAR)
        scale = generator.gamma(1.0 / spread**2, spread**2, 12) if spread else np.ones(12)
        wet_n = np.clip(np.round(wet * np.sqrt(scale)), 1, 28).astype(int)
        for month, end in enumerate(ends):
            days = day[end - DAYS_IN_MONTH[month] : end]
            order = np.lexsort((days, -humidity[year, days], clearness[year, days]))
            chosen = days[order[: wet_n[month]]]
            share = np.exp(-2.0 * np.arange(len(chosen)) / len(chosen))
            hourly = monthly[month] * scale[month] * share / share.sum() / HOURS_OF_RAIN
            hours = starts[chosen, None] + np.arange(HOURS_OF_RAIN)
            rain[year, chosen[:, None], hours] = hourly[:, None]
    return rain.reshape(weather.years_n * HOURS_PER_YEAR)
