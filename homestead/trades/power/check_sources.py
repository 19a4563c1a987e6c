"""Findings about power from running water: pipe, pressure, dry months, who takes the surplus."""

import numpy as np

from homestead import units
from homestead.findings.finding import DEFER, Finding
from homestead.formulas.power import hydro
from homestead.formulas.water import hydraulics
from homestead.simulate import sources
from homestead.vocabulary import MONTHS

PRACTICE = "Common practice, no source"
PIPE_LOSS_FRAC = 0.15  # a pipe that costs more deserves a second look; common practice, no source


def findings_of(plan):
    """Yield findings about the sources of power but the sun."""
    if plan.hydro:
        yield from _pipe(plan)
        yield from _dry_months(plan)
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
            f"{lost}. It can make use of {units.show(best_m3s, 'flow', plan.units)} at most: more "
            "water than that gives less power. A wider pipe gives more."
        )
        yield Finding("warning", "hydro", text, "Peak of flow times head less pipe loss")
    elif lost_m > PIPE_LOSS_FRAC * plant.head_m:
        text = f"{lost} at the most water; 10 to 15 % is usual. A wider pipe gives more."
        yield Finding("note", "hydro", text, PRACTICE)


def _dry_months(plan):
    dry = np.flatnonzero(sources.hydro_by_month_w(plan.hydro) <= 0.0)
    if len(dry):
        named = ", ".join(MONTHS[month] for month in dry)
        text = f"The plant stands still in {named}: it is too dry or frozen then, as entered."
        yield Finding("note", "hydro", text, "As entered")


def _surplus(plan):
    most_w = float(sources.hydro_by_month_w(plan.hydro).max())
    text = (
        f"It never stops while water runs. Once the battery is full, its dump load and controller "
        f"must take all {most_w / 1000:.2g} kW, or it overspeeds. {DEFER}"
    )
    yield Finding("note", "hydro", text, PRACTICE)


def _pressure(plan):
    pressure_pa = float(hydraulics.head_pressure_pa(plan.hydro.head_m))
    text = (
        f"The pipe stands under {units.show(pressure_pa, 'pressure', plan.units)} at the turbine, "
        "and under much more when a valve is shut fast: check its rating, anchor its bends and "
        "close slowly. Taking water from a stream usually needs a permit."
    )
    return Finding("warning", "hydro", text, "Weight of the water at the drop entered")
