"""What costs nothing: cutting back on each need, each appliance left off, and the days it adds.

A family does these first, before it spends anything.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from homestead import units as measures
from homestead.plan.schema import Plan
from homestead.questions.changes import Effect, Figures, figures_of
from homestead.questions.parts_out import circuits_without, members_out
from homestead.questions.variants import Variants
from homestead.shown import Shown
from homestead.vocabulary import NEEDS

LEAST_DAY_WH = 100.0  # an appliance that uses less a day is not worth a line
MOST_APPLIANCES = 6


@dataclass(frozen=True, kw_only=True)
class FreeAction(Effect):
    """One thing that a family can do for nothing."""

    need: str  # which it spares

    @property
    def name(self) -> str:
        """What to do."""
        return self.names[0]

    @property
    def need_gained(self) -> int:
        """More days of the need that it spares."""
        return self.gained_by_need[self.need]


@dataclass(frozen=True, repr=False)
class FreeActions(Shown):
    """Free actions, those that add the most days first."""

    whole: Figures  # as usual
    actions: tuple[FreeAction, ...]
    together: FreeAction  # all needs cut back at once

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Days with each of them."""
        before, after = self.whole.days["p10"], self.together.days["p10"]
        title = f"For nothing: {before} days as usual, {after} with all of it"
        return title, [(action.name, _line(action)) for action in (*self.actions, self.together)]


def _line(action: FreeAction) -> str:
    days, need = f"{action.days['p10']} days ({action.gained['p10']:+d})", action.need
    return f"{days}; {need} {action.by_need[need]} ({action.need_gained:+d})"


def free_actions(
    plan: Plan,
    years_n: int | None = None,
    variants: Variants | None = None,
    units: str | None = None,
) -> FreeActions:
    """Days of independence with each thing done that costs nothing, and with all of it.

    years_n (int, optional) : Weather years to try, instead of the plan's own number.
    units ({"us", "metric"}, optional) : Of the names; the plan's by default.
    """
    variants = variants or Variants(plan, years_n)
    asked = list(_asked(plan, units or plan.units))
    together = {"cutting_back.on": True, "cutting_back.needs": list(NEEDS)}
    worked = variants.of(
        [({}, {}), (together, {}), *((sets, {}) for *_, sets in asked)], days_only=True
    )
    whole, all_of_it, *each = map(figures_of, worked)
    actions = [
        FreeAction(**vars(figures), names=(name,), before=whole, need=need)
        for (name, need, _), figures in zip(asked, each, strict=True)
    ]
    actions.sort(key=lambda action: (action.gained["p10"], action.need_gained), reverse=True)
    often = max(NEEDS, key=lambda need: all_of_it.by_need[need] - whole.by_need[need])
    together = FreeAction(**vars(all_of_it), names=("all of it",), before=whole, need=often)
    return FreeActions(whole, tuple(actions), together)


def _asked(plan: Plan, units: str) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Name, need, and what it sets, of each free action."""
    spare = plan.cutting_back
    water = measures.rough(spare.per_person_m3, "volume", units)
    keep = measures.show(spare.keep_c, "temperature", units)
    names = {
        "power": "switch off all but the essentials",
        "water": f"use only {water} of water a person a day",
        "warmth": f"heat {spare.heated_frac:.0%} of the house, to {keep}".replace("%", " %"),
        "food": f"eat {spare.ration_frac:.0%} of what you usually eat".replace("%", " %"),
    }
    for need, name in names.items():
        yield name, need, {"cutting_back.on": True, "cutting_back.needs": [need]}
    frozen = plan.freezer.appliance if plan.freezer else None
    users = [
        (appliance.mean_day_wh, number, appliance.name)
        for number, appliance in enumerate(plan.appliances)
        if appliance.priority_n > 1
        and appliance.name != frozen
        and appliance.mean_day_wh >= LEAST_DAY_WH
    ]
    for _, number, name in sorted(users, reverse=True)[:MOST_APPLIANCES]:
        gone = members_out(plan, "appliance", [number]) | circuits_without(plan, {name})
        yield f"leave the {name} off", "power", gone
