"""The checked hourly form of a weather file, and the checks that lead to it.

Owns the stamps, the limits of each column and the wording of what is wrong with a file. How each
file format spells its columns and clocks belongs to files.py.
"""

from __future__ import annotations

import weakref
from dataclasses import dataclass
from datetime import timedelta, timezone
from functools import lru_cache, wraps

import numpy as np
import pandas as pd

from homestead.weather import plausible

HOURS_PER_YEAR = 8760
DAYS_PER_YEAR = 365
DEGREES_PER_HOUR = 15.0  # one turn of the earth in 24 h
TYPICAL_YEAR = 2001  # the label that typical and drawn years carry: a year without leap day
ROWS_SHOWN = 5
KEPT_WITH_YEAR_N = 6  # arrays, walls or engines; variants of a plan mostly share theirs
# More than any record has: a mistyped year would otherwise ask for centuries of hours.
FIRST_YEAR, LAST_YEAR = 1850, 2150
# Project choice: cloudy mornings and hills move the sun's middle of the day by less than this.
NOON_OFF_H = 1.5

# column -> lowest and highest value taken as possible. Project choices: the sun's own 1361 W/m2
# plus cloud-edge gain above, a pyranometer's night offset below; world records for the air.
LIMITS = {
    "ghi_w_m2": (-5.0, 1500.0),
    "dni_w_m2": (-5.0, 1500.0),
    "dhi_w_m2": (-5.0, 1500.0),
    "air_c": (-70.0, 60.0),
    "wind_m_s": (0.0, 100.0),
    "humidity_frac": (0.0, 1.05),
    "rain_m": (0.0, 0.4),
}
REQUIRED = ("ghi_w_m2", "dni_w_m2", "dhi_w_m2", "air_c", "wind_m_s")


class WeatherError(ValueError):
    """A weather file that cannot be used; the text names the file and the rows."""


@dataclass(frozen=True)
class Site:
    """Where the weather was taken."""

    name: str
    # north and east positive. [deg]
    latitude_deg: float
    longitude_deg: float
    elevation_m: float  # above sea level. [m]
    utc_offset_h: float  # local standard time minus universal time, no daylight saving. [h]

    def __post_init__(self):
        for name, low, high in (
            ("latitude_deg", -90.0, 90.0),
            ("longitude_deg", -180.0, 180.0),
            ("elevation_m", -430.0, 9000.0),
            ("utc_offset_h", -12.0, 14.0),
        ):
            value = getattr(self, name)
            if not low <= value <= high:
                raise WeatherError(f"{name} must be from {low:g} to {high:g}; got {value!r}")


@dataclass(frozen=True, eq=False)
class Weather:
    """Whole years of hourly weather at one site."""

    # 8760 rows a year; index: local standard time with a fixed offset, start of the hour; February
    # 29 left out. Columns: ghi_w_m2, dni_w_m2, dhi_w_m2 [W/m2], air_c [deg C], wind_m_s [m/s], and,
    # where the file has them, humidity_frac [0 to 1] and rain_m [m within the hour].
    hourly: pd.DataFrame
    site: Site
    source: str  # where the figures come from and what was done to them, for a reader
    synthetic: bool = False  # true for a year drawn day by day, which nobody measured

    def __post_init__(self):
        if len(self.hourly) == 0 or len(self.hourly) % HOURS_PER_YEAR:
            raise WeatherError(
                f"weather must be whole years of {HOURS_PER_YEAR} hours; got {len(self.hourly)}"
            )

    @property
    def years_n(self):
        """How many years of 8760 hours it holds."""
        return len(self.hourly) // HOURS_PER_YEAR

    @property
    def year_labels(self):
        """Calendar year that each year's stamps carry."""
        return tuple(int(year) for year in self.hourly.index[::HOURS_PER_YEAR].year)


def kept_with_year(work):
    """Remember the newest things worked from a year of weather, as long as that year is in use."""
    found = weakref.WeakKeyDictionary()

    @wraps(work)
    def remembered(year, *more):
        known = found.setdefault(year, {})
        result = known.pop(more, None)
        if result is None:
            result = work(year, *more)
        known[more] = result  # the newest last
        for old in list(known)[:-KEPT_WITH_YEAR_N]:
            known.pop(old, None)
        return result

    return remembered


@lru_cache(maxsize=256)
def stamps(year, utc_offset_h):
    """Starts of the 8760 hours of a year in local standard time, February 29 left out."""
    zone = timezone(timedelta(hours=utc_offset_h))
    whole = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h", tz=zone)
    return whole[~is_leap_day(whole)]


def is_leap_day(index):
    """Mark the stamps that fall on 29 February."""
    return np.asarray((index.month == 2) & (index.day == 29))


@dataclass
class Parsed:
    """What a format's parser hands over, before any check.

    `stamps` are naive starts of hours (or instants within them) on the file's own clock;
    `first_line` is the line of the first row in the file, None where rows are not lines;
    `shift_h` is what to add to the file's clock to get local standard time.
    """

    file_name: str
    columns: dict
    stamps: pd.DatetimeIndex
    site: Site
    source: str
    first_line: int | None = None
    shift_h: int = 0

    def fault(self, what, rows):
        """Return an error that names the file, how many rows, and where the first ones stand."""
        rows = list(rows)
        places = "; ".join(self._place(row) for row in rows[:ROWS_SHOWN])
        more = ", first ones" if len(rows) > ROWS_SHOWN else ""
        return WeatherError(f"{self.file_name}: {what} ({_count(len(rows))}{more}: {places})")

    def _place(self, row):
        when = self.stamps[row]
        stamp = "no date" if pd.isna(when) else str(when)[:16]
        return stamp if self.first_line is None else f"line {self.first_line + row}, {stamp}"


def _count(rows_n):
    return "1 row" if rows_n == 1 else f"{rows_n} rows"


def checked_weather(parsed):
    """Checked `Weather` from what a parser handed over.

    Gives Weather.

    Raises WeatherError if a column is missing, a value is missing or impossible, the rows are not
        hourly, an hour is missing, repeated or out of order, the years are not whole, or the clock
        does not fit the longitude.
    """
    notes = []
    _check_stamps(parsed)
    values = _checked_values(parsed, notes)
    _check_step(parsed)
    index = _calendar(parsed, notes)
    table = pd.DataFrame(values, index=index)
    if parsed.shift_h:
        # Hours pushed over one end of the record fill the other: they are few and mostly night.
        table = pd.DataFrame(
            np.roll(table.to_numpy(), parsed.shift_h, axis=0), index=index, columns=table.columns
        )
        notes.append(
            f"moved {parsed.shift_h:+d} h from universal time to local standard time, the hours "
            "pushed over one end filling the other"
        )
    leap = is_leap_day(index)
    if leap.any():
        notes.append("February 29 left out")
        table = table[~leap]
    _check_noon(parsed, table)
    years = sorted(set(table.index.year))
    table.index = _joined([stamps(int(year), parsed.site.utc_offset_h) for year in years])
    source = parsed.source + "".join(f"; {note}" for note in notes) + "."
    weather = Weather(hourly=table, site=parsed.site, source=source)
    wrong = [doubt.text for doubt in plausible.doubts(weather) if doubt.impossible]
    if wrong:
        raise WeatherError(f"{parsed.file_name}: {'; '.join(wrong)}")
    return weather


def _check_noon(parsed, table):
    """Refuse a clock that does not fit the longitude: a wrong zone moves the whole sun."""
    sun = table["ghi_w_m2"].to_numpy()
    if sun.sum() <= 0:
        return
    middle_h = float(np.average(table.index.hour.to_numpy() + 0.5, weights=sun))
    noon_h = 12.0 - (parsed.site.longitude_deg / DEGREES_PER_HOUR - parsed.site.utc_offset_h)
    off_h = (middle_h - noon_h + 12.0) % 24.0 - 12.0
    if abs(off_h) > NOON_OFF_H:
        raise WeatherError(
            f"{parsed.file_name}: the sun is highest at {middle_h:.1f} h on the "
            f"file's clock, but noon at longitude {parsed.site.longitude_deg:g} with UTC"
            f"{parsed.site.utc_offset_h:+g} is at {noon_h:.1f} h; the time zone, the longitude or "
            "the stamps are wrong"
        )


def _joined(parts):
    return parts[0] if len(parts) == 1 else parts[0].append(parts[1:])


def _checked_values(parsed, notes):
    missing = [name for name in REQUIRED if name not in parsed.columns]
    if missing:
        raise WeatherError(f"{parsed.file_name}: the file has no column for {', '.join(missing)}")
    if len(parsed.stamps) == 0:
        raise WeatherError(f"{parsed.file_name}: the file has no rows after its heading")
    values = {}
    for name, (low, high) in LIMITS.items():
        if name not in parsed.columns:
            continue
        column = pd.to_numeric(pd.Series(parsed.columns[name]), errors="coerce")
        array = column.to_numpy(dtype=float)
        absent = np.flatnonzero(~np.isfinite(array))
        if absent.size:
            raise parsed.fault(f"{name} is missing or not a number", absent)
        wrong = np.flatnonzero((array < low) | (array > high))
        if wrong.size:
            got = ", ".join(f"{array[row]:g}" for row in wrong[:ROWS_SHOWN])
            raise parsed.fault(f"{name} must be from {low:g} to {high:g}; got {got}", wrong)
        values[name] = array
    _settle(values, notes)
    return values


def _settle(values, notes):
    """Take the small excursions that the limits allow back to what is physical, and say so."""
    for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"):
        below = int((values[name] < 0).sum())
        if below:
            values[name] = np.maximum(values[name], 0.0)
            notes.append(f"{below} slightly negative values of {name} taken as zero")
    if "humidity_frac" not in values:
        notes.append("no relative humidity in the file")
    elif (above := int((values["humidity_frac"] > 1).sum())) > 0:
        values["humidity_frac"] = np.minimum(values["humidity_frac"], 1.0)
        notes.append(f"{above} values of humidity_frac just above 1 taken as 1")


def _check_stamps(parsed):
    """Refuse stamps that could not be read, or of years that no record has."""
    year = np.asarray(parsed.stamps.year, dtype=float)  # nan where the stamp is missing
    lost = np.flatnonzero(~((year >= FIRST_YEAR) & (year <= LAST_YEAR)))
    if lost.size:
        raise parsed.fault(
            f"the date is missing or not within the years {FIRST_YEAR} to {LAST_YEAR}", lost
        )


def _check_step(parsed):
    if len(parsed.stamps) < 2:
        return
    steps = np.diff(parsed.stamps.to_numpy()).astype("timedelta64[s]").astype(float)
    usual = float(np.median(steps))
    if 0 < usual < 3600:
        raise WeatherError(
            f"{parsed.file_name}: rows are {usual / 60:g} minutes apart; hourly rows are needed, "
            "so ask the provider for the hourly file (60 minutes)"
        )
    if usual > 3600:
        raise WeatherError(
            f"{parsed.file_name}: rows are {usual / 3600:g} hours apart; hourly rows are needed"
        )


def _calendar(parsed, notes):
    """Naive hour starts, with one label for a typical year, after the order is checked."""
    index = parsed.stamps.floor("h")
    if _is_typical(index):
        notes.append(
            "a typical year, its months taken from different years "
            f"({index.year.min()} to {index.year.max()}) and labeled {TYPICAL_YEAR}"
        )
        leap = np.flatnonzero(is_leap_day(index))
        if leap.size:
            raise parsed.fault("a typical year has a February 29, so its hours are unclear", leap)
        relabeled = {"year": TYPICAL_YEAR, "month": index.month, "day": index.day}
        index = pd.DatetimeIndex(pd.to_datetime(pd.DataFrame({**relabeled, "hour": index.hour})))
    repeated = np.flatnonzero(index.duplicated())
    if repeated.size:
        raise parsed.fault("the same hour is written twice", repeated)
    backward = np.flatnonzero(np.diff(index.to_numpy()) < np.timedelta64(0, "s")) + 1
    if backward.size:
        raise parsed.fault("the rows go back in time", backward)
    wanted = pd.date_range(f"{index[0].year}-01-01", f"{index[-1].year}-12-31 23:00", freq="h")
    # Whole years may be left out of a record; every year that begins must be whole.
    wanted = wanted[wanted.year.isin(index.year.unique())]
    absent = wanted[~wanted.isin(index) & ~is_leap_day(wanted)]
    if len(absent):
        first = "; ".join(f"{stamp:%Y-%m-%d %H:%M}" for stamp in absent[:ROWS_SHOWN])
        raise WeatherError(
            f"{parsed.file_name}: whole years are needed, but {len(absent)} hours are missing "
            f"(hours starting at: {first}{' ...' if len(absent) > ROWS_SHOWN else ''})"
        )
    return index


def _is_typical(index):
    """Say whether one year's rows carry several years' labels, month by month in order."""
    if len(index) > 366 * 24 or index.year.nunique() == 1:
        return False
    if np.any(np.diff(index.month) < 0):
        return False
    return bool((pd.Series(index.year).groupby(np.asarray(index.month)).nunique() == 1).all())
