"""Findings about a plan: strings, coupling, starting, wires, water, warmth, each with its rule.

Every module here has `findings_of(plan, hours)`; this one gathers them, gravest first. The words
stand there or in `homestead.formulas`, the rules in the sources that each finding names.
"""

from homestead.trades.food import check_food as food
from homestead.trades.power import check_electrical as electrical
from homestead.trades.warmth import check_warmth as warmth
from homestead.trades.water import check_water as water
from homestead.vocabulary import SEVERITIES


def findings_of(plan, hours=None):
    """All findings about a plan, gravest first.

    plan (Plan)
    hours (Hours, optional) : Hourly inputs, for checks that need the loads or the weather of an
        hour.
    Gives tuple of Finding.
    """
    found = [
        finding
        for trade in (electrical, water, warmth, food)
        for finding in trade.findings_of(plan, hours)
    ]
    return tuple(sorted(found, key=lambda finding: SEVERITIES.index(finding.severity)))
