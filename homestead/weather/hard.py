"""Weather harder than any in the record, by name: laid on a year, each with its basis.

Nobody can say how often one comes. A family runs them beside its other winters to see what would
end first.
"""

from dataclasses import dataclass

import numpy as np

from homestead.weather.hourly import DAYS_PER_YEAR, Weather

FORTNIGHT_DAYS, MONTH_DAYS = 14, 30
SMOKE_SUN_FRAC = 0.25
DRY_FRAC = 0.25
DRAWN_N = 50  # years drawn to find a record in


@dataclass(frozen=True)
class HardSpell:
    """A spell of weather harder than the record."""

    name: str  # as a family says it
    basis: str  # what it rests on


COLD = HardSpell(
    "the coldest two weeks on record",
    "The coldest 14 days of fifty drawn years, or of all measured ones where there are ten and "
    "more, put on the coldest two weeks of each year.",
)
DARK = HardSpell(
    "the darkest month on record",
    "The 30 days with the least sun of the same years, put on the darkest of each year.",
)
SMOKE = HardSpell(
    "two weeks of smoke",
    "Two weeks of late summer (of late winter south of the equator) with a quarter of the sun: "
    "smoke or ash. Our own choice; thick wildfire smoke has cut more on single days.",
)
DROUGHT = HardSpell(
    "a dry summer", "A quarter of the usual rain in the three warmest months. Our own choice."
)
SPELLS = (COLD, DARK, SMOKE, DROUGHT)


def laid_on(spell, years, rain_m, record):
    """The same years with a hard spell in each.

    spell (HardSpell) : One of `SPELLS`.
    years (list of Weather) : Single years of one site.
    rain_m (array of shape (8760 * years,)) : Rain of each hour, which the years then carry. [m]
    record (list of Weather) : Single years of the site whose worst is the record.
    Gives list of Weather.
    """
    rain = np.asarray(rain_m).reshape(len(years), -1)
    worst = {COLD: ("air_c", FORTNIGHT_DAYS), DARK: ("ghi_w_m2", MONTH_DAYS)}.get(spell)
    laid = _worst_of(record, *worst) if worst else None
    return [_one(spell, year, wet, laid) for year, wet in zip(years, rain, strict=True)]


def _one(spell, year, rain_m, worst):
    hourly = year.hourly.assign(rain_m=rain_m)
    south = year.site.latitude_deg < 0
    if spell == COLD:
        _lay_days(hourly, worst, _lowest_at(_daily(hourly, "air_c"), FORTNIGHT_DAYS))
    elif spell == DARK:
        _lay_days(hourly, worst, _lowest_at(_daily(hourly, "ghi_w_m2"), MONTH_DAYS))
    elif spell == SMOKE:
        first = 45 if south else 230
        here = slice(first * 24, (first + FORTNIGHT_DAYS) * 24)
        dim = hourly.columns.get_indexer(["ghi_w_m2", "dni_w_m2", "dhi_w_m2"])
        values = hourly.iloc[here, dim].to_numpy()
        hourly.iloc[here, dim] = values * SMOKE_SUN_FRAC
    else:
        summer = (12, 1, 2) if south else (6, 7, 8)
        dry = np.isin(hourly.index.month, summer)
        hourly["rain_m"] = np.where(dry, DRY_FRAC, 1.0) * rain_m
    return Weather(hourly, year.site, f"{year.source} With {spell.name}.", year.synthetic)


def _lay_days(hourly, worst, first_day):
    """Put whole days in place of a year's own; rain stays that of the year."""
    names = [name for name in worst if name in hourly and name != "rain_m"]
    columns = hourly.columns.get_indexer(names)
    hourly.iloc[first_day * 24 : first_day * 24 + len(worst), columns] = worst[names].to_numpy()


def _worst_of(years, column, days_n):
    """Hours of the lowest run of days of a column over years, as a frame."""
    lowest = [
        np.convolve(_daily(year.hourly, column), np.ones(days_n), "valid").min() for year in years
    ]
    worst = years[int(np.argmin(lowest))].hourly
    first = _lowest_at(_daily(worst, column), days_n)
    return worst.iloc[first * 24 : (first + days_n) * 24]


def _daily(hourly, column):
    return hourly[column].to_numpy().reshape(DAYS_PER_YEAR, 24).mean(axis=1)


def _lowest_at(daily, days_n):
    return int(np.argmin(np.convolve(daily, np.ones(days_n), "valid")))
