"""Parts of a plan that make, keep and use electricity."""

from homestead.plan.fields import (
    Angle,
    Angles,
    Choice,
    Count,
    Current,
    Duration,
    Energy,
    Fraction,
    Hours,
    LossByMonth,
    Months,
    Number,
    Part,
    Power,
    Temperature,
    Text,
    Voltage,
    spec,
)

ALL_YEAR = tuple(range(1, 13))
CHEMISTRIES = ("lithium iron phosphate", "lead-acid")


class Appliance(Part):
    """Something plugged in or wired in. Pump, blower and cooling come from their own parts."""

    name: Text = spec("Name", help="Such as chest freezer.")
    power_w: Power = spec(
        "Power while running",
        low=0,
        high=30000,
        help="From the label or a plug-in meter.",
    )
    daily_use_s: Duration = spec(
        "Running time a day",
        low=0,
        high=86400,
        help="Hours that it truly runs; a refrigerator's compressor runs about a third of the day.",
    )
    between: Hours = spec(
        "Hours of the day", default=(0, 24), help='When it runs, such as "17-22", or "always".'
    )
    months: Months = spec("Months", default=ALL_YEAR, help='Such as "May-Sep", or "all".')
    count_n: Count = spec("How many", default=1, low=0, high=1000, help="Of the same kind.")
    priority_n: Count = spec(
        "Priority",
        default=2,
        low=1,
        high=3,
        help="1 essential, 2 useful, 3 comfort. Higher numbers are shed first.",
    )
    starting_a: Current = spec(
        "Starting current",
        default=0.0,
        low=0,
        high=500,
        help="Locked-rotor current from the label of a motor; 0 if it has none.",
    )
    supply_v: Voltage = spec("Supply voltage", default=120.0, low=100, high=250, help="120 or 240.")


class Array(Part):
    """Solar modules that share one slope, one direction and one converter."""

    name: Text = spec("Name", help="Such as ground rack or barn roof.")
    module_w: Power = spec("Module rating", low=1, high=1000, help="Watts on the label.")
    modules_per_string_n: Count = spec("Modules in a string", low=1, high=40, help="In series.")
    strings_n: Count = spec("Strings", low=1, high=200, help="In parallel.")
    tilt_deg: Angle = spec("Tilt", low=0, high=90, help="From flat.")
    azimuth_deg: Angle = spec(
        "Azimuth", low=0, high=360, help="Clockwise from true north; south is 180."
    )
    voc_v: Voltage = spec("Open-circuit voltage", low=1, high=200, help="Voc on the label.")
    vmp_v: Voltage = spec("Operating voltage", low=1, high=200, help="Vmp on the label.")
    isc_a: Current = spec("Short-circuit current", low=0.1, high=50, help="Isc on the label.")
    imp_a: Current = spec("Operating current", low=0.1, high=50, help="Imp on the label.")
    voc_coefficient_per_c: Number = spec(
        "Change of Voc per °C",
        alias="voc_coefficient_per_c",
        default=-0.0027,
        low=-0.01,
        high=0,
        help="Share per °C, such as -0.0027 for -0.27 % per °C.",
    )
    power_coefficient_per_c: Number = spec(
        "Change of power per °C",
        alias="power_coefficient_per_c",
        default=-0.0035,
        low=-0.01,
        high=0,
        help="Share per °C.",
    )
    noct_c: Temperature = spec(
        "Nominal operating cell temperature", default=45.0, low=30, high=70, help="NOCT."
    )
    coupling: Choice = spec(
        "Coupling",
        choices=("dc", "ac"),
        help="dc: a charge controller to the battery. ac: its own PV inverter, which stops when "
        "no grid former runs.",
    )
    converter_w: Power = spec(
        "Converter limit", low=1, high=200000, help="Output limit of that controller or inverter."
    )
    converter_efficiency_frac: Fraction = spec(
        "Converter efficiency", default=0.96, low=0.5, high=1, help="From its data sheet."
    )
    converter_max_v: Voltage = spec(
        "Converter's highest voltage",
        alias="converter_max_voltage",
        default=600.0,
        low=10,
        high=1500,
        help="Never exceeded.",
    )
    tracker_min_v: Voltage = spec(
        "Tracker from", default=60.0, low=1, high=1500, help="Lowest voltage at which it tracks."
    )
    tracker_max_v: Voltage = spec("Tracker to", default=550.0, low=1, high=1500, help="Highest.")
    converter_max_a: Current = spec(
        "Converter's highest current",
        alias="converter_max_current",
        default=30.0,
        low=0.1,
        high=500,
        help="At its input.",
    )
    soiling_frac: Fraction = spec("Lost to dirt", default=0.02, low=0, high=0.9, help="Yearly.")
    mismatch_frac: Fraction = spec(
        "Lost to mismatch", default=0.02, low=0, high=0.5, help="Modules differ a little."
    )
    wiring_frac: Fraction = spec("Lost in wires", default=0.02, low=0, high=0.5, help="On DC side.")
    monthly_loss_frac: LossByMonth = spec(
        "Further loss by month", default=(0.0,) * 12, low=0, high=1, help="Snow, leaves, haze."
    )
    horizon_deg: Angles = spec(
        "Horizon", default=(), low=0, high=90, help="Heights at equal steps from north, clockwise."
    )


class GridFormer(Part):
    """The inverter (or several) that makes the house's own grid from the battery."""

    continuous_w: Power = spec("Continuous power", low=50, high=200000, help="Each unit.")
    surge_w: Power = spec("Surge power", low=50, high=500000, help="Each unit, for a few seconds.")
    surge_s: Duration = spec(
        "Surge lasts", alias="surge_time", default=5.0, low=0.01, high=3600, help="Seconds."
    )
    idle_w: Power = spec("Idle draw", low=0, high=1000, help="All units, nothing connected.")
    units_n: Count = spec("Units", default=1, low=1, high=12, help="Of this kind, in parallel.")
    efficiency_frac: Fraction = spec(
        "Efficiency, battery to house", default=0.94, low=0.5, high=1, help="Average over the load."
    )
    charger_w: Power = spec(
        "Charging limit", low=0, high=200000, help="All units, house side to battery."
    )
    charger_efficiency_frac: Fraction = spec(
        "Efficiency, house to battery", default=0.94, low=0.5, high=1, help="Of the charger."
    )
    output_v: Voltage = spec("Output voltage", default=240.0, low=100, high=250, help="120 or 240.")


class Battery(Part):
    """The battery bank."""

    chemistry: Choice = spec("Chemistry", choices=CHEMISTRIES, help="Sets limits in the cold.")
    modules_n: Count = spec("Modules", low=1, high=1000, help="Batteries in the bank.")
    module_wh: Energy = spec("Energy of a module", low=10, high=200000, help="Nominal, new.")
    depth_of_discharge_frac: Fraction = spec(
        "Share that may be used",
        default=0.9,
        low=0.05,
        high=1,
        help="Below this the bank is empty for planning, whatever its label says.",
    )
    round_trip_frac: Fraction = spec(
        "Round-trip efficiency of the cells",
        default=0.95,
        low=0.5,
        high=1,
        help="DC in to DC out, without converters.",
    )
    charge_w: Power = spec("Charging limit", low=1, high=500000, help="Whole bank.")
    discharge_w: Power = spec("Discharging limit", low=1, high=500000, help="Whole bank.")
    age_years: Number = spec("Age", default=0.0, low=0, high=30, help="Years in use.")
    fade_frac: Fraction = spec(
        "Capacity lost a year",
        default=0.02,
        low=0,
        high=0.2,
        help="Ageing by calendar and use together. Common practice, no source.",
    )
    place: Choice = spec(
        "Where it stands",
        default="heated room",
        choices=("heated room", "unheated shed"),
        help="Cells in a shed follow the outside air; no charge goes into frozen lithium cells.",
    )
    start_frac: Fraction = spec(
        "Charge at the start", default=1.0, low=0, high=1, help="When isolation begins."
    )


class Shedding(Part):
    """States of charge below which loads of lower priority are switched off."""

    comfort_below_frac: Fraction = spec(
        "Comfort off below", default=0.5, low=0, high=1, help="Priority 3, of usable charge."
    )
    useful_below_frac: Fraction = spec(
        "Useful off below", default=0.25, low=0, high=1, help="Priority 2, of usable charge."
    )


class Generator(Part):
    """An engine generator and its rules."""

    rated_w: Power = spec("Rated power", low=100, high=200000, help="At sea level, 25 °C.")
    store: Text = spec("Fuel from", help="Name of the fuel store that feeds it.")
    no_load_fuel_w: Power = spec(
        "Fuel use at no load", low=0, high=500000, help="Heat in the fuel, per hour of running."
    )
    full_load_fuel_w: Power = spec(
        "Fuel use at full load", low=1, high=2000000, help="Heat in the fuel, per hour of running."
    )
    start_below_frac: Fraction = spec(
        "Starts below", default=0.2, low=0, high=1, help="State of usable charge."
    )
    stop_above_frac: Fraction = spec(
        "Stops above", default=0.7, low=0, high=1, help="State of usable charge."
    )
    daily_limit_s: Duration = spec(
        "Longest run in a day", default=8 * 3600.0, low=0, high=86400, help="Noise, neighbours."
    )
