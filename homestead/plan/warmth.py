"""Parts of a plan that keep the house warm, the water hot and the summer bearable."""

from homestead.plan.fields import (
    Amount,
    Angle,
    Area,
    Choice,
    Energy,
    Fraction,
    Length,
    Months,
    Names,
    Number,
    Part,
    Power,
    Resistance,
    Temperature,
    Text,
    Volume,
    spec,
)

FUELS = (
    "propane",
    "cordwood",
    "pellets",
    "fuel oil",
    "diesel",
    "gasoline",
)


class House(Part):
    """The house as one warm room."""

    floor_m2: Area = spec("Floor area", low=5, high=2000, help="Heated.")
    ceiling_m: Length = spec("Ceiling height", default=2.44, low=1.8, high=8, help="Mean.")
    air_changes_h: Number = spec(
        "Air changes an hour",
        default=0.4,
        low=0.05,
        high=5,
        help="Leaks with windows shut, mean of the winter.",
    )
    mass: Choice = spec(
        "Thermal mass",
        default="medium",
        choices=("light", "medium", "heavy"),
        help="light: timber frame; medium: some masonry; heavy: masonry or earth.",
        source="ISO 13790:2008, table 12, from memory",
    )
    keep_c: Temperature = spec("Kept at", default=20.0, low=5, high=28, help="Thermostat.")
    per_person_w: Power = spec(
        "Heat from each person", default=70.0, low=0, high=150, help="Mean of day and night."
    )
    appliance_heat_frac: Fraction = spec(
        "Appliance heat that stays in", default=0.8, low=0, high=1, help="Share of their power."
    )
    open_window_air_changes_h: Number = spec(
        "Air changes with windows open", default=4.0, low=0, high=30, help="Used when it helps."
    )
    pipes_outside_frac: Fraction = spec(
        "How far pipes follow outside air",
        default=0.0,
        low=0,
        high=1,
        help="0: pipes run in warm rooms; 1: in the open.",
    )


class Envelope(Part):
    """One part of the shell: walls, roof, floor, windows, doors."""

    name: Text = spec("Name", help="Such as north walls.")
    area_m2: Area = spec("Area", low=0, high=5000, help="Inside face.")
    r_m2k_w: Resistance = spec("R value", low=0.05, high=20, help="Whole part, films included.")
    solar_gain_frac: Fraction = spec(
        "Solar gain", default=0.0, low=0, high=1, help="Of windows: share of sun let in."
    )
    azimuth_deg: Angle = spec("Faces", default=180.0, low=0, high=360, help="Of windows.")


class Heater(Part):
    """A heater; heaters are used in the order of the plan."""

    name: Text = spec("Name", help="Such as wood stove.")
    store: Text = spec("Fuel from", help='Name of a fuel store, or "electricity".')
    output_w: Power = spec("Output", low=50, high=200000, help="Heat into the rooms, at most.")
    efficiency_frac: Fraction = spec(
        "Efficiency", low=0.05, high=6, help="Seasonal; above 1 only for a heat pump."
    )
    electric_w: Power = spec(
        "Blower and controls", default=0.0, low=0, high=5000, help="Draw while it runs."
    )


class Fuel(Part):
    """A store of fuel, as full as it is when isolation begins."""

    name: Text = spec("Name", help="Such as propane tank or woodshed.")
    fuel: Choice = spec("Fuel", choices=FUELS, help="What is in it.")
    amount: Amount = spec("In store", low=0, high=10**6, help="Volume, or mass for pellets.")
    species: Names = spec(
        "Wood species", default=(), help="Equal shares; mean energy. Empty: 20 million Btu a cord."
    )
    tank_m3: Volume = spec(
        "Tank size", default=0.0, low=0, high=200, help="Water capacity of a propane tank."
    )
    reserve_frac: Fraction = spec(
        "Cannot be used", default=0.05, low=0, high=0.5, help="Heel of a tank, rotten wood."
    )


class HotWater(Part):
    """Hot water for the household."""

    store: Text = spec("Fuel from", help='Name of a fuel store, or "electricity".')
    efficiency_frac: Fraction = spec("Efficiency", default=0.78, low=0.05, high=5, help="Burner.")
    share_frac: Fraction = spec(
        "Share of water that is hot", default=0.35, low=0, high=1, help="Of household use."
    )
    hot_c: Temperature = spec("Hot water at", default=49.0, low=30, high=85, help="120 °F.")
    standby_w: Power = spec("Standing loss", default=90.0, low=0, high=1000, help="Of the tank.")
    input_w: Power = spec("Heating power", default=11000.0, low=100, high=100000, help="Highest.")


class Cooling(Part):
    """Summer cooling."""

    capacity_w: Power = spec("Cooling power", low=100, high=100000, help="Heat removed, at most.")
    seer: Number = spec("SEER", default=15.0, low=5, high=40, help="On its label, Btu per Wh.")
    cool_to_c: Temperature = spec("Cools to", default=25.5, low=15, high=35, help="Thermostat.")
    months: Months = spec("Months", default=(5, 6, 7, 8, 9), help="Such as May-Sep.")
    starting_factor: Number = spec(
        "Starting over running current",
        default=5.0,
        low=1,
        high=10,
        help="About 5 across the line; about a third of that with a soft starter. Common practice, "
        "no source.",
    )


class Cooking(Part):
    """Cooking with a fuel."""

    store: Text = spec("Fuel from", help="Name of a fuel store.")
    daily_wh: Energy = spec("Fuel a day", low=0, high=100000, help="Heat in the fuel.")
