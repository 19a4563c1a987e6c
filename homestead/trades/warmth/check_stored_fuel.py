"""Findings about fuel that does not keep: how long it is good for, and how it is kept."""

from homestead.findings.finding import found
from homestead.simulate import constants

PRACTICE = "Common practice, no source"
# What goes stale, and when by common practice.
STALE = {
    "gasoline": "in about half a year, or a year with stabilizer",
    "diesel": "in about a year",
    "fuel oil": "in about two years",
}


def findings_of(plan):
    """Yield findings about the stored fuels of a plan."""
    for number, store in enumerate(plan.fuels):
        if store.keeps_s is not None:
            yield _good_until(store, constants.fixed_of(plan).keeps_days[number])
        elif store.fuel in STALE:
            yield found(
                "warmth.fuel keeps unknown: fuel in store",
                "note",
                "{subject}: {fuel} goes stale {stale}, but you haven't entered how long yours "
                "keeps, so we let it keep forever. Rotate it, and write the date on it.",
                PRACTICE,
                store,
                {"stale": STALE[store.fuel]},
                subject=store.name,
            )
    if any(store.fuel == "gasoline" for store in plan.fuels):
        yield found(
            "warmth.gasoline: fuel in store",
            "warning",
            "Gasoline vapor creeps along the floor to any flame: keep it in cans made for it, "
            "outside the house and away from a garage with a heater or pilot light. The local fire "
            "code limits how much may stand where.",
            PRACTICE,
        )


def _good_until(store, counts_days):
    age_days, keeps_days = store.age_s / 86400.0, store.keeps_s / 86400.0
    return found(
        "warmth.fuel good until: fuel in store",
        "warning" if counts_days < 1 else "note",
        "{subject}: it is {age_days:.0f} old when it starts and good for {keeps_days:.0f}, so "
        "it counts for {counts_days:.0f}.",
        "As entered",
        locals(),
        subject=store.name,
        limit="keeps_days",
    )
