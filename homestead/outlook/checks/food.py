"""Findings about food."""


def findings_of(plan, hours=None):
    """Yield findings about the food of a plan."""
    return ()
