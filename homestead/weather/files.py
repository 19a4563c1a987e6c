"""Read one weather file of any common format, told apart by content, not by its name's ending.

Owns each format's columns, clock and units; hourly.py owns the checks. pvlib does the parsing.
Rain is used from fetched years alone: TMY3's is known to be wrong and the others' are mostly
empty or unmeasured. Stamps that end the hour become the hour's start here.
"""

import io
import json
import re
import stat
import warnings
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pandas as pd

from homestead.units import checked
from homestead.weather.hourly import DEGREES_PER_HOUR, Parsed, Site, WeatherError, checked_weather

LARGEST_BYTES = 200_000_000  # thirty hourly years are about 50 MB
# Files that pvlib installs: public data of the US National Renewable Energy Laboratory.
NAMED = {"greensboro-nc": "723170TYA.CSV", "sand-point-ak": "703165TY.csv"}
_TMY2_HEAD = re.compile(
    r"^\s*\d{5}\s+\S+\s+\w\w\s+-?\d+\s+[NS]\s*\d+\s+\d+\s+[EW]\s*\d+\s+\d+\s+-?\d"
)


def read(path_or_name, utc_offset_h=None):
    """Hourly weather from a file, checked.

    path_or_name (str or Path) : A file of `homestead weather`; or a TMY2, TMY3, EPW, NSRDB (PSM)
        csv, or PVGIS hourly or typical-year csv or json file; or ``"greensboro-nc"``,
        ``"sand-point-ak"``, the two files that pvlib installs.
    utc_offset_h (int, optional) : Local standard time minus universal time, for files in universal
        time that do not say it (PVGIS). Without it the nearest hour to the longitude is taken, and
        `source` says so.
    Gives Weather: Whole years of 8760 hours in local standard time, stamp = start of the hour.

    Raises WeatherError if the file cannot be read, is of no known format, is not hourly, or has
        gaps, repeated hours, missing or impossible values; the text names the file and the first
        rows.
    """
    path = _path(path_or_name)
    text = _text(path)
    kind, parser = _recognise(text, path.name)
    if utc_offset_h is not None:
        offset = checked("utc_offset_h", utc_offset_h, -12, 14, "h")
        if offset != np.round(offset):
            raise WeatherError(f"utc_offset_h must be a whole number of hours; got {utc_offset_h}")
        utc_offset_h = int(offset)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # pandas warns of mixed columns; the checks name them
            parsed = parser(path, text, utc_offset_h)
    except WeatherError as error:
        named = str(error).startswith(path.name)
        raise error if named else WeatherError(f"{path.name}: {error}") from None
    except Exception as error:  # a broken file can fail anywhere in the parsers, in any kind
        reason = " ".join(str(error).split())[:160]
        raise WeatherError(
            f"{path.name}: looks like a {kind} file but cannot be read as one; it may be cut short "
            f"or edited ({reason})"
        ) from None
    return checked_weather(parsed)


def _path(path_or_name):
    if isinstance(path_or_name, str) and path_or_name in NAMED:
        (folder,) = find_spec("pvlib").submodule_search_locations  # without its long import
        return Path(folder, "data", NAMED[path_or_name])
    if not isinstance(path_or_name, str | Path) or not str(path_or_name).strip():
        raise WeatherError(
            f"the weather must be a file or one of {', '.join(NAMED)}; got {path_or_name!r}"
        )
    return Path(path_or_name).expanduser()


def _text(path):
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise WeatherError(f"{path.name}: is a folder, not a weather file")
        if not stat.S_ISREG(about.st_mode):
            raise WeatherError(f"{path.name}: is not a plain file")
        if about.st_size > LARGEST_BYTES:
            raise WeatherError(
                f"{path.name}: is larger than {LARGEST_BYTES / 1e6:.0f} MB, too large for hourly "
                "weather of one place"
            )
        content = path.read_bytes()
    except FileNotFoundError:
        raise WeatherError(
            f"{path}: no such weather file; names that need no file: {', '.join(NAMED)}"
        ) from None
    except (OSError, ValueError) as error:
        if isinstance(error, WeatherError):
            raise
        reason = getattr(error, "strerror", None) or "its name is not valid"
        raise WeatherError(f"{path.name}: cannot be opened ({reason})") from None
    if not content.strip():
        raise WeatherError(f"{path.name}: the file is empty")
    if b"\0" in content:
        raise WeatherError(f"{path.name}: is not a text file; unpack it first if it is an archive")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("latin-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _recognise(text, file_name):
    """Name of the format and its parser, from the first lines."""
    first, _, rest = text.partition("\n")
    second = rest.partition("\n")[0]
    if first.startswith("# homestead weather "):
        return "fetched weather", _fetched
    if "Date (MM/DD/YYYY)" in second:
        return "TMY3", _tmy3
    if first.startswith("LOCATION,"):
        return "EPW", _epw
    if first.startswith("Source,Location ID"):
        return "NSRDB", _nsrdb
    if _TMY2_HEAD.match(first):
        return "TMY2", _tmy2
    if first.lstrip().startswith("{"):
        return "PVGIS json", _pvgis_json
    if first.startswith("Latitude (decimal degrees)"):
        if re.search(r"^time\(UTC\),", text, flags=re.MULTILINE):
            return "PVGIS typical-year csv", _pvgis_tmy_csv
        return "PVGIS hourly csv", _pvgis_hourly_csv
    raise WeatherError(
        f"{file_name}: is none of the weather files that can be read (TMY2, TMY3, EPW, NSRDB csv, "
        "PVGIS csv or json)"
    )


def _columns(data, names, humidity=None):
    """Our columns from a parser's frame; those that the file lacks are left to the checks."""
    columns = {ours: data[theirs].array for ours, theirs in names.items() if theirs in data}
    if humidity in data:
        percent = pd.to_numeric(data[humidity], errors="coerce")
        columns["humidity_frac"] = percent.to_numpy() / 100.0
    return columns


_PVLIB_NAMES = {
    "ghi_w_m2": "ghi",
    "dni_w_m2": "dni",
    "dhi_w_m2": "dhi",
    "air_c": "temp_air",
    "wind_m_s": "wind_speed",
}


def _tmy3(path, text, _utc_offset_h):
    from pvlib.iotools import read_tmy3

    data, meta = read_tmy3(io.StringIO(text))
    # pvlib moves hour 24 of 28 February in leap years to March, so the stamps are made here.
    hour = data["Time (HH:MM)"].str.split(":")
    ended = pd.to_timedelta(hour.str[0].astype(int), unit="h") + pd.to_timedelta(
        hour.str[1].astype(int), unit="min"
    )
    day = pd.to_datetime(data["Date (MM/DD/YYYY)"], format="%m/%d/%Y")
    name = f"{meta['Name'].strip(chr(34)).title()}, {meta['State']}"
    site = Site(name, meta["latitude"], meta["longitude"], meta["altitude"], meta["TZ"])
    return Parsed(
        path.name,
        _columns(data, _PVLIB_NAMES, "relative_humidity"),
        pd.DatetimeIndex((day + ended).to_numpy()) - pd.Timedelta(hours=1),
        site,
        f"TMY3 file {path.name}, station {meta['USAF']} {name} "
        "(rain: the plan's monthly amounts, not the file's)",
        first_line=3,
    )


def _tmy2(path, _text, _utc_offset_h):
    from pvlib.iotools import read_tmy2

    data, meta = read_tmy2(path)
    names = {
        "ghi_w_m2": "GHI",
        "dni_w_m2": "DNI",
        "dhi_w_m2": "DHI",
        "air_c": "DryBulb",
        "wind_m_s": "Wspd",
    }
    columns = _columns(data, names, "RHum")
    for name in ("air_c", "wind_m_s"):
        columns[name] = np.asarray(columns[name], dtype=float) / 10.0  # the format writes tenths
    clock = data[["year", "month", "day", "hour"]].astype(int)
    clock["year"] += 1900
    clock["hour"] -= 1
    name = f"{meta['City'].replace('_', ' ').title()}, {meta['State']}"
    site = Site(name, meta["latitude"], meta["longitude"], meta["altitude"], float(meta["TZ"]))
    return Parsed(
        path.name,
        columns,
        pd.DatetimeIndex(pd.to_datetime(clock).to_numpy()),
        site,
        f"TMY2 file {path.name}, station {meta['WBAN']} {name}",
        first_line=2,
    )


def _epw(path, text, _utc_offset_h):
    from pvlib.iotools import read_epw

    periods = re.search(r"^DATA PERIODS,\s*\d+\s*,\s*(\d+)", text, flags=re.MULTILINE)
    if periods and int(periods[1]) != 1:
        raise WeatherError(
            f"{path.name}: has {periods[1]} rows an hour; hourly rows are needed, so ask the "
            "provider for the hourly file"
        )
    data, meta = read_epw(io.StringIO(text))
    place = ", ".join(meta[key] for key in ("city", "state-prov", "country") if meta[key])
    site = Site(place, meta["latitude"], meta["longitude"], meta["altitude"], meta["TZ"])
    return Parsed(
        path.name,
        _columns(data, _PVLIB_NAMES, "relative_humidity"),
        data.index.tz_localize(None),
        site,
        f"EPW file {path.name}, {place}, data of {meta['data_type'] or 'unnamed origin'} "
        "(rain: the plan's monthly amounts, not the files')",
        first_line=9,
    )


def _fetched(path, text, _utc_offset_h):
    """Years that `homestead weather` fetched: facts of the place in comments, then a table."""
    about, at = {}, 0
    lines = text.split("\n")
    while at < len(lines) and lines[at].startswith("#"):
        name, _, said = lines[at][1:].partition(":")
        about[name.strip()] = said.strip()
        at += 1
    data = pd.read_csv(io.StringIO("\n".join(lines[at:])))
    site = Site(
        about["place"],
        *(float(about[name]) for name in ("latitude", "longitude", "elevation_m", "utc_offset_h")),
    )
    return Parsed(
        path.name,
        {name: data[name].array for name in data if name != "time"},
        pd.DatetimeIndex(pd.to_datetime(data["time"], format="%Y-%m-%d %H:%M", errors="coerce")),
        site,
        f"{about['source']}, file {path.name}. {about['license']} Years left out: "
        f"{about['left out']}",
        first_line=at + 2,
    )


def _nsrdb(path, text, _utc_offset_h):
    from pvlib.iotools import read_nsrdb_psm4

    data, meta = read_nsrdb_psm4(io.StringIO(text))
    local, written = float(meta["Local Time Zone"]), float(meta["Time Zone"])
    site = Site(
        f"NSRDB location {meta['Location ID']}",
        meta["latitude"],
        meta["longitude"],
        float(meta["altitude"]),
        local,
    )
    clock = data[["Year", "Month", "Day", "Hour", "Minute"]]
    return Parsed(
        path.name,
        _columns(data, _PVLIB_NAMES, "relative_humidity"),
        pd.DatetimeIndex(pd.to_datetime(clock).to_numpy()),
        site,
        f"{meta['Source']} file {path.name}, location {meta['Location ID']}",
        first_line=4,
        shift_h=int(local - written),
    )


def _pvgis_json(path, text, utc_offset_h):
    from pvlib.iotools import read_pvgis_hourly, read_pvgis_tmy

    outputs = json.loads(text).get("outputs", {})
    if "tmy_hourly" in outputs:
        data, meta = read_pvgis_tmy(io.StringIO(text), pvgis_format="json")
        return _pvgis_tmy(path, data, meta["inputs"]["location"], None, utc_offset_h)
    if "hourly" not in outputs:
        raise WeatherError(f"{path.name}: is a json file without PVGIS hourly data")
    data, meta = read_pvgis_hourly(io.StringIO(text), pvgis_format="json")
    fixed = meta["inputs"].get("mounting_system", {}).get("fixed", {})
    slope = float(fixed.get("slope", {}).get("value", np.nan))
    place = meta["inputs"]["location"]
    return _pvgis_hourly(path, data, place, slope, None, utc_offset_h)


def _pvgis_tmy_csv(path, text, utc_offset_h):
    from pvlib.iotools import read_pvgis_tmy

    data, meta = read_pvgis_tmy(io.BytesIO(text.encode()), pvgis_format="csv")
    return _pvgis_tmy(path, data, meta["inputs"], _line_after(text, "time(UTC),"), utc_offset_h)


def _pvgis_hourly_csv(path, text, utc_offset_h):
    from pvlib.iotools import read_pvgis_hourly

    data, meta = read_pvgis_hourly(io.StringIO(text), pvgis_format="csv")
    written = re.search(r"-?\d+(\.\d+)?", str(meta["inputs"].get("Slope", "")))
    slope = float(written[0]) if written else np.nan
    first_line = _line_after(text, "time,")
    return _pvgis_hourly(path, data, meta["inputs"], slope, first_line, utc_offset_h)


def _line_after(text, start):
    """Line number of the first row after the heading that begins with `start`."""
    return text[: text.index("\n" + start)].count("\n") + 3


def _pvgis_site(place, utc_offset_h):
    longitude = float(place["longitude"])
    guessed = utc_offset_h is None
    offset = round(longitude / DEGREES_PER_HOUR) if guessed else utc_offset_h
    said = f"local standard time taken as UTC{offset:+d}"
    said += " from the longitude" if guessed else ", as given"
    latitude = float(place["latitude"])
    name = f"PVGIS location {latitude:.3f}, {longitude:.3f}"
    return Site(name, latitude, longitude, float(place["elevation"]), float(offset)), offset, said


def _pvgis_tmy(path, data, place, first_line, utc_offset_h):
    site, shift, said = _pvgis_site(place, utc_offset_h)
    return Parsed(
        path.name,
        _columns(data, _PVLIB_NAMES, "relative_humidity"),
        data.index.tz_localize(None),
        site,
        f"PVGIS typical-year file {path.name}, {said}",
        first_line=first_line,
        shift_h=shift,
    )


def _pvgis_hourly(path, data, place, slope_deg, first_line, utc_offset_h):
    if not slope_deg == 0.0:
        raise WeatherError(
            f"{path.name}: holds radiation on a plane tilted {slope_deg:g} deg; ask PVGIS for "
            "slope 0 with the radiation components, so that any array can be computed from it"
        )
    if not {"poa_direct", "poa_sky_diffuse", "solar_elevation"} <= set(data.columns):
        raise WeatherError(
            f"{path.name}: lacks the beam and diffuse columns; ask PVGIS for the radiation "
            "components"
        )
    site, shift, said = _pvgis_site(place, utc_offset_h)
    columns = _columns(data, _PVLIB_NAMES, "relative_humidity")
    beam = data["poa_direct"].to_numpy(dtype=float)
    diffuse = data["poa_sky_diffuse"].to_numpy(dtype=float)
    height = np.radians(data["solar_elevation"].to_numpy(dtype=float))
    columns["ghi_w_m2"] = beam + diffuse
    columns["dhi_w_m2"] = diffuse
    # Beam on the level over the sine of the sun's height; below 2 deg that ratio is noise, and
    # no beam exceeds the sun above the air.
    low = height < np.radians(2.0)
    normal = np.where(low, 0.0, beam / np.sin(np.where(low, 1.0, height)))
    columns["dni_w_m2"] = np.where(beam < -5.0, beam, np.minimum(normal, 1400.0))
    return Parsed(
        path.name,
        columns,
        data.index.tz_localize(None),
        site,
        f"PVGIS hourly file {path.name}, beam found from the level plane and the sun's height, "
        f"{said}",
        first_line=first_line,
        shift_h=shift,
    )
