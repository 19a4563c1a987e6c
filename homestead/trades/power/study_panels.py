"""Panels and their feeders: which PV feeds which busbar, and the most that a feeder carries.

A circuit says in which panel its breaker stands, the main panel if it says nothing; the circuit
that feeds a subpanel is its feeder. Owns no rule of the code.
"""

import math

from homestead.simulate.breakers import below
from homestead.trades.power.study_sources import machines_of


def followers_w(plan, panels=None):
    """AC power of all PV inverters, hydro and wind, or of those that stand in some panels. [W].

    What no circuit feeds is taken to stand in the main panel.
    """
    stands_in = {circuit.feeds: circuit.panel for circuit in plan.circuits}
    return sum(
        converter.converter_w
        for converter in (*plan.converters, *machines_of(plan))
        if converter.coupling == "ac"
        and (panels is None or stands_in.get(converter.name) in panels)
    )


def feeder_w(plan, subpanel, loads):
    """The most that a subpanel's feeder carries, what sets it, and what of it is continuous [W].

    Such as ``(12000.0, "all loads entered below it at once", 4500.0)``.
    Towards the subpanel: main inverter, or a generator without one, and all PV above it together,
    or less if the circuits entered in it ask for less. Away from it: all PV below it.
    """
    panels = below(plan, subpanel)
    former, engine = plan.grid_former, plan.generator
    stands_in = {circuit.feeds: circuit.panel for circuit in plan.circuits}
    makes_w = former.all_units_w if former else engine.rated_w if engine else 0.0
    back_w = followers_w(plan, panels)
    offered_w = followers_w(plan) - back_w
    inside = [circuit for circuit in plan.circuits if circuit.panel in panels]
    by_name = {load.name: load for load in loads}
    asked_w = sum(
        by_name[circuit.feeds].running_w for circuit in inside if circuit.feeds in by_name
    )
    known = {
        *by_name,
        *(converter.name for converter in plan.converters),
        *(subpanel.name for subpanel in plan.subpanels),
    }
    if not inside or any(circuit.feeds not in (*known, "main inverter") for circuit in inside):
        asked_w = math.inf  # something that nobody can add up
    if stands_in.get("main inverter") in panels:
        back_w += makes_w
        asked_w += former.charger_w if former else 0.0
    else:
        offered_w += makes_w
    towards_w = min(offered_w, asked_w)
    if back_w >= towards_w:
        return back_w, "all inverters below it at full output", back_w
    if asked_w < offered_w:
        # 422.13: storage water heaters count as continuous; circuits may say so of others.
        long_w = sum(
            by_name[circuit.feeds].running_w
            for circuit in inside
            if circuit.feeds in by_name and (circuit.continuous or circuit.feeds == "water heater")
        )
        return asked_w, "all loads entered below it at once", long_w
    return offered_w, "main inverters and all PV inverters above it together", offered_w
