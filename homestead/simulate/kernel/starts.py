"""Many starts together, and one by itself.

Starts that have come to the same state share a strand, which is worked once a day.
"""

import numpy as np

from homestead.simulate.kernel.compile import compiled, inlined, uncounted, within
from homestead.simulate.kernel.day import SLACK_WH, all_failed, day_of, end_of_day, is_over
from homestead.simulate.kernel.fuel import left_that_boils_off, spoil
from homestead.simulate.records import State, Today

FIELDS_N, TODAY_N = len(State._fields), len(Today._fields)
# A strand is worked with this much in every store, so that what it takes is what it needs.
PLENTY_WH = 1e8
EMPTY_WH = 1e-6
# States that differ by less than this share of their size live the same day. [-]
SAME_FRAC = 1e-9


@compiled
def live_on(
    first_day, elapsed, until, horizon_n, rows, days, fixed, capacity_by_c, start, larder, fuel_wh,
    kept,
):  # fmt: skip
    """Go on with one start from a day of it to another; fuel and what is kept are updated.

    Gives State: On the morning of day `until`, or earlier where every need has failed by then.
    """
    days, larder, kept = uncounted((days, larder, kept))
    one, state = np.int64(0), start
    for day in range(elapsed, until):
        at = (first_day + day) % days.water_least_m3.size
        spoil(fuel_wh, day, fixed)
        state, today = day_of(state, fuel_wh, rows, at, fixed, capacity_by_c)
        slot = day % kept.eaten.shape[0]
        end_of_day(one, day, slot, horizon_n, at, today, fixed, days, larder, kept, False)
        if all_failed(kept.failed, one, horizon_n):
            break
    return state


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
        row[15],
    )  # fmt: skip


@within
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


@within
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


@within
def close_day(
    first_one, last_one, elapsed, horizon_n, at, stop_bits, strand_of, lived, fixed, days, larder,
    kept,
):  # fmt: skip
    """End the day of all starts that lived it; those that are over leave their strand."""
    days, larder, kept = uncounted((days, larder, kept))
    slot = elapsed % kept.eaten.shape[0]
    for one in range(first_one, last_one):
        if strand_of[one] > -2:
            continue
        today = Today(
            lived[one, 0], lived[one, 1], lived[one, 2], lived[one, 3], lived[one, 4],
            lived[one, 5], lived[one, 6], lived[one, 7], lived[one, 8], lived[one, 9],
            lived[one, 10],
        )  # fmt: skip
        day = elapsed - one
        end_of_day(one, day, slot, horizon_n, at, today, fixed, days, larder, kept, False)
        if day == horizon_n - 1 or is_over(kept.failed, one, horizon_n, stop_bits):
            strand_of[one] = -1
        else:
            strand_of[one] = -2 - strand_of[one]


@compiled
def run_starts(
    first_day, horizon_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh,
    generator_full_wh, same, stop_bits, kept,
):  # fmt: skip
    """Days until each outcome for many starts, one on each day from `first_day` on, into `kept`.

    Starts that have come to the same state on the same morning (battery full, rooms at the
    thermostat, ...) live the same day from then on, whatever their fuel and food, as long as no
    fuel runs short. Such starts share one strand, which is worked once. A start whose fuel could
    run short that day is worked by itself with its own fuel; once a store is empty it shares
    again, with those that lack the same store.

    generator_full_wh : Fuel of a full hour of the generator. A running generator needs that much
        before it knows what it will use; everything else takes what it needs while there is any.
    same (float array of shape (fields of State,)) : Differences below which two states count as the
        same.
    stop_bits : Needs as bits, power first: a start is over when one of them has failed, and what
        would have failed later is not looked for. 0 looks for all.
    """
    days_n, starts_n = days.water_least_m3.size, kept.failed.shape[0]
    lived = np.empty((starts_n, TODAY_N))  # what each start's day has to say of its needs
    stores_n = fuel_start_wh.size
    fuel_wh = np.empty((starts_n, stores_n))
    for one in range(starts_n):
        for store in range(stores_n):
            fuel_wh[one, store] = fuel_start_wh[store]
    strand_of = np.zeros(starts_n, np.int64) - 1  # -1: not begun or done with
    # Strands of this morning and of the next, each with the stores that it lacks as bits.
    # One more for each store that goes stale in a start on the same morning.
    most_n = starts_n + 1 + stores_n
    states, next_states = np.empty((most_n, FIELDS_N)), np.empty((most_n, FIELDS_N))
    lacks = np.zeros(most_n, np.int64)
    next_lacks = np.zeros(most_n, np.int64)
    used_wh = np.empty(stores_n)
    trial_wh = np.empty(stores_n)
    least_wh = np.empty(stores_n)  # that a start must have left to share its day
    strands_n = np.int64(0)
    for elapsed in range(starts_n + horizon_n - 1):
        at = (first_day + elapsed) % days_n
        if fixed.some_spoil == 1:
            strands_n = part_with_stale(
                elapsed, horizon_n, fuel_wh, fixed, strand_of, states, lacks, strands_n, same
            )
        if elapsed < starts_n:
            bits = np.int64(0)
            for store in range(stores_n):
                if fuel_wh[elapsed, store] <= 0.0:
                    bits |= 1 << store
            strand_of[elapsed] = join(start, bits, states, lacks, strands_n, same)
            strands_n = max(strands_n, strand_of[elapsed] + 1)
        first_one = max(elapsed - horizon_n + 1, 0)
        last_one = min(elapsed + 1, starts_n)
        next_n = np.int64(0)
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
                    bits = np.int64(0)
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
            first_one, last_one, elapsed, horizon_n, at, stop_bits, strand_of, lived, fixed, days,
            larder, kept,
        )  # fmt: skip
        states, next_states = next_states, states
        lacks, next_lacks = next_lacks, lacks
        strands_n = next_n
