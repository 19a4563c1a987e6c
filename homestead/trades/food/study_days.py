"""Food day by day from every start of the year: energy and protein, and which runs short first.

A calendar of its own beside the coupled hour: same order of eating, same rule of failure, with
protein, single pantry items and their shelf lives. What the coupled hour decides (a freezer gone
dark, a garden gone dry) comes in through `outages_of`. Every figure is a daily mean: nobody is told
what to eat.
"""

import datetime
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pandas as pd

from homestead import reference
from homestead.formulas.food import food as diet
from homestead.simulate import constants, kernel
from homestead.simulate.fresh import GRAMS_PER_KG, assumed_g, fresh_of, protein_per_kcal
from homestead.simulate.records import DAYS_N, State

HORIZON_DAYS = 365
SOURCES = ("garden", "eggs", "milk", "other produce", "meat", "freezer", "pantry")
SPOILT_FROM_FRAC = 0.01  # of an item; less is the rest in a bag


class Stores(NamedTuple):
    """Food and feed in store when isolation begins."""

    names: tuple
    pantry_kcal: np.ndarray  # shape (items,)
    pantry_g: np.ndarray
    is_assumed: np.ndarray  # protein that stands for lack of an entry
    keeps_days: np.ndarray  # infinity where nothing is known
    freezer_kcal: float
    freezer_g: float
    feed_kg: np.ndarray  # shape (animals,)


class Outages(NamedTuple):
    """What the coupled hour decides about food, by start and day since isolation."""

    freezer_dark_h: np.ndarray  # shape (starts, days)
    garden_got_m3: np.ndarray
    garden_needed_m3: np.ndarray


@dataclass(frozen=True)
class FoodDays:
    """Days until food runs short, by start.

    Attributes
    ----------
    starts : int array of shape (starts,)
        Day of the year from 0.
    energy_days, protein_days : int array of shape (starts,)
        Whole days until less than the plan's share of the need was eaten over its window.
    horizon_days : int
    spoilt_kcal : DataFrame of shape (starts, pantry items)
        Left when its time was up.
    frozen_lost_kcal : array of shape (starts,)
        Lost in blackouts.
    eaten_kcal, eaten_protein_g : array of shape (days, starts, sources) or None
        By `SOURCES`, if asked for.
    left_kcal : array of shape (days, starts, 2) or None
        Pantry and freezer at the end of each day.
    feed_kg : array of shape (days, starts, animals) or None
    """

    starts: np.ndarray
    energy_days: np.ndarray
    protein_days: np.ndarray
    horizon_days: int
    spoilt_kcal: pd.DataFrame
    frozen_lost_kcal: np.ndarray
    eaten_kcal: np.ndarray | None = None
    eaten_protein_g: np.ndarray | None = None
    left_kcal: np.ndarray | None = None
    feed_kg: np.ndarray | None = None

    @property
    def first_short(self):
        """What runs short first from each start: energy, protein, both or neither."""
        return _first(self.energy_days, self.protein_days, self.horizon_days)


def _first(energy_days, protein_days, horizon_days):
    sooner = np.where(energy_days < protein_days, "energy", "protein")
    named = np.where(energy_days == protein_days, "both", sooner)
    return np.where(np.minimum(energy_days, protein_days) >= horizon_days, "neither", named)


def need_of(plan):
    """Energy and protein that the household needs in a day. ([kcal], [g])."""
    people = plan.people
    kcal = sum(
        diet.energy_need_kcal_day(one.age_n, one.sex, one.activity, one.life_stage)
        for one in people
    )
    protein_g = sum(diet.protein_need_g_day(one.age_n, one.sex, one.life_stage) for one in people)
    return float(kcal), float(protein_g)


def keeps_days_of(item):
    """How long a pantry item keeps after isolation begins, and where that is from.

    Returns
    -------
    (float, str)
        Days, infinity if nothing is known; ``"best-by date"``, ``"table"`` or ``"not known"``.
    """
    if item.best_by and item.counted:
        best_by, counted = (datetime.date.fromisoformat(t) for t in (item.best_by, item.counted))
        return float(max((best_by - counted).days, 0)), "best-by date"
    if item.food in reference.items("foods", "shelf_life"):
        return float(diet.shelf_life_days(item.food)), "table"
    return np.inf, "not known"


def stores_of(plan):
    """Food and feed of a plan when isolation begins."""
    kcal, protein_g, assumed = [], [], []
    for item in plan.pantry:
        by_weight = item.energy_kcal is None
        energy = diet.food_energy_kcal(item.food, item.mass_kg) if by_weight else item.energy_kcal
        kcal.append(float(energy))
        assumed.append(not by_weight and item.food is None and item.protein_kg is None)
        if item.protein_kg is not None:
            protein_g.append(item.protein_kg * GRAMS_PER_KG)
        elif item.food is not None:
            protein_g.append(float(energy) * protein_per_kcal(item.food))
        else:
            protein_g.append(assumed_g(item.energy_kcal))
    freezer = plan.freezer
    frozen_g = 0.0
    if freezer:
        known = freezer.protein_kg is not None
        frozen_g = freezer.protein_kg * GRAMS_PER_KG if known else assumed_g(freezer.energy_kcal)
    return Stores(
        tuple(item.name for item in plan.pantry),
        np.array(kcal, dtype=float),
        np.array(protein_g, dtype=float),
        np.array(assumed, dtype=bool),
        np.array([keeps_days_of(item)[0] for item in plan.pantry], dtype=float),
        freezer.energy_kcal if freezer else 0.0,
        frozen_g,
        np.array([one.feed_kg for one in plan.animals], dtype=float),
    )


def outages_of(hours, year=0, starts=None, horizon_days=HORIZON_DAYS):
    """Work the coupled hour from each start and keep what decides about food.

    Parameters
    ----------
    hours : Hours
    year : int
        Weather year from 0.
    starts : int array, optional
        Days of that year from 0; all 365 by default, which takes about a second.
    horizon_days : int
    """
    starts = np.arange(DAYS_N) if starts is None else np.atleast_1d(starts)
    found = [np.zeros((len(starts), horizon_days)) for _ in Outages._fields]
    dark, got, needed = (
        State._fields.index(name)
        for name in ("freezer_dark_h", "garden_got_m3", "garden_needed_m3")
    )
    for row, start in enumerate(starts):
        states = kernel.trace(
            year * DAYS_N + int(start), horizon_days, hours.rows, hours.days, hours.fixed,
            hours.capacity_by_c, hours.start, hours.larder, hours.fuel_start_wh,
            hours.window_n, False,
        )[0].reshape(horizon_days, 24, -1)  # fmt: skip
        found[0][row] = states[:, :, dark].max(axis=1)
        found[1][row] = states[:, -1, got]
        found[2][row] = states[:, -1, needed]
    return Outages(*found)


def food_days(
    plan,
    starts=None,
    outages=None,
    without=(),
    spoilage=True,
    daily=False,
    horizon_days=HORIZON_DAYS,
):
    """Days until energy and until protein run short, from many starts at once.

    Parameters
    ----------
    plan : Plan
    starts : int array, optional
        Days of the year from 0; all 365 by default.
    outages : Outages, optional
        For the same starts. Without it the freezer never goes dark and the garden never dry.
    without : tuple of str
        Of `SOURCES`: what to leave out.
    spoilage : bool
        Whether a pantry item is thrown out when its time is up.
    daily : bool
        Whether to keep what was eaten and what is left of every day.
    horizon_days : int

    Returns
    -------
    FoodDays

    Raises
    ------
    ValueError
        If a source is unknown.

    Notes
    -----
    Fresh food first, then frozen, then the pantry, up to the energy needed; what is fresh beyond
    that is not kept. From the pantry each item first gives what must go each day to be eaten in
    its time (a year at most), the rest comes from all in proportion to what is left. Protein
    comes with the energy that is eaten: a family that picks beans before rice can do better.
    Failure of protein is by the same share and window as failure of energy, our own choice: the
    plan has a rule for energy only.
    """
    unknown = [one for one in without if one not in SOURCES]
    if unknown:
        raise ValueError(f"without must be of {', '.join(SOURCES)}; got {unknown[0]!r}")
    starts = np.arange(DAYS_N) if starts is None else np.atleast_1d(np.asarray(starts, dtype=int))
    fresh, stores, fixed = fresh_of(plan), stores_of(plan), constants.fixed_of(plan)
    need_kcal, need_g = need_of(plan)
    window_n, share = plan.failure.food_fails_window_n, plan.failure.food_share_frac
    n = len(starts)
    on = {name: float(name not in without) for name in SOURCES}
    animal_on = np.array([on[name] for name in fresh.animal_source])
    pantry = np.tile(stores.pantry_kcal * on["pantry"], (n, 1))
    pantry_per_kcal = _ratio(stores.pantry_g, stores.pantry_kcal)
    frozen = np.full(n, stores.freezer_kcal * on["freezer"])
    frozen_per_kcal = float(_ratio(stores.freezer_g, stores.freezer_kcal))
    feed = np.tile(stores.feed_kg, (n, 1))
    spoilt, lost = np.zeros_like(pantry), np.zeros(n)
    keeps = stores.keeps_days if spoilage else np.full_like(stores.keeps_days, np.inf)
    window = np.empty((2, window_n, n))
    window[0], window[1] = need_kcal, need_g
    in_window = np.array([[need_kcal], [need_g]]) * window_n * np.ones((2, n))
    enough = share * window_n * np.array([[need_kcal], [need_g]]) - np.array([[1e-6], [1e-9]])
    failed = np.full((2, n), horizon_days)
    got, needed = np.zeros(n), np.zeros(n)
    kept = _Kept(horizon_days, n, fresh) if daily else None
    for day in range(horizon_days):
        at = (starts + day) % DAYS_N
        harvest_frac = np.ones(n)
        if outages is not None:
            full = fixed.freezer_fill_frac * _ratio(frozen, fixed.freezer_start_kcal)
            hold_h = fixed.freezer_hold_h * np.maximum(full, 0.5)
            gone = (frozen > 0.0) & (outages.freezer_dark_h[:, day] >= hold_h)
            lost += np.where(gone, frozen, 0.0)
            frozen = np.where(gone, 0.0, frozen)
            got += outages.garden_got_m3[:, day]
            needed += outages.garden_needed_m3[:, day]
            missing = np.where(needed > 0.0, 1.0 - _ratio(got, needed), 0.0)
            harvest_frac = np.maximum(1.0 - fixed.garden_yield_factor * missing, 0.0)
        over = keeps <= day
        spoilt[:, over] += pantry[:, over]
        pantry[:, over] = 0.0

        wanted = fresh.feed_kg[at]
        fed = np.minimum(feed, wanted)
        feed = feed - fed
        gives = (fed >= wanted) * animal_on
        garden = harvest_frac * on["garden"]
        offered = np.column_stack(
            (
                fresh.garden_kcal[at] * garden,
                fresh.animal_kcal[at] * gives,
                fresh.meat_kcal[at] * on["meat"],
            )
        )
        offered_g = np.column_stack(
            (
                fresh.garden_g[at] * garden,
                fresh.animal_g[at] * gives,
                fresh.meat_g[at] * on["meat"],
            )
        )
        total = offered.sum(axis=1)
        eaten_frac = np.minimum(_ratio(need_kcal, total), 1.0)[:, None]
        today = np.minimum(total, need_kcal)
        from_frozen = np.minimum(frozen, need_kcal - today)
        from_pantry = np.minimum(pantry.sum(axis=1), need_kcal - today - from_frozen)
        items = _from_items(pantry, from_pantry, keeps - day, horizon_days)
        pantry = np.maximum(pantry - items, 0.0)
        frozen = frozen - from_frozen
        eaten = np.column_stack((offered * eaten_frac, from_frozen, from_pantry))
        eaten_g = np.column_stack(
            (offered_g * eaten_frac, from_frozen * frozen_per_kcal, items @ pantry_per_kcal)
        )
        slot = day % window_n
        for row, sums in enumerate((today + from_frozen + from_pantry, eaten_g.sum(axis=1))):
            in_window[row] += sums - window[row, slot]
            window[row, slot] = sums
        short = (in_window < enough) & (failed == horizon_days)
        failed[short] = day
        if kept:
            kept.keep(day, eaten, eaten_g, pantry, frozen, feed)
        elif failed.max() < horizon_days and not (pantry.any() or frozen.any()):
            break  # nothing is left to fail, to spoil or to thaw
    names = list(stores.names)
    return FoodDays(
        starts, failed[0], failed[1], horizon_days, pd.DataFrame(spoilt, columns=names), lost,
        *(kept.all() if kept else ()),
    )  # fmt: skip


def _ratio(above, below):
    """Quotient, nothing where there is nothing below."""
    above, below = np.broadcast_arrays(np.asarray(above, float), np.asarray(below, float))
    return np.divide(above, below, out=np.zeros(above.shape), where=below > 0.0)


def _from_items(pantry, wanted, left_days, horizon_days):
    """What each pantry item gives to a day, array of shape (starts, items)."""
    in_time = pantry / np.clip(left_days, 1.0, horizon_days)
    first = in_time * np.minimum(_ratio(wanted, in_time.sum(axis=1)), 1.0)[:, None]
    rest = pantry - first
    short = wanted - first.sum(axis=1)
    return first + rest * _ratio(short, rest.sum(axis=1))[:, None]


class _Kept:
    """Every day of a run, by source."""

    def __init__(self, days_n, starts_n, fresh):
        shape = (days_n, starts_n, len(SOURCES))
        self.eaten, self.protein = np.zeros(shape), np.zeros(shape)
        self.left = np.zeros((days_n, starts_n, 2))
        self.feed = np.zeros((days_n, starts_n, len(fresh.animal_source)))
        columns = ("garden", *fresh.animal_source, "meat", "freezer", "pantry")
        self.columns = [SOURCES.index(name) for name in columns]

    def keep(self, day, eaten, eaten_g, pantry, frozen, feed):
        for number, source in enumerate(self.columns):
            self.eaten[day, :, source] += eaten[:, number]
            self.protein[day, :, source] += eaten_g[:, number]
        self.left[day, :, 0], self.left[day, :, 1] = pantry.sum(axis=1), frozen
        self.feed[day] = feed

    def all(self):
        return self.eaten, self.protein, self.left, self.feed
