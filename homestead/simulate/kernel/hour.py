"""The coupled hour: power, water and warmth in one balance, by priority.

Knows no plan and no weather: `simulate.inputs` and `simulate.constants` turn both into the arrays
and constants used here. Energy in Wh over the hour, which is the average power in W; water in m³;
temperature in deg C.
"""

from homestead.simulate.kernel.compile import inlined
from homestead.simulate.kernel.fuel import give_back, hold_back, release
from homestead.simulate.kernel.heat import (
    cool,
    fire,
    gains_w,
    heat_wanted_w,
    heat_water,
    open_windows,
)
from homestead.simulate.kernel.power import drawn, offered, served_w
from homestead.simulate.kernel.water import (
    begin_water,
    carry_water,
    moved,
    refill,
    serve_water,
    water_garden,
)
from homestead.simulate.records import (
    AIR,
    COMFORT,
    COMFORT_REFUSED,
    DARK_ABOVE_FRAC,
    ESSENTIAL,
    ESSENTIAL_REFUSED,
    GARDEN,
    LEAST,
    OLDER_BITS,
    PV_AC,
    PV_DC,
    RAIN,
    REST,
    TINY,
    USEFUL,
    USEFUL_REFUSED,
    Flows,
    State,
)


@inlined
def step(state, fuel_wh, rows, at, fixed, capacity_by_c):
    """One hour.

    state (State) : At the start of the hour.
    fuel_wh (float array of shape (stores,)) : Energy left in each fuel store; updated in place.
    rows (float array of shape (hours, COLUMNS)) : Inputs of all hours.
    at : Which hour of them.
    fixed (Fixed) : The homestead.
    capacity_by_c (float array of shape (degrees,)) : Share of battery capacity at each whole deg C
        from COLDEST_C on.
    Gives (State, Flows): At the end of the hour, and what moved in it.
    """
    air_c = rows[at, AIR]
    held = hold_back(fuel_wh, rows, at, fixed)
    offer = offered(state, fuel_wh, rows, at, fixed, capacity_by_c)

    # Priority 1: appliances, heat to the thermostat, the least water.
    essential_w = served_w(rows[at, ESSENTIAL], rows[at, ESSENTIAL_REFUSED], offer.all_w, offer)
    falling_c = air_c + (state.inside_c - air_c) * fixed.decay_frac
    wanted_w = heat_wanted_w(essential_w, falling_c, offer, rows, at, fixed)
    heat_w, blower_w, heater_w, burnt_w, heat_missing_w, left_w = fire(
        wanted_w, at % 24, air_c, offer.all_w - essential_w, fuel_wh, fixed
    )
    rain_m3 = min(rows[at, RAIN], fixed.cistern_m3 - state.cistern_m3)
    pool = begin_water(state, rain_m3, left_w, offer, fixed)
    pool, least_short_m3 = serve_water(pool, rows[at, LEAST], True, fixed)
    pool, hand_m3 = carry_water(pool, least_short_m3, 0.0, state.hand_m3, fixed)
    least_short_m3 -= hand_m3

    supplied_w = essential_w + blower_w + heater_w + pool.pump_w
    water_missing_w = pool.power_short_w if least_short_m3 > TINY else 0.0
    essential_short_w = rows[at, ESSENTIAL] - essential_w + heat_missing_w + water_missing_w
    essential_asked_w = supplied_w + essential_short_w
    dark_frac = essential_short_w / essential_asked_w if essential_short_w > TINY else 0.0

    # Priority 2: appliances, the rest of the water, hot water, cooking, refilling.
    useful_w = 0.0
    if offer.useful_on:
        useful_w = served_w(rows[at, USEFUL], rows[at, USEFUL_REFUSED], pool.left_w, offer)
    pool = moved(pool, other_w=useful_w)
    pool, rest_short_m3 = serve_water(pool, rows[at, REST], offer.useful_on, fixed)
    pool, more_m3 = carry_water(pool, rest_short_m3, hand_m3, state.hand_m3, fixed)
    hand_m3 += more_m3
    rest_short_m3 -= more_m3
    water_frac = 1.0 - rest_short_m3 / rows[at, REST] if rest_short_m3 > 0.0 else 1.0
    hot_water_w, hot_burnt_w, element_w, hot_missing_w, hot_wh = heat_water(
        state, rows, at, water_frac, pool.left_w, offer, fuel_wh, fixed
    )
    pool = moved(pool, other_w=element_w)
    burnt_w += hot_burnt_w
    if fixed.cooking_store >= 0:
        cooking_w = min(fixed.cooking_w, fuel_wh[fixed.cooking_store])
        fuel_wh[fixed.cooking_store] -= cooking_w
        burnt_w += cooking_w
    if offer.useful_on and fixed.pump_m3 > 0.0:
        pool = refill(pool, fixed)

    # Priority 3: appliances, cooling, garden.
    comfort_w = 0.0
    if offer.comfort_on:
        comfort_w = served_w(rows[at, COMFORT], rows[at, COMFORT_REFUSED], pool.left_w, offer)
    pool = moved(pool, other_w=comfort_w)
    gain_w = gains_w(essential_w + useful_w + comfort_w, rows, at, fixed)
    warm_c = falling_c + (gain_w + heat_w) * fixed.c_per_w
    vented_w, warm_c = open_windows(warm_c, state, rows, at, fixed)
    cooling_w, cooling_short_w, cooled_w = cool(warm_c, pool.left_w, offer, rows, at, fixed)
    pool = moved(pool, other_w=cooling_w)
    pool, garden_m3 = water_garden(pool, rows[at, GARDEN], offer.comfort_on, fixed)

    # The rooms, by what went in and out of them.
    steady_c = air_c + (gain_w + heat_w - vented_w - cooled_w) * fixed.steady_c_per_w
    inside_c = steady_c + (state.inside_c - steady_c) * fixed.decay_frac
    average_c = steady_c + (state.inside_c - steady_c) * fixed.mean_frac

    # Where the power came from, and the fuel that it took.
    used_w = offer.all_w - pool.left_w
    source = drawn(used_w, state, offer, rows, at, fixed)
    boil_frac = release(held, fuel_wh, rows, at, fixed)
    generator_fuel_w = 0.0
    if offer.generator_frac > 0.0:
        generator_fuel_w = offer.generator_frac * fixed.no_load_fuel_w
        generator_fuel_w += fixed.fuel_per_w * source.generator_w
        give_back(fuel_wh, generator_fuel_w, offer, fixed)

    casing_m3 = min(pool.well_m3, fixed.casing_m3)
    delivered_m3 = rows[at, LEAST] - least_short_m3 + rows[at, REST] - rest_short_m3
    dark_hours = 2.0 * (int(state.dark_hours) & OLDER_BITS)
    if dark_frac > DARK_ABOVE_FRAC:
        dark_hours += 1.0
    # Counters stop at what they are asked for, so that long outages come to the same state.
    end = State(
        state.battery_wh - source.discharge_w + source.charge_w,
        offer.generator_on,
        offer.cut_off,
        casing_m3,
        pool.tank_m3,
        pool.cistern_m3,
        inside_c,
        state.generator_h + offer.generator_frac,
        state.hand_m3 + hand_m3,
        dark_hours,
        state.water_m3 + delivered_m3,
        min(state.cold_h + 1.0, fixed.cold_limit_h) if average_c < fixed.cold_below_c else 0.0,
        freezer_dark_h(state, dark_frac, useful_w, comfort_w, rows, at, fixed),
        state.garden_got_m3 + garden_m3,
        state.garden_needed_m3 + rows[at, GARDEN],
        hot_wh,
    )
    flows = Flows(
        pv_w=rows[at, PV_DC] + rows[at, PV_AC],
        curtailed_w=source.curtailed_w,
        generator_w=source.generator_w,
        generator_fuel_w=generator_fuel_w,
        generator_h=offer.generator_frac,
        discharge_w=source.discharge_w,
        charge_w=source.charge_w,
        used_w=used_w,
        idle_w=offer.idle_w,
        conversion_loss_w=source.conversion_loss_w,
        essential_w=essential_w,
        useful_w=useful_w,
        comfort_w=comfort_w,
        essential_asked_w=essential_asked_w,
        essential_short_w=essential_short_w,
        useful_short_w=rows[at, USEFUL] - useful_w + hot_missing_w,
        comfort_short_w=rows[at, COMFORT] - comfort_w + cooling_short_w,
        pump_w=pool.pump_w,
        blower_w=blower_w,
        cooling_w=cooling_w,
        electric_heat_w=heater_w + element_w,
        heat_w=heat_w,
        gain_w=gain_w,
        vented_w=vented_w,
        cooled_w=cooled_w,
        lost_w=fixed.loss_w_k * (average_c - air_c),
        hot_water_w=hot_water_w,
        fuel_w=burnt_w,
        rain_m3=rain_m3,
        inflow_m3=casing_m3 - state.casing_m3 + pool.pumped_m3,
        pumped_m3=pool.pumped_m3,
        delivered_m3=delivered_m3,
        garden_m3=garden_m3,
        least_short_m3=least_short_m3,
        rest_short_m3=rest_short_m3,
        dark_frac=dark_frac,
        boil_frac=boil_frac,
    )
    return end, flows


@inlined
def freezer_dark_h(state, dark_frac, useful_w, comfort_w, rows, at, fixed):
    """Hours that the freezer has been without power, by the priority of what it runs with.

    Each powered hour takes back one dark hour; a thawing freezer does not start anew.
    """
    if fixed.freezer_priority == 2:
        dark_frac = 1.0 - useful_w / rows[at, USEFUL] if rows[at, USEFUL] > 0.0 else 0.0
    elif fixed.freezer_priority == 3:
        dark_frac = 1.0 - comfort_w / rows[at, COMFORT] if rows[at, COMFORT] > 0.0 else 0.0
    return min(max(state.freezer_dark_h + 2.0 * dark_frac - 1.0, 0.0), fixed.freezer_hold_h)
