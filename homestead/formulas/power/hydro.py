"""Small hydro: power of falling water after pipe loss, and the flow a pipe can make use of.

Floats or arrays that broadcast. A value out of range or not a number raises ValueError that names
the argument, the limit and what came. Pipe friction itself stands in `formulas.water.hydraulics`.
"""

import numpy as np

from homestead.formulas.water.hydraulics import (
    GRAVITY_M_S2,
    WATER_KG_M3,
    friction_head_hazen_williams_m,
)
from homestead.units import checked

HAZEN_WILLIAMS_POWER = 1.852  # friction grows with the flow to this power


def hydro_w(flow_m3s, gross_head_m, friction_m, efficiency_frac):
    """Electric power of a turbine. [W]; 0 where friction takes all of the head.

    P = ρ g Q (H - h) η, Q 0 to 10 m³/s, H and h 0 to 2000 m, η 0 to 1. Physics; rule of thumb at
    η = 0.53: ft × gal/min / 10 (US Department of Energy, from memory).

    >>> round(float(hydro_w(0.01, 20.0, 2.0, 0.6)))
    1058
    """
    flow = checked("flow_m3s", flow_m3s, 0.0, 10.0, "m3/s")
    gross = checked("gross_head_m", gross_head_m, 0.0, 2000.0, "m")
    friction = checked("friction_m", friction_m, 0.0, np.inf, "m")
    efficiency = checked("efficiency_frac", efficiency_frac, 0.0, 1.0)
    return WATER_KG_M3 * GRAVITY_M_S2 * flow * np.maximum(gross - friction, 0.0) * efficiency


def best_flow_m3s(gross_head_m, inside_diameter_m, length_m, c):
    """Flow at which a pipe delivers the most power; more of it gives less. [m³/s].

    Friction h = k Q^n takes H / (1 + n) there, 35 % of the drop at n = 1.852: the peak of
    Q (H - k Q^n). The trade says a third. Head 0.1 to 2000 m.

    >>> round(float(best_flow_m3s(30.48, 0.0762, 304.8, 150.0)), 5)
    0.00785
    """
    gross = checked("gross_head_m", gross_head_m, 0.1, 2000.0, "m")
    k = friction_head_hazen_williams_m(0.001, inside_diameter_m, length_m, c)
    lost = gross / (1.0 + HAZEN_WILLIAMS_POWER)
    return 0.001 * (lost / k) ** (1.0 / HAZEN_WILLIAMS_POWER)
