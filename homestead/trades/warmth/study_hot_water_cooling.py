"""Hot water and summer cooling by month: heat, fuel, electricity, and the damp in the air."""

import math

import numpy as np
import pandas as pd

from homestead import reference, weather
from homestead.formulas.warmth import cooling, hot_water
from homestead.formulas.water import evapotranspiration
from homestead.simulate import constants
from homestead.simulate.inputs import read_weather
from homestead.trades.warmth.study_warmth import MONTHS, air_m3, by_month


def hot_water_by_month(hours):
    """Energy of hot water for a day in each month, by what gives it.

    Returns
    -------
    DataFrame of 12 rows
        draw_wh, standby_wh, preheat_wh (from sun or wood), input_wh (fuel or electricity of the
        heater itself), fuel_amount (unit of the store; nan for electricity), electric_wh,
        preheat_fuel_wh (wood for a coil), all a day. All 0 without hot water in the plan.
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
    coil = next((one for one in plan.heaters if one.name == hot.preheat_heater), None)
    store = plan.fuel_named(hot.store)
    preheat_wh = draw_wh * preheat_frac
    return table.assign(
        draw_wh=draw_wh,
        standby_wh=standby_wh,
        preheat_wh=preheat_wh,
        input_wh=input_wh,
        fuel_amount=input_wh / constants.fuel_wh_per_unit(store) if store else math.nan,
        electric_wh=0.0 if store else input_wh,
        preheat_fuel_wh=preheat_wh / coil.efficiency_frac if coil else 0.0,
    )


def cooling_by_month(hours, trace):
    """Cooling in each month of an average year: sensible, latent, electricity.

    Returns
    -------
    DataFrame of 12 rows
        running_h; sensible_wh (that the rooms needed and got); latent_wh by the plan's sensible
        share; latent_by_humidity_wh (outdoor air that leaks in while it runs, and people, from
        the weather's humidity; nan where the file has none); electric_wh by SEER for sensible and
        latent heat together. All 0 without cooling in the plan.
    """
    cool = hours.plan.cooling
    columns = "running_h sensible_wh latent_wh latent_by_humidity_wh electric_wh".split()
    if cool is None:
        return pd.DataFrame(0.0, index=MONTHS, columns=columns)
    cooled_w = trace.flows["cooled_w"].to_numpy()
    sensible_wh = by_month(hours, cooled_w)
    total_wh = cooling.total_cooling_wh(sensible_wh.to_numpy(), cool.sensible_frac)
    runs = cooled_w > 0
    return pd.DataFrame(
        {
            "running_h": by_month(hours, runs),
            "sensible_wh": sensible_wh,
            "latent_wh": total_wh - sensible_wh,
            "latent_by_humidity_wh": by_month(hours, np.where(runs, latent_w(hours), 0.0)),
            "electric_wh": cooling.cooling_electric_wh(total_wh, cool.seer),
        }
    )


def latent_w(hours):
    """Latent load of leaks and people in each hour; nan where the weather has no humidity. [W]."""
    plan = hours.plan
    measured = read_weather(plan)
    if "humidity_frac" not in measured.hourly:
        return np.full(len(hours.rows), math.nan)
    years = weather.many_years(measured, hours.years_n, plan.site.seed_n)
    humidity_frac = np.concatenate([one.hourly["humidity_frac"].to_numpy() for one in years])
    pressure_pa = evapotranspiration.air_pressure_pa(max(measured.site.elevation_m, 0.0))
    outdoors = cooling.humidity_ratio(hours.column("air_c"), humidity_frac, pressure_pa)
    room_frac = reference.value("moist_air", "room in summer", "humidity", "")
    room = cooling.humidity_ratio(plan.cooling.cool_to_c, room_frac, pressure_pa)
    flow_m3s = air_m3(plan) * plan.house.air_changes_h / 3600.0
    leaks_w = np.maximum(cooling.air_latent_w(flow_m3s, outdoors - room), 0.0)
    return leaks_w + len(plan.people) * reference.value("moist_air", "person", "latent_heat", "W")
