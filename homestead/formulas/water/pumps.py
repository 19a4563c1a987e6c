"""Pumps: the power in the water, the power from the wire, and where a pump settles.

Owns power, energy, efficiency and the operating point. Leaves head and friction to `hydraulics`,
the well to `wells`. SI, energy in Wh.
"""

from typing import NamedTuple

import numpy as np

from homestead import reference
from homestead.formulas.water.hydraulics import (
    GRAVITY_M_S2,
    SECONDS_PER_HOUR,
    WATER_KG_M3,
    friction_head_hazen_williams_m,
)
from homestead.units import checked


def hydraulic_power_w(flow_m3s, head_m):
    """Power in the water: water horsepower, in watts.

    flow_m3s : [m3/s], 0 to 10.
    head_m : Total dynamic head. [m], 0 to 2000.
    Gives [W].

    P = rho g Q H, water at 15 deg C; the same as gal/min x ft / 3960 in hp [1]_.

    .. [1] US Army Corps of Engineers, TI 814-01, 1998, eq. 5-7.
    """
    flow = checked("flow_m3s", flow_m3s, 0, 10, "m3/s")
    head = checked("head_m", head_m, 0, 2000, "m")
    return WATER_KG_M3 * GRAVITY_M_S2 * flow * head


def pump_input_w(flow_m3s, head_m, efficiency_frac):
    """Power that a pump draws while it runs.

    flow_m3s : [m3/s], 0 to 10.
    head_m : Total dynamic head. [m], 0 to 2000.
    efficiency_frac : Of pump alone for shaft power, wire to water for electric power; 0.01 to 1.
    Gives [W].

    .. [1] US Army Corps of Engineers, TI 814-01, 1998, eq. 5-7.
    """
    return hydraulic_power_w(flow_m3s, head_m) / checked(
        "efficiency_frac", efficiency_frac, 0.01, 1
    )


def pump_energy_wh(volume_m3, head_m, wire_to_water_frac):
    """Electric energy to raise a volume of water.

    volume_m3 : [m3], 0 to 1e7.
    head_m : Total dynamic head. [m], 0 to 2000.
    wire_to_water_frac : Efficiency from the meter to the water, 0.01 to 1; see
        `wire_to_water_plausible`.
    Gives [Wh].

    E = rho g V H / eta. Derived from the definition of work.
    """
    volume = checked("volume_m3", volume_m3, 0, 1e7, "m3")
    head = checked("head_m", head_m, 0, 2000, "m")
    efficiency = checked("wire_to_water_frac", wire_to_water_frac, 0.01, 1)
    return WATER_KG_M3 * GRAVITY_M_S2 * volume * head / efficiency / SECONDS_PER_HOUR


def wire_to_water_frac(pump_frac, motor_frac, other_frac=1.0):
    """Overall efficiency of an electric pump.

    pump_frac, motor_frac, other_frac : Efficiency of pump, motor and the rest (drive, cable), each
        0.01 to 1.

    .. [1] G. Fair, J. Geyer and D. Okun, "Elements of Water Supply and Wastewater Disposal",
       3rd ed., p. 270, eq. 8.9.
    """
    pump = checked("pump_frac", pump_frac, 0.01, 1)
    motor = checked("motor_frac", motor_frac, 0.01, 1)
    return pump * motor * checked("other_frac", other_frac, 0.01, 1)


def wire_to_water_plausible(wire_to_water_frac):
    """Whether an assumed overall efficiency lies where field tests put electric pumps.

    wire_to_water_frac : 0 to 1.
    Gives bool or array of bool of shape (n,): False outside 0.30 to 0.75.

    The band is a project choice drawn from two sets of field tests, see table ``pumping``.
    """
    efficiency = checked("wire_to_water_frac", wire_to_water_frac, 0, 1)
    low = reference.value("pumping", "wire to water", "plausible_low", "")
    high = reference.value("pumping", "wire to water", "plausible_high", "")
    return (efficiency >= low) & (efficiency <= high)


class OperatingPoint(NamedTuple):
    """Where a pump's curve meets the system's."""

    flow_m3s: np.ndarray
    """Flow delivered; 0 where the pump cannot lift so high. [m3/s]"""
    head_m: np.ndarray
    """Head that the pump makes at that flow. [m]"""
    runs_off_curve: np.ndarray
    """True where the system needs less head than the curve's last point: flow is held there."""


def pump_operating_point(
    curve_flow_m3s,
    curve_head_m,
    static_head_m,
    inside_diameter_m,
    length_m,
    c,
    drawdown_per_flow_s_m2=0.0,
    drawdown_most_m=1000.0,
):
    """Flow and head at which a pump settles in a pipe system.

    curve_flow_m3s (array of shape (k,)) : Flows of the pump curve's points, rising from 0. [m3/s]
    curve_head_m (array of shape (k,)) : Heads at those flows, falling. [m]
    static_head_m : Lift and outlet pressure as head, at no flow. [m], -1000 to 1000.
    inside_diameter_m, length_m, c : Pipe, as in `friction_head_hazen_williams_m`.
    drawdown_per_flow_s_m2 : Fall of the well's level per flow, one over the specific capacity. [m
        per m3/s], 0 to 1e9.
    drawdown_most_m : The fall stops here, at that of the pumping test. [m], 0 to 1000.
    Gives OperatingPoint.
    Straight lines between the curve's points; the difference of the two curves only falls with
    flow, so halving the interval finds the one crossing. Derived.
    """
    flows = checked("curve_flow_m3s", curve_flow_m3s, 0, 10, "m3/s")
    heads = checked("curve_head_m", curve_head_m, 0, 2000, "m")
    if flows.ndim != 1 or flows.size < 2 or flows.shape != heads.shape:
        raise ValueError(
            "curve_flow_m3s and curve_head_m must be two lists of one length, 2 points or more; "
            f"got {curve_flow_m3s!r} and {curve_head_m!r}"
        )
    if flows[0] != 0 or np.any(np.diff(flows) <= 0) or np.any(np.diff(heads) >= 0):
        raise ValueError(
            "curve_flow_m3s must rise from 0 while curve_head_m falls; "
            f"got {curve_flow_m3s!r} and {curve_head_m!r}"
        )
    static = checked("static_head_m", static_head_m, -1000, 1000, "m")
    fall = checked("drawdown_per_flow_s_m2", drawdown_per_flow_s_m2, 0, 1e9, "m per m3/s")
    most = checked("drawdown_most_m", drawdown_most_m, 0, 1000, "m")
    at_rest = friction_head_hazen_williams_m(0.0, inside_diameter_m, length_m, c)
    low = 0.0 * (static + fall + most + at_rest)
    high = low + flows[-1]

    def spare_head_m(flow):
        friction = friction_head_hazen_williams_m(flow, inside_diameter_m, length_m, c)
        drawdown = np.minimum(fall * flow, most)
        return np.interp(flow, flows, heads) - static - drawdown - friction

    runs_off = spare_head_m(high) > 0
    for _ in range(60):  # 2**-60 of the curve's width is below rounding
        middle = 0.5 * (low + high)
        above = spare_head_m(middle) > 0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    flow = np.where(runs_off, flows[-1], np.where(spare_head_m(0.0 * low) <= 0, 0.0, low))
    return OperatingPoint(flow, np.interp(flow, flows, heads), runs_off)
