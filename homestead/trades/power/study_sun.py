"""What each array yields, month by month, beside the plain rule of peak-sun hours.

Owns yield, specific yield, clipping, the worst fortnight and the account of why the hourly model
and the rule differ. The hourly model itself stands in `homestead.formulas.power.solar`.
"""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
import pandas as pd

from homestead import units
from homestead.formulas.power import peak_sun, solar
from homestead.outlook import studies
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY, read_weather
from homestead.simulate.trace import trace_of

FORTNIGHT_DAYS = 14
NO_LOSSES = {
    "soiling_frac": 0.0,
    "mismatch_frac": 0.0,
    "wiring_frac": 0.0,
    "monthly_loss_frac": (0.0,) * 12,
    "first_year_wear_frac": 0.0,
}
NO_GLASS = {"glass": "not counted", "dim_light_frac": 0.0}


def _kwh(wh):
    return units.convert_unit(wh, "Wh", "kWh")


def _altered(array, **values):
    """The array with some values of its own changed, for the formulas only."""
    own = {name: getattr(array, name) for name in type(array).model_fields}
    return SimpleNamespace(**(own | values))


def monthly_yield(plan, measured=None):
    """Yield of each array by month, before any curtailment by a full battery.

    measured (Weather, optional) : Instead of reading the plan's weather file.
    Gives DataFrame: Indexed by array and month (1 to 12): yield_kwh, sun_h_day (peak-sun hours on
        the plane), clipped_kwh. An average year if the weather has several.
    """
    weather = measured if measured is not None else read_weather(plan)
    month = weather.hourly.index.month.to_numpy()
    years_n = len(weather.year_labels)
    parts = []
    for array in plan.arrays:
        could = solar.array_dc_w(weather, array).to_numpy() * array.converter_efficiency_frac
        made = solar.array_output_w(weather, array).to_numpy()
        plane = solar.plane_of_array_w_m2(
            weather, array.tilt_deg, array.azimuth_deg, horizon_deg=array.horizon_deg
        ).to_numpy()
        sums = (
            pd.DataFrame({"made": made, "clipped": could - made, "plane": plane})
            .groupby(month)
            .sum()
            / years_n
        )
        sun_h = peak_sun.peak_sun_hours(sums["plane"].to_numpy())
        days_n = np.bincount(MONTH_OF_DAY, minlength=13)[1:]
        parts.append(
            pd.DataFrame(
                {
                    "array": array.name,
                    "month": np.arange(1, 13),
                    "yield_kwh": _kwh(sums["made"].to_numpy()),
                    "sun_h_day": sun_h / days_n,
                    "clipped_kwh": _kwh(sums["clipped"].to_numpy()),
                }
            )
        )
    if not parts:
        return pd.DataFrame(columns=["yield_kwh"], index=pd.MultiIndex.from_arrays([[], []]))
    return pd.concat(parts).set_index(["array", "month"])


@dataclass(frozen=True)
class RuleAccount:
    """A year of one array: from the plain rule to the hourly model, step by step. [kWh]."""

    array: str
    # Rated power x peak-sun hours of a plane that faces the equator at the site's latitude x the
    # rule's share.
    rule_kwh: float
    # Of str to float: what each cause adds or takes, in order: the rule's share given back,
    # orientation, horizon, temperature, named losses, converter efficiency, converter limit.
    steps: dict
    yield_kwh: float  # by the hourly model; the rule and the steps add up to it


def rule_account(plan, measured=None):
    """Why the hourly yield of each array differs from the plain rule.

    measured (Weather, optional) : Instead of reading the plan's weather file.
    Gives tuple of RuleAccount.
    """
    weather = measured if measured is not None else read_weather(plan)
    return tuple(_account(weather, array) for array in plan.arrays)


def _account(weather, array):
    years_n = len(weather.year_labels)
    rated_w = solar.array_rated_w(array)
    latitude_deg = weather.site.latitude_deg

    def year_wh(series):
        return float(series.sum()) / years_n

    towards = 180.0 if latitude_deg >= 0 else 0.0
    ideal = solar.plane_of_array_w_m2(weather, min(abs(latitude_deg), 90.0), towards)
    sun_h = float(peak_sun.peak_sun_hours(year_wh(ideal)))
    full = rated_w * sun_h
    rule = float(peak_sun.rule_wh(rated_w, sun_h))
    even = {"power_coefficient_per_c": 0.0, **NO_GLASS}
    open_sky = _altered(array, horizon_deg=(), **even, **NO_LOSSES)
    faced = year_wh(solar.array_dc_w(weather, open_sky))
    shaded = year_wh(solar.array_dc_w(weather, _altered(array, **even, **NO_LOSSES)))
    warm = year_wh(solar.array_dc_w(weather, _altered(array, **NO_GLASS, **NO_LOSSES)))
    behind_glass = year_wh(solar.array_dc_w(weather, _altered(array, **NO_LOSSES)))
    lossy = year_wh(solar.array_dc_w(weather, array))
    converted = lossy * array.converter_efficiency_frac
    made = year_wh(solar.array_output_w(weather, array))
    steps = {
        "the rule's share given back": full - rule,
        "orientation": faced - full,
        "horizon": shaded - faced,
        "temperature": warm - shaded,
        "reflection and dim light": behind_glass - warm,
        "named losses": lossy - behind_glass,
        "converter efficiency": converted - lossy,
        "converter limit": made - converted,
    }
    return RuleAccount(
        array.name, _kwh(rule), {name: _kwh(wh) for name, wh in steps.items()}, _kwh(made)
    )


def rule_table(plan, measured=None):
    """`rule_account` of all arrays as a table.

    measured (Weather, optional)
    Gives DataFrame: Rows: plain rule, each cause, hourly model; one column of kWh a year for each
        array.
    """
    return pd.DataFrame(
        {
            account.array: {
                "plain rule": account.rule_kwh,
                **account.steps,
                "hourly model": account.yield_kwh,
            }
            for account in rule_account(plan, measured)
        }
    )


@dataclass(frozen=True)
class Fortnight:
    """The fourteen days with the least sun on all arrays together."""

    first_day: int  # day from 0, counted through all weather years
    # Weather year and day of the year, both from 0.
    year: int
    day_of_year: int
    pv_wh_day: float  # mean of the fourteen days, before curtailment


def worst_fortnight(hours):
    """Fourteen days in which sun, wind and water offer least, of all weather years.

    Gives Fortnight.
    """
    daily = (hours.column("pv_dc_w") + hours.column("pv_ac_w")).reshape(-1, 24).sum(axis=1)
    sums = np.convolve(daily, np.ones(FORTNIGHT_DAYS), mode="valid")
    first = int(np.argmin(sums))
    pv_wh_day = float(sums[first]) / FORTNIGHT_DAYS
    return Fortnight(first, first // DAYS_N, first % DAYS_N, pv_wh_day)


@studies.kept
def worst_fortnight_hours(outlook):
    """The worst fortnight hour by hour, as it comes in the run of all years with deliveries.

    Gives DataFrame of 336 rows: Indexed by hour from its start: day (from 0), hour, pv_w (offered),
        curtailed_w, used_w, generator_w, charge_frac (of usable charge; nan without a battery), and
        what was not served: essential_short_w, useful_short_w, comfort_short_w; shed_w, the last
        two together.
    """
    hours = outlook.hours
    first = worst_fortnight(hours).first_day
    # A month ahead lets the stores find their level; longer changes nothing that can be seen.
    lead = min(first, 30)
    trace = trace_of(hours, first - lead, lead + FORTNIGHT_DAYS, delivered=True)
    here = slice(lead * 24, None)
    flows, states = trace.flows[here].reset_index(drop=True), trace.states[here]
    fixed = hours.fixed
    depth_wh = fixed.battery_wh * fixed.discharge_depth_frac
    floor_wh = fixed.battery_wh - depth_wh
    kept = states["battery_wh"].to_numpy()
    names = ("pv_w", "curtailed_w", "used_w", "generator_w")
    short = ("essential_short_w", "useful_short_w", "comfort_short_w")
    found = flows[[*names, *short]].copy()
    found.insert(0, "day", np.arange(len(found)) // 24)
    found.insert(1, "hour", np.arange(len(found)) % 24)
    found["charge_frac"] = (
        np.clip((kept - floor_wh) / depth_wh, 0.0, 1.0) if depth_wh else np.full(len(kept), np.nan)
    )
    found["shed_w"] = found["useful_short_w"] + found["comfort_short_w"]
    return found


def mean_day_by_month(outlook):
    """An average day of each month: sun, use and charge.

    Gives DataFrame of 288 rows: Indexed by month and hour: pv_w, used_w, idle_w, curtailed_w,
        generator_w, charge_frac.
    """
    means, fixed = outlook.year.hourly_means, outlook.hours.fixed
    depth_wh = fixed.battery_wh * fixed.discharge_depth_frac
    found = means[["pv_w", "used_w", "idle_w", "curtailed_w", "generator_w"]].copy()
    floor_wh = fixed.battery_wh - depth_wh
    found["charge_frac"] = (
        ((means["battery_wh"] - floor_wh) / depth_wh).clip(0.0, 1.0) if depth_wh else np.nan
    )
    found.index.names = ["month", "hour"]
    return found
