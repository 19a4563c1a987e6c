"""Series behind the figures: the worst start, the coldest week, what each store holds.

Plain arrays and tables, no drawing. Owns how an hourly trace is thinned to what a figure shows.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead.outlook.independence import day_text
from homestead.screen.readable import date_text
from homestead.simulate.inputs import DAYS_N
from homestead.simulate.trace import trace_of

RUN_UP_DAYS = 7  # the house has forgotten its first state by then


def need_of_fuel(plan, fuel):
    """Need that a fuel store mainly covers: power if only the generator draws on it."""
    burners = [*plan.heaters, plan.hot_water, plan.cooking]
    warms = any(burner is not None and burner.store == fuel.name for burner in burners)
    drives = plan.generator is not None and plan.generator.store == fuel.name
    return "power" if drives and not warms else "warmth"


@dataclass(frozen=True)
class Week:
    """Seven days hour by hour, in a year with deliveries."""

    begins: str  # first day, such as ``"Jan 13"``
    hourly: pd.DataFrame  # shape (168, 3); outside_c, inside_c, heat_w


def coldest_week(outlook):
    """The seven days in a row with the lowest mean outdoor temperature, of all weather years."""
    hours = outlook.hours
    air_c = hours.column("air_c")
    daily_c = air_c.reshape(-1, 24).mean(axis=1)
    first = int(np.argmin(np.convolve(daily_c, np.ones(7) / 7, mode="valid")))
    before = min(first, RUN_UP_DAYS)
    trace = trace_of(hours, first - before, before + 7, delivered=True)
    within = slice(before * 24, (before + 7) * 24)
    return Week(
        date_text(day_text(first % DAYS_N)),
        pd.DataFrame(
            {
                "outside_c": air_c[first * 24 : (first + 7) * 24],
                "inside_c": trace.states["inside_c"].to_numpy()[within],
                "heat_w": trace.flows["heat_w"].to_numpy()[within],
            }
        ),
    )
