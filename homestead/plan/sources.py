"""Parts of a plan that draw on running water and wind: hydro, wind, spring, ram pump."""

from homestead import units
from homestead.plan.fields import (
    Choice,
    Flow,
    FlowByMonth,
    Fraction,
    Length,
    Names,
    Number,
    Part,
    Power,
    optional,
    spec,
)


class Hydro(Part):
    """A small hydro plant: a pipe from the stream to a turbine."""

    head_m: Length = spec("Drop", within=(0.5, 500), help="Water level at the intake to nozzle.")
    flow_m3s: FlowByMonth = spec(
        "Flow you may take, by month",
        within=(0, 2),
        help="12 flows, January first: what you may take, after what has to stay in the stream. "
        "0 for a month when it's frozen or dry.",
    )
    most_flow_m3s: Flow = spec(
        "Most the turbine takes", within=(0.00001, 2), help="All nozzles open; from its maker."
    )
    least_flow_m3s: Flow = spec(
        "Stops below", default=0.0, within=(0, 2), help="Flow it needs to turn at all."
    )
    pipe_inside_m: Length = spec("Pipe inside diameter", within=(0.01, 1.5), help="As made.")
    pipe_length_m: Length = spec("Pipe length", within=(1, 5000), help="Intake to turbine.")
    hazen_williams: Number = spec(
        "Pipe smoothness (Hazen-Williams C)",
        default=150.0,
        within=(60, 160),
        help="150 for plastic, about 100 for old steel.",
        source="Illinois Administrative Code, Title 77 Part 906, Appendix A: C = 150 for plastic",
    )
    efficiency_frac: Fraction = spec(
        "Efficiency, water to wire",
        default=0.53,
        within=(0.1, 0.9),
        help="Turbine and generator together, from the power left after pipe loss.",
        source="US Department of Energy, Planning a Microhydropower System, from memory: drop (ft) "
        "times flow (gal/min) over 10 gives W, which is 53 %",
    )
    limit_w: Power = spec("Most it gives", within=(1, 100000), help="From the generator's label.")
    coupling: Choice = spec(
        "Coupling",
        choices=("dc", "ac"),
        help="dc: a controller to the battery. ac: its own inverter on the house side, which stops "
        "when no main inverter runs. Either one needs a dump load that can take all of it.",
    )
    converter_efficiency_frac: Fraction = spec(
        "Efficiency of its controller and wire",
        default=0.95,
        within=(0.5, 1),
        help="Common practice.",
    )


class Wind(Part):
    """A small wind turbine on its tower."""

    curve: Names = spec(
        "Power curve",
        help='Points such as "300 W at 6 m/s" or "1.2 kW at 20 mph", from its maker, at sea level. '
        "Below the first and above the last it gives nothing.",
    )
    tower_m: Length = spec("Height of the hub", within=(3, 60), help="Above the ground.")
    measured_m: Length = spec(
        "Wind of the weather file is at",
        default=10.0,
        within=(2, 100),
        help="Above the ground.",
        source="WMO Guide to Instruments (WMO-No. 8), from memory: wind is measured at 10 m over "
        "open ground",
    )
    shear: Number = spec(
        "Wind shear exponent",
        default=0.2,
        within=(0, 0.6),
        help="How fast wind grows with height: 0.14 open grass, 0.2 hedges, 0.3 woods and houses.",
        source="IEC 61400-1, normal wind profile: 0.2",
    )
    rotor_m: Length | None = optional(
        "Rotor diameter", within=(0.3, 15), help="To check the curve against physics."
    )
    lost_frac: Fraction = spec(
        "Lost to gusts, trees, ice and stops",
        default=0.15,
        within=(0, 0.9),
        help="Of what the curve says. Common practice.",
    )
    coupling: Choice = spec(
        "Coupling",
        choices=("dc", "ac"),
        help="dc: a controller to the battery. ac: its own inverter on the house side, which stops "
        "when no main inverter runs.",
    )
    converter_efficiency_frac: Fraction = spec(
        "Efficiency of its controller and wire",
        default=0.95,
        within=(0.5, 1),
        help="Common practice.",
    )

    @property
    def curve_points(self):
        """Speeds [m/s] and powers [W] of the curve, by `curve_points` of this module."""
        return curve_points(self.curve)


def curve_points(texts):
    """Speeds and powers of a power curve from texts such as ``"300 W at 6 m/s"``.

    Gives (tuple of float, tuple of float): Speeds [m/s] and powers [W].

    Raises ValueError if a text cannot be read, there are fewer than two points, or speeds do not
        rise.

    >>> curve_points(("0 W at 3 m/s", "1 kW at 11 m/s"))
    ((3.0, 11.0), (0.0, 1000.0))
    """
    speeds, powers = [], []
    for text in texts:
        power, _, speed = text.partition(" at ")
        try:
            powers.append(units.parse(power, "power"))
            speeds.append(units.parse(speed, "speed"))
        except ValueError:
            raise ValueError(
                f'must be points such as "300 W at 6 m/s" or "1 kW at 20 mph"; '
                f"got {units.quoted(text)}"
            ) from None
    rises = all(low < high for low, high in zip(speeds, speeds[1:], strict=False))
    if len(speeds) < 2 or min(powers) < 0.0 or not rises or not 0.0 <= speeds[0] < speeds[-1] <= 60:
        raise ValueError(
            "must have two points or more, speeds rising, up to 60 m/s (134 mph), no power below 0"
        )
    return tuple(speeds), tuple(powers)


class Spring(Part):
    """A spring that runs by its own weight into the cistern, or drives a ram pump."""

    flow_m3s: FlowByMonth = spec(
        "Flow, by month",
        within=(0, 0.1),
        help="12 flows into the pipe, January first: time how long a bucket takes to fill, and do "
        "it in the driest month too.",
    )
    leads_to: Choice = spec(
        "Runs into",
        default="cistern",
        choices=("cistern", "ram pump"),
        help="A spring box counts as a cistern. A ram pump lifts part of it if it's too low.",
    )
    treatment: Choice = spec(
        "Treated by",
        default="nothing",
        choices=("nothing", "filter and ultraviolet", "filter and chlorine", "boiling"),
        help="Before anybody drinks it. Ultraviolet needs power: enter it as an appliance.",
    )


class RamPump(Part):
    """A hydraulic ram: a lot of water falling a little lifts a little water high, without power."""

    fall_m: Length = spec("Fall", within=(0.5, 60), help="Source to ram.")
    lift_m: Length = spec("Lift", within=(1, 300), help="Ram to the top of the cistern.")
    most_drive_m3s: Flow = spec(
        "Most water that drives it", within=(0.000001, 0.1), help="From its maker."
    )
    least_drive_m3s: Flow = spec(
        "Stops below", default=0.0, within=(0, 0.1), help="The water it needs to keep beating."
    )
    efficiency_frac: Fraction = spec(
        "Efficiency",
        default=0.6,
        within=(0.1, 0.9),
        help="0.66 for a bought one, 0.33 for a home-made one; 0.6 is our choice.",
        source="USAID, Water for the World, technical note RWS.4.D.5, found in a copy",
    )
    stream_m3s: FlowByMonth | None = optional(
        "Stream that drives it, by month",
        within=(0, 1),
        help="12 flows. Empty: the spring drives it.",
    )
