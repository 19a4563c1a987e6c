"""Every file format, written in its own layout from the Greensboro year, read back."""

import json

import numpy as np
import pandas as pd
import pytest

from homestead.weather import WeatherError, read

COLUMNS = ["ghi_w_m2", "dni_w_m2", "dhi_w_m2", "air_c", "wind_m_s", "humidity_frac"]


@pytest.fixture(scope="module")
def truth():
    return read("greensboro-nc").hourly[COLUMNS]


def rows_of(truth, year):
    """Year's stamps (29 February repeats the day before) with the truth's rows, one per hour."""
    stamps = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h")
    day = stamps.day_of_year.to_numpy() - 1
    if stamps.is_leap_year[0]:
        day = np.where(day > 58, day - 1, day)
    values = truth.to_numpy()[day * 24 + stamps.hour.to_numpy()]
    return list(zip(stamps, values, strict=True))


def write_tmy3(rows, path):
    lines = [
        '999999,"TEST PLACE",NC,-5.0,36.100,-79.950,273',
        "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),"
        "Wspd (m/s),RHum (%),Lprecip depth (mm)",
    ]
    for stamp, (ghi, dni, dhi, air, wind, humidity) in rows:
        lines.append(
            f"{stamp:%m/%d/%Y},{stamp.hour + 1:02d}:00,{ghi:g},{dni:g},{dhi:g},{air:g},{wind:g},"
            f"{humidity * 100:g},-9900"
        )
    path.write_text("\n".join(lines) + "\n")
    return path


def write_epw(rows, path, per_hour=1):
    lines = [
        "LOCATION,Test Place,NC,USA,TMY3,723170,36.10,-79.95,-5.0,273.0",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,test",
        "COMMENTS 2,test",
        f"DATA PERIODS,1,{per_hour},Data,Sunday,1/1,12/31",
    ]
    for stamp, (ghi, dni, dhi, air, wind, humidity) in rows:
        lines.append(
            f"{stamp.year},{stamp.month},{stamp.day},{stamp.hour + 1},60,?9,{air:g},0,"
            f"{humidity * 100:g},99300,0,0,300,{ghi:g},{dni:g},{dhi:g},0,0,0,0,200,{wind:g},"
            "5,5,16,77777,9,999999999,15,0.1,0,88,0.2,999,99"
        )
    path.write_text("\n".join(lines) + "\n")
    return path


def write_nsrdb(rows, path, zone=-5, minute=30, newline="\n", humidity_too=True):
    head = "Year,Month,Day,Hour,Minute,GHI,DNI,DHI,Temperature,Wind Speed"
    lines = [
        "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,"
        "Local Time Zone",
        f"NSRDB,123456,-,-,-,36.1,-79.95,{zone},273,-5",
        head + (",Relative Humidity" if humidity_too else ""),
    ]
    for stamp, (ghi, dni, dhi, air, wind, humidity) in rows:
        lines.append(
            f"{stamp.year},{stamp.month},{stamp.day},{stamp.hour},{stamp.minute or minute},"
            f"{ghi:g},{dni:g},{dhi:g},{air:g},{wind:g}"
            + (f",{humidity * 100:g}" if humidity_too else "")
        )
    path.write_bytes((newline.join(lines) + newline).encode())
    return path


def to_utc(rows, offset_h=-5):
    """Same hours on a clock of universal time, rolled within the record."""
    stamps = [stamp for stamp, _ in rows]
    values = np.roll(np.array([value for _, value in rows]), -offset_h, axis=0)
    return list(zip(stamps, values, strict=True))


def write_pvgis_tmy_csv(rows, path):
    lines = ["Latitude (decimal degrees): 36.100", "Longitude (decimal degrees): -79.950"]
    lines += ["Elevation (m): 273.0", "Irradiance Time Offset (h): 0.1761", "month,year"]
    lines += [f"{month},2010" for month in range(1, 13)]
    lines.append("time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP")
    for stamp, (ghi, dni, dhi, air, wind, humidity) in rows:
        lines.append(
            f"{stamp:%Y%m%d:%H%M},{air:g},{humidity * 100:g},{ghi:g},{dni:g},{dhi:g},300,{wind:g},"
            "200,99300"
        )
    path.write_text("\r\n".join([*lines, "", "T2m: 2-m air temperature (degree Celsius)", ""]))
    return path


def write_pvgis_tmy_json(rows, path):
    hourly = [
        {
            "time(UTC)": f"{stamp:%Y%m%d:%H%M}",
            "T2m": air,
            "RH": humidity * 100,
            "G(h)": ghi,
            "Gb(n)": dni,
            "Gd(h)": dhi,
            "IR(h)": 300.0,
            "WS10m": wind,
            "WD10m": 200.0,
            "SP": 99300.0,
        }
        for stamp, (ghi, dni, dhi, air, wind, humidity) in rows
    ]
    place = {"latitude": 36.1, "longitude": -79.95, "elevation": 273.0}
    whole = {
        "inputs": {"location": place},
        "outputs": {"months_selected": [], "tmy_hourly": hourly},
        "meta": {"inputs": {}},
    }
    path.write_text(json.dumps(whole))
    return path


def sun_heights(rows):
    from pvlib import solarposition

    stamps = pd.DatetimeIndex([stamp for stamp, _ in rows]).tz_localize("UTC")
    where = solarposition.get_solarposition(stamps + pd.Timedelta(minutes=10), 36.1, -79.95)
    return where["elevation"].to_numpy().clip(0.0)


def pvgis_hourly_records(rows):
    for (stamp, (_, dni, dhi, air, wind, _)), height in zip(rows, sun_heights(rows), strict=True):
        beam = dni * np.sin(np.radians(height))
        yield stamp + pd.Timedelta(minutes=10), beam, dhi, height, air, wind


def write_pvgis_hourly_csv(rows, path, slope=0):
    lines = ["Latitude (decimal degrees):\t36.100", "Longitude (decimal degrees):\t-79.950"]
    lines += ["Elevation (m):\t273.0", "Radiation database:\tTEST", "", ""]
    lines += [f"Slope: {slope} deg.", "Azimuth: 0 deg. ", ""]
    lines.append("time,Gb(i),Gd(i),Gr(i),H_sun,T2m,WS10m,Int")
    for stamp, beam, dhi, height, air, wind in pvgis_hourly_records(rows):
        lines.append(
            f"{stamp:%Y%m%d:%H%M},{beam:.4f},{dhi:g},0.0,{height:.4f},{air:g},{wind:g},0.0"
        )
    path.write_text("\r\n".join([*lines, "", "Gb(i): Beam irradiance (W/m2)", ""]))
    return path


def write_pvgis_hourly_json(rows, path, slope=0):
    hourly = [
        {
            "time": f"{stamp:%Y%m%d:%H%M}",
            "Gb(i)": beam,
            "Gd(i)": dhi,
            "Gr(i)": 0.0,
            "H_sun": height,
            "T2m": air,
            "WS10m": wind,
            "Int": 0.0,
        }
        for stamp, beam, dhi, height, air, wind in pvgis_hourly_records(rows)
    ]
    inputs = {
        "location": {"latitude": 36.1, "longitude": -79.95, "elevation": 273.0},
        "mounting_system": {"fixed": {"slope": {"value": slope}}},
    }
    path.write_text(
        json.dumps({"inputs": inputs, "outputs": {"hourly": hourly}, "meta": {"inputs": {}}})
    )
    return path


def same(weather, truth, years_n=1):
    got = weather.hourly[COLUMNS].to_numpy()
    return got == pytest.approx(np.tile(truth.to_numpy(), (years_n, 1)), abs=1e-6)


def expect_shape(weather, years_n=1):
    assert weather.years_n == years_n
    assert len(weather.hourly) == 8760 * years_n
    assert weather.site.utc_offset_h == -5.0
    assert str(weather.hourly.index[0])[4:] == "-01-01 00:00:00-05:00"
    assert not weather.synthetic


def test_tmy3_by_content_under_another_ending(truth, tmp_path):
    path = write_tmy3(rows_of(truth, 2001), tmp_path / "weather.txt")
    weather = read(path)
    expect_shape(weather)
    assert same(weather, truth)
    assert weather.site.name == "Test Place, NC" and weather.site.elevation_m == 273.0
    assert "rain_m" not in weather.hourly


def test_tmy3_with_months_of_leap_years_keeps_28_february(truth, tmp_path):
    # Each month from another year, February from a leap year: its hour 24 on the 28th must stay.
    years = dict(zip(range(1, 13), (1988, 1984, *range(1990, 2000)), strict=True))
    rows = [(s.replace(year=years[s.month]), v) for s, v in rows_of(truth, 2001)]
    weather = read(write_tmy3(rows, tmp_path / "a.csv"))
    assert same(weather, truth)
    assert weather.year_labels == (2001,)
    assert "typical year" in weather.source and "1984 to 1999" in weather.source


def test_tmy2_installed_beside():
    import pvlib

    folder = pvlib.__path__[0]
    weather = read(f"{folder}/data/12839.tm2")
    expect_shape(weather)
    assert weather.site.name == "Miami, FL"
    # Line 10 of the printed file: 1 January, hour ending 9, global 49, diffuse 64, 18.3 deg C,
    # humidity 93 %, wind 3.6 m/s; line 15: hour ending 14, global 173, beam 55.
    ninth = weather.hourly.iloc[8]
    assert ninth[["ghi_w_m2", "dhi_w_m2", "air_c", "humidity_frac", "wind_m_s"]].tolist() == (
        pytest.approx([49.0, 64.0, 18.3, 0.93, 3.6])
    )
    assert weather.hourly["dni_w_m2"].iloc[13] == 55.0


def test_epw(truth, tmp_path):
    weather = read(write_epw(rows_of(truth, 2001), tmp_path / "a.dat"))
    expect_shape(weather)
    assert same(weather, truth)
    assert "Test Place" in weather.site.name


def test_nsrdb_half_hour_stamps_and_windows_lines(truth, tmp_path):
    weather = read(write_nsrdb(rows_of(truth, 2019), tmp_path / "a.csv", newline="\r\n"))
    expect_shape(weather)
    assert same(weather, truth)
    assert weather.year_labels == (2019,)


def test_nsrdb_in_universal_time_is_shifted(truth, tmp_path):
    weather = read(write_nsrdb(to_utc(rows_of(truth, 2019)), tmp_path / "a.csv", zone=0))
    expect_shape(weather)
    assert same(weather, truth)
    assert "moved -5 h" in weather.source


def test_several_years_with_a_leap_year(truth, tmp_path):
    rows = rows_of(truth, 2019) + rows_of(truth, 2020) + rows_of(truth, 2021)
    assert len(rows) == 2 * 8760 + 8784
    weather = read(write_nsrdb(rows, tmp_path / "a.csv"))
    expect_shape(weather, 3)
    assert same(weather, truth, 3)
    assert weather.year_labels == (2019, 2020, 2021)
    assert "February 29 left out" in weather.source
    # A file that leaves the leap day out by itself reads the same.
    short = [row for row in rows if (row[0].month, row[0].day) != (2, 29)]
    again = read(write_nsrdb(short, tmp_path / "b.csv"))
    pd.testing.assert_frame_equal(again.hourly, weather.hourly)


def test_humidity_is_optional_and_said(truth, tmp_path):
    weather = read(write_nsrdb(rows_of(truth, 2019), tmp_path / "a.csv", humidity_too=False))
    assert "humidity_frac" not in weather.hourly
    assert "no relative humidity" in weather.source


@pytest.mark.parametrize("write", [write_pvgis_tmy_csv, write_pvgis_tmy_json])
def test_pvgis_typical_year(truth, tmp_path, write):
    weather = read(write(to_utc(rows_of(truth, 2010)), tmp_path / "a"))
    expect_shape(weather)
    assert same(weather, truth)
    assert "UTC-5 from the longitude" in weather.source


def test_pvgis_offset_can_be_given(truth, tmp_path):
    path = write_pvgis_tmy_csv(to_utc(rows_of(truth, 2010), -6), tmp_path / "a.csv")
    weather = read(path, utc_offset_h=-6)
    assert same(weather, truth)
    assert weather.site.utc_offset_h == -6.0 and "as given" in weather.source
    with pytest.raises(WeatherError, match="whole number of hours"):
        read(path, utc_offset_h=-5.5)


@pytest.mark.parametrize("write", [write_pvgis_hourly_csv, write_pvgis_hourly_json])
def test_pvgis_hourly_years(truth, tmp_path, write):
    rows = to_utc(rows_of(truth, 2015) + rows_of(truth, 2016))
    weather = read(write(rows, tmp_path / "a.csv"))
    expect_shape(weather, 2)
    assert weather.year_labels == (2015, 2016)
    assert "humidity_frac" not in weather.hourly
    both = pd.concat([truth, truth])
    for name in ("dhi_w_m2", "air_c", "wind_m_s"):
        assert weather.hourly[name].to_numpy() == pytest.approx(both[name].to_numpy(), abs=1e-3)
    # Where the sun stands clear of the horizon the beam comes back as it was written.
    beam = weather.hourly["dni_w_m2"].to_numpy()
    noon = weather.hourly.index.hour.isin(range(9, 15))
    assert beam[noon] == pytest.approx(both["dni_w_m2"].to_numpy()[noon], abs=0.1)


def test_pvgis_hourly_on_a_tilted_plane_is_refused(truth, tmp_path):
    rows = rows_of(truth, 2015)
    for write in (write_pvgis_hourly_csv, write_pvgis_hourly_json):
        with pytest.raises(WeatherError, match="tilted 35 deg; ask PVGIS for slope 0"):
            read(write(rows, tmp_path / "a.csv", slope=35))


# What is wrong with a file ---------------------------------------------------------------------


def test_a_gap_names_the_hours(truth, tmp_path):
    rows = rows_of(truth, 2019)
    del rows[100:107]
    with pytest.raises(WeatherError, match=r"a\.csv: .*7 hours are missing .*2019-01-05 04:00"):
        read(write_nsrdb(rows, tmp_path / "a.csv"))
    with pytest.raises(WeatherError, match=r"7 hours are missing .*2019-01-05 04:00"):
        read(write_tmy3(rows, tmp_path / "a.csv"))
    with pytest.raises(WeatherError, match=r"7 hours are missing"):
        read(write_epw(rows, tmp_path / "a.csv"))


def test_a_cut_file_names_the_hours(truth, tmp_path):
    with pytest.raises(WeatherError, match="whole years are needed, but 760 hours are missing"):
        read(write_nsrdb(rows_of(truth, 2019)[:8000], tmp_path / "a.csv"))
    with pytest.raises(WeatherError, match=r"a\.csv: looks like a PVGIS typical-year csv file"):
        read(write_pvgis_tmy_csv(rows_of(truth, 2019)[:8000], tmp_path / "a.csv"))


def test_repeated_and_backward_rows(truth, tmp_path):
    rows = rows_of(truth, 2019)
    twice = rows[:51] + rows[50:]
    with pytest.raises(WeatherError, match=r"written twice \(1 row: line 55, 2019-01-03 02:30\)"):
        read(write_nsrdb(twice, tmp_path / "a.csv"))
    swapped = rows[:50] + [rows[51], rows[50]] + rows[52:]
    with pytest.raises(WeatherError, match=r"go back in time \(1 row: line 55"):
        read(write_nsrdb(swapped, tmp_path / "a.csv"))


@pytest.mark.parametrize(
    ("column", "value", "message"),
    [
        (0, 1600.0, "ghi_w_m2 must be from -5 to 1500; got 1600"),
        (0, -6.0, "ghi_w_m2 must be from -5 to 1500; got -6"),
        (1, 9999.0, "dni_w_m2 must be from -5 to 1500; got 9999"),
        (2, -9900.0, "dhi_w_m2 must be from -5 to 1500; got -9900"),
        (3, 99.9, "air_c must be from -70 to 60; got 99.9"),
        (4, -1.0, "wind_m_s must be from 0 to 100; got -1"),
        (5, 1.2, "humidity_frac must be from 0 to 1.05; got 1.2"),
        (3, float("nan"), "air_c is missing or not a number"),
    ],
)
def test_impossible_values_name_their_line(truth, tmp_path, column, value, message):
    rows = rows_of(truth, 2019)
    wrong = rows[10][1].copy()
    wrong[column] = value
    rows[10] = (rows[10][0], wrong)
    for write, line in ((write_nsrdb, 14), (write_tmy3, 13), (write_epw, 19)):
        with pytest.raises(WeatherError) as caught:
            read(write(rows, tmp_path / "odd.csv"))
        assert str(caught.value).startswith(f"odd.csv: {message}")
        assert f"line {line}, 2019-01-01 10:" in str(caught.value)


def test_many_bad_rows_are_counted_and_five_shown(truth, tmp_path):
    rows = [(s, np.where([0, 0, 0, 1, 0, 0], 99.9, v)) for s, v in rows_of(truth, 2019)]
    with pytest.raises(WeatherError) as caught:
        read(write_epw(rows, tmp_path / "a.csv"))
    assert "8760 rows" in str(caught.value) and str(caught.value).count("line ") == 5


def test_text_in_a_number_column(truth, tmp_path):
    path = write_tmy3(rows_of(truth, 2001), tmp_path / "a.csv")
    lines = path.read_text().split("\n")
    lines[20] = lines[20].replace(",-9900", "").rsplit(",", 2)[0] + ",calm,80,0"
    path.write_text("\n".join(lines))
    with pytest.raises(WeatherError, match=r"wind_m_s is missing or not a number \(1 row: line 21"):
        read(path)


def test_small_excursions_are_settled_and_said(truth, tmp_path):
    rows = rows_of(truth, 2019)
    rows[0] = (rows[0][0], np.array([-2.0, 0.0, -1.0, 5.0, 1.0, 1.03]))
    weather = read(write_nsrdb(rows, tmp_path / "a.csv"))
    first = weather.hourly.iloc[0]
    assert first["ghi_w_m2"] == 0.0 and first["humidity_frac"] == 1.0
    assert "1 slightly negative values of ghi_w_m2 taken as zero" in weather.source
    assert "just above 1 taken as 1" in weather.source


def test_rows_closer_than_an_hour_are_refused(truth, tmp_path):
    half = pd.Timedelta(minutes=30)
    rows = [row for s, v in rows_of(truth, 2019) for row in ((s, v), (s + half, v))]
    with pytest.raises(WeatherError, match="30 minutes apart; hourly rows are needed"):
        read(write_nsrdb(rows, tmp_path / "a.csv", minute=0))
    with pytest.raises(WeatherError, match="has 4 rows an hour"):
        read(write_epw(rows_of(truth, 2019), tmp_path / "a.epw", per_hour=4))


def test_rows_three_hours_apart_are_refused(truth, tmp_path):
    with pytest.raises(WeatherError, match="3 hours apart"):
        read(write_nsrdb(rows_of(truth, 2019)[::3], tmp_path / "a.csv"))


def test_missing_column_is_named(truth, tmp_path):
    path = write_nsrdb(rows_of(truth, 2019), tmp_path / "a.csv")
    path.write_text(path.read_text().replace("DNI,", "Other,"))
    with pytest.raises(WeatherError, match=r"a\.csv: the file has no column for dni_w_m2"):
        read(path)


def test_not_a_weather_file(tmp_path):
    cases = {
        "empty.csv": (b"", "the file is empty"),
        "zip.csv": (b"PK\x03\x04\0\0\0", "is not a text file"),
        "notes.csv": (b"hello\nthere\n", "is none of the weather files"),
        "other.json": (b'{"outputs": {}}', "without PVGIS hourly data"),
        "broken.json": (b'{"outputs": ', "cannot be read as one"),
        "head.csv": (b"1,A,B,x,y,z,w\nDate (MM/DD/YYYY),Time (HH:MM)\n", "cannot be read as one"),
        "list.json": (b'{"outputs": []}', "without PVGIS hourly data"),
        "head.epw": (b"LOCATION,A\n", "cannot be read as one"),
        "place.epw": (b"LOCATION,A,B,C,D,1,95,0,0,0\n" + b"X\n" * 9, "cannot be read as one|lat"),
    }
    for name, (content, message) in cases.items():
        (tmp_path / name).write_bytes(content)
        with pytest.raises(WeatherError, match=message) as caught:
            read(tmp_path / name)
        assert str(caught.value).startswith(name) and "\n" not in str(caught.value)
        assert caught.value.__cause__ is None


def test_impossible_place_names_the_file(truth, tmp_path):
    path = write_epw(rows_of(truth, 2001), tmp_path / "a.epw")
    path.write_text(path.read_text().replace(",36.10,", ",136.10,", 1))
    with pytest.raises(WeatherError, match=r"a\.epw: latitude_deg must be from -90 to 90; got 136"):
        read(path)


def test_a_clock_that_does_not_fit_the_longitude(truth, tmp_path):
    # Universal time written under a heading that says local: everything would be five hours off.
    path = write_nsrdb(to_utc(rows_of(truth, 2019)), tmp_path / "a.csv", zone=-5)
    with pytest.raises(WeatherError, match=r"the sun is highest at 17\.\d h .* is at 12\.3 h"):
        read(path)
    path = write_epw(rows_of(truth, 2001), tmp_path / "a.epw")
    path.write_text(path.read_text().replace(",-79.95,", ",79.95,", 1))
    with pytest.raises(WeatherError, match="the longitude or the stamps are wrong"):
        read(path)


def test_a_mistyped_or_missing_date(truth, tmp_path):
    rows = rows_of(truth, 2019) + rows_of(truth, 2020)
    rows[-1] = (rows[-1][0].replace(year=9020), rows[-1][1])
    with pytest.raises(
        WeatherError, match=r"not within the years 1850 to 2150 \(1 row: line 17547"
    ):
        read(write_nsrdb(rows, tmp_path / "a.csv"))
    path = write_pvgis_tmy_csv(to_utc(rows_of(truth, 2010)), tmp_path / "b.csv")
    path.write_text(path.read_text().replace("20100101:0300", "", 1))
    with pytest.raises(
        WeatherError, match=r"b\.csv: the date is missing .*\(1 row: line 22, no date"
    ):
        read(path)


def test_no_such_file_or_folder_or_name(tmp_path):
    with pytest.raises(WeatherError, match="no such weather file; names that need no file: greens"):
        read(tmp_path / "nowhere.csv")
    with pytest.raises(WeatherError, match="is a folder"):
        read(tmp_path)
    for odd in ("", None, 3):
        with pytest.raises(WeatherError, match="must be a file or one of greensboro-nc"):
            read(odd)
    with pytest.raises(WeatherError, match="name is not valid"):
        read("a\0b")
    with pytest.raises(WeatherError, match="no such weather file"):
        read("https://example.org/a.epw")
    with pytest.raises(WeatherError, match="cannot be opened"):
        read("x" * 5000)


def test_too_large_a_file_is_not_opened(tmp_path):
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.truncate(200_000_001)  # sparse: takes no room on the disk
    with pytest.raises(WeatherError, match="larger than 200 MB"):
        read(path)
