"""Electrical findings: strings of modules and the coupling of inverters."""

from homestead.systems import inverters, solar
from homestead.systems.findings import DEFER, Finding


def findings_of(plan, hours=None):
    """Yield electrical findings about a plan."""
    for array in plan.arrays:
        yield from solar.strings(array, plan.site).findings
    yield from _ac_coupling(plan)


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
