"""Water and wind as machines, and what wind gives over the years."""

from typing import NamedTuple

import numpy as np


class Machine(NamedTuple):
    """A source of power but the sun, by what its converter can push."""

    name: str
    coupling: str
    converter_w: float


def machines_of(plan):
    """Hydro plant and wind turbine of a plan, as far as there are any."""
    found = []
    if plan.hydro:
        most_w = plan.hydro.limit_w * plan.hydro.converter_efficiency_frac
        found.append(Machine("hydro plant", plan.hydro.coupling, most_w))
    if plan.wind:
        most_w = max(plan.wind.curve_points[1]) * plan.wind.converter_efficiency_frac
        found.append(Machine("wind turbine", plan.wind.coupling, most_w))
    return found


def offering(plan):
    """What gives power in a plan without burning fuel, and its verb: ``("the sun", "gives")``."""
    named = {"the sun": plan.arrays, "wind": plan.wind, "water": plan.hydro}
    there = [name for name, part in named.items() if part] or ["the sun"]
    *first, last = there
    words = f"{', '.join(first)} and {last}" if first else last
    return words, "give" if first else "gives"


def calm_so_far_h(offered_w):
    """Hours without power up to and with each hour, array of shape (hours,). [h]."""
    hour = np.arange(1, len(offered_w) + 1)
    last_power = np.maximum.accumulate(np.where(offered_w > 0.0, hour, 0))
    return hour - last_power


def capacity_frac(turbine, offered_w):
    """Average power over the most that the curve gives."""
    return float(offered_w.mean()) / max(turbine.curve_points[1])
