"""Water of the plain hour: who is served from well, pressure tank and cistern."""


class PlainWater:
    """Water of a plain homestead, and the power to move it."""

    def _pump(self, wanted_m3):
        could_m3 = min(wanted_m3, self.pump_left_m3, self.casing_m3)
        cost_wh = could_m3 * self.lift_wh_m3
        lifted_m3 = could_m3 if cost_wh <= self.left_w else self.left_w / self.lift_wh_m3
        self.pump_wh += self._take(lifted_m3 * self.lift_wh_m3)
        self.pump_missing_wh += (could_m3 - lifted_m3) * self.lift_wh_m3
        self.pump_left_m3 -= lifted_m3
        self.casing_m3 -= lifted_m3
        self.lifted_m3 += lifted_m3
        return lifted_m3

    def _from_cistern(self, wanted_m3, powered):
        cistern = self.plan.cistern
        if cistern is None or cistern.delivery == "bucket":
            return 0.0
        taken_m3 = min(wanted_m3, self.cistern_m3)
        if cistern.delivery == "booster pump":
            if not powered:
                return 0.0
            could_m3 = taken_m3
            if could_m3 * self.booster_wh_m3 > self.left_w:
                taken_m3 = self.left_w / self.booster_wh_m3
            self.pump_wh += self._take(taken_m3 * self.booster_wh_m3)
            self.pump_missing_wh += (could_m3 - taken_m3) * self.booster_wh_m3
        self.cistern_m3 -= taken_m3
        return taken_m3

    def _serve(self, wanted_m3, powered):
        """One demand for water; returns what it is short of."""
        first = self.plan.cistern is not None and self.plan.cistern.use == "first"
        short_m3 = wanted_m3
        if first:
            short_m3 -= self._from_cistern(short_m3, powered)
        if powered and short_m3 > 0.0:
            short_m3 -= self._pump(short_m3)
        if short_m3 > 0.0:
            from_tank_m3 = min(short_m3, self.tank_m3)
            self.tank_m3 -= from_tank_m3
            short_m3 -= from_tank_m3
        if not first and short_m3 > 0.0:
            short_m3 -= self._from_cistern(short_m3, powered)
        return max(short_m3, 0.0)

    def _carry(self, wanted_m3):
        by_hand = self.plan.by_hand
        if by_hand is None:
            return 0.0
        today_m3 = max(by_hand.flow_m3s * by_hand.daily_limit_s - self.hand_m3, 0.0)
        this_hour_m3 = by_hand.flow_m3s * 3600.0 - self.carried_this_hour_m3
        carried_m3 = min(wanted_m3, this_hour_m3, today_m3)
        if by_hand.source == "well":
            carried_m3 = min(carried_m3, self.casing_m3)
            self.casing_m3 -= carried_m3
            self.lifted_m3 += carried_m3
        else:
            carried_m3 = min(carried_m3, self.cistern_m3)
            self.cistern_m3 -= carried_m3
        self.hand_m3 += carried_m3
        self.carried_this_hour_m3 += carried_m3
        return carried_m3

    def _fill_up(self):
        tank_room_m3 = self.tank_full_m3 - self.tank_m3
        cistern = self.plan.cistern
        fills_to_m3 = 0.0
        if cistern is not None and cistern.from_well:
            fills_to_m3 = self.cistern_full_m3 * cistern.well_fills_to_frac
        cistern_room_m3 = max(fills_to_m3 - self.cistern_m3, 0.0)
        came_m3 = self._pump(tank_room_m3 + cistern_room_m3)
        self.tank_m3 += min(came_m3, tank_room_m3)
        self.cistern_m3 += came_m3 - min(came_m3, tank_room_m3)

    def _water_garden(self, wanted_m3, powered):
        if wanted_m3 <= 0.0:
            return 0.0
        kept_m3 = self.plan.garden.cistern_floor_frac * self.cistern_full_m3
        got_m3 = min(wanted_m3, max(self.cistern_m3 - kept_m3, 0.0))
        self.cistern_m3 -= got_m3
        if powered:
            got_m3 += self._pump(wanted_m3 - got_m3)
        return got_m3
