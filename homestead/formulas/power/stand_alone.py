"""Stand-alone sizing on paper: a bank of like batteries, and the ampere-hour worksheets.

Owns the classic hand calculation, as a check on the simulation and a first guess before it. Leaves
out weather and hours (outlook) and the battery's own limits (battery).
"""

import math
from typing import NamedTuple

import numpy as np

from homestead.units import checked


class Bank(NamedTuple):
    """A bank of like batteries: its voltage [V], charge [Ah] and nominal energy [Wh]."""

    voltage_v: float
    capacity_ah: float
    nominal_wh: float


def series_parallel_bank(battery_v, battery_ah, series_n, parallel_n):
    """Voltage and capacity of parallel strings of like batteries.

    battery_v : Nominal voltage of one battery. [V], 0 to 1000.
    battery_ah : Capacity of one battery. [Ah], 0 to 1e5.
    series_n (int or array) : Batteries in each string, 1 to 1000.
    parallel_n (int or array) : Strings side by side, 1 to 1000.
    Gives Bank.

    Voltage adds in series, charge in parallel.
    """
    voltage = checked("battery_v", battery_v, 0.0, 1000.0, "V") * _count("series_n", series_n)
    charge = checked("battery_ah", battery_ah, 0.0, 1e5, "Ah") * _count("parallel_n", parallel_n)
    return Bank(voltage, charge, voltage * charge)


def _count(name, value):
    count = checked(name, value, 1.0, 1000.0)
    if np.any(count != np.floor(count)):
        raise ValueError(f"{name} must be a whole number from 1 to 1000; got {value!r}")
    return count


class StandAlone(NamedTuple):
    """Result of `stand_alone_worksheet`, step by step."""

    load_ah_day: float
    corrected_load_ah_day: float
    design_current_a: float
    module_current_a: float
    battery_ah: float
    battery_wh: float


def stand_alone_worksheet(
    ac_load_wh_day,
    dc_load_wh_day,
    system_v,
    peak_sun_h_day,
    storage_days,
    depth_of_discharge_frac,
    temperature_derate_frac=1.0,
    inverter_frac=0.90,
    wire_frac=0.98,
    battery_frac=0.90,
    module_derate_frac=0.90,
):
    """Size array current and battery by the ampere-hour worksheets for stand-alone systems.

    ac_load_wh_day, dc_load_wh_day : Daily use behind the inverter and at the battery. [Wh/day], 0
        or more.
    system_v : Nominal battery voltage. [V], 1 to 1000.
    peak_sun_h_day : Daily sun on the array plane over 1000 W/m2. [h/day], 0.1 to 15.
    storage_days : Sunless days to carry. [day], 0 to 365.
    depth_of_discharge_frac : Share of the battery that may be drawn. [-], 0.01 to 1.
    temperature_derate_frac : Share of the rated capacity that the cold leaves; divides. [-], 0.1 to
        1.2.
    inverter_frac, wire_frac, battery_frac, module_derate_frac : Efficiencies and the module's
        derating. [-], 0.1 to 1.
    Gives StandAlone.

    Worksheets 1 to 4 of [1]_: energy to charge at the system voltage, losses of wire and battery,
    current over the sun hours, module derating, then storage. Defaults are the handbook's, from
    memory.

    .. [1] Sandia National Laboratories, "Stand-Alone Photovoltaic Systems: A Handbook of
       Recommended Design Practices", SAND87-7023, rev. 1995.
    """
    ac = checked("ac_load_wh_day", ac_load_wh_day, 0.0, math.inf, "Wh")
    dc = checked("dc_load_wh_day", dc_load_wh_day, 0.0, math.inf, "Wh")
    volts = checked("system_v", system_v, 1.0, 1000.0, "V")
    sun = checked("peak_sun_h_day", peak_sun_h_day, 0.1, 15.0, "h")
    days = checked("storage_days", storage_days, 0.0, 365.0, "days")
    depth = checked("depth_of_discharge_frac", depth_of_discharge_frac, 0.01, 1.0)
    cold = checked("temperature_derate_frac", temperature_derate_frac, 0.1, 1.2)
    inverter = checked("inverter_frac", inverter_frac, 0.1, 1.0)
    wire = checked("wire_frac", wire_frac, 0.1, 1.0)
    cells = checked("battery_frac", battery_frac, 0.1, 1.0)
    module = checked("module_derate_frac", module_derate_frac, 0.1, 1.0)
    load = (ac / inverter + dc) / volts
    corrected = load / (wire * cells)
    design = corrected / sun
    battery = corrected * days / (depth * cold)
    return StandAlone(load, corrected, design, design / module, battery, battery * volts)
