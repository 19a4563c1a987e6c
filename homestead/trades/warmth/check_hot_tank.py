"""Findings about an electric hot water tank that heats on a timer or from surplus sun alone."""

import numpy as np

from homestead import units
from homestead.findings.finding import Finding
from homestead.simulate.inputs import DAYS_N
from homestead.simulate.records import MONTH_OF_DAY
from homestead.simulate.trace import years_with_deliveries
from homestead.vocabulary import MONTHS

MANY_DAYS = 30.0  # of cold water a year, from which it is more than a nuisance; project choice
COLD_FRAC = 0.1  # of the heat of a full tank, below which a tap runs cold; project choice
HOT_ENOUGH_C = 60.0
SOURCE = (
    "Simulation of the plan; CDC, Toolkit for Controlling Legionella, water heaters, from memory"
)


def findings_of(plan, hours=None):
    """Yield how often such a tank runs cold in a year with deliveries.

    plan (Plan)
    hours (Hours, optional) : Nothing is said without it.
    """
    hot = plan.hot_water
    if hours is None or hot is None or hot.tank_m3 <= 0.0 or hot.heats == "always":
        return
    held_wh = years_with_deliveries(hours).states["hot_wh"].to_numpy()
    cold = (held_wh < COLD_FRAC * hours.fixed.hot_tank_wh).reshape(-1, DAYS_N, 24).any(axis=2)
    days = float(cold.sum(axis=1).mean())
    how = "from surplus sun alone" if hot.heats == "surplus" else _window(hot.between)
    text = (
        f"Your {units.show(hot.tank_m3, 'volume', plan.units)} tank heats {how}. In an average "
        f"year it runs cold on {units.digits(days, 2)} days"
    )
    if days > 0.0:
        by_month = [cold[:, month == MONTH_OF_DAY].sum() for month in range(1, 13)]
        text += f", most of them in {MONTHS[int(np.argmax(by_month))]}"
    hot_enough = units.show(HOT_ENOUGH_C, "temperature", plan.units)
    text += (
        ". Water that stands lukewarm for days can grow bacteria that make lungs sick: heat it to "
        f"{hot_enough} now and then, with a mixing valve so that nobody is scalded. A plumber and "
        "local code decide."
    )
    yield Finding(
        "warning" if days > MANY_DAYS else "note",
        "hot water tank",
        text,
        SOURCE,
        code="hot tank",
        numbers={"cold_days": days},
    )


def _window(between):
    return f"from {between[0]}:00 to {between[1]}:00 only"
