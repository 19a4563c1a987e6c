"""Findings about spring and ram pump: storage for a peak, dry months, what is in the water."""

import numpy as np

from homestead import reference
from homestead.findings.finding import found
from homestead.formulas.water import springs
from homestead.simulate import sources, water_supply
from homestead.vocabulary import MONTHS

PEAK_H = 2.0  # Penn State Extension: a day's use within two hours
SECONDS_PER_DAY = 86400.0


def findings_of(plan):
    """Yield findings about the spring and the ram pump of a plan."""
    if plan.spring:
        yield _drinking(plan.spring)
    inflow_m3s = sources.inflow_by_month_m3s(plan)
    if inflow_m3s is None or plan.cistern is None:
        return
    yield from _least(plan, inflow_m3s)
    yield _storage(plan, inflow_m3s)


def _drinking(spring):
    is_treated, needs_lamp = spring.treatment != "nothing", "ultraviolet" in spring.treatment
    return found(
        "water.spring treated: spring",
        "note" if is_treated else "warning",
        "{is_treated:Treated by {treatment}|Not treated}. Surface water, animals and septic "
        "systems easily reach a spring. Fence and cover it, have it tested for bacteria and "
        "nitrate at least once a year and after floods, and disinfect it before drinking. {health}"
        "{needs_lamp: When the power is out the lamp is dark: boil the water then, or add "
        "bleach.|}",
        reference.cite("cdc-wells"),
        locals(),
        spring,
    )


def _least(plan, inflow_m3s):
    """Months that bring less than people use; the well, if there is one, is not counted."""
    need_m3 = water_supply.household_m3_day(plan)
    daily_m3 = inflow_m3s * SECONDS_PER_DAY
    low = np.flatnonzero(daily_m3 < need_m3)
    if len(low):
        months, worst_m3 = [MONTHS[month] for month in low], daily_m3.min()
        yield found(
            "water.spring low: spring",
            "warning" if plan.well is None else "note",
            "In {months} it gives less than people use, down to {worst_m3} of {need_m3} a day; the "
            "cistern, rain or a well have to make up the rest. Measure it in the driest month of a "
            "dry year.",
            "As entered",
            locals(),
            limit="need_m3",
        )


def _storage(plan, inflow_m3s):
    need_m3 = float(
        springs.peak_storage_m3(water_supply.household_m3_day(plan), PEAK_H, inflow_m3s.min())
    )
    return found(
        "water.spring storage: spring",
        "note" if plan.cistern.volume_m3 >= need_m3 else "warning",
        "A day's use drawn in two hours takes {need_m3} of storage beside the least flow; the "
        "cistern holds {volume_m3}.",
        reference.cite("psu-water-planning"),
        locals(),
        plan.cistern,
        limit="need_m3",
    )
