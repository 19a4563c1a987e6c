"""The compiled part of the outlook: the hour, the day, and many starts together.

numba is imported here and nowhere else. Its cache looks only at the file of a function: after a
change in hour.py, touch starts.py (the tests do so by themselves).
"""

from homestead.outlook.kernel.hour import step
from homestead.outlook.kernel.starts import SAME_FRAC, run_alone, run_starts, trace, yearly_sums

__all__ = ["SAME_FRAC", "run_alone", "run_starts", "step", "trace", "yearly_sums"]
