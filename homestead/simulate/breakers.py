"""What breakers let through: of main inverters, of PV inverters, of feeders between panels.

A breaker that is not entered limits nothing. Panels are those of `homestead.plan.wiring`: a circuit
stands in the main panel if it says nothing.
"""

import math

import numpy as np

HOUSE_V = 240.0  # of a house whose plan names no main inverter; common practice, no source


def below(plan, panel):
    """Names of a panel and all that it feeds; None is the main panel, from which all are fed."""
    found, waiting = [], [panel]
    while waiting:
        found.append(waiting.pop())
        waiting += [
            circuit.feeds
            for circuit in plan.circuits
            if (circuit.panel or None) == found[-1]
            and circuit.feeds in {sub.name for sub in plan.subpanels}
            and circuit.feeds not in found
        ]
    return set(found)


def held_w(plan, feeds):
    """Power that breakers of all circuits to one thing let through; infinite if unknown. [W]."""
    own = [circuit for circuit in plan.circuits if circuit.feeds == feeds]
    if not own or any(circuit.breaker_a is None for circuit in own):
        return math.inf
    house_v = plan.grid_former.output_v if plan.grid_former else HOUSE_V
    return sum(circuit.breaker_a * (circuit.supply_v or house_v) for circuit in own)


def former_held_w(plan):
    """The most that breakers between main inverters and the loads let through. [W].

    Main inverters in a subpanel serve what stands there, and the rest through its feeder.
    """
    held = min(held_w(plan, feeds) for feeds in ("main inverter", "panel"))
    stands_in = next(
        (circuit.panel for circuit in plan.circuits if circuit.feeds == "main inverter"), None
    )
    if stands_in is not None:
        inside = {
            circuit.feeds for circuit in plan.circuits if circuit.panel in below(plan, stands_in)
        }
        beside_w = sum(
            appliance.power_w * appliance.count_n
            for appliance in plan.appliances
            if appliance.name in inside
        )
        held = min(held, held_w(plan, stands_in) + beside_w)
    return held


def feeders(plan):
    """Subpanels whose feeder's breaker is known, innermost first: panels below, limit [W]."""
    found = []
    for sub in plan.subpanels:
        limit_w = held_w(plan, sub.name)
        if sub.main_breaker_a > 0.0 and plan.grid_former:
            limit_w = min(limit_w, sub.main_breaker_a * plan.grid_former.output_v)
        if math.isfinite(limit_w):
            found.append((below(plan, sub.name), limit_w))
    return sorted(found, key=lambda pair: len(pair[0]))


def standing_in(plan, panels):
    """Names of what circuits in some panels feed."""
    return {circuit.feeds for circuit in plan.circuits if circuit.panel in panels}


def let_through(plan, followers_w, appliance_w):
    """AC power of each PV inverter or array after its own breaker and the feeders above it.

    followers_w (dict of str to float array of shape (hours,)) : What each gives by itself. [W]
    appliance_w (callable) : Mean power by hour of the appliances with some names, same shape.
    Gives dict like `followers_w`. Loads in a panel take the sun of that panel first.
    """
    held = {name: np.minimum(watts, held_w(plan, name)) for name, watts in followers_w.items()}
    for panels, limit_w in feeders(plan):
        inside = standing_in(plan, panels)
        if "main inverter" in inside:
            continue  # what flows there is no longer the sun of this panel alone
        names = [name for name in held if name in inside]
        given_w = sum((held[name] for name in names), np.zeros(1))
        most_w = limit_w + appliance_w(inside)
        over = given_w > most_w
        if not np.any(over):
            continue
        share = np.where(over, most_w / np.maximum(given_w, 1e-9), 1.0)
        for name in names:
            held[name] = held[name] * share
    return held
