"""How long each essential device stands dark: at the worst start, and when all is delivered."""

import numpy as np
import pandas as pd

from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY, appliance_w
from homestead.simulate.records import DARK_ABOVE_FRAC
from homestead.simulate.trace import trace_of, years_with_deliveries


def longest_spell_h(wanted, dark):
    """Longest time from the first hour that a device misses to its next hour with power. [h].

    wanted, dark (bool arrays of shape (hours,)) : When the device is to run; when the house is
        dark. A spell that is not over at the end counts to the end.
    Gives int: 0 if the device never misses an hour.
    """
    hours = np.flatnonzero(wanted)
    missed = dark[hours]
    if not missed.any():
        return 0
    begins = hours[missed & ~np.concatenate([[False], missed[:-1]])]
    powered = hours[~missed]
    at = np.searchsorted(powered, begins)
    ends = np.append(powered, len(wanted))[at]
    return int((ends - begins).max())


def dark_spells(outlook):
    """Longest dark spell of each essential device.

    Gives DataFrame: Index: appliance. Columns: worst_start_h (from the worst start until the first
    counted need has failed for good), delivered_h (all weather years with fuel made up).
    """
    hours, plan = outlook.hours, outlook.plan
    essential = [one for one in plan.appliances if one.priority_n == 1]
    year, day = outlook.worst
    lasted = min(int(outlook.together[year, day]) + 1, DAYS_N)  # the day of failing with them
    runs = {
        "worst_start_h": (trace_of(hours, year * DAYS_N + day, lasted), day),
        "delivered_h": (years_with_deliveries(hours), 0),
    }
    found = {}
    for column, (trace, first_day) in runs.items():
        dark = trace.flows["dark_frac"].to_numpy() > DARK_ABOVE_FRAC
        at = np.arange(len(dark))
        month = MONTH_OF_DAY[(first_day + at // 24) % DAYS_N]
        found[column] = [
            longest_spell_h(appliance_w(one, month, at % 24) > 0.0, dark) for one in essential
        ]
    names = pd.Index([one.name for one in essential], name="appliance")
    return pd.DataFrame(found, index=names)
