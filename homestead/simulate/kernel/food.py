"""One day of food for one start: what is fresh, what has spoiled, what is eaten, what is lacking.

The only food day there is. Stores are kept by item, in the order of `Larder`; a start's own figures
stand in one row of floats whose columns `records` names.
"""

from homestead.simulate.kernel.compile import inlined
from homestead.simulate.records import (
    BEAST_FEED,
    BEAST_GIVES,
    BEAST_MEAT,
    ENERGY,
    GOT_M3,
    INFANT,
    ITEMS,
    LACKS,
    LONG_KCAL,
    NEEDED_M3,
    NOTHING,
    SHORT_KCAL,
    SPARES,
    TINY,
)


@inlined
def eat(one, day, slot, at, today, fixed, days, larder, kept):
    """Live a day of food for start `one`, whose row of `food` is updated.

    one, day, slot, at : Start, its day of isolation, row of `kept.eaten`, day of all weather years.
    today (Today) : Its freezer without power and its garden water count here.
    Gives (bool, int): Whether the week was thin; what ended food this day, `NOTHING` if nothing
        did.
    """
    garden, beasts = days.garden, days.beasts
    frozen_n, per_kcal, limits_g, butcher = (
        larder.frozen_n, larder.per_kcal, larder.limits_g, larder.butcher,
    )  # fmt: skip
    food, eaten, due_frac, meal = kept.food, kept.eaten, kept.due_frac, kept.meal
    items_n, beasts_n = due_frac.shape[1], beasts.shape[1]
    feed = ITEMS + items_n
    meat = feed + beasts_n
    until = meat + beasts_n
    alive, planned = items_n, items_n + beasts_n
    put_up = planned + beasts_n
    need_kcal = fixed.need_kcal

    # Fresh: garden, eggs and milk, planned meat.
    food[one, GOT_M3] += today.garden_got_m3
    food[one, NEEDED_M3] += today.garden_needed_m3
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
    if frozen_kcal > 0.0 and today.freezer_dark_h > 0.0:
        fill_frac = fixed.freezer_fill_frac * frozen_kcal / fixed.freezer_start_kcal
        if today.freezer_dark_h >= fixed.freezer_hold_h * max(fill_frac, 0.5):
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
