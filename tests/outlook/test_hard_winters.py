"""Weather harder than the record, and how far other winters would move the answer."""

import numpy as np
import pytest
from small_plans import SMALLEST, plan_of

from homestead.outlook import run
from homestead.outlook.independence import Outlook
from homestead.plan import demo_path, open_plan
from homestead.questions.hard_winters import hard_winters
from homestead.simulate.inputs import hours_of, weather_years
from homestead.vocabulary import OUTCOMES
from homestead.weather.hard import COLD, DARK, DROUGHT, SMOKE, SPELLS, laid_on


@pytest.fixture(scope="module")
def demo():
    return open_plan(demo_path())


@pytest.fixture(scope="module")
def years(demo):
    return weather_years(demo, 4)


@pytest.fixture(scope="module")
def fifty(demo):
    return weather_years(demo, 50)


@pytest.fixture(scope="module")
def rain_m(demo, years):
    return hours_of(demo, years=years).rain_m


def daily(year, column):
    return year.hourly[column].to_numpy().reshape(365, 24).mean(axis=1)


def lowest(values, days_n):
    return np.convolve(values, np.ones(days_n) / days_n, "valid").min()


def test_cold_is_the_coldest_of_fifty_years(years, rain_m, fifty):
    laid = laid_on(COLD, years, rain_m, fifty)
    coldest = min(lowest(daily(year, "air_c"), 14) for year in fifty)
    for before, after in zip(years, laid, strict=True):
        assert lowest(daily(after, "air_c"), 14) < lowest(daily(before, "air_c"), 14)
        # A window beside it can be colder still by a little: the year's own days go on there.
        assert coldest - 1.5 <= lowest(daily(after, "air_c"), 14) <= coldest + 1e-9
        moved = (daily(before, "air_c") != daily(after, "air_c")).sum()
        assert moved <= 14


def test_dark_lasts_a_month_and_smoke_takes_three_quarters(years, rain_m, fifty):
    for before, after in zip(years, laid_on(DARK, years, rain_m, fifty), strict=True):
        assert lowest(daily(after, "ghi_w_m2"), 30) < lowest(daily(before, "ghi_w_m2"), 30)
    for before, after in zip(years, laid_on(SMOKE, years, rain_m, fifty), strict=True):
        share = daily(after, "ghi_w_m2") / daily(before, "ghi_w_m2")
        assert np.flatnonzero(share < 0.99).tolist() == list(range(230, 244))
        assert share[230:244] == pytest.approx(0.25)


def test_a_dry_summer_keeps_the_rest_of_the_years_rain(years, rain_m, fifty):
    rain = rain_m.reshape(4, -1)
    for before, after in zip(rain, laid_on(DROUGHT, years, rain_m, fifty), strict=True):
        months = after.hourly.index.month
        dry = np.isin(months, (6, 7, 8))
        assert after.hourly["rain_m"][dry].sum() == pytest.approx(0.25 * before[dry].sum())
        assert after.hourly["rain_m"][~dry].to_numpy() == pytest.approx(before[~dry])


def test_each_spell_is_worked_beside_the_same_years(demo):
    found = hard_winters(demo, years_n=3)
    assert found.years_n == 3 and [one.name for one in found.spells] == [one.name for one in SPELLS]
    assert found.days == run(demo, years_n=3).homestead.p10
    dark = next(one for one in found.spells if one.name == DARK.name)
    assert dark.days < found.days and dark.days_lost == found.days - dark.days
    assert "Harder than the record" in repr(found)
    assert all(one.basis for one in found.spells)


# --- chance -----------------------------------------------------------------------------------


def outlook_of(days_by_year):
    days = np.full((len(days_by_year), 365, 2 * len(OUTCOMES)), 365)
    days[:, :, OUTCOMES.index("power")] = np.array(days_by_year)[:, None]
    return Outlook(plan_of(SMALLEST), None, days)


def test_years_alike_leave_nothing_to_chance():
    assert outlook_of([40] * 20).chance == (40, 40)


def test_chance_of_two_kinds_of_years_by_hand():
    # Half of 20 years last 30 days, half 60. The tenth percentile of a set is 30 unless fewer than
    # a tenth of its years are short: of 20, none or one. With a chance of a half each that is
    # (1 + 20) / 2**20, 2 in 100,000: every set of 400 gives 30.
    assert outlook_of([30, 60] * 10).chance == (30, 30)
    # One of 20 is short: more than a twentieth of the sets hold two of it and more (26 %), and
    # more than a twentieth none (36 %): from 30 to 60.
    assert outlook_of([30] + [60] * 19).chance == (30, 60)


def test_worst_year_in_ten_and_in_thirty_by_hand():
    outlook = outlook_of(range(101, 131))
    # Of 30 years, three are the worst tenth: the lower end of what one year in ten falls to.
    assert outlook.worst_year_in(10) == 103
    assert outlook.worst_year_in(30) == 101


def test_more_years_leave_less_to_chance(demo):
    few, many = run(demo, years_n=5), run(demo, years_n=40)

    def width(outlook):
        low, high = outlook.chance
        return (high - low) / outlook.homestead.p10

    assert width(many) <= width(few)
    # Enough years by default that another set of them stays within five percent.
    low, high = many.chance
    assert high - low <= 2 * 0.05 * many.homestead.p10
