"""From the plan's well, pump, pipe, tank and household to their figures.

Shared by the constants of the coupled hour, the checks and the study of water, so that all three
work with the same head, flow and drawdown. Holds no weather, no loop and no words for a reader.
"""

from typing import NamedTuple

import numpy as np

from homestead import reference
from homestead.formulas.water import hydraulics, pumps, water_use, wells
from homestead.formulas.water import pressure_tank as tanks

SEA_LEVEL_PA = 101325.0  # standard atmosphere, ISO 2533


class PumpPoint(NamedTuple):
    """What the well pump works against, and what it gives.

    Heads in m: `static_lift_m` from resting water to the outlet, `drawdown_m` of the well at this
    flow (never more than at the test), `pipe_m` and `fittings_m` friction by Hazen-Williams,
    `pressure_m` the mean of the switch's two pressures, `head_m` all of them.
    """

    flow_m3s: float
    head_m: float
    static_lift_m: float
    drawdown_m: float
    pipe_m: float
    fittings_m: float
    pressure_m: float
    darcy_m: float  # pipe and fittings by Darcy-Weisbach, the cross-check
    from_curve: bool
    runs_off_curve: bool


def specific_capacity_m2_s(plan):
    """Specific capacity of the well from its test, or None where the log gives no drawdown."""
    well = plan.well
    if well is None or well.drawdown_m is None:
        return None
    return float(wells.specific_capacity_m2_s(well.yield_m3s, well.drawdown_m))


def drawdown_at_test_m(plan):
    """Drawdown of the pumping test, 0 where the log does not tell it. [m]."""
    return (plan.well.drawdown_m or 0.0) if plan.well else 0.0


def drawdown_m(plan, flow_m3s):
    """Fall of the well's level at a steady flow, held at that of the test. [m]."""
    capacity = specific_capacity_m2_s(plan)
    if capacity is None:
        return 0.0
    return min(float(wells.well_drawdown_m(flow_m3s, capacity)), drawdown_at_test_m(plan))


def bottom_m(plan):
    """Depth down to which the well can be drawn: the pump, or the bottom without one. [m]."""
    return plan.pump.depth_m if plan.pump else plan.well.depth_m


def column_m(plan):
    """Water standing above the pump at rest. [m]."""
    return max(bottom_m(plan) - plan.well.static_level_m, 0.0)


def fittings_length_m(plan):
    """Straight pipe that the fittings stand for. [m]."""
    return float(
        sum(
            hydraulics.fitting_equivalent_length_m(name, plan.pipe.size, count)
            for name, count in plan.pipe.fitting_counts.items()
        )
    )


def friction_m(plan, flow_m3s, length_m):
    """Friction in a length of the plan's pipe, by Hazen-Williams. [m]."""
    pipe = plan.pipe
    return hydraulics.friction_head_hazen_williams_m(
        flow_m3s,
        hydraulics.pipe_inside_diameter_m(pipe.material, pipe.size),
        length_m,
        hydraulics.hazen_williams_c(pipe.material),
    )


def pressure_pa(plan):
    """Mean pressure that the well pump works against, gauge. [Pa]."""
    tank = plan.pressure_tank
    return (tank.cut_in_pa + tank.cut_out_pa) / 2 if tank else 0.0


def static_lift_m(plan):
    """Resting water in the well to the outlet, not below 0. [m]."""
    return max(plan.well.static_level_m + plan.pipe.rise_m, 0.0)


def pump_point(plan):
    """Head and flow of the well pump: from its curve if the plan has one, else as rated.

    plan (Plan) : With well, pump and pipe.
    Gives PumpPoint.
    """
    pump, pipe = plan.pump, plan.pipe
    lift_m, pressure_m = static_lift_m(plan), float(hydraulics.pressure_head_m(pressure_pa(plan)))
    diameter_m = hydraulics.pipe_inside_diameter_m(pipe.material, pipe.size)
    fittings = fittings_length_m(plan)
    flow_m3s, off = pump.flow_m3s, False
    if pump.curve:
        capacity = specific_capacity_m2_s(plan)
        found = pumps.pump_operating_point(
            *pump.curve_points,
            lift_m + pressure_m,
            diameter_m,
            pipe.length_m + fittings,
            hydraulics.hazen_williams_c(pipe.material),
            1.0 / capacity if capacity else 0.0,
            drawdown_at_test_m(plan),
        )
        flow_m3s, off = float(found.flow_m3s), bool(found.runs_off_curve)
    fall_m = drawdown_m(plan, flow_m3s)
    in_pipe_m = float(friction_m(plan, flow_m3s, pipe.length_m))
    in_fittings_m = float(friction_m(plan, flow_m3s, fittings))
    darcy_m = hydraulics.friction_head_darcy_m(
        flow_m3s, diameter_m, pipe.length_m + fittings, hydraulics.pipe_roughness_m(pipe.material)
    )
    head_m = hydraulics.total_dynamic_head_m(
        lift_m + fall_m, pressure_pa(plan), in_pipe_m + in_fittings_m
    )
    return PumpPoint(
        flow_m3s=flow_m3s,
        head_m=float(head_m),
        static_lift_m=lift_m,
        drawdown_m=fall_m,
        pipe_m=in_pipe_m,
        fittings_m=in_fittings_m,
        pressure_m=pressure_m,
        darcy_m=float(darcy_m),
        from_curve=bool(pump.curve),
        runs_off_curve=off,
    )


def precharge_pa(plan):
    """Air charge of the pressure tank: as entered, else below the start of the pump. [Pa]."""
    tank = plan.pressure_tank
    if tank.precharge_pa is not None:
        return tank.precharge_pa
    below_pa = reference.value("pumping", "pressure tank", "precharge_below_cut_in", "Pa")
    return max(tank.cut_in_pa - below_pa, 0.0)


def tank_drawdown_m3(plan, atmosphere_pa=SEA_LEVEL_PA):
    """Water that the pressure tank gives between cut-out and cut-in, 0 without a tank. [m³]."""
    tank = plan.pressure_tank
    if tank is None:
        return 0.0
    return float(
        tanks.pressure_tank_drawdown_m3(
            tank.volume_m3, precharge_pa(plan), tank.cut_in_pa, tank.cut_out_pa, atmosphere_pa
        )
    )


def household_m3_day(plan):
    """Household water of a day by the plan's use per person. [m³/day]."""
    return len(plan.people) * plan.water_use.per_person_m3


def household_least_m3_day(plan):
    """Least that the people can live with. [m³/day]."""
    return len(plan.people) * plan.water_use.minimum_per_person_m3


def animals_m3_day(plan, air_c):
    """Water of all animals at a day's air temperature, as the array. [m³/day]."""
    total = np.zeros(np.shape(air_c))
    for animal in plan.animals:
        total = total + animal.count_n * water_use.animal_water_m3_day(animal.kind, air_c)
    return total


def fire_water_m3(plan):
    """Water needed a fire in the building that the plan names, or None. [m³]."""
    use = plan.water_use
    if use.fire_building_m3 is None:
        return None
    return float(
        water_use.fire_reserve_m3(
            use.fire_building_m3, use.fire_hazard_n, use.fire_construction, use.fire_exposed
        )
    )
