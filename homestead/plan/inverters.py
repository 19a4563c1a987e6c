"""Main inverter and PV inverters, and what the arrays on their inputs take from them."""

from homestead import units
from homestead.plan.fields import (
    Choice,
    Count,
    Current,
    Duration,
    Fault,
    Fraction,
    Number,
    Part,
    Power,
    Text,
    Voltage,
    optional,
    spec,
)


class GridFormer(Part):
    """The inverter (or several) that makes the house's own grid from the battery."""

    continuous_w: Power = spec("Continuous power", within=(50, 200000), help="Each unit.")
    surge_w: Power = spec("Surge power", within=(50, 500000), help="Each unit, for a few seconds.")
    surge_s: Duration = spec(
        "Surge lasts", alias="surge_time", default=5.0, within=(0.01, 3600), help="Seconds."
    )
    overload_minute_w: Power | None = optional(
        "Power for a minute",
        alias="overload_minute",
        within=(50, 500000),
        help="Each unit, from its data sheet. Leave out if it gives none.",
    )
    overload_half_hour_w: Power | None = optional(
        "Power for half an hour",
        alias="overload_half_hour",
        within=(50, 500000),
        help="Each unit, from its data sheet. Leave out if it gives none.",
    )
    idle_w: Power = spec("Idle draw", within=(0, 1000), help="All units, nothing connected.")
    units_n: Count = spec("Units", default=1, within=(1, 12), help="Of this kind, in parallel.")
    efficiency_frac: Fraction = spec(
        "Efficiency, battery to house", default=0.94, within=(0.5, 1), help="Average over the load."
    )
    charger_w: Power = spec(
        "Charging limit", within=(0, 200000), help="All units, house side to battery."
    )
    charger_efficiency_frac: Fraction = spec(
        "Efficiency, house to battery", default=0.94, within=(0.5, 1), help="Of the charger."
    )
    output_v: Voltage = spec("Output voltage", default=240.0, within=(100, 250), help="120 or 240.")
    phases: Choice | None = optional(
        "Phases",
        choices=("120", "120/240"),
        help="120: one leg. 120/240: split phase. From the output voltage if left out.",
    )
    arrangement: Choice = spec(
        "Units stand",
        default="parallel",
        choices=("parallel", "one per leg"),
        help="parallel: each unit feeds both legs. one per leg: a leg is dark when its unit fails, "
        "or weaker if it has two units.",
    )
    reconnect_frac: Fraction = spec(
        "Switches the house on again at",
        default=0.1,
        within=(0.0, 0.9),
        help="Share of the usable charge an empty battery must reach first; from its manual. 0: "
        "it comes back with the first sun.",
    )
    ac_coupled_limit_w: Power | None = optional(
        "Most AC-coupled PV",
        within=(1, 200000),
        help="For each unit, from its manual. Leave it out if the manual has none.",
    )
    full_bank_hz: Number | None = optional(
        "Frequency with a full battery",
        within=(60, 66),
        help="How high it raises the frequency to hold back AC-coupled PV, from its manual.",
    )

    @property
    def is_split(self):
        """Whether it feeds two legs of 120 V."""
        return self.phases == "120/240" if self.phases else self.output_v > 150.0

    @property
    def all_units_w(self):
        """Continuous power of all units. [W]."""
        return self.continuous_w * self.units_n

    @property
    def overloads(self):
        """Time and power of each overload tier of one unit, longest first. [s], [W]."""
        tiers = (
            (1800.0, self.overload_half_hour_w),
            (60.0, self.overload_minute_w),
            (self.surge_s, self.surge_w),
        )
        return tuple((seconds, watts) for seconds, watts in tiers if watts is not None)

    @property
    def all_units_surge_w(self):
        """Surge power of all units. [W]."""
        return self.surge_w * self.units_n


class PVInverter(Part):
    """A PV inverter that follows the main inverter's grid: two inputs, one output."""

    name: Text = spec("Name", help="Arrays name it as their inverter, its circuit feeds it.")
    converter_w: Power = spec(
        "Output limit", alias="output", within=(1, 200000), help="Of both inputs together."
    )
    efficiency_frac: Fraction = spec(
        "Efficiency", default=0.96, within=(0.5, 1), help="From its data sheet."
    )
    max_v: Voltage | None = optional(
        "Highest voltage",
        alias="max_voltage",
        protects=True,
        within=(10, 1500),
        help="Of an input; never exceeded.",
    )
    tracker_min_v: Voltage | None = optional(
        "Tracker from", protects=True, within=(1, 1500), help="Lowest voltage."
    )
    tracker_max_v: Voltage | None = optional(
        "Tracker to", protects=True, within=(1, 1500), help="Highest."
    )
    input_1_working_a: Current | None = optional(
        "Input 1 draws", within=(0.1, 500), help="Most working current."
    )
    input_1_short_circuit_a: Current | None = optional(
        "Input 1 takes", protects=True, within=(0.1, 500), help="Short-circuit."
    )
    input_2_working_a: Current | None = optional(
        "Input 2 draws", within=(0.1, 500), help="Most working current."
    )
    input_2_short_circuit_a: Current | None = optional(
        "Input 2 takes", protects=True, within=(0.1, 500), help="Short-circuit."
    )

    @property
    def coupling(self):
        """It feeds the house side."""
        return "ac"

    def working_a(self, number):
        """Most current that an input draws, or None. [A]."""
        return getattr(self, f"input_{number}_working_a")


def attached(arrays, inverters):
    """Arrays with the limits of the inverter whose input they name; others as they are."""
    by_name = {inverter.name: inverter for inverter in inverters}
    return tuple(
        array
        if array.inverter is None
        else array.model_copy(update=_limits(array, by_name[array.inverter], arrays))
        for array in arrays
    )


def _limits(array, inverter, arrays):
    number = array.inverter_input_n
    first = next(
        array.name
        for array in arrays
        if (array.inverter, array.inverter_input_n) == (inverter.name, number)
    )
    return {
        "coupling": "ac",
        "converter_w": inverter.converter_w,
        "converter_efficiency_frac": inverter.efficiency_frac,
        "converter_max_v": inverter.max_v,
        "tracker_min_v": inverter.tracker_min_v,
        "tracker_max_v": inverter.tracker_max_v,
        "converter_max_a": getattr(inverter, f"input_{number}_short_circuit_a"),
        "converter_working_a": inverter.working_a(number),
        # Arrays on one input stand in parallel.
        "shares_converter_with": None if first == array.name else first,
    }


OWN = (
    *("coupling", "converter", "converter_efficiency", "converter_max_voltage", "tracker_min"),
    *("tracker_max", "converter_max_current", "converter_working_current", "shares_converter_with"),
)


def _arrays_name_their_inverter(plan):
    listed = plan.raw.get("pv_inverter")
    names = [inverter.name for inverter in plan.pv_inverters or () if inverter is not None]
    for number, array in enumerate(plan.arrays or ()):
        if array is None or array.inverter is None:
            continue
        # One with a fault of its own has been told of already.
        if array.inverter not in names and not (listed and len(names) < len(listed)):
            yield Fault(
                ("array", number, "inverter"),
                f"must name a [[pv_inverter]] ({', '.join(names)[:200] or 'none yet'}); "
                f"got {units.quoted(array.inverter, 40)}",
            )
        for entry in OWN:
            if entry in plan.raw["array"][number]:
                yield Fault(
                    ("array", number, entry),
                    f"must be left out: the PV inverter {units.quoted(array.inverter, 40)} says it",
                )
    for number, inverter in enumerate(plan.pv_inverters or ()):
        if inverter and inverter.tracker_min_v and inverter.tracker_max_v:
            if inverter.tracker_min_v >= inverter.tracker_max_v:
                yield Fault(("pv_inverter", number, "tracker_min"), "must be below tracker_max")


RULES = (_arrays_name_their_inverter,)
