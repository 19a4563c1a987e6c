"""Hot water and summer cooling by month: heat, fuel, electricity, and the damp in the air."""

import math

import numpy as np
import pandas as pd

from homestead.formulas.warmth import cooling, hot_water
from homestead.simulate import fuel_stores
from homestead.trades.warmth.study_warmth import MONTHS, by_month


def hot_water_by_month(hours):
    """Energy of hot water for a day in each month, by what gives it.

    Gives DataFrame of 12 rows: draw_wh, standby_wh, preheat_wh (from sun or wood), input_wh (fuel
        or electricity of the heater itself), fuel_amount (unit of the store; nan for electricity),
        electric_wh, preheat_fuel_wh (wood for a coil), all a day. All 0 without hot water in the
        plan.
    """
    hot, plan = hours.plan.hot_water, hours.plan
    columns = "draw_wh standby_wh preheat_wh input_wh fuel_amount electric_wh preheat_fuel_wh"
    table = pd.DataFrame(0.0, index=MONTHS, columns=columns.split())
    if hot is None:
        return table
    days_n = by_month(hours, np.full(len(hours.rows), 1.0 / 24.0))
    draw_wh = by_month(hours, hours.column("hot_water_w")) / days_n
    preheat_frac = np.where(np.isin(MONTHS, hot.preheat_months), hot.preheat_frac, 0.0)
    standby_wh = hot.standby_w * 24.0
    input_wh = hot_water.water_heater_input_wh(
        draw_wh.to_numpy(), standby_wh, hot.efficiency_frac, preheat_frac
    )
    coil = next((heater for heater in plan.heaters if heater.name == hot.preheat_heater), None)
    store = plan.fuel_named(hot.store)
    preheat_wh = draw_wh * preheat_frac
    return table.assign(
        draw_wh=draw_wh,
        standby_wh=standby_wh,
        preheat_wh=preheat_wh,
        input_wh=input_wh,
        fuel_amount=input_wh / fuel_stores.fuel_wh_per_unit(store) if store else math.nan,
        electric_wh=0.0 if store else input_wh,
        preheat_fuel_wh=preheat_wh / coil.efficiency_frac if coil else 0.0,
    )


def cooling_by_month(hours, trace):
    """Cooling in each month of an average year: sensible, latent, electricity.

    Gives DataFrame of 12 rows: running_h (hours in which it ran at all); full_load_h (hours at full
        power that come to the same electricity); sensible_wh (that the rooms needed and got);
        latent_wh (that came out of the air as water with it); electric_wh. All 0 without cooling in
        the plan.
    """
    cool = hours.plan.cooling
    columns = "running_h full_load_h sensible_wh latent_wh electric_wh".split()
    if cool is None:
        return pd.DataFrame(0.0, index=MONTHS, columns=columns)
    electric_w = trace.flows["cooling_w"].to_numpy()
    electric_wh = by_month(hours, electric_w)
    sensible_wh = by_month(hours, trace.flows["cooled_w"].to_numpy())
    cop = float(cooling.cooling_cop(cool.seer))
    return pd.DataFrame(
        {
            "running_h": by_month(hours, electric_w > 0),
            "full_load_h": electric_wh * cop / cool.capacity_w,
            "sensible_wh": sensible_wh,
            "latent_wh": electric_wh * cop - sensible_wh,
            "electric_wh": electric_wh,
        }
    )
