"""What of the appliances finds no room beside the rest, and when an engine without a battery runs.

Lays the plan's loads before the packing of `kernel.coincidence`, with the power that main inverters
or, without them, a generator give at any moment.
"""

import numpy as np

from homestead.simulate import breakers, constants
from homestead.simulate.kernel.coincidence import refused_of
from homestead.simulate.records import MONTH_OF_DAY

MANY_N = 4  # more units of a kind than this even out, and count as one steady load
KINDS_N = 12 * 24  # appliances follow month and hour


def refused(plan, rows, fixed, appliance_w, sunny=None):
    """Mean power of each priority that is refused, array of shape (hours, 3). [W].

    rows (dict of str to float array of shape (hours,)) : Hourly inputs by name, with power of sun
        and generator.
    appliance_w (callable) : Mean power of an appliance at months and hours.
    sunny (Sunny, optional) : Where some appliance waits for sunny days.
    """
    loads = [
        appliance for appliance in plan.appliances if appliance.power_w * appliance.count_n > 0.0
    ]
    loads.sort(key=lambda load: (load.priority_n, -load.power_w))
    if plan.battery is None:  # a generator makes the grid, if anything does
        room_w = rows["generator_w"] + rows["pv_ac_w"]
    else:
        bus_w = (rows["pv_dc_w"] + fixed.discharge_w) * fixed.inverter_efficiency_frac
        room_w = np.minimum(fixed.former_w, bus_w) + rows["pv_ac_w"]
    refused_w = _packed(loads, room_w, appliance_w, sunny)
    for panels, limit_w in breakers.feeders(plan):
        inside = breakers.standing_in(plan, panels)
        fed = [load for load in loads if load.name in inside]
        # Sun that feeds the same panel isn't counted: its breakers trip on a cloud otherwise.
        if fed and "main inverter" not in inside:
            held_w = _packed(fed, np.full(len(room_w), limit_w), appliance_w, sunny)
            refused_w = np.maximum(refused_w, held_w)
    return refused_w


def _packed(loads, room_w, appliance_w, sunny):
    """What of some loads finds no room, by priority, array of shape (hours, 3). [W]."""
    month, hour = np.divmod(np.arange(KINDS_N), 24)
    mean_w = np.array([_mean_w(load, month + 1, hour, appliance_w, sunny) for load in loads])
    kinds_n = KINDS_N * (1 if sunny is None else 2)
    mean_w = mean_w.reshape(-1, kinds_n)
    power_w = np.array([load.power_w for load in loads])
    share = np.divide(mean_w.T, power_w, where=power_w > 0.0, out=np.zeros(mean_w.T.shape))
    many = share.max(axis=0, initial=0.0) > MANY_N
    power_w = np.where(many, mean_w.max(axis=1, initial=0.0), power_w)
    share = np.divide(mean_w.T, power_w, where=power_w > 0.0, out=np.zeros(mean_w.T.shape))
    day_month = np.repeat(MONTH_OF_DAY, 24)
    kind = (day_month - 1) * 24 + np.tile(np.arange(24), len(MONTH_OF_DAY))
    kind = np.tile(kind, len(room_w) // len(kind))
    if sunny is not None:
        kind = kind + KINDS_N * sunny.hours
    priority = np.array([load.priority_n - 1 for load in loads], dtype=np.int64)
    return refused_of(room_w, kind, power_w, np.ascontiguousarray(share), priority)


def _mean_w(load, month, hour, appliance_w, sunny):
    """Mean power of a load in each kind of hour; those of sunny days after the others. [W]."""
    usual_w = appliance_w(load, month, hour)
    if sunny is None:
        return usual_w
    if load.sunny_days_only:
        return np.append(np.zeros(KINDS_N), sunny.sunny_w(load, appliance_w, month, hour))
    return np.tile(usual_w, 2)


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
