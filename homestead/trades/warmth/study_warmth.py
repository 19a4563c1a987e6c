"""Warmth looked at closely: shell, gains, design day, a year's need two ways, heaters in order.

Plain tables for views, energies in Wh. Months run from 1 to 12 and are those of an average
year. Cool
down, fuel stores, and hot water with cooling have modules of their own.
"""

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead.formulas.warmth import cool_down as cooling_down
from homestead.formulas.warmth import heat
from homestead.simulate import constants, fuel_stores, heaters, months
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.simulate.trace import years_with_deliveries

MONTHS = pd.RangeIndex(1, months.MONTHS_N + 1, name="month")
AIR_LEAKS = "air leaks"
COLDEST_BASE_C = -50.0  # end of the range of degree-hours


def delivered_trace(hours):
    """Every hour of all weather years with stores made up daily; shared by the studies."""
    return years_with_deliveries(hours)


def month_of_hours(hours):
    """Month of each hour of all weather years, int array of shape (hours,)."""
    return np.tile(np.repeat(MONTH_OF_DAY, 24), hours.years_n)


def by_month(hours, values):
    """Sum of hourly values over each month of an average year, Series of 12."""
    return pd.Series(months.by_month(values, hours.years_n), index=MONTHS)


def part_loss_w_k(part):
    """Loss of one part of the shell for each kelvin to outdoors. [W/K]."""
    return float(
        heat.envelope_part_w_k(
            part.area_m2,
            part.r_m2k_w,
            part.kind,
            part.temperature_frac,
            part.edge_m,
            part.edge_insulation,
        )
    )


def shell(plan):
    """Loss of the house by part: which part of the shell to look at first.

    Gives DataFrame: Index: the part's name, air leaks last. Columns: kind, area_m2, r_m2k_w,
        loss_w_k, share_frac. Area and resistance are nan where the loss is not taken by them.
    """
    rows = {}
    for part in plan.envelope:
        by_edge = part.edge_m > 0
        rows[part.name] = {
            "kind": part.kind,
            "area_m2": math.nan if by_edge else part.area_m2,
            "r_m2k_w": math.nan if by_edge else part.r_m2k_w,
            "loss_w_k": part_loss_w_k(part),
        }
    leaks_w_k = float(heat.infiltration_w_k(air_m3(plan), plan.house.air_changes_h))
    rows[AIR_LEAKS] = {
        "kind": "outside",
        "area_m2": math.nan,
        "r_m2k_w": math.nan,
        "loss_w_k": leaks_w_k,
    }
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("part")
    return table.assign(share_frac=table["loss_w_k"] / table["loss_w_k"].sum())


def air_m3(plan):
    """Volume of the heated rooms. [m3]."""
    return plan.house.floor_m2 * plan.house.ceiling_m


def loss_w_k(plan):
    """Loss of the whole house for each kelvin to outdoors. [W/K]."""
    return float(shell(plan)["loss_w_k"].sum())


def time_constant_h(plan):
    """Time in which the unheated house gives up 63 % of its warmth over outdoors. [h]."""
    return float(cooling_down.time_constant_h(constants.heat_capacity_wh_k(plan), loss_w_k(plan)))


def gains_by_month(hours, trace):
    """Heat of sun, people and appliances by month of an average year, Series of 12. [Wh]."""
    flows = trace.flows
    served_w = flows["essential_w"] + flows["useful_w"] + flows["comfort_w"]
    gains_w = hours.column("sun_gain_w") + hours.column("people_w")
    return by_month(hours, gains_w + served_w.to_numpy() * hours.fixed.appliance_heat_frac)


@dataclass(frozen=True)
class DesignDay:
    """The loss that heaters are sized for."""

    # Outdoor design temperature, and the coldest hour of the weather. [degC].
    design_c: float
    coldest_c: float
    # Whether the plan gives the design temperature; else 99 % of the weather's hours are warmer.
    is_entered: bool
    # Loss of the house at the two, no gains counted. [W].
    loss_w: float
    coldest_loss_w: float
    # Index: name, in the order of use. Columns: output_w at the design temperature, ratio_frac (of
    # the loss, alone), together_frac (with those before it), needs_power.
    heaters: pd.DataFrame


def design_c_of(plan, hours):
    """Outdoor design temperature: the plan's, or 99 % of the weather's hours are warmer. [degC]."""
    if plan.house.design_c is not None:
        return plan.house.design_c
    return float(heat.heating_design_c(hours.column("air_c")))


def design_day(hours):
    """Loss on the design day, and how the heaters compare with it.

    Gives DesignDay.
    """
    plan = hours.plan
    design_c = design_c_of(plan, hours)
    coldest_c = float(hours.column("air_c").min())
    loss_w = float(heat.design_heat_loss_w(loss_w_k(plan), plan.house.keep_c, design_c))
    coldest_w = float(heat.design_heat_loss_w(loss_w_k(plan), plan.house.keep_c, coldest_c))
    outputs_w = np.array([float(heaters.limit_w_of(heater, design_c)) for heater in plan.heaters])
    least_w = max(loss_w, 1.0)  # a place so mild that its design day needs nothing
    table = pd.DataFrame(
        {
            "output_w": outputs_w,
            "ratio_frac": heat.heater_sizing_ratio(outputs_w, least_w),
            "together_frac": heat.heater_sizing_ratio(outputs_w.cumsum(), least_w),
            "needs_power": [heaters.needs_power(heater) for heater in plan.heaters],
        },
        index=pd.Index([heater.name for heater in plan.heaters], name="heater"),
    )
    entered = plan.house.design_c is not None
    return DesignDay(design_c, coldest_c, entered, loss_w, coldest_w, table)


@dataclass(frozen=True)
class YearNeed:
    """Heat of an average year, hour by hour and by degree-days from the same weather."""

    # Columns: hourly_wh (heaters, hour by hour), gain_w (mean), base_c (balance temperature of that
    # month), degree_days_k below it, degree_day_wh.
    months: pd.DataFrame
    # From the degree-day figure to the hourly one, Wh a year: steps whose sum with the first is the
    # last.
    bridge: pd.Series


BY_DEGREE_DAYS = "by degree-days, base set by each month's gains"
BY_THE_HOUR = "hour by hour"


def year_need(hours, trace):
    """Heat of an average year two ways, and what makes the difference.

    Gives YearNeed.

    Degree-days take the mean of a day and the mean gain of a month. The hours differ since a day
    may cross the base, since sun comes when no heat is needed, since rooms may fall below the
    thermostat, and since walls carry warmth from a warm hour to a cold one. The step for cold
    rooms is the loss saved by each hour's end below the thermostat; mass and windows take the
    rest, so the steps always add up.
    """
    plan, loss = hours.plan, loss_w_k(hours.plan)
    air_c, keep_c = hours.column("air_c"), plan.house.keep_c
    hours_n = by_month(hours, np.ones(len(air_c)))
    gain_w = gains_by_month(hours, trace) / hours_n
    base_c = np.maximum(heat.balance_temperature_c(keep_c, gain_w.to_numpy(), loss), COLDEST_BASE_C)
    daily_c = air_c.reshape(-1, 24).mean(axis=1)
    month_of_day = np.tile(MONTH_OF_DAY, hours.years_n)
    days_k = np.array(
        [
            heat.degree_hours_k(daily_c[month_of_day == month], base)
            for month, base in zip(MONTHS, base_c, strict=True)
        ]
    )
    days_k /= hours.years_n
    table = pd.DataFrame(
        {
            "hourly_wh": by_month(hours, trace.flows["heat_w"]),
            "gain_w": gain_w,
            "base_c": base_c,
            "degree_days_k": days_k,
            "degree_day_wh": heat.seasonal_heat_wh(loss, days_k),
        }
    )
    base_by_hour_c = base_c[month_of_hours(hours) - 1]
    per_year = loss / hours.years_n
    by_hour_wh = float(np.maximum(base_by_hour_c - air_c, 0.0).sum() * per_year)
    free_k = keep_c - air_c - trace.flows["gain_w"].to_numpy() / loss
    no_mass_wh = float(np.maximum(free_k, 0.0).sum() * per_year)
    cold_k = np.maximum(keep_c - trace.states["inside_c"].to_numpy(), 0.0)
    cold_wh = float(cold_k.sum() * per_year)
    degree_day_wh, hourly_wh = table["degree_day_wh"].sum(), table["hourly_wh"].sum()
    bridge = {
        BY_DEGREE_DAYS: degree_day_wh,
        "days that cross the base": by_hour_wh - degree_day_wh,
        "gains that come when no heat is needed": no_mass_wh - by_hour_wh,
        "rooms below the thermostat": -cold_wh,
        "warmth that mass carries over": hourly_wh - no_mass_wh + cold_wh,
        BY_THE_HOUR: hourly_wh,
    }
    return YearNeed(table, pd.Series(bridge, name="heat_wh", dtype=float))


def heaters_by_month(hours, trace):
    """Heat, fuel and electricity of each heater in each month of an average year.

    Gives DataFrame: Index: heater, month. Columns: heat_wh, fuel_wh, fuel_amount (unit of the
        store, m3 or kg; nan for electricity), electric_wh, running_h (hours with any heat from it).
    """
    air_c = hours.column("air_c")
    tables = {}
    for heater, given_w in heaters.shared_out(hours.plan, trace.flows["heat_w"], air_c):
        bought_w = given_w / heaters.cop_of(heater, air_c)
        electric_w = given_w * (heater.electric_w / heater.output_w)
        store = hours.plan.fuel_named(heater.store)
        if store is None:
            electric_w = electric_w + bought_w
        fuel = by_month(hours, bought_w if store else 0.0 * bought_w)
        per_unit = fuel_stores.fuel_wh_per_unit(store) if store else math.nan
        tables[heater.name] = pd.DataFrame(
            {
                "heat_wh": by_month(hours, given_w),
                "fuel_wh": fuel,
                "fuel_amount": fuel / per_unit,
                "electric_wh": by_month(hours, electric_w),
                "running_h": by_month(hours, given_w > 0),
            }
        )
    if not tables:
        columns = ["heat_wh", "fuel_wh", "fuel_amount", "electric_wh", "running_h"]
        empty = pd.MultiIndex.from_arrays([[], []], names=["heater", "month"])
        return pd.DataFrame(columns=columns, index=empty, dtype=float)
    return pd.concat(tables, names=["heater", "month"])
