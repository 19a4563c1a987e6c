"""The trade's plain rule for a day's solar energy: peak-sun hours times rating times a share.

Kept beside the hourly model (`solar`) only to show how far the two differ.
"""

import math

from homestead import reference, units
from homestead.units import checked


def peak_sun_hours(insolation_wh_m2):
    """Hours of full sun that bring as much as a day, month or year did.

    insolation_wh_m2 : Sun on the plane over the time. [Wh/m2], 0 or more.
    Gives [h].

    Insolation over 1000 W/m2, the sun of standard test conditions (definition).
    """
    insolation = checked("insolation_wh_m2", insolation_wh_m2, 0.0, math.inf, "Wh/m2")
    return units.convert_unit(insolation, "W", "kW")


def rule_derate_frac():
    """Share that the rule takes of rated power (common practice, no source)."""
    return reference.value("modules", "peak-sun rule", "derate", "")


def rule_wh(rated_w, sun_h, derate_frac=None):
    """Energy by the plain rule.

    rated_w : Rated power of the array. [W], 0 to 1e7.
    sun_h : Peak-sun hours. [h], 0 or more.
    derate_frac (float or array, optional) : [-], 0 to 1; the table's share if left out.
    Gives [Wh].

    Rating x peak-sun hours x share: common practice, no source.
    """
    rated = checked("rated_w", rated_w, 0.0, 1e7, "W")
    sun = checked("sun_h", sun_h, 0.0, math.inf, "h")
    share = rule_derate_frac() if derate_frac is None else derate_frac
    return rated * sun * checked("derate_frac", share, 0.0, 1.0)
