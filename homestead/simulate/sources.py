"""Running water and wind as hourly inputs of the coupled hour.

Power joins the two columns that arrays fill, on the battery side or on the house side; water joins
the rain that runs into the cistern. A plan without them costs nothing more.
"""

import numpy as np

from homestead.formulas.power import hydro, wind
from homestead.formulas.water import evapotranspiration, hydraulics, springs
from homestead.simulate.records import MONTH_OF_DAY

SECONDS_PER_HOUR = 3600.0  # definition


def power_sources(plan, year):
    """Hourly power of every source but the sun in one weather year, after its converter.

    Gives dict of str to (str, float array of shape (hours,)): Name to coupling, ``"dc"`` or
        ``"ac"``, and power. [W]
    """
    found = {}
    if plan.hydro:
        found["hydro"] = (plan.hydro.coupling, by_hour(hydro_by_month_w(plan.hydro)))
    if plan.wind:
        found["wind"] = (plan.wind.coupling, wind_w(plan.wind, year))
    return found


def water_sources(plan):
    """Hourly water of each source but roof and well in a year, into the cistern.

    Gives dict of str to float array of shape (hours,): Such as ``"spring"``. [m³].
    """
    found = {}
    if plan.spring and plan.spring.leads_to == "cistern":
        found["spring"] = by_hour(plan.spring.flow_m3s) * SECONDS_PER_HOUR
    if plan.ram_pump:
        found["ram_pump"] = by_hour(ram_by_month_m3s(plan)) * SECONDS_PER_HOUR
    return found


def inflow_by_month_m3s(plan):
    """Spring and ram pump together by month, array of shape (12,), or None without either."""
    found = []
    if plan.spring and plan.spring.leads_to == "cistern":
        found.append(np.asarray(plan.spring.flow_m3s))
    if plan.ram_pump:
        found.append(ram_by_month_m3s(plan))
    return sum(found) if found else None


def kept_of(hours, kept_m3):
    """What the cistern kept of each hour's inflow, by source; in proportion where it overflows.

    kept_m3 (float array of shape (hours,)) : Of all sources together, for the same hours as in
        `hours`.
    Gives dict of str to float array of shape (hours,): ``"rain"``, and each of the inflows. [m³].
    """
    offered_m3 = hours.column("rain_m3")
    share = np.divide(kept_m3, offered_m3, out=np.zeros(len(offered_m3)), where=offered_m3 > 0)
    found = {name: share * inflow_m3 for name, inflow_m3 in hours.inflows.items()}
    rain_m3 = kept_m3 - sum(found.values()) if hours.plan.rain else np.zeros(len(kept_m3))
    return {"rain": rain_m3} | found


def ram_drive_m3s(plan):
    """Flow that drives the ram pump in each month, array of shape (12,). [m³/s]."""
    ram = plan.ram_pump
    supply = ram.stream_m3s if ram.stream_m3s is not None else plan.spring.flow_m3s
    drive = np.minimum(np.asarray(supply), ram.most_drive_m3s)
    return np.where(drive >= ram.least_drive_m3s, drive, 0.0)


def ram_by_month_m3s(plan):
    """Flow that the ram pump lifts in each month, array of shape (12,). [m³/s]."""
    ram = plan.ram_pump
    return springs.ram_flow_m3s(ram_drive_m3s(plan), ram.fall_m, ram.lift_m, ram.efficiency_frac)


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
