"""Findings about a plan: strings, coupling, starting, wires, water, each with its rule.

Gathers what the formulas of `homestead.systems` find; the words stand there or here, the rules in
the sources that each finding names.
"""

from homestead.systems import inverters, pumps, solar
from homestead.systems.findings import DEFER, Finding


def findings_of(plan, hours=None):
    """All findings about a plan, gravest first.

    Parameters
    ----------
    plan : Plan
    hours : Hours, optional
        Hourly inputs, for checks that need the loads of an hour.

    Returns
    -------
    tuple of Finding
    """
    found = []
    for array in plan.arrays:
        found += solar.strings(array, plan.site).findings
    found += _ac_coupling(plan)
    found += _pump(plan)
    order = {"danger": 0, "warning": 1, "note": 2}
    return tuple(sorted(found, key=lambda one: order[one.severity]))


def _ac_coupling(plan):
    followers_w = sum(one.converter_w for one in plan.arrays if one.coupling == "ac")
    if not followers_w or plan.grid_former is None:
        return
    former_w = plan.grid_former.continuous_w * plan.grid_former.units_n
    within = inverters.is_ac_coupling_within_rating(followers_w, former_w)
    yield Finding(
        "note" if within else "danger",
        "AC coupling",
        f"PV inverters of {followers_w / 1000:.1f} kW in all on grid formers of "
        f"{former_w / 1000:.1f} kW: {'within' if within else 'outside'} the ratio of 1.0, as "
        f"entered. They stop when no grid former runs. {DEFER}",
        "Common practice, no source: AC coupling ratio of 1.0",
    )


def _pump(plan):
    if plan.pump and not pumps.wire_to_water_plausible(plan.pump.wire_to_water_frac):
        yield Finding(
            "warning",
            "well pump",
            f"A wire-to-water efficiency of {plan.pump.wire_to_water_frac:.0%} lies outside the "
            "30 to 75 % seen in field tests; measure it with a clamp meter, a bucket and a watch.",
            "Hill (1999) and Hansen and Shearer, WRRI-90 (1983): pump tests",
        )
