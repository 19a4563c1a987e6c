"""Parts of a plan that lift, keep and use water."""

from homestead.plan.fields import (
    Area,
    Choice,
    Duration,
    Flag,
    Flow,
    Fraction,
    Length,
    Months,
    Number,
    Part,
    Power,
    Pressure,
    Rain,
    Text,
    Voltage,
    Volume,
    spec,
)


class Well(Part):
    """The drilled well and what its log says."""

    depth_m: Length = spec("Well depth", low=1, high=600, help="Ground to the bottom of the bore.")
    static_level_m: Length = spec(
        "Static water level", low=0, high=600, help="Ground to water, at rest."
    )
    bore_m: Length = spec("Casing diameter", default=0.1524, low=0.03, high=2, help="Inside.")
    yield_m3s: Flow = spec(
        "Tested yield", low=0, high=0.02, help="Steady flow at the end of the pumping test."
    )


class Pump(Part):
    """The well pump."""

    rated_w: Power = spec("Motor rating", low=20, high=20000, help="On its plate, in hp or W.")
    supply_v: Voltage = spec(
        "Supply voltage", default=240.0, low=12, high=250, help="On its plate."
    )
    depth_m: Length = spec("Set at", low=1, high=600, help="Ground to the pump.")
    flow_m3s: Flow = spec("Flow", low=0.000005, high=0.02, help="At the pressure it works against.")
    wire_to_water_frac: Fraction = spec(
        "Wire-to-water efficiency",
        default=0.35,
        low=0.02,
        high=0.85,
        help="Water power over electric power. Small submersible pumps: 30 to 45 %.",
    )
    code_letter: Choice = spec(
        "Code letter",
        default="J",
        choices=tuple("ABCDEFGHJKLMNPRSTUV"),
        help="Starting kVA per horsepower, on the plate.",
    )


class Pipe(Part):
    """The pipe from the pump to the house."""

    size: Text = spec("Trade size", default="1", help="Such as 1 or 1-1/4, in inches.")
    material: Choice = spec(
        "Material",
        default="polyethylene",
        choices=("polyethylene", "schedule 40 plastic", "copper", "galvanised steel"),
        help="Sets how smooth it is.",
    )
    length_m: Length = spec("Length", low=1, high=3000, help="Pump to pressure tank.")
    rise_m: Length = spec(
        "Rise", default=0.0, low=-100, high=300, help="Ground at the well to the house or cistern."
    )


class PressureTank(Part):
    """The pressure tank and its switch."""

    volume_m3: Volume = spec("Tank size", low=0.001, high=10, help="Whole tank, not the drawdown.")
    cut_in_pa: Pressure = spec("Pump on at", low=50000, high=900000, help="Gauge pressure.")
    cut_out_pa: Pressure = spec("Pump off at", low=70000, high=1000000, help="Gauge pressure.")


class Cistern(Part):
    """A tank that keeps water for days."""

    volume_m3: Volume = spec("Volume", low=0.01, high=1000, help="Usable, when full.")
    start_frac: Fraction = spec("Full at the start", default=1.0, low=0, high=1, help="Share.")
    from_well: Flag = spec("Well fills it", default=True, help="The well pump tops it up.")
    use: Choice = spec(
        "Used",
        default="reserve",
        choices=("first", "reserve"),
        help="first: the house drinks from it and the pump refills it. reserve: the house draws on "
        "the well while the pump runs, and on the cistern when it does not.",
    )
    delivery: Choice = spec(
        "Reaches the house by",
        default="gravity",
        choices=("gravity", "booster pump", "bucket"),
        help="A booster pump needs power; a bucket brings only what people carry.",
    )
    booster_pa: Pressure = spec(
        "Booster pressure", default=275790.0, low=0, high=1000000, help="40 psi by default."
    )


class RainCatch(Part):
    """A roof that feeds the cistern."""

    roof_m2: Area = spec("Roof area", low=0, high=5000, help="Flat projection, not along slope.")
    collected_frac: Fraction = spec(
        "Share collected",
        default=0.85,
        low=0,
        high=1,
        help="After splash, gutters and screens.",
        source="Texas Manual on Rainwater Harvesting, 3rd ed. 2005, from memory: 75 to 90 %",
    )
    first_flush_m: Rain = spec(
        "First flush", default=0.0005, low=0, high=0.02, help="Depth lost on each wet day."
    )


class WaterUse(Part):
    """What the household uses and the least it can live with."""

    per_person_m3: Volume = spec(
        "Use per person and day",
        default=0.19,
        low=0,
        high=1,
        help="50 gal is a household that takes some care.",
        source="Penn State Extension: 50 to 100 gal per person and day",
    )
    minimum_per_person_m3: Volume = spec(
        "Least per person and day",
        default=0.003785411784,
        low=0,
        high=0.2,
        help="1 gal for drinking and cooking, as emergency agencies advise.",
        source="FEMA and CDC emergency advice: 1 gal per person and day",
    )


class ByHand(Part):
    """Water without power: a hand pump on the well, or a bucket from the cistern."""

    source: Choice = spec("From", choices=("well", "cistern"), help="Where it is drawn.")
    flow_m3s: Flow = spec("Rate", low=0, high=0.002, help="While somebody works it.")
    daily_limit_s: Duration = spec(
        "Time a day", default=3600.0, low=0, high=86400, help="That people will spend on it."
    )


class Garden(Part):
    """The kitchen garden: its water; what grows stands under crops."""

    area_m2: Area = spec("Area", low=0, high=100000, help="Beds, without paths.")
    irrigated: Flag = spec("Watered", default=True, help="From the cistern first, then the well.")
    months: Months = spec("Months of watering", default=(5, 6, 7, 8, 9), help="Such as May-Sep.")
    crop_factor: Number = spec(
        "Crop factor",
        default=0.9,
        low=0.1,
        high=1.4,
        help="Water use over that of short grass, mean of the season.",
        source="FAO Irrigation and Drainage Paper 56, table 12, small vegetables, from memory",
    )
    cistern_floor_frac: Fraction = spec(
        "Cistern kept for the house",
        default=0.5,
        low=0,
        high=1,
        help="The garden does not draw the cistern below this level.",
    )
    irrigation_frac: Fraction = spec(
        "Watering efficiency", default=0.8, low=0.2, high=1, help="Drip 0.9, hose 0.7."
    )
