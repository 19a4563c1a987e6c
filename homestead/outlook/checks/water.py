"""Findings about water: pump, well, tanks."""

from homestead.systems import pumps
from homestead.systems.findings import Finding


def findings_of(plan, hours=None):
    """Yield findings about the water of a plan."""
    yield from _pump(plan)


def _pump(plan):
    if plan.pump and not pumps.wire_to_water_plausible(plan.pump.wire_to_water_frac):
        yield Finding(
            "warning",
            "well pump",
            f"A wire-to-water efficiency of {plan.pump.wire_to_water_frac:.0%} lies outside the "
            "30 to 75 % seen in field tests; measure it with a clamp meter, a bucket and a watch.",
            "Hill (1999) and Hansen and Shearer, WRRI-90 (1983): pump tests",
        )
