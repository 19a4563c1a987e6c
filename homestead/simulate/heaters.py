"""Heaters: what each gives by outdoor temperature and tending, as constants and hour by hour."""

import numpy as np

from homestead.formulas.warmth import cooling
from homestead.simulate.fuel_stores import store_of
from homestead.simulate.records import HEATERS_N, NO_STORE

USUAL_TENDED = (6, 22)  # a wood stove, by people who sleep at night; common practice, no source


def heaters_of(plan):
    """Constants of all heaters, by name, as in `Fixed`."""
    heaters = plan.heaters

    def slots(of, empty=0.0):
        return _slots([of(heater) for heater in heaters], empty)

    def electric(heater):
        own = heater.store == "electricity" and not heater.is_heat_pump_by_air
        return heater.electric_w / heater.output_w + (1.0 / heater.efficiency_frac if own else 0.0)

    def burned(heater):
        return 0.0 if heater.store == "electricity" else 1.0 / heater.efficiency_frac

    return {
        "heaters_n": len(heaters),
        "heater_w": slots(lambda heater: heater.output_w),
        "heater_untended_w": slots(lambda heater: heater.output_w * heater.untended_frac),
        "heater_tended_from": slots(lambda heater: tended(plan, heater)[0], 0),
        "heater_tended_h": slots(lambda heater: tended(plan, heater)[1], 24),
        "heater_efficiency_frac": slots(lambda heater: heater.efficiency_frac, 1.0),
        "heater_fuel_per_heat": slots(burned),
        "heater_electric_per_heat": slots(electric),
        "heater_store": slots(lambda heater: store_of(plan, heater), NO_STORE),
        **_heat_pumps(heaters),
    }


def _heat_pumps(heaters):
    """Straight lines of output and COP through the two rated points, for `_heaters`."""
    span_c = cooling.RATED_MILD_C - cooling.RATED_COLD_C

    def slots(of):
        return _slots([of(pump) if pump.is_heat_pump_by_air else 0.0 for pump in heaters], 0.0)

    return {
        "mild_c": cooling.RATED_MILD_C,
        "heater_mild_w": slots(lambda pump: pump.mild_output_w),
        "heater_w_per_c": slots(lambda pump: (pump.mild_output_w - pump.cold_output_w) / span_c),
        "heater_mild_cop": slots(lambda pump: pump.mild_cop),
        "heater_cop_per_c": slots(lambda pump: (pump.mild_cop - pump.cold_cop) / span_c),
        "heater_off_below_c": slots(lambda pump: pump.off_below_c),
    }


def _slots(values, empty):
    return tuple(values) + (empty,) * (HEATERS_N - len(values))


def tended(plan, heater):
    """First hour of the day in which somebody looks after a heater, and for how many hours."""
    between = heater.tended
    if between is None:
        burns = next((fuel.fuel for fuel in plan.fuels if fuel.name == heater.store), None)
        between = USUAL_TENDED if burns == "cordwood" else (0, 24)
    first, last = between
    return first, (last - first) % 24 or 24


def shared_out(plan, heat_w, air_c):
    """Each heater with its part of the heat, which the hours of the simulation hold as a sum.

    In the order of the plan, each up to what it can give at that hour's temperature, tended or not,
    as in the coupled hour.

    heat_w, air_c (array of shape (hours,)) : From a midnight on.
    Yields (heater, array of shape (hours,)).
    """
    left_w = np.array(heat_w, dtype=float)
    for heater in plan.heaters:
        first, hours_n = tended(plan, heater)
        is_tended = (np.arange(len(left_w)) - first) % 24 < hours_n
        limit_w = limit_w_of(heater, air_c) * np.where(is_tended, 1.0, heater.untended_frac)
        given_w = np.minimum(left_w, limit_w)
        left_w -= given_w
        yield heater, given_w


def limit_w_of(heater, air_c):
    """Most heat that a heater gives at an outdoor temperature, array like `air_c`. [W]."""
    air_c = np.asarray(air_c, dtype=float)
    if not heater.is_heat_pump_by_air:
        return np.full(air_c.shape, heater.output_w)
    limit_w = cooling.heat_pump_capacity_w(
        air_c,
        [cooling.RATED_COLD_C, cooling.RATED_MILD_C],
        [heater.cold_output_w, heater.mild_output_w],
    )
    return np.where(air_c >= heater.off_below_c, np.minimum(limit_w, heater.output_w), 0.0)


def cop_of(heater, air_c):
    """Heat over fuel or electricity at an outdoor temperature, array like `air_c`."""
    air_c = np.asarray(air_c, dtype=float)
    if not heater.is_heat_pump_by_air:
        return np.full(air_c.shape, heater.efficiency_frac)
    return cooling.heat_pump_cop(
        air_c, [cooling.RATED_COLD_C, cooling.RATED_MILD_C], [heater.cold_cop, heater.mild_cop]
    )


def needs_power(heater):
    """Whether a heater gives nothing without electricity."""
    return heater.store == "electricity" or heater.electric_w > 0
