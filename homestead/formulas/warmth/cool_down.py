"""Cool-down of a house without heat, as one node with one time constant.

For the plain question "how long until it is cold"; the hourly house with sun and stove is
outlook's. Outdoors is held steady here.
"""

import math

import numpy as np

from homestead.units import checked


def time_constant_h(capacity_wh_k, loss_w_k):
    """Time constant of a house as one node.

    capacity_wh_k : Heat that warms house and contents by 1 K. [Wh/K], 0 or more.
    loss_w_k : [W/K], above 0.
    Gives [h].
    """
    capacity = checked("capacity_wh_k", capacity_wh_k, 0.0, math.inf, "Wh/K")
    return capacity / checked("loss_w_k", loss_w_k, 1e-6, math.inf, "W/K")


def hours_to_cool(inside_c, outside_c, until_c, time_constant_h):
    """Hours until an unheated house has cooled to a temperature, outdoors held steady.

    inside_c, outside_c, until_c : Start, outdoor and target temperature. [degC], -60 to 60.
    time_constant_h : [h], above 0.
    Gives [h]; 0 where the house starts at or below the target, infinity where the outdoors never
        lets it get there.

    t = tau ln((T_start - T_out) / (T_target - T_out)), Newton's law of cooling [1]_.

    .. [1] R. Nagle, E. Saff and A. Snider, "Fundamentals of Differential Equations", sec. 3.3.
    """
    start = checked("inside_c", inside_c, -60.0, 60.0, "degC")
    outside = checked("outside_c", outside_c, -60.0, 60.0, "degC")
    until = checked("until_c", until_c, -60.0, 60.0, "degC")
    tau = checked("time_constant_h", time_constant_h, 1e-6, math.inf, "h")
    cools = (start > until) & (until > outside)
    ratio = np.where(cools, start - outside, 1.0) / np.where(cools, until - outside, 1.0)
    hours = np.where(cools, tau * np.log(ratio), np.where(start <= until, 0.0, math.inf))
    return hours[()]


def hours_to_pipes_at_risk(inside_c, outside_c, time_constant_h, pipe_limit_c=0.0):
    """Hours until pipes in the heated space may freeze, with no heat at all.

    inside_c, outside_c, time_constant_h : As in `hours_to_cool`.
    pipe_limit_c : Temperature where the pipes run at which they count as at risk. [degC]. Pipes in
        outer walls, attics and crawl spaces freeze sooner than the rooms say.
    Gives [h]; infinity where the outdoors is not cold enough.
    """
    return hours_to_cool(inside_c, outside_c, pipe_limit_c, time_constant_h)
