"""Warmth of the plain homestead: its shell, its heaters and heat pumps, its hot water."""

import math

from plain_fuel import NEARLY_NOTHING

from homestead.formulas.warmth import cooling, heat, hot_water
from homestead.simulate import constants


class PlainWarmth:
    """What keeps the rooms and the water warm; stores and power are those of the homestead."""

    def _describe_house(self):
        plan, house, cool = self.plan, self.plan.house, self.plan.cooling
        self.loss_w_k = constants.heat_loss_w_k(plan)
        self.mass_wh_k = constants.heat_capacity_wh_k(plan)
        self.kept_share = math.exp(-self.loss_w_k / self.mass_wh_k)
        self.window_c = house.keep_c + 3.0
        if cool:
            self.window_c = (house.keep_c + min(self.window_c, cool.cool_to_c)) / 2.0
        air_m3 = house.floor_m2 * house.ceiling_m
        self.window_w_k = float(heat.infiltration_w_k(air_m3, house.open_window_air_changes_h))
        self.cop = float(cooling.cooling_cop(cool.seer)) if cool else 1.0
        self.full_cooling_w = cool.capacity_w / self.cop if cool else 0.0
        if cool and cool.eer is not None:
            self.full_cooling_w = cool.capacity_w / (cool.eer * 1055.06 / 3600.0)
        elif cool and cool.running_a is not None:
            self.full_cooling_w = cool.running_a * 240.0
        self.hot_wh = self.tank_wh = 0.0
        if plan.hot_water:
            rise_k = plan.hot_water.hot_c - self.hours.cold_water_c
            self.tank_wh = float(hot_water.water_heating_wh(plan.hot_water.tank_m3, rise_k))

    def _end_c(self, air_c, net_w, from_c=None):
        """Room temperature after one hour of steady heat: an exponential towards its end point."""
        from_c = self.inside_c if from_c is None else from_c
        towards_c = air_c + net_w / self.loss_w_k
        return towards_c + (from_c - towards_c) * self.kept_share

    def _attended(self, heater, hour_of_day):
        burns = {store.name: store.fuel for store in self.plan.fuels}.get(heater.store)
        from_h, to_h = heater.tended or ((6, 22) if burns == "cordwood" else (0, 24))
        if from_h < to_h:
            return from_h <= hour_of_day < to_h
        return from_h == to_h or hour_of_day >= from_h or hour_of_day < to_h

    def _light_heaters(self, wanted_w, air_c, hour_of_day):
        done = dict.fromkeys(("heat_w", "blower_w", "electric_w", "burnt_w", "missing_w"), 0.0)
        for heater in self.plan.heaters:
            most_w, gives = heater.output_w, heater.efficiency_frac
            if not self._attended(heater, hour_of_day):
                most_w *= heater.untended_frac
            if heater.is_heat_pump_by_air:
                points = [cooling.RATED_COLD_C, cooling.RATED_MILD_C]
                outputs = [heater.cold_output_w, heater.mild_output_w]
                most_w = min(most_w, float(cooling.heat_pump_capacity_w(air_c, points, outputs)))
                most_w = most_w if air_c >= heater.off_below_c else 0.0
                cops = [heater.cold_cop, heater.mild_cop]
                gives = float(cooling.heat_pump_cop(air_c, points, cops))
            more_w = min(wanted_w - done["heat_w"], most_w)
            if more_w <= 0.0:
                continue
            electric = heater.store == "electricity"
            power_per_heat = heater.electric_w / heater.output_w
            if electric:
                power_per_heat += 1.0 / gives
            else:
                more_w = min(more_w, self.fuel_wh[heater.store] * heater.efficiency_frac)
            if power_per_heat > 0.0:
                got_w = min(more_w, self.left_w / power_per_heat)
                done["missing_w"] += (more_w - got_w) * power_per_heat
                more_w = got_w
                done["electric_w" if electric else "blower_w"] += self._take(
                    more_w * power_per_heat
                )
            if not electric:
                done["burnt_w"] += self._burn(heater.store, more_w / heater.efficiency_frac)
            done["heat_w"] += more_w
        if wanted_w - done["heat_w"] <= NEARLY_NOTHING:
            done["missing_w"] = 0.0
        return done

    def _heat_water(self, now, got, powered, surplus_w):
        """Water as it is drawn, or a tank that is emptied first and then warmed again."""
        drawn_w, preheat_w = now["hot_water_w"] * got, now["preheat_w"] * got
        hot = self.plan.hot_water
        done = dict.fromkeys(("heat_w", "burnt_w", "electric_w", "missing_w"), 0.0)
        if hot is None:
            return done
        coil = next((one for one in self.plan.heaters if one.name == hot.preheat_heater), None)
        coil_burnt_w = 0.0
        if coil:
            coil_burnt_w = self._burn(coil.store, preheat_w / coil.efficiency_frac)
            preheat_w = coil_burnt_w * coil.efficiency_frac
        rest_w = max(drawn_w - preheat_w, 0.0)
        if hot.tank_m3 > 0.0:
            leaks_w = min(hot.standby_w * self.hot_wh / self.tank_wh, self.hot_wh)
            lacks_w = self.tank_wh - self.hot_wh + rest_w + leaks_w
        else:
            lacks_w = rest_w + hot.standby_w
        input_w = min(lacks_w / hot.efficiency_frac, hot.input_w)
        if hot.store == "electricity":
            may_heat = powered and self._finds_room(hot.input_w)
            if hot.tank_m3 > 0.0 and hot.heats == "timer":
                from_h, to_h = hot.between
                hours = [h % 24 for h in range(from_h, to_h if to_h > from_h else to_h + 24)]
                may_heat = may_heat and now["hour_of_day"] in hours
            if hot.tank_m3 > 0.0 and hot.heats == "surplus":
                input_by_sun_w = min(input_w, surplus_w)
            else:
                input_by_sun_w = input_w
            got_w = done["electric_w"] = self._take(input_by_sun_w) if may_heat else 0.0
            done["missing_w"] = input_w - got_w
        else:
            got_w = done["burnt_w"] = self._burn(hot.store, input_w)
        done["heat_w"] = got_w * hot.efficiency_frac
        if hot.tank_m3 > 0.0:
            self.hot_wh += done["heat_w"] - leaks_w
            out_wh = min(rest_w, self.hot_wh)
            self.hot_wh -= out_wh
            if hot.store == "electricity":
                done["missing_w"] = (rest_w - out_wh) / hot.efficiency_frac
        done["burnt_w"] += coil_burnt_w
        done["heat_w"] += preheat_w
        return done

    def _moisture_w(self, sensible_w, there_w):
        entered = self.plan.cooling.sensible_frac
        if entered is not None:
            return sensible_w * (1.0 - entered) / entered
        return min(there_w, sensible_w * 0.35 / 0.65)
