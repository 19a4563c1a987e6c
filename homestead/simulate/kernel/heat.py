"""Heat of one hour: heaters in their order, hot water, windows."""

from homestead.simulate.kernel.compile import inlined
from homestead.simulate.kernel.power import fits
from homestead.simulate.records import (
    AIR,
    COMFORT,
    COOLING,
    HOT_WATER,
    LATENT,
    NO_STORE,
    PEOPLE,
    PREHEAT,
    PV_DC,
    SUN_GAIN,
    TINY,
    USEFUL,
)


@inlined
def gains_w(appliances_w, rows, at, fixed):
    """Heat into the rooms from sun, people and appliances."""
    return rows[at, SUN_GAIN] + rows[at, PEOPLE] + fixed.appliance_heat_frac * appliances_w


@inlined
def heat_wanted_w(essential_w, falling_c, offer, rows, at, fixed):
    """Heat that brings the rooms to the thermostat by the end of the hour."""
    appliances_w = essential_w
    if offer.useful_on:
        appliances_w += rows[at, USEFUL]
    if offer.comfort_on:
        appliances_w += rows[at, COMFORT]
    free_c = falling_c + gains_w(appliances_w, rows, at, fixed) * fixed.c_per_w
    return max((fixed.keep_c - free_c) * fixed.w_per_c, 0.0)


@inlined
def fire(wanted_w, hour, air_c, left_w, fuel_wh, fixed):
    """Heaters in the order of the plan, each within its output, tending, fuel and electricity.

    Returns heat, electricity of blowers, electricity of electric heaters, fuel burnt, electricity
    that was missing, and power left.
    """
    heat_w = 0.0
    blower_w = 0.0
    electric_w = 0.0
    burnt_w = 0.0
    missing_w = 0.0
    for heater in range(fixed.heaters_n):
        most_w = fixed.heater_w[heater]
        tended_h = hour - fixed.heater_tended_from[heater]
        if tended_h < 0:  # begun the day before; a remainder would cost more than the rest
            tended_h += 24
        if tended_h >= fixed.heater_tended_h[heater]:
            most_w = fixed.heater_untended_w[heater]
        more_w = min(wanted_w - heat_w, most_w)
        electric_per_heat = fixed.heater_electric_per_heat[heater]
        if fixed.heater_mild_cop[heater] > 0.0:
            if air_c < fixed.heater_off_below_c[heater]:
                continue
            below_c = min(air_c - fixed.mild_c, 0.0)
            here_w = fixed.heater_mild_w[heater] + fixed.heater_w_per_c[heater] * below_c
            cop = fixed.heater_mild_cop[heater] + fixed.heater_cop_per_c[heater] * below_c
            more_w = min(more_w, here_w)
            electric_per_heat += 1.0 / max(cop, 1.0)
        if more_w <= 0.0:
            continue
        store = fixed.heater_store[heater]
        fuel_per_heat = fixed.heater_fuel_per_heat[heater]
        if store >= 0:
            more_w = min(more_w, fuel_wh[store] * fixed.heater_efficiency_frac[heater])
        possible_w = more_w
        if electric_per_heat > 0.0 and more_w * electric_per_heat > left_w:
            possible_w = left_w / electric_per_heat
        electricity_w = possible_w * electric_per_heat
        missing_w += more_w * electric_per_heat - electricity_w
        left_w = max(left_w - electricity_w, 0.0)
        heat_w += possible_w
        if store >= 0:
            fuel_wh[store] = max(fuel_wh[store] - possible_w * fuel_per_heat, 0.0)
            burnt_w += possible_w * fuel_per_heat
            blower_w += electricity_w
        else:
            electric_w += electricity_w
    if wanted_w - heat_w <= TINY:
        missing_w = 0.0  # another heater did it
    return heat_w, blower_w, electric_w, burnt_w, missing_w, left_w


@inlined
def surplus_w(state, left_w, offer, rows, at, fixed):
    """Sun that neither house nor battery needs; what loads take comes from the sun first.

    How full the battery is counts by what it still takes, since a cold one is full before it gives
    all.
    """
    lacks_frac = (fixed.battery_wh - state.battery_wh) * fixed.charge_state_per_wh
    if 1.0 - lacks_frac < fixed.surplus_above_frac:
        return 0.0
    sun_w = offer.pv_ac_w + rows[at, PV_DC] * fixed.inverter_efficiency_frac
    return max(sun_w - (offer.all_w - left_w) - offer.idle_w, 0.0)


@inlined
def heat_water(state, rows, at, water_frac, left_w, offer, fuel_wh, fixed):
    """Hot water by fuel, or by electricity with priority 2, if its element finds room to run.

    A tank is drawn from first and heated up again as far as the hour allows; what it cannot give
    is missing. Returns heat, fuel burnt, electricity used, electricity missing, heat in the tank.
    """
    if fixed.hot_water_store == NO_STORE:
        return 0.0, 0.0, 0.0, 0.0, 0.0
    coil_w = 0.0
    preheat_w = rows[at, PREHEAT] * water_frac
    if fixed.preheat_store >= 0:  # what the coil lacks in wood, the heater makes up
        coil_w = min(preheat_w * fixed.fuel_per_preheat, fuel_wh[fixed.preheat_store])
        fuel_wh[fixed.preheat_store] -= coil_w
        preheat_w = coil_w * fixed.preheat_efficiency_frac
    drawn_w = max(rows[at, HOT_WATER] * water_frac - preheat_w, 0.0)
    lost_w = fixed.standby_w
    asked_w = drawn_w + lost_w
    if fixed.hot_tank_wh > 0.0:
        lost_w = min(fixed.standby_w * state.hot_wh * fixed.hot_fill_per_wh, state.hot_wh)
        asked_w = fixed.hot_tank_wh - state.hot_wh + drawn_w + lost_w
    input_w = min(asked_w, fixed.hot_water_limit_w) * fixed.fuel_per_hot_water
    if fixed.hot_water_store >= 0:
        burnt_w = min(input_w, fuel_wh[fixed.hot_water_store])
        fuel_wh[fixed.hot_water_store] -= burnt_w
        heated_w = burnt_w * fixed.hot_water_efficiency_frac
        got_w = 0.0
    else:
        burnt_w = 0.0
        full_w = fixed.hot_water_limit_w * fixed.fuel_per_hot_water
        may_w = left_w if offer.useful_on and fits(full_w, left_w, offer) else 0.0
        if fixed.hot_tank_wh > 0.0:
            since_h = at % 24 - fixed.hot_from
            if since_h < 0:
                since_h += 24
            if since_h >= fixed.hot_hours:
                may_w = 0.0
            if fixed.hot_surplus == 1:
                may_w = min(may_w, surplus_w(state, left_w, offer, rows, at, fixed))
        got_w = min(input_w, may_w)
        heated_w = got_w * fixed.hot_water_efficiency_frac
    missing_w = input_w - got_w if fixed.hot_water_store < 0 else 0.0
    hot_wh = 0.0
    if fixed.hot_tank_wh > 0.0:
        there_wh = state.hot_wh + heated_w - lost_w
        given_w = min(drawn_w, there_wh)
        hot_wh = there_wh - given_w
        if fixed.hot_water_store < 0:
            missing_w = (drawn_w - given_w) * fixed.fuel_per_hot_water
    return heated_w + preheat_w, burnt_w + coil_w, got_w, missing_w, hot_wh


@inlined
def open_windows(warm_c, state, rows, at, fixed):
    """Heat let out through open windows when that helps, and the temperature after it."""
    air_c = rows[at, AIR]
    if rows[at, COOLING] > 0.0 and fixed.windows_shut == 1:
        return 0.0, warm_c
    if warm_c <= fixed.window_c or warm_c <= air_c:
        return 0.0, warm_c
    vented_w = min(
        (warm_c - fixed.window_c) * fixed.w_per_c,
        fixed.window_w_k * max(0.5 * (state.inside_c + warm_c) - air_c, 0.0),
    )
    return vented_w, warm_c - vented_w * fixed.c_per_w


@inlined
def cool(warm_c, left_w, offer, rows, at, fixed):
    """Electricity of cooling, what it lacked, and the heat that it takes out of the rooms."""
    if rows[at, COOLING] == 0.0 or warm_c <= fixed.cool_to_c:
        return 0.0, 0.0, 0.0
    # A unit that takes out this much heat takes moisture with it, up to what its coil can.
    sensible_w = (warm_c - fixed.cool_to_c) * fixed.w_per_c
    if fixed.latent_per_sensible >= 0.0:
        latent_w = sensible_w * fixed.latent_per_sensible
    else:
        latent_w = min(rows[at, LATENT], sensible_w * fixed.most_latent_per_sensible)
    total_w = sensible_w + latent_w
    asked_w = min(total_w, fixed.cool_w) * fixed.electric_per_cool
    cooling_w = 0.0
    if offer.comfort_on and fits(fixed.cool_full_w, left_w, offer):
        cooling_w = min(asked_w, left_w)
    cooled_w = cooling_w / fixed.electric_per_cool * (sensible_w / total_w)
    return cooling_w, asked_w - cooling_w, cooled_w
