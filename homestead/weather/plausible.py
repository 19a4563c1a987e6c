"""Whether a weather's sun and warmth can belong to its place: impossible is told from doubtful.

What cannot be is refused when a file is read; what seldom is, is said beside the headline. The
bounds are project choices, wide enough for measured records of both hemispheres.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pandas as pd

from homestead.weather.sky import extraterrestrial_w_m2

SUN = {"ghi_w_m2": "global", "dni_w_m2": "direct", "dhi_w_m2": "diffuse"}
LEAST_PEAK_W_M2 = 50.0  # the brightest hour of a year is above this at any inhabited latitude
NIGHT_DOUBTFUL_FRAC, NIGHT_IMPOSSIBLE_FRAC = 0.02, 0.1
CLOSURE_DOUBTFUL_FRAC, CLOSURE_IMPOSSIBLE_FRAC = 0.15, 0.5
BRIGHT_DAYS_FRAC = 0.9  # the clearest tenth of a month's days is near a clear sky nearly anywhere
# Haurwitz's clear sky is of sea level; thin air and snow add up to this, and a haze takes away.
BRIGHT_DOUBTFUL = (0.5, 1.25)
ABOVE_AIR_FRAC, ABOVE_AIR_DAYS_FRAC = 1.1, 0.05
YEAR_CLEARNESS = (0.2, 0.8)
DARK_MONTH_WH_M2 = 1000.0  # clear-sky sun of a day; months below it say too little
SEASONS_FROM_DEG = 25.0
RECORD_MARGIN_K = 1.0


@dataclass(frozen=True)
class Doubt:
    """One thing about a weather that cannot be, or that seldom is."""

    text: str
    impossible: bool = False


@lru_cache(maxsize=32)
def doubts(weather, record_low_c=None, record_high_c=None):
    """Everything about a weather that does not fit its place.

    record_low_c, record_high_c (float, optional) : Coldest and warmest air ever recorded there.
        [deg C]
    Gives list of Doubt.

    .. [1] B. Haurwitz, "Insolation in relation to cloudiness and cloud density", Journal of
       Meteorology 2, 1945: clear sky from the sun's height, in pvlib.
    """
    from pvlib import clearsky

    hourly, site = weather.hourly, weather.site
    sun = {
        name: hourly[name].to_numpy(dtype=float).reshape(weather.years_n, 365, 24) for name in SUN
    }
    above = extraterrestrial_w_m2(site)
    found = _air(hourly["air_c"], site, record_low_c, record_high_c)
    for name, said in SUN.items():
        if sun[name].max() < LEAST_PEAK_W_M2:
            found.append(
                Doubt(
                    f"the {said} sun never passes {sun[name].max():.3g} W/m2; is the column empty "
                    "or in kW?",
                    True,
                )
            )
            continue
        # An hour next to sunrise or sunset may hold some sun whichever way its stamp is read.
        up = above > 0
        night = ~(up | np.roll(up, 1, axis=1) | np.roll(up, -1, axis=1))
        share = sun[name][:, night].sum() / sun[name].sum()
        if share > NIGHT_DOUBTFUL_FRAC:
            found.append(
                Doubt(
                    f"{share:.0%} of the {said} sun falls while the sun is below the horizon; "
                    "check the clock and that column",
                    share > NIGHT_IMPOSSIBLE_FRAC,
                )
            )
    if sun["ghi_w_m2"].max() < LEAST_PEAK_W_M2:
        return found
    height = np.divide(above, above.max()) * (above.max() / 1367.0)
    high = height > np.sin(np.radians(10.0))
    parts = (sun["dhi_w_m2"] + sun["dni_w_m2"] * height)[:, high].sum()
    apart = parts / max(sun["ghi_w_m2"][:, high].sum(), 1.0) - 1.0
    if abs(apart) > CLOSURE_DOUBTFUL_FRAC:
        found.append(
            Doubt(
                f"direct and diffuse sun add up to {1.0 + apart:.0%} of the global sun; they "
                f"should nearly agree",
                abs(apart) > CLOSURE_IMPOSSIBLE_FRAC,
            )
        )
    zenith = np.degrees(np.arccos(np.clip(height, 0.0, 1.0)))
    clear = clearsky.haurwitz(pd.Series(zenith.ravel()))["ghi"].to_numpy().reshape(365, 24).sum(1)
    return found + _days(sun["ghi_w_m2"].sum(2), clear, above.sum(1), hourly.index[:8760:24].month)


def _days(day_wh, clear_wh, above_wh, month):
    """Doubts about each day's sun: against the clear sky by month and against what there is."""
    found = []
    over = float((day_wh > ABOVE_AIR_FRAC * above_wh + 200.0).mean())
    if over > ABOVE_AIR_DAYS_FRAC:
        found.append(
            Doubt(
                f"on {over:.0%} of days more sun reaches the ground than there is above the air; "
                "the latitude, its sign or the unit is wrong",
                True,
            )
        )
        return found
    bright = [
        np.quantile(day_wh[:, month == m] / clear_wh[month == m], BRIGHT_DAYS_FRAC)
        for m in range(1, 13)
        if clear_wh[month == m].mean() > DARK_MONTH_WH_M2
    ]
    usual = float(np.median(bright))
    if not BRIGHT_DOUBTFUL[0] <= usual <= BRIGHT_DOUBTFUL[1]:
        found.append(
            Doubt(f"its brightest days have {usual:.0%} of a clear sky's sun; check the units")
        )
    clearness = float(day_wh.mean() / above_wh.mean())
    if not YEAR_CLEARNESS[0] <= clearness <= YEAR_CLEARNESS[1]:
        found.append(
            Doubt(f"{clearness:.0%} of the sun above the air comes through on average over a year")
        )
    return found


def _air(air_c, site, record_low_c, record_high_c):
    """Doubts about the air: the wrong half of the globe, or beyond the place's records."""
    found = []
    month = air_c.groupby(air_c.index.month).mean()
    june_more = float(month[[6, 7, 8]].mean() - month[[12, 1, 2]].mean())
    if abs(site.latitude_deg) > SEASONS_FROM_DEG and june_more * site.latitude_deg < 0:
        found.append(Doubt("its summer falls in the wrong half of the year for this latitude"))
    if record_low_c is not None and air_c.min() < record_low_c - RECORD_MARGIN_K:
        found.append(Doubt("some of its hours are colder than the plan's record low"))
    if record_high_c is not None and air_c.max() > record_high_c + RECORD_MARGIN_K:
        found.append(Doubt("some of its hours are warmer than the plan's record high"))
    return found
