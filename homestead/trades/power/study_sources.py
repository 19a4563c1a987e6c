"""What wind gives over the years: its share of the label, and how long it stays away."""

import numpy as np


def calm_so_far_h(offered_w):
    """Hours without power up to and with each hour, array of shape (hours,). [h]."""
    hour = np.arange(1, len(offered_w) + 1)
    last_power = np.maximum.accumulate(np.where(offered_w > 0.0, hour, 0))
    return hour - last_power


def capacity_frac(turbine, offered_w):
    """Average power over the most that the curve gives."""
    return float(offered_w.mean()) / max(turbine.curve_points[1])
