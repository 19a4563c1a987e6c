"""Fuel of the generator from one store and then another, stale fuel, and what propane boils off.

Each costs a plan without it one comparison of whole numbers.
"""

from homestead.simulate.kernel.compile import inlined
from homestead.simulate.records import BOIL, TANK_STEPS_N


@inlined
def generator_holds_wh(fuel_wh, fixed):
    """Fuel that the generator can draw on: of its store, and of the second one where it has one."""
    held_wh = fuel_wh[fixed.generator_store]
    if fixed.generator_second >= 0:
        held_wh += fuel_wh[fixed.generator_second]
    return held_wh


@inlined
def reserve(fuel_wh, reserved_wh, fixed):
    """Set fuel aside for an hour, the first store's first; returns what came from the first."""
    if fixed.generator_second < 0:
        fuel_wh[fixed.generator_store] -= reserved_wh
        return reserved_wh
    first_wh = min(reserved_wh, fuel_wh[fixed.generator_store])
    fuel_wh[fixed.generator_store] -= first_wh
    second_wh = min(reserved_wh - first_wh, fuel_wh[fixed.generator_second])
    fuel_wh[fixed.generator_second] -= second_wh
    return first_wh


@inlined
def give_back(fuel_wh, burned_wh, offer, fixed):
    """Put back what was set aside and not burned, into the second store first."""
    spare_wh = max(offer.fuel_reserved_wh - burned_wh, 0.0)
    if fixed.generator_second >= 0:
        second_wh = min(spare_wh, offer.fuel_reserved_wh - offer.fuel_first_wh)
        fuel_wh[fixed.generator_second] += second_wh
        spare_wh -= second_wh
    fuel_wh[fixed.generator_store] += spare_wh


@inlined
def spoil(fuel_wh, day, fixed):
    """Take out the stores that are stale from this day of isolation on; their bits."""
    bits = 0
    if fixed.some_spoil == 1:
        for store in range(fuel_wh.size):
            if day >= fixed.keeps_days[store]:
                fuel_wh[store] = 0.0
                bits |= 1 << store
    return bits


@inlined
def boil_off_share(rows, at, tank, fixed):
    """What a propane tank boils off in this hour over what it does in air at 0 degF."""
    buried_frac = fixed.tank_buried_frac[tank]
    return buried_frac if buried_frac > 0.0 else rows[at, BOIL]


@inlined
def boil_off_w(left_wh, tank, fixed):
    """What a propane tank with so much left in it boils off in air at 0 degF."""
    fill_frac = (left_wh + fixed.tank_heel_wh[tank]) * fixed.tank_fill_per_wh[tank]
    step_n = min(max(fill_frac, 0.0) * 10.0, TANK_STEPS_N - 1.001)
    below = int(step_n)
    by_fill_w = fixed.tank_w[tank]
    return by_fill_w[below] + (by_fill_w[below + 1] - by_fill_w[below]) * (step_n - below)


@inlined
def hold_back_of(fuel_wh, rows, at, tank, fixed):
    """Take out of a tank what does not boil off in this hour: what was in it, what was taken."""
    store = fixed.tank_store[tank]
    before_wh = fuel_wh[store]
    boiled_wh = boil_off_w(before_wh, tank, fixed) * boil_off_share(rows, at, tank, fixed)
    held_wh = max(before_wh - boiled_wh, 0.0)
    fuel_wh[store] -= held_wh
    return fuel_wh[store], held_wh


@inlined
def hold_back(fuel_wh, rows, at, fixed):
    """Take out of the propane tanks, for one hour, what does not boil off in it.

    Returns what is left in the first and what was taken out of it, then of the second.
    """
    left_0_wh = held_0_wh = left_1_wh = held_1_wh = 0.0
    if fixed.tanks_n > 0:
        left_0_wh, held_0_wh = hold_back_of(fuel_wh, rows, at, 0, fixed)
    if fixed.tanks_n > 1:
        left_1_wh, held_1_wh = hold_back_of(fuel_wh, rows, at, 1, fixed)
    return left_0_wh, held_0_wh, left_1_wh, held_1_wh


@inlined
def drawn_of_boil_off(left_wh, fuel_wh, rows, at, tank, fixed):
    """What was drawn from a tank over what a full one boils off in this hour."""
    most_w = fixed.tank_w[tank][TANK_STEPS_N - 1] * boil_off_share(rows, at, tank, fixed)
    if most_w <= 0.0:
        return 0.0
    return (left_wh - fuel_wh[fixed.tank_store[tank]]) / most_w


@inlined
def release(held, fuel_wh, rows, at, fixed):
    """Put back what `hold_back` took; the most drawn from a tank, as a share of its boil-off."""
    left_0_wh, held_0_wh, left_1_wh, held_1_wh = held
    boil_frac = 0.0
    if fixed.tanks_n > 0:
        boil_frac = drawn_of_boil_off(left_0_wh, fuel_wh, rows, at, 0, fixed)
    if fixed.tanks_n > 1:
        second_frac = drawn_of_boil_off(left_1_wh, fuel_wh, rows, at, 1, fixed)
        boil_frac = max(boil_frac, second_frac)
        fuel_wh[fixed.tank_store[1]] += held_1_wh
    if fixed.tanks_n > 0:
        fuel_wh[fixed.tank_store[0]] += held_0_wh
    return boil_frac


@inlined
def left_that_boils_off(boil_frac, tank, fixed):
    """Least that must be left in a tank to boil off this share of what a full one does. [Wh]."""
    by_fill_w = fixed.tank_w[tank]
    asked_w = min(boil_frac, 1.0) * by_fill_w[TANK_STEPS_N - 1]
    for below in range(TANK_STEPS_N - 1):
        if by_fill_w[below + 1] >= asked_w and by_fill_w[below + 1] > by_fill_w[below]:
            part = (asked_w - by_fill_w[below]) / (by_fill_w[below + 1] - by_fill_w[below])
            fill_frac = (below + max(part, 0.0)) / 10.0
            return fill_frac / fixed.tank_fill_per_wh[tank] - fixed.tank_heel_wh[tank]
    return 0.0
