"""Parts of a plan about wires, breakers and the panel."""

from pydantic import field_validator

from homestead.plan.fields import (
    Choice,
    Count,
    Current,
    Flag,
    Length,
    Part,
    Temperature,
    Text,
    Voltage,
    spec,
)

# What a circuit may feed beside appliances, arrays and heaters, which go by their own names.
FEEDS = ("well pump", "generator", "battery", "main inverter", "panel", "cooling", "water heater")


class Circuit(Part):
    """One circuit: its wire, its breaker and what it feeds."""

    name: Text = spec("Name", help="As written in the panel.")
    feeds: Text = spec(
        "Feeds",
        help="Name of an appliance, array, PV inverter, heater or subpanel, or one of: "
        + ", ".join(FEEDS)
        + ".",
    )
    panel: Text | None = spec(
        "In which panel",
        default=None,
        help="Name of the subpanel its breaker is in; the main panel if left out.",
    )
    current_a: Current | None = spec(
        "Current", default=None, low=0, high=5000, help="From what it feeds if left out."
    )
    supply_v: Voltage | None = spec(
        "Voltage", default=None, low=1, high=1500, help="From what it feeds if left out."
    )
    length_m: Length = spec("Length, one way", low=0, high=3000, help="Breaker to load.")
    size: Text = spec("Wire size", help='Trade size: "14" to "1", "1/0" to "4/0".')
    parallel_n: Count = spec(
        "Cables side by side",
        alias="parallel",
        default=1,
        low=1,
        high=12,
        help="The same and joined at both ends, such as two battery cables to a post: each "
        "carries its share.",
    )
    metal: Choice = spec(
        "Metal", default="copper", choices=("copper", "aluminum"), help="Of the conductor."
    )
    insulation_c: Temperature = spec(
        "Insulation", default=75.0, low=55, high=95, help="60, 75 or 90 °C, printed on it."
    )
    terminals_c: Temperature | None = spec(
        "Terminals",
        default=None,
        low=55,
        high=95,
        help="60 or 75 °C, marked on breaker and equipment; the lower of the two counts.",
    )
    ambient_c: Temperature = spec(
        "Air around it", default=30.0, low=-40, high=55, help="Where it's hottest."
    )
    bundled_n: Count = spec(
        "Wires that carry current together",
        default=2,
        low=1,
        high=100,
        help="In one cable or pipe. Up to 3 don't lower what each may carry.",
    )
    breaker_a: Current | None = spec(
        "Breaker or fuse", default=None, protects=True, low=1, high=2000, help="Its rating."
    )
    plate_ampacity_a: Current | None = spec(
        "Minimum circuit ampacity",
        alias="plate_ampacity",
        default=None,
        low=0.1,
        high=2000,
        help="MCA on the plate of a compressor or motor; it then sizes the wire.",
    )
    plate_breaker_a: Current | None = spec(
        "Maximum breaker on the plate",
        alias="plate_breaker",
        default=None,
        low=1,
        high=2000,
        help="MOCP or maximum fuse on that plate; it then limits the breaker.",
    )
    continuous: Flag | None = spec(
        "Runs three hours or more",
        default=None,
        help="A continuous load. Left out: from what it feeds; arrays, generator and battery are.",
    )
    disconnect: Flag | None = spec(
        "Has a disconnect", default=None, help="A switch that opens all its live wires."
    )

    @field_validator("feeds", mode="after")
    @classmethod
    def _as_called_today(cls, feeds):
        return "main inverter" if feeds == "grid former" else feeds  # its name in earlier plans


class Panel(Part):
    """The main panel of the house."""

    busbar_a: Current = spec("Busbar", low=10, high=2000, help="Rating on the panel's label.")
    main_breaker_a: Current = spec("Main breaker", low=0, high=2000, help="0 if it has none.")
    backfeed_breaker_a: Current = spec(
        "Breakers that feed it", default=0.0, low=0, high=2000, help="Of PV inverters, added up."
    )
    backfeed_at_far_end: Flag = spec(
        "At the far end",
        default=True,
        help="Those breakers are at the end of the busbar away from the main.",
    )


class Subpanel(Panel):
    """A panel fed from another one; its feeder is the circuit that feeds it."""

    name: Text = spec("Name", help="As the circuits name it, such as basement.")
