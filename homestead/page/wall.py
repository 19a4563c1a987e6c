"""One page for the wall: what to do if it happens today.

What to switch off first, what to look at every day, how long each store lasts in this season, and
the cautions. Read from the outlook and the plan; nothing is computed in another way here.
"""

import numpy as np

from homestead.findings.cautions import ON_THE_WALL
from homestead.outlook.independence import day_text
from homestead.outlook.story import story_of
from homestead.screen.readable import count_text, date_text, percent, table_of
from homestead.screen.tables import first_need_by_month, water_stores
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.vocabulary import FULL_MONTHS

PRIORITY = {3: "comfort", 2: "useful"}


def wall_of(outlook, on):
    """All that the page for the wall says.

    on (datetime.date) : The day that it is written for; the season is that of its month.
    Gives dict: title, said, shed (list of text), daily (list of text), stores (DataFrame), write_in
        (list of text), cautions.
    """
    year, day = _low_start(outlook, on.month)
    month = FULL_MONTHS[on.month - 1]
    return {
        "title": f"If it happens in {month}",
        "said": said(outlook, on.month),
        "shed": shed(outlook.plan),
        "daily": daily(outlook.plan),
        "stores": stores(outlook, year, day),
        "write_in": write_in(outlook.plan),
        "cautions": [caution for caution in ON_THE_WALL if caution.topic in _topics(outlook.plan)],
    }


def said(outlook, month):
    """What to expect from a start in a month, and that it may come worse."""
    limit, spread, all_year = outlook.horizon_days, outlook.by_month[month - 1], outlook.homestead
    name = FULL_MONTHS[month - 1]
    if spread.p10 >= limit:
        first = f"If it starts in {name}, plan on a year or longer, if nothing breaks."
    else:
        need = first_need_by_month(outlook, shortest=True)[month - 1]
        first = (
            f"If it starts in {name}, plan on {count_text(spread.p10, 'day')}; {need} usually goes "
            "first."
        )
    if all_year.least < limit:
        first += (
            f" Worst case of the year: {count_text(all_year.least, 'day')}, if it starts on "
            f"{date_text(all_year.worst_start)}."
        )
    ranged = any(assumption.low is not None for assumption in outlook.plan.assumptions)
    guess = " Part of this is guesswork." if ranged else ""
    return f"{first}{guess} Save power, fuel, water and food from the first day."


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
            appliance.name
            for appliance in sorted(plan.appliances, key=lambda appliance: -appliance.mean_day_wh)
            if appliance.priority_n == priority
        ]
        if priority == 3 and plan.cooling:
            names.append("cooling")
        if names:
            lines.append(f"Battery below {percent(below[priority])} ({word}): {'; '.join(names)}.")
    if any(
        "freez" in appliance.name.lower() and appliance.priority_n > 1
        for appliance in plan.appliances
    ):
        lines.append("Before you switch off a freezer, eat or move what is in it.")
    # As entered: which of them matters most is the family's to say, not the meter's.
    essential = [appliance.name for appliance in plan.appliances if appliance.priority_n == 1]
    essential += ["well pump"] if plan.pump else []
    essential += [
        f"blower of the {heater.name}" for heater in plan.heaters if heater.electric_w > 0
    ]
    if essential:
        lines.append(f"Keep as long as you can: {'; '.join(essential)}.")
    return lines


def daily(plan):
    """What to look at every day, by what the plan has."""
    checks = [
        (plan.battery, "State of charge of the battery, at dusk and at dawn."),
        (plan.arrays, "Snow, leaves or shade on the solar modules; stay off the roof."),
        (plan.hydro, "Screen at the hydro intake: clear leaves and ice, from firm ground."),
        (plan.wind, "Wind turbine: look and listen from the ground for anything new."),
        (plan.generator, "Hours the generator ran, and its oil."),
        (plan.cistern, "Level of the cistern, in the same place each time."),
        (plan.spring or plan.ram_pump, "Flow into the cistern: the same as yesterday?"),
        (
            plan.pump and plan.pressure_tank,
            "Pump: if it starts in short bursts, the pressure tank has lost its air.",
        ),
        (any(fuel.fuel == "propane" for fuel in plan.fuels), "Gauge of the propane tank."),
        (any(fuel.fuel == "cordwood" for fuel in plan.fuels), "Wood burned today."),
        (True, "Room temperature in the morning, and in the coldest room with pipes."),
        (plan.fuels, "Carbon monoxide and smoke alarms: press the test button once a week."),
        (plan.freezer, "Temperature in freezer and refrigerator; keep the doors shut."),
        (plan.pantry, "What you ate, and what will go bad next."),
    ]
    return [text for present, text in checks if present]


def stores(outlook, year, day):
    """How long each store lasts: at rest by itself, and from one start as things go.

    A table in the order in which they run out; the first rows are those of a dead pump or sun.
    """
    plan, lasting = outlook.plan, []
    if plan.battery:
        days = outlook.year.sunless_days
        essential = f"Essentials only: {days['essential_only']:.1f} days."
        lasting += [("battery, no sun and no generator", f"{days['usable']:.1f} days", essential)]
    water = water_stores(plan, outlook).loc["all, without power"]
    least = f"Going easy: {water['Days at the least']} days."
    lasting += [("water without the pump", f"{water['Days at usual use']} days", least)]
    lasting += [
        (event.about, count_text(event.day, "day"), event.text)
        for event in story_of(outlook, year, day)
        if event.kind in ("store", "need")
    ]
    columns = ("What", "Lasts", "What happens then")
    table = table_of(dict(zip(columns, row, strict=True)) for row in lasting)
    table.attrs["start"] = date_text(day_text(day))
    return table


def write_in(plan):
    """What a family writes on the sheet by hand, before it happens."""
    lines = [
        (any(fuel.fuel == "propane" for fuel in plan.fuels), "Gas shut-off"),
        (True, "Water shut-off"),
        (plan.grid_former or plan.appliances, "Main breaker"),
        (True, "Doctor, clinic"),
        (plan.fuels, "Fuel supplier"),
        (True, "Neighbor"),
    ]
    return [text for present, text in lines if present]


def _topics(plan):
    fuels = {fuel.fuel for fuel in plan.fuels}
    present = {
        "carbon monoxide": plan.fuels,
        "generator": plan.generator,
        "propane": "propane" in fuels,
        "wood stove": "cordwood" in fuels,
        "battery": plan.battery or plan.arrays,
        "well and drinking water": True,
        "food safety": True,
        "medical needs": plan.appliances,
    }
    return [topic for topic, there in present.items() if there]
