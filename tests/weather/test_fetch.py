"""Fetching real years from a server on this machine that answers as the services do."""

import numpy as np
import pandas as pd
import pytest
from weather_server import ELEVATION_M, FILL, cut, half, refused, serving

from homestead.weather import WeatherError, many_years, read
from homestead.weather.fetch import fetch, horizon

HERE = (36.1, -79.95)


@pytest.fixture
def server():
    with serving() as state:
        yield state


@pytest.fixture
def waits():
    return []


@pytest.fixture
def get(server, tmp_path, waits):
    def get(*place, first=2001, last=2003, **more):
        place = place or HERE
        return fetch(
            *place, tmp_path, first_year=first, last_year=last, url=server.url, wait=waits.append,
            **more,
        )  # fmt: skip

    return get


def test_years_are_one_file_that_reads_as_weather(get, server, tmp_path):
    told = []
    found = get(place="Larkspur", progress=lambda *said: told.append(said))
    assert found.years == (2001, 2002, 2003) and found.left_out == {}
    assert server.years_asked() == [2001, 2002, 2003]  # one request a year, one after another
    assert told[0] == (0, 3, "year 2001") and told[-1] == (3, 3, "writing")
    assert [path.name for path in tmp_path.iterdir()] == ["weather-nasa-36.100--79.950.csv"]
    weather = read(found.path)
    assert weather.years_n == 3 and weather.year_labels == (2001, 2002, 2003)
    assert (weather.site.name, weather.site.utc_offset_h) == ("Larkspur", -5.0)
    assert weather.site.elevation_m == ELEVATION_M
    assert "NASA POWER" in weather.source and "Free and open data" in weather.source
    hourly = weather.hourly
    assert set(hourly) == {
        "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "air_c", "wind_m_s", "humidity_frac", "rain_m",
    }  # fmt: skip
    # Noon at 80 degrees west is about 17:20 of universal time, 12:20 of the local standard time.
    by_hour = hourly["ghi_w_m2"].groupby(hourly.index.hour).mean()
    assert by_hour.idxmax() == 12
    # 2.4 mm each day at five in the morning of universal time: midnight here.
    assert hourly["rain_m"].groupby(hourly.index.hour).sum().idxmax() == 0
    assert found.rain_m == pytest.approx(np.array([31, 28, 31, 30] * 3)[:4].tolist() * 3, abs=99)
    assert found.rain_m[0] == pytest.approx(31 * 0.0024, rel=1e-6)
    assert found.record_low_c == hourly["air_c"].min()
    assert hourly["humidity_frac"].eq(0.71).all()


def test_twelve_years_are_used_as_they_are(get):
    found = get(first=2001, last=2012)
    years = many_years(read(found.path), 30)
    assert len(years) == 12 and not any(year.synthetic for year in years)
    # 2004 and 2008 are leap years: the 29th of February is left out.
    assert all(len(year.hourly) == 8760 for year in years)


def test_a_broken_fetch_goes_on_where_it_stopped(get, server, tmp_path):
    server.faults = [None, *[refused(500)] * 4]
    with pytest.raises(WeatherError, match="did not answer after 4 tries .it answered 500.*kept"):
        get()
    server.asked.clear()
    assert get().years == (2001, 2002, 2003)
    assert server.years_asked() == [2002, 2003]
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("fault", [refused(500), refused(503), cut, half])
def test_a_passing_fault_is_tried_again(fault, get, server, waits):
    server.faults = [fault]
    assert get(last=2001).years == (2001,)
    assert waits == [5.0]


def test_waits_as_long_as_it_is_told_to(get, server, waits):
    server.faults = [refused(429, Retry_After="37"), refused(429, Retry_After="99999")]
    assert get(last=2001).years == (2001,)
    assert waits == [37.0, 600.0]


def test_a_refusal_is_one_sentence(get, server, waits):
    server.faults = [refused(422, b'{"messages": ["Location over the sea"]}')]
    with pytest.raises(WeatherError, match="has no answer for this place .*over the sea"):
        get()
    assert waits == []


def test_no_network_is_one_sentence(tmp_path, waits):
    with pytest.raises(WeatherError, match="can't be reached: go online and try again") as told:
        fetch(
            *HERE,
            tmp_path,
            first_year=2001,
            last_year=2001,
            url="http://127.0.0.1:9/",  # nobody listens there
            wait=waits.append,
        )
    assert "\n" not in str(told.value) and waits == []


def test_few_fill_values_are_filled_and_many_leave_the_year_out(get, server):
    def spoil(answer, year):
        for name, column in answer["properties"]["parameter"].items():
            hours = list(column)
            many = hours[1000:1400] if year == 2002 else hours[1000:1010]
            if name != "RH2M":
                column.update(dict.fromkeys(many, FILL))

    server.spoil = spoil
    found = get()
    assert found.years == (2001, 2003)
    assert found.left_out == {2002: "400 hours missing"}
    weather = read(found.path)
    assert weather.year_labels == (2001, 2003) and "2002 (400 hours missing)" in weather.source
    assert weather.hourly["air_c"].min() > -30
    # Hour 1010 of universal time is five hours earlier here; the gap has sun like the days around.
    assert weather.hourly["ghi_w_m2"].iloc[990:1010].max() > 100


def test_a_year_of_fill_values_is_no_year(get, server):
    def spoil(answer, year):
        for column in answer["properties"]["parameter"].values():
            column.update(dict.fromkeys(column, FILL))

    server.spoil = spoil
    with pytest.raises(WeatherError, match="has no year without gaps .*2001: 8760 hours missing"):
        get()


def test_a_service_that_changed_its_columns_is_named(get, server):
    def spoil(answer, year):
        answer["properties"]["parameter"].pop("ALLSKY_SFC_SW_DNI")

    server.spoil = spoil
    with pytest.raises(WeatherError, match="answers in another form than expected .*dni"):
        get()
    server.spoil = lambda answer, year: answer.pop("properties")
    with pytest.raises(WeatherError, match="answers in another form .*nothing was changed"):
        get()


@pytest.mark.parametrize(
    ("place", "offset_h"),
    [((78.2, 15.6), 1), ((-17.7, 179.9), 12), ((-17.7, -179.9), -12), ((0.0, -30.0), -2)],
)
def test_polar_night_date_line_and_sea(place, offset_h, get):
    weather = read(get(*place).path)
    assert weather.site.utc_offset_h == offset_h
    assert np.isfinite(weather.hourly.to_numpy()).all()
    if place[0] > 70:
        assert weather.hourly["ghi_w_m2"].iloc[: 24 * 20].max() == 0.0
    for year in many_years(weather, 12):
        assert np.isfinite(year.hourly.to_numpy()).all()


def test_pvgis_gives_sun_air_and_wind(get, server):
    found = get(first=2005, last=2006, service="pvgis")
    weather = read(found.path)
    assert weather.years_n == 2 and found.rain_m is None
    assert "rain_m" not in weather.hourly and "humidity_frac" not in weather.hourly
    assert "PVGIS" in weather.source and weather.site.elevation_m == ELEVATION_M
    # Beam by hand: level less diffuse over the sine of 30 degrees.
    sunny = weather.hourly[weather.hourly["ghi_w_m2"] > 50]
    beam = (sunny["ghi_w_m2"] - sunny["dhi_w_m2"]) / 0.5
    assert np.abs(sunny["dni_w_m2"] - beam).max() < 0.1


def test_horizon_goes_clockwise_from_north(server, waits):
    heights = horizon(*HERE, url=server.url, wait=waits.append)
    # 48 steps of 7.5 degrees; the made-up hills are step modulo 9, from the north on.
    assert heights == tuple(float(step % 9) for step in range(48))


@pytest.mark.parametrize(
    ("place", "words"), [((91.0, 0.0), "latitude must be"), ((0.0, 181.0), "longitude must be")]
)
def test_no_such_place(place, words, get):
    with pytest.raises(ValueError, match=words):
        get(*place)


def test_years_that_the_service_does_not_have(get):
    with pytest.raises(WeatherError, match="must be from 2001 on and in order; got 1990 to 1991"):
        get(first=1990, last=1991)


def test_parts_that_were_damaged_are_asked_for_again(get, server, tmp_path):
    server.faults = [None, None, refused(404)]
    with pytest.raises(WeatherError):
        get()
    (parts,) = tmp_path.iterdir()
    (parts / "2001.csv").write_text("# {broken", encoding="utf-8")
    server.asked.clear()
    assert get().years == (2001, 2002, 2003)
    assert server.years_asked() == [2001, 2003]


def test_the_file_reads_back_what_was_fetched(get):
    found = get(last=2001)
    text = found.path.read_text(encoding="utf-8")
    assert text.startswith("# homestead weather 1\n# place: Our place\n")
    broken = found.path.with_name("broken.csv")
    broken.write_text("\n".join(text.split("\n")[:3000]), encoding="utf-8")
    with pytest.raises(WeatherError, match="whole years are needed"):
        read(broken)
    frame = pd.read_csv(found.path, comment="#")
    assert len(frame) == 8760
