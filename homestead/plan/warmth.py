"""Parts of a plan that keep the house warm, the water hot and the summer bearable."""

from homestead.plan.fields import (
    Amount,
    Angle,
    Area,
    Choice,
    Current,
    Duration,
    Energy,
    Flag,
    Fraction,
    Hours,
    Length,
    Money,
    Months,
    Names,
    Number,
    Part,
    Power,
    Resistance,
    Temperature,
    Text,
    Volume,
    optional,
    spec,
)

FUELS = ("propane", "cordwood", "pellets", "fuel oil", "diesel", "gasoline")


class House(Part):
    """Your house, as one warm room."""

    floor_m2: Area = spec("Floor area", within=(5, 2000), help="Heated.")
    ceiling_m: Length = spec("Ceiling height", default=2.44, within=(1.8, 8), help="Mean.")
    air_changes_h: Number = spec(
        "Air changes an hour",
        default=0.4,
        within=(0.05, 5),
        help="Leaks with windows shut, winter average.",
    )
    mass: Choice = spec(
        "Thermal mass",
        default="medium",
        choices=("light", "medium", "heavy"),
        help="light: timber frame; medium: some masonry; heavy: masonry or earth.",
        source="ISO 13790:2008, table 12, from memory",
    )
    keep_c: Temperature = spec("Kept at", default=20.0, within=(5, 28), help="Thermostat.")
    per_person_w: Power = spec(
        "Heat from each person", default=70.0, within=(0, 150), help="Average of day and night."
    )
    appliance_heat_frac: Fraction = spec(
        "Appliance heat that stays in", default=0.8, within=(0, 1), help="Share of their power."
    )
    open_window_air_changes_h: Number = spec(
        "Air changes with windows open", default=4.0, within=(0, 20), help="Used when it helps."
    )
    pipes_outside_frac: Fraction = spec(
        "How far pipes follow outside air",
        default=0.0,
        within=(0, 1),
        help="0: pipes run in warm rooms; 1: in the open.",
    )
    design_c: Temperature | None = optional(
        "Design temperature outdoors",
        within=(-60, 25),
        help="The cold the heaters are sized for. Empty: warmer than this in 99 % of the hours "
        "of the site's own weather.",
    )


class Envelope(Part):
    """One part of the shell: walls, roof, floor, windows, doors."""

    name: Text = spec("Name", help="Such as north walls.")
    area_m2: Area = spec("Area", within=(0, 5000), help="Inside face.")
    r_m2k_w: Resistance = spec(
        "R value", within=(0.05, 20), help="The whole part, air films included."
    )
    solar_gain_frac: Fraction = spec(
        "Solar gain", default=0.0, within=(0, 1), help="Of windows: share of sun let in."
    )
    azimuth_deg: Angle = spec("Faces", default=180.0, within=(0, 360), help="Of windows.")
    kind: Choice = spec(
        "Faces what",
        default="outside",
        choices=("outside", "unheated space", "ground"),
        help="outside air, an attic, cellar or crawl space without heat, or the ground.",
    )
    temperature_frac: Fraction | None = optional(
        "Share of the outdoor difference",
        within=(0, 1),
        help="How cold it is beyond the part: 1 as outdoors, 0 as in the rooms. Empty: 1 to the "
        "outside, 0.5 to an unheated space, 0.6 to the ground.",
        source="DIN V 4108-6, simplified method, table 3, from memory",
    )
    edge_m: Length = spec(
        "Slab edge",
        default=0.0,
        within=(0, 1000),
        help="Outer edge of a slab on the ground. Above 0, the edge sets the loss, and area, R "
        "value and share no longer count.",
    )
    edge_insulation: Choice = spec(
        "Slab edge insulation",
        default="none",
        choices=("none", "R-10 to 24 in"),
        help="At the edge, downward.",
        source="ANSI/ASHRAE/IES Standard 90.1, table A6.3, unheated slabs, from memory",
    )


class Heater(Part):
    """A heater; they run in this order."""

    name: Text = spec("Name", help="Such as wood stove.")
    store: Text = spec("Fuel from", help='Name of a fuel store, or "electricity".')
    output_w: Power = spec("Output", within=(50, 200000), help="Heat into the rooms, at most.")
    efficiency_frac: Fraction = spec(
        "Efficiency", within=(0.05, 6), help="Seasonal; above 1 only for a heat pump."
    )
    electric_w: Power = spec(
        "Blower and controls", default=0.0, within=(0, 5000), help="Draw while it runs."
    )
    tended: Hours | None = optional(
        "Hours tended",
        help='When somebody feeds it, such as "6-22". Empty: 6-22 for a wood stove, always for '
        "the rest.",
    )
    untended_frac: Fraction = spec(
        "Output untended",
        default=0.3,
        within=(0, 1),
        help="Share of its output outside those hours, on what you loaded before. A wood stove "
        "turned low: a third of its highest burn. Common practice.",
    )
    mild_output_w: Power | None = optional(
        "Heat pump output at 47 °F (8.3 °C)",
        within=(50, 200000),
        help="Rated at 47 °F outdoors. Fill in all four figures of a heat pump, or none.",
    )
    mild_cop: Number | None = optional(
        "Heat pump COP at 47 °F (8.3 °C)", within=(1, 8), help="Rated at 47 °F outdoors."
    )
    cold_output_w: Power | None = optional(
        "Heat pump output at 17 °F (-8.3 °C)", within=(50, 200000), help="Rated at 17 °F outdoors."
    )
    cold_cop: Number | None = optional(
        "Heat pump COP at 17 °F (-8.3 °C)", within=(1, 8), help="Rated at 17 °F outdoors."
    )
    off_below_c: Temperature = spec(
        "Heat pump stops below", default=-25.0, within=(-60, 15), help="Outdoors, on its label."
    )
    air: Choice = spec(
        "Air for the fire",
        default="room",
        choices=("room", "sealed", "unit outdoors"),
        help="room: it burns the air of the house; sealed: its own pipe from outside.",
    )

    @property
    def is_heat_pump_by_air(self):
        """Whether output and COP follow the outdoor temperature."""
        return self.mild_output_w is not None


class Fuel(Part):
    """A store of fuel, as full as it is the day it starts."""

    name: Text = spec("Name", help="Such as propane tank or woodshed.")
    fuel: Choice = spec("Fuel", choices=FUELS, help="What is in it.")
    amount: Amount = spec("In store", within=(0, 10**6), help="Volume, or mass for pellets.")
    species: Names = spec(
        "Wood species",
        default=(),
        help="Equal shares; average energy. Empty: 20 million Btu a cord.",
    )
    tank_m3: Volume = spec(
        "Tank size", default=0.0, within=(0, 200), help="Water capacity of a propane tank."
    )
    reserve_frac: Fraction = spec(
        "Cannot be used",
        default=0.05,
        within=(0, 0.5),
        help="What's left at the bottom of a tank, rotten wood.",
    )
    moisture_frac: Fraction | None = optional(
        "Wood moisture",
        within=(0, 0.6),
        help="Water over the mass of the moist wood. Empty: air-dry, 20 %.",
    )
    delivery_months: Months = spec(
        "Months of delivery",
        default=(),
        help="In a normal year, such as Sep, Jan. When nothing arrives, none comes.",
    )
    delivery_amount: Amount | None = optional(
        "Amount at each delivery",
        within=(0, 10**6),
        help="At most. Empty: what fills the store up to the amount above.",
    )
    keeps_s: Duration | None = optional(
        "Keeps for",
        within=(86400, 20 * 365 * 86400),
        help="From the day it was bought until it is stale, such as 180 days; stale fuel is not "
        "burned. Empty: it keeps. Common practice: gasoline half a year, a year with "
        "stabilizer; diesel a year; heating oil two; propane and dry wood keep.",
    )
    age_s: Duration = spec(
        "Age at the start",
        default=0.0,
        within=(0, 20 * 365 * 86400),
        help="How old it is the day it starts.",
    )
    low_below_frac: Fraction = spec(
        "Counts as low below", default=0.25, within=(0, 1), help="Share of the amount in store."
    )
    price_money: Money | None = optional(
        "Price", within=(0, 10**6), help="Of the amount in the next entry."
    )
    price_amount: Amount | None = optional(
        "Price is for", within=(0.0001, 10**6), help="Such as 1 gal, 1 cord or 40 lb."
    )
    tank_diameter_m: Length | None = optional(
        "Tank diameter",
        within=(0.1, 5),
        help="Outside. Empty: the usual size of a tank of that volume.",
    )
    tank_length_m: Length | None = optional(
        "Tank length", within=(0.1, 20), help="Outside, whole shell."
    )
    tank_place: Choice = spec(
        "Tank stands",
        default="above ground",
        choices=("above ground", "underground"),
        help="Sets the distance in the fire code's table.",
    )
    tank_distance_m: Length | None = optional(
        "Tank distance",
        within=(0, 1000),
        help="To the nearest building, or the line of a lot that could be built on.",
    )


class HotWater(Part):
    """Hot water for the household."""

    store: Text = spec("Fuel from", help='Name of a fuel store, or "electricity".')
    efficiency_frac: Fraction = spec("Efficiency", default=0.78, within=(0.05, 5), help="Burner.")
    share_frac: Fraction = spec(
        "Share of water that is hot", default=0.35, within=(0, 1), help="Of household use."
    )
    hot_c: Temperature = spec("Hot water at", default=49.0, within=(30, 85), help="120 °F.")
    standby_w: Power = spec(
        "Standing loss", default=90.0, within=(0, 1000), help="Of the tank when it is hot."
    )
    input_w: Power = spec(
        "Heating power",
        default=11000.0,
        within=(100, 100000),
        help="Highest; of an electric tank one element.",
    )
    tank_m3: Volume = spec(
        "Tank",
        default=0.0,
        within=(0, 10),
        help="Hot water that it holds. 0: it heats what is drawn, as it is drawn.",
    )
    heats: Choice = spec(
        "An electric tank heats",
        default="always",
        choices=("always", "timer", "surplus"),
        help="timer: in the hours below. surplus: only from sun that the house doesn't need, once "
        "the battery is full enough.",
    )
    between: Hours = spec(
        "Hours of the timer", default=(10, 15), help='Such as "10-15", while the sun is up.'
    )
    surplus_above_frac: Fraction = spec(
        "Surplus from",
        default=0.9,
        within=(0, 1),
        help="State of the battery's usable charge from which the sun may heat water.",
    )
    preheat_by: Choice = spec(
        "Preheated by",
        default="nothing",
        choices=("nothing", "sun", "wood"),
        help="A solar collector, or a coil in a stove.",
    )
    preheat_frac: Fraction = spec(
        "Share of the heat from it",
        default=0.0,
        within=(0, 1),
        help="Of the heat into drawn water, in its months.",
    )
    preheat_months: Months = spec(
        "Months of preheat", default=tuple(range(1, 13)), help="Such as Apr-Sep for the sun."
    )
    preheat_heater: Text | None = optional(
        "Coil in", help="Name of the heater whose wood warms the water."
    )
    air: Choice = spec(
        "Air for its fire",
        default="room",
        choices=("room", "sealed", "unit outdoors"),
        help="room: it burns the air of the house; sealed: its own pipe from outside.",
    )


class Cooling(Part):
    """Summer cooling."""

    capacity_w: Power = spec("Cooling power", within=(100, 100000), help="Heat removed, at most.")
    seer: Number = spec("SEER", default=15.0, within=(5, 40), help="On its label, Btu per Wh.")
    eer: Number | None = optional(
        "EER",
        within=(5, 30),
        help="On its label, Btu per Wh on a hot day: what it draws at full power. Empty: from the "
        "running current, or from SEER.",
    )
    running_a: Current | None = optional(
        "Running current",
        within=(0.5, 300),
        help="Of compressor and fans together, on the plate at 240 V (RLA and FLA).",
    )
    locked_rotor_a: Current | None = optional(
        "Locked-rotor current",
        within=(1, 1000),
        help="LRA on the plate; rules over the factor below.",
    )
    soft_starter: Flag = spec(
        "Soft starter",
        default=False,
        help="Brings the locked-rotor current down to about a third. Common practice.",
    )
    cool_to_c: Temperature = spec("Cools to", default=25.5, within=(15, 35), help="Thermostat.")
    months: Months = spec("Months", default=(5, 6, 7, 8, 9), help="Such as May-Sep.")
    sensible_frac: Fraction | None = optional(
        "Sensible share",
        within=(0.4, 1),
        help="Of the heat removed, the part that cools the air; the rest dries it. Empty: by the "
        "moisture of each hour, never below the 0.65 of a coil in damp air.",
    )
    windows: Flag = spec(
        "Windows opened too",
        default=False,
        help="Yes: in the cooling months you open windows first when that helps.",
    )
    starting_factor: Number = spec(
        "Starting over running current",
        default=5.0,
        within=(1, 10),
        help="About 5 across the line; about a third of that with a soft starter. Common practice.",
    )


class Cooking(Part):
    """Cooking with a fuel."""

    store: Text = spec("Fuel from", help="Name of a fuel store.")
    daily_wh: Energy = spec("Fuel a day", within=(0, 100000), help="Heat in the fuel.")
    input_w: Power = spec(
        "Burners in use together",
        default=5000.0,
        within=(0, 100000),
        help="Heat in the fuel, highest. Default: two burners; common practice.",
    )
