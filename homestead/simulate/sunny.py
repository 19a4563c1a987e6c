"""Appliances that wait for the sun: which days are sunny, and what is then made up for."""

import numpy as np

from homestead.simulate.records import MONTH_OF_DAY

# Half of a clear day fills a small battery and runs a dryer besides; project choice.
SUNNY_FRAC = 0.5
CLEAR_PERCENTILE = 90.0  # of a month's days, that counts as a clear one; project choice
MOST_DAYS = 7.0  # laundry waits no longer than a week, then it hangs indoors; project choice


class Sunny:
    """Sunny days of some weather years.

    Attributes
    ----------
    hours : bool array of shape (hours,)
        Whether each hour is one of a sunny day.
    days_each : float array of shape (12,)
        Days of use that a sunny day of each month makes up for, at most a week.
    """

    def __init__(self, sun_w):
        """Sun on all arrays by hour, over whole years. [W]."""
        day_wh = np.asarray(sun_w).reshape(-1, 24).sum(axis=1)
        month = np.tile(MONTH_OF_DAY, len(day_wh) // len(MONTH_OF_DAY))
        clear_wh = np.array([np.percentile(day_wh[month == m], CLEAR_PERCENTILE) for m in MONTHS])
        days = (day_wh >= SUNNY_FRAC * clear_wh[month - 1]) & (day_wh > 0.0)
        here = np.array([days[month == m].mean() for m in MONTHS])
        self.days_each = np.minimum(1.0 / np.maximum(here, 1e-9), MOST_DAYS)
        self.hours = np.repeat(days, 24)

    def power_w(self, appliance, appliance_w):
        """Mean power of an appliance that waits for the sun, array of shape (hours,). [W]."""
        month = np.repeat(MONTH_OF_DAY, 24)
        hour = np.tile(np.arange(24), len(MONTH_OF_DAY))
        year_w = self.sunny_w(appliance, appliance_w, month, hour)
        return np.where(self.hours, np.tile(year_w, len(self.hours) // len(year_w)), 0.0)

    def sunny_w(self, appliance, appliance_w, month, hour):
        """Mean power on a sunny day at months and hours, at most all of them running. [W]."""
        most_w = appliance.power_w * appliance.count_n
        usual_w = appliance_w(appliance, month, hour)
        return np.minimum(usual_w * self.days_each[month - 1], most_w)


MONTHS = range(1, 13)
