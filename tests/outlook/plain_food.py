"""A day of food written plainly, from the plan and the physics, to hold the compiled one against.

Foods are lots in a dict by name; each lot is looked up in the food table where it is used.
"""

import math

import numpy as np

from homestead import reference
from homestead.formulas.food import food as diet
from homestead.formulas.food import food_composition
from homestead.simulate.food import keeps_days_of, meat_food, produce_food

NUTRIENTS = ("protein", "fat", "vitamin_c", "salt")
PUT_UP_DAYS = 120.0
SODIUM_IN_SALT = 22.99 / (22.99 + 35.45)
MONTHS = np.repeat(np.arange(1, 13), (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))


def grams_per_kcal(food):
    """Nutrients in a kcal of a food of the table."""
    kcal = reference.value("foods", food, "energy", "kcal/kg")
    found = {}
    for name in ("protein", "fat", "vitamin_c", "sodium"):
        found[name] = reference.value("foods", food, name, "kg/kg") * 1000.0 / kcal
    found["salt"] = found.pop("sodium") / SODIUM_IN_SALT
    found["vitamin_c"] *= 1.0 if food == "infant formula" else 0.5
    return found


def mixed_per_kcal(store=None, kcal=0.0):
    """A food of which only the energy is known: 10 % of it protein, 20 % fat, and so on."""
    found = {
        "protein": 0.10 / 4.0,
        "fat": 0.20 / 9.0,
        "vitamin_c": 0.015e-3,
        "salt": 0.75e-3 / SODIUM_IN_SALT,
    }
    for name in NUTRIENTS:
        entered_kg = getattr(store, f"{name}_kg", None)
        if entered_kg is not None and kcal > 0.0:
            found[name] = entered_kg * 1000.0 / kcal
    return found


class PlainFood:
    """Stores, animals and bodies of one start."""

    def __init__(self, plan, need_kcal, years_n):
        self.plan, self.need_kcal, self.years_n = plan, need_kcal, years_n
        self.day = 0
        self.got_m3 = self.needed_m3 = 0.0
        self.lacking = dict.fromkeys(NUTRIENTS, 0.0)
        adults = [one for one in plan.people if one.age_n > 0]
        protein_g = sum(
            float(diet.protein_need_g_day(one.age_n, one.sex, one.life_stage)) for one in adults
        )
        kcal = sum(
            float(diet.energy_need_kcal_day(one.age_n, one.sex, one.activity, one.life_stage))
            for one in adults
        )
        self.least = {
            "protein": 0.8 * protein_g,
            "fat": 0.15 * kcal / 9.0,
            "vitamin_c": 0.010 * len(adults),
            "salt": 0.5 / SODIUM_IN_SALT * len(adults),
        }
        rule = plan.failure
        self.borne_days = {
            "protein": rule.protein_days_n,
            "fat": rule.fat_days_n,
            "vitamin_c": rule.vitamin_c_days_n,
            "salt": rule.salt_days_n,
        }
        self.deliver()

    def deliver(self):
        plan, self.lots, self.shaker = self.plan, [], dict.fromkeys(NUTRIENTS, 0.0)
        if plan.freezer:
            kcal = plan.freezer.energy_kcal
            lot = {"kcal": kcal, "frozen": True, "ends": math.inf}
            self.lots.append(lot | {"holds": mixed_per_kcal(plan.freezer, kcal)})
        for item in plan.pantry:
            if item.food == "salt":
                self.shaker["salt"] += item.mass_kg * 1000.0 * 0.38758 / SODIUM_IN_SALT
                continue
            kcal = item.energy_kcal
            if kcal is None:
                kcal = float(food_composition.food_energy_kcal(item.food, item.mass_kg))
            holds = grams_per_kcal(item.food) if item.food else mixed_per_kcal(item, kcal)
            ends = keeps_days_of(item)[0]
            lot = {"kcal": kcal, "frozen": item.in_freezer, "ends": ends, "holds": holds}
            self.lots.append(lot)
        self.start_frozen_kcal = sum(lot["kcal"] for lot in self.lots if lot["frozen"])
        self.feed_kg = [animal.feed_kg for animal in plan.animals]
        self.alive = [True] * len(plan.animals)

    def left_kcal(self, frozen):
        return sum(lot["kcal"] for lot in self.lots if lot["frozen"] == frozen)

    def live_day(self, of_year, year, dark_h, got_m3, needed_m3):
        """Eat a day; returns the energy eaten and the nutrients lacking for too long."""
        self.got_m3 += got_m3
        self.needed_m3 += needed_m3
        fresh = list(self._garden(of_year, year)) + list(self._animals(of_year))
        offered_kcal = sum(kcal for kcal, _ in fresh)
        share = min(self.need_kcal / offered_kcal, 1.0) if offered_kcal > 0.0 else 0.0
        eaten = [(kcal * share, holds) for kcal, holds in fresh]
        for lot in self.lots:
            if self.day >= lot["ends"]:
                lot["kcal"] = 0.0
        frozen_kcal = self.left_kcal(True)
        if self.plan.freezer and frozen_kcal > 0.0:
            fill = self.plan.freezer.fill_frac * frozen_kcal / self.start_frozen_kcal
            holds_h = self.plan.failure.freezer_full_s / 3600.0 * max(fill, 0.5)
            if 0.0 < dark_h and dark_h >= holds_h:
                for lot in self.lots:
                    lot["kcal"] *= not lot["frozen"]
        for frozen in (True, False):
            wanted = self.need_kcal - sum(kcal for kcal, _ in eaten)
            eaten += self._from_lots([lot for lot in self.lots if lot["frozen"] == frozen], wanted)
        too_long = self._nourish(eaten)
        self.day += 1
        return sum(kcal for kcal, _ in eaten), too_long

    def _garden(self, of_year, year):
        share = 1.0
        if self.needed_m3 > 0.0:
            # FAO 33: yield falls by 1.05 times the share of water that a mixed garden missed.
            share = max(1.0 - 1.05 * (1.0 - self.got_m3 / self.needed_m3), 0.0)
        for number, crop in enumerate(self.plan.crops):
            days = np.isin(MONTHS, crop.eaten)
            if not days[of_year]:
                continue
            kcal = float(
                food_composition.food_energy_kcal(crop.food, crop.harvest_kg * crop.edible_frac)
            )
            begins = (crop.picked or crop.eaten)[0]
            grown = year if MONTHS[of_year] >= begins else (year - 1) % self.years_n
            drawn = np.random.default_rng(self.plan.site.seed_n + number).permutation(self.years_n)
            bad = drawn[: round(crop.bad_years_frac * self.years_n)]
            kcal *= crop.bad_harvest_frac if grown in bad else 1.0
            yield kcal / days.sum() * share, grams_per_kcal(crop.food)

    def _animals(self, of_year):
        month = MONTHS[of_year]
        for number, animal in enumerate(self.plan.animals):
            if not self.alive[number]:
                continue
            meat = grams_per_kcal(meat_food(animal))
            per_kg = reference.value("foods", meat_food(animal), "energy", "kcal/kg")
            wanted_kg = 0.0 if month in animal.pasture else animal.count_n * animal.feed_day_kg
            is_fed = self.feed_kg[number] >= wanted_kg
            self.feed_kg[number] = max(self.feed_kg[number] - wanted_kg, 0.0)
            if not is_fed and animal.meat_if_feed_ends_kg > 0.0:
                self.alive[number] = False
                lot = {"kcal": animal.meat_if_feed_ends_kg * per_kg, "frozen": False}
                lot |= {"ends": self.day + PUT_UP_DAYS, "holds": meat, "fresh": True}
                self.lots.append(lot)
                continue
            if is_fed and month in animal.yields:
                food = produce_food(animal)
                holds = grams_per_kcal(food) if food else mixed_per_kcal()
                yield animal.count_n * animal.food_kcal, holds
            months = animal.meat_eaten or animal.slaughter
            if month in months:
                yield animal.meat_kg * per_kg / np.isin(MONTHS, months).sum(), meat

    def _from_lots(self, lots, wanted):
        """What must be eaten to be eaten in time, soonest first; then some of everything."""
        wanted = min(wanted, sum(lot["kcal"] for lot in lots))
        taken = [0.0] * len(lots)
        soonest = sorted(
            range(len(lots)), key=lambda at: (not lots[at].get("fresh"), lots[at]["ends"])
        )
        for at in soonest:
            days = max(lots[at]["ends"] - self.day, 1.0)
            taken[at] = min(lots[at]["kcal"] / days, wanted - sum(taken))
        rest, left = wanted - sum(taken), sum(lot["kcal"] for lot in lots) - sum(taken)
        eaten = []
        for lot, kcal in zip(lots, taken, strict=True):
            if rest > 0.0:
                kcal += (lot["kcal"] - kcal) * min(rest / left, 1.0)
            lot["kcal"] = max(lot["kcal"] - kcal, 0.0)
            eaten.append((kcal, lot["holds"]))
        return eaten

    def _nourish(self, eaten):
        too_long = []
        for name in NUTRIENTS:
            short = self.least[name] - sum(kcal * holds[name] for kcal, holds in eaten)
            if short > 0.0:
                shaken = min(short, self.shaker[name])
                self.shaker[name] -= shaken
                short -= shaken
            self.lacking[name] = max(self.lacking[name] + short, 0.0)
            if self.lacking[name] > self.borne_days[name] * self.least[name] * (1 + 1e-9):
                too_long.append(name)
        return too_long
