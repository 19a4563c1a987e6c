"""Food storage: pantry days and shelf life, cold stores without power, bleach, preserving.

Thresholds are published advice, shown beside the numbers; local advice goes first. Owns no recipe.
"""

import math
from functools import cache

import numpy as np

from homestead import reference
from homestead.formulas.warmth.hot_water import water_heating_wh
from homestead.units import checked


def freezer_hold_hours(fill_frac):
    """Hours that an unopened freezer keeps its food without power.

    fill_frac : How full. 0 to 1.
    Gives [h]; linear from nothing through the two published points, half full and full.

    .. [1] USDA Food Safety and Inspection Service, advice on power outages.
    """
    fill = checked("fill_frac", fill_frac, 0.0, 1.0)
    half = reference.value("cautions", "freezer, half full", "hold", "hour")
    full = reference.value("cautions", "freezer, full", "hold", "hour")
    return np.interp(fill, [0.0, 0.5, 1.0], [0.0, half, full])


def refrigerator_hold_hours():
    """Hours that an unopened refrigerator keeps its food without power. [h]."""
    return reference.value("cautions", "refrigerator", "hold", "hour")


def discard_after_hours():
    """Hours above 40 °F (4 °C) after which perishable food is to be thrown out. [h].

    From the USDA Food Safety and Inspection Service. A thermometer shows it; smell does not.
    """
    return reference.value("cautions", "cold food", "time_over_limit_most", "hour")


@cache
def _bleach_rows():
    """(lowest, highest percent, drops for each m3), narrow ranges last so that they win."""
    rows = [
        (
            reference.row("cautions", item, "chlorine_low").value,
            reference.row("cautions", item, "chlorine_high").value,
            reference.value("cautions", item, "drops", "1/m^3"),
        )
        for item in reference.items("cautions", "chlorine_low")
    ]
    return sorted(rows, key=lambda row: row[0] - row[1])


def bleach_drops(volume_m3, chlorine_percent, cloudy=False):
    """Drops of plain household bleach to disinfect drinking water in an emergency.

    volume_m3 : Water to treat. [m3], 0 or more.
    chlorine_percent : Sodium hypochlorite on the label. 1, 4 to 6 or 7 to 10 percent.
    cloudy (bool or array) : Doubles the dose. Filter cloudy water through cloth first.
    Gives Drops, not rounded. Wait 30 minutes. Never with scented, colored or thickened bleach;
        this does not remove chemicals.
    A later row of the same agency stands for 8 to 8.5 percent (from memory).
    .. [1] U.S. EPA, "Emergency Disinfection of Drinking Water".
    """
    volume = checked("volume_m3", volume_m3, 0.0, math.inf, "m3")
    percent = checked("chlorine_percent", chlorine_percent, 0.0, 100.0, "percent")
    rate = np.full(percent.shape, np.nan)
    for low, high, drops in _bleach_rows():
        rate = np.where((percent >= low) & (percent <= high), drops, rate)
    if np.any(np.isnan(rate)):
        ranges = ", ".join(f"{low:g} to {high:g}" for low, high, _ in sorted(_bleach_rows()))
        raise ValueError(
            f"chlorine_percent must be in one of the printed rows ({ranges} percent); got "
            f"{chlorine_percent!r}"
        )
    double = reference.value("cautions", "bleach", "cloudy_factor", "")
    return volume * rate * np.where(np.asarray(cloudy, dtype=bool), double, 1.0)


def canning_heat_wh(water_m3, start_c, boil_c, hold_h, simmer_w, efficiency_frac):
    """Heat of the stove for one batch of preserving, jars counted as water.

    water_m3 : Water of the canner and what is in the jars. [m3], 0 or more.
    start_c, boil_c : Before, and at the boil. [degC], 0 to 60 and 60 to 125.
    hold_h : Time at the boil. [h], 0 to 24. Times and pressures come from a tested recipe.
    simmer_w : Heat into the pot that keeps it there. [W], 0 or more.
    efficiency_frac : Heat into the pot over heat of the fuel. 0.01 to 1.
    Gives [Wh] of fuel or electricity.

    Warming of water plus the hold, from physics; no published figure stands behind it.
    """
    start = checked("start_c", start_c, 0.0, 60.0, "degC")
    boil = checked("boil_c", boil_c, 60.0, 125.0, "degC")
    hold = checked("hold_h", hold_h, 0.0, 24.0, "h")
    simmer = checked("simmer_w", simmer_w, 0.0, math.inf, "W")
    efficiency = checked("efficiency_frac", efficiency_frac, 0.01, 1.0)
    rise = boil - start
    # water_heating_wh stops at 100 K: a pressure canner may start below that and pass it.
    warm = water_heating_wh(water_m3, rise / 2.0) * 2.0
    return (warm + simmer * hold) / efficiency


def shelf_life_days(food):
    """Time that a stored food keeps its use, by common practice.

    food (str) : Such as ``"white flour"``.
    Gives [days], kept as the row's note says. Look, smell and local advice go first.
    """
    return reference.value("foods", food, "shelf_life", "day")


def days_of_food(store_kcal, need_kcal_day, income_kcal_day=0.0):
    """Days that a store of food lasts at a steady need.

    store_kcal : Energy in pantry and freezer. [kcal], 0 or more.
    need_kcal_day : [kcal/day], above 0.
    income_kcal_day : From garden, eggs and milk. [kcal/day], 0 or more.
    Gives [days]; infinity where the income covers the need.
    """
    store = checked("store_kcal", store_kcal, 0.0, math.inf, "kcal")
    need = checked("need_kcal_day", need_kcal_day, 1.0, math.inf, "kcal/day")
    gap = need - checked("income_kcal_day", income_kcal_day, 0.0, math.inf, "kcal/day")
    return np.where(gap > 0.0, store / np.where(gap > 0.0, gap, 1.0), math.inf)[()]
