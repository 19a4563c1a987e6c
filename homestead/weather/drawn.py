"""Years drawn day by day from one measured year, or a few, with spells as long as real ones.

A day has two figures: how clear its sky was (its sun over the sun above the air) and how far its
warmth stood from the season's. Each is a normal process with a fast memory of days and a slow one
of weeks, mapped onto what the season's days of the measured years showed, and a little beyond.
Each day's hours come from a like day of the season, scaled to the figures.

References
----------
.. [1] C. W. Richardson, "Stochastic simulation of daily precipitation, temperature, and solar
   radiation", Water Resources Research 17, 1981: daily anomalies as a multivariate process.
.. [2] R. J. Aguiar, M. Collares-Pereira and J. P. Conde, "Simple procedure for generating
   sequences of daily radiation values", Solar Energy 40, 1988: clearness as the daily figure.
.. [3] U. Lall and A. Sharma, "A nearest neighbor bootstrap for resampling hydrologic time
   series", Water Resources Research 32, 1996: whole days taken from like ones.
.. [4] R. W. Katz and M. B. Parlange, "Overdispersion phenomenon in stochastic modeling of
   precipitation", Journal of Climate 11, 1998: why a fast process alone varies too little.
.. [5] J. H. Halton, "On the efficiency of certain quasi-random sequences of points in evaluating
   multi-dimensional integrals", Numerische Mathematik 2, 1960 (from memory).
"""

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.special import ndtr, ndtri

from homestead import reference
from homestead.weather.hourly import DAYS_PER_YEAR
from homestead.weather.sky import SOLAR_CONSTANT_W_M2, extraterrestrial_w_m2

SEASON_DAYS = 30  # to each side: about three months stand for a day's season
SEASON_OF_DAY = np.add.outer(range(DAYS_PER_YEAR), range(-SEASON_DAYS, SEASON_DAYS + 1)) % 365
CLEARNESS_RANGE = (0.02, 0.85)  # below and above lie faults of instruments and of the horizon
LEAST_ABOVE_WH_M2 = 50.0  # a polar day's sun is nothing, whatever its sky
LIKE_DAYS_N = 4
LIKE_CLEARNESS = 0.25  # a quarter more sun is as far apart as one standard deviation of warmth
BEAM_MAX_W_M2 = 1100.0
LEVEL_MAX_FRAC = 0.9  # of the sun above the air, in an hour; clearer skies are reflections
LEAST_HEIGHT = 0.02  # sine; a beam lower than one degree is too small a share to divide by
AIR_RANGE_C = (-69.0, 59.0)  # what weather files may hold, less a degree
RUN_IN_DAYS = 200
# Winters to pick from for so many years: groups by how dark they get over months, within those by
# how dark in a fortnight, then by how cold.
CELLS, CHUNK_N = (16, 6, 4), 128
LONG_DAYS, SHORT_DAYS = 60, 14
# How far days go beyond the darkest, coldest and warmest of the season's measured ones, for each
# standard deviation beyond. Cold is nearly normal; heat is held back by the water that it dries.
BEYOND_DARK = 0.5
BEYOND_COLD = 0.95
BEYOND_WARM = 0.2
# Instruments on the ground show one winter day in twenty below this share of the clear ones; a
# year from satellites or a model, smoothed over its grid, shows them brighter.
DARK_OF_CLEAR = 0.19
DARKENED_FRAC = 0.4


@dataclass(frozen=True, eq=False)
class Fit:
    """What measured years say about the days of each season."""

    days: np.ndarray  # shape (years, 365, 24, columns); the measured hours
    names: tuple[str, ...]  # their columns
    above_w_m2: np.ndarray  # shape (365, 24); sun on level ground above the air, mean of the hour
    # arrays of shape (years, 365); each measured day's figures; warmth in standard deviations from
    # the season's mean
    clearness: np.ndarray
    warmth: np.ndarray
    season_c: np.ndarray
    deviation_c: np.ndarray

    @cached_property
    def sorted_clearness(self):
        """Clearness of each day's season in rising order, darkened where it was smoothed."""
        return _darker(np.sort(_season(self.clearness), axis=1))

    @cached_property
    def sorted_warmth(self):
        """Warmth of each day's season in rising order."""
        return np.sort(_season(self.warmth), axis=1)

    @cached_property
    def tie(self):
        """Correlation of a day's clearness and warmth, by day of the year."""
        sun, air = _scores(self.clearness), _scores(self.warmth)
        return np.clip(_ring_mean((sun * air).mean(axis=0), 45), -0.8, 0.8)

    def lag_1(self, figure, item):
        """Correlation from day to day: the years' own, drawn toward that of long records."""
        score = _scores(figure)
        usual = _figure(item, "lag_1")
        if np.ptp(score) == 0.0:
            return usual  # every day alike: nothing to learn from
        own = np.corrcoef(score[:, 1:].ravel(), score[:, :-1].ravel())[0, 1]
        return own + _figure("both", "toward_frac") * (usual - own)

    @cached_property
    def turn_day(self):
        """Day of the highest sun, where one winter ends and the next begins."""
        return int(np.argmax(self.above_w_m2.sum(axis=1)))

    @cached_property
    def lags(self):
        """Correlation from day to day of sun and of air."""
        return self.lag_1(self.clearness, "sun"), self.lag_1(self.warmth, "air")


def fit(weather):
    """Fit the daily figures of one or several measured years.

    Gives Fit.
    """
    hourly = weather.hourly
    days = hourly.to_numpy(dtype=float).reshape(weather.years_n, DAYS_PER_YEAR, 24, -1)
    names = tuple(hourly.columns)
    above = extraterrestrial_w_m2(weather.site)
    level_wh = days[..., names.index("ghi_w_m2")].sum(axis=2)
    clearness = np.clip(level_wh / np.maximum(above.sum(1), LEAST_ABOVE_WH_M2), *CLEARNESS_RANGE)
    air_c = days[..., names.index("air_c")].mean(axis=2)
    season_c = _harmonics(air_c.mean(axis=0))
    apart = air_c - season_c
    deviation_c = np.sqrt(_ring_mean((apart**2).mean(axis=0), SEASON_DAYS))
    deviation_c = np.maximum(deviation_c, 0.1)
    return Fit(days, names, above, clearness, apart / deviation_c, season_c, deviation_c)


def draw(fitted, seed, number):
    """Hours of one drawn year.

    fitted (Fit)
    seed, number : Which set of years, and which of them.
    Gives array of shape (8760, columns): In the columns of the measured years.
    """
    generator = np.random.default_rng([seed, number])
    turn = fitted.turn_day
    sun, air = np.hstack(
        [
            winter(fitted, seed, number)[:, -turn or DAYS_PER_YEAR :],
            winter(fitted, seed, number + 1)[:, : DAYS_PER_YEAR - turn],
        ]
    )
    clearness, warmth = _figures(fitted, sun, air)
    year, day = _like_days(fitted, clearness, warmth, generator)
    return _scaled(fitted, clearness, warmth, year, day)


def _figures(fitted, sun, air):
    """Clearness and warmth of the days of a year from their normal scores."""
    lowest = ndtri(0.5 / fitted.sorted_clearness.shape[1])
    clearness = _mapped(sun, fitted.sorted_clearness)
    clearness *= np.exp(BEYOND_DARK * np.minimum(sun - lowest, 0.0))
    clearness = np.maximum(clearness, CLEARNESS_RANGE[0])
    warmth = _mapped(air, fitted.sorted_warmth)
    warmth += BEYOND_COLD * np.minimum(air - lowest, 0.0)
    warmth += BEYOND_WARM * np.maximum(air + lowest, 0.0)
    return clearness, warmth


def _figure(item, quantity):
    return reference.value("drawn_years", item, quantity, "")


def winter(fitted, seed, number):
    """Sun and air from summer to summer, the winter whole: shape (2, 365).

    Winters are picked out of many so that any number of them, taken from the first, holds dark
    and bright, cold and mild ones in the shares in which they come: a sequence of low discrepancy
    over how dark and how cold they get [5]_. Few years then say what many would.
    """
    chunk, place = divmod(number, CHUNK_N)
    pool, order = _winters(fitted, seed, chunk)
    return pool[order[place]]


@lru_cache(maxsize=16)
def _winters(fitted, seed, chunk):
    """Many winters, and the order in which they are taken."""
    generator = np.random.default_rng([seed, chunk])
    pool_n = int(np.prod(CELLS))
    pool = np.array([_processes(fitted, generator) for _ in range(pool_n)])
    turn, ranks = fitted.turn_day, np.empty((len(CELLS), pool_n))
    for number, (sun, air) in enumerate(pool):
        clearness, warmth = _figures(fitted, np.roll(sun, turn), np.roll(air, turn))
        level = np.roll(clearness * fitted.above_w_m2.sum(axis=1), -turn)
        air_c = np.roll(fitted.season_c + warmth * fitted.deviation_c, -turn)
        ranks[:, number] = [
            _least(level, LONG_DAYS),
            _least(level, SHORT_DAYS),
            _least(air_c, LONG_DAYS),
        ]
    cells = _in_cells(np.arange(pool_n), ranks).reshape(CELLS)
    share = _halton(CHUNK_N, generator.spawn(1)[0])
    taken, order = set(), []
    for place in map(tuple, (share * CELLS).astype(int)):
        while place in taken:  # two winters of one kind: the next one
            place = np.unravel_index((np.ravel_multi_index(place, CELLS) + 1) % pool_n, CELLS)
        taken.add(place)
        order.append(cells[place])
    return pool, order


def _in_cells(members, ranks, level=0):
    """Members put into equal groups by the first figure, each of those by the next, and so on."""
    if level == len(CELLS):
        return members
    by_rank = members[np.argsort(ranks[level, members], kind="stable")]
    groups = np.split(by_rank, CELLS[level])
    return np.concatenate([_in_cells(group, ranks, level + 1) for group in groups])


def _least(values, days_n):
    """Least sum of so many days in a row."""
    sums = np.concatenate([[0.0], np.cumsum(values)])
    return float((sums[days_n:] - sums[:-days_n]).min())


def _processes(fitted, generator):
    """Standard normal sun and air of 365 days from midsummer on, with their memory, widened."""
    n = RUN_IN_DAYS + DAYS_PER_YEAR
    slow_memory = np.exp(-1.0 / reference.value("drawn_years", "both", "slow_days", "day"))
    tie = np.roll(fitted.tie, -fitted.turn_day)
    tie = np.concatenate([tie[-RUN_IN_DAYS:], tie])
    fast = _tied(generator.standard_normal((2, n)), tie)
    slow = _tied(generator.standard_normal((2, n)), _figure("both", "slow_tie"))
    found = []
    for row, item in enumerate(("sun", "air")):
        share = _figure(item, "slow_share")
        lag = fitted.lags[row]
        fast_memory = np.clip((lag - share * slow_memory) / (1.0 - share), 0.0, 0.95)
        both = np.sqrt(1.0 - share) * _remembering(fast[row], fast_memory)
        both += np.sqrt(share) * _remembering(slow[row], slow_memory)
        found.append(_figure(item, "spread") * both[RUN_IN_DAYS:])
    return found


def _tied(noise, correlation):
    noise[1] = correlation * noise[0] + np.sqrt(1.0 - correlation**2) * noise[1]
    return noise


def _remembering(noise, memory):
    """First-order process of unit variance.

    1 / (1 - m z) is (1 + m z)(1 + m^2 z^2)(1 + m^4 z^4) and so on. A filter of scipy.signal does
    the same, and takes longer to import than all the years to draw.
    """
    found, step = np.sqrt(1.0 - memory**2) * noise, 1
    while memory**step > 1e-18 and step < len(noise):
        found[step:] += memory**step * found[:-step].copy()
        step *= 2
    return found


def _halton(points_n, generator):
    """Points in the unit cube of `CELLS`, digits permuted by the generator [5]_.

    As `scipy.stats.qmc.Halton` gives them, without the import of all statistics.
    """
    found = np.zeros((points_n, len(CELLS)))
    for column, base in enumerate((2, 3, 5)):
        left, worth = np.arange(points_n), 1.0
        digits_n = math.ceil(54.0 / math.log2(base)) - 1  # as many as a float holds
        orders = np.tile(np.arange(base), (digits_n, 1))
        for order in orders:
            generator.shuffle(order)
        for order in orders:
            worth /= base
            left, digit = np.divmod(left, base)
            found[:, column] += order[digit] * worth
    return found


def _mapped(normal, ordered):
    """Value of each day's season at that day's normal score, ends held."""
    n = ordered.shape[1]
    place = np.clip(ndtr(normal) * n - 0.5, 0.0, n - 1.0)
    under = np.minimum(place.astype(int), n - 2)
    rest = place - under
    day = np.arange(DAYS_PER_YEAR)
    return ordered[day, under] * (1.0 - rest) + ordered[day, under + 1] * rest


def _like_days(fitted, clearness, warmth, generator):
    """Year and day of a measured day of the season that is much like each drawn one."""
    apart = (np.log(_season(fitted.clearness) / clearness[:, None]) / LIKE_CLEARNESS) ** 2
    apart += (_season(fitted.warmth) - warmth[:, None]) ** 2
    nearest = np.argpartition(apart, LIKE_DAYS_N, axis=1)[:, :LIKE_DAYS_N]
    # In one order whatever the library's partition leaves, so that a seed is a year everywhere.
    nearest = np.take_along_axis(
        nearest, np.argsort(np.take_along_axis(apart, nearest, 1), axis=1, kind="stable"), 1
    )
    all_days = np.arange(DAYS_PER_YEAR)
    chosen = nearest[all_days, generator.integers(0, LIKE_DAYS_N, DAYS_PER_YEAR)]
    year, place = np.divmod(chosen, SEASON_OF_DAY.shape[1])
    return year, SEASON_OF_DAY[all_days, place]


def _scaled(fitted, clearness, warmth, year, day):
    """Hours of the like days, moved to each day's clearness and warmth."""
    hours = fitted.days[year, day].copy()
    column = {name: hours[..., number] for number, name in enumerate(fitted.names)}
    above = fitted.above_w_m2
    like_above = above[day]
    like_ghi = column["ghi_w_m2"].copy()
    # By the height of the sun on the drawn date, not on the like day's.
    level = np.where(like_above > 1.0, like_ghi / np.maximum(like_above, 1.0), 0.0) * above
    wanted = clearness * above.sum(axis=1)
    cap = LEVEL_MAX_FRAC * above
    level = np.minimum(level, cap)
    for _ in range(3):  # what the cap takes off one hour goes to the others
        total = level.sum(axis=1)
        ratio = np.divide(wanted, total, out=np.ones_like(total), where=total > 1.0)
        level = np.minimum(level * ratio[:, None], cap)
    # A like day's beam is this share of its level sun; a clearer day has more of it.
    like_beam = column["dni_w_m2"] * like_above / SOLAR_CONSTANT_W_M2
    share = np.divide(like_beam, like_ghi, out=np.zeros_like(level), where=like_ghi > 1.0)
    clearer = (clearness / fitted.clearness[year, day])[:, None]
    share = np.clip(share * clearer, 0.0, 0.9)
    height = above / SOLAR_CONSTANT_W_M2
    beam = np.divide(level * share, height, out=np.zeros_like(level), where=height > LEAST_HEIGHT)
    beam = np.minimum(beam, BEAM_MAX_W_M2)
    column["ghi_w_m2"][:] = level
    column["dni_w_m2"][:] = beam
    column["dhi_w_m2"][:] = np.maximum(level - beam * height, 0.0)
    wanted_c = fitted.season_c + warmth * fitted.deviation_c
    air = column["air_c"]
    air += (wanted_c - air.mean(axis=1))[:, None]
    np.clip(air, *AIR_RANGE_C, out=air)
    return hours.reshape(DAYS_PER_YEAR * 24, -1)


def _season(figure):
    """Figures of the season about each day: shape (365, years * (2 * SEASON_DAYS + 1))."""
    return figure[:, SEASON_OF_DAY].transpose(1, 0, 2).reshape(DAYS_PER_YEAR, -1)


def _scores(figure):
    """Normal score of each day within its own season, over all years."""
    season = np.sort(_season(figure), axis=1)
    n = season.shape[1]
    out = np.empty_like(figure)
    for day in range(DAYS_PER_YEAR):
        below = np.searchsorted(season[day], figure[:, day], side="left")
        upto = np.searchsorted(season[day], figure[:, day], side="right")
        out[:, day] = ndtri(np.clip((below + upto) / 2.0 / n, 0.5 / n, 1.0 - 0.5 / n))
    return out


def _darker(ordered):
    """Stretch the dark end of seasons whose dark days were smoothed away.

    The brighter days make up for it, as far as the season's clearest day allows.
    """
    n = ordered.shape[1]
    low, pivot, high = (ordered[:, int(share * (n - 1))] for share in (0.05, DARKENED_FRAC, 0.9))
    goal = DARK_OF_CLEAR * high
    stretch = np.where(low > goal, (pivot - goal) / np.maximum(pivot - low, 1e-9), 1.0)
    below = ordered < pivot[:, None]
    darker = np.where(
        below, pivot[:, None] - stretch[:, None] * (pivot[:, None] - ordered), ordered
    )
    darker = np.maximum(darker, CLEARNESS_RANGE[0])
    lost = ordered.sum(axis=1) - darker.sum(axis=1)
    bright = np.where(below, 0.0, darker)
    raised = bright * (1.0 + lost / np.maximum(bright.sum(axis=1), 1e-9))[:, None]
    return np.where(below, darker, np.minimum(raised, ordered[:, -1:]))


def _ring_mean(values, to_each_side):
    """Mean over the days about each, the year taken as a ring."""
    around = np.concatenate([values[-to_each_side:], values, values[:to_each_side]])
    return np.convolve(around, np.ones(2 * to_each_side + 1) / (2 * to_each_side + 1), "valid")


def _harmonics(values):
    """Two yearly waves through the daily means."""
    turn = 2.0 * np.pi * np.arange(DAYS_PER_YEAR) / DAYS_PER_YEAR
    waves = np.column_stack(
        [np.ones(DAYS_PER_YEAR), *(f(k * turn) for k in (1, 2) for f in (np.sin, np.cos))]
    )
    return waves @ np.linalg.lstsq(waves, values, rcond=None)[0]


@lru_cache(maxsize=8)
def fitted(weather):
    """Fit of a weather, kept for as long as it is in use."""
    return fit(weather)
