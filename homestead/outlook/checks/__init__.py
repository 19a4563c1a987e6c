"""Findings about a plan: strings, coupling, starting, wires, water, warmth, each with its rule.

Every module here has `findings_of(plan, hours)`; this one gathers them, gravest first. The words
stand there or in `homestead.systems`, the rules in the sources that each finding names.
"""

from homestead.outlook.checks import electrical, food, warmth, water

GRAVITY = {"danger": 0, "warning": 1, "note": 2}


def findings_of(plan, hours=None):
    """All findings about a plan, gravest first.

    Parameters
    ----------
    plan : Plan
    hours : Hours, optional
        Hourly inputs, for checks that need the loads or the weather of an hour.

    Returns
    -------
    tuple of Finding
    """
    found = [
        finding
        for trade in (electrical, water, warmth, food)
        for finding in trade.findings_of(plan, hours)
    ]
    return tuple(sorted(found, key=lambda one: GRAVITY[one.severity]))
