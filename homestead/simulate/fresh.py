"""Fresh food by day of the year: what garden and animals bring, in energy and protein.

Shared by the coupled hour, which eats the energy, and by the study of food, which looks at both.
"""

from typing import NamedTuple

import numpy as np

from homestead.formulas.food import food as diet
from homestead.simulate.records import DAYS_N, MONTH_OF_DAY

GRAMS_PER_KG = 1000.0


class Fresh(NamedTuple):
    """What garden and animals bring on each day of a year, before any shortage of water or feed."""

    garden_kcal: np.ndarray  # shape (365,)
    garden_g: np.ndarray  # protein
    animal_kcal: np.ndarray  # shape (365, animals): eggs and milk
    animal_g: np.ndarray
    feed_kg: np.ndarray  # shape (365, animals): stored feed that they need
    meat_kcal: np.ndarray  # shape (365,)
    meat_g: np.ndarray
    animal_source: tuple  # of SOURCES, for each animal


def protein_per_kcal(food):
    """Protein of a food for each kcal of it. [g/kcal]."""
    return float(diet.food_protein_kg(food, 1.0) / diet.food_energy_kcal(food, 1.0)) * GRAMS_PER_KG


def produce_food(animal):
    """Row of the food table for what an animal gives alive, or None."""
    return animal.produce or diet.produce_of(animal.kind)


def meat_food(animal):
    """Row of the food table for an animal's meat; ground beef if nothing is known."""
    return animal.meat_food or diet.meat_of(animal.kind) or "ground beef"


def source_of(animal):
    """What an animal gives alive, in one word: eggs, milk or other produce."""
    food = produce_food(animal)
    if food == "egg":
        return "eggs"
    return "milk" if food and food.endswith("milk") else "other produce"


def assumed_g(energy_kcal):
    """Protein that stands for lack of an entry. [g]."""
    return float(diet.assumed_protein_kg(energy_kcal)) * GRAMS_PER_KG


def spread_over(months, amount):
    """An amount in even daily shares over the days of some months, array of shape (365,)."""
    inside = np.isin(MONTH_OF_DAY, months)
    return np.where(inside, amount / max(int(inside.sum()), 1), 0.0)


def fresh_of(plan):
    """Fresh food of a plan by day of the year."""
    shape = (DAYS_N, len(plan.animals))
    garden_kcal, garden_g = np.zeros(DAYS_N), np.zeros(DAYS_N)
    for crop in plan.crops:
        energy_kcal = float(diet.food_energy_kcal(crop.food, crop.harvest_kg * crop.edible_frac))
        garden_kcal += spread_over(crop.eaten, energy_kcal)
        garden_g += spread_over(crop.eaten, energy_kcal * protein_per_kcal(crop.food))
    animal_kcal, animal_g, feed_kg = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    meat_kcal, meat_g = np.zeros(DAYS_N), np.zeros(DAYS_N)
    for number, animal in enumerate(plan.animals):
        gives = np.isin(MONTH_OF_DAY, animal.yields)
        animal_kcal[:, number] = np.where(gives, animal.count_n * animal.food_kcal, 0.0)
        food = produce_food(animal)
        per_kcal = protein_per_kcal(food) if food else assumed_g(1.0)
        animal_g[:, number] = animal_kcal[:, number] * per_kcal
        housed = ~np.isin(MONTH_OF_DAY, animal.pasture)
        feed_kg[:, number] = np.where(housed, animal.count_n * animal.feed_day_kg, 0.0)
        if animal.meat_kg > 0:
            meat = meat_food(animal)
            energy_kcal = float(diet.food_energy_kcal(meat, animal.meat_kg))
            months = animal.meat_eaten or animal.slaughter
            meat_kcal += spread_over(months, energy_kcal)
            meat_g += spread_over(months, energy_kcal * protein_per_kcal(meat))
    sources = tuple(source_of(animal) for animal in plan.animals)
    return Fresh(garden_kcal, garden_g, animal_kcal, animal_g, feed_kg, meat_kcal, meat_g, sources)
