"""Cautions shown beside numbers, and the published thresholds and distances behind them.

Plain words by topic, each with its source key. They point to local codes and licensed practice and
judge no installation: nothing here says that anything is in order.
"""

from typing import NamedTuple

import numpy as np

from homestead import reference
from homestead.units import checked, convert_unit


class Caution(NamedTuple):
    """One caution: its topic, its words and the key of its source in data/sources.toml."""

    topic: str
    text: str
    source: str


CAUTIONS = (
    Caution(
        "propane",
        "A supplier fills a tank to about 80 % of its water capacity, because the liquid swells "
        "as it warms. The local fire code and the supplier decide where a tank may stand.",
        "osha-1910-110",
    ),
    Caution(
        "propane",
        "Propane is heavier than air and gathers in low places. If you smell it, go outside, "
        "touch no switch, and call the supplier or the fire department from a distance. Leave "
        "gas piping and regulators to a licensed gas fitter.",
        "common-practice",
    ),
    Caution(
        "propane",
        "A tank that is low and cold gives less gas than its burners need, long before it's empty.",
        "lpg-serviceman",
    ),
    Caution(
        "carbon monoxide",
        "Anything that burns can give off carbon monoxide, which has no smell. Put alarms near "
        "the bedrooms and on each floor. An alarm can take minutes or hours to sound: silence "
        "proves nothing. If someone feels sick, get everyone outside and call for help.",
        "ul-2034",
    ),
    Caution(
        "battery",
        "A battery bank can push thousands of amps into a short, and you can't switch it off at "
        "its posts. Fusing, disconnects, enclosure and clearances follow the maker's manual and "
        "local electrical code; have a licensed electrician check them.",
        "common-practice",
    ),
    Caution(
        "battery",
        "Vented lead-acid cells give off hydrogen while they charge: vent them to the outside, "
        "and keep flames and sparks away. Don't charge lithium cells below freezing.",
        "common-practice",
    ),
    Caution(
        "mains voltage",
        "House voltage and the strings of solar modules can kill, and modules stay live in any "
        "daylight. The sizes here are for planning: local code and a licensed electrician decide "
        "what is built.",
        "common-practice",
    ),
    Caution(
        "mains voltage",
        "Keep a house with its own power apart from the grid, with transfer equipment your "
        "utility and local code accept: back-feeding can kill people working on the line.",
        "common-practice",
    ),
    Caution(
        "well and drinking water",
        "Have a certified laboratory test the water once a year and after floods or work on the "
        "well. Bleach doesn't take out chemicals, nitrate or metals.",
        "epa-disinfection",
    ),
    Caution(
        "well and drinking water",
        "Distances between a well and septic systems, fuel, manure and stock differ from state "
        "to state; ask the local health department before you place either.",
        "cdc-wells",
    ),
    Caution(
        "well and drinking water",
        "A spring is only as clean as the ground above it. Cover and fence it, keep stock and "
        "septic systems away, test it at least once a year and after floods, and disinfect it "
        "before drinking as the health department advises.",
        "cdc-wells",
    ),
    Caution(
        "well and drinking water",
        "Water from a roof carries whatever is on the roof. Rules on drinking it differ by "
        "place; treatment needs a tested design.",
        "common-practice",
    ),
    Caution(
        "well and drinking water",
        "Stored water ages. Keep it covered, dark and screened, let it turn over, clean the tank, "
        "and disinfect and test it as the local health department advises; public advice is to "
        "replace water you stored yourself every six months.",
        "cdc-water-storage",
    ),
    Caution(
        "well and drinking water",
        "Lines and tanks above the local frost depth freeze and burst: bury, drain or insulate "
        "them. Leave the well itself, its cap and its wiring to a licensed well driller or pump "
        "installer.",
        "common-practice",
    ),
    Caution(
        "starting surge",
        "A motor draws several times its running current while it starts. Go by the code letter "
        "on the motor's plate and the ratings of inverter or generator, not the running watts; "
        "ask for the locked-rotor current.",
        "nec",
    ),
    Caution(
        "food safety",
        "Throw out perishable food that has been above 40 °F (4 °C) for more than two hours. "
        "Use a thermometer: taste and smell can't tell you. Keep doors shut in an outage.",
        "usda-fsis",
    ),
    Caution(
        "food safety",
        "Can low-acid food only under pressure, by a tested recipe for your elevation. Spoiled "
        "jars may look and smell normal.",
        "common-practice",
    ),
    Caution(
        "food safety",
        "Vegetables, meat, fish, beans and soups in jars can grow the toxin of botulism, which "
        "kills and has no smell; a boiling-water bath doesn't stop it. Follow the current "
        "national guide to home canning and ask your county extension office. The numbers here "
        "count fuel, jars and water: they aren't a recipe.",
        "usda-aib-539",
    ),
    Caution(
        "food safety",
        "Higher up, water boils cooler: times or pressures go up with elevation. Tomatoes need "
        "added acid. Don't open, taste or feed to animals anything that leaks, bulges or spurts.",
        "usda-aib-539",
    ),
    Caution(
        "food safety",
        "Pack only dry, low-fat food without air: moist food without air can grow the toxin of "
        "botulism. Keep stores cool, dark, dry and closed to mice and insects.",
        "common-practice",
    ),
    Caution(
        "food safety",
        "Milk straight from the animal can carry disease; health agencies say to heat it first. "
        "Slaughter and meat have their own rules: ask the extension office.",
        "common-practice",
    ),
    Caution(
        "food safety",
        "Dry kidney beans are poisonous when undercooked: soak them, pour the water away and boil "
        "them hard. Babies, pregnant women and sick people need food this plan doesn't cover; "
        "ask a doctor.",
        "common-practice",
    ),
    Caution(
        "wood stove",
        "Clearances, hearth and chimney follow the maker's manual and local code; have the "
        "chimney inspected and swept each year. Wet wood tars the flue and gives less heat.",
        "common-practice",
    ),
    Caution(
        "wood stove",
        "A fire in a closed room needs air. A stove left at full fire overnight is a risk no "
        "number here covers.",
        "common-practice",
    ),
    Caution(
        "generator",
        "Run a generator only outdoors, at least 20 ft (6 m) from the house, exhaust turned away "
        "from doors, windows and vents; never in a garage or on a porch. Let it cool before "
        "fueling. Leave its connection to the house to a licensed electrician.",
        "cdc-generator",
    ),
    Caution(
        "hydro",
        "Shut the intake before you open the pipe, and close valves slowly: fast water in a long "
        "pipe hammers it apart. Keep hands and hair away from the runner, screen the intake, and "
        "don't go out on wet rock alone. Leave its wiring to a licensed electrician.",
        "common-practice",
    ),
    Caution(
        "wind turbine",
        "Falling from a tower or under one kills. Raise, climb and service it only with trained "
        "people, the rotor braked, in calm air, and never near power lines. Stay out from under "
        "it in ice or storm.",
        "common-practice",
    ),
    Caution(
        "fuel storage",
        "Gasoline, diesel and heating oil: use cans and tanks made for them, outside the house, "
        "away from flames and wells, with spills caught. Let an engine cool before refueling. "
        "The local fire "
        "code limits how much may stand where.",
        "common-practice",
    ),
    # From memory: advice that fire and health services repeat each winter.
    Caution(
        "carbon monoxide",
        "Never warm rooms with a gas oven, grill, charcoal or camp stove. Have smoke and carbon "
        "monoxide alarms.",
        "common-practice",
    ),
    Caution(
        "wood stove",
        "Put ashes in a closed metal bin outdoors, away from the house: embers glow for days.",
        "common-practice",
    ),
    Caution(
        "propane",
        "Relight a burner only as its maker says.",
        "common-practice",
    ),
    # From memory: advice of public health services.
    Caution(
        "food safety",
        "No honey for a child under one year (botulism).",
        "common-practice",
    ),
)


# What to do and what never to do once it has happened, for a sheet on the wall: one line each.
ON_THE_WALL = (
    Caution(
        "carbon monoxide",
        "Headache, dizziness or nausea near a fire or engine? Get everyone outside now, then "
        "call for help. A silent alarm proves nothing.",
        "ul-2034",
    ),
    Caution(
        "generator",
        "Run the generator only outdoors, 20 ft (6 m) or more from the house, exhaust turned "
        "away; let it cool before refueling.",
        "cdc-generator",
    ),
    Caution(
        "generator",
        "Never feed the house through an outlet: use only the transfer equipment an electrician "
        "put in.",
        "common-practice",
    ),
    Caution(
        "propane",
        "If you smell gas: everybody out, touch no switch, call from a distance. Relight a "
        "burner only as its maker says.",
        "common-practice",
    ),
    Caution(
        "carbon monoxide",
        "Never warm rooms with a cooking stove, grill, charcoal or camp stove.",
        "common-practice",
    ),
    Caution(
        "wood stove",
        "The fire needs air from outdoors. Put ash in a metal bin with a lid, outdoors.",
        "common-practice",
    ),
    Caution(
        "battery",
        "Don't open covers of battery, inverter or panel: solar strings are live in any daylight.",
        "common-practice",
    ),
    Caution(
        "well and drinking water",
        "If the heat stops in a freeze: shut the water off and drain the pipes. Don't drink "
        "water you aren't sure of; ask the health department.",
        "common-practice",
    ),
    Caution(
        "food safety",
        "Throw out cold food that was above 40 °F (4 °C) for more than two hours; taste and "
        "smell can't tell you. Don't open or taste a jar that leaks or bulges.",
        "usda-fsis",
    ),
    Caution(
        "medical needs",
        "Don't rely on this plan alone for medical equipment: arrange its own backup with the "
        "clinic or the supplier now.",
        "common-practice",
    ),
)


def topics():
    """All topics, in the order of their first caution."""
    return list(dict.fromkeys(caution.topic for caution in CAUTIONS))


def cautions(topic):
    """Cautions on one topic.

    topic (str) : One of `topics`.
    Gives tuple of Caution.

    Raises ValueError if the topic is unknown; the message lists the topics.
    """
    found = tuple(caution for caution in CAUTIONS if caution.topic == topic)
    if not found:
        raise ValueError(f"topic must be one of {', '.join(topics())}; got {topic!r}")
    return found


def propane_tank_distance_m(tank_water_m3):
    """Published distance of an above-ground propane tank from a building or property line.

    tank_water_m3 : Water capacity. [m3], above 0 to 113 (30 000 gal).
    Gives [m], one code's table. The local code and the supplier decide.

    Raises ValueError if the capacity is outside the table.

    .. [1] Ohio Fire Code 1301:7-7-61, Table 6104.3, after NFPA 58.
    """
    prefix, suffix = "propane tank above ground to ", " gal"
    items = [
        item for item in reference.items("distances", "building_or_line") if item.startswith(prefix)
    ]
    # Half a gallon over: a plate that reads 500 gal belongs to the row "251 to 500".
    limits = np.array([float(item[len(prefix) : -len(suffix)]) + 0.5 for item in items])
    # "Less than 125 gal" is the first row; the plate of 125 belongs to the next.
    limits[0] -= 1.0
    edges = convert_unit(limits, "gal", "m^3")
    tank = checked("tank_water_m3", tank_water_m3, 1e-6, float(edges[-1]), "m3")
    distances = [reference.value("distances", item, "building_or_line", "m") for item in items]
    return np.array(distances)[np.searchsorted(edges, tank)]


def well_distance_m(neighbor):
    """Published distance between a private well and a source of pollution.

    neighbor (str) : Such as ``"septic tank"``, ``"leach field"`` or ``"manure stack"``.
    Gives [m]. States differ and many ask for more; the local health department decides.

    Raises ValueError if there is no such row; the nearest names are listed.
    """
    return reference.value("distances", neighbor, "from_well", "m")


def temperature_limit_c(item):
    """Published least temperature, inside or (attic pipes) outside.

    item (str) : ``"general population"``, ``"infants and elderly"``, ``"unattended house"``,
        ``"pipes inside"`` or ``"pipes in unheated attic"`` (outdoor air).
    Gives [degC].

    Raises ValueError if there is no such row; the nearest names are listed.
    """
    quantity = "outside_least" if item == "pipes in unheated attic" else "inside_least"
    return reference.value("cautions", item, quantity, "degC")
