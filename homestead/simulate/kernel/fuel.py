"""Fuel of the generator from one store and then another, and fuel that goes stale.

Both cost a plan without them one comparison of whole numbers.
"""

import numba

# Inlined as everything of the hour is; see hour.py.
inlined = numba.njit(cache=True, nogil=True, error_model="numpy", forceinline=True)


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
def give_back(fuel_wh, spare_wh, reserved_wh, first_wh, fixed):
    """Put back what was set aside and not burned, into the second store first."""
    if fixed.generator_second >= 0:
        second_wh = min(spare_wh, reserved_wh - first_wh)
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
