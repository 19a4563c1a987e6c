"""Water of one hour: who is served, from well, pressure tank and cistern, and how it gets there."""

from homestead.simulate.kernel.compile import inlined
from homestead.simulate.kernel.power import fits
from homestead.simulate.records import BOOSTER, BUCKET, HAND_CISTERN, HAND_WELL, Pool


@inlined
def moved(
    pool,
    cistern_m3=0.0,
    tank_m3=0.0,
    lifted_m3=0.0,
    by_pump_m3=0.0,
    pump_w=0.0,
    other_w=0.0,
    missing_w=0.0,
):
    """Pool after water or power moved: gains of stores, water out of the well, power taken."""
    return Pool(
        pool.cistern_m3 + cistern_m3,
        pool.tank_m3 + tank_m3,
        pool.well_m3 - lifted_m3,
        pool.pump_left_m3 - by_pump_m3,
        pool.pump_wh_m3,
        pool.pumped_m3 + lifted_m3,
        pool.pump_w + pump_w,
        pool.power_short_w + missing_w,
        max(pool.left_w - pump_w - other_w, 0.0),
    )


@inlined
def begin_water(state, rain_m3, left_w, offer, fixed):
    """Pool of the hour: what stands in cistern, tank and well, and what the pump may lift."""
    drawn_m3 = fixed.casing_m3 - state.casing_m3
    pump_wh_m3 = fixed.pump_wh_m3 + fixed.pump_wh_m3_m3 * drawn_m3
    pump_m3 = fixed.pump_m3
    if offer.all_w > 0.0 and not fits(pump_m3 * pump_wh_m3, left_w, offer):
        pump_m3 = 0.0
    return Pool(
        state.cistern_m3 + rain_m3,
        state.tank_m3,
        state.casing_m3 + fixed.well_yield_m3,
        pump_m3,
        pump_wh_m3,
        0.0,
        0.0,
        0.0,
        left_w,
    )


@inlined
def pump_from_well(pool, wanted_m3, fixed):
    """Lift water as far as pump, well and power allow; returns the pool and what came up."""
    ready_m3 = min(wanted_m3, pool.pump_left_m3, pool.well_m3)
    take_m3 = ready_m3
    if take_m3 * pool.pump_wh_m3 > pool.left_w:
        take_m3 = pool.left_w / pool.pump_wh_m3
    missing_w = (ready_m3 - take_m3) * pool.pump_wh_m3
    pump_w = take_m3 * pool.pump_wh_m3
    after = moved(pool, lifted_m3=take_m3, by_pump_m3=take_m3, pump_w=pump_w, missing_w=missing_w)
    return after, take_m3


@inlined
def draw_from_cistern(pool, wanted_m3, powered, fixed):
    """Water from the cistern by gravity or booster pump; a bucket is worked by hand instead."""
    take_m3 = min(wanted_m3, pool.cistern_m3)
    used_w = 0.0
    missing_w = 0.0
    if fixed.delivery == BUCKET or (fixed.delivery == BOOSTER and not powered):
        take_m3 = 0.0
    elif fixed.delivery == BOOSTER:
        ready_m3 = take_m3
        if take_m3 * fixed.booster_wh_m3 > pool.left_w:
            take_m3 = pool.left_w / fixed.booster_wh_m3
        used_w = take_m3 * fixed.booster_wh_m3
        missing_w = (ready_m3 - take_m3) * fixed.booster_wh_m3
    after = moved(pool, cistern_m3=-take_m3, pump_w=used_w, missing_w=missing_w)
    return after, take_m3


@inlined
def serve_water(pool, wanted_m3, powered, fixed):
    """One demand of the house from well, pressure tank and cistern, in the plan's order.

    The cistern goes first or last; the pressure tank is the buffer right after the pump.
    """
    short_m3 = wanted_m3
    if wanted_m3 <= 0.0:
        return pool, 0.0
    if fixed.cistern_first == 1:
        pool, take_m3 = draw_from_cistern(pool, short_m3, powered, fixed)
        short_m3 -= take_m3
    if powered and short_m3 > 0.0:
        pool, take_m3 = pump_from_well(pool, short_m3, fixed)
        short_m3 -= take_m3
    if short_m3 > 0.0:
        take_m3 = min(short_m3, pool.tank_m3)
        pool = moved(pool, tank_m3=-take_m3)
        short_m3 -= take_m3
    if fixed.cistern_first == 0 and short_m3 > 0.0:
        pool, take_m3 = draw_from_cistern(pool, short_m3, powered, fixed)
        short_m3 -= take_m3
    return pool, max(short_m3, 0.0)


@inlined
def carry_water(pool, wanted_m3, this_hour_m3, before_m3, fixed):
    """Water by hand pump or bucket, on top of this hour's, within its rate and the day's time."""
    if wanted_m3 <= 0.0:
        return pool, 0.0
    day_left_m3 = max(fixed.hand_day_m3 - before_m3 - this_hour_m3, 0.0)
    take_m3 = min(wanted_m3, fixed.hand_m3 - this_hour_m3, day_left_m3)
    if fixed.hand_source == HAND_WELL:
        take_m3 = min(take_m3, pool.well_m3)
        pool = moved(pool, lifted_m3=take_m3)
    elif fixed.hand_source == HAND_CISTERN:
        take_m3 = min(take_m3, pool.cistern_m3)
        pool = moved(pool, cistern_m3=-take_m3)
    else:
        take_m3 = 0.0
    return pool, take_m3


@inlined
def refill(pool, fixed):
    """Fill the pressure tank, then the cistern, with what the pump has left."""
    room_m3 = fixed.tank_m3 - pool.tank_m3
    room_m3 += max(fixed.well_fills_to_m3 - pool.cistern_m3, 0.0)
    pool, take_m3 = pump_from_well(pool, room_m3, fixed)
    to_tank_m3 = min(take_m3, fixed.tank_m3 - pool.tank_m3)
    return moved(pool, tank_m3=to_tank_m3, cistern_m3=take_m3 - to_tank_m3)


@inlined
def water_garden(pool, wanted_m3, powered, fixed):
    """Garden water: cistern down to what is kept for the house, then the well."""
    if wanted_m3 <= 0.0:
        return pool, 0.0
    take_m3 = min(wanted_m3, max(pool.cistern_m3 - fixed.garden_floor_m3, 0.0))
    pool = moved(pool, cistern_m3=-take_m3)
    if powered:
        pool, more_m3 = pump_from_well(pool, wanted_m3 - take_m3, fixed)
        take_m3 += more_m3
    return pool, take_m3
