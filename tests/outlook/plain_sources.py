"""Sources of power but the sun once more, hour by hour in plain Python, from the plan.

Written from the physics: weight of the water, height it falls, height that the pipe takes. Shares
with the package the friction of a pipe, which has tests of its own.
"""

import math
from datetime import datetime, timedelta

from homestead.formulas.water.hydraulics import friction_head_hazen_williams_m

HOURS = [datetime(2023, 1, 1) + timedelta(hours=hour) for hour in range(8760)]
NEWTON_PER_M3 = 999.1 * 9.80665


def pipe_loss_m(plant, flow_m3s):
    pipe = (plant.pipe_inside_m, plant.pipe_length_m, plant.hazen_williams)
    return float(friction_head_hazen_williams_m(flow_m3s, *pipe))


def hydro_w(plant, when):
    """Power that a hydro plant gives in an hour."""
    flow_m3s = min(plant.flow_m3s[when.month - 1], plant.most_flow_m3s)
    # The loss grows by the 1.852th power: the most power comes where it takes 1 of 2.852 parts of
    # the drop, and nobody opens the nozzle further.
    at_one_litre_m = pipe_loss_m(plant, 0.001)
    useful_m3s = 0.001 * (plant.head_m / 2.852 / at_one_litre_m) ** (1.0 / 1.852)
    flow_m3s = min(flow_m3s, useful_m3s)
    if flow_m3s < plant.least_flow_m3s:
        return 0.0
    fall_m = plant.head_m - pipe_loss_m(plant, flow_m3s)
    made_w = NEWTON_PER_M3 * flow_m3s * fall_m * plant.efficiency_frac
    return min(made_w, plant.limit_w) * plant.converter_efficiency_frac


def wind_w(turbine, speed_m_s, air_c, elevation_m):
    """Power that a wind turbine gives in an hour."""
    at_hub_m_s = speed_m_s * math.exp(
        turbine.shear * math.log(turbine.tower_m / turbine.measured_m)
    )
    # Thin air carries less: the same power takes wind stronger by the cube root.
    pressure_pa = 101_300.0 * (1.0 - 0.0065 * elevation_m / 293.0) ** 5.26
    thinner = pressure_pa / 287.05 / (air_c + 273.15) / 1.225
    felt_m_s = at_hub_m_s * thinner ** (1.0 / 3.0)
    points = list(zip(*turbine.curve_points, strict=True))
    made_w = 0.0
    for (low_m_s, low_w), (high_m_s, high_w) in zip(points, points[1:], strict=False):
        if low_m_s <= felt_m_s <= high_m_s:
            made_w = low_w + (high_w - low_w) * (felt_m_s - low_m_s) / (high_m_s - low_m_s)
    return made_w * (1.0 - turbine.lost_frac) * turbine.converter_efficiency_frac
