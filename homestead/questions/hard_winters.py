"""Weather harder than the record, beside the plan's own: days with each hard spell."""

from __future__ import annotations

from dataclasses import dataclass

from homestead.outlook.independence import Outlook, independence_days
from homestead.plan.schema import Plan
from homestead.shown import Shown
from homestead.simulate.inputs import hours_of, weather_years
from homestead.vocabulary import NEEDS
from homestead.weather.hard import DRAWN_N, SPELLS, laid_on

YEARS_N = 10


@dataclass(frozen=True)
class HardSpellDays:
    """Days of the homestead when each year holds a hard spell."""

    name: str
    basis: str
    # to plan on, and in the worst case
    days: int
    least_days: int
    days_lost: int  # fewer than without the spell, in the same years
    by_need: dict[str, int]
    first_to_fail: str


@dataclass(frozen=True, repr=False)
class HardWinters(Shown):
    """Every hard spell in turn."""

    days: int  # to plan on without them, in the same years
    years_n: int
    spells: tuple[HardSpellDays, ...]

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Days with each of them."""
        title = f"Harder than the record: {self.days} days without"
        return title, [
            (spell.name, f"{spell.days} days, {spell.least_days} in the worst case")
            for spell in self.spells
        ]


def hard_winters(plan: Plan, years_n: int = YEARS_N) -> HardWinters:
    """Days of independence with each hard spell laid on every year.

    years_n : Weather years, at most the plan's own.
    """
    years = weather_years(plan, min(years_n, plan.site.years_n))
    record = weather_years(plan, DRAWN_N)
    hours = hours_of(plan, years=years)
    usual = _outlook(plan, hours)
    spells = []
    for spell in SPELLS:
        found = _outlook(plan, hours_of(plan, years=laid_on(spell, years, hours.rain_m, record)))
        shares = {need: found.first_to_fail[need] for need in NEEDS}
        first = max(shares, key=lambda need: shares[need])
        spells.append(
            HardSpellDays(
                name=spell.name,
                basis=spell.basis,
                days=found.homestead.p10,
                least_days=found.homestead.least,
                days_lost=usual.homestead.p10 - found.homestead.p10,
                by_need={need: found.needs[need].p10 for need in NEEDS},
                first_to_fail=first if shares[first] > 0 else "none",
            )
        )
    return HardWinters(usual.homestead.p10, len(years), tuple(spells))


def _outlook(plan: Plan, hours: object) -> Outlook:
    return Outlook(plan, hours, independence_days(hours))
