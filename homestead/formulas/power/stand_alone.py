"""Stand-alone sizing on paper: a bank of like batteries, and the ampere-hour worksheets.

Owns the classic hand calculation, as a check on the simulation and a first guess before it. Leaves
out weather and hours (outlook) and the battery's own limits (battery).
"""

import numpy as np

from homestead.units import checked


def _count(name, value):
    count = checked(name, value, 1.0, 1000.0)
    if np.any(count != np.floor(count)):
        raise ValueError(f"{name} must be a whole number from 1 to 1000; got {value!r}")
    return count
