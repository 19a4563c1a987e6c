"""The chain of failures of one start, hour by hour, in plain words.

Reads the trace of the start and names the first time that each store runs out, each system stops
and each need fails. Computes nothing new.
"""

from dataclasses import dataclass

import numpy as np

from homestead.outlook.independence import day_text
from homestead.outlook.studies import kept
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.vocabulary import FULL_MONTHS, NEEDS

AFTER_DAYS = 3  # how long the story goes on after the last counted need has failed
BACK_DAYS, BACK_FRAC = 3, 0.05  # after so many days with so little missing, a need is back
NEARLY_NONE = 0.01  # share of a store below which a reader would call it empty


@dataclass(frozen=True)
class Event:
    """One thing that happens for the first time."""

    # counted from isolation; day 0 is the first. A need is judged when its day has ended.
    day: int
    hour: int
    kind: str  # {"store", "system", "bad day", "need", "back"}
    about: str  # what it happens to
    text: str  # what happens, as a sentence


def story_start_text(outlook):
    """When the worst start begins, in words: its date and weather year."""
    year, day = outlook.worst
    month, of_month = FULL_MONTHS[MONTH_OF_DAY[day] - 1], int(day_text(day)[3:])
    return f"{month} {of_month} of weather year {year + 1} of {outlook.hours.years_n}"


@kept
def story_of(outlook, year=None, day=None):
    """Events of a start, by default the worst one, in the order in which they come.

    year, day (int, optional) : Weather year and day of the year, from 0.
    Gives tuple of Event.
    """
    if year is None:
        year, day = outlook.worst
    failed = {need: int(outlook.days_of(need)[year, day]) for need in NEEDS}
    bad = {need: int(outlook.first_bad_of(need)[year, day]) for need in NEEDS}
    horizon = outlook.horizon_days
    counted = [failed[need] for need in outlook.plan.failure.counts if failed[need] < horizon]
    days_n = min(max(counted, default=horizon) + AFTER_DAYS, horizon)
    trace = outlook.first_days(year, day, days_n)
    events = [
        *_stores(outlook, trace),
        *_systems(outlook, trace),
        *_needs(outlook, failed, bad, days_n),
        *_back(trace, outlook.hours.fixed, failed, bad, days_n),
    ]
    order = {"store": 0, "system": 1, "bad day": 2, "need": 3, "back": 4}
    return tuple(sorted(events, key=lambda event: (event.day, event.hour, order[event.kind])))


def _first(condition):
    """Day and hour at which a condition first holds, or None."""
    hours = np.flatnonzero(np.asarray(condition))
    return (int(hours[0]) // 24, int(hours[0]) % 24) if len(hours) else None


def _event(condition, kind, about, text):
    at = _first(condition)
    if at:
        day, hour = at
        yield Event(day, hour, kind, about, text)


def _stores(outlook, trace):
    hours, plan = outlook.hours, outlook.plan
    fixed, flows, states = hours.fixed, trace.flows, trace.states
    if fixed.battery_wh > 0:
        reserve_wh = fixed.battery_wh * (1 - fixed.discharge_depth_frac)
        usable_wh = fixed.battery_wh * fixed.discharge_depth_frac
        empty = (states.battery_wh - reserve_wh < NEARLY_NONE * usable_wh) | (flows.dark_frac > 0)
        yield from _event(empty, "store", "battery", "The battery is down to its reserve.")
    for number, fuel in enumerate(plan.fuels):
        start_wh = hours.fuel_start_wh[number]
        gone = trace.fuel_wh[:, number] <= NEARLY_NONE * start_wh
        if start_wh > 0:
            yield from _event(gone, "store", fuel.name, _gone_text(plan, fuel.name))
    if fixed.cistern_m3 > 0:
        dry = states.cistern_m3 < NEARLY_NONE * fixed.cistern_m3
        yield from _event(dry, "store", "cistern", "The cistern is empty.")
    if hours.larder.pantry_kcal > 0:
        bare = trace.food_kcal.pantry_kcal < NEARLY_NONE * hours.larder.pantry_kcal
        yield from _event(bare, "store", "pantry", "The pantry is empty.")
    if hours.larder.freezer_kcal > 0:
        dark = states.freezer_dark_h >= fixed.freezer_hold_h * max(fixed.freezer_fill_frac, 0.5)
        left = trace.food_kcal.freezer_kcal.to_numpy()
        lost = dark & (left > NEARLY_NONE * hours.larder.freezer_kcal)
        yield from _event(
            lost,
            "store",
            "freezer",
            "The freezer has been off too long: what's left in it counts as lost.",
        )
        eaten = (left < NEARLY_NONE * hours.larder.freezer_kcal) & ~_until(lost)
        yield from _event(eaten, "store", "freezer", "The frozen food is eaten.")


def _gone_text(plan, store):
    users = [
        *(["generator"] if plan.generator and plan.generator.store == store else []),
        *(heater.name for heater in plan.heaters if heater.store == store),
        *(["hot water"] if plan.hot_water and plan.hot_water.store == store else []),
        *(["cooking"] if plan.cooking and plan.cooking.store == store else []),
    ]
    ends = f" What burns it stops: {', '.join(users)}." if users else ""
    return f"“{store}” runs out.{ends}"


def _until(condition):
    """Whether a condition has held at this hour or before."""
    return np.maximum.accumulate(np.asarray(condition, dtype=bool))


def _systems(outlook, trace):
    fixed, flows = outlook.hours.fixed, trace.flows
    for kind, short in (("Comfort", flows.comfort_short_w), ("Useful", flows.useful_short_w)):
        yield from _event(
            (short > 0) & (flows.dark_frac == 0),
            "system",
            f"{kind.lower()} loads",
            f"{kind} loads are switched off to spare the battery.",
        )
    yield from _event(
        flows.generator_h > 0, "system", "generator", "The generator starts for the first time."
    )
    yield from _event(
        flows.dark_frac > 0.5, "system", "power", "The essentials lose power for the first time."
    )
    if fixed.pump_m3 > 0:
        stopped = (flows.dark_frac > 0.5) & (flows.pump_w == 0)
        yield from _event(
            stopped, "system", "well pump", "The well pump stops: there is no power for it."
        )
    short = flows.least_short_m3 > 0
    yield from _event(short, "system", "water", "The taps no longer give even the least you need.")


FAILURE_TEXT = {
    "power": "Power has failed: too many bad nights, or too little for the essentials.",
    "water": "Water has failed: less than the least you need, several days in a row.",
    "warmth": "Warmth has failed: too many bad nights, or pipes at risk.",
    "food": "Food has failed: too little to eat over the last weeks.",
}
BAD_TEXT = {
    "power": "First bad night: the essentials were dark longer than your plan allows.",
    "water": "First dry day: less than the least you need.",
    "warmth": "First cold night: the rooms stayed below the limit for too long.",
    "food": "First bad week of food: too little to eat.",
}
BACK_TEXT = {
    "power": "Power is back for now: three days with hardly a dark hour",
    "water": "Water is back for now: three days with enough",
    "warmth": "The rooms are warm again for now, three days running",
    "food": "There is enough to eat again for now, three days running",
}


def is_back(trace, fixed, need, day, since):
    """Whether a need was met again over the three days that end with a day.

    fixed (Fixed) : Constants of the plan.
    day, since (int) : From 0; the need was bad, or had failed, before these three days.
    """
    if day < since + BACK_DAYS:
        return False
    hours = slice((day + 1 - BACK_DAYS) * 24, (day + 1) * 24)
    return bool(_missing(trace, fixed, need).iloc[hours].mean() <= BACK_FRAC)


def _missing(trace, fixed, need):
    """What is missing of a need, hour by hour, as a share or as yes and no."""
    if need == "power":
        return trace.flows.dark_frac
    if need == "water":
        return trace.flows.least_short_m3 > 0
    if need == "warmth":
        return trace.states.inside_c < fixed.cold_below_c
    return trace.food_kcal.eaten_kcal < fixed.food_share_frac * fixed.need_kcal


def _back(trace, fixed, failed, bad, days_n):
    """Each need's first return after its first bad day, and the first after its failure."""
    for need, text in BACK_TEXT.items():
        for since, until, still in (
            (bad[need], min(failed[need], days_n), "."),
            (failed[need], days_n, ". It still counts as failed."),
        ):
            days = (day for day in range(since, until) if is_back(trace, fixed, need, day, since))
            at = next(days, None)
            if at is not None:
                yield Event(at, 23, "back", need, f"{text}{still}")


def _needs(outlook, failed, bad, days_n):
    for need, day in failed.items():
        if day < days_n and day < outlook.horizon_days:
            yield Event(day, 23, "need", need, FAILURE_TEXT[need])
        if bad[need] < min(day, days_n):
            yield Event(bad[need], 23, "bad day", need, BAD_TEXT[need])
