"""One day of food for one start: what is fresh, what has spoiled, what is eaten, what is lacking.

The only food day there is. Stores are kept by item, in the order of `Larder`; a start's own figures
stand in one row of floats whose columns `records` names.
"""

import numpy as np

from homestead.simulate.kernel.hour import compiled, inlined
from homestead.simulate.records import (
    BEAST_FEED,
    BEAST_GIVES,
    BEAST_MEAT,
    GOT_M3,
    ITEMS,
    LACKS,
    LONG_KCAL,
    NEEDED_M3,
    NUTRIENTS_N,
    SHORT_KCAL,
    SPARES,
    TINY,
)

SPOILED = -1.0
ENERGY, INFANT = 0, 1 + NUTRIENTS_N  # what ended food; nutrients stand between
NOTHING = -1


@compiled
def larder_rows(starts_n, fixed, larder, window_n):
    """A row of food figures for each start on the morning of its first day."""
    items_n, beasts_n = larder.item_kcal.size, larder.feed_kg.size
    rows = np.zeros((starts_n, ITEMS + items_n + 3 * beasts_n))
    rows[:, LONG_KCAL] = fixed.need_kcal * window_n  # the family begins well fed
    rows[:, SHORT_KCAL] = fixed.need_kcal * fixed.food_window_n
    restock(rows, larder)
    return rows


@compiled
def restock(rows, larder):
    """Fill stores and feed up again."""
    rows[:, SPARES : SPARES + NUTRIENTS_N] = larder.spare_g
    items_n, beasts_n = larder.item_kcal.size, larder.feed_kg.size
    feed = ITEMS + items_n
    rows[:, ITEMS:feed] = larder.item_kcal
    rows[:, feed : feed + beasts_n] = larder.feed_kg
    rows[:, feed + beasts_n :] = 0.0


@compiled
def due_of(horizon_n, larder):
    """Share of each item that must be eaten each day to be eaten in time, (days, items)."""
    due_frac = np.zeros((horizon_n, larder.item_kcal.size))
    for day in range(horizon_n):
        for item in range(larder.item_kcal.size):
            left_days = larder.keeps_days[item] - day
            due_frac[day, item] = 1.0 / max(left_days, 1.0) if left_days > 0.0 else SPOILED
    return due_frac


@inlined
def eat(
    one, day, slot, at, dark_h, got_m3, needed_m3, frozen_n, fixed, garden, beasts, per_kcal,
    due_frac, limits_g, butcher, food, eaten, meal,
):  # fmt: skip
    """Live a day of food for start `one`, whose row of `food` is updated.

    Parameters
    ----------
    dark_h, got_m3, needed_m3 : float
        Freezer without power, garden water of the day.
    frozen_n : int
        How many of the items, the first ones, need the freezer.
    garden : float array of shape (days, 1 + nutrients)
        Energy and nutrients of the day's harvest.
    beasts : float array of shape (days, animals, 3)
        Eggs or milk, planned meat [kcal], stored feed [kg].
    per_kcal : float array of shape (items + 2 * animals, nutrients)
        Nutrients of items, of eggs and milk, of meat. [g/kcal]
    due_frac : float array of shape (days, items)
        As `due_of`.
    limits_g : float array of shape (2, nutrients)
        Least a day, and how much of it may be missing in all.
    butcher : float array of shape (2, animals)
        Meat if slaughtered when the feed ends [kcal], days it keeps.
    eaten : float array of shape (window, starts)
    meal : float array of shape (items + 3 * animals + 1 + nutrients,)
        Energy by item, eggs and milk, planned meat, emergency meat, then garden and nutrients.

    Returns
    -------
    (bool, int)
        Whether the week was thin; what ended food this day, `NOTHING` if nothing did.
    """
    items_n, beasts_n = due_frac.shape[1], beasts.shape[1]
    feed = ITEMS + items_n
    meat = feed + beasts_n
    until = meat + beasts_n
    alive, planned = items_n, items_n + beasts_n
    put_up = planned + beasts_n
    need_kcal = fixed.need_kcal

    # Fresh: garden, eggs and milk, planned meat.
    food[one, GOT_M3] += got_m3
    food[one, NEEDED_M3] += needed_m3
    harvest_frac = 1.0
    if food[one, GOT_M3] < food[one, NEEDED_M3]:
        # FAO 33: yield falls in proportion to the water that was missing.
        missing_frac = 1.0 - food[one, GOT_M3] / food[one, NEEDED_M3]
        harvest_frac = max(1.0 - fixed.garden_yield_factor * missing_frac, 0.0)
    fresh_kcal = garden[at, 0] * harvest_frac
    shelf_kcal = 0.0
    for beast in range(beasts_n):
        meal[alive + beast] = 0.0
        meal[planned + beast] = 0.0
        if food[one, until + beast] == 0.0:  # not slaughtered yet
            wanted_kg = beasts[at, beast, BEAST_FEED]
            left_kg = food[one, feed + beast]
            food[one, feed + beast] = max(left_kg - wanted_kg, 0.0)
            if left_kg < wanted_kg and butcher[0, beast] > 0.0:
                food[one, meat + beast] = butcher[0, beast]
                food[one, until + beast] = day + butcher[1, beast]
            else:
                if left_kg >= wanted_kg:
                    meal[alive + beast] = beasts[at, beast, BEAST_GIVES]
                meal[planned + beast] = beasts[at, beast, BEAST_MEAT]
                fresh_kcal += meal[alive + beast] + meal[planned + beast]
        elif day >= food[one, until + beast]:
            food[one, meat + beast] = 0.0
        shelf_kcal += food[one, meat + beast]
    today_kcal = min(fresh_kcal, need_kcal)
    fresh_frac = today_kcal / fresh_kcal if fresh_kcal > 0.0 else 0.0
    for beast in range(2 * beasts_n):
        meal[alive + beast] *= fresh_frac

    # Stores: what is past its time goes, then the freezer if it was dark too long.
    frozen_kcal = 0.0
    for item in range(items_n):
        if due_frac[day, item] < 0.0:
            food[one, ITEMS + item] = 0.0
        if item < frozen_n:
            frozen_kcal += food[one, ITEMS + item]
        else:
            shelf_kcal += food[one, ITEMS + item]
    if frozen_kcal > 0.0 and dark_h > 0.0:
        fill_frac = fixed.freezer_fill_frac * frozen_kcal / fixed.freezer_start_kcal
        if dark_h >= fixed.freezer_hold_h * max(fill_frac, 0.5):
            frozen_kcal = 0.0
            for item in range(frozen_n):
                food[one, ITEMS + item] = 0.0
    # Frozen food before the shelves; of either, what must go to be eaten in time comes first,
    # soonest to spoil before the rest, then some of everything.
    from_frozen = min(frozen_kcal, need_kcal - today_kcal)
    today_kcal += from_frozen
    from_shelf = min(shelf_kcal, need_kcal - today_kcal)
    today_kcal += from_shelf
    rest_frozen, rest_shelf = from_frozen, from_shelf
    for beast in range(beasts_n):
        meal[put_up + beast] = 0.0
        left_kcal = food[one, meat + beast]
        if left_kcal > 0.0:
            due_kcal = min(left_kcal / (food[one, until + beast] - day), rest_shelf)
            meal[put_up + beast] = due_kcal
            rest_shelf -= due_kcal
    for item in range(items_n):
        due_kcal = food[one, ITEMS + item] * abs(due_frac[day, item])
        if item < frozen_n:
            due_kcal = min(due_kcal, rest_frozen)
            rest_frozen -= due_kcal
        else:
            due_kcal = min(due_kcal, rest_shelf)
            rest_shelf -= due_kcal
        meal[item] = due_kcal
    of_frozen = frozen_kcal - (from_frozen - rest_frozen)
    of_shelf = shelf_kcal - (from_shelf - rest_shelf)
    frozen_frac = min(rest_frozen / of_frozen, 1.0) if rest_frozen > 0.0 else 0.0
    shelf_frac = min(rest_shelf / of_shelf, 1.0) if rest_shelf > 0.0 else 0.0
    for item in range(items_n):
        left_kcal = food[one, ITEMS + item]
        frac = frozen_frac if item < frozen_n else shelf_frac
        meal[item] += (left_kcal - meal[item]) * frac
        food[one, ITEMS + item] = max(left_kcal - meal[item], 0.0)
    for beast in range(beasts_n):
        left_kcal = food[one, meat + beast]
        meal[put_up + beast] += (left_kcal - meal[put_up + beast]) * shelf_frac
        food[one, meat + beast] = max(left_kcal - meal[put_up + beast], 0.0)

    # What was in it. Salt and tablets make good what the meals lack.
    harvest_frac *= fresh_frac
    rows_n = put_up + beasts_n
    meal[rows_n] = garden[at, 0] * harvest_frac
    # Four sums in one pass, by hand: this is the longest stretch of the day.
    protein_g, fat_g = garden[at, 1] * harvest_frac, garden[at, 2] * harvest_frac
    vitamin_c_g, salt_g = garden[at, 3] * harvest_frac, garden[at, 4] * harvest_frac
    for row in range(rows_n):
        kcal = meal[row]
        if kcal > 0.0:
            of = row if row < put_up else row - beasts_n  # early meat is meat as any
            protein_g += kcal * per_kcal[of, 0]
            fat_g += kcal * per_kcal[of, 1]
            vitamin_c_g += kcal * per_kcal[of, 2]
            salt_g += kcal * per_kcal[of, 3]
    ends = NOTHING
    for nutrient, eaten_g in enumerate((protein_g, fat_g, vitamin_c_g, salt_g)):
        got_g = eaten_g
        short_g = limits_g[0, nutrient] - got_g
        if short_g > 0.0:
            spare_g = min(food[one, SPARES + nutrient], short_g)
            food[one, SPARES + nutrient] -= spare_g
            got_g += spare_g
            short_g -= spare_g
        lack_g = max(food[one, LACKS + nutrient] + short_g, 0.0)
        food[one, LACKS + nutrient] = lack_g
        meal[rows_n + 1 + nutrient] = got_g
        if lack_g > limits_g[1, nutrient] * (1.0 + TINY):
            ends = 1 + nutrient

    long_kcal = food[one, LONG_KCAL] + (today_kcal - eaten[slot, one])
    goes = slot - fixed.food_window_n  # the day that leaves the short window
    if goes < 0:
        goes += eaten.shape[0]
    short_kcal = food[one, SHORT_KCAL] + (today_kcal - eaten[goes, one])
    food[one, LONG_KCAL] = long_kcal
    food[one, SHORT_KCAL] = short_kcal
    eaten[slot, one] = today_kcal
    share_kcal = fixed.food_share_frac * need_kcal
    if day >= fixed.infant_days:
        ends = INFANT
    if long_kcal < share_kcal * eaten.shape[0] - 1e-6:
        ends = ENERGY
    return short_kcal < share_kcal * fixed.food_window_n - 1e-6, ends
