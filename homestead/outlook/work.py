"""Hours of work that isolation asks of the people, against the hours that they have.

What is burned, carried and run comes from the simulation, day by day; how long it takes from the
table `work`, where it is common practice. Child care, repairs and watch at night are not counted.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import reference, units
from homestead.shown import Shown
from homestead.simulate import fuel_stores
from homestead.simulate.food import source_of
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.simulate.records import AIR
from homestead.vocabulary import MONTHS

WEEK_DAYS = 7.0
HOUR_S = 3600.0
ILL_DAYS = 14
# From this age on, in rising order, as the rows of the table.
AGES = ((0, "under 8"), (8, "8 to 11"), (12, "12 to 15"), (16, "16 to 69"), (70, "70 and over"))
ADULT = 16
WOOD_MONTHS = {"north": (3, 4, 5), "south": (9, 10, 11)}  # when next winter's wood is cut
TASKS = (
    "kitchen and washing", "fire", "wood for next winter", "water by hand", "generator",
    "animals", "garden", "putting up",
)  # fmt: skip


@dataclass(frozen=True)
class Ill:
    """One adult in bed for two weeks."""

    name: str
    short_h: float  # that the others lack on a day of the hardest two weeks; 0 if they manage
    month_n: int  # of the hardest two weeks


@dataclass(frozen=True, repr=False)
class Work(Shown):
    """Work of an average year, and when it can't be done."""

    # 12 rows; hours a day by task of `TASKS`, mean of the month over all weather years with
    # deliveries
    by_month: pd.DataFrame
    had_h: float  # hours a day that the people have
    short_frac: np.ndarray  # shape (12,); share of the month's days that ask for more
    # first day, from 0, of the worst start on which more is asked than they have
    first_short: int | None
    ill: tuple[Ill, ...]  # each adult, the one whose illness is hardest first

    @property
    def asked_h(self):
        """Hours a day that each month asks, array of shape (12,)."""
        return self.by_month.sum(axis=1).to_numpy()

    def shown(self):
        """Hours asked by season against those had."""
        hardest = int(np.argmax(self.asked_h))
        title = (
            f"Work: {self.asked_h[hardest]:.0f} of {self.had_h:.0f} h a day in {MONTHS[hardest]}"
        )
        rows = [(task, f"{self.by_month.iloc[hardest][task]:.1f} h") for task in TASKS]
        return title, [row for row in rows if row[1] != "0.0 h"]


def work_of(outlook):
    """`Work` of an outlook."""
    hours, plan = outlook.hours, outlook.plan
    daily = outlook.year.daily_work
    month = np.tile(MONTH_OF_DAY, hours.years_n)
    asked_h = daily.to_numpy().sum(axis=1)
    had = {person.name: hours_had(person) for person in plan.people}
    had_h = sum(had.values())
    short = pd.Series(asked_h > had_h).groupby(month).mean().to_numpy()
    ill = [_ill(person.name, had, asked_h) for person in plan.people if person.age_n >= ADULT]
    return Work(
        by_month=daily.groupby(month).mean().rename_axis("month"),
        had_h=had_h,
        short_frac=short,
        first_short=_first_short(outlook, had_h),
        ill=tuple(sorted(ill, key=lambda person: -person.short_h)),
    )


def hours_had(person):
    """Hours of chores a day that a person can do: as entered, else typical of the age."""
    if person.work_s is not None:
        return person.work_s / HOUR_S
    group = [name for age, name in AGES if person.age_n >= age][-1]
    return _hours("person", group, "h/day")


def daily_work(hours, trace, first_day=0, delivered=False):
    """Hours of work of each day of a trace by task, DataFrame of shape (days, tasks).

    first_day : Day of the year on which the trace begins.
    delivered (bool) : Whether fuel was made up at each day's end.
    """
    plan = hours.plan
    days_n = len(trace.flows) // 24
    month = MONTH_OF_DAY[(first_day + np.arange(days_n)) % DAYS_N]
    runs_h = trace.flows["generator_h"].to_numpy().reshape(days_n, 24).sum(axis=1)
    burned = _cords_burned(hours, trace, delivered)
    by_hand_m3 = trace.states["hand_m3"].to_numpy().reshape(days_n, 24)[:, -1]
    people_n = len(plan.people)
    kitchen_h = _hours("kitchen", "cook", "h/day") + people_n * (
        _hours("kitchen", "cook for each", "h/day") + _hours("washing", "by hand", "h/day")
    )
    spring = _spring(hours)
    cut = np.isin(month, spring)
    year_cords = float(burned.sum()) / max(days_n / DAYS_N, 1.0)
    cut_h = year_cords * _hours("firewood", "cut for next winter", "h/cord")
    values = {
        "kitchen and washing": np.full(days_n, kitchen_h),
        "fire": (burned > 0) * _hours("fire", "tend", "h/day")
        + burned * _hours("firewood", "carry in", "h/cord"),
        "wood for next winter": cut * cut_h / np.isin(MONTH_OF_DAY, spring).sum(),
        "water by hand": by_hand_m3 / (plan.by_hand.flow_m3s * HOUR_S)
        if plan.by_hand and plan.by_hand.flow_m3s
        else np.zeros(days_n),
        "generator": (runs_h > 0) * _hours("generator", "start", "h/day")
        + runs_h * _hours("generator", "watch", "h/h"),
        "animals": _animals(plan, month),
        "garden": _garden(plan, month),
        "putting up": _putting_up(plan, month),
    }
    return pd.DataFrame(values)


def _spring(hours):
    """Months in which next winter's wood is cut, by which half of the year is the warm one."""
    air_c = hours.rows[:, AIR].reshape(-1, DAYS_N, 24).mean(axis=(0, 2))
    january_c, july_c = (air_c[month == MONTH_OF_DAY].mean() for month in (1, 7))
    return WOOD_MONTHS["south" if january_c > july_c else "north"]


def _hours(item, quantity, unit):
    return reference.value("work", item, quantity, unit)


def _cords_burned(hours, trace, delivered):
    """Cordwood burned in each day. [cord]."""
    at_end = trace.fuel_wh[23::24]
    at_start = np.vstack([hours.fuel_start_wh, at_end[:-1]])
    if delivered:
        at_start[:] = hours.fuel_start_wh
    burned = np.zeros(len(at_end))
    for number, fuel in enumerate(hours.plan.fuels):
        if fuel.fuel != "cordwood":
            continue
        used_wh = at_start[:, number] - at_end[:, number]
        per_cord = fuel_stores.fuel_wh_per_unit(fuel) * units.convert_unit(1.0, "cord", "m^3")
        burned += np.maximum(used_wh, 0.0) / per_cord
    return burned


def _animals(plan, month):
    asked_h = np.zeros(len(month))
    for animal in plan.animals:
        kind = source_of(animal)
        chores_h = _hours(kind, "chores", "h/day")
        if kind != "milk":
            asked_h += chores_h
            continue
        dry_h = _hours("other produce", "chores", "h/day")
        asked_h += np.where(np.isin(month, animal.yields), chores_h * animal.count_n, dry_h)
    return asked_h


def _garden(plan, month):
    """Beds in their months: the garden holds all crops; without one each crop by itself."""
    weekly_h = _hours("garden", "tend", "h/m^2/week")
    beds = [(plan.garden.area_m2, plan.garden.months)] if plan.garden else []
    beds = beds or [(crop.area_m2, crop.picked or crop.eaten) for crop in plan.crops]
    asked_h = sum((np.isin(month, when) * area_m2 * weekly_h for area_m2, when in beds), 0.0)
    return np.zeros(len(month)) + asked_h / WEEK_DAYS


def _putting_up(plan, month):
    asked_h = np.zeros(len(month))
    for crop in plan.crops:
        when = crop.picked or crop.eaten
        days_n = max(int(np.isin(MONTH_OF_DAY, when).sum()), 1)
        jars_h = crop.harvest_kg * crop.preserved_frac * _hours("jars", "put up", "h/kg")
        asked_h += np.isin(month, when) * jars_h / days_n
    return asked_h


def _first_short(outlook, had_h):
    year, day = outlook.worst
    days_n = max(int(outlook.together[year, day]), 1)
    trace = outlook.first_days(year, day, days_n)
    asked_h = daily_work(outlook.hours, trace, day).to_numpy().sum(axis=1)
    short = np.flatnonzero(asked_h > had_h)
    return int(short[0]) if len(short) else None


def care_h():
    """Hours a day that somebody in bed takes of the others."""
    return _hours("ill", "care", "h/day")


def _by_fortnight_h(asked_h):
    return np.convolve(asked_h, np.ones(ILL_DAYS) / ILL_DAYS, "valid")


def hardest_h(daily):
    """Hours a day that the chores of the hardest two weeks ask, from `daily_work`."""
    return float(_by_fortnight_h(daily.to_numpy().sum(axis=1)).max())


def _ill(name, had, asked_h):
    """The hardest two weeks of all years without one adult, who takes care besides."""
    left_h = sum(had.values()) - had[name] - care_h()
    sums = _by_fortnight_h(asked_h)
    hardest = int(np.argmax(sums))
    month_n = int(MONTH_OF_DAY[hardest % DAYS_N])
    return Ill(name, max(float(sums[hardest]) - left_h, 0.0), month_n)


def as_dict(work):
    """Plain data for JSON."""
    return {
        "had_h": round(work.had_h, 1),
        "asked_h_by_month": [round(float(hours), 1) for hours in work.asked_h],
        "short_days_frac_by_month": [round(float(share), 3) for share in work.short_frac],
        "first_short_day": work.first_short,
        "one_adult_ill": [
            {"name": person.name, "short_h": round(person.short_h, 1), "month": person.month_n}
            for person in work.ill
        ],
    }
