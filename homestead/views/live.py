"""What a change in a form does, at once: a few figures of the plan, by need.

Each function takes a plan and returns label to text, which the form sets beside what stood there
before the change. The figures are those of the tables; nothing is computed in another way here.
"""

from functools import lru_cache

from homestead import units
from homestead.outlook import constants, run
from homestead.views import tables
from homestead.views.readable import days_text, percent

KEPT_N = 8  # an undo then needs no new run


class _Asked:
    """A plan as a key of the cache: equal when all its entries are."""

    def __init__(self, plan):
        self.plan = plan
        self._key = (plan.model_dump_json(), str(plan.folder))

    def __eq__(self, other):
        return self._key == other._key

    def __hash__(self):
        return hash(self._key)


@lru_cache(maxsize=KEPT_N)
def _outlook(asked):
    return run(asked.plan)


def outlook_of(plan):
    """Full outlook of a plan, kept for the next time that the same plan is asked for."""
    return _outlook(_Asked(plan))


def days(plan):
    """Days of independence of each need and of the homestead, at the worst start."""
    outlook = outlook_of(plan)
    rows = {**outlook.needs, "homestead": outlook.homestead}
    return {
        f"Days of {name}, worst start": days_text(spread.least, outlook.horizon_days)
        for name, spread in rows.items()
    }


def _days_of(plan, need):
    outlook = outlook_of(plan)
    limit = outlook.horizon_days
    spread = outlook.needs[need]
    return {
        f"Days of {need}, worst start": days_text(spread.least, limit),
        f"Days of {need}, nine of ten starts": days_text(spread.p10, limit),
        "Days of the homestead, worst start": days_text(outlook.homestead.least, limit),
    }


def place(plan):
    """People and animals in figures: what they eat, drink, and what the homestead then carries."""
    outlook = outlook_of(plan)
    least_m3 = outlook.hours.days.water_least_m3.mean()
    return {
        "People": len(plan.people),
        "Food need": units.show(constants.need_kcal_day(plan), "food_energy") + " a day",
        "Least water, people and animals": units.show(least_m3, "volume", plan.units) + " a day",
        **days(plan),
    }


def power(plan):
    """Electricity: what the sun offers, what is short, how long it carries."""
    outlook = outlook_of(plan)
    totals = outlook.year.totals
    return {
        **_days_of(plan, "power"),
        "Sunless days, usable battery": units.digits(outlook.year.sunless_days["usable"], 2),
        "Sun offered in a year": f"{units.digits(totals['pv_kwh'])} kWh",
        "Used in a year": f"{units.digits(totals['used_kwh'])} kWh",
        "Asked for but not served": f"{units.digits(totals['unserved_kwh'])} kWh",
        "Generator runs in a year": f"{units.digits(totals['generator_h'], 2)} h",
    }


def water(plan):
    """Water: what is stored, how long it lasts without power, how long water is there at all."""
    stores = tables.water_stores(plan, outlook_of(plan), plan.units)
    without = stores.loc["all, without power"]
    volume = stores.columns[0]
    return {
        f"Stored and reached without power: {volume.lower()}": without[volume],
        "Days of water without power, usual use": without["Days at usual use"],
        "Days of water without power, the least": without["Days at the least"],
        **_days_of(plan, "water"),
    }


def warmth(plan):
    """Warmth: what the house loses, how long the fuel lasts."""
    outlook = outlook_of(plan)
    loss = units.show(constants.heat_loss_w_k(plan), "heat_loss", plan.units)
    stores = tables.fuel_stores(outlook, plan.units)
    lasting = {
        f"{name} lasts in winter (days)": row["Lasts in winter (days)"]
        for name, row in stores.iterrows()
    }
    pipes = outlook.spread(outlook.days_of("pipes"))
    return {
        "House loses": loss,
        **lasting,
        **_days_of(plan, "warmth"),
        "Starts without frozen pipes": percent(pipes.reaches_horizon_frac),
    }
