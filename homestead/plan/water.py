"""Parts of a plan that lift, keep and use water.

Lists of things with an amount are written one text each, ``"gate valve: 2"``; the parts read them
through properties. Whether the tables know the names is a rule between parts (`rules`).
"""

from homestead import units
from homestead.plan.fields import (
    Area,
    Choice,
    Count,
    Current,
    Duration,
    Flag,
    Flow,
    Fraction,
    Length,
    Months,
    Names,
    Number,
    Part,
    Power,
    Pressure,
    Rain,
    Text,
    Voltage,
    Volume,
    optional,
    spec,
)


def named_amounts(texts, kind):
    """Names and amounts from texts such as ``"gate valve: 2"``.

    texts (iterable of str) : Each a name, a colon and an amount.
    kind (str) : Of `homestead.units`, or ``"number"`` for a plain number of 0 or more.
    Gives dict of str to float: In the unit inside.

    Raises ValueError if a text has no colon, an amount cannot be read or is below 0, or a name
        comes twice.

    >>> named_amounts(("gate valve: 2", "tee run wrought: 1"), "number")
    {'gate valve': 2.0, 'tee run wrought': 1.0}
    """
    example = "2" if kind == "number" else units.EXAMPLES[kind].split('"')[1]
    found = {}
    for text in texts:
        name, colon, amount = (piece.strip() for piece in text.rpartition(":"))
        if not colon or not name:
            raise ValueError(f'must be written as "name: {example}"; got {units.quoted(text)}')
        if name in found:
            raise ValueError(f"must name each thing once; got {units.quoted(name)} twice")
        try:
            value = float(amount) if kind == "number" else units.parse(amount, kind)
        except ValueError:
            value = -1.0
        if not 0.0 <= value < float("inf"):  # written this way round so that nan fails too
            raise ValueError(
                f'must end in an amount of 0 or more, as in "{name}: {example}"; '
                f"got {units.quoted(text)}"
            )
        found[name] = value
    return found


def curve_points(texts):
    """Flows and heads of a pump curve from texts such as ``"4 gal/min at 240 ft"``.

    texts (iterable of str) : Each a flow, the word "at" and a head; the first at no flow.
    Gives (tuple of float, tuple of float): Flows [m3/s] and heads [m]; both empty without texts.

    Raises ValueError if a text cannot be read, there is only one point, the first flow is not 0,
        the flows do not rise or the heads do not fall.

    >>> flows_m3s, heads_m = curve_points(("0 L/min at 90 m", "30 L/min at 60 m"))
    >>> [round(flow, 9) for flow in flows_m3s], heads_m
    ([0.0, 0.0005], (90.0, 60.0))
    """
    flows, heads = [], []
    for text in texts:
        flow, _, head = text.partition(" at ")
        try:
            flows.append(units.parse(flow, "flow"))
            heads.append(units.parse(head, "length"))
        except ValueError:
            raise ValueError(
                'must be points such as "4 gal/min at 240 ft" or "15 L/min at 70 m"; '
                f"got {units.quoted(text)}"
            ) from None
    if not flows:
        return (), ()
    rises = all(low < high for low, high in zip(flows, flows[1:], strict=False))
    falls = all(high > low for high, low in zip(heads, heads[1:], strict=False))
    if len(flows) < 2 or flows[0] != 0.0 or min(heads) < 0.0 or not rises or not falls:
        raise ValueError(
            "must have two points or more, the first at no flow, flows rising and heads falling"
        )
    return tuple(flows), tuple(heads)


class Well(Part):
    """The drilled well and what its log says."""

    depth_m: Length = spec("Well depth", within=(1, 600), help="Ground to the bottom of the bore.")
    static_level_m: Length = spec(
        "Static water level", within=(0, 600), help="Ground to water, at rest."
    )
    bore_m: Length = spec("Casing diameter", default=0.1524, within=(0.03, 2), help="Inside.")
    yield_m3s: Flow = spec(
        "Tested yield", within=(0, 0.02), help="Steady flow at the end of the pumping test."
    )
    drawdown_m: Length | None = optional(
        "Drawdown at test",
        within=(0.01, 600),
        help="How far the level fell below static at the tested yield, from the driller's log.",
    )
    neighbors: Names = spec(
        "Near the well",
        default=(),
        help='What lies near and how far, such as "septic tank: 80 ft"; pick kinds from '
        "the table of distances.",
    )

    @property
    def neighbor_distances(self):
        """Distance of each neighbor by its kind. [m]."""
        return named_amounts(self.neighbors, "length")


class Pump(Part):
    """The well pump."""

    rated_w: Power = spec("Motor rating", within=(20, 20000), help="On its plate, in hp or W.")
    supply_v: Voltage = spec(
        "Supply voltage", default=240.0, within=(12, 250), help="On its plate."
    )
    depth_m: Length = spec("Set at", within=(1, 600), help="Ground to the pump.")
    flow_m3s: Flow = spec("Flow", within=(0.000005, 0.02), help="At the pressure it pumps against.")
    wire_to_water_frac: Fraction = spec(
        "Wire-to-water efficiency",
        default=0.35,
        within=(0.02, 0.85),
        help="Water power over electric power. Small submersible pumps: 30 to 45 %.",
    )
    code_letter: Choice = spec(
        "Code letter",
        default="J",
        choices=tuple("ABCDEFGHJKLMNPRSTUV"),
        help="Starting kVA per horsepower, on the plate.",
    )
    locked_rotor_a: Current | None = optional(
        "Locked-rotor current",
        within=(0.5, 1000),
        help="LRA on the plate or in its papers; rules over the code letter.",
    )
    running_a: Current | None = optional(
        "Running current",
        within=(0.1, 300),
        help="Service-factor amps on the plate; we check its wire against it. Empty: from the "
        "flow and the efficiency.",
    )
    soft_starter: Flag = spec(
        "Soft starter",
        default=False,
        help="Cuts the starting current to about a third. Common practice.",
    )
    curve: Names = spec(
        "Pump curve",
        default=(),
        help='Points from the maker\'s curve, such as "0 gal/min at 290 ft", flows rising. With '
        "them we calculate the flow and don't use the entry above.",
    )

    @property
    def curve_points(self):
        """Flows [m3/s] and heads [m] of the curve, both empty if there is none."""
        return curve_points(self.curve)


class Pipe(Part):
    """The pipe from the pump to the house."""

    size: Text = spec("Trade size", default="1", help="Such as 1 or 1-1/4, in inches.")
    material: Choice = spec(
        "Material",
        default="polyethylene",
        choices=("polyethylene", "schedule 40 plastic", "copper", "galvanized steel"),
        help="Sets how smooth it is.",
    )
    length_m: Length = spec("Length", within=(1, 3000), help="Pump to pressure tank.")
    rise_m: Length = spec(
        "Rise", default=0.0, within=(-100, 300), help="Ground at the well to the house or cistern."
    )
    fittings: Names = spec(
        "Fittings",
        default=(),
        help='Each kind and how many, such as "90 deg ell wrought: 4"; pick kinds from the '
        "table of fittings.",
    )

    @property
    def fitting_counts(self):
        """How many of each kind of fitting."""
        return named_amounts(self.fittings, "number")


class PressureTank(Part):
    """The pressure tank and its switch."""

    volume_m3: Volume = spec("Tank size", within=(0.001, 10), help="Whole tank, not the drawdown.")
    cut_in_pa: Pressure = spec("Pump on at", within=(50000, 900000), help="Gauge pressure.")
    cut_out_pa: Pressure = spec("Pump off at", within=(70000, 1000000), help="Gauge pressure.")
    precharge_pa: Pressure | None = optional(
        "Air charge",
        within=(0, 900000),
        help="Gauge pressure of the empty tank; 2 psi below where the pump comes on, if left out.",
    )


class Cistern(Part):
    """A tank that keeps water for days."""

    volume_m3: Volume = spec("Volume", within=(0.01, 1000), help="Usable, when full.")
    start_frac: Fraction = spec("Full at the start", default=1.0, within=(0, 1), help="Share.")
    from_well: Flag = spec("Well fills it", default=True, help="The well pump tops it up.")
    well_fills_to_frac: Fraction = spec(
        "Well fills it up to",
        default=1.0,
        within=(0, 1),
        help="Less than full leaves room for rain.",
    )
    use: Choice = spec(
        "Used",
        default="reserve",
        choices=("first", "reserve"),
        help="first: the house drinks from it and the pump refills it. reserve: the house uses "
        "the well while the pump runs, and the cistern when it doesn't.",
    )
    delivery: Choice = spec(
        "Reaches the house by",
        default="gravity",
        choices=("gravity", "booster pump", "bucket"),
        help="A booster pump needs power; a bucket brings only what you carry.",
    )
    booster_pa: Pressure = spec(
        "Booster pressure",
        default=units.parse("40 psi", "pressure"),
        within=(0, 1000000),
        help="40 psi by default.",
    )
    above_taps_m: Length | None = optional(
        "Outlet above the taps",
        within=(0, 300),
        help="For delivery by gravity: it makes the pressure at the taps.",
    )


class RainCatch(Part):
    """A roof that feeds the cistern."""

    roof_m2: Area = spec("Roof area", within=(0, 5000), help="Flat projection, not along slope.")
    collected_frac: Fraction = spec(
        "Share collected",
        default=0.85,
        within=(0, 1),
        help="After splash, gutters and screens.",
        source="Texas Manual on Rainwater Harvesting, 3rd ed. 2005, from memory: 75 to 90 %",
    )
    first_flush_m: Rain = spec(
        "First flush", default=0.0005, within=(0, 0.02), help="Depth lost on each wet day."
    )


class WaterUse(Part):
    """What you use, the least you can live with, and what a fire would take."""

    per_person_m3: Volume = spec(
        "Use per person and day",
        default=0.19,
        within=(0, 1),
        help="50 gal is a careful household.",
        source="Penn State Extension: 50 to 100 gal per person and day",
    )
    minimum_per_person_m3: Volume = spec(
        "Least per person and day",
        default=units.parse("1 gal", "volume"),
        within=(0, 0.2),
        help="1 gal for drinking and cooking, as emergency agencies advise.",
        source="FEMA and CDC emergency advice: 1 gal per person and day",
    )
    fixtures: Names = spec(
        "Use by fixture",
        default=(),
        help='How often the whole household uses each in a day, such as "low-flush toilet: 24"; '
        "shown beside the use per person, which is the number that counts.",
    )
    fire_building_m3: Volume | None = optional(
        "Building to be covered in a fire",
        within=(1, 100000),
        help="Its volume, counting half the roof; we calculate the water needed for a fire.",
    )
    fire_hazard_n: Count = spec(
        "Occupancy hazard number",
        default=7,
        within=(3, 7),
        help="7 for a dwelling, 3 the worst; the local fire department says.",
        source="NFPA 1142, occupancy hazard classification",
    )
    fire_construction: Number = spec(
        "Construction class number",
        default=1.5,
        within=(0.5, 1.5),
        help="1.5 for a wood frame, 0.5 for fire-resistive; some editions hold dwellings at 1.0.",
        source="NFPA 1142, construction classification",
    )
    fire_exposed: Flag = spec(
        "Another building is close", default=False, help="Near enough to catch fire too."
    )

    @property
    def fixture_uses(self):
        """Uses a day of each fixture by the whole household."""
        return named_amounts(self.fixtures, "number")


class ByHand(Part):
    """Water without power: a hand pump on the well, or a bucket from the cistern."""

    source: Choice = spec("From", choices=("well", "cistern"), help="Where it is drawn.")
    flow_m3s: Flow = spec("Rate", within=(0, 0.002), help="While somebody pumps.")
    daily_limit_s: Duration = spec(
        "Time a day", default=3600.0, within=(0, 86400), help="How long you'll spend on it."
    )


class Garden(Part):
    """The kitchen garden and its water; list what grows under crops."""

    area_m2: Area = spec("Area", within=(0, 100000), help="Beds, without paths.")
    irrigated: Flag = spec("Watered", default=True, help="From the cistern first, then the well.")
    months: Months = spec("Months of watering", default=(5, 6, 7, 8, 9), help="Such as May-Sep.")
    crop_factor: Number = spec(
        "Crop factor",
        default=0.9,
        within=(0.1, 1.4),
        help="Water use compared with short grass, season average.",
        source="FAO Irrigation and Drainage Paper 56, table 12, small vegetables, from memory",
    )
    cistern_floor_frac: Fraction = spec(
        "Cistern kept for the house",
        default=0.5,
        within=(0, 1),
        help="The garden does not draw the cistern below this level.",
    )
    irrigation_frac: Fraction = spec(
        "Watering efficiency", default=0.8, within=(0.2, 1), help="Drip 0.9, hose 0.7."
    )
