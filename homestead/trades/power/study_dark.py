"""How long each essential device stands dark, and how an empty house comes back.

At the worst start, and in years in which all is delivered.
"""

import numpy as np
import pandas as pd

from homestead.outlook import studies
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


@studies.kept
def dark_spells(outlook):
    """Longest dark spell of each essential device.

    Gives DataFrame: Index: appliance. Columns: worst_start_h (from the worst start until the first
    counted need has failed for good), delivered_h (all weather years with fuel made up).
    """
    hours, plan = outlook.hours, outlook.plan
    essential = [appliance for appliance in plan.appliances if appliance.priority_n == 1]
    year, day = outlook.worst
    lasted = min(int(outlook.together[year, day]) + 1, DAYS_N)  # the day of failing with them
    runs = {
        "worst_start_h": (outlook.first_days(year, day, lasted), day),
        "delivered_h": (years_with_deliveries(hours), 0),
    }
    found = {}
    for column, (trace, first_day) in runs.items():
        dark = trace.flows["dark_frac"].to_numpy() > DARK_ABOVE_FRAC
        at = np.arange(len(dark))
        month = MONTH_OF_DAY[(first_day + at // 24) % DAYS_N]
        found[column] = [
            longest_spell_h(appliance_w(load, month, at % 24) > 0.0, dark) for load in essential
        ]
    names = pd.Index([load.name for load in essential], name="appliance")
    return pd.DataFrame(found, index=names)


BEFORE_H, MOST_H = 4, 48  # of hours that are shown


@studies.kept
def restart(outlook):
    """Hours around the first time an empty battery cuts the house off, until it is back.

    Gives DataFrame: A row an hour; empty if it never happens: day (of the year, from 0), hour,
        sun_w, used_w, battery_frac, state ("on", "off, inverter awake", "off, inverter asleep").
        From the years in which all is delivered, else from the worst start.
    """
    hours = outlook.hours
    year, first = outlook.worst
    for trace, begins in (
        (years_with_deliveries(hours), 0),
        (trace_of(hours, year * DAYS_N + first, DAYS_N), first),
    ):
        off = trace.states["cut_off"].to_numpy() > 0.0
        fell = np.flatnonzero(off[1:] & ~off[:-1]) + 1
        if len(fell):
            return _around(hours, trace, int(fell[0]), off, begins)
    return _around(hours, trace, 0, off[:0], begins)


def _around(hours, trace, fell, off, begins):
    back = np.flatnonzero(~off[fell:])
    until = fell + int(back[0]) + 2 if len(back) else fell + MOST_H
    at = np.arange(max(fell - BEFORE_H, 0), min(until, fell + MOST_H, len(off)))
    fixed, flows = hours.fixed, trace.flows.iloc[at]
    awake = flows["idle_w"].to_numpy() >= fixed.idle_w - 1e-9
    return pd.DataFrame(
        {
            "day": (begins + at // 24) % DAYS_N,
            "hour": at % 24,
            "sun_w": flows["pv_w"].to_numpy(),
            "used_w": flows["used_w"].to_numpy(),
            "battery_frac": trace.states["battery_wh"].to_numpy()[at] / max(fixed.battery_wh, 1e-9),
            "state": np.where(
                ~off[at], "on", np.where(awake, "off, inverter awake", "off, inverter asleep")
            ),
        }
    )
