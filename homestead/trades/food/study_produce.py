"""Garden, orchard and animals at a closer look: harvest against the table, feed, preserving.

Tables from the plan alone, no weather.
"""

import numpy as np
import pandas as pd

from homestead import reference
from homestead.formulas.food import food_composition, home_produce
from homestead.formulas.food import preserving as jars
from homestead.simulate import fuel_stores
from homestead.simulate.food import (
    GRAMS_PER_KG,
    meat_food,
    needs_of,
    per_kcal_of,
    produce_food,
    spread_over,
)
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.units import checked

TAP_C = 15.0  # water and produce before canning; project choice, a well in a temperate place


def crops(plan):
    """Each crop with its harvest against the range of the table.

    Gives DataFrame: A row a crop: food, area_m2, harvest_kg, table_low_kg and table_high_kg for
        that area (nan if the table has none), within_table (None then), energy_kcal, protein_g,
        days_of_need (household).
    """
    rows = {}
    for crop in plan.crops:
        low, high = harvest_range_kg(crop)
        energy = food_composition.food_energy_kcal(crop.food, crop.harvest_kg * crop.edible_frac)
        energy = float(energy)
        rows[crop.name] = {
            "food": crop.food,
            "area_m2": crop.area_m2,
            "harvest_kg": crop.harvest_kg,
            "table_low_kg": low,
            "table_high_kg": high,
            "within_table": None if np.isnan(low) else bool(low <= crop.harvest_kg <= high),
            "energy_kcal": energy,
            "protein_g": energy * per_kcal_of(crop.food)[0],
            "days_of_need": energy / needs_of(plan).kcal,
        }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("crop")


def harvest_range_kg(crop):
    """Lowest and highest harvest of the table for a crop's area, nan where there is none. [kg]."""
    if crop.food not in reference.items("crops", "yield_per_area_low"):
        return np.nan, np.nan
    low, high = home_produce.garden_yield_range_kg(crop.food, crop.area_m2)
    return float(low), float(high)


def picked_months(crop):
    """Months of harvest: as entered, or the first month in which the crop is eaten."""
    return crop.picked or crop.eaten[:1]


def surplus_frac(crop):
    """Share of a harvest that is eaten after the months of picking, so must be kept somehow."""
    later = ~np.isin(MONTH_OF_DAY, picked_months(crop))
    eaten = spread_over(crop.eaten, 1.0)
    return float(eaten[later].sum())


def longest_housed_days(animal):
    """Longest stretch of the year without pasture. [days], 365 if there is none."""
    housed = ~np.isin(MONTH_OF_DAY, animal.pasture)
    if housed.all():
        return DAYS_N
    longest = run = 0
    for is_housed in np.concatenate((housed, housed)).tolist():
        run = run + 1 if is_housed else 0
        longest = max(longest, run)
    return longest


def feed_days(animal):
    """Days that the stored feed lasts with no pasture, infinity if they need none."""
    daily_kg = animal.count_n * animal.feed_day_kg
    return animal.feed_kg / daily_kg if daily_kg > 0 else np.inf


def animals(plan):
    """What the animals give and the feed that they eat.

    Gives DataFrame: A row a herd: count_n, gives (food row or None), energy_kcal_day and
        protein_g_day (in the months of yield), meat_food, meat_kg, meat_kcal (a year), feed_kg,
        feed_kg_day (housed), feed_days, housed_days (longest stretch without pasture),
        lasts_to_pasture, table_feed_kg_day (nan if the table has none).
    """
    rows = {}
    for animal in plan.animals:
        food, meat = produce_food(animal), meat_food(animal)
        energy = animal.count_n * animal.food_kcal
        daily_kg = animal.count_n * animal.feed_day_kg
        rows[animal.name] = {
            "count_n": animal.count_n,
            "gives": food if animal.food_kcal > 0 else None,
            "energy_kcal_day": energy,
            "protein_g_day": (
                energy * per_kcal_of(food)[0]
                if food
                else float(food_composition.assumed_protein_kg(energy)) * GRAMS_PER_KG
            ),
            "meat_food": meat if animal.meat_kg > 0 else None,
            "meat_kg": animal.meat_kg,
            "meat_kcal": float(food_composition.food_energy_kcal(meat, animal.meat_kg)),
            "feed_kg": animal.feed_kg,
            "feed_kg_day": daily_kg,
            "feed_days": feed_days(animal),
            "housed_days": longest_housed_days(animal),
            "lasts_to_pasture": bool(feed_days(animal) >= longest_housed_days(animal)),
            "table_feed_kg_day": _table_feed_kg_day(animal),
        }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("animals")


# Rows of the feed table by words in the kind, most particular first.
_FEED_ROWS = {
    "hen": "hen", "chicken": "hen", "goat": "dairy goat", "sheep": "sheep", "horse": "horse",
    "pig": "pig", "sow": "pig", "steer": "steer", "beef cow": "beef cow",
}  # fmt: skip


def _table_feed_kg_day(animal):
    for word, row in _FEED_ROWS.items():
        if word in animal.kind:
            return float(home_produce.feed_kg_day(row, animal.count_n))
    return np.nan


def preserving(plan, share_frac=None):
    """What putting up a share of each crop takes: jars, loads, hours, water and fuel.

    share_frac (float or "surplus", optional) : Of every crop that the table can count, instead of
        the plan's own shares; the surplus is what is eaten after the picking (`surplus_frac`).
    Gives DataFrame: A row a crop with a share: food, method ("boiling water" or "pressure"),
        produce_kg, jars_n (quarts), loads_n, hours_h (at heat), water_m3, pot_heat_wh, fuel (None
        without a stove in the plan), fuel_wh, fuel_frac (of the stove's store). A last row sums
        them. Crops without jar figures are kept as they are, in cellar or bin, and left out.

    Raises ValueError if the share is not from 0 to 1.

    Physics of heating water and holding it, not a recipe: `homestead.formulas.food.preserving`.
    """
    if share_frac not in (None, "surplus"):
        checked("share_frac", share_frac, 0.0, 1.0)
    stove = plan.fuel_named(plan.cooking.store) if plan.cooking else None
    efficiency = jars.cooking_efficiency_frac(stove.fuel) if stove else np.nan
    store_wh = stove.amount * fuel_stores.fuel_wh_per_unit(stove) if stove else np.nan
    rows = {}
    for crop in plan.crops:
        share = surplus_frac(crop) if share_frac == "surplus" else share_frac
        share = crop.preserved_frac if share is None else share
        if share <= 0 or crop.food not in jars.foods_with_jars():
            continue
        produce_kg = crop.harvest_kg * share
        filled = float(jars.jars_n(crop.food, produce_kg))
        loads = float(jars.canner_loads_n(filled))
        pot_wh = loads * float(jars.load_heat_wh(crop.food, TAP_C, 1.0))
        rows[crop.name] = {
            "food": crop.food,
            "method": jars.method_of(crop.food),
            "produce_kg": produce_kg,
            "jars_n": filled,
            "loads_n": loads,
            "hours_h": loads * jars.load_hours(crop.food),
            "water_m3": loads * jars.load_water_m3(crop.food),
            "pot_heat_wh": pot_wh,
            "fuel": stove.fuel if stove else None,
            "fuel_wh": pot_wh / efficiency,
            "fuel_frac": pot_wh / efficiency / store_wh if store_wh else np.nan,
        }
    columns = (
        "food method produce_kg jars_n loads_n hours_h water_m3 pot_heat_wh fuel fuel_wh fuel_frac"
    ).split()
    frame = pd.DataFrame.from_dict(rows, orient="index", columns=columns).rename_axis("crop")
    if rows:
        summed = {
            name: frame[name].sum(skipna=False)
            for name in columns
            if name not in ("food", "method", "fuel")
        }
        frame.loc["all"] = {"food": None, "method": None, "fuel": frame["fuel"].iloc[0]} | summed
    return frame
