"""From a plan to the constants, stores and first state of the coupled hour.

Calls the formulas of `homestead.formulas`; holds no weather and no loop.
"""

import math

import numpy as np

from homestead import reference
from homestead.formulas.power import battery as cells
from homestead.formulas.power import generator
from homestead.formulas.warmth import cooling, heat, hot_water
from homestead.formulas.water import evapotranspiration, hydraulics, pumps, wells
from homestead.simulate import food, water_supply
from homestead.simulate.breakers import former_held_w
from homestead.simulate.fuel_stores import keeps_days, store_named, store_of, tanks_of
from homestead.simulate.heaters import heaters_of, needs_power
from homestead.simulate.records import (
    BOOSTER,
    BUCKET,
    COLDEST_C,
    GRAVITY,
    HAND_CISTERN,
    HAND_NONE,
    HAND_WELL,
    NO_STORE,
    Fixed,
    State,
)
from homestead.simulate.sparing import ration_of

HOTTEST_C = 80
HOUR_S = 3600.0
DAY_S = 86400.0
OPEN_WINDOW_ABOVE_K = 3.0  # project choice: windows are opened this far above the thermostat
USUAL_LIMIT_H = 8.0  # of a generator that charges a battery; project choice
COOLING_V = 240.0  # usual supply of central air; common practice, no source
# Sensible share of a home's cooling coil in damp air, at its lowest; common practice, no source.
DRIEST_COIL_FRAC = 0.65
BOOSTER_EFFICIENCY_FRAC = 0.35  # wire to water of a small pump; common practice, no source
YIELD_FACTOR = 1.05  # FAO 33 (1979), seasonal ky of mixed vegetables, from memory


def fixed_of(plan, elevation_m=0.0):
    """Constants of the coupled hour for a plan.

    Gives Fixed.
    """
    return Fixed(
        **_power(plan), **_generator(plan), **tanks_of(plan), **_water(plan, elevation_m),
        **_warmth(plan), **heaters_of(plan), **_hot_water(plan), **_food(plan), **_failure(plan),
    )  # fmt: skip


def _of(part, *names):
    """Entries of a part by their names; 0 where the plan has no such part."""
    return {name: getattr(part, name) if part else 0.0 for name in names}


def battery_today_wh(plan):
    """Capacity of the bank at its age and 25 deg C, before any reserve. [Wh]."""
    bank = plan.battery
    if bank is None:
        return 0.0
    left_frac = max(1.0 - bank.fade_frac * bank.age_years, 0.0)
    return bank.modules_n * bank.module_wh * left_frac


def _power(plan):
    bank, former, shedding = plan.battery, plan.grid_former, plan.shedding
    chemistry = bank.chemistry if bank else "lithium iron phosphate"
    one_way = math.sqrt(bank.round_trip_frac) if bank else 1.0
    depth_frac = bank.depth_of_discharge_frac if bank else 1.0
    inverter_frac = former.efficiency_frac if former else 1.0
    charger_frac = former.charger_efficiency_frac if former else 1.0
    usable_wh = battery_today_wh(plan) * depth_frac
    return {
        "battery_wh": battery_today_wh(plan),
        "discharge_depth_frac": depth_frac,
        "charge_state_per_wh": 1.0 / usable_wh if usable_wh > 0 else 0.0,
        **_of(bank, "charge_w", "discharge_w"),
        "charge_efficiency_frac": one_way,
        "bus_per_charge": 1.0 / one_way,
        "discharge_efficiency_frac": one_way,
        "discharge_per_bus": 1.0 / one_way,
        "battery_inside": int(bank is None or bank.place == "heated room"),
        "dead_wh": battery_today_wh(plan) * (bank.dead_below_frac if bank else 0.0),
        **_of(former, "reconnect_frac", "idle_w"),
        "charge_lowest_c": reference.value("battery", chemistry, "charge_temperature_low", "degC"),
        "former_w": min(former.all_units_w, former_held_w(plan)) if former else 0.0,
        "inverter_efficiency_frac": inverter_frac,
        "bus_per_house": 1.0 / inverter_frac,
        "charger_w": former.charger_w if former and bank else 0.0,
        "charger_efficiency_frac": charger_frac,
        "house_per_bus": 1.0 / charger_frac,
        **_of(bank and shedding, "comfort_below_frac", "useful_below_frac"),
    }


def capacity_by_c(plan):
    """Share of battery capacity at each whole deg C from COLDEST_C on, array of shape (degrees,).

    Above 25 deg C the bank is taken at its rating; beyond the table's cold end it gives nothing.
    """
    chemistry = plan.battery.chemistry if plan.battery else "lithium iron phosphate"
    cell_c = np.arange(COLDEST_C, HOTTEST_C + 1, dtype=float)
    within_c = np.clip(cell_c, *CELL_RANGE_C[chemistry])
    by_c = np.minimum(cells.capacity_frac(within_c, chemistry), 1.0)
    return np.where(cells.discharge_allowed(cell_c, chemistry), by_c, 0.0)


# Where the tables of capacity by temperature begin and end (data/reference).
CELL_RANGE_C = {
    "lithium iron phosphate": (-20.0, 60.0),
    "lithium nickel manganese cobalt": (-20.0, 60.0),
    "lithium titanate": (-30.0, 55.0),
    "lead-acid": (-20.0, 48.9),
}


def _generator(plan):
    engine = plan.generator
    if engine is None:
        slope_w, no_load_w = 0.0, 0.0
    else:
        line = generator.fuel_w(
            np.array([0.0, engine.rated_w]),
            engine.rated_w,
            engine.no_load_fuel_w,
            engine.full_load_fuel_w,
        )
        no_load_w, slope_w = float(line[0]), float(line[1] - line[0]) / engine.rated_w
    return {
        "generator_store": store_of(plan, engine),
        "generator_second": NO_STORE if engine is None else store_named(plan, engine.second_store),
        "some_spoil": int(any(fuel.keeps_s is not None for fuel in plan.fuels)),
        "keeps_days": keeps_days(plan),
        "no_load_fuel_w": no_load_w,
        "fuel_per_w": slope_w,
        **_of(engine, "start_below_frac", "stop_above_frac", "least_load_frac"),
        "daily_limit_h": daily_limit_h(plan),
        "heat_needs_power": int(any(map(needs_power, plan.heaters))),
    }


def daily_limit_h(plan):
    """Hours that the generator may run in a day. [h]."""
    if plan.generator is None:
        return 0.0
    if plan.generator.daily_limit_s is not None:
        return plan.generator.daily_limit_s / HOUR_S
    return USUAL_LIMIT_H if plan.battery else 24.0


def tank_drawdown_m3(plan, elevation_m=0.0):
    """Water that the pressure tank gives between cut-out and cut-in, at an elevation. [m³]."""
    air_pa = evapotranspiration.air_pressure_pa(min(elevation_m, 5000.0))
    return water_supply.tank_drawdown_m3(plan, float(air_pa))


def _water(plan, elevation_m):
    well, pump, cistern, hand = plan.well, plan.pump, plan.cistern, plan.by_hand
    casing_m3, wh_m3, wh_m3_m3 = 0.0, 0.0, 0.0
    point = water_supply.pump_point(plan) if pump else None
    if well:
        bottom_m = pump.depth_m if pump else well.depth_m
        column_m = max(bottom_m - well.static_level_m, 0.0)
        casing_m3 = float(wells.casing_storage_m3(well.bore_m, column_m))
        if pump:
            wh_m3 = float(pumps.pump_energy_wh(1.0, point.head_m, pump.wire_to_water_frac))
            per_m_wh = float(pumps.pump_energy_wh(1.0, 1.0, pump.wire_to_water_frac))
            wh_m3_m3 = per_m_wh * max(column_m - point.drawdown_m, 0.0) / casing_m3
    delivery = {"gravity": GRAVITY, "booster pump": BOOSTER, "bucket": BUCKET}
    booster_head_m = hydraulics.pressure_head_m(cistern.booster_pa) if cistern else 0.0
    efficiency = pump.wire_to_water_frac if pump else BOOSTER_EFFICIENCY_FRAC
    source = {None: HAND_NONE, "well": HAND_WELL, "cistern": HAND_CISTERN}
    return {
        "well_yield_m3": well.yield_m3s * HOUR_S if well else 0.0,
        "casing_m3": casing_m3,
        "pump_m3": point.flow_m3s * HOUR_S if pump else 0.0,
        "pump_wh_m3": wh_m3,
        "pump_wh_m3_m3": wh_m3_m3,
        "tank_m3": tank_drawdown_m3(plan, elevation_m),
        "cistern_m3": cistern.volume_m3 if cistern else 0.0,
        "well_fills_to_m3": (
            cistern.volume_m3 * cistern.well_fills_to_frac if cistern and cistern.from_well else 0.0
        ),
        "cistern_first": int(bool(cistern and cistern.use == "first")),
        "delivery": delivery[cistern.delivery] if cistern else GRAVITY,
        "booster_wh_m3": float(pumps.pump_energy_wh(1.0, booster_head_m, efficiency)),
        "hand_source": source[hand.source if hand else None],
        "hand_m3": hand.flow_m3s * HOUR_S if hand else 0.0,
        "hand_day_m3": hand.flow_m3s * hand.daily_limit_s if hand else 0.0,
        "garden_floor_m3": (
            plan.garden.cistern_floor_frac * cistern.volume_m3 if plan.garden and cistern else 0.0
        ),
    }


def heat_loss_w_k(plan):
    """Loss of the house through its shell and by leaks. [W/K]."""
    shell_w_k = sum(
        float(
            heat.envelope_part_w_k(
                part.area_m2,
                part.r_m2k_w,
                part.kind,
                part.temperature_frac,
                part.edge_m,
                part.edge_insulation,
            )
        )
        for part in plan.envelope
    )
    return float(shell_w_k + heat.infiltration_w_k(air_m3(plan), plan.house.air_changes_h))


def heat_capacity_wh_k(plan):
    """Heat that the house keeps per degree. [Wh/K]."""
    per_m2 = reference.value("thermal_mass", plan.house.mass, "heat_capacity_per_floor", "Wh/K/m^2")
    return per_m2 * plan.house.floor_m2


def air_m3(plan):
    """Air in the heated rooms. [m³]."""
    return plan.house.floor_m2 * plan.house.ceiling_m


def _warmth(plan):
    house, cool = plan.house, plan.cooling
    loss_w_k = heat_loss_w_k(plan)
    step = loss_w_k / heat_capacity_wh_k(plan)  # of one hour
    decay_frac = math.exp(-step)
    # SEER and rated power count the heat of drying the air too; the rooms feel the sensible part.
    fixed_frac = cool.sensible_frac if cool else 1.0
    window_c = house.keep_c + OPEN_WINDOW_ABOVE_K
    if cool:
        window_c = (house.keep_c + min(window_c, cool.cool_to_c)) / 2
    return {
        "loss_w_k": loss_w_k,
        "steady_c_per_w": 1.0 / loss_w_k,
        "w_per_c": loss_w_k / (1.0 - decay_frac),
        "c_per_w": (1.0 - decay_frac) / loss_w_k,
        "decay_frac": decay_frac,
        "mean_frac": (1.0 - decay_frac) / step,
        "keep_c": house.keep_c,
        "window_c": window_c,
        "window_w_k": float(heat.infiltration_w_k(air_m3(plan), house.open_window_air_changes_h)),
        "appliance_heat_frac": house.appliance_heat_frac,
        "windows_shut": int(bool(cool) and not cool.windows),
        "cool_w": cool.capacity_w if cool else 0.0,
        "cool_full_w": cooling_full_w(cool) if cool else 0.0,
        "electric_per_cool": 1.0 / float(cooling.cooling_cop(cool.seer)) if cool else 1.0,
        "cool_to_c": cool.cool_to_c if cool else 99.0,
        "latent_per_sensible": 1.0 / fixed_frac - 1.0 if fixed_frac else -1.0,
        "most_latent_per_sensible": 1.0 / DRIEST_COIL_FRAC - 1.0,
        "pipes_outside_frac": house.pipes_outside_frac,
    }


def _hot_water(plan):
    hot, cook = plan.hot_water, plan.cooking
    hot_frac = hot.efficiency_frac if hot else 1.0
    preheats = hot.preheat_heater if hot else None
    coil = next((heater for heater in plan.heaters if heater.name == preheats), None)
    return {
        "preheat_store": store_of(plan, coil),
        "preheat_efficiency_frac": coil.efficiency_frac if coil else 1.0,
        "fuel_per_preheat": 1.0 / coil.efficiency_frac if coil else 1.0,
        "hot_water_store": store_of(plan, hot),
        "hot_water_efficiency_frac": hot_frac,
        "fuel_per_hot_water": 1.0 / hot_frac,
        "hot_water_limit_w": hot.input_w * hot.efficiency_frac if hot else 0.0,
        "standby_w": hot.standby_w if hot else 0.0,
        **_hot_tank(hot),
        "cooking_store": store_of(plan, cook),
        "cooking_w": cook.daily_wh / 24.0 if cook else 0.0,
    }


def _hot_tank(hot):
    """When a tank heats; how much heat it holds depends on the weather's cold water."""
    first, last = hot.between if hot and hot.heats == "timer" else (0, 24)
    return {
        "hot_tank_wh": 0.0,
        "hot_fill_per_wh": 0.0,
        "hot_from": first,
        "hot_hours": (last - first) % 24 or 24,
        "hot_surplus": int(bool(hot) and hot.heats == "surplus"),
        "surplus_above_frac": hot.surplus_above_frac if hot else 0.0,
    }


def with_hot_tank(fixed, plan, cold_c):
    """Constants with the heat that a full hot water tank holds above cold water."""
    hot = plan.hot_water
    if hot is None or hot.tank_m3 <= 0.0:
        return fixed
    tank_wh = float(hot_water.water_heating_wh(hot.tank_m3, hot.hot_c - cold_c))
    return fixed._replace(hot_tank_wh=tank_wh, hot_fill_per_wh=1.0 / tank_wh)


def cooling_full_w(cool):
    """What cooling draws at full power on a hot day: by EER, its plate, or SEER. [W]."""
    if cool.eer is not None:
        return cool.capacity_w / float(cooling.cooling_cop(cool.eer))
    if cool.running_a is not None:
        return cool.running_a * COOLING_V
    return cool.capacity_w / float(cooling.cooling_cop(cool.seer))


def _food(plan):
    freezer = plan.freezer
    priority = 1
    if freezer:
        priority = next(
            appliance.priority_n
            for appliance in plan.appliances
            if appliance.name == freezer.appliance
        )
    return {
        "freezer_priority": priority,
        "freezer_hold_h": plan.failure.freezer_full_s / HOUR_S,
        "freezer_start_kcal": sum(item.kcal for item in food.items_of(plan) if item.is_frozen),
        "freezer_fill_frac": freezer.fill_frac if freezer else 0.0,
        "need_kcal": food.needs_of(plan).kcal * ration_of(plan),
        "garden_yield_factor": YIELD_FACTOR,
    }


def _failure(plan):
    failure = plan.failure
    return {
        "dark_limit_h": failure.dark_s / HOUR_S,
        "bad_nights_n": failure.bad_nights_n,
        "unserved_frac": failure.unserved_frac,
        "dry_days_n": failure.dry_days_n,
        "cold_below_c": failure.cold_below_c,
        "cold_limit_h": failure.cold_for_s / HOUR_S,
        "pipes_below_c": failure.pipes_below_c,
        # Of the need, while the family eats up to its ration.
        "food_share_frac": failure.food_share_frac / ration_of(plan),
        "food_window_n": failure.food_window_n,
        "infant_days": food.infant_days(plan),
    }


def start_of(plan, fixed):
    """First state: stores as full as the plan says, rooms at the thermostat."""
    start_frac = plan.battery.start_frac if plan.battery else 0.0
    reserve_frac = 1.0 - fixed.discharge_depth_frac
    return State(
        battery_wh=fixed.battery_wh * (reserve_frac + fixed.discharge_depth_frac * start_frac),
        generator_on=0.0,
        cut_off=0.0,
        casing_m3=fixed.casing_m3,
        tank_m3=fixed.tank_m3,
        cistern_m3=fixed.cistern_m3 * (plan.cistern.start_frac if plan.cistern else 0.0),
        inside_c=fixed.keep_c,
        generator_h=0.0,
        hand_m3=0.0,
        dark_hours=0.0,
        water_m3=0.0,
        cold_h=0.0,
        freezer_dark_h=0.0,
        garden_got_m3=0.0,
        garden_needed_m3=0.0,
        hot_wh=fixed.hot_tank_wh,
    )
