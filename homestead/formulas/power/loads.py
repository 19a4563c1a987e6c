"""What appliances and whole dwellings use: energy, typical watts, standards, service demand.

Owns the formulas; the figures stand in data/reference/appliances.csv and load_shape.csv. Leaves
out the plan's own load list and its hours (outlook).
"""

from functools import cache

import numpy as np

from homestead import reference

DAYS_PER_YEAR = 365


@cache
def _shape():
    hours = reference.items("load_shape", "weight")
    weights = np.array([reference.value("load_shape", hour, "weight", "") for hour in hours])
    return tuple(weights / weights.sum())
