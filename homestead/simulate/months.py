"""Sums and means by month of an average year, for every study."""

import numpy as np
import pandas as pd

from homestead.simulate.inputs import MONTH_OF_DAY

MONTHS_N = 12
DAYS_OF_MONTH = np.bincount(MONTH_OF_DAY)[1:]


def by_month(values, years_n):
    """Sum over each month of an average year.

    values (float array of shape (8760 * years_n,)) : Hourly amounts.
    years_n
    Gives float array of shape (12,).
    """
    month = np.tile(np.repeat(MONTH_OF_DAY, 24), years_n)
    return np.bincount(month, weights=np.asarray(values, dtype=float))[1:] / years_n


def month_frame(columns):
    """Table of 12 rows with the months 1 to 12 as index."""
    return pd.DataFrame(columns, index=pd.RangeIndex(1, MONTHS_N + 1, name="month"))
