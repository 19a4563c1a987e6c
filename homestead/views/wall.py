"""One page for the wall: what to do if it happens today.

What to switch off first, what to look at every day, how long each store lasts in this season, and
the cautions. Read from the outlook and the plan; nothing is computed in another way here.
"""

import numpy as np
import pandas as pd

from homestead.outlook.hours import MONTH_OF_DAY
from homestead.outlook.independence import day_text
from homestead.outlook.story import story_of
from homestead.systems.cautions import cautions
from homestead.views.readable import count_text, date_text, days_text, percent
from homestead.views.wording import FULL_MONTHS

PRIORITY = {3: "comfort", 2: "useful"}


def wall_of(outlook, on):
    """All that the page for the wall says.

    Parameters
    ----------
    outlook : Outlook
    on : datetime.date
        The day that it is written for; the season is that of its month.

    Returns
    -------
    dict
        title, said, shed (list of text), daily (list of text), stores (DataFrame), cautions.
    """
    year, day = _low_start(outlook, on.month)
    limit = outlook.horizon_days
    spread = outlook.by_month[on.month - 1]
    month = FULL_MONTHS[on.month - 1]
    return {
        "title": f"If it happens in {month}",
        "said": (
            f"When nothing more arrives from a day in {month} on, 9 starts of 10 carry us "
            f"{days_text(spread.p10, limit)} days, the worst of them "
            f"{days_text(spread.least, limit)}."
        ),
        "shed": shed(outlook.plan),
        "daily": daily(outlook.plan),
        "stores": stores(outlook, year, day),
        "cautions": [one for topic in _topics(outlook.plan) for one in cautions(topic)[:1]],
    }


def _low_start(outlook, month):
    """Weather year and day of a start in a month that is as short as the shortest tenth."""
    days = np.flatnonzero(month == MONTH_OF_DAY)
    together = outlook.together[:, days]
    p10 = np.percentile(together, 10, method="lower")
    year, at = np.argwhere(together == p10)[0]
    return int(year), int(days[at])


def shed(plan):
    """What to switch off, first things first, with the state of charge at which the plan does."""
    lines = []
    below = {3: plan.shedding.comfort_below_frac, 2: plan.shedding.useful_below_frac}
    for priority, word in PRIORITY.items():
        names = [
            one.name
            for one in sorted(plan.appliances, key=lambda one: -one.mean_day_wh)
            if one.priority_n == priority
        ]
        if priority == 3 and plan.cooling:
            names.append("cooling")
        if names:
            lines.append(f"Below {percent(below[priority])} of charge, {word}: {', '.join(names)}.")
    essential = [one.name for one in plan.appliances if one.priority_n == 1]
    if essential:
        lines.append(f"Keep as long as you can: {', '.join(essential)}.")
    return lines


def daily(plan):
    """What to look at every day, by what the plan has."""
    checks = [
        (plan.battery, "State of charge of the battery, at dusk and at dawn."),
        (plan.arrays, "Snow, leaves or shade on the solar modules."),
        (plan.generator, "Hours the generator ran, its oil, and its exhaust: outdoors, far away."),
        (plan.cistern, "Level of the cistern, in the same place each time."),
        (plan.pump, "Taps and pump: short bursts mean a pressure tank without air."),
        (any(one.fuel == "propane" for one in plan.fuels), "Gauge of the propane tank."),
        (
            any(one.fuel == "cordwood" for one in plan.fuels),
            "Wood burnt today; ash in a metal bin.",
        ),
        (True, "Room temperature in the morning, and in the coldest room with pipes."),
        (plan.fuels, "Carbon monoxide and smoke alarms: press the test button once a week."),
        (plan.freezer, "Temperature in freezer and refrigerator; keep the doors shut."),
        (plan.pantry, "What was eaten, and what is next to go bad."),
    ]
    return [text for present, text in checks if present]


def stores(outlook, year, day):
    """When each store runs out from one start, as a table in the order in which they do."""
    events = [one for one in story_of(outlook, year, day) if one.kind in ("store", "need")]
    rows = [
        {
            "What": one.about,
            "Lasts": count_text(one.day, "day"),
            "What happens then": one.text,
        }
        for one in events
    ]
    table = pd.DataFrame(rows, columns=["What", "Lasts", "What happens then"]).set_index("What")
    table.attrs["start"] = date_text(day_text(day))
    return table


def _topics(plan):
    present = {
        "carbon monoxide": plan.fuels,
        "generator": plan.generator,
        "propane": any(one.fuel == "propane" for one in plan.fuels),
        "wood stove": any(one.fuel == "cordwood" for one in plan.fuels),
        "battery": plan.battery,
        "mains voltage": plan.grid_former,
        "well and drinking water": True,
        "food safety": True,
    }
    return [topic for topic, there in present.items() if there]
