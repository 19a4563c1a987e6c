"""Findings about an electric hot water tank that heats on a timer or from surplus sun alone."""

import numpy as np

from homestead.findings.finding import found
from homestead.simulate.inputs import DAYS_N
from homestead.simulate.records import MONTH_OF_DAY
from homestead.simulate.trace import years_with_deliveries
from homestead.vocabulary import MONTHS

MANY_DAYS = 30.0  # of cold water a year, from which it is more than a nuisance; project choice
COLD_FRAC = 0.1  # of the heat of a full tank, below which a tap runs cold; project choice
HOT_ENOUGH_C = 60.0
SOURCE = (
    "Your plan hour by hour; CDC, Toolkit for Controlling Legionella, water heaters, from memory"
)


def findings_of(plan, hours=None):
    """Yield how often such a tank runs cold in a year with deliveries.

    hours (Hours, optional) : Nothing is said without it.
    """
    hot = plan.hot_water
    if hours is None or hot is None or hot.tank_m3 <= 0.0 or hot.heats == "always":
        return
    held_wh = years_with_deliveries(hours).states["hot_wh"].to_numpy()
    cold = (held_wh < COLD_FRAC * hours.fixed.hot_tank_wh).reshape(-1, DAYS_N, 24).any(axis=2)
    cold_days, hot_enough_c = cold.sum(axis=1).mean(), HOT_ENOUGH_C
    by_month = [cold[:, month == MONTH_OF_DAY].sum() for month in range(1, 13)]
    gets_cold, worst_month = cold_days > 0.0, MONTHS[int(np.argmax(by_month))]
    from_surplus = hot.heats == "surplus"
    first_hour, last_hour = (None, None) if from_surplus else hot.between
    yield found(
        "warmth.hot tank: hot water tank",
        "warning" if cold_days > MANY_DAYS else "note",
        "Your {tank_m3} tank heats {from_surplus:from surplus sun only|from {first_hour}:00 to "
        "{last_hour}:00 only}. In an average year it runs cold on {cold_days:2}{gets_cold:, "
        "most of them in {worst_month}|}. Water that stays lukewarm for days can grow bacteria "
        "that infect the lungs: heat it to {hot_enough_c} now and then, with a mixing valve so "
        "nobody gets scalded. A plumber and local code decide.",
        SOURCE,
        locals(),
        hot,
        limit="hot_enough_c",
    )
