"""A closer look at the well, its pump, the pressure tank and the busiest two hours.

Works from the plan and the hourly inputs; needs no run of the coupled hour. What goes through the
year stands in `homestead.trades.water.study_water`. Figures in SI, energy in Wh.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pandas as pd

from homestead import reference, units
from homestead.formulas.water import evapotranspiration, hydraulics, pumps, wells
from homestead.formulas.water import pressure_tank as tanks
from homestead.simulate import water_supply
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY, weather_named
from homestead.simulate.steps import Step

HIGHEST_SITE_M = 5000.0  # limit of the formula of mean air pressure
RECOVERED_FRAC = 0.9  # what counts as recovered; project choice
WARM_AIR_C = 25.0  # animals where no weather is at hand; project choice: heat makes them drink
CURVE_POINTS_N = 25


@dataclass(frozen=True)
class WellLook:
    """What the driller's log says and what follows."""

    # As entered; `drawdown_m` is None where the log does not tell it.
    depth_m: float
    static_level_m: float
    yield_m3s: float
    drawdown_m: float | None
    specific_capacity_m2_s: float | None  # yield over drawdown. [m³/s per m]
    # Ground to the water at the pump's flow (at the tested yield without a pump). [m].
    pumping_level_m: float
    pump_depth_m: float | None
    column_m: float  # resting water above the pump, or above the bottom without one. [m]
    casing_m3: float  # water in that column
    recovery_h: float  # hours to fill the column again at the tested yield; infinite for no yield
    # Hours until 90 % of a drawdown has come back, by the specific capacity.
    level_recovery_h: float | None
    # Hours of steady pumping until the level is at the pump; infinite where the yield keeps up.
    dry_after_h: float


@dataclass(frozen=True)
class PumpLook:
    """The well pump at work."""

    point: water_supply.PumpPoint  # flow, head and the parts of the head
    # Columns: part, head_m, how: lift, drawdown, pipe, fittings, pressure, and their sum.
    head_parts: pd.DataFrame
    # Friction by Darcy-Weisbach over that by Hazen-Williams; nan without friction.
    darcy_over_hazen_frac: float
    # Power in the water, and from the wire.
    hydraulic_w: float
    electric_w: float
    wire_to_water_frac: float  # as entered
    # Band of field tests.
    plausible_low_frac: float
    plausible_high_frac: float
    energy_wh_m3: float  # electric energy to lift and press a cubic meter, the well at this flow
    # Columns: flow_m3s, pump_head_m (nan without a curve) and system_head_m, for a figure.
    curves: pd.DataFrame


@dataclass(frozen=True)
class TankLook:
    """The pressure tank and the pump's starts."""

    volume_m3: float
    precharge_pa: float
    cut_in_pa: float
    cut_out_pa: float
    atmosphere_pa: float  # mean air pressure of the site
    drawdown_m3: float  # water between the pump's stop and its next start, at the site
    drawdown_sea_level_m3: float  # the same at sea level, to show what altitude does
    run_s: float  # shortest run: the pump fills the drawdown while nobody draws; nan without a pump
    least_run_s: float  # the rule for a motor of its size; nan without a pump
    starts_day_n: float  # at most, on a day of the busiest month; nan without a pump
    # Level above which a motor of its size may wear early; nan without a pump.
    starts_limit_n: float
    size_wanted_m3: float  # tank that would give the least run; nan without a pump


# Three digits at most: yield and use are estimates.
TWO_HOURS = (
    "In two hours all your water sources together, any cistern full, could give {available_m3:3}. "
    "People and animals use {wanted_m3:3} on a busy day, not counting the garden."
)


@dataclass(frozen=True)
class PeakLook:
    """The two-hour rule: a day's water for house and animals drawn within two hours."""

    wanted_m3: float  # household and animals on a day of the busiest month
    from_well_m3: float  # casing and inflow, as far as pump or hand can lift it in that time
    from_tank_m3: float
    from_cistern_m3: float
    available_m3: float
    is_met: bool


def atmosphere_pa(plan):
    """Mean air pressure at the elevation of the plan's weather. [Pa]."""
    name, folder = plan.site.weather, plan.folder
    path = folder / name if folder else None
    stamp = path.stat().st_mtime_ns if path is not None and path.is_file() else None
    elevation_m = min(_elevation_m(name, folder, stamp), HIGHEST_SITE_M)
    return float(evapotranspiration.air_pressure_pa(elevation_m))


@lru_cache(maxsize=8)
def _elevation_m(name, folder, stamp):
    """Elevation of a weather file, read once for each state of the file."""
    return weather_named(name, folder).site.elevation_m


def busiest_day_m3(plan, hours=None):
    """Household and animals in the month in which they use most, mean of its days. [m³/day].

    Without `hours` the animals are taken on a day of 25 deg C.
    """
    if hours is None:
        animals = float(water_supply.animals_m3_day(plan, WARM_AIR_C))
        return water_supply.household_m3_day(plan) + animals
    rest = water_supply.household_m3_day(plan) - water_supply.household_least_m3_day(plan)
    by_day = (hours.days.water_least_m3 + max(rest, 0.0)).reshape(-1, DAYS_N).mean(axis=0)
    return float(max(by_day[month == MONTH_OF_DAY].mean() for month in range(1, 13)))


def tank_serves_house(plan):
    """Whether the house draws through the pressure tank on the well pump, day by day."""
    cistern = plan.cistern
    through_cistern = bool(
        cistern and cistern.use == "first" and cistern.from_well and cistern.delivery != "bucket"
    )
    return bool(plan.pump and plan.pressure_tank) and not through_cistern


def well_look(plan):
    """Figures of the well, or None if the plan has none."""
    well = plan.well
    if well is None:
        return None
    flow_m3s = water_supply.pump_point(plan).flow_m3s if plan.pump else well.yield_m3s
    column_m = water_supply.column_m(plan)
    casing_m3 = float(wells.casing_storage_m3(well.bore_m, column_m))
    capacity = water_supply.specific_capacity_m2_s(plan)
    excess_m3s = flow_m3s - well.yield_m3s
    drains = plan.pump is not None and excess_m3s > 1e-9
    return WellLook(
        depth_m=well.depth_m,
        static_level_m=well.static_level_m,
        yield_m3s=well.yield_m3s,
        drawdown_m=well.drawdown_m,
        specific_capacity_m2_s=capacity,
        pumping_level_m=well.static_level_m + water_supply.drawdown_m(plan, flow_m3s),
        pump_depth_m=plan.pump.depth_m if plan.pump else None,
        column_m=column_m,
        casing_m3=casing_m3,
        recovery_h=(
            float(wells.casing_recovery_h(casing_m3, well.yield_m3s))
            if well.yield_m3s > 1e-9
            else float("inf")
        ),
        level_recovery_h=(
            float(wells.level_recovery_h(well.bore_m, capacity, RECOVERED_FRAC))
            if capacity
            else None
        ),
        dry_after_h=float(wells.casing_recovery_h(casing_m3, excess_m3s)) if drains else np.inf,
    )


def pump_look(plan):
    """Figures of the well pump, or None if the plan has none."""
    if plan.pump is None:
        return None
    point, share = water_supply.pump_point(plan), plan.pump.wire_to_water_frac
    friction_m = point.pipe_m + point.fittings_m
    hydraulic_w = float(pumps.hydraulic_power_w(point.flow_m3s, point.head_m))
    return PumpLook(
        point=point,
        head_parts=_head_parts(point),
        darcy_over_hazen_frac=point.darcy_m / friction_m if friction_m > 0 else float("nan"),
        hydraulic_w=hydraulic_w,
        electric_w=float(pumps.pump_input_w(point.flow_m3s, point.head_m, share)),
        wire_to_water_frac=share,
        plausible_low_frac=reference.value("pumping", "wire to water", "plausible_low", ""),
        plausible_high_frac=reference.value("pumping", "wire to water", "plausible_high", ""),
        energy_wh_m3=float(pumps.pump_energy_wh(1.0, point.head_m, share)),
        curves=_curves(plan, point),
    )


def _head_parts(point):
    parts = [
        ("lift at rest", point.static_lift_m, "static level and rise of the pipe"),
        ("drawdown", point.drawdown_m, "flow over specific capacity, at most that of the test"),
        ("friction in pipe", point.pipe_m, "Hazen-Williams"),
        ("friction in fittings", point.fittings_m, "Hazen-Williams on their equivalent length"),
        ("pressure", point.pressure_m, "average of cut-in and cut-out, as head"),
        ("total dynamic head", point.head_m, "sum"),
    ]
    return pd.DataFrame(parts, columns=["part", "head_m", "how"])


def _curves(plan, point):
    """Head of the pump and head of the system over flow."""
    flows, heads = plan.pump.curve_points
    most_m3s = max(flows[-1] if flows else 0.0, 1.5 * point.flow_m3s)
    flow = np.linspace(0.0, most_m3s, CURVE_POINTS_N)
    length_m = plan.pipe.length_m + water_supply.fittings_length_m(plan)
    fall = np.array([water_supply.drawdown_m(plan, flow_m3s) for flow_m3s in flow])
    system = point.static_lift_m + point.pressure_m + fall
    system = system + water_supply.friction_m(plan, flow, length_m)
    pump = np.interp(flow, flows, heads, right=np.nan) if flows else np.full(len(flow), np.nan)
    return pd.DataFrame({"flow_m3s": flow, "pump_head_m": pump, "system_head_m": system})


def tank_look(plan, hours=None):
    """Figures of the pressure tank, or None if the plan has none."""
    tank = plan.pressure_tank
    if tank is None:
        return None
    air_pa, charge_pa = atmosphere_pa(plan), water_supply.precharge_pa(plan)
    drawdown_m3 = water_supply.tank_drawdown_m3(plan, air_pa)
    run_s = least_s = limit_n = starts_n = wanted_m3 = float("nan")
    if plan.pump:
        flow_m3s = water_supply.pump_point(plan).flow_m3s
        run_s = drawdown_m3 / flow_m3s if flow_m3s > 0 else float("nan")
        least_s = float(tanks.pump_minimum_run_s(plan.pump.rated_w))
        limit_n = float(tanks.pump_start_warning_n(plan.pump.rated_w))
        daily_m3 = busiest_day_m3(plan, hours) if tank_serves_house(plan) else 0.0
        starts_n = float(tanks.pump_starts_per_day_n(daily_m3, max(drawdown_m3, 1e-4)))
        wanted_m3 = float(
            tanks.pressure_tank_size_m3(
                flow_m3s, least_s, charge_pa, tank.cut_in_pa, tank.cut_out_pa, air_pa
            )
        )
    return TankLook(
        volume_m3=tank.volume_m3,
        precharge_pa=charge_pa,
        cut_in_pa=tank.cut_in_pa,
        cut_out_pa=tank.cut_out_pa,
        atmosphere_pa=air_pa,
        drawdown_m3=drawdown_m3,
        drawdown_sea_level_m3=water_supply.tank_drawdown_m3(plan),
        run_s=run_s,
        least_run_s=least_s,
        starts_day_n=starts_n,
        starts_limit_n=limit_n,
        size_wanted_m3=wanted_m3,
    )


def peak_look(plan, hours=None):
    """Whether a day's water can be had within two hours, power there and stores full."""
    duration_h = reference.value("pumping", "two-hour peak", "duration", "h")
    seconds = units.convert_unit(duration_h, "h", "s")
    wanted_m3 = busiest_day_m3(plan, hours)
    from_well_m3 = 0.0
    if plan.well:
        look = well_look(plan)
        supply_m3 = wells.well_supply_m3(plan.well.yield_m3s, look.casing_m3, duration_h)
        lift_m3s = water_supply.pump_point(plan).flow_m3s if plan.pump else 0.0
        if not plan.pump and plan.by_hand and plan.by_hand.source == "well":
            lift_m3s = plan.by_hand.flow_m3s
        from_well_m3 = min(float(supply_m3), lift_m3s * seconds)
    from_tank_m3 = water_supply.tank_drawdown_m3(plan, atmosphere_pa(plan))
    cistern = plan.cistern
    from_cistern_m3 = cistern.volume_m3 if cistern and cistern.delivery != "bucket" else 0.0
    if cistern and cistern.delivery == "bucket" and plan.by_hand:
        by_hand_m3 = plan.by_hand.flow_m3s * seconds if plan.by_hand.source == "cistern" else 0.0
        from_cistern_m3 = min(cistern.volume_m3, by_hand_m3)
    available_m3 = from_well_m3 + from_tank_m3 + from_cistern_m3
    return PeakLook(
        wanted_m3=wanted_m3,
        from_well_m3=from_well_m3,
        from_tank_m3=from_tank_m3,
        from_cistern_m3=from_cistern_m3,
        available_m3=available_m3,
        is_met=available_m3 >= wanted_m3,
    )


def gravity_pa(plan):
    """Pressure at the taps under a cistern that delivers by gravity, or None if not entered."""
    cistern = plan.cistern
    if cistern is None or cistern.delivery != "gravity" or cistern.above_taps_m is None:
        return None
    return float(hydraulics.head_pressure_pa(cistern.above_taps_m))


def steps_of(plan, well, pump, tank, peak):
    """Way that led to the figures of well, pump, tank and peak.

    well, pump, tank (WellLook, PumpLook, TankLook or None)
    peak (PeakLook)
    Gives list of Step.
    """
    found = []
    if well:
        found += _well_steps(plan, well)
    if pump:
        found += _pump_steps(plan, pump)
    if tank:
        found += _tank_steps(plan, tank)
    inputs = (
        ("from the well", peak.from_well_m3, "volume"),
        ("pressure tank", peak.from_tank_m3, "volume"),
        ("cistern", peak.from_cistern_m3, "volume"),
    )
    formula = "sum of what two hours bring"
    found.append(
        Step("Two-hour peak", peak.available_m3, "volume", formula, inputs, "psu-water-planning")
    )
    return found


def _well_steps(plan, well):
    bore = ("casing diameter", plan.well.bore_m, "length")
    column = ("water above the pump", well.column_m, "length")
    give = ("tested yield", well.yield_m3s, "flow")
    yield Step("Casing storage", well.casing_m3, "volume", "π/4 d² h", (bore, column), "project")
    yield Step(
        "Hours to recover", well.recovery_h, "h", "casing storage / yield",
        (("casing storage", well.casing_m3, "volume"), give), "project",
    )  # fmt: skip
    if well.specific_capacity_m2_s:
        fell = ("drawdown at test", well.drawdown_m, "length")
        yield Step(
            "Specific capacity", well.specific_capacity_m2_s, "m²/s", "yield / drawdown at test",
            (give, fell), "project",
        )  # fmt: skip


def _pump_steps(plan, pump):
    point = pump.point
    flow, head = ("flow", point.flow_m3s, "flow"), ("total head", point.head_m, "length")
    size_m = hydraulics.pipe_inside_diameter_m(plan.pipe.material, plan.pipe.size)
    pipe = (
        flow,
        ("inside diameter", size_m, "length"),
        ("length", plan.pipe.length_m, "length"),
        ("equivalent length of fittings", water_supply.fittings_length_m(plan), "length"),
    )
    smooth = ("Hazen-Williams C", hydraulics.hazen_williams_c(plan.pipe.material), "")
    rough = ("roughness", hydraulics.pipe_roughness_m(plan.pipe.material), "length")
    friction_m = point.pipe_m + point.fittings_m
    share = ("wire to water", pump.wire_to_water_frac, "fraction")
    yield Step(
        "Friction, Hazen-Williams", friction_m, "length", "10.67 L Q^1.852 / (C^1.852 d^4.87)",
        (*pipe, smooth), "ppfa-friction",
    )  # fmt: skip
    yield Step(
        "Friction, Darcy-Weisbach", point.darcy_m, "length", "f L/d v²/2g, f by Colebrook",
        (*pipe, rough), "moody-1944",
    )  # fmt: skip
    parts = tuple(
        (row.part, row.head_m, "length") for row in pump.head_parts.iloc[:-1].itertuples()
    )
    yield Step("Total dynamic head", point.head_m, "length", "sum of its parts", parts, "project")
    yield Step(
        "Flow of the pump", point.flow_m3s, "flow",
        "where the pump's curve meets the system's" if point.from_curve else "entered by you",
        (head,), "project",
    )  # fmt: skip
    yield Step(
        "Electric power of the pump", pump.electric_w, "power", "ρ g Q H / wire to water",
        (flow, head, share), "ti-814-01",
    )  # fmt: skip
    yield Step(
        "Energy per volume", pump.energy_wh_m3, "Wh/m³", "ρ g H / wire to water",
        (head, share), "ti-814-01",
    )  # fmt: skip


def _tank_steps(plan, tank):
    air = ("air pressure of the site", tank.atmosphere_pa, "pressure")
    switch = (
        ("tank", tank.volume_m3, "volume"),
        ("air charge", tank.precharge_pa, "pressure"),
        ("pump on at", tank.cut_in_pa, "pressure"),
        ("pump off at", tank.cut_out_pa, "pressure"),
        air,
    )
    yield Step(
        "Pressure tank drawdown", tank.drawdown_m3, "volume",
        "V (p0 + pa) (1/(p1 + pa) - 1/(p2 + pa)), Boyle", switch, "pelikan-2006",
    )  # fmt: skip
    if plan.pump:
        drawn = ("drawdown", tank.drawdown_m3, "volume")
        flow = ("flow", water_supply.pump_point(plan).flow_m3s, "flow")
        yield Step(
            "Shortest run", tank.run_s, "time", "drawdown / flow", (drawn, flow),
            "water-systems-council",
        )  # fmt: skip
