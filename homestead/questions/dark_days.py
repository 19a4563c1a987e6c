"""What to switch off, and when, to last so many dark days from the battery's charge now.

Worked hour by hour on the simulation itself, without sun, wind, water or generator, in the coldest
such days of the weather years. Comfort goes first, then what is useful, then what is essential.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import pandas as pd

from homestead import units
from homestead.plan.schema import Plan
from homestead.shown import Shown
from homestead.simulate import kernel
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY, Hours, appliance_w, hours_of
from homestead.simulate.records import (
    COMFORT,
    COOLING,
    ESSENTIAL,
    GENERATOR,
    HOT_WATER,
    PV_AC,
    PV_DC,
    USEFUL,
    Days,
    Flows,
    State,
)

MOST_DAYS = 30
YEARS_N = 10
SHORT_WH = 1.0  # less essential energy than this is no lack
COLUMN_OF = {1: ESSENTIAL, 2: USEFUL, 3: COMFORT}
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True)
class Cut:
    """One load to switch off."""

    name: str
    is_essential: bool
    since: datetime  # from this hour to the end
    spared_wh: float  # what it would have drawn from then on


@dataclass(frozen=True, repr=False)
class DarkDays(Shown):
    """How to get through some dark days."""

    begins: datetime
    ends: datetime
    charge_frac: float  # of the usable energy, at the beginning
    # first hour in which the essentials go short if nothing is switched off; None if they don't
    dark_at: datetime | None
    cuts: tuple[Cut, ...]  # in the order in which they are given up; empty if nothing has to be
    # the end, or the first hour in which the essentials go short in spite of all cuts
    lasts_until: datetime
    hourly: pd.DataFrame  # a row an hour: charge_usual_frac, charge_frac, load_w, off (names)

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """What to switch off and when."""
        title = f"To last until {_clock(self.ends)} without sun or generator"
        if self.dark_at is None:
            return title, [("switch off", "nothing: the battery lasts")]
        lines = [("as usual", f"dark on {_clock(self.dark_at)}")]
        for cut in self.cuts:
            when = "now" if cut.since <= self.begins else f"from {_clock(cut.since)}"
            what = "essential: switch off" if cut.is_essential else "switch off"
            spared = units.show(cut.spared_wh, "energy")
            lines.append((cut.name, f"{what} {when}, spares {spared}"))
        if self.lasts_until < self.ends:
            lines.append(("even so", f"dark on {_clock(self.lasts_until)}"))
        return title, lines


def _clock(when: datetime) -> str:
    return f"{when:%A %B} {when.day}, {when.hour}:00"


def last_until(
    plan: Plan, charge: str | float, until: str | int, begins: datetime | None = None
) -> DarkDays:
    """What to switch off, and when, to last so many dark days.

    charge (str or float) : Of the battery now, such as ``"60 %"`` or 0.6: its share of what may be
        used.
    until (str or int) : Dark days, 1 to 30, or a day of the week, such as ``"Sunday"``: to its end.
    begins (datetime, optional) : Now by default.

    Raises ValueError if the plan has no battery, or an argument is out of range.
    """
    if plan.battery is None or plan.grid_former is None:
        raise ValueError("your plan needs a battery and a main inverter")
    charge_frac = float(units.checked("charge", units.parse(str(charge), "fraction"), 0.0, 1.0))
    begins = (begins or datetime.now()).replace(minute=0, second=0, microsecond=0)
    spell = _Spell(plan, charge_frac, begins, _hours_until(until, begins))
    return spell.answer()


def _hours_until(until: str | int, begins: datetime) -> int:
    word = str(until).strip().lower()
    if word in WEEKDAYS:
        days = (WEEKDAYS.index(word) - begins.weekday()) % 7
        return days * 24 + 24 - begins.hour
    try:
        days = int(word)
    except ValueError:
        days = 0
    if not 1 <= days <= MOST_DAYS:
        raise ValueError(
            f"until must be a day of the week or 1 to {MOST_DAYS} days; got {units.quoted(word)}"
        )
    return days * 24


class _Spell:
    """The dark hours of one plan, tried with more and more switched off."""

    def __init__(self, plan: Plan, charge_frac: float, begins: datetime, hours_n: int):
        # Without sun, what waits for sunny days waits.
        runs = tuple(appliance for appliance in plan.appliances if not appliance.sunny_days_only)
        plan = plan.model_copy(update={"appliances": runs})
        self.plan, self.charge_frac, self.begins, self.hours_n = plan, charge_frac, begins, hours_n
        hours = hours_of(plan, min(YEARS_N, plan.site.years_n))
        self.hours, self.days_n = hours, -(-hours_n // 24)
        self.rows, first = self.coldest(hours)
        self.at = [begins + timedelta(hours=n) for n in range(self.days_n * 24)]
        day = (first + (begins.hour + np.arange(self.days_n * 24)) // 24) % DAYS_N
        self.month = MONTH_OF_DAY[day]
        self.hour = np.array([moment.hour for moment in self.at])
        self.daily = Days(
            *(by_day[first + np.arange(self.days_n)] for by_day in _wrapped(hours.days))
        )
        self.loads = list(self.cuttable())

    def coldest(self, hours: Hours) -> tuple[np.ndarray, int]:
        """Hourly inputs of the coldest such days of all weather years, without any source."""
        of_year = min(self.begins.timetuple().tm_yday, DAYS_N) - 1
        span = self.begins.hour + np.arange(self.days_n * 24)
        whole = len(hours.rows)
        at = [(year * DAYS_N + of_year) * 24 + span for year in range(hours.years_n)]
        air = hours.column("air_c")
        coldest = min(at, key=lambda some: air[some % whole].mean())
        rows = hours.rows[coldest % whole].copy()
        rows[:, [PV_DC, PV_AC, GENERATOR]] = 0.0
        return rows, of_year

    def cuttable(self) -> Iterator[tuple[str, int, dict[int, np.ndarray]]]:
        """Loads in the order in which they are given up: name, priority, hourly W by column."""
        plan = self.plan
        found = []
        for appliance in plan.appliances:
            drawn = appliance_w(appliance, self.month, self.hour)
            if drawn.any():
                found.append(
                    (appliance.name, appliance.priority_n, {COLUMN_OF[appliance.priority_n]: drawn})
                )
        if plan.cooling and self.rows[:, COOLING].any():
            found.append(("cooling", 3, {COOLING: self.rows[:, COOLING]}))
        if plan.hot_water and plan.hot_water.store == "electricity":
            found.append(("water heater", 2, {HOT_WATER: self.rows[:, HOT_WATER]}))
        kept = {plan.freezer.appliance} if plan.freezer else set()
        # Of the same priority the freezer goes last, and the largest first.
        return iter(sorted(found, key=lambda load: (-load[1], load[0] in kept, -_wh(load[2]))))

    def lived(self, since: dict[str, int]) -> tuple[np.ndarray, np.ndarray]:
        """Battery [Wh] and essential energy not served [Wh] by hour, with loads cut from hours."""
        rows = self.rows.copy(order="K")
        for name, _, drawn in self.loads:
            if name in since:
                for column, some in drawn.items():
                    rows[since[name] :, column] -= some[since[name] :]
        rows[:, [ESSENTIAL, USEFUL, COMFORT]] = rows[:, [ESSENTIAL, USEFUL, COMFORT]].clip(0.0)
        fixed = self.hours.fixed._replace(comfort_below_frac=0.0, useful_below_frac=0.0)
        reserve_frac = 1.0 - fixed.discharge_depth_frac
        usable_frac = fixed.discharge_depth_frac * self.charge_frac
        start = State(*self.hours.start)._replace(
            battery_wh=fixed.battery_wh * (reserve_frac + usable_frac)
        )
        states, flows, *_ = kernel.trace(
            0, self.days_n, rows, self.daily, fixed, self.hours.capacity_by_c, start,
            self.hours.larder, self.hours.fuel_start_wh, self.hours.window_n, False,
        )  # fmt: skip
        short = flows[: self.hours_n, Flows._fields.index("essential_short_w")]
        self.used = flows[: self.hours_n, Flows._fields.index("used_w")]
        return states[: self.hours_n, State._fields.index("battery_wh")], short

    def dark_hour(self, since: dict[str, int]) -> int | None:
        """First hour in which essentials go short, or None."""
        short = np.flatnonzero(self.lived(since)[1] > SHORT_WH)
        return int(short[0]) if len(short) else None

    def answer(self) -> DarkDays:
        usual_wh, _ = self.lived({})
        dark = self.dark_hour({})
        since: dict[str, int] = {}
        last = dark
        while last is not None and len(since) < len(self.loads):
            name = self.loads[len(since)][0]
            last = self.dark_hour(since | {name: 0})
            if last is None:
                since[name] = self.latest(since, name)
            else:
                since[name] = 0
        battery_wh, _ = self.lived(since)
        used_w = self.used
        cuts = tuple(
            Cut(name, priority == 1, self.at[since[name]], _wh(drawn, since[name], self.hours_n))
            for name, priority, drawn in self.loads
            if name in since and _wh(drawn, since[name], self.hours_n) > 0.0
        )
        off = [
            ", ".join(name for name, hour in since.items() if hour <= n)
            for n in range(self.hours_n)
        ]
        hourly = pd.DataFrame(
            {
                "charge_usual_frac": self.usable(usual_wh),
                "charge_frac": self.usable(battery_wh),
                "load_w": used_w,
                "off": off,
            },
            index=pd.DatetimeIndex(self.at[: self.hours_n], name="hour"),
        )
        ends = self.begins + timedelta(hours=self.hours_n)
        return DarkDays(
            begins=self.begins,
            ends=ends,
            charge_frac=self.charge_frac,
            dark_at=None if dark is None else self.at[dark],
            cuts=cuts,
            lasts_until=ends if last is None else self.at[last],
            hourly=hourly,
        )

    def latest(self, since: dict[str, int], name: str) -> int:
        """Latest hour from which it is enough to switch a load off."""
        low, high = 0, self.hours_n
        while high - low > 1:
            middle = (low + high) // 2
            if self.dark_hour(since | {name: middle}) is None:
                low = middle
            else:
                high = middle
        return low

    def usable(self, battery_wh: np.ndarray) -> np.ndarray:
        fixed = self.hours.fixed
        empty_wh = fixed.battery_wh * (1.0 - fixed.discharge_depth_frac)
        return (battery_wh - empty_wh) * fixed.charge_state_per_wh


def _wrapped(days: Days) -> Iterator[np.ndarray]:
    """Daily inputs with a second year behind the first, for spells over New Year."""
    for day in days:
        yield np.concatenate([day[:DAYS_N], day[:DAYS_N]])


def _wh(drawn: dict[int, np.ndarray], first: int = 0, last: int | None = None) -> float:
    return float(sum(some[first:last].sum() for some in drawn.values()))
