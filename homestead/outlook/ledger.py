"""The year with deliveries: what the homestead makes, uses, burns and draws in an average year.

Fuel, feed and food are made up at each day's end, so the sums are what a year costs. Also owns the
balances that must close every hour.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import units
from homestead.formulas.power import battery as cells
from homestead.outlook.work import daily_work
from homestead.simulate import constants, fuel_stores, kernel
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.simulate.months import DAYS_OF_MONTH
from homestead.simulate.records import (
    COMFORT_REFUSED,
    ESSENTIAL_REFUSED,
    GENERATOR,
    NO_STORE,
    PV_AC,
    PV_DC,
    USEFUL_REFUSED,
    Flows,
)
from homestead.simulate.sources import kept_of
from homestead.simulate.trace import settled_start, years_with_deliveries
from homestead.vocabulary import MONTHS

LITERS_PER_M3 = 1000.0
UNLIMITED_W = 1e9
HALF_DARK_FRAC = 0.5  # of an hour's essential load; more of it missing and the house is dark


@dataclass(frozen=True)
class Year:
    """An average year with deliveries."""

    # energy in kWh, water in m³, fuel in liters and cords, hours, by the names of `as_dict`
    totals: dict
    # 12 rows; means of each `Flows` column's sum over the month; `Wh` and `m3`
    monthly: pd.DataFrame
    balance: dict  # largest hourly residual over the largest hourly throughput: power, water, heat
    # nominal, usable, essential_only: what is stored over what an average day needs; and
    # usable_by_month, of the twelve months
    sunless_days: dict
    fuel_used: dict  # store name to amount used in a year, in the store's own unit (m³ or kg)
    # shape (12 * 24, columns); mean hour of each month: MultiIndex (month, hour)
    hourly_means: pd.DataFrame
    # shape (days, tasks); hours of chores of each day of all weather years
    daily_work: pd.DataFrame
    # weather years in which the house stands dark for a whole day in spite of deliveries: year and
    # day from 0, and whether it is dark to the year's end
    dark: tuple[tuple[int, int, bool], ...] = ()


def year_of(hours):
    """Run all weather years in a row, with deliveries, and sum them to an average year."""
    trace = years_with_deliveries(hours)
    years_n = hours.years_n
    kept = kept_of(hours, trace.flows["rain_m3"].to_numpy())
    beside = {f"{name}_w": offered_w for name, offered_w in hours.sources.items()}
    beside |= {f"{name}_m3": kept_m3 for name, kept_m3 in kept.items()}
    at_end = trace.states[["inside_c", "battery_wh"]]
    sums = _by_month_and_hour(trace.flows)
    sums = sums.assign(**_by_month_and_hour(beside), **_by_month_and_hour(at_end))
    monthly = sums.drop(columns=at_end.columns).groupby(level=0).sum() / years_n
    totals = monthly.sum().to_dict()
    fuel_used = _fuel_used(hours, trace)
    wanted = {"pv_kwh": "pv_w", "used_kwh": "used_w", "curtailed_kwh": "curtailed_w"}
    figures = {name: totals[column] / 1000.0 for name, column in wanted.items()}
    for name in hours.sources:
        figures[f"{name}_kwh"] = totals[f"{name}_w"] / 1000.0
        figures["pv_kwh"] -= figures[f"{name}_kwh"]
    short = ("essential_short_w", "useful_short_w", "comfort_short_w")
    figures |= {
        "unserved_kwh": sum(totals[name] for name in short) / 1000.0,
        "generator_h": totals["generator_h"],
        "generator_fuel_kwh": totals["generator_fuel_w"] / 1000.0,
        "propane_l": _amount(hours.plan, fuel_used, "propane") * LITERS_PER_M3,
        "wood_cords": _cords(hours.plan, fuel_used),
        "well_m3": totals["pumped_m3"],
        **{f"{name}_m3": totals[f"{name}_m3"] for name in kept},
        "heat_kwh": totals["heat_w"] / 1000.0,
        "pump_kwh": totals["pump_w"] / 1000.0,
    }
    hours_n = np.repeat(DAYS_OF_MONTH, 24) * years_n
    return Year(
        totals=figures,
        monthly=monthly,
        balance=balance_of(hours, trace),
        sunless_days=_sunless(hours),
        dark=_dark(hours, trace),
        fuel_used=fuel_used,
        hourly_means=sums.div(hours_n, axis=0),
        daily_work=daily_work(hours, trace, delivered=True),
    )


def _by_month_and_hour(columns):
    """Sums over all years, DataFrame of shape (12 * 24, columns): by month and hour of the day.

    Year by year, so that no copy of all hours is made.
    """
    columns = pd.DataFrame(columns, copy=False)
    first_days = np.flatnonzero(np.diff(MONTH_OF_DAY, prepend=0))
    sums = np.zeros((12, 24, columns.shape[1]))
    for first in range(0, len(columns), DAYS_N * 24):
        year = columns.iloc[first : first + DAYS_N * 24].to_numpy()
        sums += np.add.reduceat(year.reshape(DAYS_N, 24, -1), first_days)
    hours = pd.MultiIndex.from_product([range(1, 13), range(24)])
    return pd.DataFrame(sums.reshape(12 * 24, -1), hours, columns.columns)


def brief_year_of(hours):
    """Sums of an average year with deliveries, by `Flows` field, without keeping the hours."""
    sums = sum(
        kernel.flows_by_month(
            year * DAYS_N,
            MONTH_OF_DAY,
            hours.rows,
            hours.fixed,
            hours.capacity_by_c,
            settled_start(hours, year),
            hours.fuel_start_wh,
        )[0].sum(axis=0)
        for year in range(hours.years_n)
    )
    return dict(zip(Flows._fields, (sums / hours.years_n).tolist(), strict=True))


def wanted_of(hours):
    """What the homestead would draw if power never ran short, array of shape (12, flows).

    Means of a year's months, in which the sun on the bus is without limit and nothing is shed: the
    same whatever arrays, batteries and generator the plan holds.
    """
    rows = hours.rows.copy(order="K")
    rows[:, [PV_DC, PV_AC, GENERATOR]] = (UNLIMITED_W, 0.0, 0.0)
    rows[:, [ESSENTIAL_REFUSED, USEFUL_REFUSED, COMFORT_REFUSED]] = 0.0
    fixed = hours.fixed._replace(
        former_w=UNLIMITED_W,
        inverter_efficiency_frac=1.0,
        bus_per_house=1.0,
        generator_store=NO_STORE,
        useful_below_frac=0.0,
        comfort_below_frac=0.0,
    )
    sums, _morning = kernel.flows_by_month(
        0,
        np.tile(MONTH_OF_DAY, hours.years_n),
        rows,
        fixed,
        hours.capacity_by_c,
        hours.start._replace(battery_wh=fixed.battery_wh),
        hours.fuel_start_wh,
    )
    return sums / hours.years_n


def _fuel_used(hours, trace):
    """Amount of each store used in an average year: what each day's end had to make up."""
    at_day_end = trace.fuel_wh[23::24]
    used_wh = (hours.fuel_start_wh - at_day_end).sum(axis=0) / hours.years_n
    return {
        fuel.name: float(wh) / fuel_stores.fuel_wh_per_unit(fuel)
        for fuel, wh in zip(hours.plan.fuels, used_wh, strict=True)
    }


def _amount(plan, fuel_used, kind):
    return sum(fuel_used[fuel.name] for fuel in plan.fuels if fuel.fuel == kind)


def _cords(plan, fuel_used):
    return float(units.convert_unit(_amount(plan, fuel_used, "cordwood"), "m^3", "cord"))


def _sunless(hours):
    """Days without any sun: stored energy over what an average day needs from the battery."""
    plan, fixed = hours.plan, hours.fixed
    months = {name: 0.0 for name in MONTHS}
    if plan.battery is None:
        return {"nominal": 0.0, "usable": 0.0, "essential_only": 0.0, "usable_by_month": months}
    wanted = dict(zip(Flows._fields, wanted_of(hours).T, strict=True))
    at_bus = fixed.inverter_efficiency_frac
    nominal_wh = plan.battery.modules_n * plan.battery.module_wh
    usable_wh = fixed.battery_wh * fixed.discharge_depth_frac * fixed.discharge_efficiency_frac

    def daily_wh(by_month):
        return np.maximum(by_month / at_bus + fixed.idle_w * 24.0 * DAYS_OF_MONTH, 1.0)

    used_wh = daily_wh(wanted["used_w"])
    least_wh = daily_wh(wanted["essential_w"] + wanted["blower_w"] + wanted["pump_w"])
    mean_wh, least_mean_wh = used_wh.sum() / DAYS_N, least_wh.sum() / DAYS_N
    return {
        "nominal": float(cells.autonomy_days(nominal_wh, mean_wh)),
        "usable": float(cells.autonomy_days(usable_wh, mean_wh)),
        "essential_only": float(cells.autonomy_days(usable_wh, least_mean_wh)),
        "usable_by_month": {
            name: float(cells.autonomy_days(usable_wh, wh))
            for name, wh in zip(MONTHS, used_wh / DAYS_OF_MONTH, strict=True)
        },
    }


def _dark(hours, trace):
    """First day of each weather year that is dark for 24 hours in a row in spite of deliveries.

    Gives tuple of (int, int, bool): Weather year and day of it, both from 0, and whether it is
        still dark when the year ends.
    """
    dark = (trace.flows["dark_frac"].to_numpy() > HALF_DARK_FRAC).reshape(hours.years_n, -1)
    found = []
    for year, row in enumerate(dark):
        lit = np.flatnonzero(np.concatenate([[True], ~row, [True]]))
        runs = np.diff(lit) - 1
        long = np.flatnonzero(runs >= 24)
        if len(long):
            found.append((year, int(lit[long[0]]) // 24, bool(runs[-1] >= 24)))
    return tuple(found)


def residuals_of(hours, trace):
    """Hourly in minus out minus change of store, for power, water and heat.

    Gives dict of (residual, throughput) arrays: [Wh] for power and heat, [m³] for water.
    """
    fixed, flows, change = hours.fixed, trace.flows, trace.change
    power_in = flows.pv_w + flows.generator_w
    power_out = flows.used_w + flows.idle_w + flows.curtailed_w + flows.conversion_loss_w
    water_in = flows.rain_m3 + flows.inflow_m3
    water_out = flows.delivered_m3 + flows.garden_m3
    water_kept = change("cistern_m3") + change("tank_m3") + change("casing_m3")
    heat_in = flows.gain_w + flows.heat_w
    heat_out = flows.vented_w + flows.cooled_w + flows.lost_w
    heat_kept = change("inside_c") * constants.heat_capacity_wh_k(hours.plan)
    return {
        "power": (power_in - power_out - change("battery_wh"), power_in + fixed.battery_wh),
        "water": (water_in - water_out - water_kept, water_in + water_out + fixed.cistern_m3),
        "heat": (heat_in - heat_out - heat_kept, heat_in + flows.lost_w.abs()),
    }


def balance_of(hours, trace):
    """Largest hourly residual over the largest throughput: power, water, heat."""
    return {
        f"{name}_residual_frac": float(
            np.abs(residual).max() / max(float(np.abs(through).max()), 1e-12)
        )
        for name, (residual, through) in residuals_of(hours, trace).items()
    }
