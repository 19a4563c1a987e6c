"""Findings about warmth."""


def findings_of(plan, hours=None):
    """Yield findings about the warmth of a plan."""
    return ()
