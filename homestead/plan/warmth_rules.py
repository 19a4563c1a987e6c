"""Rules between entries about warmth: deliveries and prices, heat pumps, the shell, preheat.

Each is given the plan by field name, as `rules` explains; a part with a fault of its own is None.
"""

from homestead import units
from homestead.plan.fields import Fault, key_of, members, some_of
from homestead.vocabulary import fuel_measure


def _ends(entry):
    """Texts of an amount as typed: plain, or those of its table; nothing if it is not there."""
    if isinstance(entry, dict):
        return [entry[end] for end in ("value", "low", "high") if end in entry]
    return [] if entry is None else [entry]


def _fuel_deliveries_and_prices_fit(plan):
    typed = plan.raw.get("fuel")
    for number, fuel in members(plan.fuels):
        kind = fuel_measure(fuel.fuel)
        for key in ("delivery_amount", "price_amount"):
            for entry in _ends(typed[number].get(key)):
                try:
                    units.parse(entry, kind)
                except ValueError:
                    yield Fault(
                        ("fuel", number, key),
                        f"of {fuel.fuel} must be a {kind}, such as {units.EXAMPLES[kind]}; "
                        f"got {units.quoted(entry)}",
                    )
        if (fuel.price_money is None) != (fuel.price_amount is None):
            yield Fault(("fuel", number, "price"), "needs price_amount: enter both or neither")
        if fuel.delivery_amount is not None and not fuel.delivery_months:
            yield Fault(
                ("fuel", number, "delivery_months"), "is missing: when does the amount come?"
            )
        if (fuel.tank_diameter_m is None) != (fuel.tank_length_m is None):
            yield Fault(
                ("fuel", number, "tank_diameter"), "needs tank_length: enter both or neither"
            )
        if fuel.moisture_frac is not None and fuel.fuel != "cordwood":
            yield Fault(("fuel", number, "moisture"), "belongs to cordwood only")


def _heat_pumps_are_whole(plan):
    rated = ("mild_output_w", "mild_cop", "cold_output_w", "cold_cop")
    for number, heater in members(plan.heaters):
        given = [name for name in rated if getattr(heater, name) is not None]
        if not given:
            continue
        missing = [key_of(name) for name in rated if name not in given]
        if missing:
            yield Fault(
                ("heater", number),
                f"needs all four figures of a heat pump or none; missing: {', '.join(missing)}",
            )
        if heater.store != "electricity":
            yield Fault(
                ("heater", number, "store"), 'of a heat pump rated by air must be "electricity"'
            )


def _envelope_faces_fit(plan):
    for number, part in members(plan.envelope):
        if part.edge_m > 0 and part.kind != "ground":
            yield Fault(("envelope", number, "edge"), 'is for a part of kind "ground" only')
        if part.solar_gain_frac > 0 and part.kind != "outside":
            yield Fault(("envelope", number, "solar_gain"), "is for a part that faces outside only")


def _preheat_is_whole(plan):
    hot = plan.hot_water
    if hot is None:
        return
    if (hot.preheat_by == "nothing") != (hot.preheat_frac == 0):
        yield Fault(
            ("hot_water", "preheat_by"), "and preheat go together: name what warms it, and how far"
        )
    burns_wood = [fuel.name for _, fuel in members(plan.fuels) if fuel.fuel == "cordwood"]
    if plan.heaters is None or plan.fuels is None or None in (*plan.heaters, *plan.fuels):
        return  # the coil may depend on the one that could not be read
    if hot.preheat_by == "wood":
        wood = [member.name for _, member in members(plan.heaters) if member.store in burns_wood]
        if hot.preheat_heater not in wood:
            yield Fault(
                ("hot_water", "preheat_heater"),
                f"must name a heater that burns cordwood "
                f"({some_of(wood, hot.preheat_heater)}); got {hot.preheat_heater!r}",
            )
    elif hot.preheat_heater is not None:
        yield Fault(("hot_water", "preheat_heater"), 'is for preheat_by = "wood" only')


def _tank_is_heated(plan):
    hot = plan.hot_water
    if hot is None or hot.heats == "always":
        return
    if hot.store != "electricity" or hot.tank_m3 <= 0.0:
        yield Fault(
            ("hot_water", "heats"),
            f'of "{hot.heats}" is for a tank that electricity heats: enter store = "electricity" '
            'and tank = "50 gal", or leave it out',
        )
    if hot.heats == "surplus" and not plan.raw.get("array"):
        yield Fault(("hot_water", "heats"), 'of "surplus" needs an [[array]] that gives it')


RULES = (
    _tank_is_heated,
    _fuel_deliveries_and_prices_fit,
    _heat_pumps_are_whole,
    _envelope_faces_fit,
    _preheat_is_whole,
)
