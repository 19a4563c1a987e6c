"""Drawn years, real years, and rain laid on cloudy days."""

import time
from dataclasses import FrozenInstanceError

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from homestead.weather import Site, Weather, WeatherError, many_years, rain_on_cloudy_days, read
from homestead.weather.hourly import stamps
from homestead.weather.sky import extraterrestrial_mj_m2_day

DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
MONTHLY_M = np.array([0.08, 0.07, 0.1, 0.09, 0.1, 0.0, 0.11, 0.1, 0.1, 0.08, 0.08, 0.085])


@pytest.fixture(scope="module")
def greensboro():
    return read("greensboro-nc")


def several(greensboro, labels):
    parts = []
    for number, label in enumerate(labels):
        part = greensboro.hourly + 0.001 * number
        part.index = stamps(label, -5.0)
        parts.append(part)
    return Weather(pd.concat(parts), greensboro.site, "made for a test")


def test_drawn_years_keep_whole_days_of_the_season(greensboro):
    base = greensboro.hourly.to_numpy().reshape(365, 24, -1)
    for year in many_years(greensboro, 5, seed=3):
        assert year.synthetic and year.base is greensboro and year.years_n == 1
        assert year.source_day.shape == (365,) and year.source_day.dtype.kind == "i"
        drawn = year.hourly.to_numpy().reshape(365, 24, -1)
        assert np.array_equal(drawn, base[year.source_day])
        away = (year.source_day - np.arange(365) + 182) % 365 - 182
        assert np.abs(away).max() <= 15
        assert (away == 0).mean() < 0.5  # it does move
        assert year.hourly.index.equals(greensboro.hourly.index)
        assert "blocks of 5 to 9 whole days" in year.source


def test_blocks_are_five_to_nine_days(greensboro):
    lengths = []
    for year in many_years(greensboro, 40):
        cuts = np.flatnonzero(np.diff(year.source_day) % 365 != 1) + 1
        lengths += list(np.diff(np.concatenate([[0], cuts]))[:-1])
    # Two neighbours that moved alike read as one block, so only the short side is a hard limit.
    assert min(lengths) == 5
    assert np.mean(np.array(lengths) <= 9) > 0.9


def test_same_seed_same_years_and_more_years_change_nothing(greensboro):
    ten, again = many_years(greensboro, 10, seed=7), many_years(greensboro, 30, seed=7)
    other = many_years(greensboro, 10, seed=8)
    for one, two, three in zip(ten, again, other, strict=False):
        pd.testing.assert_frame_equal(one.hourly, two.hourly)
        assert not np.array_equal(one.source_day, three.source_day)
    assert len({tuple(year.source_day) for year in again}) == 30


def test_drawn_years_keep_the_climate(greensboro):
    years = many_years(greensboro, 100)
    month = greensboro.hourly.index.month
    drawn = np.mean([year.hourly["air_c"].groupby(month).mean() for year in years], axis=0)
    base = greensboro.hourly["air_c"].groupby(month).mean().to_numpy()
    # Drawing from half a month on each side pulls each month towards its neighbours by up to a
    # few degrees in a year as uneven as this one, and leaves the year's mean alone.
    assert np.abs(drawn - base).max() < 2.0
    assert drawn @ DAYS / 365 == pytest.approx(base @ DAYS / 365, abs=0.1)


def test_thirty_years_are_quick(greensboro):
    many_years(greensboro, 1)
    started = time.perf_counter()
    many_years(greensboro, 30)
    assert time.perf_counter() - started < 0.5


def test_real_years_are_given_as_they_are(greensboro):
    weather = several(greensboro, (2018, 2019, 2020))
    assert weather.years_n == 3 and weather.year_labels == (2018, 2019, 2020)
    years = many_years(weather, 2)
    assert [year.year_labels for year in years] == [(2018,), (2019,)]
    assert not any(year.synthetic or year.base for year in years)
    assert np.array_equal(years[1].hourly.to_numpy(), weather.hourly.to_numpy()[8760:17520])
    assert len(many_years(weather, 30)) == 3


def test_arguments_out_of_range(greensboro):
    for odd in (0, 1001, 2.5, float("nan"), "many", [1, 2]):
        with pytest.raises(ValueError, match="years_n must be"):
            many_years(greensboro, odd)
    with pytest.raises(ValueError, match="seed must be"):
        many_years(greensboro, 2, seed=-1)
    with pytest.raises(WeatherError, match="cannot be drawn from again"):
        many_years(many_years(greensboro, 1)[0], 2)


def test_weather_is_whole_years_and_frozen(greensboro):
    with pytest.raises(WeatherError, match="whole years of 8760 hours; got 8000"):
        Weather(greensboro.hourly.iloc[:8000], greensboro.site, "cut")
    with pytest.raises(FrozenInstanceError):
        greensboro.synthetic = True
    with pytest.raises(WeatherError, match="longitude_deg must be from -180 to 180; got nan"):
        Site("nowhere", 0.0, float("nan"), 0.0, 0.0)


def test_stamps_leave_out_the_leap_day():
    index = stamps(2020, -5.0)
    assert len(index) == 8760
    assert index[1416] - index[1415] == pd.Timedelta(hours=25)
    assert str(index[-1]) == "2020-12-31 23:00:00-05:00"


# Rain ------------------------------------------------------------------------------------------


def monthly_sums(rain):
    return np.add.reduceat(rain, np.concatenate([[0], np.cumsum(DAYS)[:-1]]) * 24)


def test_monthly_rain_is_kept_in_each_drawn_year(greensboro):
    for year in many_years(greensboro, 6):
        rain = rain_on_cloudy_days(year, MONTHLY_M, seed=1)
        assert rain.shape == (8760,) and rain.min() == 0.0
        assert monthly_sums(rain) == pytest.approx(MONTHLY_M, rel=1e-12, abs=0)


def test_rain_falls_on_the_cloudiest_days(greensboro):
    rain = rain_on_cloudy_days(greensboro, MONTHLY_M, wet_days_n=9).reshape(365, 24)
    sun = greensboro.hourly["ghi_w_m2"].to_numpy().reshape(365, 24).sum(axis=1)
    clearness = sun / extraterrestrial_mj_m2_day(36.1, np.arange(365) + 1)
    first = 0
    for month, days in enumerate(DAYS):
        part = slice(first, first + days)
        wet = rain[part].sum(axis=1) > 0
        first += days
        if MONTHLY_M[month] == 0:
            assert not wet.any()
            continue
        assert wet.sum() == 9
        assert clearness[part][wet].max() <= clearness[part][~wet].min()
        assert rain[part].sum(axis=1).argmax() == clearness[part].argmin()
    assert ((rain > 0).sum(axis=1)[rain.sum(axis=1) > 0] == 6).all()


def test_rain_is_the_same_for_the_same_seed(greensboro):
    one, two = (rain_on_cloudy_days(greensboro, MONTHLY_M, seed=4) for _ in range(2))
    other = rain_on_cloudy_days(greensboro, MONTHLY_M, seed=5)
    assert np.array_equal(one, two) and not np.array_equal(one, other)
    assert one.reshape(365, 24).sum(1) == pytest.approx(other.reshape(365, 24).sum(1))


def test_rain_over_several_years_and_by_month(greensboro):
    rain = rain_on_cloudy_days(
        several(greensboro, (2019, 2020)), MONTHLY_M, wet_days_n=[12] * 6 + [4] * 6
    )
    assert rain.shape == (17520,)
    for year in rain.reshape(2, 8760):
        assert monthly_sums(year) == pytest.approx(MONTHLY_M, rel=1e-12, abs=0)
        wet = year.reshape(365, 24).sum(axis=1) > 0
        assert wet[:31].sum() == 12 and wet[-31:].sum() == 4


def test_rain_in_the_polar_night_and_without_humidity(greensboro):
    dark = greensboro.hourly.drop(columns="humidity_frac").assign(ghi_w_m2=0.0)
    site = Site("far north", 80.0, 20.0, 10.0, 1.0)
    rain = rain_on_cloudy_days(Weather(dark, site, "made for a test"), MONTHLY_M)
    assert monthly_sums(rain) == pytest.approx(MONTHLY_M, rel=1e-12, abs=0)


@settings(max_examples=25, deadline=None)
@given(
    monthly=st.lists(st.floats(0.0, 3.0), min_size=12, max_size=12),
    wet=st.integers(1, 28),
)
def test_rain_total_holds_for_any_plan(monthly, wet):
    weather = read_once()
    rain = rain_on_cloudy_days(weather, monthly, wet_days_n=wet)
    assert monthly_sums(rain) == pytest.approx(monthly, rel=1e-9, abs=1e-15)
    assert rain.min() >= 0.0


_KEPT = []


def read_once():
    if not _KEPT:
        _KEPT.append(read("sand-point-ak"))
    return _KEPT[0]


def test_rain_arguments(greensboro):
    with pytest.raises(ValueError, match="monthly_rain_m must be 12 values"):
        rain_on_cloudy_days(greensboro, [0.1] * 11)
    with pytest.raises(ValueError, match="monthly_rain_m must be from 0 to 3 m"):
        rain_on_cloudy_days(greensboro, [-0.1] * 12)
    with pytest.raises(ValueError, match="wet_days_n"):
        rain_on_cloudy_days(greensboro, MONTHLY_M, wet_days_n=0)


def test_extraterrestrial_limits():
    assert extraterrestrial_mj_m2_day(80.0, [1, 172])[0] == 0.0
    assert extraterrestrial_mj_m2_day(90.0, 172) > 40.0
    with pytest.raises(ValueError, match="latitude_deg must be from -90 to 90"):
        extraterrestrial_mj_m2_day(91.0, 1)
    with pytest.raises(ValueError, match="day_of_year"):
        extraterrestrial_mj_m2_day(0.0, 0)
