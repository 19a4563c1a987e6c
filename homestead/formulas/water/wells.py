"""Wells and what stands in them.

Owns yield, drawdown, casing storage, the peak that a well must meet and the disinfecting dose.
Leaves the tank above to `pressure_tank`, pumps to `pumps`, demand to `water_use`.
"""

import numpy as np

from homestead.formulas.water.hydraulics import SECONDS_PER_HOUR
from homestead.units import checked


def specific_capacity_m2_s(flow_m3s, drawdown_m):
    """Flow that a well gives per unit of drawdown, from its pumping test.

    flow_m3s : Steady flow of the test. [m3/s], 0 to 10.
    drawdown_m : Fall of the level below static at that flow. [m], 0.01 to 1000.
    Gives [m3/s per m].

    .. [1] Definition, water operator's glossary.
    """
    flow = checked("flow_m3s", flow_m3s, 0, 10, "m3/s")
    return flow / checked("drawdown_m", drawdown_m, 0.01, 1000, "m")


def well_drawdown_m(flow_m3s, specific_capacity_m2_s):
    """Fall of a well's level below static at a steady flow.

    flow_m3s : [m3/s], 0 to 10.
    specific_capacity_m2_s : [m3/s per m], 1e-9 to 10.
    Gives [m].

    Straight line through the test; fair below the tested flow, too hopeful above it. Derived.
    """
    flow = checked("flow_m3s", flow_m3s, 0, 10, "m3/s")
    return flow / checked("specific_capacity_m2_s", specific_capacity_m2_s, 1e-9, 10, "m2/s")


def casing_storage_m3(bore_diameter_m, water_column_m):
    """Water standing in a well.

    bore_diameter_m : [m], 0.02 to 5.
    water_column_m : Height of water in the bore. [m], 0 to 1000.
    Gives [m3].

    Cylinder; checked against MIL-HDBK-1164 table 1.
    """
    diameter = checked("bore_diameter_m", bore_diameter_m, 0.02, 5, "m")
    return np.pi / 4.0 * diameter**2 * checked("water_column_m", water_column_m, 0, 1000, "m")


def casing_recovery_h(drawn_m3, yield_m3s):
    """Hours in which a well fills up again what was drawn from its bore.

    drawn_m3 : Drawn from the water standing in the bore. [m3], 0 to 1e5.
    yield_m3s : [m3/s], 1e-9 to 1.
    Gives [h].

    Inflow held at the tested yield: right while the level is low, too hopeful near rest, where
    `level_recovery_h` is the better figure. Derived.
    """
    drawn = checked("drawn_m3", drawn_m3, 0, 1e5, "m3")
    return drawn / checked("yield_m3s", yield_m3s, 1e-9, 1, "m3/s") / SECONDS_PER_HOUR


def level_recovery_h(bore_diameter_m, specific_capacity_m2_s, recovered_frac=0.9):
    """Hours in which a well's level comes back by a share of its drawdown.

    bore_diameter_m : [m], 0.02 to 5.
    specific_capacity_m2_s : From the pumping test. [m3/s per m], 1e-9 to 10.
    recovered_frac : Share of the drawdown, 0 to 0.999.
    Gives [h].

    Inflow in proportion to the drawdown that is left, s: A ds/dt = -C s, so
    t = -(A / C) ln(1 - share). Derived from the definition of specific capacity.
    """
    diameter = checked("bore_diameter_m", bore_diameter_m, 0.02, 5, "m")
    capacity = checked("specific_capacity_m2_s", specific_capacity_m2_s, 1e-9, 10, "m2/s")
    share = checked("recovered_frac", recovered_frac, 0, 0.999)
    area_m2 = np.pi / 4.0 * diameter**2
    return -area_m2 / capacity * np.log1p(-share) / SECONDS_PER_HOUR


def well_supply_m3(yield_m3s, stored_m3, hours_h):
    """Water that a well gives over some hours: what stands in it and what flows in.

    yield_m3s : [m3/s], 0 to 1.
    stored_m3 : Standing above the intake at the start. [m3], 0 to 1e5.
    hours_h : [h], 0 to 10000.
    Gives [m3].

    .. [1] The Groundwater Project, "Domestic Wells: Introduction and Overview", box 1.
    """
    inflow = checked("yield_m3s", yield_m3s, 0, 1, "m3/s")
    stored = checked("stored_m3", stored_m3, 0, 1e5, "m3")
    return stored + inflow * checked("hours_h", hours_h, 0, 1e4, "h") * SECONDS_PER_HOUR
