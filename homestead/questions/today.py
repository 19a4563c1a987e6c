"""Days from today: the plan's own hours, begun today with what the gauges say.

Nothing is worked in a second way: the gauges set the stores of the plan, and each weather year is
begun once, on today's date.
"""

import calendar
from dataclasses import dataclass
from datetime import date

import numpy as np

from homestead import units
from homestead.outlook import independence
from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan import with_changes
from homestead.plan.everyday import amount_text, share
from homestead.simulate.inputs import DAYS_N, hours_of, read_weather, weather_years
from homestead.vocabulary import NEEDS, fuel_measure

FULL_FRAC = {"propane": 0.8}  # a propane tank is filled no further (osha-1910-110)


@dataclass(frozen=True)
class Gauge:
    """One store of a plan that a family can read."""

    name: str  # what to call it: battery, cistern, pantry, freezer, or the name of a fuel store
    hint: str  # how a reading is typed
    # entries of the plan, a dict, from a typed reading; ValueError if it cannot be read
    sets_of: object
    full: str | None = None  # reading that a filled store would give; None if nobody can fill it


@dataclass(frozen=True)
class Today:
    """What the homestead can carry from today."""

    on: date
    # int, shape (years,); days of the homestead from today, one for each weather year
    days: np.ndarray
    by_need: dict  # dict of str to int array of shape (years,)
    sparing: np.ndarray  # int, shape (years,); the same when cutting back from today
    # stores, and days to plan on that filling each would add; the most first
    fill: tuple[tuple[str, int], ...]

    @property
    def first(self):
        """Need that fails first in most weather years; None if none fails within a year."""
        ends = {need: int((days == self.days).sum()) for need, days in self.by_need.items()}
        return max(ends, key=ends.get) if low(self.days) < HORIZON_DAYS else None


def low(days):
    """Days to plan on: what nine weather years in ten reach."""
    return int(np.percentile(days, 10, method="lower"))


def gauges_of(plan):
    """Gauges of a plan, a tuple of `Gauge`."""
    found = []
    if plan.battery:
        found.append(Gauge("battery", "such as 62 %", lambda text: _battery(plan, text)))
    for fuel in plan.fuels:
        found.append(_fuel_gauge(fuel))
    if plan.cistern:
        volume_m3 = plan.cistern.volume_m3
        sets = lambda text: {"cistern.start": _part(text, volume_m3, "volume")}  # noqa: E731
        found.append(Gauge("cistern", "such as 80 % or 1800 gal", sets, "full"))
    if plan.pantry:
        found.append(Gauge("pantry", "share of what your plan has, such as 70 %", _pantry(plan)))
    if plan.freezer:
        kcal = plan.freezer.energy_kcal
        sets = lambda text: {"freezer.energy": f"{_share(text) * kcal:.0f} kcal"}  # noqa: E731
        found.append(Gauge("freezer", "share of what your plan has, such as half", sets))
    return tuple(found)


def _share(text):
    found = share(text)
    if found is None:
        raise ValueError(f"a share from 0 to 100 %, such as 70 % or half; got {text[:40]!r}")
    return found


def _part(text, whole, kind):
    """Share of a whole, typed as a share or as an amount."""
    found = share(text)
    if found is None:
        found = units.parse(amount_text(text), kind) / whole
    if not 0.0 <= found <= 1.0:
        raise ValueError(f"must be from empty to full; got {text[:40]!r}")
    return round(found, 4)


def _battery(plan, text):
    """The gauge counts from empty cells; the plan counts what may be used."""
    depth_frac = plan.battery.depth_of_discharge_frac or 1.0
    charge = _share(text)
    return {"battery.start": round(max(charge - (1.0 - depth_frac), 0.0) / depth_frac, 4)}


def _fuel_gauge(fuel):
    entry, kind = f"fuel.{fuel.name}.amount", fuel_measure(fuel.fuel)
    whole = fuel.tank_m3 or fuel.amount
    unit = "kg" if kind == "mass" else "m3"

    def sets(text):
        part = share(text)
        amount = units.parse(amount_text(text), kind) if part is None else part * whole
        return {entry: f"{amount:.5g} {unit}"}

    if fuel.fuel == "cordwood":
        return Gauge(fuel.name, "such as 3 cords or half a cord", sets, None)
    full = f"{100 * FULL_FRAC.get(fuel.fuel, 1.0):.0f} %" if fuel.tank_m3 else None
    return Gauge(fuel.name, "its gauge, such as 45 %, or 120 gal", sets, full)


def _pantry(plan):
    def sets(text):
        part, found = _share(text), {}
        for item in plan.pantry:
            if item.energy_kcal is not None:
                found[f"pantry.{item.name}.energy"] = f"{part * item.energy_kcal:.0f} kcal"
            else:
                found[f"pantry.{item.name}.mass"] = f"{part * item.mass_kg:.5g} kg"
        return found

    return sets


def today(plan, readings, on=None, years_n=None):
    """Days from today with what the gauges say, on all weather years.

    readings (dict of str to str) : Name of a gauge to what it says, as typed; stores without one
        are as in the plan.
    on (datetime.date, optional) : Instead of today.
    years_n (int, optional) : Instead of the plan's own number of weather years.

    Raises ValueError if there is no such gauge or a reading cannot be understood; all of them at
        once.
    """
    on = on or date.today()
    gauges, sets, wrong = {gauge.name: gauge for gauge in gauges_of(plan)}, {}, []
    for name, text in readings.items():
        try:
            if name not in gauges:
                raise ValueError(f"there's no such gauge; your plan has {', '.join(gauges)}")
            sets |= gauges[name].sets_of(text)
        except ValueError as error:
            wrong.append(f"{name}: {error}")
    if wrong:
        raise ValueError("\n".join(wrong))
    years = weather_years(plan, years_n, read_weather(plan))
    measured = read_weather(plan)

    def lived(more):
        changed = with_changes(plan.raw, sets | more, folder=plan.folder)
        hours = hours_of(changed, measured=measured, years=years)
        by_need = days_from(hours, on)
        return np.min([by_need[need] for need in changed.failure.counts], axis=0), by_need

    days, by_need = lived({})
    filled = []
    for name, gauge in gauges.items():
        if gauge.full is not None:
            gained = low(lived(gauge.sets_of(gauge.full))[0]) - low(days)
            filled += [(name, gained)] if gained > 0 else []
    sparing = lived({"cutting_back.on": True})[0]
    return Today(on, days, by_need, sparing, tuple(sorted(filled, key=lambda pair: -pair[1])))


def days_from(hours, on):
    """Days of each need from a date in every weather year, dict of int arrays."""
    leap = calendar.isleap(on.year) and on.month > 2  # weather years have no February 29
    day = on.timetuple().tm_yday - 1 - leap
    shared = independence.shared_arguments(hours)
    found = np.array(
        [
            independence.days_of_starts(
                year * DAYS_N + day, HORIZON_DAYS, hours.rows, hours.days, *shared, starts_n=1
            )[0]
            for year in range(hours.years_n)
        ]
    )
    return {need: found[:, number] for number, need in enumerate(NEEDS)}
