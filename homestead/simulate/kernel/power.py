"""Power of one hour: what battery, generator and sun can give, and what each of them gave."""

from typing import NamedTuple

from homestead.simulate.kernel.compile import inlined
from homestead.simulate.kernel.fuel import generator_holds_wh, reserve
from homestead.simulate.records import (
    AIR,
    BOOSTER,
    CHILLED_C,
    COLDEST_C,
    COMFORT,
    ESSENTIAL,
    GENERATOR,
    GRAVITY,
    LEAST,
    PV_AC,
    PV_DC,
    TINY,
    USEFUL,
)


class Offer(NamedTuple):
    """Power of one hour before anything runs."""

    cell_c: float
    cut_off: float
    idle_w: float  # the main inverter's own draw, which takes the last of the battery
    pv_ac_w: float  # of inverters that follow a grid which something makes
    generator_on: float
    generator_frac: float  # of the hour in which the generator runs
    generator_w: float
    fuel_reserved_wh: float  # for the generator
    fuel_first_wh: float  # of it, from the first of two stores
    all_w: float
    room_w: float  # what may run at one moment, whatever energy there is for it
    beside_w: float  # of a generator that carries what finds no room on the inverters
    useful_on: bool
    comfort_on: bool


class Sources(NamedTuple):
    """Where the power of one hour came from, and where what was left of it went."""

    from_pv_dc_w: float
    from_pv_ac_w: float
    generator_w: float  # to the house and into the battery
    discharge_w: float
    charge_w: float
    curtailed_w: float
    conversion_loss_w: float


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
def offered(state, fuel_wh, rows, at, fixed, capacity_by_c):
    """Offer of the hour; the generator's fuel is set aside for it."""
    cell_c, charge_state, from_cells_w, awake_w = offer_of_battery(
        state, rows, at, fixed, capacity_by_c
    )
    generator_on, generator_frac, reserved_wh = offer_of_generator(
        state, charge_state, fuel_wh, rows, at, fixed
    )
    runs = generator_frac > 0.0
    first_wh = reserve(fuel_wh, reserved_wh, fixed) if runs else 0.0
    generator_w = generator_frac * rows[at, GENERATOR]

    idle_w = 0.0
    former_up = False
    inverter_w = 0.0
    room_w = 0.0
    cut_off = is_cut_off(state, charge_state, fixed)
    if fixed.former_w > 0.0:
        idle_w = min(fixed.idle_w, rows[at, PV_DC] + awake_w)
        former_up = rows[at, PV_DC] + awake_w > fixed.idle_w
        if former_up and cut_off == 0.0:
            bus_w = max(rows[at, PV_DC] + from_cells_w - idle_w, 0.0)
            inverter_w = min(fixed.former_w, bus_w * fixed.inverter_efficiency_frac)
            bus_w = rows[at, PV_DC] + fixed.discharge_w
            room_w = min(fixed.former_w, bus_w * fixed.inverter_efficiency_frac)
    # Grid-following inverters stop where nothing makes a grid.
    pv_ac_w = rows[at, PV_AC] if former_up or runs else 0.0
    all_w = pv_ac_w + generator_w + inverter_w
    if cut_off == 1.0 and not runs:
        all_w = 0.0  # what sun there is charges the battery
    # The loads were packed into what inverters give; a generator beside them carries more.
    beside_w = 0.0
    if runs:
        room_w += rows[at, GENERATOR]
        if fixed.battery_wh > 0.0:
            beside_w = generator_w
    room_w += pv_ac_w
    return Offer(
        cell_c,
        cut_off,
        idle_w,
        pv_ac_w,
        generator_on,
        generator_frac,
        generator_w,
        reserved_wh,
        first_wh,
        all_w,
        room_w,
        beside_w,
        runs or charge_state >= fixed.useful_below_frac,
        runs or charge_state >= fixed.comfort_below_frac,
    )


@inlined
def served_w(load_w, refused_w, left_w, offer):
    """What of some appliances runs, within the power that is left and the room beside the rest."""
    return min(load_w - max(refused_w - offer.beside_w, 0.0), left_w)


@inlined
def fits(asked_w, left_w, offer):
    """Whether a motor or an element finds room beside what runs already."""
    return asked_w <= offer.room_w - (offer.all_w - left_w) + TINY


@inlined
def drawn(used_w, state, offer, rows, at, fixed):
    """Sources of what the house used: PV inverters, generator, then the main inverter.

    The battery is charged with what is left of the sun, then with the generator.
    """
    from_pv_ac_w = min(used_w, offer.pv_ac_w)
    if offer.generator_frac > 0.0 and fixed.battery_wh <= 0.0:
        # Sun beside an engine would push its load to nothing: it is held back before that.
        least_w = fixed.least_load_frac * offer.generator_w
        from_pv_ac_w = min(from_pv_ac_w, max(used_w - least_w, 0.0))
    from_generator_w = min(used_w - from_pv_ac_w, offer.generator_w)
    inverter_w = used_w - from_pv_ac_w - from_generator_w
    bus_w = inverter_w * fixed.bus_per_house + offer.idle_w
    from_pv_dc_w = min(rows[at, PV_DC], bus_w)
    discharge_w = (bus_w - from_pv_dc_w) * fixed.discharge_per_bus

    takes_w = 0.0
    if offer.cell_c >= fixed.charge_lowest_c:
        takes_w = fixed.battery_wh - (state.battery_wh - discharge_w)
        takes_w = max(min(takes_w * fixed.bus_per_charge, fixed.charge_w), 0.0)
    charge_dc_w = min(rows[at, PV_DC] - from_pv_dc_w, takes_w)
    charger_w = min(fixed.charger_w, (takes_w - charge_dc_w) * fixed.house_per_bus)
    charge_pv_w = min(offer.pv_ac_w - from_pv_ac_w, charger_w)
    charge_generator_w = min(offer.generator_w - from_generator_w, charger_w - charge_pv_w)
    charger_in_w = charge_pv_w + charge_generator_w
    into_cells_w = charge_dc_w + charger_in_w * fixed.charger_efficiency_frac
    return Sources(
        from_pv_dc_w,
        from_pv_ac_w,
        from_generator_w + charge_generator_w,
        discharge_w,
        into_cells_w * fixed.charge_efficiency_frac,
        rows[at, PV_DC] - from_pv_dc_w - charge_dc_w + rows[at, PV_AC] - from_pv_ac_w - charge_pv_w,
        inverter_w * (fixed.bus_per_house - 1.0)
        + discharge_w * (1.0 - fixed.discharge_efficiency_frac)
        + charger_in_w * (1.0 - fixed.charger_efficiency_frac)
        + into_cells_w * (1.0 - fixed.charge_efficiency_frac),
    )
