"""Days from hours: what a day decides about the needs, and the loop over days and starts.

Owns the end of the day (first failures), single starts, many starts together, and the trace
of every hour. The arithmetic of the hour itself stands in hour.py.
"""

import numpy as np

from homestead.simulate.kernel.food import NOTHING, due_of, eat, larder_rows, restock
from homestead.simulate.kernel.fuel import left_that_boils_off, spoil
from homestead.simulate.kernel.hour import bits_set, compiled, inlined, step
from homestead.simulate.kernel.uncounted import uncounted
from homestead.simulate.records import (
    AIR,
    FLOWS_N,
    ITEMS,
    NUTRIENTS_N,
    TINY,
    WEEK_DAYS,
    State,
    Today,
)
from homestead.vocabulary import OUTCOMES

OUTCOMES_N = len(OUTCOMES)
WEEK_BITS = (1 << WEEK_DAYS) - 1
FIELDS_N, TODAY_N = len(State._fields), len(Today._fields)
# A strand is worked with this much in every store, so that what it takes is what it needs.
PLENTY_WH = 1e8
EMPTY_WH = 1e-6
SLACK_WH = 1.0  # more than rounding can take from a store in a day
# States that differ by less than this share of their size live the same day. [-]
SAME_FRAC = 1e-9


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
    )


@compiled
def day_of(state, fuel_wh, rows, day, fixed, capacity_by_c):
    """Twenty-four hours: the state at their end, and what of them decides about the needs."""
    fuel_wh, rows, capacity_by_c = uncounted(fuel_wh), uncounted(rows), uncounted(capacity_by_c)
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
def end_of_day(
    one, day, slot, horizon_n, at, today, least_m3, frozen_n, garden, beasts, per_kcal, limits_g,
    butcher, fixed, failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh, eats_on,
):  # fmt: skip
    """Food of the day, bad days and failures, for start number `one`; its rows are updated.

    Parameters
    ----------
    slot : int
        Row of `eaten` that this day takes.
    least_m3 : float
        Of the day.
    frozen_n, garden, beasts, per_kcal, limits_g, butcher, due_frac, meal
        As in `eat`. Taken out of their tuples once by the caller: taking an array out of a tuple
        counts a reference, which two threads would fight over for each start and day.
    failed : int array of shape (starts, 2 * outcomes + 1)
        Day of each failure for good, then of the first bad day of each, then what ended food.
    food : float array
        As `larder_rows`.
    eaten : float array of shape (window, starts)
    nights : int array of shape (starts, 3)
        Bad nights of power and of warmth in the last week, as bits; dry days in a row.
    essential_wh : float array of shape (2, WEEK_DAYS, starts)
        Essential load asked for and not served, of each of the last days.
    week_wh : float array of shape (starts, 2)
        Their sums.
    eats_on : bool
        Whether food is followed after it has failed.
    """
    thin, ends_food = False, NOTHING
    if eats_on or failed[one, 3] == horizon_n:
        thin, ends_food = eat(
            one, day, slot, at, today.freezer_dark_h, today.garden_got_m3, today.garden_needed_m3,
            frozen_n, fixed, garden, beasts, per_kcal, due_frac, limits_g, butcher, food, eaten,
            meal,
        )  # fmt: skip
    hungry = ends_food != NOTHING
    if hungry and failed[one, 3] == horizon_n:
        failed[one, 2 * OUTCOMES_N] = ends_food
    pipes = today.coldest_pipes_c < fixed.pipes_below_c
    dark = today.was_dark > 0.0
    dry = today.water_m3 < least_m3 - TINY
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


@compiled
def stock(starts_n, horizon_n, fixed, larder, window_n):
    """Arrays that `end_of_day` keeps for each start, as they are when isolation begins."""
    failed = np.full((starts_n, 2 * OUTCOMES_N + 1), horizon_n, np.int32)
    failed[:, 2 * OUTCOMES_N] = NOTHING
    food = larder_rows(starts_n, fixed, larder, window_n)
    eaten = np.full((window_n, starts_n), fixed.need_kcal)
    due_frac = due_of(horizon_n, larder)
    meal = np.zeros(larder.item_kcal.size + 3 * larder.feed_kg.size + 1 + NUTRIENTS_N)
    nights = np.zeros((starts_n, 3), np.int64)
    essential_wh = np.zeros((2, WEEK_DAYS, starts_n))
    week_wh = np.zeros((starts_n, 2))
    return failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh


@inlined
def menu(larder):
    """What `end_of_day` needs of the larder: frozen items, and arrays as in `eat`."""
    per_kcal, limits_g = uncounted(larder.per_kcal), uncounted(larder.limits_g)
    return larder.frozen_n, per_kcal, limits_g, uncounted(larder.butcher)


@inlined
def days_uncounted(days):
    """Least water by day, garden and animals."""
    return uncounted(days[0]), uncounted(days[1]), uncounted(days[2])


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


@compiled
def live_on(
    first_day, elapsed, until, horizon_n, rows, days, fixed, capacity_by_c, start, larder, fuel_wh,
    failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh,
):  # fmt: skip
    """Go on with one start from a day of it to another; its stocks are updated.

    Returns
    -------
    State
        On the morning of day `until`, or earlier where every need has failed by then.
    """
    least_m3, garden, beasts = days_uncounted(days)
    frozen_n, per_kcal, limits_g, butcher = menu(larder)
    failed, food, eaten = uncounted(failed), uncounted(food), uncounted(eaten)
    due_frac, meal, nights = uncounted(due_frac), uncounted(meal), uncounted(nights)
    essential_wh, week_wh = uncounted(essential_wh), uncounted(week_wh)
    window_n = eaten.shape[0]
    state = start
    for day in range(elapsed, until):
        at = (first_day + day) % least_m3.size
        spoil(fuel_wh, day, fixed)
        state, today = day_of(state, fuel_wh, rows, at, fixed, capacity_by_c)
        end_of_day(
            0, day, day % window_n, horizon_n, at, today, least_m3[at], frozen_n, garden, beasts,
            per_kcal, limits_g, butcher, fixed, failed, food, eaten, due_frac, meal, nights,
            essential_wh, week_wh, False,
        )  # fmt: skip
        if all_failed(failed, 0, horizon_n):
            break
    return state


@compiled
def run_alone(
    first_day, horizon_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh, window_n
):
    """Days until each outcome of `OUTCOMES` comes for good, then until the first bad day of each.

    One start worked by itself, and last what ended food. The horizon if it never comes. Stops
    early when every need has failed.
    """
    failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh = stock(
        1, horizon_n, fixed, larder, window_n
    )
    live_on(
        first_day, 0, horizon_n, horizon_n, rows, days, fixed, capacity_by_c, start, larder,
        fuel_start_wh.copy(), failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh,
    )  # fmt: skip
    return failed[0]


@inlined
def to_row(state, row):
    """Write a state into a row of floats."""
    for field in range(FIELDS_N):
        row[field] = state[field]


@inlined
def to_state(row):
    """Read a state back from a row of floats."""
    return State(
        row[0], row[1], row[2], row[3], row[4], row[5], row[6],
        row[7], row[8], row[9], row[10], row[11], row[12], row[13], row[14],
    )  # fmt: skip


@compiled
def join(state, bits, states, lacks, strands_n, same):
    """Number of the strand with this state and these empty stores; a new one if there is none."""
    to_row(state, states[strands_n])
    for strand in range(strands_n):
        if lacks[strand] != bits:
            continue
        alike = True
        for field in range(FIELDS_N):
            if abs(states[strand, field] - states[strands_n, field]) > same[field]:
                alike = False
                break
        if alike:
            return strand
    lacks[strands_n] = bits
    return strands_n


@compiled
def part_with_stale(
    elapsed, horizon_n, fuel_wh, fixed, strand_of, states, lacks, strands_n, same
):  # fmt: skip
    """Move starts whose fuel goes stale this morning to the strand that lacks it.

    Returns the number of strands; the fuel of a start that begins today is seen to as well.
    """
    for one in range(max(elapsed - horizon_n + 1, 0), min(elapsed + 1, strand_of.size)):
        stale = spoil(fuel_wh[one], elapsed - one, fixed)
        strand = strand_of[one]
        if strand >= 0 and lacks[strand] | stale != lacks[strand]:
            morning = to_state(states[strand])
            strand_of[one] = join(morning, lacks[strand] | stale, states, lacks, strands_n, same)
            strands_n = max(strands_n, strand_of[one] + 1)
    return strands_n


@compiled
def close_day(
    first_one, last_one, elapsed, slot, horizon_n, at, stop_bits, strand_of, lived,
    days, larder, fixed, failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh,
):  # fmt: skip
    """End the day of all starts that lived it; those that are over leave their strand."""
    least_m3, garden, beasts = days_uncounted(days)
    frozen_n, per_kcal, limits_g, butcher = menu(larder)
    failed, food, eaten = uncounted(failed), uncounted(food), uncounted(eaten)
    due_frac, meal, nights = uncounted(due_frac), uncounted(meal), uncounted(nights)
    essential_wh, week_wh = uncounted(essential_wh), uncounted(week_wh)
    for one in range(first_one, last_one):
        if strand_of[one] > -2:
            continue
        today = Today(
            lived[one, 0], lived[one, 1], lived[one, 2], lived[one, 3], lived[one, 4],
            lived[one, 5], lived[one, 6], lived[one, 7], lived[one, 8], lived[one, 9],
            lived[one, 10],
        )  # fmt: skip
        end_of_day(
            one, elapsed - one, slot, horizon_n, at, today, least_m3[at], frozen_n, garden, beasts,
            per_kcal, limits_g, butcher, fixed, failed, food, eaten, due_frac, meal, nights,
            essential_wh, week_wh, False,
        )  # fmt: skip
        if elapsed - one == horizon_n - 1 or is_over(failed, one, horizon_n, stop_bits):
            strand_of[one] = -1
        else:
            strand_of[one] = -2 - strand_of[one]


@compiled
def run_starts(
    first_day,
    starts_n,
    horizon_n,
    rows,
    days,
    fixed,
    capacity_by_c,
    start,
    larder,
    fuel_start_wh,
    generator_full_wh,
    same,
    window_n,
    stop_bits,
):
    """Days until each outcome for many starts, one on each day from `first_day` on.

    Starts that have come to the same state on the same morning (battery full, rooms at the
    thermostat, ...) live the same day from then on, whatever their fuel and food, as long as no
    fuel runs short. Such starts share one strand, which is worked once. A start whose fuel could
    run short that day is worked by itself with its own fuel; once a store is empty it shares
    again, with those that lack the same store.

    Parameters
    ----------
    generator_full_wh : float
        Fuel of a full hour of the generator. A running generator needs that much before it
        knows what it will use; everything else takes what it needs while there is any.
    same : float array of shape (fields of State,)
        Differences below which two states count as the same.
    stop_bits : int
        Needs as bits, power first: a start is over when one of them has failed, and what would
        have failed later is not looked for. 0 looks for all.

    Returns
    -------
    int array of shape (starts, 2 * outcomes + 1)
        As `run_alone` for each.
    """
    days_n = days[0].size
    failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh = stock(
        starts_n, horizon_n, fixed, larder, window_n
    )
    lived = np.empty((starts_n, TODAY_N))  # what each start's day has to say of its needs
    stores_n = fuel_start_wh.size
    fuel_wh = np.empty((starts_n, stores_n))
    fuel_wh[:] = fuel_start_wh
    strand_of = np.full(starts_n, -1, np.int64)  # -1: not begun or done with
    # Strands of this morning and of the next, each with the stores that it lacks as bits.
    # One more for each store that goes stale in a start on the same morning.
    most_n = starts_n + 1 + stores_n
    states, next_states = np.empty((most_n, FIELDS_N)), np.empty((most_n, FIELDS_N))
    lacks = np.zeros(most_n, np.int64)
    next_lacks = np.zeros(most_n, np.int64)
    used_wh = np.empty(stores_n)
    trial_wh = np.empty(stores_n)
    least_wh = np.empty(stores_n)  # that a start must have left to share its day
    strands_n = 0
    for elapsed in range(starts_n + horizon_n - 1):
        at = (first_day + elapsed) % days_n
        if fixed.some_spoil == 1:
            strands_n = part_with_stale(
                elapsed, horizon_n, fuel_wh, fixed, strand_of, states, lacks, strands_n, same
            )
        if elapsed < starts_n:
            bits = 0
            for store in range(stores_n):
                if fuel_wh[elapsed, store] <= 0.0:
                    bits |= 1 << store
            strand_of[elapsed] = join(start, bits, states, lacks, strands_n, same)
            strands_n = max(strands_n, strand_of[elapsed] + 1)
        slot = elapsed % window_n
        first_one = max(elapsed - horizon_n + 1, 0)
        last_one = min(elapsed + 1, starts_n)
        next_n = 0
        for strand in range(strands_n):
            for store in range(stores_n):
                trial_wh[store] = 0.0 if lacks[strand] >> store & 1 else PLENTY_WH
            morning = to_state(states[strand])
            state, today = day_of(morning, trial_wh, rows, at, fixed, capacity_by_c)
            for store in range(stores_n):
                used_wh[store] = 0.0 if lacks[strand] >> store & 1 else PLENTY_WH - trial_wh[store]
            for store in range(stores_n):
                feeds = store == fixed.generator_store or store == fixed.generator_second
                least_wh[store] = SLACK_WH
                if feeds and today.generator_h > 0.0:
                    least_wh[store] += generator_full_wh
            for tank in range(fixed.tanks_n):  # a lower tank boils off less
                store = fixed.tank_store[tank]
                if not lacks[strand] >> store & 1:
                    boils_wh = left_that_boils_off(today.boil_frac, tank, fixed)
                    least_wh[store] = max(least_wh[store], boils_wh + SLACK_WH)
            together = -1  # where this strand goes on, if anyone is left in it
            for one in range(first_one, last_one):
                if strand_of[one] != strand:
                    continue
                enough = True
                for store in range(stores_n):
                    left_wh = fuel_wh[one, store] - used_wh[store]
                    if not lacks[strand] >> store & 1 and left_wh < least_wh[store]:
                        enough = False
                its_day = today
                if enough:
                    for store in range(stores_n):
                        fuel_wh[one, store] -= used_wh[store]
                    if together < 0:
                        together = join(state, lacks[strand], next_states, next_lacks, next_n, same)
                        next_n = max(next_n, together + 1)
                    goes_on = together
                else:
                    own, its_day = day_of(morning, fuel_wh[one], rows, at, fixed, capacity_by_c)
                    bits = 0
                    for store in range(stores_n):
                        if fuel_wh[one, store] <= EMPTY_WH:
                            fuel_wh[one, store] = 0.0
                            bits |= 1 << store
                    goes_on = join(own, bits, next_states, next_lacks, next_n, same)
                    next_n = max(next_n, goes_on + 1)
                for field in range(TODAY_N):
                    lived[one, field] = its_day[field]
                strand_of[one] = -2 - goes_on  # marked as done today
        close_day(
            first_one, last_one, elapsed, slot, horizon_n, at, stop_bits, strand_of, lived,
            days, larder, fixed, failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh,
        )  # fmt: skip
        states, next_states = next_states, states
        lacks, next_lacks = next_lacks, lacks
        strands_n = next_n
    return failed


@compiled
def trace(
    first_day,
    days_n,
    rows,
    days,
    fixed,
    capacity_by_c,
    start,
    larder,
    fuel_start_wh,
    window_n,
    delivered,
):
    """Every hour from one start: states, flows, fuel left, food left.

    With `delivered`, fuel, feed and food are made up at the end of each day, as in a year with
    deliveries; what was bought is then the sum of what was used.

    Returns
    -------
    (states, flows, fuel_wh, food_kcal, stores, meals)
        Arrays of shape (hours, fields); food is pantry, freezer, eaten that day. The last two by
        day: rows of `larder_rows` at its end, and meals as in `eat`.
    """
    states = np.empty((days_n * 24, FIELDS_N))
    moved = np.empty((days_n * 24, FLOWS_N))
    rows, capacity_by_c = uncounted(rows), uncounted(capacity_by_c)
    fuels = np.empty((days_n * 24, fuel_start_wh.size))
    foods = np.empty((days_n * 24, 3))
    least_m3, garden, beasts = days_uncounted(days)
    frozen_n, per_kcal, limits_g, butcher = menu(larder)
    failed, food, eaten, due_frac, meal, nights, essential_wh, week_wh = stock(
        1, days_n, fixed, larder, window_n
    )
    stores, meals = np.empty((days_n, food.shape[1])), np.empty((days_n, meal.size))
    items_n, beasts_n = larder.item_kcal.size, larder.feed_kg.size
    first_meat = ITEMS + items_n + beasts_n
    state = start
    fuel_wh = fuel_start_wh.copy()
    for day in range(days_n):
        frozen_kcal = food[0, ITEMS : ITEMS + frozen_n].sum()
        shelf_kcal = food[0, ITEMS + frozen_n : ITEMS + items_n].sum()
        shelf_kcal += food[0, first_meat : first_meat + beasts_n].sum()
        at = (first_day + day) % least_m3.size
        if not delivered:
            spoil(fuel_wh, day, fixed)
        freezer_dark_h = 0.0
        asked_wh = 0.0
        short_wh = 0.0
        for hour in range(24):
            number = day * 24 + hour
            state, flows = step(state, fuel_wh, rows, at * 24 + hour, fixed, capacity_by_c)
            freezer_dark_h = max(freezer_dark_h, state.freezer_dark_h)
            asked_wh += flows.essential_asked_w
            short_wh += flows.essential_short_w
            to_row(state, states[number])
            for field in range(FLOWS_N):
                moved[number, field] = flows[field]
            fuels[number] = fuel_wh
            foods[number, 0] = shelf_kcal
            foods[number, 1] = frozen_kcal
        today = Today(
            0.0, asked_wh, short_wh, state.water_m3, 0.0, 0.0, freezer_dark_h,
            state.garden_got_m3, state.garden_needed_m3, state.generator_h, 0.0,
        )  # fmt: skip
        end_of_day(
            0, day, day % window_n, days_n, at, today, least_m3[at], frozen_n, garden, beasts,
            per_kcal, limits_g, butcher, fixed, failed, food, eaten, due_frac, meal, nights,
            essential_wh, week_wh, True,
        )  # fmt: skip
        foods[day * 24 : day * 24 + 24, 2] = eaten[day % window_n, 0]
        stores[day] = food[0]
        meals[day] = meal
        if delivered:
            fuel_wh[:] = fuel_start_wh
            restock(food, larder)
        state = next_morning(state)
    return states, moved, fuels, foods, stores, meals


@compiled
def settled(first_day, days_n, rows, fixed, capacity_by_c, start, fuel_start_wh):
    """State after some days with deliveries, as a row of floats."""
    state = start
    fuel_wh = fuel_start_wh.copy()
    for day in range(first_day, first_day + days_n):
        state, _today = day_of(state, fuel_wh, rows, day, fixed, capacity_by_c)
        fuel_wh[:] = fuel_start_wh
    row = np.empty(FIELDS_N)
    to_row(state, row)
    return row


@compiled
def flows_by_month(first_day, month_of_day, rows, fixed, capacity_by_c, start, fuel_start_wh):
    """Sum of each flow over days with deliveries, array of shape (12, flows).

    Parameters
    ----------
    month_of_day : int array of shape (days,)
        1 to 12, of each day from `first_day` on.
    """
    sums = np.zeros((12, FLOWS_N))
    rows, capacity_by_c = uncounted(rows), uncounted(capacity_by_c)
    state = start
    fuel_wh = fuel_start_wh.copy()
    for day in range(month_of_day.size):
        month = month_of_day[day] - 1
        for hour in range(24):
            at = (first_day + day) * 24 + hour
            state, flows = step(state, fuel_wh, rows, at, fixed, capacity_by_c)
            for field in range(FLOWS_N):
                sums[month, field] += flows[field]
        fuel_wh[:] = fuel_start_wh
        state = next_morning(state)
    return sums


@compiled
def food_by_calendar(first_day, starts_n, horizon_n, days, fixed, larder, window_n):
    """Food alone for many starts, the freezer never dark and the garden never dry.

    Returns
    -------
    (int array of shape (starts, 2), float array of shape (starts, items))
        Day on which food fails for good and what ended it; what spoiled of each item. [kcal]
    """
    least_m3, garden, beasts = days_uncounted(days)
    frozen_n, per_kcal, limits_g, butcher = menu(larder)
    _failed, food, eaten, due_frac, meal, _nights, _essential_wh, _week_wh = stock(
        starts_n, horizon_n, fixed, larder, window_n
    )
    items_n = larder.item_kcal.size
    ended = np.empty((starts_n, 2), np.int64)
    spoiled_kcal = np.zeros((starts_n, items_n))
    for one in range(starts_n):
        ended[one, 0], ended[one, 1] = horizon_n, NOTHING
        for day in range(horizon_n):
            for item in range(items_n):
                if due_frac[day, item] < 0.0:
                    spoiled_kcal[one, item] += food[one, ITEMS + item]
            at = (first_day + one + day) % least_m3.size
            _thin, ends = eat(
                one, day, day % window_n, at, 0.0, 0.0, 0.0, frozen_n, fixed, garden, beasts,
                per_kcal, due_frac, limits_g, butcher, food, eaten, meal,
            )  # fmt: skip
            if ends != NOTHING and ended[one, 0] == horizon_n:
                ended[one, 0], ended[one, 1] = day, ends
    return ended, spoiled_kcal
