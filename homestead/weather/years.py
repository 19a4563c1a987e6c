"""Many weather years: a family's own years when the file has them, drawn ones otherwise.

A drawn year keeps whole days and all variables together, so a cloudy spell stays cloudy, cold and
calm as it was. It cannot show a spell longer or worse than the typical year's own plus its seams.
"""

import numpy as np
import pandas as pd

from homestead.units import checked
from homestead.weather.hourly import (
    DAYS_PER_YEAR,
    HOURS_PER_YEAR,
    TYPICAL_YEAR,
    Weather,
    WeatherError,
    stamps,
)

# Project choices: about the length of a passing weather pattern, and of a month's half.
SHORTEST_BLOCK_DAYS = 5
LONGEST_BLOCK_DAYS = 9
FARTHEST_DAYS = 15


def many_years(weather, years_n, seed=0):
    """List of one-year weathers at the same site.

    Parameters
    ----------
    weather : Weather
        One year, or several real ones.
    years_n : int
        How many years are wanted, 1 to 1000.
    seed : int
        Same seed, same years; the first years do not change when more are asked for.

    Returns
    -------
    list of Weather
        Several real years give the first `years_n` of them, or all that there are if fewer, with
        ``synthetic`` False. One year gives `years_n` drawn years with ``synthetic`` True, ``base``
        and ``source_day``: blocks of 5 to 9 whole days (the last cut at the end of the year), each
        moved by up to 15 days, the year taken as a ring.

    Raises
    ------
    ValueError
        If `years_n` or `seed` is outside its range or not whole.
    """
    years_n = _whole("years_n", years_n, 1, 1000)
    seed = _whole("seed", seed, 0, 2**32 - 1)
    if weather.years_n > 1:
        return [one_year(weather, year) for year in range(min(years_n, weather.years_n))]
    if weather.synthetic:
        raise WeatherError("a drawn year cannot be drawn from again: pass the weather it came from")
    days = weather.hourly.to_numpy(dtype=float).reshape(DAYS_PER_YEAR, 24, -1)
    index = stamps(TYPICAL_YEAR, weather.site.utc_offset_h)
    columns = weather.hourly.columns
    source = (
        f"Drawn from one year, blocks of {SHORTEST_BLOCK_DAYS} to {LONGEST_BLOCK_DAYS} whole days "
        f"moved by up to {FARTHEST_DAYS} days: {weather.source}"
    )
    drawn = []
    for year in range(years_n):
        source_day = _source_days(np.random.default_rng([seed, year]))
        values = days[source_day].reshape(HOURS_PER_YEAR, -1)
        hourly = pd.DataFrame(values, index=index, columns=columns, copy=False)
        drawn.append(Weather(hourly, weather.site, source, True, weather, source_day))
    return drawn


def one_year(weather, year):
    """Year number `year` (0 is the first) of a weather of several, as a weather of its own."""
    first = year * HOURS_PER_YEAR
    part = weather.hourly.iloc[first : first + HOURS_PER_YEAR]
    return Weather(part, weather.site, weather.source, weather.synthetic)


def _source_days(generator):
    blocks_n = -(-DAYS_PER_YEAR // SHORTEST_BLOCK_DAYS)
    lengths = generator.integers(SHORTEST_BLOCK_DAYS, LONGEST_BLOCK_DAYS + 1, blocks_n)
    moves = generator.integers(-FARTHEST_DAYS, FARTHEST_DAYS + 1, blocks_n)
    move = np.repeat(moves, lengths)[:DAYS_PER_YEAR]
    return (np.arange(DAYS_PER_YEAR) + move) % DAYS_PER_YEAR


def _whole(name, value, low, high):
    number = checked(name, value, low, high)
    if number.ndim or number != np.floor(number):
        raise ValueError(f"{name} must be a whole number from {low} to {high}; got {value!r}")
    return int(number)
