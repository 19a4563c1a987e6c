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
    optional,
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
    panel: Text | None = optional(
        "In which panel", help="Name of the subpanel its breaker is in; the main panel if left out."
    )
    current_a: Current | None = optional(
        "Current", within=(0, 5000), help="From what it feeds if left out."
    )
    supply_v: Voltage | None = optional(
        "Voltage", within=(1, 1500), help="From what it feeds if left out."
    )
    length_m: Length = spec("Length, one way", within=(0, 3000), help="Breaker to load.")
    size: Text = spec("Wire size", help='Trade size: "14" to "1", "1/0" to "4/0".')
    parallel_n: Count = spec(
        "Cables side by side",
        alias="parallel",
        default=1,
        within=(1, 12),
        help="The same and joined at both ends, such as two battery cables to a post: each "
        "carries its share.",
    )
    metal: Choice = spec(
        "Metal", default="copper", choices=("copper", "aluminum"), help="Of the conductor."
    )
    insulation_c: Temperature = spec(
        "Insulation", default=75.0, within=(55, 95), help="60, 75 or 90 °C, printed on it."
    )
    terminals_c: Temperature | None = optional(
        "Terminals",
        within=(55, 95),
        help="60 or 75 °C, marked on breaker and equipment; the lower of the two counts.",
    )
    ambient_c: Temperature = spec(
        "Air around it", default=30.0, within=(-40, 55), help="Where it's hottest."
    )
    bundled_n: Count = spec(
        "Wires that carry current together",
        default=2,
        within=(1, 100),
        help="In one cable or pipe. Up to 3 don't lower what each may carry.",
    )
    breaker_a: Current | None = optional(
        "Breaker or fuse", protects=True, within=(1, 2000), help="Its rating."
    )
    plate_ampacity_a: Current | None = optional(
        "Minimum circuit ampacity",
        alias="plate_ampacity",
        within=(0.1, 2000),
        help="MCA on the plate of a compressor or motor; it then sizes the wire.",
    )
    plate_breaker_a: Current | None = optional(
        "Maximum breaker on the plate",
        alias="plate_breaker",
        within=(1, 2000),
        help="MOCP or maximum fuse on that plate; it then limits the breaker.",
    )
    continuous: Flag | None = optional(
        "Runs three hours or more",
        help="A continuous load. Left out: from what it feeds; arrays, generator and battery are.",
    )
    disconnect: Flag | None = optional(
        "Has a disconnect", help="A switch that opens all its live wires."
    )

    @field_validator("feeds", mode="after")
    @classmethod
    def _as_called_today(cls, feeds):
        return "main inverter" if feeds == "grid former" else feeds  # its name in earlier plans


class Panel(Part):
    """The main panel of the house."""

    busbar_a: Current = spec("Busbar", within=(10, 2000), help="Rating on the panel's label.")
    main_breaker_a: Current = spec("Main breaker", within=(0, 2000), help="0 if it has none.")
    backfeed_breaker_a: Current = spec(
        "Breakers that feed it", default=0.0, within=(0, 2000), help="Of PV inverters, added up."
    )
    backfeed_at_far_end: Flag = spec(
        "At the far end",
        default=True,
        help="Those breakers are at the end of the busbar away from the main.",
    )


class Subpanel(Panel):
    """A panel fed from another one; its feeder is the circuit that feeds it."""

    name: Text = spec("Name", help="As the circuits name it, such as basement.")
