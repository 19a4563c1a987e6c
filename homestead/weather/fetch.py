"""Real hourly years of any place, fetched once, year by year, and kept as one file.

pvlib asks the services and reads their answers. Here stand which years, patience, gaps, and the
file: a year once fetched is kept at once, so that a broken connection costs no more than one.
"""

import contextlib
import datetime
import io
import json
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from homestead.plan.disk import make_private_folder, write_atomically
from homestead.units import checked
from homestead.weather.hourly import DEGREES_PER_HOUR, LIMITS, WeatherError

FIRST_LINE = "# homestead weather 1"
TIMEOUT_S = 60.0
WAITS_S = (5.0, 20.0, 60.0)  # between tries, unless the service says how long
LONGEST_WAIT_S = 600.0
MOST_MISSING_FRAC = 0.02  # of a year's hours; beyond it the year is left out
COLUMNS = ("ghi_w_m2", "dni_w_m2", "dhi_w_m2", "air_c", "wind_m_s", "humidity_frac", "rain_m")
SUN = COLUMNS[:3]


@dataclass(frozen=True)
class Service:
    """Where hourly years come from."""

    name: str
    url: str
    # `last_year` 0 is the last whole one
    first_year: int
    last_year: int
    license: str  # what its makers ask of those who use it, from memory


SERVICES = {
    "nasa": Service(
        "NASA POWER hourly",
        "https://power.larc.nasa.gov/api/temporal/hourly/point",
        2001,
        0,
        "Free and open data of the NASA Langley Research Center POWER Project, funded through the "
        "NASA Earth Science Directorate Applied Science Program.",
    ),
    "pvgis": Service(
        "PVGIS hourly",
        "https://re.jrc.ec.europa.eu/api/v5_3/",
        2005,
        2023,
        "European Union, Joint Research Centre, PVGIS; reuse is authorized if the source is named.",
    ),
}
KNOWN_GAPS = (
    "This is an average over many miles: it misses your own valley's cold and fog, knows little "
    "of snow on the panels, and smooths the darkest days and the hardest showers."
)


@dataclass(frozen=True)
class Fetched:
    """What was fetched."""

    path: Path  # the file, as `homestead.weather.read` reads it
    years: tuple[int, ...]
    left_out: dict  # year to the reason
    # coldest and hottest hour
    record_low_c: float
    record_high_c: float
    rain_m: np.ndarray | None  # shape (12,); mean rain of each month, where the service has it. [m]


def fetch(
    latitude_deg,
    longitude_deg,
    folder,
    service="nasa",
    first_year=None,
    last_year=None,
    place="Our place",
    utc_offset_h=None,
    progress=None,
    url=None,
    wait=time.sleep,
):
    """Fetch hourly years of a place and keep them as one file in a folder.

    latitude_deg, longitude_deg : North and east positive. [deg]
    folder (Path) : Where the file is kept, and the years that are already there.
    service ({"nasa", "pvgis"})
    first_year, last_year (int, optional) : All that the service has by default.
    place (str) : Name of the place, one line.
    utc_offset_h (int, optional) : Local standard time minus universal time; the nearest hour to the
        longitude by default.
    progress (callable, optional) : Called with (years done, years in all, words).
    url (str, optional) : Instead of the service's own address.
    wait (callable) : Waits so many seconds; a test passes its own.
    Gives Fetched.

    Raises WeatherError if the place is none, the service can't be reached, or its answer cannot be
        used. Years fetched until then stay and are not asked for again.
    """
    latitude = float(checked("latitude", latitude_deg, -90.0, 90.0, "deg"))
    longitude = float(checked("longitude", longitude_deg, -180.0, 180.0, "deg"))
    asked = SERVICES[service]
    first = first_year or asked.first_year
    last = last_year or asked.last_year or datetime.date.today().year - 1
    if not asked.first_year <= first <= last:
        raise WeatherError(
            f"the years must be from {asked.first_year} on and in order; got {first} to {last}"
        )
    if utc_offset_h is None:
        utc_offset_h = int(np.clip(np.floor(longitude / DEGREES_PER_HOUR + 0.5), -12, 12))
    folder = Path(folder)
    parts = folder / f".weather-{service}-{latitude:.3f}-{longitude:.3f}"
    make_private_folder(parts)
    years = list(range(first, last + 1))
    frames, about, left_out = [], {}, {}
    for done, year in enumerate(years):
        if progress:
            progress(done, len(years), f"year {year}")
        kept = parts / f"{year}.csv"
        found = _kept_year(kept)
        if found is None:
            frame, meta = _patiently(
                asked, service, latitude, longitude, year, url or asked.url, wait
            )
            found = (frame, meta)
            write_atomically(kept, _part_text(frame, meta))
        frame, meta = found
        about |= meta
        whole, reason = _without_gaps(frame)
        if whole is None:
            left_out[year] = reason
        else:
            frames.append(whole)
    if progress:
        progress(len(years), len(years), "writing")
    if not frames:
        reasons = "; ".join(f"{year}: {reason}" for year, reason in left_out.items())
        raise WeatherError(f"{asked.name} has no year without gaps for this place ({reasons})")
    local = _local(frames, utc_offset_h)
    target = folder / f"weather-{service}-{latitude:.3f}-{longitude:.3f}.csv"
    heading = {
        "place": " ".join(str(place).split()),
        "latitude": f"{latitude:.5f}",
        "longitude": f"{longitude:.5f}",
        "elevation_m": f"{float(about.get('elevation_m', 0.0)):.1f}",
        "utc_offset_h": str(utc_offset_h),
        "source": f"{asked.name}, fetched {datetime.date.today().isoformat()}",
        "license": asked.license,
        "left out": "; ".join(f"{year} ({reason})" for year, reason in left_out.items()) or "none",
    }
    write_atomically(target, _file_text(local, heading))
    for kept in parts.glob("*.csv"):
        kept.unlink(missing_ok=True)
    with contextlib.suppress(OSError):
        parts.rmdir()
    return Fetched(
        path=target,
        years=tuple(sorted({int(year) for year in local.index.year})),
        left_out=left_out,
        record_low_c=float(local["air_c"].min()),
        record_high_c=float(local["air_c"].max()),
        rain_m=_rain_by_month(local),
    )


def horizon(latitude_deg, longitude_deg, url=None, wait=time.sleep):
    """Heights of far hills at equal steps from north, clockwise, from PVGIS. [deg]."""
    from pvlib.iotools import pvgis

    def ask(address):
        heights, _ = pvgis.get_pvgis_horizon(latitude_deg, longitude_deg, url=address)
        return tuple(float(height) for height in heights.sort_index())

    return _tried(ask, pvgis, "PVGIS horizon", url or SERVICES["pvgis"].url, wait)


# --- asking -----------------------------------------------------------------------------------


class _Refused(Exception):
    """What a service answered instead of data."""

    def __init__(self, status, said, retry_after_s=None):
        super().__init__(said)
        self.status, self.said, self.retry_after_s = status, said, retry_after_s


class _Asking:
    """Stands where pvlib's readers say `requests`: they take no time limit and hide the status."""

    def __init__(self, requests):
        self.HTTPError = requests.HTTPError
        self._requests = requests

    def get(self, url, params=None, **how):
        how = {"timeout": TIMEOUT_S} | how
        answer = self._requests.get(url, params=params, **how)
        if not answer.ok:
            after = answer.headers.get("Retry-After", "")
            said = " ".join(answer.text.split())[:200]
            raise _Refused(answer.status_code, said, float(after) if after.isdigit() else None)
        answer.json()  # half an answer is told here
        return answer


@contextlib.contextmanager
def _asking_through(module):
    import requests

    before = module.requests
    module.requests = _Asking(requests)
    try:
        yield
    finally:
        module.requests = before


def _tried(ask, module, name, url, wait):
    """Ask until there is an answer; a few tries, with the waits that the service wishes."""
    import requests

    last = ""
    for wait_s in (*WAITS_S, None):
        try:
            with _asking_through(module):
                return ask(url)
        except _Refused as refused:
            last = f"it answered {refused.status}"
            if refused.status not in (408, 425, 429, 500, 502, 503, 504):
                raise WeatherError(
                    f"{name} has no answer for this place or these years: {refused.said}"
                ) from None
            if refused.retry_after_s is not None and wait_s is not None:
                wait_s = min(refused.retry_after_s, LONGEST_WAIT_S)
        except (requests.ConnectionError, requests.Timeout) as error:
            if isinstance(error, requests.ConnectionError) and not _is_cut(error):
                raise WeatherError(
                    f"{name} can't be reached: go online and try again; years fetched so far are "
                    "kept, and your plan keeps the weather it has"
                ) from None
            last = "the connection broke"
        except requests.RequestException:
            last = "the connection broke"
        except (json.JSONDecodeError, ValueError):
            last = "the answer was cut short"
        except (KeyError, TypeError, AttributeError) as error:
            raise WeatherError(
                f"{name} answers in another form than expected ({type(error).__name__}: "
                f"{str(error)[:80]}); nothing was changed"
            ) from None
        if wait_s is not None:
            wait(wait_s)
    raise WeatherError(
        f"{name} did not answer after {len(WAITS_S) + 1} tries ({last}): try again later; years "
        "fetched so far are kept"
    )


def _is_cut(error):
    """Whether a connection was there and broke, as opposed to none at all."""
    said = str(error)
    return "RemoteDisconnected" in said or "reset" in said or "IncompleteRead" in said


def _patiently(asked, service, latitude, longitude, year, url, wait):
    from pvlib.iotools import nasa_power, pvgis

    def from_nasa(address):
        wanted = ["ghi", "dni", "dhi", "temp_air", "wind_speed", "relative_humidity", "PRECTOTCORR"]
        frame, meta = nasa_power.get_nasa_power(
            latitude, longitude, f"{year}-01-01", f"{year}-12-31", wanted, url=address
        )
        found = _nasa_columns(frame)
        return found, {"elevation_m": float(meta["altitude"])}

    def from_pvgis(address):
        frame, meta = pvgis.get_pvgis_hourly(
            latitude, longitude, start=year, end=year, components=True, surface_tilt=0,
            usehorizon=False, url=address,
        )[:2]  # fmt: skip
        return _pvgis_columns(frame), {"elevation_m": _pvgis_elevation(meta)}

    ask, module = (from_nasa, nasa_power) if service == "nasa" else (from_pvgis, pvgis)
    return _tried(ask, module, asked.name, url, wait)


def _nasa_columns(frame):
    missing = [name for name in ("ghi", "temp_air", "wind_speed") if name not in frame]
    if missing:
        raise KeyError(", ".join(missing))
    found = pd.DataFrame(index=frame.index)
    for ours, theirs in zip(SUN, ("ghi", "dni", "dhi"), strict=True):
        found[ours] = frame[theirs]
    found["air_c"], found["wind_m_s"] = frame["temp_air"], frame["wind_speed"]
    if "relative_humidity" in frame:
        found["humidity_frac"] = frame["relative_humidity"] / 100.0
    if "PRECTOTCORR" in frame:
        found["rain_m"] = frame["PRECTOTCORR"] / 1000.0
    return found


def _pvgis_columns(frame):
    direct, diffuse = frame["poa_direct"].to_numpy(), frame["poa_sky_diffuse"].to_numpy()
    height = np.sin(np.radians(frame["solar_elevation"].to_numpy()))
    beam = np.divide(direct, height, out=np.zeros(len(frame)), where=height > 0.02)
    return pd.DataFrame(
        {
            "ghi_w_m2": direct + diffuse,
            "dni_w_m2": beam,
            "dhi_w_m2": diffuse,
            "air_c": frame["temp_air"].to_numpy(),
            "wind_m_s": frame["wind_speed"].to_numpy(),
        },
        index=frame.index.floor("h"),  # stamped some minutes into the hour
    )


def _pvgis_elevation(meta):
    inputs = meta.get("inputs", meta)
    return float(inputs.get("location", {}).get("elevation", 0.0))


# --- years ------------------------------------------------------------------------------------


def _without_gaps(frame):
    """A year with its few gaps filled, or None and the reason."""
    year = int(frame.index.year[len(frame) // 2])
    wanted = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h", tz="UTC")
    frame = frame[~frame.index.duplicated()].reindex(wanted)
    needed = frame[["ghi_w_m2", "air_c", "wind_m_s"]]
    missing = needed.isna().any(axis=1)
    if missing.mean() > MOST_MISSING_FRAC:
        return None, f"{int(missing.sum())} hours missing"
    for name in frame:
        column = frame[name]
        if name in SUN:
            # The same hour of the days around it knows the height of the sun.
            for days in (1, -1, 2, -2, 3, -3):
                column = column.fillna(column.shift(24 * days))
            frame[name] = column.fillna(0.0)
        elif name == "rain_m":
            frame[name] = column.fillna(0.0)
        else:
            frame[name] = column.interpolate(limit_direction="both")
    for name, column in frame.items():
        low, high = LIMITS[name]
        frame[name] = column.clip(max(low, 0.0) if name != "air_c" else low, high)
    return frame, ""


def _local(frames, utc_offset_h):
    """Years in local standard time; hours pushed over an end of the record fill the other."""
    whole = pd.concat(frames)
    values = np.roll(whole.to_numpy(), utc_offset_h, axis=0)
    index = whole.index.tz_localize(None)
    return pd.DataFrame(values, index=index, columns=whole.columns)


def _rain_by_month(local):
    if "rain_m" not in local:
        return None
    years_n = local.index.year.nunique()
    return local["rain_m"].groupby(local.index.month).sum().to_numpy() / years_n


# --- files ------------------------------------------------------------------------------------


def _part_text(frame, meta):
    return f"# {json.dumps(meta)}\n{frame.to_csv(float_format='%.5g', date_format='%Y-%m-%dT%H')}"


def _kept_year(path):
    """Frame and about of a year that is there already, or None."""
    try:
        first, _, rest = path.read_text(encoding="utf-8").partition("\n")
        meta = json.loads(first[2:])
        frame = pd.read_csv(io.StringIO(rest), index_col=0)
        frame.index = pd.to_datetime(frame.index, format="%Y-%m-%dT%H").tz_localize("UTC")
    except (OSError, ValueError):
        return None
    return frame.astype(float), meta


def _file_text(local, heading):
    lines = [FIRST_LINE, *(f"# {name}: {said}" for name, said in heading.items())]
    names = [name for name in COLUMNS if name in local]
    body = local[names].to_csv(
        float_format="%.5g", date_format="%Y-%m-%d %H:%M", index_label="time"
    )
    return "\n".join(lines) + "\n" + body
