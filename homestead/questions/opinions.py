"""Opinions on how big it should be, compared in one call; and the meter against the inventory."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from homestead import units
from homestead.outlook import run
from homestead.outlook.metered import SHORT, agrees, listed_wh
from homestead.plan import with_changes
from homestead.plan.currency import money_text
from homestead.plan.schema import Plan
from homestead.questions.buying import cost_of
from homestead.questions.corrections import scaled
from homestead.questions.what_if import sets_of
from homestead.shown import Shown
from homestead.vocabulary import MONTHS

WH_PER_KWH = 1000.0
LEAST_SCALE, MOST_SCALE = 0.2, 5.0


@dataclass(frozen=True)
class Opinion:
    """One opinion, worked."""

    name: str
    changed: tuple[tuple[str, str], ...]  # what it changes, and to what
    # 9 starts in 10, and the worst
    days: int
    least_days: int
    first_to_fail: str
    cost_money: float | None  # by the plan's prices; None where some part has none


@dataclass(frozen=True, repr=False)
class Opinions(Shown):
    """Opinions side by side, the plan as it is first."""

    each: tuple[Opinion, ...]
    unserved_kwh: pd.DataFrame  # 12 rows; of a mean year with deliveries, a column an opinion
    # 12 rows; usable stored energy over what an average day of the month needs, without sun
    sunless_days: pd.DataFrame
    currency: str

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Days, energy not served, sunless days in the weakest month, and cost."""
        lines = []
        for opinion in self.each:
            cost = (
                "no price"
                if opinion.cost_money is None
                else money_text(opinion.cost_money, self.currency)
            )
            weakest = self.sunless_days[opinion.name].min()
            lines.append(
                (
                    opinion.name,
                    f"{opinion.days} days, worst {opinion.least_days}, "
                    f"{opinion.first_to_fail} first; "
                    f"{self.unserved_kwh[opinion.name].sum():.0f} kWh a year missing; "
                    f"{weakest:.1f} sunless days in the weakest month; {cost}",
                )
            )
        return "What each opinion comes to", lines


def opinions(plan: Plan, said: dict[str, dict[str, str]], years_n: int | None = None) -> Opinions:
    """Work opinions on the size of parts side by side.

    said (dict) : Name of each opinion to its amounts, as `what_if` takes them, such as ``{"8 kW
        will do": {"solar": "8 kW"}, "double it": {"solar": "x2", "battery": "x2"}}``.

    Raises ValueError if a part is not in the plan or an amount cannot be read. PlanError If a
        changed plan does not hold.
    """
    each, unserved, sunless = [], {}, {}
    for name, amounts in {"as it is": {}, **said}.items():
        sets, changed, sizes = sets_of(plan, amounts)
        outlook = run(with_changes(plan.raw, sets, folder=plan.folder), years_n)
        shares = outlook.first_to_fail
        costs = [cost_of(size, new) for size, new in sizes]
        each.append(
            Opinion(
                name=name,
                changed=tuple(changed),
                days=outlook.homestead.p10,
                least_days=outlook.homestead.least,
                first_to_fail=max(shares, key=shares.get),
                cost_money=None if None in costs else float(sum(costs)),
            )
        )
        unserved[name] = outlook.year.monthly[list(SHORT)].sum(axis=1).to_numpy() / WH_PER_KWH
        sunless[name] = list(outlook.year.sunless_days["usable_by_month"].values())
    months = pd.Index(MONTHS, name="month")
    return Opinions(
        tuple(each), pd.DataFrame(unserved, months), pd.DataFrame(sunless, months), plan.currency
    )


@dataclass(frozen=True, repr=False)
class Metered(Shown):
    """What the meter says against what the plan lists."""

    # an average day: by the meter, by the list of appliances, and pump, blower, cooling and heat
    meter_wh: float
    appliances_wh: float
    others_wh: float
    factor: float  # by which what the uncertain appliances draw would have to change
    # entries that scale them, for `with_changes` or `what_if`; empty where both agree within a
    # tenth, or where the factor is no scaling any more (below 0.2 or above 5)
    sets: dict[str, str]

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Both figures, and what to do."""
        listed = self.appliances_wh + self.others_wh
        lines = [
            ("the meter", f"{units.show(self.meter_wh, 'energy')} a day"),
            ("the plan", f"{units.show(listed, 'energy')} a day"),
        ]
        if self.sets:
            lines.append(("what is uncertain, times", f"{self.factor:.2f}"))
        missing = self.meter_wh - listed
        if agrees(self.meter_wh, listed):
            title = "Meter and list agree"
        elif missing > 0:
            title = f"{units.show(missing, 'energy')} a day isn't on your list: look for it first"
        else:
            title = f"Your list uses {units.show(-missing, 'energy')} a day more than the meter"
        return title, lines


def metered(plan: Plan, years_n: int = 2) -> Metered:
    """Lay the whole house's metered use over the plan's inventory.

    Raises ValueError if the plan has no `meter`, or no appliances.
    """
    if plan.meter is None or not plan.appliances:
        raise ValueError('the plan must have appliances and a [meter] with daily = "28 kWh"')
    monthly = run(plan, min(years_n, plan.site.years_n)).year.monthly
    by_month_wh, others_wh = listed_wh(plan, monthly)
    appliances_wh, meter_wh = sum(by_month_wh.values()), plan.meter.daily_wh
    doubted, factor = scaled(plan, by_month_wh, meter_wh - others_wh)
    sets = {}
    close = agrees(meter_wh, appliances_wh + others_wh)
    if not close and LEAST_SCALE <= factor <= MOST_SCALE:
        sets = {
            f"appliance.{appliance.name}.power": f"{appliance.power_w * factor!r} W"
            for appliance in doubted
        }
    return Metered(meter_wh, appliances_wh, others_wh, factor, sets)
