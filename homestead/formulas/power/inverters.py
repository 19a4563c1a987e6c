"""Inverters: answer to frequency, weighted efficiency, idle draw, PV on a main inverter.

Owns the formulas; weights, idle draws and defaults stand in data/reference/inverters.csv. Settings
of a real inverter are its installer's and the utility's business.
"""

import numpy as np

from homestead import reference
from homestead.units import checked


def frequency_watt_frac(frequency_hz, deadband_hz=0.036, droop_frac=0.05, nominal_hz=60.0):
    """Share of its power that a grid-following inverter keeps at a raised frequency.

    frequency_hz : [Hz], 40 to 80.
    deadband_hz : Rise that is ignored. [Hz], 0.017 to 1.0 (the adjustable range).
    droop_frac : Rise, over nominal, that takes all the power away. [-], 0.02 to 0.05.
    nominal_hz : [Hz], 50 to 60.
    Gives power over power before the rise. [-], 0 to 1; 1 at and below nominal, since the sun
        cannot be asked for more.
    1 - (f - nominal - dead band) / (nominal x droop), before any over-frequency trip [1]_.
    Main inverters use this to hold back AC-coupled PV when the battery is full.
    .. [1] IEEE Std 1547-2018, clause 6.5.2.7 and Table 24 (from memory).
    """
    frequency = checked("frequency_hz", frequency_hz, 40.0, 80.0, "Hz")
    deadband = checked("deadband_hz", deadband_hz, 0.017, 1.0, "Hz")
    droop = checked("droop_frac", droop_frac, 0.02, 0.05)
    nominal = checked("nominal_hz", nominal_hz, 50.0, 60.0, "Hz")
    rise = np.maximum(frequency - nominal - deadband, 0.0)
    return np.maximum(1.0 - rise / (nominal * droop), 0.0)


def ac_coupling_ratio(pv_inverters_w, grid_former_w):
    """AC rating of the grid-following PV on a main inverter's output, over the former's rating.

    pv_inverters_w : Summed AC rating of the PV inverters. [W], 0 to 1e7.
    grid_former_w : Continuous rating of the main inverter. [W], 1 to 1e7.
    Gives [-].
    """
    pv = checked("pv_inverters_w", pv_inverters_w, 0.0, 1e7, "W")
    return pv / checked("grid_former_w", grid_former_w, 1.0, 1e7, "W")


def is_ac_coupling_within_rating(pv_inverters_w, grid_former_w):
    """Whether AC-coupled PV keeps to the trade's rule, a ratio of 1.0 at most.

    pv_inverters_w : Summed AC rating of the PV inverters. [W], 0 to 1e7.
    grid_former_w : Continuous rating of the main inverter. [W], 1 to 1e7.
    Gives bool or array of bool: Equal ratings pass.

    Common practice, from memory; no standard states it. The former's own manual comes first.
    """
    ratio = ac_coupling_ratio(pv_inverters_w, grid_former_w)
    within = ratio <= 1.0
    return bool(within) if np.ndim(within) == 0 else within


def frequency_that_leaves_hz(keep_frac, deadband_hz=0.036, droop_frac=0.05, nominal_hz=60.0):
    """Frequency that brings a grid-following inverter down to a share of its power.

    keep_frac : Power over power before the rise. [-], 0 to 1; 0 halts it.
    deadband_hz, droop_frac, nominal_hz : As in `frequency_watt_frac`.
    Gives [Hz].

    nominal + dead band + (1 - share) x nominal x droop: `frequency_watt_frac` turned round [1]_.

    .. [1] IEEE Std 1547-2018, clause 6.5.2.7 and Table 24 (from memory).
    """
    keep = checked("keep_frac", keep_frac, 0.0, 1.0)
    deadband = checked("deadband_hz", deadband_hz, 0.017, 1.0, "Hz")
    droop = checked("droop_frac", droop_frac, 0.02, 0.05)
    nominal = checked("nominal_hz", nominal_hz, 50.0, 60.0, "Hz")
    return nominal + deadband + (1.0 - keep) * nominal * droop


def over_frequency_trips():
    """Default over-frequency trips of a grid-following inverter.

    Gives tuple of (frequency_hz, after_s): Lowest frequency first; IEEE Std 1547-2018, Table 18
        (from memory).
    """
    return tuple(
        (
            reference.value("inverters", item, "trip_frequency", "Hz"),
            reference.value("inverters", item, "trip_after", "s"),
        )
        for item in ("over frequency 1", "over frequency 2")
    )
