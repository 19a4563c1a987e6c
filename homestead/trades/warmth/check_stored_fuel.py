"""Findings about fuel that does not keep: how long it is good for, and how it is kept."""

from homestead.findings.finding import Finding
from homestead.simulate import constants

PRACTICE = "Common practice, no source"
# What goes stale, and when by common practice.
STALE = {
    "gasoline": "in about half a year, or a year with stabilizer",
    "diesel": "in about a year",
    "fuel oil": "in about two years",
}
CODE = "The local fire code limits how much may stand where."


def findings_of(plan):
    """Yield findings about the stored fuels of a plan."""
    for number, fuel in enumerate(plan.fuels):
        if fuel.keeps_s is not None:
            yield _good_until(fuel, constants.fixed_of(plan).keeps_days[number])
        elif fuel.fuel in STALE:
            text = (
                f"{fuel.name}: {fuel.fuel} goes stale {STALE[fuel.fuel]}, but you haven't "
                f"entered how long yours keeps, so here it keeps forever. Rotate it, and write "
                f"the date on it."
            )
            yield Finding("note", "fuel in store", text, PRACTICE, code="fuel past its time")
    if any(fuel.fuel == "gasoline" for fuel in plan.fuels):
        text = (
            "Gasoline vapor creeps along the floor to any flame: keep it in cans made for it, "
            f"outside the house and away from a garage with a heater or pilot light. {CODE}"
        )
        yield Finding("warning", "fuel in store", text, PRACTICE, code="fuel past its time")


def _good_until(fuel, days):
    age, keeps = (f"{seconds / 86400.0:.0f} days" for seconds in (fuel.age_s, fuel.keeps_s))
    text = (
        f"{fuel.name}: bought {age} before isolation and good for {keeps}, it counts "
        f"for {days:.0f} days; after that nothing burns it."
    )
    return Finding(
        "warning" if days < 1 else "note", "fuel in store", text, "As entered", code="good until"
    )
