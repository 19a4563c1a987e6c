"""What of the appliances finds no room beside the rest, and when an engine without a battery runs.

Lays the plan's loads before the packing of `kernel.coincidence`, with the power that main inverters
or, without them, a generator give at any moment.
"""

import numpy as np

from homestead.simulate import constants
from homestead.simulate.kernel.coincidence import refused_of
from homestead.simulate.records import MONTH_OF_DAY

MANY_N = 4  # more units of a kind than this even out, and count as one steady load
KINDS_N = 12 * 24  # appliances follow month and hour


def refused(plan, rows, fixed, appliance_w):
    """Mean power of each priority that is refused, array of shape (hours, 3). [W].

    plan (Plan)
    rows (dict of str to float array of shape (hours,)) : Hourly inputs by name, with power of sun
        and generator.
    fixed (Fixed)
    appliance_w (callable) : Mean power of an appliance at months and hours.
    """
    hours_n = len(rows["pv_ac_w"])
    month, hour = np.divmod(np.arange(KINDS_N), 24)
    loads = [one for one in plan.appliances if one.power_w * one.count_n > 0.0]
    loads.sort(key=lambda one: (one.priority_n, -one.power_w))
    mean_w = np.array([appliance_w(one, month + 1, hour) for one in loads]).reshape(-1, KINDS_N)
    power_w = np.array([one.power_w for one in loads])
    share = np.divide(mean_w.T, power_w, where=power_w > 0.0, out=np.zeros(mean_w.T.shape))
    many = share.max(axis=0, initial=0.0) > MANY_N
    power_w = np.where(many, mean_w.max(axis=1, initial=0.0), power_w)
    share = np.divide(mean_w.T, power_w, where=power_w > 0.0, out=np.zeros(mean_w.T.shape))
    if plan.battery is None:  # a generator makes the grid, if anything does
        room_w = rows["generator_w"] + rows["pv_ac_w"]
    else:
        bus_w = (rows["pv_dc_w"] + fixed.discharge_w) * fixed.inverter_efficiency_frac
        room_w = np.minimum(fixed.former_w, bus_w) + rows["pv_ac_w"]
    day_month = np.repeat(MONTH_OF_DAY, 24)
    kind = (day_month - 1) * 24 + np.tile(np.arange(24), len(MONTH_OF_DAY))
    kind = np.tile(kind, hours_n // len(kind))
    priority = np.array([one.priority_n - 1 for one in loads], dtype=np.int64)
    return refused_of(room_w, kind, power_w, np.ascontiguousarray(share), priority)


def engine_hours(plan, columns):
    """Whether an engine without a battery runs in each hour of the day, array of shape (24,).

    With a daily limit it runs where most is asked for: appliances first, the household's water
    where those are alike.
    """
    limit_h = constants.daily_limit_h(plan)
    if plan.generator is None or plan.battery is not None or limit_h >= 24.0:
        return np.ones(24, dtype=bool)
    asked_w = sum(columns[name] for name in ("essential_w", "useful_w", "comfort_w"))
    by_hour_w = np.round(asked_w.reshape(-1, 24).mean(axis=0), 6)
    water_m3 = columns["water_least_m3"].reshape(-1, 24).mean(axis=0)
    order = np.lexsort((np.arange(24), -water_m3, -by_hour_w))
    return np.isin(np.arange(24), order[: int(np.ceil(limit_h))])
