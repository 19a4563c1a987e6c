"""Measures of how often and how much a supply falls short, and outage tables of several units.

Owns definitions only; the hours they are counted over come from outlook or from a reader.
"""

import math

import numpy as np

from homestead.units import checked

# Below this a shortfall in an hour is rounding, not darkness. [Wh]
_NOTHING_WH = 1e-6


def _short_wh(demand_wh, supply_wh):
    demand = checked("demand_wh", demand_wh, 0.0, math.inf, "Wh")
    supply = checked("supply_wh", supply_wh, 0.0, math.inf, "Wh")
    short = np.maximum(demand - supply, 0.0)
    if short.ndim == 0 or short.shape[-1] == 0:
        raise ValueError(f"demand_wh must be a series of 1 or more hours; got {demand_wh!r}")
    return np.broadcast_to(demand, short.shape), short


def expected_unserved_wh(demand_wh, supply_wh):
    """Energy not served over a series of hours.

    demand_wh, supply_wh (array of shape (..., hours)) : Asked for and available in each hour. [Wh],
        0 or more.
    Gives [Wh].
    """
    return _short_wh(demand_wh, supply_wh)[1].sum(axis=-1)


def loss_of_power_supply_frac(demand_wh, supply_wh):
    """Energy not supplied over energy asked for (loss of power supply probability).

    demand_wh, supply_wh (array of shape (..., hours)) : Asked for and available in each hour. [Wh],
        0 or more.
    Gives [-], 0 to 1.

    Not the same as `loss_of_load_time_frac`: one counts energy, the other hours [1]_.

    .. [1] R. Billinton, R. N. Allan, "Reliability Evaluation of Power Systems", 2nd ed., 1996.
    """
    demand, short = _short_wh(demand_wh, supply_wh)
    asked = demand.sum(axis=-1)
    if np.any(asked <= 0.0):
        raise ValueError(f"demand_wh must sum to more than 0 Wh; got {demand_wh!r}")
    return short.sum(axis=-1) / asked


def loss_of_load_time_frac(demand_wh, supply_wh):
    """Share of the hours in which some of the demand is not met.

    demand_wh, supply_wh (array of shape (..., hours)) : Asked for and available in each hour. [Wh],
        0 or more.
    Gives [-], 0 to 1.
    """
    return (_short_wh(demand_wh, supply_wh)[1] > _NOTHING_WH).mean(axis=-1)


def capacity_outage_table(unit_w, forced_outage_frac):
    """Chance of each amount of capacity being out, for units that fail independently.

    unit_w (array of shape (n,)) : Capacity of each unit, whole watts, at most 20 units. [W], 1 to
        1e10.
    forced_outage_frac : Share of the time that each is out of order. [-], 0 to 1.
    Gives out_w (array of shape (m,)): Capacity out, rising from 0. [W]
    Gives probability_frac (array of shape (m,)): Chance of exactly that amount out; sums to 1. [-].

    Units are added one at a time [1]_.

    .. [1] R. Billinton, R. N. Allan, "Reliability Evaluation of Power Systems", 2nd ed., 1996,
       section 2.2.
    """
    units_w = np.round(np.atleast_1d(checked("unit_w", unit_w, 1.0, 1e10, "W")))
    rates = checked("forced_outage_frac", forced_outage_frac, 0.0, 1.0)
    if units_w.ndim != 1 or not 1 <= units_w.size <= 20:
        raise ValueError(f"unit_w must be a list of 1 to 20 units; got {unit_w!r}")
    if rates.shape not in ((), (1,), units_w.shape):
        raise ValueError(
            f"forced_outage_frac must be one number or {units_w.size}; got {forced_outage_frac!r}"
        )
    chances = {0.0: 1.0}
    for capacity, rate in zip(units_w, np.broadcast_to(rates, units_w.shape), strict=True):
        added = {}
        for out, chance in chances.items():
            added[out] = added.get(out, 0.0) + chance * (1.0 - rate)
            added[out + capacity] = added.get(out + capacity, 0.0) + chance * rate
        chances = added
    out_w = np.array(sorted(chances))
    return out_w, np.array([chances[out] for out in out_w])


def loss_of_load_probability_frac(load_w, unit_w, forced_outage_frac):
    """Chance that the units still working cannot carry a load.

    load_w : [W], 0 or more.
    unit_w, forced_outage_frac : As in `capacity_outage_table`.
    Gives [-].
    """
    load = checked("load_w", load_w, 0.0, math.inf, "W")
    out_w, chances = capacity_outage_table(unit_w, forced_outage_frac)
    working_w = out_w[-1] - out_w
    return np.where(working_w < load[..., None], chances, 0.0).sum(axis=-1)
