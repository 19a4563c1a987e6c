"""The coupled hour: sun, loads, battery, generator, water and warmth in one balance.

Owns the arithmetic of one hour. Knows no plan and no weather: `simulate.inputs` turns both
into the arrays and constants used here. Energy in Wh over the hour, which is the mean power in W;
water in m³; temperature in deg C.
"""

from homestead.simulate.kernel.compile import inlined
from homestead.simulate.kernel.fuel import (
    drawn_of_boil_off,
    generator_holds_wh,
    give_back,
    hold_back,
    reserve,
)
from homestead.simulate.kernel.heat import fire, heat_water, open_windows
from homestead.simulate.kernel.water import (
    carry_water,
    moved,
    refill,
    serve_water,
    water_garden,
)
from homestead.simulate.records import (
    AIR,
    BOOSTER,
    CHILLED_C,
    COLDEST_C,
    COMFORT,
    COMFORT_REFUSED,
    COOLING,
    DARK_ABOVE_FRAC,
    ESSENTIAL,
    ESSENTIAL_REFUSED,
    GARDEN,
    GENERATOR,
    GRAVITY,
    LATENT,
    LEAST,
    OLDER_BITS,
    PEOPLE,
    PV_AC,
    PV_DC,
    RAIN,
    REST,
    SUN_GAIN,
    TINY,
    USEFUL,
    USEFUL_REFUSED,
    Flows,
    Pool,
    State,
)


@inlined
def capacity_at(capacity_by_c, cell_c):
    """Share of battery capacity at a cell temperature, linear between whole degrees."""
    at = min(max(cell_c - COLDEST_C, 0.0), capacity_by_c.size - 1.001)
    below = int(at)
    part = at - below
    return capacity_by_c[below] * (1.0 - part) + capacity_by_c[below + 1] * part


@inlined
def offer_of_battery(state, rows, at, fixed, capacity_by_c):
    """Cell temperature, usable charge, power for the house, power to keep the inverter awake."""
    cell_c = state.inside_c if fixed.battery_inside == 1 else rows[at, AIR]
    # Cold takes from the lower end: the floor rises, what is stored stays.
    in_cold = capacity_at(capacity_by_c, cell_c)
    floor_wh = fixed.battery_wh * (1.0 - fixed.discharge_depth_frac * in_cold)
    usable_wh = max(state.battery_wh - floor_wh, 0.0)
    charge_state = usable_wh * fixed.charge_state_per_wh
    from_cells_w = min(fixed.discharge_w, usable_wh * fixed.discharge_efficiency_frac)
    # The house is cut off above the level at which the main inverter itself goes to sleep.
    reserve_wh = max(fixed.battery_wh * (1.0 - fixed.discharge_depth_frac) - fixed.dead_wh, 0.0)
    above_wh = max(state.battery_wh - floor_wh + reserve_wh * in_cold, 0.0)
    awake_w = min(fixed.discharge_w, above_wh * fixed.discharge_efficiency_frac)
    return cell_c, charge_state, from_cells_w, awake_w


@inlined
def is_cut_off(state, charge_state, fixed):
    """1 if the house is switched off: from an empty battery until it holds the reconnect level."""
    if fixed.battery_wh <= 0.0 or fixed.former_w <= 0.0 or fixed.reconnect_frac <= 0.0:
        return 0.0
    if charge_state <= TINY:
        return 1.0
    return 0.0 if charge_state >= fixed.reconnect_frac else state.cut_off


@inlined
def bits_set(bits):
    """How many bits are set, of hours or nights."""
    bits = int(bits)
    found = 0
    while bits > 0:
        bits &= bits - 1
        found += 1
    return found


@inlined
def engine_is_needed(state, rows, at, fixed):
    """Whether a house without a battery, where nothing else makes a grid, needs its generator.

    For appliances, for water when tank and what runs by gravity do not last the hour, and for
    heat when the rooms have fallen below the thermostat.
    """
    if rows[at, ESSENTIAL] + rows[at, USEFUL] + rows[at, COMFORT] > TINY:
        return True
    if fixed.pump_m3 > 0.0 or fixed.delivery == BOOSTER:
        at_hand_m3 = state.tank_m3
        if fixed.delivery == GRAVITY:
            at_hand_m3 += state.cistern_m3
        if rows[at, LEAST] > at_hand_m3 + TINY:
            return True
    return fixed.heat_needs_power == 1 and state.inside_c < fixed.keep_c - CHILLED_C


@inlined
def offer_of_generator(state, charge_state, fuel_wh, rows, at, fixed):
    """Whether the generator is on, its share of the hour, and the fuel kept for it."""
    if rows[at, GENERATOR] <= 0.0 or fixed.generator_store < 0:
        return 0.0, 0.0, 0.0
    on = state.generator_on
    if fixed.battery_wh <= 0.0:
        on = 1.0 if engine_is_needed(state, rows, at, fixed) else 0.0
    elif charge_state < fixed.start_below_frac:
        on = 1.0
    elif charge_state >= fixed.stop_above_frac:
        on = 0.0
    if on == 0.0:
        return 0.0, 0.0, 0.0
    full_wh = fixed.no_load_fuel_w + fixed.fuel_per_w * rows[at, GENERATOR]
    running_frac = min(1.0, generator_holds_wh(fuel_wh, fixed) / full_wh)
    running_frac = min(running_frac, max(fixed.daily_limit_h - state.generator_h, 0.0))
    if running_frac < TINY:
        return on, 0.0, 0.0  # the last drop of rounding is not a running generator
    return on, running_frac, running_frac * full_wh


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
    held_0_wh = held_1_wh = before_0_wh = before_1_wh = 0.0
    if fixed.tanks_n > 0:
        held_0_wh = hold_back(fuel_wh, rows, at, 0, fixed)
        held_1_wh = hold_back(fuel_wh, rows, at, 1, fixed)
        before_0_wh = fuel_wh[fixed.tank_store[0]]
        before_1_wh = fuel_wh[fixed.tank_store[1]] if fixed.tanks_n > 1 else 0.0
    cell_c, charge_state, from_cells_w, awake_w = offer_of_battery(
        state, rows, at, fixed, capacity_by_c
    )
    generator_on, running_frac, reserved_wh = offer_of_generator(
        state, charge_state, fuel_wh, rows, at, fixed
    )
    first_wh = 0.0
    if running_frac > 0.0:
        first_wh = reserve(fuel_wh, reserved_wh, fixed)
    generator_limit_w = running_frac * rows[at, GENERATOR]

    # The main inverter's own draw comes first and takes the last of the battery.
    idle_w = 0.0
    former_up = False
    inverter_limit_w = 0.0
    room_w = 0.0  # what may run at one moment, whatever energy there is for it
    cut_off = is_cut_off(state, charge_state, fixed)
    if fixed.former_w > 0.0:
        idle_w = min(fixed.idle_w, rows[at, PV_DC] + awake_w)
        former_up = rows[at, PV_DC] + awake_w > fixed.idle_w
        if former_up and cut_off == 0.0:
            bus_w = max(rows[at, PV_DC] + from_cells_w - idle_w, 0.0)
            inverter_limit_w = min(fixed.former_w, bus_w * fixed.inverter_efficiency_frac)
            bus_w = rows[at, PV_DC] + fixed.discharge_w
            room_w = min(fixed.former_w, bus_w * fixed.inverter_efficiency_frac)
    # Grid-following inverters stop where nothing makes a grid.
    pv_ac_w = rows[at, PV_AC] if former_up or running_frac > 0.0 else 0.0
    offered_w = pv_ac_w + generator_limit_w + inverter_limit_w
    if cut_off == 1.0 and running_frac == 0.0:
        offered_w = 0.0  # what sun there is charges the battery
    # The loads were packed into what inverters give; a generator beside them carries more.
    beside_w = 0.0
    if running_frac > 0.0:
        room_w += rows[at, GENERATOR]
        if fixed.battery_wh > 0.0:
            beside_w = generator_limit_w
    room_w += pv_ac_w
    useful_on = running_frac > 0.0 or charge_state >= fixed.useful_below_frac
    comfort_on = running_frac > 0.0 or charge_state >= fixed.comfort_below_frac

    # Priority 1: appliances, then heat, then the least water.
    refused_w = max(rows[at, ESSENTIAL_REFUSED] - beside_w, 0.0)
    essential_w = min(rows[at, ESSENTIAL] - refused_w, offered_w)
    left_w = offered_w - essential_w

    # Heat that brings the rooms to the thermostat by the end of the hour.
    expected_w = essential_w
    if useful_on:
        expected_w += rows[at, USEFUL]
    if comfort_on:
        expected_w += rows[at, COMFORT]
    steady_gain_w = rows[at, SUN_GAIN] + rows[at, PEOPLE]
    falling_c = air_c + (state.inside_c - air_c) * fixed.decay_frac
    expected_gain_w = steady_gain_w + fixed.appliance_heat_frac * expected_w
    free_c = falling_c + expected_gain_w * fixed.c_per_w
    heat_wanted_w = max((fixed.keep_c - free_c) * fixed.w_per_c, 0.0)
    heat_w, blower_w, electric_heat_w, burnt_w, heat_missing_w, left_w = fire(
        heat_wanted_w, at % 24, air_c, left_w, fuel_wh, fixed
    )
    if heat_wanted_w - heat_w <= TINY:
        heat_missing_w = 0.0  # another heater did it

    rain_m3 = min(rows[at, RAIN], fixed.cistern_m3 - state.cistern_m3)
    drawn_m3 = fixed.casing_m3 - state.casing_m3
    pump_wh_m3 = fixed.pump_wh_m3 + fixed.pump_wh_m3_m3 * drawn_m3
    pump_m3 = fixed.pump_m3
    if pump_m3 * pump_wh_m3 > room_w - (offered_w - left_w) + TINY and offered_w > 0.0:
        pump_m3 = 0.0  # its motor finds no room beside what runs already
    pool = Pool(
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
    pool, least_short_m3 = serve_water(pool, rows[at, LEAST], True, fixed)
    hand_m3 = 0.0
    if least_short_m3 > 0.0:
        pool, hand_m3 = carry_water(pool, least_short_m3, 0.0, state.hand_m3, fixed)
        least_short_m3 -= hand_m3
    least_pump_w = pool.pump_w
    water_missing_w = pool.power_short_w if least_short_m3 > TINY else 0.0

    supplied_w = essential_w + blower_w + electric_heat_w + least_pump_w
    essential_short_w = rows[at, ESSENTIAL] - essential_w + heat_missing_w + water_missing_w
    essential_asked_w = supplied_w + essential_short_w
    dark_frac = 0.0
    if essential_short_w > TINY:
        dark_frac = essential_short_w / essential_asked_w

    # Priority 2: appliances, the rest of the water, hot water, refilling.
    refused_w = max(rows[at, USEFUL_REFUSED] - beside_w, 0.0)
    useful_w = min(rows[at, USEFUL] - refused_w, pool.left_w) if useful_on else 0.0
    pool = moved(pool, other_w=useful_w)
    pool, rest_short_m3 = serve_water(pool, rows[at, REST], useful_on, fixed)
    if rest_short_m3 > 0.0:
        pool, more_m3 = carry_water(pool, rest_short_m3, hand_m3, state.hand_m3, fixed)
        hand_m3 += more_m3
        rest_short_m3 -= more_m3
    water_frac = 1.0
    if rest_short_m3 > 0.0:
        water_frac = 1.0 - rest_short_m3 / rows[at, REST]
    # Sun that neither house nor battery needs; what loads take comes from the sun first. How full
    # the battery is counts by what it still takes, since a cold one is full before it gives all.
    surplus_w = 0.0
    lacks_frac = (fixed.battery_wh - state.battery_wh) * fixed.charge_state_per_wh
    if fixed.hot_surplus == 1 and 1.0 - lacks_frac >= fixed.surplus_above_frac:
        sun_w = pv_ac_w + rows[at, PV_DC] * fixed.inverter_efficiency_frac
        surplus_w = max(sun_w - (offered_w - pool.left_w) - idle_w, 0.0)
    hot_water_w, hot_burnt_w, hot_electric_w, hot_missing_w, hot_wh = heat_water(
        state,
        rows,
        at,
        water_frac,
        useful_on,
        surplus_w,
        pool.left_w,
        room_w - (offered_w - pool.left_w),
        fuel_wh,
        fixed,
    )
    burnt_w += hot_burnt_w
    electric_heat_w += hot_electric_w
    pool = moved(pool, other_w=hot_electric_w)
    useful_short_w = rows[at, USEFUL] - useful_w + hot_missing_w
    if fixed.cooking_store >= 0:
        cooking_w = min(fixed.cooking_w, fuel_wh[fixed.cooking_store])
        fuel_wh[fixed.cooking_store] -= cooking_w
        burnt_w += cooking_w
    if useful_on and fixed.pump_m3 > 0.0:
        pool = refill(pool, fixed)

    # Priority 3: appliances, cooling, garden.
    refused_w = max(rows[at, COMFORT_REFUSED] - beside_w, 0.0)
    comfort_w = min(rows[at, COMFORT] - refused_w, pool.left_w) if comfort_on else 0.0
    left_w = pool.left_w - comfort_w
    comfort_short_w = rows[at, COMFORT] - comfort_w
    gain_w = steady_gain_w + fixed.appliance_heat_frac * (essential_w + useful_w + comfort_w)
    warm_c = falling_c + (gain_w + heat_w) * fixed.c_per_w
    vented_w = 0.0
    if rows[at, COOLING] == 0.0 or fixed.windows_shut == 0:
        vented_w, warm_c = open_windows(warm_c, state, air_c, fixed)
    cooling_w = 0.0
    cooled_w = 0.0
    if rows[at, COOLING] > 0.0 and warm_c > fixed.cool_to_c:
        # A unit that takes out this much heat takes moisture with it, up to what its coil can.
        sensible_w = (warm_c - fixed.cool_to_c) * fixed.w_per_c
        if fixed.latent_per_sensible >= 0.0:
            latent_w = sensible_w * fixed.latent_per_sensible
        else:
            latent_w = min(rows[at, LATENT], sensible_w * fixed.most_latent_per_sensible)
        total_w = sensible_w + latent_w
        asked_w = min(total_w, fixed.cool_w) * fixed.electric_per_cool
        if comfort_on and fixed.cool_full_w <= room_w - (offered_w - left_w) + TINY:
            cooling_w = min(asked_w, left_w)
        left_w -= cooling_w
        comfort_short_w += asked_w - cooling_w
        cooled_w = cooling_w / fixed.electric_per_cool * (sensible_w / total_w)
    steady_c = air_c + (gain_w + heat_w - vented_w - cooled_w) * fixed.steady_c_per_w
    inside_c = steady_c + (state.inside_c - steady_c) * fixed.decay_frac
    mean_c = steady_c + (state.inside_c - steady_c) * fixed.mean_frac
    garden_m3 = 0.0
    if rows[at, GARDEN] > 0.0:
        pool = moved(pool, other_w=pool.left_w - left_w)
        pool, garden_m3 = water_garden(pool, rows[at, GARDEN], comfort_on, fixed)
        left_w = pool.left_w

    # Where the power came from: PV inverters, generator, then the main inverter.
    used_w = offered_w - left_w
    from_pv_ac_w = min(used_w, pv_ac_w)
    if running_frac > 0.0 and fixed.battery_wh <= 0.0:
        # Sun beside an engine would push its load to nothing: it is held back before that.
        least_w = fixed.least_load_frac * generator_limit_w
        from_pv_ac_w = min(from_pv_ac_w, max(used_w - least_w, 0.0))
    from_generator_w = min(used_w - from_pv_ac_w, generator_limit_w)
    inverter_w = used_w - from_pv_ac_w - from_generator_w
    bus_w = inverter_w * fixed.bus_per_house + idle_w
    from_pv_dc_w = min(rows[at, PV_DC], bus_w)
    discharge_w = (bus_w - from_pv_dc_w) * fixed.discharge_per_bus

    # Charging with what is left of the sun, then with the generator.
    room_w = 0.0
    if cell_c >= fixed.charge_lowest_c:
        room_w = fixed.battery_wh - (state.battery_wh - discharge_w)
        room_w = max(min(room_w * fixed.bus_per_charge, fixed.charge_w), 0.0)
    charge_dc_w = min(rows[at, PV_DC] - from_pv_dc_w, room_w)
    charger_w = min(fixed.charger_w, (room_w - charge_dc_w) * fixed.house_per_bus)
    charge_pv_w = min(pv_ac_w - from_pv_ac_w, charger_w)
    charge_generator_w = min(generator_limit_w - from_generator_w, charger_w - charge_pv_w)
    charger_in_w = charge_pv_w + charge_generator_w
    into_cells_w = charge_dc_w + charger_in_w * fixed.charger_efficiency_frac
    charge_w = into_cells_w * fixed.charge_efficiency_frac
    generator_w = from_generator_w + charge_generator_w
    generator_fuel_w = 0.0
    boil_frac = 0.0
    if fixed.tanks_n > 0:
        boil_frac = drawn_of_boil_off(before_0_wh, fuel_wh, rows, at, 0, fixed)
        if fixed.tanks_n > 1:
            second_frac = drawn_of_boil_off(before_1_wh, fuel_wh, rows, at, 1, fixed)
            boil_frac = max(boil_frac, second_frac)
            fuel_wh[fixed.tank_store[1]] += held_1_wh
        fuel_wh[fixed.tank_store[0]] += held_0_wh
    if running_frac > 0.0:
        generator_fuel_w = running_frac * fixed.no_load_fuel_w + fixed.fuel_per_w * generator_w
        spare_wh = max(reserved_wh - generator_fuel_w, 0.0)
        give_back(fuel_wh, spare_wh, reserved_wh, first_wh, fixed)
    conversion_loss_w = (
        inverter_w * (fixed.bus_per_house - 1.0)
        + discharge_w * (1.0 - fixed.discharge_efficiency_frac)
        + charger_in_w * (1.0 - fixed.charger_efficiency_frac)
        + into_cells_w * (1.0 - fixed.charge_efficiency_frac)
    )

    freezer_dark_frac = dark_frac
    if fixed.freezer_priority == 2:
        freezer_dark_frac = 1.0 - useful_w / rows[at, USEFUL] if rows[at, USEFUL] > 0.0 else 0.0
    elif fixed.freezer_priority == 3:
        freezer_dark_frac = 1.0 - comfort_w / rows[at, COMFORT] if rows[at, COMFORT] > 0.0 else 0.0
    dark_hours = 2.0 * (int(state.dark_hours) & OLDER_BITS)
    if dark_frac > DARK_ABOVE_FRAC:
        dark_hours += 1.0
    # Each powered hour takes back one dark hour; a thawing freezer does not start anew. Counters
    # stop at what they are asked for, so that long outages come to the same state.
    freezer_dark_h = max(state.freezer_dark_h + 2.0 * freezer_dark_frac - 1.0, 0.0)
    casing_m3 = min(pool.well_m3, fixed.casing_m3)
    delivered_m3 = rows[at, LEAST] - least_short_m3 + rows[at, REST] - rest_short_m3
    end = State(
        state.battery_wh - discharge_w + charge_w,
        generator_on,
        cut_off,
        casing_m3,
        pool.tank_m3,
        pool.cistern_m3,
        inside_c,
        state.generator_h + running_frac,
        state.hand_m3 + hand_m3,
        dark_hours,
        state.water_m3 + delivered_m3,
        min(state.cold_h + 1.0, fixed.cold_limit_h) if mean_c < fixed.cold_below_c else 0.0,
        min(freezer_dark_h, fixed.freezer_hold_h),
        state.garden_got_m3 + garden_m3,
        state.garden_needed_m3 + rows[at, GARDEN],
        hot_wh,
    )
    flows = Flows(
        pv_w=rows[at, PV_DC] + rows[at, PV_AC],
        curtailed_w=rows[at, PV_DC]
        - from_pv_dc_w
        - charge_dc_w
        + rows[at, PV_AC]
        - from_pv_ac_w
        - charge_pv_w,
        generator_w=generator_w,
        generator_fuel_w=generator_fuel_w,
        generator_h=running_frac,
        discharge_w=discharge_w,
        charge_w=charge_w,
        used_w=used_w,
        idle_w=idle_w,
        conversion_loss_w=conversion_loss_w,
        essential_w=essential_w,
        useful_w=useful_w,
        comfort_w=comfort_w,
        essential_asked_w=essential_asked_w,
        essential_short_w=essential_short_w,
        useful_short_w=useful_short_w,
        comfort_short_w=comfort_short_w,
        pump_w=pool.pump_w,
        blower_w=blower_w,
        cooling_w=cooling_w,
        electric_heat_w=electric_heat_w,
        heat_w=heat_w,
        gain_w=gain_w,
        vented_w=vented_w,
        cooled_w=cooled_w,
        lost_w=fixed.loss_w_k * (mean_c - air_c),
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
