"""What if: plain amounts such as ``battery="+10 kWh"`` worked on all weather years.

What an amount means for each part stands in `sizes`; what a change does, the simulation says.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from homestead.plan.schema import Plan
from homestead.questions.changes import Effect, Figures, figures_of
from homestead.questions.sizes import Size, sizable, sized
from homestead.questions.variants import Variants
from homestead.shown import Shown
from homestead.vocabulary import NEEDS


@dataclass(frozen=True, repr=False)
class WhatIf(Shown):
    """A plan with some amounts changed, beside the plan as it is."""

    changed: tuple[tuple[str, str], ...]  # what was changed, and to what, as a plan says it
    before: Figures
    after: Effect

    @property
    def days_gained(self) -> int:
        """More days that 9 starts in 10 reach."""
        return self.after.gained["p10"]

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Days before and after, together and by need."""
        gained = self.days_gained
        more = "no more days" if gained == 0 else f"{gained:+d} days"
        title = f"{', '.join(f'{what}: {to}' for what, to in self.changed)} gives {more}"
        lines = [
            ("days, 9 winters in 10", self._pair("p10")),
            ("days, half of them", self._pair("p50")),
            ("days, worst case", self._pair("least")),
        ]
        lines += [
            (need, f"{self.before.by_need[need]} to {self.after.by_need[need]} days")
            for need in NEEDS
        ]
        lines.append(
            ("what ends it", f"{self.before.first_to_fail}, then {self.after.first_to_fail}")
        )
        dangers_n = sum(finding.severity == "danger" for finding in self.after.new_findings)
        if dangers_n:
            lines.append(("new dangers", str(dangers_n)))
        return title, lines

    def _pair(self, figure: str) -> str:
        return f"{self.before.days[figure]} to {self.after.days[figure]}"


def what_if(
    plan: Plan,
    sets: dict[str, Any] | None = None,
    years_n: int | None = None,
    variants: Variants | None = None,
    **amounts: str | float,
) -> WhatIf:
    """Work a plan with some amounts changed, and compare.

    sets (dict, optional) : Entries by path, such as ``{"well.yield": "3 gal/min"}``.
    years_n (int, optional) : Weather years to try; the plan's own number by default.
    variants (Variants, optional) : To work them with.
    **amounts : By part: ``battery``, ``solar`` (the largest array) or ``array_NAME``, ``cistern``,
        ``pantry``, or a fuel such as ``propane`` or ``wood``. ``"+10 kWh"`` and ``"-10 kWh"``
        change today's size, ``"20 kWh"`` sets it, ``"x2"`` doubles it, ``"+2 modules"`` counts.
        What comes in whole pieces is rounded up to the next one.

    Raises ValueError if a part is not in the plan or an amount cannot be read. PlanError If the
        changed plan does not hold.

    >>> import homestead as hs
    >>> from homestead.plan import demo_path
    >>> plan = hs.open_plan(demo_path())
    >>> hs.what_if(plan, years_n=1, battery="+10 kWh").changed
    (('battery', '9 modules, 43.2 kWh'),)
    """
    if not amounts and not sets:
        raise ValueError('what_if needs an amount, such as battery="+10 kWh"')
    more_sets, more_changed, _ = sets_of(plan, amounts)
    asked = {**(sets or {}), **more_sets}
    changed = [(path, str(value)) for path, value in (sets or {}).items()] + more_changed
    variants = variants or Variants(plan, years_n)
    today, then = (figures_of(variant) for variant in variants.of([({}, {}), (asked, {})]))
    names = tuple(what for what, _ in changed)
    return WhatIf(tuple(changed), today, Effect(**vars(then), names=names, before=today))


def sets_of(
    plan: Plan, amounts: dict[str, Any]
) -> tuple[dict[str, Any], list[tuple[str, str]], list[tuple[Size, float]]]:
    """What plain amounts set in a plan, the same in words, and the new size of each part."""
    sets, changed, sizes = {}, [], []
    for word, amount in amounts.items():
        size = sized(plan, part_named(plan, word))
        new = size.changed(str(amount))
        sets |= size.sets_of(new)
        changed.append((size.name, size.words(new)))
        sizes.append((size, new))
    return sets, changed, sizes


def part_named(plan: Plan, word: str) -> str:
    """Name of a part, as `sized` takes it, that a plain word means in this plan."""
    spoken = word.replace("_", " ").strip().lower()
    known = sizable(plan)
    for part in known:
        kind, _, name = part.partition(" ")
        if spoken in (part.lower(), name.lower()) and spoken:
            return part
    if spoken in ("solar", "panels", "array") and plan.arrays:
        return f"array {max(plan.arrays, key=lambda array: array.rated_w).name}"
    kinds = {"wood": "cordwood", "firewood": "cordwood"}
    wanted = kinds.get(spoken, spoken)
    for fuel in plan.fuels:
        if fuel.fuel == wanted and f"fuel {fuel.name}" in known:
            return f"fuel {fuel.name}"
    raise ValueError(f"{word}: no such part in this plan; it has {', '.join(known)}"[:200])
