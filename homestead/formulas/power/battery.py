"""Battery banks: how much they hold, at what temperature and age, and how big one must be.

Owns the formulas and the choices in data/reference/battery.csv and battery_temperature.csv. Leaves
out the hour-by-hour state of charge (outlook) and wiring (electrical).
A battery can burn, gas or shock: its maker's manual, the local code and a licensed electrician
decide its place.
"""

import math
from functools import cache

import numpy as np

from homestead import reference
from homestead.units import checked

CHEMISTRIES = (
    "lithium iron phosphate",
    "lithium nickel manganese cobalt",
    "lithium titanate",
    "lead-acid",
)

# 32 deg F arrives as -0.00000000000006 deg C, which must not count as frost. [K]
_ROUNDING_K = 1e-6
# A divisor has to be above nothing; a milliwatt-hour or less is a slip, not a homestead.
_LEAST_WH = 0.001


def _known(chemistry):
    if chemistry not in CHEMISTRIES:
        names = " or ".join(repr(name) for name in CHEMISTRIES)
        raise ValueError(f"chemistry must be {names}; got {chemistry!r}")
    return chemistry


@cache
def _value(chemistry, quantity, unit=""):
    return reference.value("battery", _known(chemistry), quantity, unit)


@cache
def _size_factor_rows():
    rows = [item for item in reference.items("battery_temperature", "size_factor")]
    cells_c = [reference.value("battery_temperature", item, "electrolyte", "degC") for item in rows]
    factors = [reference.value("battery_temperature", item, "size_factor", "") for item in rows]
    return np.array(cells_c), np.array(factors)


@cache
def _capacity_rows(chemistry):
    rows = [
        item
        for item in reference.items("battery_temperature", "capacity_frac")
        if item.startswith(_known(chemistry))
    ]
    cells_c = [reference.value("battery_temperature", item, "cell", "degC") for item in rows]
    fracs = [reference.value("battery_temperature", item, "capacity_frac", "") for item in rows]
    if chemistry == "lead-acid":
        electrolyte_c, factors = _size_factor_rows()
        cells_c, fracs = [*cells_c, *electrolyte_c], [*fracs, *(1.0 / factors)]
    return np.array(cells_c), np.array(fracs)


def autonomy_days(usable_wh, daily_wh):
    """Sunless days that a store carries a steady use.

    usable_wh : Energy that may be drawn from full to the reserve. [Wh], 0 or more.
    daily_wh : Mean daily use, measured at the battery. [Wh/day], 0.001 or more.
    Gives days. [day].

    Definition: usable energy over mean daily use.
    """
    usable = checked("usable_wh", usable_wh, 0.0, math.inf, "Wh")
    return usable / checked("daily_wh", daily_wh, _LEAST_WH, math.inf, "Wh")


def required_capacity_wh(
    daily_wh, days, depth_of_discharge_frac, temperature_factor=1.0, efficiency_frac=1.0
):
    """Nominal capacity that carries a daily use through sunless days.

    daily_wh : Mean daily use. [Wh/day], 0 or more.
    days : Sunless days to carry. [day], 0 to 365.
    depth_of_discharge_frac : Share of the capacity that may be drawn. [-], 0.01 to 1.
    temperature_factor : What the cold multiplies the size by (`lead_acid_temperature_factor`). [-],
        0.5 to 3.
    efficiency_frac : Energy at the load over energy leaving the battery. [-], 0.1 to 1.
    Gives Nominal capacity. [Wh].
    daily x days x temperature factor / (depth x efficiency), as in stand-alone worksheets [1]_.
    .. [1] Sandia National Laboratories, "Stand-Alone Photovoltaic Systems: A Handbook of
       Recommended Design Practices", SAND87-7023, rev. 1995, worksheets.
    """
    daily = checked("daily_wh", daily_wh, 0.0, math.inf, "Wh")
    sunless = checked("days", days, 0.0, 365.0, "days")
    depth = checked("depth_of_discharge_frac", depth_of_discharge_frac, 0.01, 1.0)
    cold = checked("temperature_factor", temperature_factor, 0.5, 3.0)
    efficiency = checked("efficiency_frac", efficiency_frac, 0.1, 1.0)
    return daily * sunless * cold / (depth * efficiency)


def lead_acid_temperature_factor(electrolyte_c):
    """Size factor of a lead-acid bank for the temperature of its electrolyte.

    electrolyte_c : Lowest steady electrolyte temperature. [deg C], -3.9 to 48.9 (the table's ends).
    Gives Multiplies the capacity needed. [-]; 1 at 25 deg C.

    Linear between the rows of the table [1]_, taken in its Celsius column.

    .. [1] IEEE Std 485-2020, "Recommended Practice for Sizing Lead-Acid Batteries for Stationary
       Applications", Table 1.
    """
    cells_c, factors = _size_factor_rows()
    electrolyte = checked("electrolyte_c", electrolyte_c, cells_c[0], cells_c[-1], "deg C")
    return np.interp(electrolyte, cells_c, factors)


def capacity_frac(cell_c, chemistry):
    """Share of the rated capacity that cells deliver at a temperature.

    cell_c : Cell temperature. [deg C], -20 to 60 for lithium iron phosphate and nickel manganese
        cobalt, -30 to 55 for titanate, -20 to 48.9 for lead-acid.
    chemistry (str) : One of `CHEMISTRIES`.
    Gives Capacity over capacity at 25 deg C. [-].
    Lithium iron phosphate: 0.70 at -20, 0.80 at 0 and 1.00 from 25 deg C (trade data, good to
    about ten points); the other lithium cells by their rows. Lead-acid: one over the size factor
    of IEEE Std 485, Table 1, and below it a straight line to half the capacity at -20 deg C
    (common practice, no source).
    """
    cells_c, fracs = _capacity_rows(chemistry)
    warmest_c = cells_c[-1]
    if chemistry != "lead-acid":
        warmest_c = _value(chemistry, "discharge_temperature_high", "degC")
    return np.interp(checked("cell_c", cell_c, cells_c[0], warmest_c, "deg C"), cells_c, fracs)


def peukert_hours(capacity_ah, rated_hours, current_a, exponent):
    """Hours that a battery lasts at a steady current (Peukert's law).

    capacity_ah : Rated capacity. [Ah], 0 to 1e6.
    rated_hours : Hours of discharge at which it is rated. [h], 0.1 to 1000.
    current_a : Discharge current. [A], 0.001 to 1e5.
    exponent : Peukert exponent. [-], 1 to 2.
    Gives time to empty. [h].

    t = H (C / (I H))**k, textbook form; with k = 1 it is plain C / I.
    """
    capacity = checked("capacity_ah", capacity_ah, 0.0, 1e6, "Ah")
    rated = checked("rated_hours", rated_hours, 0.1, 1000.0, "h")
    current = checked("current_a", current_a, 0.001, 1e5, "A")
    return rated * (capacity / (current * rated)) ** checked("exponent", exponent, 1.0, 2.0)


def _within(cell_c, chemistry, way):
    cell = checked("cell_c", cell_c, -90.0, 150.0, "deg C")
    low_c = _value(chemistry, f"{way}_temperature_low", "degC")
    high_c = _value(chemistry, f"{way}_temperature_high", "degC")
    within = (cell >= low_c - _ROUNDING_K) & (cell <= high_c + _ROUNDING_K)
    return bool(within) if np.ndim(within) == 0 else within


def charge_allowed(cell_c, chemistry):
    """Whether cells at this temperature may be charged.

    cell_c : Cell temperature. [deg C], -90 to 150.
    chemistry (str) : One of `CHEMISTRIES`.
    Gives bool or array of bool: For lithium iron phosphate true from 0 to 45 deg C; for lead-acid
        from -20 to 50 deg C.

    Below freezing lithium plates on the anode and the cell is spoiled (trade data). Makers print
    upper ends from 45 to 60 deg C; the lowest of them is kept. The maker's own label comes first.
    """
    return _within(cell_c, chemistry, "charge")


def discharge_allowed(cell_c, chemistry):
    """Whether cells at this temperature may be discharged; arguments as `charge_allowed`.

    cell_c : Cell temperature. [deg C], -90 to 150.
    chemistry (str) : One of `CHEMISTRIES`.
    Gives bool or array of bool.
    """
    return _within(cell_c, chemistry, "discharge")


def usable_wh(nominal_wh, chemistry, age_years, cell_c, depth_of_discharge_frac):
    """Energy that a bank gives from full to its reserve, at its age and temperature.

    nominal_wh : Label capacity. [Wh], 0 or more.
    chemistry (str) : One of `CHEMISTRIES`.
    age_years : Years since it was made. [year], 0 to 40.
    cell_c : Cell temperature. [deg C], limits of `capacity_frac`.
    depth_of_discharge_frac : Share of the capacity that may be drawn. [-], 0 to 1.
    Gives Usable energy. [Wh].
    nominal x (1 - fade)**age x capacity at temperature x depth. The yearly fade is a project
    choice whose reason stands in battery.csv; use in cycles is not counted.
    """
    nominal = checked("nominal_wh", nominal_wh, 0.0, math.inf, "Wh")
    age = checked("age_years", age_years, 0.0, 40.0, "years")
    depth = checked("depth_of_discharge_frac", depth_of_discharge_frac, 0.0, 1.0)
    aged = (1.0 - _value(chemistry, "fade_per_year")) ** age
    return nominal * aged * capacity_frac(cell_c, chemistry) * depth


def depth_of_discharge_frac(chemistry):
    """Share of the capacity that is used when a plan does not say.

    chemistry (str) : One of `CHEMISTRIES`.
    """
    return _value(chemistry, "depth_of_discharge")


def round_trip_frac(chemistry, converter_frac=1.0):
    """Energy got back over energy put in.

    chemistry (str) : One of `CHEMISTRIES`.
    converter_frac : Efficiency of each passage through a converter, once in and once out. [-], 0.5
        to 1; at 1 the result is that of the cells, DC to DC.
    Gives [-].

    Cells x converter**2; the default of the cells stands in battery.csv.
    """
    passage = checked("converter_frac", converter_frac, 0.5, 1.0)
    return _value(chemistry, "round_trip_dc") * passage**2


def c_rate_per_h(power_w, capacity_wh):
    """Power over capacity: 1 empties or fills a bank in an hour.

    power_w : At the cells. [W], 0 to 1e7.
    capacity_wh : [Wh], 0.001 or more.
    Gives [1/h].
    """
    power = checked("power_w", power_w, 0.0, 1e7, "W")
    return power / checked("capacity_wh", capacity_wh, _LEAST_WH, math.inf, "Wh")


def usual_c_rate_per_h(chemistry, way):
    """Highest rate that a bank usually stands, for a plan without its data sheet.

    chemistry (str) : One of `CHEMISTRIES`.
    way ({"charge", "discharge"})
    Gives [1/h], common practice from memory (battery.csv).
    """
    if way not in ("charge", "discharge"):
        raise ValueError(f"way must be 'charge' or 'discharge'; got {way!r}")
    return _value(chemistry, f"{way}_rate_high", "1/h")
