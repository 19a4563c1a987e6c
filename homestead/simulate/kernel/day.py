"""A day of hours, and what its end decides about the needs."""

from homestead.simulate.kernel.compile import inlined, uncounted, within
from homestead.simulate.kernel.food import eat
from homestead.simulate.kernel.hour import step
from homestead.simulate.kernel.kept import OUTCOMES_N
from homestead.simulate.records import AIR, NOTHING, TINY, WEEK_DAYS, State, Today

WEEK_BITS = (1 << WEEK_DAYS) - 1
SLACK_WH = 1.0  # more than rounding can take from a store in a day


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
def next_morning(state):
    """Set back the counters of the day, and those of the garden, which are kept per start."""
    return State(
        state.battery_wh,
        state.generator_on,
        state.cut_off,
        state.casing_m3,
        state.tank_m3,
        state.cistern_m3,
        state.inside_c,
        0.0,
        0.0,
        state.dark_hours,
        0.0,
        state.cold_h,
        state.freezer_dark_h,
        0.0,
        0.0,
        state.hot_wh,
    )


@within
def day_of(state, fuel_wh, rows, day, fixed, capacity_by_c):
    """Twenty-four hours: the state at their end, and what of them decides about the needs."""
    fuel_wh, rows, capacity_by_c = uncounted((fuel_wh, rows, capacity_by_c))
    was_dark = 0.0
    was_cold = 0.0
    asked_wh = 0.0
    short_wh = 0.0
    coldest_pipes_c = 1e9
    freezer_dark_h = 0.0
    boil_frac = 0.0
    for hour in range(24):
        at = day * 24 + hour
        state, flows = step(state, fuel_wh, rows, at, fixed, capacity_by_c)
        asked_wh += flows.essential_asked_w
        short_wh += flows.essential_short_w
        if int(state.dark_hours) & 1:  # only a dark hour makes it worse
            if bits_set(state.dark_hours) > fixed.dark_limit_h + TINY:
                was_dark = 1.0
        if state.cold_h >= fixed.cold_limit_h:
            was_cold = 1.0
        outside_c = fixed.pipes_outside_frac * (rows[at, AIR] - state.inside_c)
        coldest_pipes_c = min(coldest_pipes_c, state.inside_c + outside_c)
        freezer_dark_h = max(freezer_dark_h, state.freezer_dark_h)
        boil_frac = max(boil_frac, flows.boil_frac)
    today = Today(
        was_dark,
        asked_wh,
        short_wh,
        state.water_m3,
        was_cold,
        coldest_pipes_c,
        freezer_dark_h,
        state.garden_got_m3,
        state.garden_needed_m3,
        state.generator_h,
        boil_frac,
    )
    return next_morning(state), today


@inlined
def note(failed, one, day, horizon_n, outcome, is_bad, ends):
    """Put down the first bad day of an outcome, and the day on which it ends."""
    if is_bad and failed[one, OUTCOMES_N + outcome] == horizon_n:
        failed[one, OUTCOMES_N + outcome] = day
    if ends and failed[one, outcome] == horizon_n:
        failed[one, outcome] = day


@inlined
def end_of_day(one, day, slot, horizon_n, at, today, fixed, days, larder, kept, eats_on):
    """Food of the day, bad days and failures, for start number `one`; its rows are updated.

    one, day, slot, at : As in `eat`.
    eats_on (bool) : Whether food is followed after it has failed.
    """
    failed, nights, essential_wh, week_wh = (
        kept.failed, kept.nights, kept.essential_wh, kept.week_wh,
    )  # fmt: skip
    thin, ends_food = False, NOTHING
    if eats_on or failed[one, 3] == horizon_n:
        thin, ends_food = eat(one, day, slot, at, today, fixed, days, larder, kept)
    hungry = ends_food != NOTHING
    if hungry and failed[one, 3] == horizon_n:
        failed[one, 2 * OUTCOMES_N] = ends_food
    pipes = today.coldest_pipes_c < fixed.pipes_below_c
    dark = today.was_dark > 0.0
    dry = today.water_m3 < days.water_least_m3[at] - TINY
    cold = today.was_cold > 0.0
    dark_nights = (nights[one, 0] << 1 & WEEK_BITS) | dark
    cold_nights = (nights[one, 1] << 1 & WEEK_BITS) | cold
    dry_days = nights[one, 2] + 1 if dry else 0
    nights[one, 0] = dark_nights
    nights[one, 1] = cold_nights
    nights[one, 2] = dry_days
    week_slot = day % WEEK_DAYS
    asked_wh = week_wh[one, 0] + (today.asked_wh - essential_wh[0, week_slot, one])
    short_wh = week_wh[one, 1] + (today.short_wh - essential_wh[1, week_slot, one])
    week_wh[one, 0] = asked_wh
    week_wh[one, 1] = short_wh
    essential_wh[0, week_slot, one] = today.asked_wh
    essential_wh[1, week_slot, one] = today.short_wh
    # Days before isolation count as served, with as much asked for as since.
    asked_wh *= WEEK_DAYS / min(day + 1, WEEK_DAYS)
    unserved = short_wh > fixed.unserved_frac * asked_wh + SLACK_WH
    power_ends = unserved or (dark and bits_set(dark_nights) >= fixed.bad_nights_n)
    warmth_ends = pipes or (cold and bits_set(cold_nights) >= fixed.bad_nights_n)
    note(failed, one, day, horizon_n, 0, dark or power_ends, power_ends)
    note(failed, one, day, horizon_n, 1, dry, dry_days >= fixed.dry_days_n)
    note(failed, one, day, horizon_n, 2, cold or warmth_ends, warmth_ends)
    note(failed, one, day, horizon_n, 3, thin or hungry, hungry)
    note(failed, one, day, horizon_n, 4, pipes, pipes)


@inlined
def all_failed(failed, one, horizon_n):
    """Whether every need of a start has failed; pipes do not count."""
    return max(failed[one, 0], failed[one, 1], failed[one, 2], failed[one, 3]) < horizon_n


@inlined
def is_over(failed, one, horizon_n, stop_bits):
    """Whether nothing more is asked of a start: any need of the bits failed, or all of four."""
    for need in range(4):
        if stop_bits >> need & 1 and failed[one, need] < horizon_n:
            return True
    return all_failed(failed, one, horizon_n)
