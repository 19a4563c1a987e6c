"""Sources of power but the sun once more, hour by hour in plain Python, from the plan.

Written from the physics: weight of the water, height it falls, height that the pipe takes. Shares
with the package the friction of a pipe, which has tests of its own.
"""

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
