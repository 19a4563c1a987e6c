"""Findings about power from water and wind: pipe, pressure, dry months, surplus, tower, yield."""

import numpy as np

from homestead import units
from homestead.findings.finding import DEFER, Finding
from homestead.formulas.power import hydro
from homestead.formulas.water import hydraulics
from homestead.simulate import sources
from homestead.simulate.months import DAYS_OF_MONTH, by_month
from homestead.trades.power import study_sources as study
from homestead.vocabulary import MONTHS

PRACTICE = "Common practice, no source"
WH_PER_KWH, HOURS_A_DAY = 1000.0, 24.0
PIPE_LOSS_FRAC = 0.15  # a pipe that costs more deserves a second look; common practice, no source


def findings_of(plan, hours=None):
    """Yield findings about the sources of power but the sun."""
    if plan.wind:
        yield _tower(plan)
        if hours is not None and "wind" in hours.sources:
            yield _wind_yield(plan, hours)
    if plan.hydro:
        yield from _pipe(plan)
        yield from _dry_months(plan)
        if hours is not None:
            yield from _low_months(plan, hours)
        yield from _surplus(plan)
        yield _pressure(plan)


def _pipe(plan):
    plant = plan.hydro
    flow_m3s = float(sources.hydro_flow_m3s(plant).max())
    best_m3s = float(
        hydro.best_flow_m3s(
            plant.head_m, plant.pipe_inside_m, plant.pipe_length_m, plant.hazen_williams
        )
    )
    wanted_m3s = min(max(plant.flow_m3s), plant.most_flow_m3s)
    lost_m = float(sources.hydro_friction_m(plant, flow_m3s))
    said = units.show(lost_m, "length", plan.units)
    lost = f"The pipe takes {said} of the {units.show(plant.head_m, 'length', plan.units)} drop"
    if wanted_m3s > best_m3s:
        text = (
            f"{lost}. It can use {units.show(best_m3s, 'flow', plan.units)} at most: more "
            "water than that gives less power. A wider pipe gives more."
        )
        yield Finding(
            "warning", "hydro", text, "Peak of flow times head less pipe loss", code="pipe"
        )
    elif lost_m > PIPE_LOSS_FRAC * plant.head_m:
        text = f"{lost} at the most water; 10 to 15 % is usual. A wider pipe gives more."
        yield Finding("note", "hydro", text, PRACTICE, code="pipe")


def _dry_months(plan):
    dry = np.flatnonzero(sources.hydro_by_month_w(plan.hydro) <= 0.0)
    if len(dry):
        named = ", ".join(MONTHS[month] for month in dry)
        text = f"The turbine stops in {named}: the stream is too dry or frozen then."
        yield Finding("note", "hydro", text, "As entered", code="dry months")


def _low_months(plan, hours):
    """Months in which all sources but the generator offer less than the essentials ask."""
    per_day = DAYS_OF_MONTH * WH_PER_KWH
    offered = by_month(hours.column("pv_dc_w") + hours.column("pv_ac_w"), hours.years_n) / per_day
    asked = by_month(hours.column("essential_w"), hours.years_n) / per_day
    asked = asked + hours.fixed.idle_w * HOURS_A_DAY / WH_PER_KWH
    low = np.flatnonzero(offered < asked)
    if len(low):
        worst = low[np.argmin(offered[low] - asked[low])]
        text = (
            f"In {', '.join(MONTHS[month] for month in low)} water, wind and sun together offer "
            f"less than essential loads and the inverter need, down to {offered[worst]:.1f} of "
            f"{asked[worst]:.1f} kWh a day in {MONTHS[worst]}. A battery carries that for days, "
            "not for a month."
        )
        yield Finding("warning", "hydro", text, "The plan and its weather", code="low months")


def _surplus(plan):
    most_w = float(sources.hydro_by_month_w(plan.hydro).max())
    text = (
        f"It never stops while water runs. Once the battery is full, its dump load and controller "
        f"must take all {most_w / 1000:.2g} kW, or it overspeeds. {DEFER}"
    )
    yield Finding("note", "hydro", text, PRACTICE, code="surplus")


def _pressure(plan):
    pressure_pa = float(hydraulics.head_pressure_pa(plan.hydro.head_m))
    text = (
        f"The pipe holds {units.show(pressure_pa, 'pressure', plan.units)} at the turbine, and "
        f"much more when a valve is shut fast: check its rating, anchor its bends and "
        "close slowly. Taking water from a stream usually needs a permit."
    )
    return Finding(
        "warning", "hydro", text, "Weight of the water at the drop entered", code="pressure"
    )


TOWER = "US Department of Energy, Small Wind Electric Systems, from memory"
HIGH_CAPACITY_FRAC = 0.3  # more than nearly any small turbine brings; common practice, no source


def _tower(plan):
    clear, around = (
        units.show(units.parse(f"{feet} ft", "length"), "length", plan.units) for feet in (30, 300)
    )
    text = (
        f"Hub at {units.show(plan.wind.tower_m, 'length', plan.units)}. The rotor "
        f"should turn {clear} above everything within {around}, trees at their full height "
        "included. Behind trees it gives much less than here: the weather file's wind is that of "
        "open ground. The tower, its footing and guys need an engineer's design, and often a "
        "permit."
    )
    return Finding("note", "wind turbine", text, TOWER, code="tower")


def _wind_yield(plan, hours):
    offered_w = hours.sources["wind"]
    share = study.capacity_frac(plan.wind, offered_w)
    calm_days = float(study.calm_so_far_h(offered_w).max()) / 24.0
    text = (
        f"It gives {share:.0%} of its highest power on average".replace("%", " %")
        + f" and stops for up to {calm_days:.1f} days in a row."
    )
    if hours.synthetic:
        text += " Real calms last longer than those of drawn years: fetch real years for wind."
    if share > HIGH_CAPACITY_FRAC:
        text += " That is more than nearly any small turbine brings: check curve and shear."
        return Finding("warning", "wind turbine", text, PRACTICE, code="wind yield")
    return Finding("note", "wind turbine", text, "Curve and weather", code="wind yield")
