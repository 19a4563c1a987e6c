"""Findings about power from water and wind: pipe, pressure, dry months, surplus, tower, yield."""

import numpy as np

from homestead import units
from homestead.findings.finding import found
from homestead.formulas.power import hydro
from homestead.formulas.water import hydraulics
from homestead.simulate import sources
from homestead.simulate.months import DAYS_OF_MONTH, by_month
from homestead.trades.power import study_sources as study
from homestead.vocabulary import MONTHS

PRACTICE = "Common practice, no source"
PIPE_LOSS_FRAC = 0.15  # a pipe that costs more deserves a second look; common practice, no source
TOWER = "US Department of Energy, Small Wind Electric Systems, from memory"
CLEAR_M, AROUND_M = (units.parse(written, "length") for written in ("30 ft", "300 ft"))
HIGH_CAPACITY_FRAC = 0.3  # more than nearly any small turbine brings; common practice, no source


def findings_of(plan, hours=None):
    """Yield findings about the sources of power but the sun."""
    if plan.wind:
        yield _tower(plan.wind)
        if hours is not None and "wind" in hours.sources:
            yield _wind_yield(plan.wind, hours)
    if plan.hydro:
        yield from _pipe(plan.hydro)
        yield from _dry_months(plan.hydro)
        if hours is not None:
            yield from _low_months(hours)
        yield _surplus(plan.hydro)
        yield _pressure(plan.hydro)


def _pipe(plant):
    best_m3s = float(
        hydro.best_flow_m3s(
            plant.head_m, plant.pipe_inside_m, plant.pipe_length_m, plant.hazen_williams
        )
    )
    lost_m = float(sources.hydro_friction_m(plant, float(sources.hydro_flow_m3s(plant).max())))
    lost = "The pipe takes {lost_m} of the {head_m} drop"
    if min(max(plant.flow_m3s), plant.most_flow_m3s) > best_m3s:
        yield found(
            "sources.pipe past its best: hydro",
            "warning",
            lost + ". It can use {best_m3s} at most: more water than that gives less power. A "
            "wider pipe gives more.",
            "Peak of flow times head less pipe loss",
            locals(),
            plant,
            limit="best_m3s",
        )
    elif lost_m > PIPE_LOSS_FRAC * plant.head_m:
        yield found(
            "sources.pipe loss: hydro",
            "note",
            lost + " at the most water; 10 to 15 % is usual. A wider pipe gives more.",
            PRACTICE,
            locals(),
            plant,
        )


def _dry_months(plant):
    dry = np.flatnonzero(sources.hydro_by_month_w(plant) <= 0.0)
    if len(dry):
        months = [MONTHS[month] for month in dry]
        said = "The turbine stops in {months}: the stream is too dry or frozen then."
        yield found("sources.dry months: hydro", "note", said, "As entered", locals())


def _low_months(hours):
    """Months in which all sources but the generator offer less than the essentials ask."""
    offered = by_month(hours.column("pv_dc_w") + hours.column("pv_ac_w"), hours.years_n)
    asked = by_month(hours.column("essential_w"), hours.years_n) / DAYS_OF_MONTH
    offered, asked = offered / DAYS_OF_MONTH, asked + hours.fixed.idle_w * 24.0
    low = np.flatnonzero(offered < asked)
    if len(low):
        worst = low[np.argmin(offered[low] - asked[low])]
        months, worst_month = [MONTHS[month] for month in low], MONTHS[worst]
        offered_wh, asked_wh = offered[worst], asked[worst]
        yield found(
            "sources.low months: hydro",
            "warning",
            "In {months} water, wind and sun together give less than the essentials and the "
            "inverter need, down to {offered_wh:.1f} of {asked_wh:.1f} a day in {worst_month}. "
            "A battery carries that for days, not for a month.",
            "The plan and its weather",
            locals(),
            limit="asked_wh",
        )


def _surplus(plant):
    most_w = float(sources.hydro_by_month_w(plant).max())
    return found(
        "sources.surplus: hydro",
        "note",
        "It never stops while water runs. Once the battery is full, its dump load and controller "
        "must take all {most_w:2}, or it overspeeds. {electrician}",
        PRACTICE,
        locals(),
    )


def _pressure(plant):
    pressure_pa = float(hydraulics.head_pressure_pa(plant.head_m))
    return found(
        "sources.pressure: hydro",
        "warning",
        "The pipe holds {pressure_pa} at the turbine, and much more when a valve is shut fast: "
        "check its rating, anchor its bends and close slowly. Taking water from a stream usually "
        "needs a permit.",
        "Weight of the water at the drop entered",
        locals(),
    )


def _tower(turbine):
    return found(
        "sources.tower: wind turbine",
        "note",
        "Hub at {tower_m}. The rotor should turn {clear_m} above everything within {around_m}, "
        "trees at their full height included. Behind trees it gives much less than here: the "
        "weather file's wind is that of open ground. The tower, its footing and guys need an "
        "engineer's design, and often a permit.",
        TOWER,
        turbine,
        {"clear_m": CLEAR_M, "around_m": AROUND_M},
        limit="clear_m",
    )


def _wind_yield(turbine, hours):
    offered_w = hours.sources["wind"]
    share_frac = study.capacity_frac(turbine, offered_w)
    calm_days = float(study.calm_so_far_h(offered_w).max()) / 24.0
    is_high = share_frac > HIGH_CAPACITY_FRAC
    return found(
        "sources.wind yield: wind turbine",
        "warning" if is_high else "note",
        "It gives {share_frac:.0f} of its highest power on average and stops for up to "
        "{calm_days:.1f} in a row.{synthetic: Real calms last longer than those of made-up "
        "years: fetch real years for wind.|}{is_high: Hardly any small turbine gives that much: "
        "check curve and shear.|}",
        PRACTICE if is_high else "Curve and weather",
        locals(),
        hours,
    )
