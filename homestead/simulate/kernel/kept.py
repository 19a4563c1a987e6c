"""What is kept for each start from day to day, and how it stands when isolation begins."""

from typing import NamedTuple

import numpy as np

from homestead.simulate.records import (
    ITEMS,
    LONG_KCAL,
    NOTHING,
    NUTRIENTS_N,
    SHORT_KCAL,
    SPARES,
    WEEK_DAYS,
)
from homestead.vocabulary import OUTCOMES

OUTCOMES_N = len(OUTCOMES)
SPOILED = -1.0


class Kept(NamedTuple):
    """Arrays that the end of a day updates, a row or a column for each start."""

    failed: (
        np.ndarray
    )  # (starts, 2 * outcomes + 1): day of each failure for good, first bad day, why
    food: np.ndarray  # (starts, figures): columns named in `records`, items, feed, meat put up
    eaten: np.ndarray  # (window, starts) [kcal]
    due_frac: np.ndarray  # (days, items): share that must be eaten that day to be eaten in time
    meal: np.ndarray  # (items + 3 * animals + 1 + nutrients,): energy by item, garden, nutrients
    nights: np.ndarray  # (starts, 3): bad nights of the last week as bits, dark and cold; dry days
    essential_wh: np.ndarray  # (2, WEEK_DAYS, starts): asked for, and not served
    week_wh: np.ndarray  # (starts, 2): their sums


def kept_of(starts_n, horizon_n, fixed, larder, window_n):
    """`Kept` on the morning on which isolation begins; the family begins well fed."""
    items_n, animals_n = larder.item_kcal.size, larder.feed_kg.size
    failed = np.full((starts_n, 2 * OUTCOMES_N + 1), horizon_n, np.int32)
    failed[:, 2 * OUTCOMES_N] = NOTHING
    food = np.zeros((starts_n, ITEMS + items_n + 3 * animals_n))
    food[:, LONG_KCAL] = fixed.need_kcal * window_n
    food[:, SHORT_KCAL] = fixed.need_kcal * fixed.food_window_n
    food[:, SPARES : SPARES + NUTRIENTS_N] = larder.spare_g
    food[:, ITEMS : ITEMS + items_n] = larder.item_kcal
    food[:, ITEMS + items_n : ITEMS + items_n + animals_n] = larder.feed_kg
    left_days = larder.keeps_days - np.arange(horizon_n)[:, None]
    return Kept(
        failed,
        food,
        np.full((window_n, starts_n), float(fixed.need_kcal)),
        np.where(left_days > 0.0, 1.0 / np.maximum(left_days, 1.0), SPOILED),
        np.zeros(items_n + 3 * animals_n + 1 + NUTRIENTS_N),
        np.zeros((starts_n, 3), np.int64),
        np.zeros((2, WEEK_DAYS, starts_n)),
        np.zeros((starts_n, 2)),
    )
