"""What appliances and whole dwellings use: energy, typical watts, standards, service demand.

Owns the formulas; the figures stand in data/reference/appliances.csv and load_shape.csv. Leaves
out the plan's own load list and its hours (outlook).
"""

import math
from functools import cache
from typing import NamedTuple

import numpy as np

from homestead import reference
from homestead.units import checked, convert_unit

DAYS_PER_YEAR = 365
REFRIGERATOR_RULES = (2001, 2014, 2029)


def appliance_wh(power_w, hours_h_day, days_n=1, duty_frac=1.0):
    """Energy that an appliance uses over some days.

    power_w : Draw while it runs. [W], 0 to 1e6.
    hours_h_day : Hours switched on in a day. [h/day], 0 to 24.
    days_n : Days of use, 0 to 366.
    duty_frac : Share of the time on that it draws its power, as a compressor does. [-], 0 to 1.
    Gives [Wh].

    US Department of Energy, "Estimating Appliance and Home Electronic Energy Use".
    """
    power = checked("power_w", power_w, 0.0, 1e6, "W")
    hours = checked("hours_h_day", hours_h_day, 0.0, 24.0, "h")
    days = checked("days_n", days_n, 0.0, 366.0, "days")
    return power * hours * days * checked("duty_frac", duty_frac, 0.0, 1.0)


def energy_cost(energy_wh, price_per_kwh):
    """Cost of energy at a flat price.

    energy_wh : [Wh], 0 or more.
    price_per_kwh : Money for each kWh, 0 to 1000.
    Gives Money, in the price's currency.
    """
    energy = checked("energy_wh", energy_wh, 0.0, math.inf, "Wh")
    price = checked("price_per_kwh", price_per_kwh, 0.0, 1000.0)
    return convert_unit(energy, "Wh", "kWh") * price


def typical_power_w(appliance):
    """Usual draw of a household appliance while it runs.

    appliance (str) : An item of appliances.csv, such as "window fan".
    Gives low, high (float): [W].

    US Department of Energy, typical wattages; the label of your own appliance is better.
    """
    low = reference.value("appliances", appliance, "power_low", "W")
    return low, reference.value("appliances", appliance, "power_high", "W")


def compressor_duty_frac():
    """Share of the plugged-in time that a refrigerator's compressor runs, by the DOE's rule."""
    return reference.value("appliances", "refrigerator compressor", "duty", "")


def refrigerator_standard_wh_year(adjusted_volume_m3, rule_year=2014):
    """Most energy that the standard allows a top-freezer, automatic-defrost refrigerator.

    adjusted_volume_m3 : Adjusted volume. [m3], 0.1 to 1.5.
    rule_year ({2001, 2014, 2029}) : Year from which the rule holds.
    Gives [Wh/year].

    Slope x adjusted volume + constant [1]_.

    .. [1] 10 CFR 430.32(a), product class 3.
    """
    volume = checked("adjusted_volume_m3", adjusted_volume_m3, 0.1, 1.5, "m3")
    if rule_year not in REFRIGERATOR_RULES:
        raise ValueError(f"rule_year must be 2001, 2014 or 2029; got {rule_year!r}")
    item = f"refrigerator class 3 {rule_year}"
    slope = reference.value("appliances", item, "energy_per_adjusted_volume", "Wh/m^3")
    return slope * volume + reference.value("appliances", item, "energy_fixed", "Wh")


def refrigerator_efficient_wh_year(adjusted_volume_m3):
    """Most energy of a refrigerator that earns the federal efficiency label.

    adjusted_volume_m3 : Adjusted volume. [m3], 0.1 to 1.5.
    Gives [Wh/year].

    Ten per cent under the rule of 2014 (from memory).
    """
    saving = reference.value("appliances", "refrigerator class 3 2014", "energy_star_saving", "")
    return (1.0 - saving) * refrigerator_standard_wh_year(adjusted_volume_m3, 2014)


def daily_from_label_wh(label_wh_year):
    """Mean daily use from a yellow label's yearly figure.

    label_wh_year : [Wh/year], 0 or more.
    Gives [Wh/day].
    """
    return checked("label_wh_year", label_wh_year, 0.0, math.inf, "Wh") / DAYS_PER_YEAR


@cache
def _shape():
    hours = reference.items("load_shape", "weight")
    weights = np.array([reference.value("load_shape", hour, "weight", "") for hour in hours])
    return tuple(weights / weights.sum())


def default_load_shape_frac():
    """Share of a day's use that falls in each hour, for a plan that does not say.

    Gives array of shape (24,): Hour 0 begins at midnight; sums to 1. [-].

    Project choice: one evening maximum, a smaller morning one, least before dawn.
    """
    return np.array(_shape())


class DwellingDemand(NamedTuple):
    """Service load by the standard method. Volt-amperes, and the current at the service [A]."""

    general_connected_va: float
    general_demand_va: float
    range_va: float
    dryer_va: float
    total_va: float
    current_a: float


@cache
def _dwelling(quantity, unit):
    return reference.value("appliances", "dwelling", quantity, unit)


def dwelling_demand_va(
    floor_m2, small_appliance_n=2, laundry_n=1, range_va=0.0, dryer_va=0.0, service_v=240.0
):
    """Service load of a dwelling by the code's standard method.

    floor_m2 : Floor area, outside dimensions. [m2], 10 to 2000.
    small_appliance_n, laundry_n (int or array) : Circuits of 1500 VA each, 2 to 10 and 0 to 5.
    range_va : Name plate of one household range, 0 for none. [VA], 0 to 27000.
    dryer_va : Name plate of the dryer, 0 for none. [VA], 0 to 20000.
    service_v : [V], 100 to 600.
    Gives DwellingDemand.

    General lighting 3 VA/ft2 and the circuits: the first 3000 VA in full, to 120,000 VA 35 %, the
    rest 25 %. One range counts 8 kVA up to 12, then 5 % more for each kVA or major part of one,
    never above its name plate; a dryer at least 5 kVA [1]_. Fixed appliances, heating and motors
    are not in it: a licensed electrician adds them.

    .. [1] NFPA 70, Article 220 Part III and Informative Annex D, Example D1(a) (from memory).
    """
    floor = checked("floor_m2", floor_m2, 10.0, 2000.0, "m2")
    kitchens = checked("small_appliance_n", small_appliance_n, 2.0, 10.0)
    laundries = checked("laundry_n", laundry_n, 0.0, 5.0)
    cooker = checked("range_va", range_va, 0.0, 27_000.0, "VA")
    dryer = checked("dryer_va", dryer_va, 0.0, 20_000.0, "VA")
    volts = checked("service_v", service_v, 100.0, 600.0, "V")
    connected = (
        _dwelling("lighting_per_area", "V*A/m^2") * floor
        + _dwelling("small_appliance_circuit", "V*A") * kitchens
        + _dwelling("laundry_circuit", "V*A") * laundries
    )
    first = _dwelling("general_first_step", "V*A")
    second = _dwelling("general_second_step", "V*A")
    general = (
        np.minimum(connected, first)
        + _dwelling("general_second_demand", "") * np.clip(connected - first, 0.0, second - first)
        + _dwelling("general_third_demand", "") * np.maximum(connected - second, 0.0)
    )
    cooking = _range_demand_va(cooker)
    drying = np.where(dryer > 0.0, np.maximum(dryer, _dwelling("dryer_least", "V*A")), 0.0)[()]
    total = general + cooking + drying
    return DwellingDemand(connected, general, cooking, drying, total, total / volts)


def _range_demand_va(nameplate_va):
    limit = _dwelling("range_limit", "V*A")
    over_kva = convert_unit(np.maximum(nameplate_va - limit, 0.0), "V*A", "kV*A")
    # "Each kilowatt or major fraction": half a kilowatt over counts as a whole one.
    steps = np.floor(over_kva + 0.5)
    increase = 1.0 + _dwelling("range_increase", "1/(kV*A)") * steps
    return np.minimum(nameplate_va, _dwelling("range_demand", "V*A") * increase)[()]
