"""The coupled hour once more, in plain Python, to hold the compiled one against.

Written from what an hour means (who is served first, what stands in for what), with named stocks,
no arrays and no speed. It reads the plan itself, so that the constants of the compiled hour are
held against it as well; it shares with the package the hourly inputs and the formulas of single
parts (head of a pump, loss of a shell, heat in a fuel), which have tests of their own.
"""

import math

from plain_food import PlainFood
from plain_fuel import NEARLY_NOTHING, PlainFuel
from plain_warmth import PlainWarmth
from plain_water import PlainWater

from homestead.formulas.power import battery
from homestead.formulas.warmth import fuels
from homestead.formulas.water import hydraulics, pumps, wells
from homestead.simulate import constants, water_supply
from homestead.simulate.food import needs_of
from homestead.simulate.records import COLUMNS

FOODS = ("energy", "protein", "fat", "vitamin_c", "salt")
NEEDS_AND_PIPES = ("power", "water", "warmth", "food", "pipes")


class PlainHomestead(PlainFuel, PlainWarmth, PlainWater):
    """One homestead in one run: what it is (from the plan) and what is left in each store."""

    def __init__(self, hours):
        self.hours, self.plan = hours, hours.plan
        self._describe_power()
        self._describe_water()
        self._describe_house()
        self.need_kcal = needs_of(self.plan).kcal
        self._fill_stores()

    # --- what the homestead is -----------------------------------------------------------------

    def _describe_power(self):
        bank, former = self.plan.battery, self.plan.grid_former
        self.full_wh, self.depth, self.one_way = 0.0, 1.0, 1.0
        chemistry = "lithium iron phosphate"
        if bank:
            chemistry = bank.chemistry
            new_wh = bank.modules_n * bank.module_wh
            self.full_wh = new_wh * max(1.0 - bank.age_years * bank.fade_frac, 0.0)
            self.depth = bank.depth_of_discharge_frac
            self.one_way = math.sqrt(bank.round_trip_frac)
        self.may_charge = {
            c: bool(battery.charge_allowed(float(c), chemistry)) for c in range(-60, 81)
        }
        self.charge_from_c = min(c for c, allowed in self.may_charge.items() if allowed)
        coldest_c, hottest_c = constants.CELL_RANGE_C[chemistry]
        self.capacity_share = {}
        for c in range(-60, 81):
            share = float(battery.capacity_frac(min(max(c, coldest_c), hottest_c), chemistry))
            allowed = bool(battery.discharge_allowed(float(c), chemistry))
            self.capacity_share[c] = min(share, 1.0) if allowed else 0.0
        self.former_w = former.continuous_w * former.units_n if former else 0.0
        engine = self.plan.generator
        self.engine_daily_h = 0.0
        if engine:
            usual_h = 8.0 if bank else 24.0
            entered_s = engine.daily_limit_s
            self.engine_daily_h = usual_h if entered_s is None else entered_s / 3600.0

    def _describe_water(self):
        plan = self.plan
        well, pump, cistern = plan.well, plan.pump, plan.cistern
        self.inflow_m3 = well.yield_m3s * 3600.0 if well else 0.0
        self.column_m, self.casing_full_m3 = 0.0, 0.0
        if well:
            self.column_m = (pump.depth_m if pump else well.depth_m) - well.static_level_m
            self.casing_full_m3 = float(wells.casing_storage_m3(well.bore_m, self.column_m))
        self.pump_hour_m3, self.rest_head_m, self.wh_per_m3_m = 0.0, 0.0, 0.0
        self.deepest_more_m = 0.0  # below the level while pumping
        if pump:
            point = water_supply.pump_point(plan)
            self.pump_hour_m3 = point.flow_m3s * 3600.0
            self.rest_head_m = point.head_m
            self.deepest_more_m = max(self.column_m - point.drawdown_m, 0.0)
            self.wh_per_m3_m = float(pumps.pump_energy_wh(1.0, 1.0, pump.wire_to_water_frac))
        self.tank_full_m3 = constants.tank_drawdown_m3(plan, self.hours.elevation_m)
        self.cistern_full_m3 = cistern.volume_m3 if cistern else 0.0
        self.booster_wh_m3 = 0.0
        if cistern:
            head_m = float(hydraulics.pressure_head_m(cistern.booster_pa))
            efficiency = pump.wire_to_water_frac if pump else constants.BOOSTER_EFFICIENCY_FRAC
            self.booster_wh_m3 = float(pumps.pump_energy_wh(1.0, head_m, efficiency))

    def _fill_stores(self):
        bank, cistern = self.plan.battery, self.plan.cistern
        start = bank.start_frac if bank else 0.0
        self.battery_wh = self.full_wh * (1.0 - self.depth * (1.0 - start))
        self.generator_on, self.cut_off = False, False
        self.hours_dark = []
        self.casing_m3, self.tank_m3 = self.casing_full_m3, self.tank_full_m3
        self.cistern_m3 = cistern.volume_m3 * cistern.start_frac if cistern else 0.0
        self.inside_c = self.hours.start.inside_c  # as kept before anybody cut back
        self.cold_h = self.freezer_dark_h = 0.0
        self.hot_wh = self.tank_wh
        self.food = PlainFood(self.plan, self.need_kcal, self.hours.years_n)
        self._begin_day()
        self._deliver()

    def _begin_day(self):
        self.generator_h = self.hand_m3 = self.water_m3 = 0.0
        self.asked_wh = self.short_wh = 0.0
        self.was_dark = False
        self.longest_dark_h = 0.0
        self.garden_got_m3 = self.garden_needed_m3 = 0.0

    def _deliver(self):
        plan = self.plan
        self.fuel_wh = {}
        for store in plan.fuels:
            if store.fuel == "cordwood":
                wet = 0.2 if store.moisture_frac is None else store.moisture_frac
                kinds = [
                    float(fuels.cordwood_moist_wh_per_cord(one, wet))
                    for one in store.species or (None,)
                ]
                per_unit = sum(kinds) / len(kinds) / CORD_M3
            else:
                per_unit = float(fuels.fuel_energy_wh(store.fuel, 1.0))
            self.fuel_wh[store.name] = store.amount * (1.0 - store.reserve_frac) * per_unit
        self.food.deliver()

    # --- one hour ------------------------------------------------------------------------------

    def hour(self, now):
        """Live one hour; returns its flows by name."""
        plan, shed = self.plan, self.plan.shedding
        air_c, before_c = now["air_c"], self.inside_c
        in_room = plan.battery is None or plan.battery.place == "heated room"
        cell_c = before_c if in_room else air_c
        warm_share = self._share_at(cell_c)
        floor_wh = self.full_wh * (1.0 - self.depth * warm_share)
        usable_wh = max(self.battery_wh - floor_wh, 0.0)
        charge = usable_wh / (self.full_wh * self.depth) if self.full_wh else 0.0

        # Of a propane tank only what boils off in this hour can be burnt; the rest waits.
        waiting_wh = self._hold_liquid_back(now)
        at_hand_wh = dict(self.fuel_wh)

        # Who can give power.
        engine_frac, set_aside_wh = self._start_generator(charge, now)
        engine_limit_w = engine_frac * now["generator_w"]
        discharge_limit_w = plan.battery.discharge_w if plan.battery else 0.0
        bus_limit_w = now["pv_dc_w"] + min(discharge_limit_w, usable_wh * self.one_way)
        idle_w, former_limit_w, former_runs = 0.0, 0.0, False
        momentary_w = 0.0  # what could run at one moment
        if self.full_wh > 0.0 and plan.grid_former and plan.grid_former.reconnect_frac > 0.0:
            if charge <= NEARLY_NOTHING:
                self.cut_off = True
            elif charge >= plan.grid_former.reconnect_frac:
                self.cut_off = False
        if self.former_w > 0.0:
            # A reserve below what the house may use keeps the inverter awake; cold shrinks it too.
            asleep_wh = self.full_wh * plan.battery.dead_below_frac if plan.battery else 0.0
            reserve_wh = max(self.full_wh * (1.0 - self.depth) - asleep_wh, 0.0) * warm_share
            awake_wh = max(self.battery_wh - (floor_wh - reserve_wh), 0.0)
            awake_w = now["pv_dc_w"] + min(discharge_limit_w, awake_wh * self.one_way)
            idle_w = min(plan.grid_former.idle_w, awake_w)
            former_runs = awake_w > plan.grid_former.idle_w
            if former_runs and not self.cut_off:
                to_house = plan.grid_former.efficiency_frac
                former_limit_w = min(self.former_w, max(bus_limit_w - idle_w, 0.0) * to_house)
                at_once_w = (now["pv_dc_w"] + discharge_limit_w) * to_house
                momentary_w += min(self.former_w, at_once_w)
        sun_on_house_w = now["pv_ac_w"] if former_runs or engine_frac > 0.0 else 0.0
        offered_w = sun_on_house_w + engine_limit_w + former_limit_w
        if self.cut_off and engine_frac == 0.0:
            offered_w = 0.0
        self.left_w = self.offered_w = offered_w
        momentary_w += sun_on_house_w
        if engine_frac > 0.0:
            momentary_w += now["generator_w"]
        self.momentary_w = momentary_w
        # An engine beside main inverters takes on what those could not.
        more_room_w = engine_limit_w if plan.battery else 0.0
        fits = {
            name: now[f"{name}_w"] - max(now[f"{name}_refused_w"] - more_room_w, 0.0)
            for name in ("essential", "useful", "comfort")
        }
        engine_runs = engine_frac > 0.0
        threshold = (shed.useful_below_frac, shed.comfort_below_frac)
        if plan.battery is None:
            threshold = (0.0, 0.0)
        useful_on, comfort_on = (engine_runs or charge >= one for one in threshold)

        # Priority 1: appliances, warmth, the least water.
        essential_w = self._take(fits["essential"])
        expected_w = essential_w
        expected_w += now["useful_w"] if useful_on else 0.0
        expected_w += now["comfort_w"] if comfort_on else 0.0
        given_w = now["sun_gain_w"] + now["people_w"]
        stays = plan.house.appliance_heat_frac
        per_degree_w = self.loss_w_k / (1.0 - self.kept_share)  # that one hour's end is warmer by
        alone_c = self._end_c(air_c, given_w + stays * expected_w)
        asked_heat_w = max((plan.house.keep_c - alone_c) * per_degree_w, 0.0)
        warmth = self._light_heaters(asked_heat_w, air_c, now["hour_of_day"])
        caught_m3 = min(now["rain_m3"], self.cistern_full_m3 - self.cistern_m3)
        self.cistern_m3 += caught_m3
        casing_before_m3 = self.casing_m3
        level_down_m = 0.0
        if self.casing_full_m3 > 0.0:
            level_down_m = self.deepest_more_m * (1.0 - self.casing_m3 / self.casing_full_m3)
        self.lift_wh_m3 = self.wh_per_m3_m * (self.rest_head_m + level_down_m)
        self.casing_m3 += self.inflow_m3
        motor_finds_room = self._finds_room(self.pump_hour_m3 * self.lift_wh_m3)
        self.pump_left_m3 = self.pump_hour_m3 if motor_finds_room or offered_w == 0.0 else 0.0
        self.lifted_m3 = self.pump_wh = self.pump_missing_wh = self.carried_this_hour_m3 = 0.0
        least_short_m3 = self._serve(now["water_least_m3"], True)
        if least_short_m3 > 0.0:
            least_short_m3 -= self._carry(least_short_m3)
        missing_w = now["essential_w"] - essential_w + warmth["missing_w"]
        if least_short_m3 > NEARLY_NOTHING:
            missing_w += self.pump_missing_wh
        served_w = essential_w + warmth["blower_w"] + warmth["electric_w"] + self.pump_wh
        essential_asked_w = served_w + missing_w
        dark = missing_w / essential_asked_w if missing_w > NEARLY_NOTHING else 0.0
        self.asked_wh += essential_asked_w
        self.short_wh += missing_w

        # Priority 2: appliances, the rest of the water, hot water, cooking, filling up.
        useful_w = self._take(fits["useful"]) if useful_on else 0.0
        rest_short_m3 = self._serve(now["water_rest_m3"], useful_on)
        if rest_short_m3 > 0.0:
            rest_short_m3 -= self._carry(rest_short_m3)
        got = 1.0 - rest_short_m3 / now["water_rest_m3"] if now["water_rest_m3"] > 0.0 else 1.0
        surplus_w = 0.0
        usable_new_wh = self.full_wh * self.depth
        fullness = 1.0
        if usable_new_wh:
            fullness -= (self.full_wh - self.battery_wh) / usable_new_wh
        if plan.hot_water and fullness >= plan.hot_water.surplus_above_frac:
            inverter_share = plan.grid_former.efficiency_frac if plan.grid_former else 1.0
            sun_there_w = sun_on_house_w + now["pv_dc_w"] * inverter_share
            surplus_w = max(sun_there_w - (offered_w - self.left_w) - idle_w, 0.0)
        hot = self._heat_water(now, got, useful_on, surplus_w)
        burnt_w = warmth["burnt_w"] + hot["burnt_w"]
        if plan.cooking:
            burnt_w += self._burn(plan.cooking.store, plan.cooking.daily_wh / 24.0)
        if useful_on and plan.pump:
            self._fill_up()

        # Priority 3: appliances, cooling, garden.
        comfort_w = self._take(fits["comfort"]) if comfort_on else 0.0
        gain_w = given_w + stays * (essential_w + useful_w + comfort_w)
        warm_c = self._end_c(air_c, gain_w + warmth["heat_w"])
        vented_w = 0.0
        cools_now = plan.cooling is not None and now["cooling_allowed"] > 0.0
        windows = not cools_now or plan.cooling.windows
        if windows and warm_c > self.window_c and warm_c > air_c:
            mean_excess_k = max((before_c + warm_c) / 2.0 - air_c, 0.0)
            vented_w = min((warm_c - self.window_c) * per_degree_w, self.window_w_k * mean_excess_k)
            warm_c = self._end_c(air_c, gain_w + warmth["heat_w"] - vented_w)
        cooling_w = cooling_short_w = cooled_w = 0.0
        if cools_now and warm_c > plan.cooling.cool_to_c:
            excess_w = (warm_c - plan.cooling.cool_to_c) * per_degree_w
            damp_w = self._moisture_w(excess_w, now["latent_w"])
            # A unit too small for both takes less of each, in proportion.
            rated_w = plan.cooling.capacity_w
            removes_w = min(excess_w + damp_w, rated_w)
            asked_w = removes_w / self.cop
            if comfort_on and self._finds_room(self.full_cooling_w):
                cooling_w = self._take(asked_w)
            cooling_short_w = asked_w - cooling_w
            cooled_w = cooling_w * self.cop * excess_w / (excess_w + damp_w)
        net_w = gain_w + warmth["heat_w"] - vented_w - cooled_w
        self.inside_c = self._end_c(air_c, net_w, before_c)
        # What the house did not keep of its heat went out through the shell.
        lost_w = net_w - self.mass_wh_k * (self.inside_c - before_c)
        mean_c = air_c + lost_w / self.loss_w_k
        garden_m3 = self._water_garden(now["water_garden_m3"], comfort_on)

        # Where the power came from, and what is left of it for the battery.
        used_w = offered_w - self.left_w
        from_sun_w = min(used_w, sun_on_house_w)
        if engine_runs and plan.battery is None:
            least_w = plan.generator.least_load_frac * engine_limit_w
            from_sun_w = min(from_sun_w, max(used_w - least_w, 0.0))
        from_engine_w = min(used_w - from_sun_w, engine_limit_w)
        from_former_w = used_w - from_sun_w - from_engine_w
        to_house = plan.grid_former.efficiency_frac if plan.grid_former else 1.0
        to_battery = plan.grid_former.charger_efficiency_frac if plan.grid_former else 1.0
        drawn_w = from_former_w / to_house + idle_w
        sun_to_bus_w = min(now["pv_dc_w"], drawn_w)
        discharge_w = (drawn_w - sun_to_bus_w) / self.one_way
        self.battery_wh -= discharge_w
        room_w = 0.0
        if plan.battery and cell_c >= self.charge_from_c:
            room_w = (self.full_wh - self.battery_wh) / self.one_way
            room_w = max(min(room_w, plan.battery.charge_w), 0.0)
        sun_in_w = min(now["pv_dc_w"] - sun_to_bus_w, room_w)
        charger_w = plan.grid_former.charger_w if plan.grid_former and plan.battery else 0.0
        charger_w = min(charger_w, (room_w - sun_in_w) / to_battery)
        sun_by_charger_w = min(sun_on_house_w - from_sun_w, charger_w)
        engine_by_charger_w = min(engine_limit_w - from_engine_w, charger_w - sun_by_charger_w)
        reaching_cells_w = sun_in_w + (sun_by_charger_w + engine_by_charger_w) * to_battery
        charge_w = reaching_cells_w * self.one_way
        self.battery_wh += charge_w
        engine_w = from_engine_w + engine_by_charger_w
        boiling = self._let_liquid_back(waiting_wh, at_hand_wh, now)
        engine_fuel_w = self._settle_generator(engine_frac, engine_w, set_aside_wh)
        sun_w = now["pv_dc_w"] + now["pv_ac_w"]
        unused_w = sun_w - sun_to_bus_w - sun_in_w - from_sun_w - sun_by_charger_w

        self._count_hour(dark, mean_c, now, useful_w, comfort_w)
        delivered_m3 = now["water_least_m3"] + now["water_rest_m3"] - least_short_m3 - rest_short_m3
        self.water_m3 += delivered_m3
        self.garden_got_m3 += garden_m3
        self.garden_needed_m3 += now["water_garden_m3"]
        self.casing_m3 = min(self.casing_m3, self.casing_full_m3)  # the rest stays in the rock
        return {
            "pv_w": sun_w,
            "curtailed_w": unused_w,
            "generator_w": engine_w,
            "generator_fuel_w": engine_fuel_w,
            "generator_h": engine_frac,
            "discharge_w": discharge_w,
            "charge_w": charge_w,
            "used_w": used_w,
            "idle_w": idle_w,
            # All that went in and neither served, idled, was stored nor was turned away.
            "conversion_loss_w": sun_w - unused_w + engine_w + discharge_w - charge_w
            - used_w - idle_w,
            "essential_w": essential_w,
            "useful_w": useful_w,
            "comfort_w": comfort_w,
            "essential_asked_w": essential_asked_w,
            "essential_short_w": missing_w,
            "useful_short_w": now["useful_w"] - useful_w + hot["missing_w"],
            "comfort_short_w": now["comfort_w"] - comfort_w + cooling_short_w,
            "pump_w": self.pump_wh,
            "blower_w": warmth["blower_w"],
            "cooling_w": cooling_w,
            "electric_heat_w": warmth["electric_w"] + hot["electric_w"],
            "heat_w": warmth["heat_w"],
            "gain_w": gain_w,
            "vented_w": vented_w,
            "cooled_w": cooled_w,
            "lost_w": lost_w,
            "hot_water_w": hot["heat_w"],
            "fuel_w": burnt_w,
            "rain_m3": caught_m3,
            "inflow_m3": self.casing_m3 - casing_before_m3 + self.lifted_m3,
            "pumped_m3": self.lifted_m3,
            "delivered_m3": delivered_m3,
            "garden_m3": garden_m3,
            "least_short_m3": least_short_m3,
            "rest_short_m3": rest_short_m3,
            "dark_frac": dark,
            "boil_frac": boiling,
        }  # fmt: skip

    def _share_at(self, cell_c):
        below = math.floor(cell_c)
        if not -60 <= below < 80:
            return self.capacity_share[-60 if below < -60 else 80]
        colder, warmer = self.capacity_share[below], self.capacity_share[below + 1]
        return colder + (warmer - colder) * (cell_c - below)

    def _take(self, wanted_w):
        got_w = min(wanted_w, self.left_w)
        self.left_w = max(self.left_w - got_w, 0.0)
        return got_w

    def _burn(self, store, wanted_wh):
        burnt_wh = min(wanted_wh, self.fuel_wh[store])
        self.fuel_wh[store] -= burnt_wh
        return burnt_wh

    def _spoil(self, days_gone):
        """Pour out fuel that has passed its time after so many days of isolation."""
        for store in self.plan.fuels:
            if store.keeps_s is not None and store.age_s + (days_gone + 1) * 86400 > store.keeps_s:
                self.fuel_wh[store.name] = 0.0

    def _finds_room(self, full_w):
        """Whether a motor or element may start beside what runs already."""
        return full_w <= self.momentary_w - (self.offered_w - self.left_w) + NEARLY_NOTHING

    def _count_hour(self, dark, mean_c, now, useful_w, comfort_w):
        self.hours_dark = [*self.hours_dark, dark > 0.1][-24:]
        rules = self.plan.failure
        self.was_dark |= dark > 0.1 and sum(self.hours_dark) > rules.dark_s / 3600.0
        cold = mean_c < rules.cold_below_c
        self.cold_h = min(self.cold_h + 1.0, rules.cold_for_s / 3600.0) if cold else 0.0
        freezer_dark, served = dark, {2: ("useful_w", useful_w), 3: ("comfort_w", comfort_w)}
        if self.plan.freezer:
            name = self.plan.freezer.appliance
            priority = next(one.priority_n for one in self.plan.appliances if one.name == name)
            if priority in served:
                asked_w, got_w = now[served[priority][0]], served[priority][1]
                freezer_dark = 1.0 - got_w / asked_w if asked_w > 0.0 else 0.0
        # A dark hour counts one, a powered hour takes one back.
        self.freezer_dark_h += freezer_dark - (1.0 - freezer_dark)
        self.freezer_dark_h = max(self.freezer_dark_h, 0.0)
        self.freezer_dark_h = min(self.freezer_dark_h, rules.freezer_full_s / 3600.0)
        self.longest_dark_h = max(self.longest_dark_h, self.freezer_dark_h)

    # --- days ----------------------------------------------------------------------------------

    def live_day(self, day, each_hour=None):
        """Live one day of the weather (counted through all years); returns the energy eaten."""
        for hour in range(24):
            now = dict(zip(COLUMNS, self.hours.rows[day * 24 + hour].tolist(), strict=True))
            now["hour_of_day"] = hour
            flows = self.hour(now)
            if each_hour:
                each_hour(now, flows)
        eaten_kcal, self.lacking = self.food.live_day(
            day % 365, day // 365, self.longest_dark_h, self.garden_got_m3, self.garden_needed_m3
        )
        return eaten_kcal

    def days_until(self, first_day=0, horizon_n=365):
        """Whole days before each need (and pipes) fails for good, then before its first bad day.

        Last what ended food. The horizon where it does not come. Like the compiled run it stops
        once every need has failed.
        """
        failed, bad, food_ends = {}, {}, -1
        rules = self.plan.failure
        week, long = rules.food_window_n, max(rules.food_fails_window_n, rules.food_window_n)
        eaten = [self.need_kcal] * long
        dark_nights, cold_nights, dry_days, essential = [], [], [], []
        days_n = len(self.hours.days.water_least_m3)

        def watch(now, flows):
            if self.cold_h >= rules.cold_for_s / 3600.0:
                spells.add("cold")
            pipes_c = self.inside_c + (now["air_c"] - self.inside_c) * (
                self.plan.house.pipes_outside_frac
            )
            if pipes_c < rules.pipes_below_c:
                spells.add("pipes")

        for number in range(horizon_n):
            day = (first_day + number) % days_n
            spells = set()
            self._spoil(number)
            eaten = [*eaten[1:], self.live_day(day, watch)]
            dark_nights = [*dark_nights, self.was_dark][-7:]
            cold_nights = [*cold_nights, "cold" in spells][-7:]
            dry = self.water_m3 < self.hours.days.water_least_m3[day] - NEARLY_NOTHING
            dry_days = [*dry_days, dry][-rules.dry_days_n :]
            essential = [*essential, (self.asked_wh, self.short_wh)][-7:]
            asked_wh = sum(one for one, _ in essential) / len(essential) * 7
            missing_wh = sum(one for _, one in essential)
            enough = rules.food_share_frac * self.need_kcal
            bad_days = {
                "power": self.was_dark,
                "water": dry,
                "warmth": "cold" in spells,
                "food": sum(eaten[-week:]) < week * enough - 1e-6,
                "pipes": "pipes" in spells,
            }
            ends = {
                "power": missing_wh > rules.unserved_frac * asked_wh + 1.0
                or (self.was_dark and sum(dark_nights) >= rules.bad_nights_n),
                "water": len(dry_days) == rules.dry_days_n and all(dry_days),
                "warmth": "pipes" in spells
                or ("cold" in spells and sum(cold_nights) >= rules.bad_nights_n),
                "food": sum(eaten) < long * enough - 1e-6 or len(self.lacking) > 0,
                "pipes": "pipes" in spells,
            }
            for need in NEEDS_AND_PIPES:
                if bad_days[need] or ends[need]:
                    bad.setdefault(need, number)
                if ends[need]:
                    if need == "food" and need not in failed:
                        starved = sum(eaten) < long * enough - 1e-6
                        last = FOODS.index(self.lacking[-1]) if self.lacking else 0
                        food_ends = 0 if starved else last
                    failed.setdefault(need, number)
            if all(need in failed for need in NEEDS_AND_PIPES[:4]):
                break
            self._begin_day()
        days = [one.get(need, horizon_n) for one in (failed, bad) for need in NEEDS_AND_PIPES]
        return [*days, food_ends]

    @property
    def dark_hours(self):
        """The last 24 hours as bits, the last one lowest."""
        return sum(dark << back for back, dark in enumerate(reversed(self.hours_dark)))

    def trace(self, state_names, first_day=0, days_n=365, delivered=False):
        """Every hour: lists of states, flows, fuel left and (pantry, freezer, eaten)."""
        states, flows, fuel_left, foods = [], [], [], []

        def note(now, moved):
            states.append([float(getattr(self, name)) for name in state_names])
            flows.append(moved)
            fuel_left.append(list(self.fuel_wh.values()))
            foods.append([*in_morning, 0.0])

        all_days_n = len(self.hours.days.water_least_m3)
        for number in range(days_n):
            if not delivered:
                self._spoil(number)
            in_morning = (self.food.left_kcal(False), self.food.left_kcal(True))
            eaten_kcal = self.live_day((first_day + number) % all_days_n, note)
            for food in foods[-24:]:
                food[2] = eaten_kcal
            if delivered:
                self._deliver()
            self._begin_day()
        return states, flows, fuel_left, foods


# A stacked cord is 4 ft by 4 ft by 8 ft; the foot is 0.3048 m by definition.
CORD_M3 = 4 * 4 * 8 * 0.3048**3
