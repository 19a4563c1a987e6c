"""What to do month by month, only for parts that the plan has, each with its reason and source."""

from dataclasses import dataclass

from homestead import reference, units
from homestead.simulate import water_supply
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.vocabulary import FULL_MONTHS

EVERY_MONTH = tuple(range(1, 13))
MONTH_BEFORE = (12, *range(1, 12))


@dataclass(frozen=True)
class Chore:
    """One thing to do in certain months."""

    key: str  # the same in every year, for calendars
    months: tuple[int, ...]
    # what to do, and the reason
    text: str
    why: str
    source: str  # key in data/sources.toml


def chores_of(plan, air_c=None):
    """Chores of a plan, those of single months first.

    air_c (float array of shape (8760 * years,), optional) : Outside air of its weather, which says
        in which month frost comes first; October without.
    Gives tuple of Chore.
    """
    frost = _first_frost_month(air_c)
    found = [*_fuel(plan), *_feed(plan), *_warmth(plan, frost), *_water(plan, frost)]
    found += [*_food(plan), *_power(plan, frost), *_house(plan)]
    return tuple(sorted(found, key=lambda chore: len(chore.months) == 12))


def _first_frost_month(air_c):
    """Month from July on in which a tenth of the nights first fall below freezing; None if none."""
    if air_c is None:
        return 10
    lowest = air_c.reshape(-1, len(MONTH_OF_DAY), 24).min(axis=2)
    for month in (*range(7, 13), *range(1, 7)):
        if (lowest[:, month == MONTH_OF_DAY] < 0.0).mean() >= 0.1:
            return month
    return None


def _fuel(plan):
    for fuel in plan.fuels:
        if not fuel.delivery_months or len(fuel.delivery_months) == 12:
            continue
        order = tuple(MONTH_BEFORE[month - 1] for month in fuel.delivery_months)
        named = " and ".join(FULL_MONTHS[month - 1] for month in fuel.delivery_months)
        done = "Cut or order wood" if fuel.fuel == "cordwood" else f"Order {fuel.fuel}"
        yield Chore(
            f"fuel {fuel.name}", order, f"{done} for the {fuel.name} by the end of the month.",
            f"Your plan counts on a delivery in {named}.", "project",
        )  # fmt: skip


def _feed(plan):
    for animal in plan.animals:
        off = [month for month in EVERY_MONTH if month not in animal.pasture]
        first = [month for month in off if MONTH_BEFORE[month - 1] in animal.pasture]
        if animal.feed_kg > 0 and first:
            feed = units.show(animal.feed_kg, "mass", plan.units)
            yield Chore(
                f"feed {animal.name}", tuple(MONTH_BEFORE[month - 1] for month in first),
                f"Have {feed} of feed for the {animal.name} under cover by the end of the month.",
                f"In your plan they come off pasture in {FULL_MONTHS[first[0] - 1]}.", "project",
            )  # fmt: skip


def _warmth(plan, frost):
    burned = {fuel.name: fuel.fuel for fuel in plan.fuels}
    kinds = {burned.get(heater.store) for heater in plan.heaters}
    before = (MONTH_BEFORE[(frost or 11) - 1],)
    if kinds & {"cordwood", "pellets"}:
        yield Chore(
            "chimney", before, "Have the chimney inspected and swept before the first fire.",
            "Tar in a flue can catch fire.", "common-practice",
        )  # fmt: skip
    if kinds & {"propane", "fuel oil", "diesel", "natural gas"}:
        yield Chore(
            "furnace", before, "Have the furnace or heater serviced by a licensed technician.",
            "A dirty burner wastes fuel and can give off carbon monoxide.", "common-practice",
        )  # fmt: skip


def _water(plan, frost):
    if plan.well or plan.spring or plan.rain:
        yield Chore(
            "water test", (5,), "Have the drinking water tested by a certified laboratory.",
            "Once a year, and after floods or work on the well.", "cdc-wells",
        )  # fmt: skip
    tank = plan.pressure_tank
    if tank and plan.pump:
        air = units.show(water_supply.precharge_pa(plan), "pressure", plan.units)
        yield Chore(
            "precharge", (4,),
            f"Check the pressure tank's air: pump off, tank drained; it should read {air}.",
            "A tank that has lost its air makes the pump run in short bursts, which wears it out.",
            "water-systems-council",
        )  # fmt: skip
    if plan.rain:
        yield Chore(
            "gutters", (4, 11), "Clear gutters, screens and first flush from the ground or a "
            "steady ladder, with someone by.", "Whatever is in them ends up in the cistern.",
            "texas-rainwater",
        )  # fmt: skip
    if plan.by_hand:
        yield Chore(
            "hand pump", (4, 10), "Draw a bucket by hand.",
            "A hand pump nobody uses is dry or stuck the day you need it.",
            "common-practice",
        )  # fmt: skip
    if frost and (plan.well or plan.cistern):
        yield Chore(
            "frost", (MONTH_BEFORE[frost - 1],),
            "Drain hoses, wrap pipes, shut outside taps.",
            f"Your first frost usually comes in {FULL_MONTHS[frost - 1]}.", "red-cross",
        )  # fmt: skip


def _food(plan):
    if plan.pantry:
        yield Chore(
            "pantry", (3, 9), "Rotate the pantry: oldest to the front, eat it, replace it, count.",
            "Food in store is only food until it spoils.", "usda-fsis",
        )  # fmt: skip
    if plan.freezer:
        yield Chore(
            "freezer", (7,), "Check the freezer's thermometer and door seal; list what is in it.",
            "Hot months are when a failing freezer shows.", "usda-fsis",
        )  # fmt: skip


def _power(plan, frost):
    if plan.generator:
        yield Chore(
            "generator", EVERY_MONTH, "Run the generator under load for half an hour, outdoors and "
            "far from windows; look at oil and fuel.", "One that sits for months may not start.",
            "common-practice",
        )  # fmt: skip
    if plan.arrays:
        yield Chore(
            "modules", (4, 9), "Look at the solar modules from the ground: dirt, damage, new "
            "shade. Cut back what shades them.", "Shade in the short days costs the most.",
            "common-practice",
        )  # fmt: skip
    if plan.battery and plan.battery.chemistry.startswith("lead"):
        yield Chore(
            "battery water", EVERY_MONTH, "Have the battery's water level and posts checked.",
            "Vented cells use water.", "common-practice",
        )  # fmt: skip
    if plan.battery and plan.battery.place != "heated room" and frost:
        yield Chore(
            "battery cold", (MONTH_BEFORE[frost - 1],),
            "Make sure the battery's place stays above freezing.",
            "Don't charge lithium cells below freezing; all kinds give less in the cold.",
            "battery-trade-pages",
        )  # fmt: skip


def _house(plan):
    yield Chore(
        "gauges", EVERY_MONTH, "Read all your gauges and enter them: homestead today.",
        "It shows your days with what you really have.", "project",
    )  # fmt: skip
    if plan.fuels:
        yield Chore(
            "alarms", EVERY_MONTH, "Press the test button of the carbon monoxide and smoke alarms.",
            "A dead alarm is silent.", "common-practice",
        )  # fmt: skip


def source_text(chore):
    """Title of the source of a chore."""
    return reference.sources()[chore.source]["title"]
