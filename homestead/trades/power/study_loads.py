"""What may run and what it needs: appliances as entered, machines from the physics.

Owns the list of loads of a plan, the hour in which the most may run together, the legs of a
120/240 V panel, use by month and the look beside a table of typical draws. Starting currents are
listed here and judged in `starting`.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import reference, units
from homestead.formulas.power import motors
from homestead.simulate import constants

# Below this a compressor's entered starting factor says that it has a soft starter: project
# choice, half of the usual factor of five.
GENTLE_FACTOR = 2.5
# Draw of a booster pump is taken at the flow of two fixtures. Common practice, no source.
BOOSTER_FLOW = "8 gal/min"
SUNNY_HOURS = (8, 17)  # in which there may be sun to spare; project choice
CENTRAL_V = 240.0  # heat pumps, water heaters: usual supply of such sizes; common practice
BLOWER_V = 120.0
DAYS_IN = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@dataclass(frozen=True)
class Load:
    """One thing that may run."""

    name: str
    priority_n: int
    supply_v: float
    count_n: int
    running_w: float  # all of them
    day_wh: float  # all of them, on a day of use; nan where the coupled hour works it out
    mean_day_wh: float  # the same over a week, in the months of use
    # Hours of the day in which it may run.
    first_h: int
    span_h: int
    months: tuple  # of int
    leg: str | None  # {"A", "B"} or None
    plain_start_a: float  # starting current of one, across the line; 0 without a motor
    start_a: float  # the same as entered, soft starter included
    has_soft_starter: bool
    basis: str  # {"entered", "label", "physics"}
    plate_a: float = 0.0  # running current of all of them by the plate; 0 if it is not entered

    @property
    def running_a(self):
        """Current of all of them, by the plate if it is entered. [A]."""
        return self.plate_a or self.running_w / self.supply_v

    @property
    def one_w(self):
        """Power of one of them. [W]."""
        return self.running_w / max(self.count_n, 1)

    @property
    def start_va(self):
        """Starting current of one times its voltage. [VA]."""
        return self.start_a * self.supply_v

    @property
    def soft_start_va(self):
        """The same with a soft starter. [VA]."""
        soft_a = self.start_a if self.has_soft_starter else motors.soft_start_a(self.plain_start_a)
        return float(soft_a) * self.supply_v

    @property
    def has_no_start_entered(self):
        """Whether it is an appliance of which the plan does not say how it starts."""
        return self.basis != "physics" and self.plain_start_a <= 0.0

    def runs(self, month, hour):
        """Whether it may run in a month (from 1) and an hour (from 0)."""
        return month in self.months and (hour - self.first_h) % 24 < self.span_h


def loads_of(plan, fixed=None):
    """Everything of a plan that may draw electricity.

    fixed (Fixed, optional) : Constants of the coupled hour, if they are at hand.
    Gives tuple of Load: Appliances in the order of the plan, then pump, booster, heaters, water
        heater, cooling. The well pump at its lowest water level; blowers in the months without
        cooling.
    """
    fixed = fixed or constants.fixed_of(plan)
    found = [_appliance(appliance) for appliance in plan.appliances if appliance.count_n]
    found += _pumps(plan, fixed)
    found += _heat(plan, fixed)
    return tuple(found)


def _appliance(appliance):
    first, last = appliance.between
    plain_a = appliance.starting_a or _motor_start_a(appliance)
    soft = appliance.soft_starter and plain_a > 0.0
    # A labeled starting current is that of the machine as sold; a starter comes on top of it.
    start_a = float(motors.soft_start_a(plain_a)) if soft else plain_a
    return Load(
        appliance.name, appliance.priority_n, appliance.supply_v, appliance.count_n,
        appliance.power_w * appliance.count_n, appliance.day_wh, appliance.mean_day_wh,
        first, (last - first) % 24 or 24, appliance.months, appliance.leg,
        plain_a, start_a, soft, "label" if appliance.label_year_wh is not None else "entered",
        appliance.running_a * appliance.count_n,
    )  # fmt: skip


def _motor_start_a(appliance):
    if appliance.horsepower and appliance.code_letter:
        return code_start_a(appliance.horsepower, appliance.code_letter, appliance.supply_v)
    if appliance.horsepower and _is_table_voltage(appliance.supply_v):
        full_a = motors.full_load_at_least_a(appliance.horsepower, appliance.supply_v)
        return float(motors.across_the_line_a(full_a))
    if appliance.motor or appliance.horsepower or appliance.running_a:
        running_a = appliance.running_a or appliance.power_w / appliance.supply_v
        return float(motors.across_the_line_a(running_a))
    return 0.0


def code_start_a(horsepower, code_letter, volts):
    """Upper end of a code letter's band; its lower end for V, which has no upper. [A]."""
    low, high = motors.locked_rotor_a(horsepower, code_letter, volts)
    return float(high if np.isfinite(high) else low)


def _is_table_voltage(volts):
    return 110.0 <= volts <= 120.0 or volts in (200.0, 208.0) or 220.0 <= volts <= 240.0


def _machine(
    name,
    priority_n,
    volts,
    running_w,
    plain_a,
    months=range(1, 13),
    start_a=None,
    plate_a=None,
    between=(0, 24),
):
    nan = float("nan")
    soft = start_a is not None
    first, last = between
    return Load(
        name, priority_n, volts, 1, float(running_w), nan, nan, first, (last - first) % 24 or 24,
        tuple(months), None,
        float(plain_a), float(start_a if soft else plain_a), soft, "physics", plate_a or 0.0,
    )  # fmt: skip


def pump_horsepower(plan):
    """Rating of the well pump's motor. [hp]."""
    return float(units.convert_unit(plan.pump.rated_w, "W", "hp"))


def _pumps(plan, fixed):
    if plan.pump:
        lowest_wh_m3 = fixed.pump_wh_m3 + fixed.pump_wh_m3_m3 * fixed.casing_m3
        pump = plan.pump
        start_a = pump.locked_rotor_a or code_start_a(
            pump_horsepower(plan), pump.code_letter, pump.supply_v
        )
        soft_a = motors.soft_start_a(start_a) if pump.soft_starter else None
        yield _machine(
            "well pump", 1, pump.supply_v, fixed.pump_m3 * lowest_wh_m3, start_a,
            start_a=soft_a, plate_a=pump.running_a,
        )  # fmt: skip
    if plan.cistern and plan.cistern.delivery == "booster pump":
        hourly_m3 = units.parse(BOOSTER_FLOW, "flow") * constants.HOUR_S
        running_w = hourly_m3 * fixed.booster_wh_m3
        yield _machine(
            "booster pump", 1, BLOWER_V, running_w, motors.across_the_line_a(running_w / BLOWER_V)
        )


def _heat(plan, fixed):
    cooled = plan.cooling.months if plan.cooling else ()
    # Where it is cooled all year, a cold spell may still ask for heat in any month.
    heated = tuple(month for month in range(1, 13) if month not in cooled) or range(1, 13)
    for number, heater in enumerate(plan.heaters):
        running_w = heater.output_w * fixed.heater_electric_per_heat[number]
        if not running_w:
            continue
        by_motor = heater.store != "electricity" or heater.efficiency_frac > 1.0
        volts = CENTRAL_V if heater.store == "electricity" else BLOWER_V
        start_a = motors.across_the_line_a(running_w / volts) if by_motor else 0.0
        yield _machine(heater.name, 1, volts, running_w, start_a, heated)
    if plan.hot_water and plan.hot_water.store == "electricity":
        between = _heating_hours(plan.hot_water)
        watts = plan.hot_water.input_w
        yield _machine("water heater", 2, CENTRAL_V, watts, 0.0, between=between)
    if plan.cooling:
        cool, running_w = plan.cooling, fixed.cool_full_w
        running_a, factor = cool.running_a or running_w / CENTRAL_V, cool.starting_factor
        plain_a, gentle_a = running_a * factor, None
        if cool.locked_rotor_a is not None:
            plain_a = cool.locked_rotor_a
        elif factor < GENTLE_FACTOR:
            plain_a, gentle_a = motors.across_the_line_a(running_a), running_a * factor
        if cool.soft_starter and gentle_a is None:
            gentle_a = float(motors.soft_start_a(plain_a))
        yield _machine(
            "cooling", 3, CENTRAL_V, running_w, plain_a, cooled, gentle_a, cool.running_a
        )


def _heating_hours(hot):
    """Hours of the day in which an electric water heater may run."""
    if hot.heats == "surplus":
        return SUNNY_HOURS
    return hot.between if hot.heats == "timer" else (0, 24)


def together_w(loads, priority_n=3):
    """Power of all that may run in each month and hour, array of shape (12, 24). [W].

    loads (iterable of Load)
    priority_n : Loads of this priority and below it; 1 counts the essential ones only.
    """
    found = np.zeros((12, 24))
    hour = np.arange(24)
    for load in loads:
        if load.priority_n > priority_n:
            continue
        runs = (hour - load.first_h) % 24 < load.span_h
        found[np.array(load.months, dtype=int) - 1] += np.where(runs, load.running_w, 0.0)
    return found


@dataclass(frozen=True)
class Busiest:
    """The month and hour in which the most may run together."""

    # Month from 1, hour from 0; the first if several are alike.
    month: int
    hour: int
    # Full power of everything that may run then: the most that could meet, not a mean.
    total_w: float
    running: tuple  # of Load
    # 240 V loads half on each leg; 120 V loads where entered, the rest spread evenly.
    leg_a_w: float
    leg_b_w: float


def busiest_hour(loads, priority_n=3):
    """Month and hour in which the most may run together.

    loads (tuple of Load)
    priority_n : Loads of this priority and below it.
    Gives Busiest.
    """
    by_hour = together_w(loads, priority_n)
    month, hour = (int(n) for n in np.unravel_index(np.argmax(by_hour), by_hour.shape))
    running = tuple(
        load for load in loads if load.priority_n <= priority_n and load.runs(month + 1, hour)
    )
    leg_a_w, leg_b_w = legs_w(running)
    return Busiest(month + 1, hour, float(by_hour[month, hour]), running, leg_a_w, leg_b_w)


def legs_w(running):
    """Power on the two legs of a 120/240 V panel.

    running (iterable of Load)
    Gives (float, float): [W]. 120 V loads without a leg go to the lighter one, largest first, which
        is close to the best that an electrician can do by moving breakers.
    """
    legs = {"A": 0.0, "B": 0.0}
    for load in sorted(running, key=lambda load: -load.running_w):
        if load.supply_v > 150.0:
            legs["A"] += load.running_w / 2
            legs["B"] += load.running_w / 2
        elif load.leg:
            legs[load.leg] += load.running_w
    for load in sorted(running, key=lambda load: -load.running_w):
        if load.supply_v <= 150.0 and not load.leg:
            legs["A" if legs["A"] <= legs["B"] else "B"] += load.running_w
    return legs["A"], legs["B"]


def by_month(outlook):
    """Use and peak by month.

    Gives DataFrame of 12 rows: Indexed by month: essential_kwh_day, useful_kwh_day, comfort_kwh_day
        (appliances served), pump_kwh_day, blower_kwh_day, cooling_kwh_day, electric_heat_kwh_day,
        idle_kwh_day, unserved_kwh_day, total_kwh_day (served, idle draw included); together_w, the
        most that may run in one hour, its hour and the essential part of it.
    """
    monthly = outlook.year.monthly
    served = ("essential", "useful", "comfort", "pump", "blower", "cooling", "electric_heat")
    found = pd.DataFrame(index=pd.RangeIndex(1, 13, name="month"))
    for name in (*served, "idle"):
        found[f"{name}_kwh_day"] = _kwh_day(monthly[f"{name}_w"])
    found["unserved_kwh_day"] = sum(
        _kwh_day(monthly[f"{name}_short_w"]) for name in ("essential", "useful", "comfort")
    )
    found["total_kwh_day"] = found[[f"{name}_kwh_day" for name in (*served, "idle")]].sum(axis=1)
    loads = loads_of(outlook.plan, outlook.hours.fixed)
    by_hour = together_w(loads)
    found["together_w"] = by_hour.max(axis=1)
    found["together_hour"] = by_hour.argmax(axis=1)
    found["together_essential_w"] = together_w(loads, 1).max(axis=1)
    return found


def _kwh_day(monthly_wh):
    return units.convert_unit(monthly_wh.to_numpy() / DAYS_IN, "Wh", "kWh")


# Words of a name that say nothing about its kind.
QUALIFIERS = {"small", "big", "large", "old", "new", "second", "kitchen", "shop", "the", "and"}


def _words(text):
    plain = "".join(letter if letter.isalnum() else " " for letter in text.lower())
    return {word.removesuffix("s") for word in plain.split()} - QUALIFIERS


def beside_typical(plan):
    """Entered power beside the typical draws of the reference table, where names match.

    Gives DataFrame: Indexed by appliance: power_w, typical (row of the table), low_w, high_w,
        is_within, is_nameplate (what the plate says, not what it draws as it runs), source. An
        appliance appears if its name has the words of a row, up to the row's comma.
    """
    rows = []
    typical = reference.items("appliances", "power_low")
    for appliance in plan.appliances:
        words = _words(appliance.name)
        item = next((item for item in typical if _words(item.split(",")[0]) == words), None)
        if item is None:
            continue
        low, high = (
            reference.value("appliances", item, f"power_{end}", "W") for end in ("low", "high")
        )
        rows.append(
            {
                "name": appliance.name,
                "power_w": appliance.power_w,
                "typical": item,
                "low_w": low,
                "high_w": high,
                "is_within": low <= appliance.power_w <= high,
                "is_nameplate": "nameplate" in reference.row("appliances", item, "power_low").note,
                "source": reference.cite(reference.row("appliances", item, "power_low").source),
            }
        )
    columns = [
        *("name", "power_w", "typical", "low_w", "high_w", "is_within", "is_nameplate", "source"),
    ]
    return pd.DataFrame(rows, columns=columns).set_index("name")
