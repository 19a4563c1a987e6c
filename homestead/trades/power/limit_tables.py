"""Tables of what is held against a limit: strings, starts, legs, a lost unit, circuits.

From the studies of `homestead.trades` and the findings of the checks. Nothing is judged
here: a cell that says "outside" repeats a finding. Temperatures follow the reader's units.
"""

import math

import pandas as pd

from homestead import units as measures
from homestead.formulas.power import strings as string_formulas
from homestead.questions import run_together
from homestead.screen.notes import Prose
from homestead.screen.readable import WATTS_PER_KW, count_text
from homestead.simulate import constants
from homestead.trades.power import check_electrical as electrical
from homestead.trades.power import study_loads as load_study
from homestead.trades.power import study_starting as start_study
from homestead.trades.power.check_wiring import served_by
from homestead.trades.power.tables import clock, framed, kilowatts
from homestead.vocabulary import MONTHS

NOT_ENTERED = "not entered"
BREAKER_COLUMN = "Breaker, by the code's figures (240.4, 210.20)"


def legs(plan):
    """The two legs of a 120/240 V panel in the busiest hour; one row where there is one leg."""
    columns = ["Leg", "Power (kW)", "Half of the main inverter (kW)", "Busiest hour"]
    loads = load_study.loads_of(plan)
    if not loads:
        return framed([], columns)
    busiest = load_study.busiest_hour(loads)
    at = f"{MONTHS[busiest.month - 1]}, {clock(busiest.hour)}"
    former = plan.grid_former
    if former is not None and not former.is_split:
        columns[2] = "Main inverter (kW)"
        rows = [("only", busiest.total_w, former.all_units_w)]
    else:
        limit_w = former.all_units_w / 2 if former else math.nan
        rows = [("A", busiest.leg_a_w, limit_w), ("B", busiest.leg_b_w, limit_w)]
    cells = [
        (leg, round(watts / WATTS_PER_KW, 2), _limit_text(limit_w), at)
        for leg, watts, limit_w in rows
    ]
    return framed(cells, columns)


def _limit_text(watts):
    return "none" if math.isnan(watts) else f"{watts / WATTS_PER_KW:.2f}"


def starts(plan):
    """Each start of the plan in its busiest hour, beside the surge of the main inverter."""
    columns = [
        *("Motor", "Busiest hour", "Others running (kW)", "Its start (kVA)", "Together (kVA)"),
        *("With a soft starter (kVA)", "Surge (kW)", "As entered"),
    ]
    cells = [
        (
            start.name,
            f"{MONTHS[start.month - 1]}, {clock(start.hour)}",
            *kilowatts([start.base_w, start.start_va, start.total_va, start.soft_total_va], 1),
            f"{start.surge_w / WATTS_PER_KW:.1f}" if start.surge_w else "none",
            _start_words(start),
        )
        for start in start_study.starts(plan)
    ]
    return framed(cells, columns)


def _start_words(start):
    if start.is_within:
        return "within"
    is_within_soft = start.soft_total_va <= start.surge_w
    return "outside; within with a soft starter" if is_within_soft else "outside"


def without_start(plan):
    """Which appliances have no start entered, and so are no part of the hardest start."""
    names = [load.name for load in load_study.loads_of(plan) if load.has_no_start_entered]
    if not names:
        return Prose("Every appliance has a starting current.")
    return Prose(
        f"No starting current is entered for: {'; '.join(names)}. They aren't counted in the "
        f"hardest start. If one has a motor, enter the starting current from its plate."
    )


def hardest_start(plan):
    """The hardest start of the plan, without a soft starter and with one."""
    start, former = start_study.hardest(plan), plan.grid_former
    rows = {"other loads that may run": start.base_w}
    if start.name is not None:
        rows |= {
            f"start of {start.name}, without a soft starter": start.start_va,
            "together": start.total_va,
            "start with a soft starter": start.soft_start_va,
            "together with a soft starter": start.soft_total_va,
        }
    if former is not None:
        rows |= {
            f"main inverter, for {measures.digits(former.surge_s)} s": former.all_units_surge_w,
            "main inverter, continuous": former.all_units_w,
        }
    return pd.DataFrame(
        {"Figure": list(rows), "kVA or kW": kilowatts(list(rows.values()), 1)}
    ).set_index("Figure")


def together(outlook):
    """What may run and start together, in the hour in which the most may run.

    Gives dict of str to DataFrame: A table for each situation, loads in the order in which to
        switch them on.
    """
    asked = run_together.at_its_busiest(outlook.hours)
    columns = [
        *("Load", "Priority", "Runs (kW)", "Together (kW)", "Left (kW)", "Starts (kVA)"),
        *("Start left, in this order (kVA)", "Start left, all else on (kVA)"),
        *("The same, soft starter (kVA)", "Beside those before it", "Switch off first"),
    ]
    found = {}
    for case in asked.sets:
        soft = {step.load.name: step for step in case.soft}
        rows = [_together_row(step, soft[step.load.name]) for step in case.plain]
        here = case.situation
        title = f"{here.name[0].upper()}{here.name[1:]}: {MONTHS[here.month - 1]}, "
        title += clock(here.hour)
        found[title] = framed(rows, columns)
    return found


def _together_row(step, soft):
    off = "doesn't fit by itself" if step.off_first is None else "; ".join(step.off_first)
    beside = "on" if step.fits else f"waits; runs {run_together.lasts_text(step.lasts_s)}"
    if not step.fits and math.isinf(step.lasts_s):
        beside = "waits: it can't start"
    return (
        step.load.name,
        step.load.priority_n,
        round(step.load.running_w / WATTS_PER_KW, 2),
        round(step.running_w / WATTS_PER_KW, 2),
        round(step.left_w / WATTS_PER_KW, 2),
        *(
            _kva(value if step.start_va > 0.0 else math.inf)
            for value in (step.start_va, step.left_va, step.all_on_va, soft.all_on_va)
        ),
        beside,
        off or "nothing",
    )


def _kva(value):
    return "no motor" if math.isinf(value) else f"{value / WATTS_PER_KW:.1f}"


def unit_loss(plan):
    """What is left for the essential loads when one unit of the main inverter fails."""
    found = start_study.one_unit_fails(plan)
    rows = {}
    if found is not None:
        left = found.left_n
        rows = {"units left": count_text(left, "unit") if left else "none: the house is dark"}
    if found is not None and found.left_n:
        rows |= {
            "continuous power left": f"{found.continuous_w / WATTS_PER_KW:.1f} kW",
            "essential loads together": f"{found.essential_w / WATTS_PER_KW:.1f} kW",
            "surge left": f"{found.surge_w / WATTS_PER_KW:.1f} kW",
            "hardest essential start": (
                f"{found.start_va / WATTS_PER_KW:.1f} kVA ({found.start_name})"
                if found.start_name
                else "no motor"
            ),
            "a 120 V leg goes dark": "yes" if found.leg_is_dark else "no",
            "stops with it, at 240 V": ", ".join(found.stopped) or "nothing essential",
            "by these figures": "within" if found.carries_essential else "outside",
        }
    return pd.DataFrame(
        {"When one unit fails": list(rows), "Figure": list(rows.values())}
    ).set_index("When one unit fails")


def _or_missing(value, how=""):
    return "not entered" if value is None else format(value, how)


def strings(plan, units="us"):
    """Voltages and currents of each array's strings at the site's extremes, beside its limits."""
    cold, hot = (
        measures.show(air_c, "temperature", units)
        for air_c in (plan.site.record_low_c, plan.site.record_high_c)
    )
    rows = []
    for array in plan.arrays:
        found = string_formulas.strings(array, plan.site)
        low, most = array.tracker_min_v, array.tracker_max_v
        rows.append(
            {
                "Array": array.name,
                "Strings": f"{array.strings_n} × {array.modules_per_string_n}",
                f"No load at {cold} (V)": round(found.cold_open_circuit_v),
                "Converter takes (V)": _or_missing(array.converter_max_v, ".0f"),
                f"At work at {hot} (V)": round(found.hot_operating_v),
                "Tracker (V)": f"{_or_missing(low, '.0f')} to {_or_missing(most, '.0f')}",
                "In series, by these figures": (
                    f"{_or_missing(found.fewest_modules_n)} to {_or_missing(found.most_modules_n)}"
                ),
                "Short circuit (A)": round(array.isc_a * array.strings_n, 1),
                "Input takes (A)": _or_missing(array.converter_max_a, ".1f"),
                "By these figures": (
                    "within"
                    if all(finding.severity == "note" for finding in found.findings)
                    else "outside, see the findings"
                ),
            }
        )
    columns = list(rows[0]) if rows else ["Array", "Strings", "By these figures"]
    return framed(rows, columns)


def circuits(plan, outlook=None):
    """Each circuit: what it carries, its wire and breaker, and what the checks found.

    outlook (Outlook, optional) : Whose findings are looked up; worked out from the plan alone if
        not given.
    """
    columns = [
        *("Circuit", "Feeds", "Carries (A)", "Counted as", "Held against (A)", "Wire"),
        *("Breaker (A)", "Wire, Table 310.16", BREAKER_COLUMN, "Voltage drop, 3 %", "Disconnect"),
    ]
    found = outlook.findings if outlook is not None else tuple(electrical.findings_of(plan))
    fixed = outlook.hours.fixed if outlook is not None else constants.fixed_of(plan)
    loads = load_study.loads_of(plan, fixed)
    cells = []
    for circuit in plan.circuits:
        served = served_by(plan, circuit, loads)
        is_known = served.current_a >= 0.0
        cells.append(
            (
                circuit.name,
                circuit.feeds,
                f"{served.current_a:.1f}" if is_known else "unknown",
                served.counted + _hangs_on_it(found, circuit),
                f"{served.least_a:.1f}" if is_known else "unknown",
                f"AWG {circuit.size} {circuit.metal}",
                f"{circuit.breaker_a:.0f}" if circuit.breaker_a else NOT_ENTERED,
                *(_found(found, circuit, part) for part in ("wire", "breaker", "voltage drop")),
                {None: NOT_ENTERED, True: "yes", False: "none"}[circuit.disconnect],
            )
        )
    return framed(cells, columns)


def _hangs_on_it(findings, circuit):
    """Whether the circuit lies within its figures only because it is entered as not continuous."""
    hangs = ("wires.not continuous", circuit.name, "note") in {f.key for f in findings}
    return "; outside if continuous, see its note" if hangs else ""


def _found(findings, circuit, part):
    """What the checks say about one thing: within, or outside and how grave."""
    weights = [
        finding.severity
        for finding in findings
        if finding.code.startswith(f"wires.{part}") and finding.subject == circuit.name
    ]
    if not weights:
        return "not compared"
    grave = next((weight for weight in ("danger", "warning") if weight in weights), None)
    return f"outside: {grave}" if grave else "within"
