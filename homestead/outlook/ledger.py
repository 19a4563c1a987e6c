"""The year with deliveries: what the homestead makes, uses, burns and draws in a mean year.

Fuel, feed and food are made up at each day's end, so the sums are what a year costs. Also owns the
balances that must close every hour.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import units
from homestead.formulas.power import battery as cells
from homestead.simulate import constants, kernel
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.simulate.records import Flows
from homestead.simulate.trace import trace_of

LITRES_PER_M3 = 1000.0


@dataclass(frozen=True)
class Year:
    """A mean year with deliveries.

    Attributes
    ----------
    totals : dict
        Energy in kWh, water in m³, fuel in litres and cords, hours, by the names of `as_dict`.
    monthly : DataFrame of 12 rows
        Means of each `Flows` column's sum over the month; `Wh` and `m3`.
    balance : dict
        Largest hourly residual over the largest hourly throughput: power, water, heat.
    sunless_days : dict
        nominal, usable, essential_only.
    fuel_used : dict
        Store name to amount used in a year, in the store's own unit (m³ or kg).
    hourly_means : DataFrame of shape (12 * 24, columns)
        Mean hour of each month: MultiIndex (month, hour).
    """

    totals: dict
    monthly: pd.DataFrame
    balance: dict
    sunless_days: dict
    fuel_used: dict
    hourly_means: pd.DataFrame


def year_of(hours):
    """Run all weather years in a row, with deliveries, and sum them to a mean year."""
    trace = trace_of(hours, delivered=True)
    flows, years_n = trace.flows, hours.years_n
    month = np.tile(np.repeat(MONTH_OF_DAY, 24), years_n)
    hour = np.tile(np.arange(24), len(flows) // 24)
    monthly = flows.groupby(month).sum() / years_n
    totals = {name: float(value) for name, value in (flows.sum() / years_n).items()}
    fuel_used = _fuel_used(hours, trace)
    wanted = {"pv_kwh": "pv_w", "used_kwh": "used_w", "curtailed_kwh": "curtailed_w"}
    figures = {name: totals[column] / 1000.0 for name, column in wanted.items()}
    short = ("essential_short_w", "useful_short_w", "comfort_short_w")
    figures |= {
        "unserved_kwh": sum(totals[name] for name in short) / 1000.0,
        "generator_h": totals["generator_h"],
        "generator_fuel_kwh": totals["generator_fuel_w"] / 1000.0,
        "propane_l": _amount(hours.plan, fuel_used, "propane") * LITRES_PER_M3,
        "wood_cords": _cords(hours.plan, fuel_used),
        "well_m3": totals["pumped_m3"],
        "rain_m3": totals["rain_m3"],
        "heat_kwh": totals["heat_w"] / 1000.0,
        "pump_kwh": totals["pump_w"] / 1000.0,
    }
    means = flows.assign(inside_c=trace.states["inside_c"], battery_wh=trace.states["battery_wh"])
    return Year(
        totals=figures,
        monthly=monthly,
        balance=balance_of(hours, trace),
        sunless_days=_sunless(hours, totals),
        fuel_used=fuel_used,
        hourly_means=means.groupby([month, hour]).mean(),
    )


def brief_year_of(hours):
    """Yearly sums of a mean year with deliveries, by `Flows` field, without keeping the hours."""
    sums = kernel.yearly_sums(
        hours.years_n * DAYS_N,
        hours.rows,
        hours.fixed,
        hours.capacity_by_c,
        hours.start,
        hours.fuel_start_wh,
    )
    return dict(zip(Flows._fields, (sums / hours.years_n).tolist(), strict=True))


def _fuel_used(hours, trace):
    """Amount of each store used in a mean year: what each day's end had to make up."""
    at_day_end = trace.fuel_wh[23::24]
    used_wh = (hours.fuel_start_wh - at_day_end).sum(axis=0) / hours.years_n
    return {
        fuel.name: float(wh) / constants.fuel_wh_per_unit(fuel)
        for fuel, wh in zip(hours.plan.fuels, used_wh, strict=True)
    }


def _amount(plan, fuel_used, kind):
    return sum(fuel_used[fuel.name] for fuel in plan.fuels if fuel.fuel == kind)


def _cords(plan, fuel_used):
    return float(units.convert_unit(_amount(plan, fuel_used, "cordwood"), "m^3", "cord"))


def _sunless(hours, totals):
    """Days without any sun: stored energy over the mean day's draw on the battery."""
    plan, fixed = hours.plan, hours.fixed
    if plan.battery is None:
        return {"nominal": 0.0, "usable": 0.0, "essential_only": 0.0}
    idle_wh = totals["idle_w"] / DAYS_N
    essential_wh = (totals["essential_w"] + totals["blower_w"] + totals["pump_w"]) / DAYS_N
    used_wh = totals["used_w"] / DAYS_N
    nominal_wh = plan.battery.modules_n * plan.battery.module_wh
    usable_wh = fixed.battery_wh * fixed.discharge_depth_frac * fixed.discharge_efficiency_frac
    at_bus = fixed.inverter_efficiency_frac
    daily_wh = max(used_wh / at_bus + idle_wh, 1.0)
    return {
        "nominal": float(cells.autonomy_days(nominal_wh, daily_wh)),
        "usable": float(cells.autonomy_days(usable_wh, daily_wh)),
        "essential_only": float(
            cells.autonomy_days(usable_wh, max(essential_wh / at_bus + idle_wh, 1.0))
        ),
    }


def residuals_of(hours, trace):
    """Hourly in minus out minus change of store, for power, water and heat.

    Returns
    -------
    dict of (residual, throughput) arrays
        [Wh] for power and heat, [m³] for water.
    """
    fixed, flows, states = hours.fixed, trace.flows, trace.states

    def change(name):
        values = states[name].to_numpy()
        return np.diff(values, prepend=getattr(hours.start, name))

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
