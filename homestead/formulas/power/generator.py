"""Engine generators: fuel at part load, power lost to height and heat.

Owns the fuel line and the derating rule; defaults stand in data/reference/generators.csv. Leaves
out when a set runs (outlook) and how its fuel is stored (heat). An engine's exhaust kills: siting,
fuel piping and the transfer switch belong to the local code and licensed trades.
"""

import numpy as np

from homestead import reference
from homestead.units import checked


def fuel_w(output_w, rated_w, no_load_fuel_w, full_load_fuel_w):
    """Fuel burned by a running set, as heat, on a straight line from no load to full load.

    output_w : Electric output. [W], 0 to `rated_w`.
    rated_w : Output at which the full-load figure holds. [W], 1 to 1e7.
    no_load_fuel_w, full_load_fuel_w : Fuel at no load and at full load, in the heating value of its
        data sheet. [W], 0 to 1e8.
    Gives Fuel while running. [W].
    no load + (full load - no load) x output / rating (common practice; three points of one
    standby set lie on such a line).
    """
    rated = checked("rated_w", rated_w, 1.0, 1e7, "W")
    output = checked("output_w", output_w, 0.0, 1e7, "W")
    idle = checked("no_load_fuel_w", no_load_fuel_w, 0.0, 1e8, "W")
    full = checked("full_load_fuel_w", full_load_fuel_w, 0.0, 1e8, "W")
    if np.any(output > rated):
        raise ValueError(f"output_w must be from 0 to rated_w, {rated_w!r} W; got {output_w!r}")
    if np.any(full < idle) or np.any(full < rated):
        raise ValueError(
            "full_load_fuel_w must be no less than no_load_fuel_w and rated_w "
            f"({no_load_fuel_w!r} and {rated_w!r} W); got {full_load_fuel_w!r}"
        )
    return idle + (full - idle) * output / rated


def efficiency_frac(output_w, burned_w):
    """Electricity given over fuel burned.

    output_w : Electric output. [W], 0 to 1e7.
    burned_w : Fuel, as heat. [W], 1 to 1e8, no less than the output.
    Gives [-].
    """
    output = checked("output_w", output_w, 0.0, 1e7, "W")
    burned = checked("burned_w", burned_w, 1.0, 1e8, "W")
    if np.any(output > burned):
        raise ValueError(f"burned_w must be no less than output_w, {output_w!r}; got {burned_w!r}")
    return output / burned


def derated_w(rated_w, elevation_m, air_c):
    """Power that a spark-ignition set can give at a height and an air temperature.

    rated_w : Rating at sea level and 25 deg C. [W], 0 to 1e7.
    elevation_m : [m], -430 to 5000.
    air_c : Air that the engine breathes. [deg C], -60 to 60.
    Gives [W].
    3 % for each 1000 ft above the sea and 1 % for each 10 deg F above 77 deg F, added [1]_.
    Nothing is gained below sea level or in the cold.
    .. [1] Installation manual of a 25 kW residential standby set, page 21.
    """
    rated = checked("rated_w", rated_w, 0.0, 1e7, "W")
    height = np.maximum(checked("elevation_m", elevation_m, -430.0, 5000.0, "m"), 0.0)
    air = checked("air_c", air_c, -60.0, 60.0, "deg C")
    item = "spark ignition"
    from_c = reference.value("generators", item, "derating_air_from", "degC")
    lost_to_height = reference.value("generators", item, "derating_elevation", "1/m") * height
    lost_to_heat = reference.value("generators", item, "derating_air", "1/delta_degC")
    return rated * (1.0 - lost_to_height - lost_to_heat * np.maximum(air - from_c, 0.0))
