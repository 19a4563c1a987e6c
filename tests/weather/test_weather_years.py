"""Drawn years, real years, and rain laid on cloudy days."""

import gc
import weakref
from dataclasses import FrozenInstanceError

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import lfilter
from scipy.stats import qmc

from homestead.weather import (
    Site,
    Weather,
    WeatherError,
    drawn,
    many_years,
    rain_on_cloudy_days,
    read,
    years,
)
from homestead.weather.hourly import KEPT_WITH_YEAR_N, kept_with_year, stamps
from homestead.weather.sky import extraterrestrial_mj_m2_day, extraterrestrial_w_m2

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


def test_drawn_years_are_weather_that_could_be(greensboro):
    above = extraterrestrial_w_m2(greensboro.site).ravel()
    for year in many_years(greensboro, 10, seed=3):
        assert year.synthetic and year.years_n == 1
        assert year.hourly.index.equals(greensboro.hourly.index)
        assert "Drawn day by day from one year" in year.source
        values = year.hourly
        assert np.isfinite(values.to_numpy()).all()
        level, beam, diffuse = (values[f"{part}_w_m2"] for part in ("ghi", "dni", "dhi"))
        assert min(level.min(), beam.min(), diffuse.min()) >= 0.0
        assert (level <= 0.9 * above + 1e-9).all() and beam.max() <= 1100.0
        # The level sun is what the beam brings at its height and what the sky brings.
        closed = beam * above / 1367.0 + diffuse - level
        assert np.abs(closed).max() <= 1e-6 * level.max()
        assert ((values["humidity_frac"] >= 0) & (values["humidity_frac"] <= 1)).all()
        assert (values["wind_m_s"] >= 0).all() and values["air_c"].between(-70, 60).all()


def test_no_sun_is_drawn_for_the_polar_night():
    far_north = read("sand-point-ak")
    site = Site("far north", 78.0, 20.0, 10.0, 1.0)
    above = extraterrestrial_w_m2(site)
    hourly = far_north.hourly.copy()
    hourly["ghi_w_m2"] = 0.5 * above.ravel()
    hourly["dni_w_m2"] = 0.0
    hourly["dhi_w_m2"] = hourly["ghi_w_m2"]
    weather = Weather(hourly, site, "made for a test")
    for year in many_years(weather, 3):
        level = year.hourly["ghi_w_m2"].to_numpy().reshape(365, 24)
        assert np.isfinite(year.hourly.to_numpy()).all()
        assert level[above.sum(axis=1) == 0.0].max() == 0.0
        assert level.max() > 100.0


def test_a_year_without_change_is_drawn_without_change(greensboro):
    even = greensboro.hourly.assign(air_c=12.0)
    for year in many_years(Weather(even, greensboro.site, "made for a test"), 3):
        # The least deviation that a season can have is a tenth of a degree.
        assert np.abs(year.hourly["air_c"] - 12.0).max() < 0.6


def test_same_seed_same_years_and_more_years_change_nothing(greensboro):
    ten, again = many_years(greensboro, 10, seed=7), many_years(greensboro, 30, seed=7)
    other = many_years(greensboro, 10, seed=8)
    for one, two, three in zip(ten, again, other, strict=False):
        pd.testing.assert_frame_equal(one.hourly, two.hourly)
        assert not np.array_equal(one.hourly, three.hourly)
    afresh = many_years(Weather(greensboro.hourly, greensboro.site, greensboro.source), 2, seed=7)
    pd.testing.assert_frame_equal(afresh[1].hourly, ten[1].hourly)
    assert len({tuple(year.hourly["air_c"]) for year in again}) == 30


def test_drawn_years_keep_the_climate(greensboro):
    years = many_years(greensboro, 100)
    month = greensboro.hourly.index.month
    for name, monthly, yearly in (("air_c", 2.0, 0.3), ("ghi_w_m2", 20.0, 6.0)):
        drawn = np.mean([year.hourly[name].groupby(month).mean() for year in years], axis=0)
        base = greensboro.hourly[name].groupby(month).mean().to_numpy()
        # A season of two months pulls a month toward its neighbors in a year as uneven as this
        # one, and leaves the year's mean nearly alone.
        assert np.abs(drawn - base).max() < monthly
        assert drawn @ DAYS / 365 == pytest.approx(base @ DAYS / 365, abs=yearly)


def daily(years):
    level = np.array([y.hourly["ghi_w_m2"].to_numpy().reshape(365, 24).sum(axis=1) for y in years])
    air = np.array([y.hourly["air_c"].to_numpy().reshape(365, 24).mean(axis=1) for y in years])
    return level, air


# What five long daily records of the middle latitudes show (Duke Forest NC, Kellogg MI and Ames IA
# of US research stations, Rothamsted UK, Pergamino AR; 11 to 41 years each): the least and the most
# of the five. Greensboro lies among them in latitude, and its typical year is drawn here.
RECORDS = {
    "runs of 4 and more dark days in 10 years": (9.3, 17.5),
    "darkest week in 10 years, share of midwinter": (0.29, 0.45),
    "darkest fortnight": (0.47, 0.64),
    "darkest 30 days": (0.60, 0.82),
    "degree days, spread": (0.067, 0.082),
    "December's sun, spread": (0.100, 0.169),
    "December's warmth, deviation": (1.2, 3.9),
    "warmth from day to day": (0.68, 0.77),
}


def spells(level, air):
    around = np.concatenate([np.arange(-15, 0), np.arange(365), np.arange(15)]) % 365
    usual = np.convolve(level.mean(axis=0)[around], np.ones(31) / 31, "valid")
    midwinter = usual[np.r_[334:365, 0:31]].mean()
    winter = np.r_[0:90, 273:365]
    dark = np.zeros(level.shape, bool)
    dark[:, winter] = (level / usual < 0.5)[:, winter]
    ends = np.diff(np.pad(dark.ravel().astype(int), 1))
    lengths = np.flatnonzero(ends == -1) - np.flatnonzero(ends == 1)
    darkest = {
        days: np.quantile(
            [np.convolve(year, np.ones(days) / days, "valid").min() for year in level], 0.1
        )
        / midwinter
        for days in (7, 14, 30)
    }
    degree_days = np.maximum(18.0 - air, 0.0).sum(axis=1)
    december = np.arange(334, 365)
    apart = air - air.mean(axis=0)
    sun = level[:, december].mean(axis=1)
    return {
        "runs of 4 and more dark days in 10 years": (lengths >= 4).sum() / len(level) * 10,
        "darkest week in 10 years, share of midwinter": darkest[7],
        "darkest fortnight": darkest[14],
        "darkest 30 days": darkest[30],
        "degree days, spread": degree_days.std(ddof=1) / degree_days.mean(),
        "December's sun, spread": sun.std(ddof=1) / sun.mean(),
        "December's warmth, deviation": air[:, december].mean(axis=1).std(ddof=1),
        "warmth from day to day": np.corrcoef(apart[:, 1:].ravel(), apart[:, :-1].ravel())[0, 1],
    }


def test_spells_are_as_long_as_in_long_records(greensboro):
    found = spells(*daily(many_years(greensboro, 200)))
    for name, (least, most) in RECORDS.items():
        # A typical year is one sample of its place: a fifth to either side of the records' range.
        assert 0.8 * least <= found[name] <= 1.2 * most, (name, found[name])


def test_whole_days_in_random_order_would_not_pass(greensboro):
    generator = np.random.default_rng(0)
    days = greensboro.hourly.to_numpy().reshape(365, 24, -1)
    level, air = days[..., 0].sum(axis=1), days[..., 3].mean(axis=1)
    near = (np.arange(365) + generator.integers(-30, 31, (200, 365))) % 365
    found = spells(level[near], air[near])
    assert found["runs of 4 and more dark days in 10 years"] < 0.8 * 9.3
    assert found["warmth from day to day"] < 0.3


def test_a_smoothed_dark_end_is_darkened_and_the_rest_makes_up_for_it(greensboro):
    smoothed = drawn.fit(greensboro)
    ordered = np.sort(0.4 + 0.3 * np.random.default_rng(1).random((365, 61)), axis=1)
    darker = drawn._darker(ordered)
    assert (np.quantile(darker, 0.05, axis=1) < 0.22 * np.quantile(ordered, 0.9, axis=1)).all()
    above_pivot = darker[:, 40:].mean(), ordered[:, 40:].mean()
    assert above_pivot[0] > above_pivot[1] and darker.mean() <= ordered.mean() + 1e-12
    assert (np.diff(darker, axis=1) >= -1e-12).all() and darker.max() <= ordered.max()
    already = np.tile(np.linspace(0.03, 0.7, 61), (365, 1))
    assert drawn._darker(already) == pytest.approx(already, rel=1e-12)
    assert smoothed.sorted_clearness.shape == (365, 61)


def test_ten_real_years_are_given_as_they_are(greensboro):
    weather = several(greensboro, range(2010, 2020))
    assert weather.years_n == 10 and weather.year_labels == tuple(range(2010, 2020))
    years = many_years(weather, 2)
    assert [year.year_labels for year in years] == [(2010,), (2011,)]
    assert not any(year.synthetic for year in years)
    assert np.array_equal(years[1].hourly.to_numpy(), weather.hourly.to_numpy()[8760:17520])
    assert len(many_years(weather, 30)) == 10


def test_fewer_real_years_are_followed_by_drawn_ones(greensboro):
    weather = several(greensboro, (2018, 2019, 2020))
    years = many_years(weather, 30)
    assert [year.synthetic for year in years] == [False] * 3 + [True] * 27
    assert years[2].year_labels == (2020,) and "from 3 real years" in years[3].source
    assert [year.synthetic for year in many_years(weather, 2)] == [False, False]


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


def test_rain_that_varies_keeps_its_mean_and_spread(greensboro):
    years = many_years(greensboro, 1)
    monthly = np.full(12, 0.09)
    totals = np.array(
        [
            monthly_sums(rain_on_cloudy_days(years[0], monthly, seed=seed, spread_frac=0.6))
            for seed in range(300)
        ]
    )
    assert totals.mean() == pytest.approx(0.09, rel=0.04)
    assert totals.std() / totals.mean() == pytest.approx(0.6, rel=0.06)
    # Twelve months that vary by themselves: the year varies by 0.6 over the root of twelve.
    yearly = totals.sum(axis=1)
    assert yearly.std() / yearly.mean() == pytest.approx(0.6 / 12**0.5, rel=0.15)
    with pytest.raises(ValueError, match="spread_frac must be"):
        rain_on_cloudy_days(years[0], monthly, spread_frac=3.0)


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


def test_sun_above_the_air_by_the_hour_sums_to_the_days(greensboro):
    for latitude in (-34.0, 0.0, 36.1, 60.0, 80.0):
        site = Site("somewhere", latitude, 10.0, 0.0, 1.0)
        hourly = extraterrestrial_w_m2(site)
        moments = pd.date_range("2001-01-01 00:05", periods=365 * 144, freq="10min", tz="Etc/GMT-1")
        zenith = pvlib.solarposition.get_solarposition(moments, latitude, 10.0)["zenith"]
        sun = pvlib.irradiance.get_extra_radiation(moments) * np.cos(np.radians(zenith))
        exact = np.maximum(sun.to_numpy(), 0.0).reshape(365, 24, 6).mean(axis=2)
        # Spencer's series against the full algorithm: within one percent of the solar constant.
        assert np.abs(hourly - exact).max() < 13.6
        # Near the poles the day of the first sunrise is sensitive: two percent of the longest day.
        apart = np.abs(hourly.sum(axis=1) - exact.sum(axis=1)).max()
        assert apart < (0.02 if latitude > 66.0 else 0.01) * exact.sum(axis=1).max()


def test_a_winter_goes_on_over_new_year(greensboro):
    """The warmth of December 31 tells of January 1 as much as of any day that follows another."""
    years = many_years(greensboro, 150, seed=2)
    daily_c = np.array([one.hourly["air_c"].to_numpy().reshape(365, 24).mean(1) for one in years])
    over_new_year = np.corrcoef(daily_c[:-1, 364], daily_c[1:, 0])[0, 1]
    usual = np.mean([np.corrcoef(daily_c[:, n], daily_c[:, n + 1])[0, 1] for n in range(10, 40)])
    assert usual > 0.5 and over_new_year == pytest.approx(usual, abs=0.2)  # 3 standard errors


def test_thirty_winters_say_what_many_would(greensboro):
    """The third darkest of thirty hangs on chance little more than half as much as freely drawn."""
    darkest = []
    for seed in range(12):
        years = many_years(greensboro, 30, seed=seed)
        daily = np.array(
            [one.hourly["ghi_w_m2"].to_numpy().reshape(365, 24).sum(1) for one in years]
        )
        sums = np.cumsum(np.roll(daily.ravel(), -171))
        spells = (sums[60:] - sums[:-60])[: 29 * 365].reshape(29, 365)
        darkest.append(np.sort(spells.min(axis=1)))
    third = np.array(darkest)[:, 2]
    freely = np.random.default_rng(1).choice(np.ravel(darkest), (2000, 29))
    assert third.std() < 0.6 * np.sort(freely, axis=1)[:, 2].std()


def test_points_that_pick_winters_are_those_of_a_library():
    """Digits left in order against scipy's; permuted, each stripe still holds as many points."""

    class InOrder:
        def shuffle(self, order):
            pass

    plain = qmc.Halton(3, scramble=False).random(128)
    assert drawn._halton(128, InOrder()) == pytest.approx(plain, abs=1e-12)
    permuted = drawn._halton(125, np.random.default_rng(3))
    for column, base in enumerate((2, 3, 5)):
        whole_n = base ** int(np.log(125.5) / np.log(base))
        stripes = (permuted[:whole_n, column] * whole_n + 1e-9).astype(int)
        assert sorted(stripes) == list(range(whole_n))
    assert np.abs(permuted - plain[:125]).max() > 0.2


@pytest.mark.parametrize("memory", [0.0, 0.3, 0.94])
def test_memory_of_the_weather_is_a_filter_of_first_order(memory):
    noise = np.random.default_rng(4).standard_normal(565)
    expected = lfilter([np.sqrt(1.0 - memory**2)], [1.0, -memory], noise)
    assert drawn._remembering(noise, memory) == pytest.approx(expected, abs=1e-12)


def test_what_a_year_gave_is_kept_as_long_as_the_year(greensboro):
    worked = []

    @kept_with_year
    def work(year, number):
        worked.append(number)
        return np.zeros(10) + number

    first, second = many_years(greensboro, 2, seed=987)
    for number in (*range(KEPT_WITH_YEAR_N), 0, KEPT_WITH_YEAR_N, 0, 1):
        assert work(first, number)[0] == number
    assert worked == [*range(KEPT_WITH_YEAR_N + 1), 1]  # 1 was the one longest unused
    gone = weakref.ref(work(second, 5))
    years._drawn_year.cache_clear()
    del second
    gc.collect()
    assert gone() is None
