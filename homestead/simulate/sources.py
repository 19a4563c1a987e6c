"""Running water and wind as hourly inputs of the coupled hour.

They join the two columns of power that arrays fill, on the battery side or on the house side, and
cost nothing in a plan without them.
"""

import numpy as np

from homestead.formulas.power import hydro, wind
from homestead.formulas.water import evapotranspiration, hydraulics
from homestead.simulate.records import MONTH_OF_DAY


def power_sources(plan, year):
    """Hourly power of every source but the sun in one weather year, after its converter.

    Returns
    -------
    dict of str to (str, float array of shape (hours,))
        Name to coupling, ``"dc"`` or ``"ac"``, and power. [W]
    """
    found = {}
    if plan.hydro:
        found["hydro"] = (plan.hydro.coupling, by_hour(hydro_by_month_w(plan.hydro)))
    if plan.wind:
        found["wind"] = (plan.wind.coupling, wind_w(plan.wind, year))
    return found


def by_hour(by_month):
    """Twelve amounts, January first, as one for each hour of a year."""
    return np.repeat(np.asarray(by_month)[MONTH_OF_DAY - 1], 24)


def hydro_flow_m3s(plant):
    """Flow that the turbine uses in each month, array of shape (12,).

    Never more than turbine and pipe can make use of: who opens the nozzle further loses power.
    """
    best = hydro.best_flow_m3s(
        plant.head_m, plant.pipe_inside_m, plant.pipe_length_m, plant.hazen_williams
    )
    flow_m3s = np.minimum(np.asarray(plant.flow_m3s), min(plant.most_flow_m3s, float(best)))
    return np.where(flow_m3s >= plant.least_flow_m3s, flow_m3s, 0.0)


def hydro_friction_m(plant, flow_m3s):
    """Head lost in the pipe of a hydro plant. [m]."""
    return hydraulics.friction_head_hazen_williams_m(
        flow_m3s, plant.pipe_inside_m, plant.pipe_length_m, plant.hazen_williams
    )


def hydro_by_month_w(plant):
    """Power of a hydro plant after its converter in each month, array of shape (12,). [W]."""
    flow_m3s = hydro_flow_m3s(plant)
    made_w = hydro.hydro_w(
        flow_m3s, plant.head_m, hydro_friction_m(plant, flow_m3s), plant.efficiency_frac
    )
    return np.minimum(made_w, plant.limit_w) * plant.converter_efficiency_frac


def wind_w(turbine, year):
    """Power of a wind turbine after its converter in one weather year, by hour. [W]."""
    weather = year.hourly
    speed_m_s = wind.wind_at_height_m_s(
        weather["wind_m_s"].to_numpy(), turbine.measured_m, turbine.tower_m, turbine.shear
    )
    pressure_pa = evapotranspiration.air_pressure_pa(year.site.elevation_m)
    density_kg_m3 = wind.air_density_kg_m3(pressure_pa, weather["air_c"].to_numpy())
    made_w = wind.turbine_w(speed_m_s, density_kg_m3, *turbine.curve_points)
    return made_w * (1.0 - turbine.lost_frac) * turbine.converter_efficiency_frac
