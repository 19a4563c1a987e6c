"""Weather that cannot be is refused, weather that seldom is is doubted, sound weather passes.

Each corruption is one that a spreadsheet or a wrong setting makes. The Greensboro year, the file
that pvlib installs, is what is spoiled.
"""

import re

import numpy as np
import pytest
from test_weather_files import COLUMNS, rows_of, write_epw, write_tmy3
from typer.testing import CliRunner

from homestead.cli import app
from homestead.plan import demo_path
from homestead.weather import WeatherError, read
from homestead.weather.plausible import doubts

SUN = ["ghi_w_m2", "dni_w_m2", "dhi_w_m2"]


@pytest.fixture(scope="module")
def truth():
    return read("greensboro-nc").hourly[COLUMNS]


def _spoiled(truth, columns, change):
    table = truth.copy()
    table[columns] = change(table[columns].to_numpy())
    return table


def _moved(values):
    return np.roll(values, 12, axis=0)


IMPOSSIBLE = {
    "direct moved by 12 h": (["dni_w_m2"], _moved, "below the horizon"),
    "diffuse moved by 12 h": (["dhi_w_m2"], _moved, "below the horizon"),
    "all sun moved by 12 h": (SUN, _moved, "middle of the day|below the horizon"),
    "global without its parts": (SUN[1:], lambda values: values * 0.0, "empty or in kW"),
    "all zero": (SUN, lambda values: values * 0.0, "empty or in kW"),
    "kW for W": (SUN, lambda values: values / 1000.0, "empty or in kW"),
}


@pytest.mark.parametrize("name", IMPOSSIBLE)
@pytest.mark.parametrize("write", [write_epw, write_tmy3])
def test_sun_that_cannot_be_is_refused(name, write, truth, tmp_path):
    columns, change, said = IMPOSSIBLE[name]
    path = write(rows_of(_spoiled(truth, columns, change), 2001), tmp_path / "spoiled.csv")
    with pytest.raises(WeatherError, match=said) as refused:
        read(path)
    assert str(refused.value).startswith("spoiled.csv: ")


def test_southern_latitude_on_northern_data_is_refused(truth, tmp_path):
    path = write_epw(rows_of(truth, 2001), tmp_path / "south.epw")
    path.write_text(path.read_text().replace(",36.10,", ",-36.10,", 1))
    with pytest.raises(WeatherError, match="latitude"):
        read(path)


def test_sun_times_1_4_is_doubted(truth, tmp_path):
    path = write_epw(
        rows_of(_spoiled(truth, SUN, lambda values: np.minimum(values * 1.4, 1499.0)), 2001),
        tmp_path / "bright.epw",
    )
    assert "clear sky" in " ".join(doubt.text for doubt in doubts(read(path)))


def test_doubts_stand_beside_the_days(truth, tmp_path):
    bright = _spoiled(truth, SUN, lambda values: np.minimum(values * 1.4, 1499.0))
    write_epw(rows_of(bright, 2001), tmp_path / "bright.epw")
    plan = re.sub(r"(?m)^weather = .*$", 'weather = "bright.epw"', demo_path().read_text())
    (tmp_path / "plan.toml").write_text(plan)
    said = CliRunner().invoke(app, ["days", str(tmp_path / "plan.toml"), "--years", "1"]).output
    assert "Check your weather file before you rely on these days" in " ".join(said.split())
    assert "clear sky's sun" in " ".join(said.split())


@pytest.mark.parametrize("name", ["greensboro-nc", "sand-point-ak"])
def test_measured_years_pass_without_doubt(name):
    assert doubts(read(name)) == []


def test_air_beyond_the_records_of_the_place_is_doubted():
    weather = read("greensboro-nc")
    coldest, warmest = weather.hourly["air_c"].min(), weather.hourly["air_c"].max()
    assert doubts(weather, coldest, warmest) == []
    said = [doubt.text for doubt in doubts(weather, coldest + 3.0, warmest - 3.0)]
    assert len(said) == 2 and "record low" in said[0] and "record high" in said[1]


# Greensboro's year carried to a place whose noon fits the half-hour clock as its own noon fits -5.
@pytest.mark.parametrize("write", [write_epw, write_tmy3])
@pytest.mark.parametrize(("offset_h", "longitude"), [(5.5, 77.55), (-3.5, -57.45)])
def test_half_hour_zones_are_read(offset_h, longitude, write, truth, tmp_path):
    path = write(rows_of(truth, 2001), tmp_path / "half.csv")
    head, rest = path.read_text().split("\n", 1)
    head = head.replace("-79.950", str(longitude)).replace("-79.95", str(longitude))
    path.write_text(f"{head.replace('-5.0', str(offset_h))}\n{rest}")
    weather = read(path)
    assert weather.site.utc_offset_h == offset_h
    assert weather.hourly.index[0].utcoffset().total_seconds() == offset_h * 3600
    assert weather.hourly["ghi_w_m2"].to_numpy() == pytest.approx(truth["ghi_w_m2"].to_numpy())
    assert doubts(weather) == []
