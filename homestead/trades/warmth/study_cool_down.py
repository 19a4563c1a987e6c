"""How fast the house cools when all heat stops on the coldest night, and when pipes are at risk."""

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead.formulas.warmth import cool_down as cooling_down
from homestead.trades.warmth.study_warmth import loss_w_k, time_constant_h

EVENING_H = 18  # when the heat stops before the coldest night; project choice
CURVE_H = 168
NIGHT_H = 12


@dataclass(frozen=True)
class CoolDown:
    """What the rooms do when all heat stops on the evening before the coldest night."""

    first_hour: int  # hour from 0, counted through all weather years, at which the heat stops
    # Index: hours since then, from 0. Columns: air_c (nan at 0), inside_c, pipes_c.
    curve: pd.DataFrame
    # The plan's own limits for rooms and pipes. [degC].
    limit_c: float
    pipes_limit_c: float
    # In that weather, with sun and people; infinity if not within the curve. [h].
    hours_to_limit: float
    hours_to_pipes_at_risk: float
    # Outdoors held at the record low, no gains at all. [h].
    steady_hours_to_limit: float
    steady_hours_to_pipes: float
    time_constant_h: float


def coldest_evening(air_c):
    """Hour at which the evening before the coldest twelve hours begins, from hourly air."""
    around = np.concatenate([air_c, air_c[: NIGHT_H - 1]])
    sums = np.convolve(around, np.ones(NIGHT_H), mode="valid")
    coldest = int(np.argmin(sums)) + NIGHT_H // 2
    return int((coldest - EVENING_H) // 24 * 24 + EVENING_H) % len(air_c)


def cool_down(hours):
    """How fast the house cools when all heat stops on the coldest night.

    Gives CoolDown.

    Sun and people still warm the rooms; appliances do not, since heat often stops with the power.
    Each hour follows the exact solution for one node with steady air and gains. The steady
    figures are the textbook's cool-down with neither sun nor people.
    """
    plan = hours.plan
    loss, tau_h = loss_w_k(plan), time_constant_h(plan)
    air_c = hours.column("air_c")
    first = coldest_evening(air_c)
    at = (first + np.arange(CURVE_H)) % len(air_c)
    gain_w = hours.column("sun_gain_w")[at] + hours.column("people_w")[at]
    steady_c = air_c[at] + gain_w / loss
    keeps_frac = math.exp(-1.0 / tau_h)
    inside_c = [plan.house.keep_c]
    for towards_c in steady_c:
        inside_c.append(towards_c + (inside_c[-1] - towards_c) * keeps_frac)
    inside_c = np.array(inside_c)
    outside_c = np.concatenate([[air_c[first - 1]], air_c[at]])
    share = plan.house.pipes_outside_frac
    pipes_c = inside_c + share * (outside_c - inside_c)
    curve = pd.DataFrame(
        {"air_c": outside_c, "inside_c": inside_c, "pipes_c": pipes_c},
        index=pd.RangeIndex(CURVE_H + 1, name="hour_h"),
    )
    limit_c, pipes_limit_c = plan.failure.cold_below_c, plan.failure.pipes_below_c
    low_c = plan.site.record_low_c
    return CoolDown(
        first_hour=first,
        curve=curve,
        limit_c=limit_c,
        pipes_limit_c=pipes_limit_c,
        hours_to_limit=first_below_h(inside_c, limit_c),
        hours_to_pipes_at_risk=first_below_h(pipes_c, pipes_limit_c),
        steady_hours_to_limit=float(
            cooling_down.hours_to_cool(plan.house.keep_c, low_c, limit_c, tau_h)
        ),
        steady_hours_to_pipes=steady_hours_to_pipes(plan, low_c),
        time_constant_h=tau_h,
    )


def first_below_h(values_c, limit_c):
    """Hours until a curve of hourly points first reaches a limit, linear between points. [h]."""
    below = np.flatnonzero(values_c <= limit_c)
    if len(below) == 0:
        return math.inf
    after = int(below[0])
    if after == 0:
        return 0.0
    before_c, after_c = values_c[after - 1], values_c[after]
    return float(after - 1 + (before_c - limit_c) / (before_c - after_c))


def steady_hours_to_pipes(plan, outside_c):
    """Hours to pipes at risk without heat or gains, outdoors held steady. [h]."""
    share, limit_c = plan.house.pipes_outside_frac, plan.failure.pipes_below_c
    if outside_c >= limit_c:
        return math.inf
    if share >= 1.0:
        return 0.0
    # Rooms at which the pipes, partly outdoors, are just at their limit.
    rooms_c = min((limit_c - share * outside_c) / (1.0 - share), 60.0)
    return float(
        cooling_down.hours_to_cool(plan.house.keep_c, outside_c, rooms_c, time_constant_h(plan))
    )
