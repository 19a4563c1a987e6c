"""Many weather years: the measured ones where there are enough of them, drawn ones otherwise."""

from functools import lru_cache

import numpy as np
import pandas as pd

from homestead.units import checked
from homestead.weather import drawn
from homestead.weather.hourly import HOURS_PER_YEAR, TYPICAL_YEAR, Weather, WeatherError, stamps

ENOUGH_REAL_N = 10  # fewer winters say too little about one winter in ten


def many_years(weather, years_n, seed=0):
    """List of one-year weathers at the same site.

    weather (Weather) : One year, or several real ones.
    years_n : How many years are wanted, 1 to 1000.
    seed : Same seed, same years; the first years do not change when more are asked for.
    Gives list of Weather: Ten or more real years give the first `years_n` of them, or all that
        there are if fewer. Fewer than ten come first, followed by drawn years up to `years_n`; one
        year, which may be a typical one put together from months, only serves to draw from. Drawn
        years have ``synthetic`` True.

    Raises ValueError if `years_n` or `seed` is outside its range or not whole.
    """
    years_n = _whole("years_n", years_n, 1, 1000)
    seed = _whole("seed", seed, 0, 2**32 - 1)
    if weather.synthetic:
        raise WeatherError("a drawn year cannot be drawn from again: pass the weather it came from")
    real_n = weather.years_n
    if real_n >= ENOUGH_REAL_N:
        return [one_year(weather, year) for year in range(min(years_n, real_n))]
    own_n = min(real_n, years_n) if real_n > 1 else 0
    years = [one_year(weather, year) for year in range(own_n)]
    return years + [_drawn_year(weather, seed, year) for year in range(years_n - own_n)]


@lru_cache(maxsize=400)
def one_year(weather, year):
    """Year number `year` (0 is the first) of a weather of several, as a weather of its own."""
    first = year * HOURS_PER_YEAR
    part = weather.hourly.iloc[first : first + HOURS_PER_YEAR]
    return Weather(part, weather.site, weather.source, weather.synthetic)


@lru_cache(maxsize=400)
def _drawn_year(weather, seed, number):
    values = drawn.draw(drawn.fitted(weather), seed, number)
    index = stamps(TYPICAL_YEAR, weather.site.utc_offset_h)
    hourly = pd.DataFrame(values, index=index, columns=weather.hourly.columns, copy=False)
    measured = "one year" if weather.years_n == 1 else f"{weather.years_n} real years"
    source = (
        f"Drawn day by day from {measured}, with dark and cold spells as long as in measured "
        f"records: {weather.source}"
    )
    return Weather(hourly, weather.site, source, True)


def _whole(name, value, low, high):
    number = checked(name, value, low, high)
    if number.ndim or number != np.floor(number):
        raise ValueError(f"{name} must be a whole number from {low} to {high}; got {value!r}")
    return int(number)
