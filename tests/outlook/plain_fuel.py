"""Fuel of the plain hour: what a cold tank boils off, and the generator that burns it."""

from homestead.formulas.warmth import fuels

NEARLY_NOTHING = 1e-9
ZERO_F_C = -32.0 / 1.8


class PlainFuel:
    """Tanks and generator of a plain homestead."""

    def _tanks(self):
        return [store for store in self.plan.fuels if store.fuel == "propane"][:2]

    def _boils_w(self, store, now, full=False):
        """What a tank boils off in this hour: Btu/h = D x L x K(fill) x share of the air."""
        tank_m3 = store.tank_m3 or max(store.amount / 0.8, 0.05)
        size_m = fuels.propane_tank_size_m(min(tank_m3, 200.0))
        if store.tank_diameter_m is not None and store.tank_length_m is not None:
            size_m = (store.tank_diameter_m, store.tank_length_m)
        per_m3_wh = float(fuels.fuel_energy_wh("propane", 1.0))
        liquid_m3 = self.fuel_wh[store.name] / per_m3_wh + store.amount * store.reserve_frac
        fill = 0.8 if full else min(liquid_m3 / tank_m3, 0.799)
        at_zero_w = float(fuels.propane_vaporisation_w(*size_m, fill, ZERO_F_C))
        share = now["boil_frac"]
        if store.tank_place == "underground":
            share = float(fuels.propane_vaporisation_share(20.0 / 1.8 + ZERO_F_C))
        return at_zero_w * share

    def _hold_liquid_back(self, now):
        waiting_wh = {}
        for store in self._tanks():
            boils_wh = self._boils_w(store, now)
            waiting_wh[store.name] = max(self.fuel_wh[store.name] - boils_wh, 0.0)
            self.fuel_wh[store.name] -= waiting_wh[store.name]
        return waiting_wh

    def _let_liquid_back(self, waiting_wh, at_hand_wh, now):
        """Returns the most that was drawn from a tank, over what it boils off when full."""
        boiling = 0.0
        for store in self._tanks():
            most_w = self._boils_w(store, now, full=True)
            drawn_wh = at_hand_wh[store.name] - self.fuel_wh[store.name]
            if most_w > 0.0:
                boiling = max(boiling, drawn_wh / most_w)
            self.fuel_wh[store.name] += waiting_wh[store.name]
        return boiling

    def _needs_engine(self, now):
        """Without a battery: whether anything is switched on, or water or warmth run out."""
        if now["essential_w"] + now["useful_w"] + now["comfort_w"] > NEARLY_NOTHING:
            return True
        delivery = self.plan.cistern.delivery if self.plan.cistern else "gravity"
        by_itself_m3 = self.tank_m3 + (self.cistern_m3 if delivery == "gravity" else 0.0)
        if self.plan.pump or delivery == "booster pump":
            if now["water_least_m3"] > by_itself_m3 + NEARLY_NOTHING:
                return True
        powered = any(one.electric_w or one.store == "electricity" for one in self.plan.heaters)
        return powered and self.inside_c < self.plan.house.keep_c - 0.01

    def _start_generator(self, charge, now):
        engine = self.plan.generator
        if engine is None or now["generator_w"] <= 0.0:
            self.generator_on = False
            return 0.0, 0.0
        if self.plan.battery is None:
            self.generator_on = self._needs_engine(now)
        elif charge < engine.start_below_frac:
            self.generator_on = True
        elif charge >= engine.stop_above_frac:
            self.generator_on = False
        if not self.generator_on:
            return 0.0, 0.0
        full_wh = self._engine_fuel_wh(1.0, now["generator_w"])
        hours_left = max(self.engine_daily_h - self.generator_h, 0.0)
        held_wh = sum(self.fuel_wh[name] for name in self._engine_stores())
        frac = min(1.0, held_wh / full_wh, hours_left)
        if frac < NEARLY_NOTHING:
            return 0.0, 0.0
        self.generator_h += frac
        # An hour's fuel is set aside, the first store down to nothing before the second.
        self.aside_wh, wanted_wh = {}, frac * full_wh
        for name in self._engine_stores():
            self.aside_wh[name] = self._burn(name, wanted_wh)
            wanted_wh -= self.aside_wh[name]
        return frac, frac * full_wh

    def _engine_stores(self):
        engine = self.plan.generator
        return [name for name in (engine.store, engine.second_store) if name]

    def _engine_fuel_wh(self, frac, output_wh):
        engine = self.plan.generator
        per_wh = (engine.full_load_fuel_w - engine.no_load_fuel_w) / engine.rated_w
        return frac * engine.no_load_fuel_w + per_wh * output_wh

    def _settle_generator(self, frac, output_wh, set_aside_wh):
        if frac <= 0.0:
            return 0.0
        burnt_wh = self._engine_fuel_wh(frac, output_wh)
        left_wh = burnt_wh
        for name, aside_wh in self.aside_wh.items():
            used_wh = min(left_wh, aside_wh)
            left_wh -= used_wh
            self.fuel_wh[name] += aside_wh - used_wh
        return burnt_wh
