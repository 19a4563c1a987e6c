"""Springs and ram pumps: what storage bridges a peak, and what falling water lifts.

Floats or arrays that broadcast. A value out of range or not a number raises ValueError that names
the argument, the limit and what came. Quality of the water is for a laboratory to say.
"""

import numpy as np

from homestead.units import checked

SECONDS_PER_HOUR = 3600.0  # definition


def peak_storage_m3(peak_m3, peak_h, flow_m3s):
    """Storage that carries a peak which a steady flow cannot. [m³], 0 where the flow does.

    peak - flow x time; peak 0 to 1e4 m³, time 0 to 24 h, flow 0 to 10 m³/s. Continuity; the trade
    takes a day's use in 2 hours (Penn State Extension, Estimating Water Needs).

    >>> round(float(peak_storage_m3(1.5, 2.0, 0.0001)), 2)
    0.78
    """
    peak = checked("peak_m3", peak_m3, 0.0, 1e4, "m3")
    time_s = checked("peak_h", peak_h, 0.0, 24.0, "h") * SECONDS_PER_HOUR
    return np.maximum(peak - checked("flow_m3s", flow_m3s, 0.0, 10.0, "m3/s") * time_s, 0.0)


def ram_flow_m3s(drive_m3s, fall_m, lift_m, efficiency_frac):
    """Flow that a hydraulic ram lifts. [m³/s].

    D = S F E / L (USAID, Water for the World, technical note RWS.4.D.5): drive 0 to 10 m³/s, fall
    0 to 200 m above the ram, lift 0.1 to 1000 m above the ram and more than the fall, E 0 to 1.

    >>> round(float(ram_flow_m3s(0.001, 3.0, 30.0, 0.6)), 6)
    6e-05
    """
    drive = checked("drive_m3s", drive_m3s, 0.0, 10.0, "m3/s")
    fall = checked("fall_m", fall_m, 0.0, 200.0, "m")
    lift = checked("lift_m", lift_m, 0.1, 1000.0, "m")
    efficiency = checked("efficiency_frac", efficiency_frac, 0.0, 1.0)
    if np.any(lift <= fall):
        raise ValueError(f"lift_m must be more than fall_m, {fall_m!r} m; got {lift_m!r}")
    return drive * fall * efficiency / lift
