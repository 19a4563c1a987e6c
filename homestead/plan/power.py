"""Parts of a plan that make, keep and use electricity. Circuits and panel stand in `wiring`."""

from pydantic import model_validator

from homestead import reference, units
from homestead.plan.fields import (
    Angle,
    Angles,
    Choice,
    Count,
    Current,
    Duration,
    Energy,
    Flag,
    Fraction,
    Hours,
    Length,
    LossByMonth,
    Months,
    Number,
    Part,
    Power,
    Temperature,
    Text,
    Voltage,
    optional,
    spec,
)
from homestead.vocabulary import CHEMISTRIES, MOUNTINGS

ALL_YEAR = tuple(range(1, 13))
CODE_LETTERS = tuple("ABCDEFGHJKLMNPRSTUV")
DAYS_A_YEAR = 365.0
DAYS_A_WEEK = 7.0
# A refrigerator's compressor runs about a third of the day (US Department of Energy, found).
COMPRESSOR_DAY_S = 86400.0 / 3.0


class Appliance(Part):
    """Something plugged in or wired in. Pump, blower and cooling have their own parts."""

    name: Text = spec("Name", help="Such as chest freezer.")
    power_w: Power = spec(
        "Power while running", within=(0, 30000), help="From the label or a plug-in meter."
    )
    daily_use_s: Duration = spec(
        "Running time a day",
        within=(0, 86400),
        help="Hours it really runs; a refrigerator's compressor runs about a third of the day.",
    )
    between: Hours = spec(
        "Hours of the day", default=(0, 24), help='When it runs, such as "17-22", or "always".'
    )
    months: Months = spec("Months", default=ALL_YEAR, help='Such as "May-Sep", or "all".')
    count_n: Count = spec("How many", default=1, within=(0, 1000), help="Of the same kind.")
    priority_n: Count = spec(
        "Priority",
        default=2,
        within=(1, 3),
        help="1 essential, 2 useful, 3 comfort. Higher numbers are switched off first.",
    )
    sparing_frac: Fraction | None = optional(
        "Share of its use when you cut back",
        within=(0, 1),
        help="Empty: all of it if essential, or if it is the freezer; none otherwise.",
    )
    starting_a: Current = spec(
        "Starting current",
        default=0.0,
        within=(0, 500),
        help="Locked-rotor current from the label of a motor; 0 if it has none.",
    )
    supply_v: Voltage = spec("Supply voltage", default=120.0, within=(100, 250), help="120 or 240.")
    label_year_wh: Energy | None = optional(
        "Energy a year on the label",
        within=(0, 20_000_000),
        help="Of a refrigerator or freezer, instead of power or running time; without either, we "
        "take the compressor to run a third of the day.",
    )
    duty_frac: Fraction = spec(
        "Share of that time it draws power",
        default=1.0,
        within=(0.01, 1),
        help="Below 1 if the running time above is how long it is switched on.",
    )
    days_a_week_n: Count = spec(
        "Days a week", default=7, within=(1, 7), help="Laundry on two days: 2."
    )
    sunny_days_only: Flag = spec(
        "On sunny days only",
        default=False,
        help="It waits for a day with at least half the sun of a clear day in that month, then "
        "makes up for the days it waited.",
    )
    running_a: Current = spec(
        "Running current",
        default=0.0,
        within=(0, 500),
        help="On a motor's plate (FLA or RLA); we check its wire against it. 0: from the power "
        "above.",
    )
    motor: Flag = spec(
        "Has a motor",
        default=False,
        help="Compressor, pump, saw. Without a number below, we take it to start at six times "
        "its running current.",
    )
    horsepower: Number = spec(
        "Horsepower", default=0.0, within=(0, 10), help="On the motor's plate; 0 if unknown."
    )
    code_letter: Choice | None = optional(
        "Code letter",
        choices=CODE_LETTERS,
        help="Starting kVA per horsepower, on the motor's plate.",
    )
    soft_starter: Flag = spec(
        "Soft starter",
        default=False,
        help="Cuts the starting current to about a third. Common practice.",
    )
    leg: Choice | None = optional(
        "Leg",
        choices=("A", "B"),
        help="Which 120 V leg of a 120/240 V panel it depends on, if known.",
    )

    @model_validator(mode="before")
    @classmethod
    def _from_label(cls, raw):
        """Work out what the yearly figure on a label leaves open: power, running time or both."""
        if not isinstance(raw, dict) or "label_year" not in raw:
            return raw
        label, given = raw["label_year"], dict(raw)
        try:
            yearly_wh = units.parse(label["value"] if isinstance(label, dict) else label, "energy")
            if "power" in raw and "daily_use" in raw:
                return raw  # a rule of the plan says that one of them must go
            daily_wh, duty = yearly_wh / DAYS_A_YEAR, units.parse(raw.get("duty", 1.0), "fraction")
            if "power" in raw:
                power = raw["power"]
                power_w = units.parse(power["value"] if isinstance(power, dict) else power, "power")
                # Left above a day if the power is too small: the entry's own limit says so.
                use_s = daily_wh / max(power_w * duty, 1e-9) * 3600.0
                return given | {"daily_use": f"{use_s!r} s"}
            use_s = COMPRESSOR_DAY_S / duty
            if "daily_use" in raw:
                use = raw["daily_use"]
                use_s = units.parse(use["value"] if isinstance(use, dict) else use, "time")
            else:
                given["daily_use"] = f"{min(use_s, 86400.0)!r} s"
            power_w = daily_wh * 3600.0 / max(min(use_s, 86400.0) * duty, 1.0)
            return given | {"power": f"{power_w!r} W"}
        except (ValueError, TypeError, KeyError):
            # The entry's own reading names the fault; what depends on it must not add another.
            return {"power": "0 W", "daily_use": "0 h"} | given

    @property
    def day_wh(self):
        """Energy of all of them on a day of use. [Wh]."""
        return self.power_w * self.count_n * self.daily_use_s * self.duty_frac / 3600.0

    @property
    def mean_day_wh(self):
        """Energy of all of them on an average day of the week, in the months of use. [Wh]."""
        return self.day_wh * self.days_a_week_n / DAYS_A_WEEK


class Array(Part):
    """Solar modules that share one slope, one direction and one converter."""

    name: Text = spec("Name", help="Such as ground rack or barn roof.")
    module_w: Power = spec("Module rating", within=(1, 1000), help="Watts on the label.")
    modules_per_string_n: Count = spec("Modules in a string", within=(1, 40), help="In series.")
    strings_n: Count = spec("Strings", within=(1, 200), help="In parallel.")
    tilt_deg: Angle = spec("Tilt", within=(0, 90), help="From flat.")
    azimuth_deg: Angle = spec(
        "Azimuth", within=(0, 360), help="Clockwise from true north; south is 180."
    )
    voc_v: Voltage = spec("Open-circuit voltage", within=(1, 200), help="Voc on the label.")
    vmp_v: Voltage = spec("Operating voltage", within=(1, 200), help="Vmp on the label.")
    isc_a: Current = spec("Short-circuit current", within=(0.1, 50), help="Isc on the label.")
    imp_a: Current = spec("Operating current", within=(0.1, 50), help="Imp on the label.")
    voc_coefficient_per_c: Number | None = optional(
        "Change of Voc per °C",
        alias="voc_coefficient_per_c",
        within=(-0.01, 0),
        help="Share per °C, such as -0.0027 for -0.27 % per °C. Without it, the code's own table "
        "counts.",
    )
    power_coefficient_per_c: Number = spec(
        "Change of power per °C",
        alias="power_coefficient_per_c",
        default=-0.0035,
        within=(-0.01, 0),
        help="Share per °C.",
    )
    noct_c: Temperature = spec(
        "Nominal operating cell temperature", default=45.0, within=(30, 60), help="NOCT."
    )
    mounting: Choice | None = optional(
        "Mounted",
        choices=MOUNTINGS,
        help="How air gets behind the modules; with the wind, it sets how hot they run. "
        "Empty: from the nominal temperature above, without wind.",
        source="Sandia National Laboratories, SAND2004-3535, table 1, from memory",
    )
    glass: Choice = spec(
        "Glass",
        default="anti-reflective",
        choices=("plain", "anti-reflective", "not counted"),
        help="Light thrown back at slanting sun takes about 2.3 % of a year with the coating that "
        "most modules have, 2.8 % without.",
    )
    dim_light_frac: Fraction = spec(
        "Lost in dim light",
        default=0.032,
        within=(0, 0.3),
        help="Of its efficiency at 200 W/m², from the data sheet; about 1 % of a year. Typical of "
        "crystalline silicon.",
    )
    first_year_wear_frac: Fraction = spec(
        "Lost in the first year",
        default=0.015,
        within=(0, 0.2),
        help="Drop of the rating in the first weeks of light. Typical: 1.5 %.",
        source="NREL, PVWatts Version 5 Manual, light-induced degradation, from memory",
    )
    coupling: Choice = spec(
        "Coupling",
        choices=("dc", "ac"),
        help="dc: a charge controller to the battery. ac: its own PV inverter, which stops when "
        "no main inverter runs.",
    )
    converter_w: Power = spec(
        "Converter limit", within=(1, 200000), help="Output limit of that controller or inverter."
    )
    converter_efficiency_frac: Fraction = spec(
        "Converter efficiency", default=0.96, within=(0.5, 1), help="From its data sheet."
    )
    converter_max_v: Voltage | None = optional(
        "Converter's highest voltage",
        alias="converter_max_voltage",
        protects=True,
        within=(10, 1500),
        help="Never exceeded.",
    )
    tracker_min_v: Voltage | None = optional(
        "Tracker from", protects=True, within=(1, 1500), help="Lowest voltage at which it tracks."
    )
    tracker_max_v: Voltage | None = optional(
        "Tracker to", protects=True, within=(1, 1500), help="Highest."
    )
    converter_max_a: Current | None = optional(
        "Converter's highest current",
        alias="converter_max_current",
        protects=True,
        within=(0.1, 500),
        help="At its input.",
    )
    converter_working_a: Current | None = optional(
        "Converter's working current",
        alias="converter_working_current",
        within=(0.1, 500),
        help="The most it draws from the strings, if the manual lists it apart from the "
        "short-circuit current it can stand. More sun than that goes unused.",
    )
    soiling_frac: Fraction = spec("Lost to dirt", default=0.02, within=(0, 0.9), help="Yearly.")
    mismatch_frac: Fraction = spec(
        "Lost to mismatch", default=0.02, within=(0, 0.5), help="Modules differ a little."
    )
    wiring_frac: Fraction = spec("Lost in wires", default=0.02, within=(0, 0.5), help="On DC side.")
    monthly_loss_frac: LossByMonth = spec(
        "Further loss by month", default=(0.0,) * 12, within=(0, 1), help="Snow, leaves, haze."
    )
    horizon_deg: Angles = spec(
        "Horizon", default=(), within=(0, 90), help="Heights at equal steps from north, clockwise."
    )
    shares_converter_with: Text | None = optional(
        "Shares its tracker with",
        help="Name of the array whose converter input its strings share, if any. Give each its "
        "part of that converter's limit.",
    )
    fuse_a: Current | None = optional(
        "Fuse of a string", within=(1, 200), help="In each string; leave out if none."
    )
    wire_size: Text | None = optional("Wire of a string", help='Trade size, such as "10".')
    wire_metal: Choice = spec(
        "Metal of that wire", default="copper", choices=("copper", "aluminum"), help="Conductor."
    )
    wire_insulation_c: Temperature = spec(
        "Its insulation", default=90.0, within=(55, 95), help='60, 75 or 90 °C; PV wire "90 °C".'
    )
    wire_m: Length = spec(
        "Its length, one way",
        alias="wire_length",
        default=0.0,
        within=(0, 1000),
        help="Array to converter; 0 if unknown.",
    )
    wire_ambient_c: Temperature | None = optional(
        "Air around that wire",
        within=(-40, 70),
        help="On a hot roof it is warmer than the air; the record high if left out.",
    )
    joined_strings_n: Count | None = optional(
        "Strings joined at the panels",
        within=(2, 40),
        help="How many strings one pair of wires carries from the joint on; leave out if none.",
    )
    joined_wire_size: Text | None = optional(
        "Wire after the joint", help='Trade size, such as "6"; same metal as above.'
    )
    joined_fuse_a: Current | None = optional(
        "Fuse or breaker after the joint", within=(1, 800), help="Leave out if none."
    )
    spare_poles_n: Count = spec(
        "Spare poles", default=0, within=(0, 100), help="Free places for strings in its combiner."
    )
    future_strings_n: Count = spec(
        "Strings to come", default=0, within=(0, 100), help="Strings you leave room for."
    )

    inverter: Text | None = optional(
        "On the PV inverter",
        help="Name of a [[pv_inverter]]; coupling, converter and its limits are then left out.",
    )
    inverter_input_n: Count = spec(
        "On its input", default=1, within=(1, 2), help="Arrays on one input are in parallel."
    )

    @model_validator(mode="before")
    @classmethod
    def _behind_an_inverter(cls, raw):
        """An array on a PV inverter needs no converter of its own; `attached` fills in that one."""
        if isinstance(raw, dict) and raw.get("inverter"):
            return {"coupling": "ac", "converter": "1 W"} | raw
        return raw

    @property
    def rated_w(self):
        """Rated power of all modules. [W]."""
        return self.module_w * self.modules_per_string_n * self.strings_n


TYPICAL_OF_CHEMISTRY = {
    "depth_of_discharge_frac": "depth_of_discharge",
    "round_trip_frac": "round_trip_dc",
    "fade_frac": "fade_per_year",
}


class Battery(Part):
    """The battery bank."""

    chemistry: Choice = spec("Chemistry", choices=CHEMISTRIES, help="Sets limits in the cold.")
    modules_n: Count = spec("Modules", within=(1, 1000), help="Batteries in the bank.")
    module_wh: Energy = spec("Energy of a module", within=(10, 200000), help="Nominal, new.")
    depth_of_discharge_frac: Fraction | None = optional(
        "Share that may be used",
        within=(0.05, 1),
        help="Beyond this share we call the battery empty, whatever its label says. Empty: typical "
        "of the chemistry, 0.9 for lithium and 0.5 for lead-acid.",
    )
    round_trip_frac: Fraction | None = optional(
        "Round-trip efficiency of the cells",
        within=(0.5, 1),
        help="DC in to DC out, without converters. Empty: typical of the chemistry, 0.95 for "
        "lithium iron phosphate and 0.8 for lead-acid.",
    )
    charge_w: Power = spec("Charging limit", within=(1, 500000), help="Whole bank.")
    discharge_w: Power = spec("Discharging limit", within=(1, 500000), help="Whole bank.")
    age_years: Number = spec("Age", default=0.0, within=(0, 30), help="Years in use.")
    fade_frac: Fraction | None = optional(
        "Capacity lost a year",
        within=(0, 0.2),
        help="By calendar and use together. Empty: typical of the chemistry, 0.02 for lithium iron "
        "phosphate and 0.05 for lead-acid.",
    )
    place: Choice = spec(
        "Where it stands",
        default="heated room",
        choices=("heated room", "unheated shed"),
        help="Cells in a shed get as cold as outside; frozen lithium cells take no charge.",
    )
    dead_below_frac: Fraction = spec(
        "Inverter goes to sleep below",
        default=0.05,
        within=(0.0, 0.9),
        help="Share of the whole bank. Between this and the share that may be used the inverter "
        "stays awake with the house off, and can start again at dawn.",
    )
    start_frac: Fraction = spec(
        "Charge at the start", default=1.0, within=(0, 1), help="On the day it starts."
    )
    module_v: Voltage | None = optional(
        "Voltage of a module",
        alias="module_voltage",
        within=(1, 1000),
        help="Nominal, on its label.",
    )
    series_n: Count = spec(
        "Modules in series",
        default=1,
        within=(1, 500),
        help="The rest are parallel: modules over this.",
    )
    most_charge_c: Number | None = optional(
        "Highest charging rate",
        alias="most_charge_c",
        within=(0.01, 10),
        help="As a share of its capacity in an hour (C-rate); from its data sheet.",
    )
    most_discharge_c: Number | None = optional(
        "Highest discharging rate",
        alias="most_discharge_c",
        within=(0.01, 20),
        help="As a share of its capacity in an hour (C-rate); from its data sheet.",
    )

    @model_validator(mode="after")
    def _typical_of_its_chemistry(self):
        """Fill in what nobody entered, without calling it entered."""
        for name, quantity in TYPICAL_OF_CHEMISTRY.items():
            if getattr(self, name) is None:
                self.__dict__[name] = reference.value("battery", self.chemistry, quantity, "")
        return self

    @property
    def nominal_wh(self):
        """Label energy of the bank. [Wh]."""
        return self.modules_n * self.module_wh

    @property
    def parallel_n(self):
        """Strings of modules side by side."""
        return self.modules_n // self.series_n

    @property
    def bank_v(self):
        """Nominal voltage of the bank, or None if that of a module is not entered. [V]."""
        return self.module_v * self.series_n if self.module_v else None


class Shedding(Part):
    """How low the battery gets before the less important things are switched off."""

    comfort_below_frac: Fraction = spec(
        "Comfort off below", default=0.5, within=(0, 1), help="Priority 3, of usable charge."
    )
    useful_below_frac: Fraction = spec(
        "Useful off below", default=0.25, within=(0, 1), help="Priority 2, of usable charge."
    )


class Generator(Part):
    """An engine generator and its rules."""

    rated_w: Power = spec("Rated power", within=(100, 200000), help="At sea level, 25 °C.")
    store: Text = spec("Fuel from", help="Name of the fuel store that feeds it.")
    second_store: Text | None = optional(
        "Second fuel from",
        help="What it burns when the first is empty, if it can burn both. Enter the "
        "lower of its two ratings above.",
    )
    no_load_fuel_w: Power = spec(
        "Fuel use at no load", within=(0, 500000), help="Heat in the fuel, per hour of running."
    )
    full_load_fuel_w: Power = spec(
        "Fuel use at full load", within=(1, 2000000), help="Heat in the fuel, per hour of running."
    )
    start_below_frac: Fraction = spec(
        "Starts below", default=0.2, within=(0, 1), help="State of usable charge."
    )
    stop_above_frac: Fraction = spec(
        "Stops above", default=0.7, within=(0, 1), help="State of usable charge."
    )
    daily_limit_s: Duration | None = optional(
        "Longest run in a day",
        within=(0, 86400),
        help="For quiet, and the neighbors. Empty: 8 h with a battery, no limit without one. "
        "Without a battery it runs in the busiest hours of the day.",
    )
    least_load_frac: Fraction = spec(
        "Least load",
        default=0.3,
        within=(0, 0.9),
        help="It shouldn't run below this share of its power; without a battery, we hold back "
        "sun for that. Common practice.",
    )
    supply_v: Voltage = spec("Output voltage", default=240.0, within=(100, 250), help="120 or 240.")
    service_s: Duration = spec(
        "Between services",
        alias="service_time",
        default=100 * 3600.0,
        within=(3600, 2000 * 3600),
        help="Running hours between oil changes. 100 h: common practice.",
    )
