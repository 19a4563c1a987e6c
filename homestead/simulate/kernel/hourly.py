"""Every hour of one start, years with deliveries, and food alone by the calendar."""

import numpy as np

from homestead.simulate.kernel.compile import compiled, inlined, uncounted
from homestead.simulate.kernel.day import end_of_day, next_morning
from homestead.simulate.kernel.food import eat
from homestead.simulate.kernel.fuel import spoil
from homestead.simulate.kernel.hour import step
from homestead.simulate.kernel.starts import FIELDS_N, to_row
from homestead.simulate.records import (
    FLOWS_N,
    ITEMS,
    NOTHING,
    NUTRIENTS_N,
    SPARES,
    Today,
)


# Loops, since an array put into another is compiled with a message for each way it could fail,
# which takes longer than all of the hour.
@inlined
def put_in(into, values):
    """Write values into an array of their size."""
    for n in range(values.size):
        into[n] = values[n]


@inlined
def total(values, first, end):
    """Sum of a part of an array."""
    found = 0.0
    for n in range(first, end):
        found += values[n]
    return found


@inlined
def restock(row, larder):
    """Fill stores and feed of a start up again."""
    items_n, animals_n = larder.item_kcal.size, larder.feed_kg.size
    feed = ITEMS + items_n
    for n in range(NUTRIENTS_N):
        row[SPARES + n] = larder.spare_g[n]
    for n in range(items_n):
        row[ITEMS + n] = larder.item_kcal[n]
    for n in range(animals_n):
        row[feed + n] = larder.feed_kg[n]
    for n in range(feed + animals_n, row.size):
        row[n] = 0.0


@compiled
def trace(
    first_day, days_n, rows, days, fixed, capacity_by_c, start, larder, fuel_start_wh, kept,
    delivered,
):  # fmt: skip
    """Every hour from one start: states, flows, fuel left, food left.

    With `delivered`, fuel, feed and food are made up at the end of each day, as in a year with
    deliveries; what was bought is then the sum of what was used.

    Gives (states, flows, fuel_wh, food_kcal, stores, meals): Arrays of shape (hours, fields); food
        is pantry, freezer, eaten that day. The last two by day: rows of `Kept.food` at its end, and
        meals.
    """
    states = np.empty((days_n * 24, FIELDS_N))
    moved = np.empty((days_n * 24, FLOWS_N))
    fuels = np.empty((days_n * 24, fuel_start_wh.size))
    foods = np.empty((days_n * 24, 3))
    rows, capacity_by_c, days, larder, kept = uncounted((rows, capacity_by_c, days, larder, kept))
    food, meal, eaten = kept.food, kept.meal, kept.eaten
    frozen_n, window_n = larder.frozen_n, eaten.shape[0]
    one = np.int64(0)
    stores, meals = np.empty((days_n, food.shape[1])), np.empty((days_n, meal.size))
    items_n, beasts_n = larder.item_kcal.size, larder.feed_kg.size
    first_meat = ITEMS + items_n + beasts_n
    state = start
    fuel_wh = fuel_start_wh.copy()
    for day in range(days_n):
        frozen_kcal = total(food[0], ITEMS, ITEMS + frozen_n)
        shelf_kcal = total(food[0], ITEMS + frozen_n, ITEMS + items_n)
        shelf_kcal += total(food[0], first_meat, first_meat + beasts_n)
        at = (first_day + day) % days.water_least_m3.size
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
            put_in(fuels[number], fuel_wh)
            foods[number, 0] = shelf_kcal
            foods[number, 1] = frozen_kcal
        today = Today(
            0.0, asked_wh, short_wh, state.water_m3, 0.0, 0.0, freezer_dark_h,
            state.garden_got_m3, state.garden_needed_m3, state.generator_h, 0.0,
        )  # fmt: skip
        slot = day % window_n
        end_of_day(one, day, slot, days_n, at, today, fixed, days, larder, kept, True)
        for hour in range(24):
            foods[day * 24 + hour, 2] = eaten[slot, 0]
        put_in(stores[day], food[0])
        put_in(meals[day], meal)
        if delivered:
            put_in(fuel_wh, fuel_start_wh)
            restock(food[0], larder)
        state = next_morning(state)
    return states, moved, fuels, foods, stores, meals


@compiled
def flows_by_month(first_day, month_of_day, rows, fixed, capacity_by_c, start, fuel_start_wh):
    """Days with deliveries, of which no hour is kept.

    month_of_day (int array of shape (days,)) : 1 to 12, of each day from `first_day` on.
    Gives (sums, morning): Sum of each flow, array of shape (12, flows), and the state after the
        last day, a row of floats.
    """
    sums = np.zeros((12, FLOWS_N))
    rows, capacity_by_c = uncounted((rows, capacity_by_c))
    state = start
    fuel_wh = fuel_start_wh.copy()
    for day in range(month_of_day.size):
        month = month_of_day[day] - 1
        for hour in range(24):
            at = (first_day + day) * 24 + hour
            state, flows = step(state, fuel_wh, rows, at, fixed, capacity_by_c)
            for field in range(FLOWS_N):
                sums[month, field] += flows[field]
        put_in(fuel_wh, fuel_start_wh)
        state = next_morning(state)
    morning = np.empty(FIELDS_N)
    to_row(state, morning)
    return sums, morning


@compiled
def food_by_calendar(first_day, horizon_n, days, fixed, larder, kept, ended, spoiled_kcal):
    """Food alone for many starts, the freezer never dark and the garden never dry.

    ended (int array of shape (starts, 2), filled in) : Day on which food fails for good and what
        ended it, `NOTHING` and the horizon before.
    spoiled_kcal (float array of shape (starts, items), filled in) : What spoiled of each item.
    """
    days, larder, kept = uncounted((days, larder, kept))
    starts_n, items_n = spoiled_kcal.shape
    today = Today(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    for one in range(starts_n):
        for day in range(horizon_n):
            for item in range(items_n):
                if kept.due_frac[day, item] < 0.0:
                    spoiled_kcal[one, item] += kept.food[one, ITEMS + item]
            at = (first_day + one + day) % days.water_least_m3.size
            slot = day % kept.eaten.shape[0]
            _thin, ends = eat(one, day, slot, at, today, fixed, days, larder, kept)
            if ends != NOTHING and ended[one, 0] == horizon_n:
                ended[one, 0], ended[one, 1] = day, ends
