"""Heat: what a house loses, how fast it cools, what a season and the coldest night ask for.

Fuels, hot water and cooling have modules of their own. Owns no hourly state (outlook).
"""

import math

import numpy as np

from homestead import reference
from homestead.formulas.warmth.cooling import (
    air_heat_wh_m3k,
)
from homestead.units import checked


def degree_days_k(daily_mean_c, base_c=18.333):
    """Heating degree-days of a run of days.

    daily_mean_c (float or array of shape (..., days)) : Mean of each day's hours, or (highest +
        lowest) / 2 as weather offices print it. The two differ by some per cent: say which was
        used. [degC], -80 to 60.
    base_c : [degC], 0 to 30. The default is 65 degF.
    Gives sum over the last axis. [K day].

    .. [1] U.S. National Weather Service, definition of the degree day.
    """
    mean = np.atleast_1d(checked("daily_mean_c", daily_mean_c, -80.0, 60.0, "degC"))
    base = checked("base_c", base_c, 0.0, 30.0, "degC")
    return np.maximum(base - mean, 0.0).sum(axis=-1)


def cooling_degree_days_k(daily_mean_c, base_c=18.333):
    """Cooling degree-days of a run of days; arguments as in `degree_days_k`.

    daily_mean_c (float or array of shape (..., days)) : [degC], -80 to 60.
    base_c : [degC], 0 to 30.
    Gives sum over the last axis. [K day].
    """
    mean = np.atleast_1d(checked("daily_mean_c", daily_mean_c, -80.0, 60.0, "degC"))
    base = checked("base_c", base_c, 0.0, 30.0, "degC")
    return np.maximum(mean - base, 0.0).sum(axis=-1)


def conduction_w_k(area_m2, r_m2k_w):
    """Heat loss of one part of the envelope for each kelvin.

    area_m2 : [m2], 0 or more.
    r_m2k_w : Thermal resistance of the whole build-up. [m2 K/W], 0.01 to 100.
    Gives UA. [W/K].
    """
    area = checked("area_m2", area_m2, 0.0, math.inf, "m2")
    return area / checked("r_m2k_w", r_m2k_w, 0.01, 100.0, "m2 K/W")


def envelope_part_w_k(
    area_m2, r_m2k_w, kind="outside", temperature_frac=None, edge_m=0.0, edge_insulation="none"
):
    """Heat loss of one part of the envelope, for each kelvin between the rooms and outdoors.

    area_m2, r_m2k_w : As in `conduction_w_k`.
    kind ({"outside", "unheated space", "ground"}) : What the part faces.
    temperature_frac (float or array, optional) : Temperature difference across the part over that
        to outdoors. 0 to 1; by default the table's share for `kind`.
    edge_m : Outer edge of a slab on the ground. [m], 0 or more. Above 0 the loss is taken by the
        edge and neither area nor resistance counts.
    edge_insulation ({"none", "R-10 to 24 in"})
    Gives [W/K].
    The ground follows the air by weeks and months; one share of the outdoor difference is a mean
    of the heating season and too pessimistic on a short cold night.
    .. [1] DIN V 4108-6, simplified method, temperature correction factors (from memory).
    .. [2] ANSI/ASHRAE/IES Standard 90.1, Table A6.3 (from memory).
    """
    across = conduction_w_k(area_m2, r_m2k_w)
    if temperature_frac is None:
        temperature_frac = reference.value("insulation", f"facing {kind}", "temperature_share", "")
    share = checked("temperature_frac", temperature_frac, 0.0, 1.0)
    edges = {"none": "slab edge, not insulated", "R-10 to 24 in": "slab edge, R-10 to 24 in"}
    by_edge = ground_loss_w_k(edge_m, edges.get(edge_insulation, edge_insulation))
    return np.where(np.asarray(edge_m) > 0.0, by_edge, across * share)[()]


def infiltration_w_k(volume_m3, air_changes_h):
    """Heat loss by outdoor air that leaks in, for each kelvin.

    volume_m3 : Heated volume. [m3], 0 or more.
    air_changes_h : Natural air changes in an hour, not those of a blower-door test. [1/h], 0 to 20.
    Gives [W/K].

    0.018 Btu/(ft3 degF) of standard air.
    """
    volume = checked("volume_m3", volume_m3, 0.0, math.inf, "m3")
    return volume * checked("air_changes_h", air_changes_h, 0.0, 20.0, "1/h") * air_heat_wh_m3k()


def ground_loss_w_k(edge_m, edge="slab edge, not insulated"):
    """Heat loss of a floor slab on the ground, for each kelvin to the outdoor air.

    edge_m : Length of the slab's outer edge. [m], 0 or more.
    edge (str) : ``"slab edge, not insulated"`` or ``"slab edge, R-10 to 24 in"``.
    Gives [W/K].

    .. [1] ANSI/ASHRAE/IES Standard 90.1, Table A6.3 (from memory).
    """
    factor = reference.value("insulation", edge, "loss_per_edge_length", "W/m/delta_degC")
    return checked("edge_m", edge_m, 0.0, math.inf, "m") * factor


def degree_hours_k(hourly_c, base_c):
    """Degree-hours below a base, hour by hour, without any averaging over the day.

    hourly_c (float or array of shape (..., hours)) : Mean of each hour. [degC], -80 to 60.
    base_c : [degC], -50 to 40.
    Gives sum over the last axis. [K h]. Never below 24 times the degree-days of the daily means,
        and equal to them where no day crosses the base.
    """
    air = np.atleast_1d(checked("hourly_c", hourly_c, -80.0, 60.0, "degC"))
    return np.maximum(checked("base_c", base_c, -50.0, 40.0, "degC") - air, 0.0).sum(axis=-1)


def balance_temperature_c(keep_c, gain_w, loss_w_k):
    """Outdoor temperature at which gains alone hold the rooms, the right base of degree-days.

    keep_c : Rooms. [degC], -60 to 60.
    gain_w : Mean gain from sun, people and appliances. [W], 0 or more.
    loss_w_k : [W/K], above 0.
    Gives [degC].

    Steady balance: loss (keep - base) = gain; the variable-base degree-day method.

    .. [1] ASHRAE Handbook, Fundamentals, chapter on energy estimating (from memory).
    """
    keep = checked("keep_c", keep_c, -60.0, 60.0, "degC")
    gain = checked("gain_w", gain_w, 0.0, math.inf, "W")
    return keep - gain / checked("loss_w_k", loss_w_k, 1e-6, math.inf, "W/K")


def seasonal_heat_wh(loss_w_k, degree_days_k):
    """Heat lost over a season, from degree-days.

    loss_w_k : Loss of the house. [W/K], 0 or more.
    degree_days_k : [K day], 0 or more.
    Gives [Wh].
    """
    loss = checked("loss_w_k", loss_w_k, 0.0, math.inf, "W/K")
    return loss * checked("degree_days_k", degree_days_k, 0.0, math.inf, "K day") * 24.0


def design_heat_loss_w(loss_w_k, inside_c, design_c):
    """Heat loss on the design night.

    loss_w_k : [W/K], 0 or more.
    inside_c, design_c : Room and outdoor design temperature. [degC], -60 to 60.
    Gives [W]; 0 where the design temperature is above the room's.
    """
    loss = checked("loss_w_k", loss_w_k, 0.0, math.inf, "W/K")
    inside = checked("inside_c", inside_c, -60.0, 60.0, "degC")
    return loss * np.maximum(inside - checked("design_c", design_c, -60.0, 60.0, "degC"), 0.0)


def heater_sizing_ratio(output_w, design_loss_w):
    """Output of a heater over the loss on the design night.

    output_w : Heat delivered at full fire. [W], 0 or more.
    design_loss_w : From `design_heat_loss_w`. [W], above 0.
    Gives Below 1 the heater cannot hold the room on the design night; above about 1.4 a furnace
        runs short cycles (common practice, no source).
    """
    output = checked("output_w", output_w, 0.0, math.inf, "W")
    return output / checked("design_loss_w", design_loss_w, 1e-6, math.inf, "W")


def heating_design_c(hourly_air_c, exceeded_frac=0.99):
    """Heating design temperature from the hours of a year or of many.

    hourly_air_c (array of shape (hours,)) : [degC], -80 to 60.
    exceeded_frac : Share of the hours that are warmer. 0.5 to 1.
    Gives [degC].
    """
    air = checked("hourly_air_c", hourly_air_c, -80.0, 60.0, "degC")
    return np.quantile(air, 1.0 - checked("exceeded_frac", exceeded_frac, 0.5, 1.0))
