"""Findings about spring and ram pump: storage for a peak, dry months, what is in the water."""

import numpy as np

from homestead import reference, units
from homestead.findings.finding import Finding
from homestead.formulas.water import springs
from homestead.simulate import sources, water_supply
from homestead.vocabulary import MONTHS

DEFER = "The local health department decides."
PEAK_H = 2.0  # Penn State Extension: a day's use within two hours
SECONDS_PER_DAY = 86400.0


def findings_of(plan):
    """Yield findings about the spring and the ram pump of a plan."""
    if plan.spring:
        yield _drinking(plan)
    inflow_m3s = sources.inflow_by_month_m3s(plan)
    if inflow_m3s is None or plan.cistern is None:
        return
    yield from _least(plan, inflow_m3s)
    yield _storage(plan, inflow_m3s)


def _drinking(plan):
    treatment = plan.spring.treatment
    treated = treatment != "nothing"
    text = (f"Treated by {treatment}. " if treated else "Not treated. ") + (
        "Surface water, animals and septic systems easily reach a spring. Fence and cover it, have "
        f"it tested for bacteria and nitrate at least once a year and after floods, and "
        f"disinfect it before drinking. {DEFER}"
    )
    if "ultraviolet" in treatment:
        text += " When the power is out the lamp is dark: boil the water then, or add bleach."
    return Finding(
        "note" if treated else "warning",
        "spring",
        text,
        reference.cite("cdc-wells"),
        code="drinking",
    )


def _least(plan, inflow_m3s):
    """Months that bring less than people use; the well, if there is one, is not counted."""
    need_m3_day = water_supply.household_m3_day(plan)
    daily_m3 = inflow_m3s * SECONDS_PER_DAY
    low = np.flatnonzero(daily_m3 < need_m3_day)
    if len(low):
        worst = units.show(float(daily_m3.min()), "volume", plan.units)
        text = (
            f"In {', '.join(MONTHS[month] for month in low)} it gives less than people use, down "
            f"to {worst} of {units.show(need_m3_day, 'volume', plan.units)} a day; the cistern, "
            "rain or a well have to make up the rest. Measure it in the driest month of a dry year."
        )
        yield Finding(
            "warning" if plan.well is None else "note", "spring", text, "As entered", code="least"
        )


def _storage(plan, inflow_m3s):
    need_m3 = float(
        springs.peak_storage_m3(water_supply.household_m3_day(plan), PEAK_H, inflow_m3s.min())
    )
    holds_m3 = plan.cistern.volume_m3
    enough = holds_m3 >= need_m3
    text = (
        f"A day's use drawn in two hours takes {units.show(need_m3, 'volume', plan.units)} of "
        f"storage beside the least flow; the cistern holds "
        f"{units.show(holds_m3, 'volume', plan.units)}."
    )
    source = reference.cite("psu-water-planning")
    return Finding("note" if enough else "warning", "spring", text, source, code="storage")
