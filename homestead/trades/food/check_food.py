"""Findings about food: what runs short or spoils, what the freezer depends on, feed, harvest."""

import functools
import math

from homestead import reference, units
from homestead.findings.finding import Finding
from homestead.formulas.food import food_storage, preserving
from homestead.simulate.food import infant_days, items_of, needs_of, source_of
from homestead.simulate.inputs import DAYS_N
from homestead.trades.food import study_food as tables
from homestead.trades.food import study_produce as produce
from homestead.vocabulary import NUTRIENTS

MOST_OF_ONE_FOOD_FRAC = 0.6
COMMON = "Common practice, no source: "
EXTENSION = "Ask the extension office of your county."


def findings_of(plan, hours=None):
    """Yield findings about the food of a plan.

    plan (Plan)
    hours (Hours, optional) : Without them, what the calendar of eating shows is left out.
    """
    if hours is not None:
        run = tables.by_calendar(hours)
        yield from _lacking(run)
        yield from _spoils(plan, run)
    yield from _infants(plan)
    yield from _salt(plan)
    yield from _freezer(plan)
    yield from _harvest(plan)
    yield from _keeping(plan)
    yield from _feed(plan)
    yield from _variety(plan)
    yield from _cooking_water(plan)
    yield from _meat_is_kept(plan)
    yield from _jars(plan)


BRINGS = {
    "protein": "beans, lentils, eggs, milk or meat",
    "fat": "oil, lard, butter, nuts or meat",
    "vitamin C": "potatoes, cabbage, greens, tomatoes or tablets",
    "salt": "salt on the shelf",
}


def _lacking(run):
    for number, nutrient in enumerate(NUTRIENTS, start=1):
        share = float((run.ends == number).mean())
        if share > 0.0:
            yield Finding(
                "warning" if share >= 0.5 else "note",
                nutrient,
                f"From {share:.0%} of the start dates {nutrient} runs short before energy does. "
                f"What is missing: {BRINGS[nutrient]}. Food entered by energy alone counts as a "
                f"mixed diet; enter what's in it if you know.",
                f"{reference.cite('dri-2005')}, {reference.cite('who-scurvy-1999')}: from memory; "
                "how long a body can go without is our own choice where no source gives it",
                code="lacking",
            )


def _infants(plan):
    lasts = infant_days(plan)
    if math.isinf(lasts):
        return
    yield Finding(
        "danger",
        "infant",
        f"An infant without a nursing mother in the plan has formula for {lasts:.0f} days; food "
        "counts as failed then. Infants can't live on the family's stores, and plain animal milk, "
        "honey or thinned formula can harm them. Ask your doctor what to keep, and keep water "
        "boiled for it.",
        f"{reference.cite('who-feeding-2003')}: from memory",
        code="infants",
    )


def _salt(plan):
    weighed = [item for item in plan.pantry if item.food is not None]
    if weighed and not any(item.food == "salt" for item in weighed):
        yield Finding(
            "note",
            "salt",
            "No salt is entered. A few pounds a person and year cost little, and preserving food "
            "takes more.",
            f"{COMMON}salt for the table and for preserving",
            code="salt",
        )


def _spoils(plan, run):
    for number, item in enumerate(items_of(plan)):
        spoilt_kcal = float(run.spoiled_kcal[:, number].max())
        if spoilt_kcal <= tables.SPOILT_FROM_FRAC * item.kcal:
            continue
        source = (
            "The best-by date of the plan"
            if item.keeps_from == "best-by date"
            else f"{reference.cite(reference.row('foods', item.food, 'shelf_life').source)}: "
            "storage charts, from memory"
        )
        share = spoilt_kcal / item.kcal
        yield Finding(
            "warning",
            f"pantry: {item.name}",
            f"Up to {share:.0%} of it is still there when its time is up, {item.keeps_days:.0f} "
            "days in. Eat the oldest first, store less of it or pack it to "
            "keep longer; a date on a package speaks of quality, so look before you throw out.",
            source,
            code="spoils",
        )


def _freezer(plan):
    freezer = plan.freezer
    if freezer is None:
        return
    priority = next(
        (
            appliance.priority_n
            for appliance in plan.appliances
            if appliance.name == freezer.appliance
        ),
        1,
    )
    hold_h = float(tables.cold_stores_in_a_blackout(plan)["hold_h"].iloc[0])
    lost_days = freezer.energy_kcal / needs_of(plan).kcal
    if priority > 1:
        below = (
            plan.shedding.useful_below_frac if priority == 2 else plan.shedding.comfort_below_frac
        )
        yield Finding(
            "warning",
            "freezer",
            f"The freezer has priority {priority}: it is switched off when the battery falls below "
            f"{below:.0%}. As full as the plan says it keeps for about {hold_h:.0f} h with the lid "
            f"shut; {lost_days:.0f} days of the household's food depend on it.",
            f"{reference.cite('usda-fsis')}: 48 h full, 24 h half full",
            code="freezer",
        )
    if plan.generator is None:
        yield Finding(
            "warning",
            "freezer",
            f"No generator backs up the freezer. After about "
            f"{hold_h:.0f} h dark its {lost_days:.0f} days of food count as lost: perishable food "
            f"above 40 °F (4 °C) for more than {food_storage.discard_after_hours():.0f} h has to "
            "go. Dry or can some of it to spread the risk.",
            f"{reference.cite('usda-fsis')}: power outages",
            code="freezer",
        )


def _harvest(plan):
    show = functools.partial(units.show, units=plan.units)
    for crop in plan.crops:
        low_kg, high_kg = produce.harvest_range_kg(crop)
        if math.isnan(low_kg) or low_kg <= crop.harvest_kg <= high_kg:
            continue
        side = "below" if crop.harvest_kg < low_kg else "above"
        yield Finding(
            "warning" if side == "above" else "note",
            f"crop: {crop.name}",
            f"{show(crop.harvest_kg, 'mass')} from {show(crop.area_m2, 'area')} is {side} the "
            f"{show(low_kg, 'mass')} to {show(high_kg, 'mass')} that gardens and fields give "
            f"from that area. Weigh one year's harvest. {EXTENSION}",
            f"{COMMON}garden guides and farm yields, from memory",
            code="harvest",
        )


def _keeping(plan):
    for crop in plan.crops:
        if not crop.picked or crop.food not in reference.items("foods", "shelf_life"):
            continue
        months = (crop.eaten[-1] - crop.picked[-1]) % 12
        keeps_days = food_storage.shelf_life_days(crop.food)
        if months * DAYS_N / 12 <= keeps_days * 1.001:
            continue
        yield Finding(
            "note",
            f"crop: {crop.name}",
            f"It is eaten for {months} months after the last picking; in a cellar that suits it, "
            f"it keeps for about {keeps_days * 12 / DAYS_N:.0f}. Eat it sooner, or dry, can "
            "or freeze the rest.",
            f"{COMMON}storage charts, from memory",
            code="keeping",
        )


def _feed(plan):
    for animal in plan.animals:
        lasts, housed = produce.feed_days(animal), produce.longest_housed_days(animal)
        if lasts >= housed:
            continue
        stretch = (
            f"of the {housed} days without pasture"
            if animal.pasture
            else "and the plan gives them no months on pasture"
        )
        yield Finding(
            "warning",
            f"feed: {animal.name}",
            f"The feed you have lasts {lasts:.0f} days {stretch}.{_yield_ends(animal)}",
            "Compared with the plan's own feed a day and months on pasture",
            code="feed",
        )


def _yield_ends(animal):
    """What the outlook no longer counts once the feed is gone; empty if they give nothing."""
    if animal.food_kcal <= 0:
        return ""
    words = {"eggs": "No eggs are", "milk": "No milk is"}
    none = words.get(source_of(animal), "None of their food is")
    if animal.pasture:
        return f" {none} counted after that, except in months on pasture."
    return f" {none} counted from then on."


def _variety(plan):
    by_food, items = {}, items_of(plan)
    for item in items:
        if item.food is not None:
            by_food[item.food] = by_food.get(item.food, 0.0) + item.kcal
    total_kcal = sum(item.kcal for item in items)
    for food, kcal in by_food.items():
        if kcal > MOST_OF_ONE_FOOD_FRAC * total_kcal:
            yield Finding(
                "note",
                "variety",
                f"{food.capitalize()} is {kcal / total_kcal:.0%} of the energy on your shelves. "
                f"One food "
                "for weeks lacks vitamins and is hard to eat, above all for children and older "
                "people.",
                f"{COMMON}no single food above {MOST_OF_ONE_FOOD_FRAC:.0%} of the stores",
                code="variety",
            )


def _cooking_water(plan):
    show = functools.partial(units.show, units=plan.units)
    cook_m3 = tables.cooking_water_m3_person_day(plan)
    drink_m3 = reference.value("food_needs", "drinking", "water_survival_low", "m^3/day")
    least_m3 = plan.water_use.minimum_per_person_m3
    if cook_m3 <= 0.0 or cook_m3 + drink_m3 <= least_m3:
        return
    yield Finding(
        "note",
        "water for dry food",
        f"Living on the pantry, soaking and cooking take {show(cook_m3, 'volume')} for each "
        f"person a day and drinking at least {show(drink_m3, 'volume')}, together more than the "
        f"{show(least_m3, 'volume')} that your plan sets as the least. Raise that number or "
        f"keep food that needs no water.",
        f"{reference.cite('sphere-2018')}: drinking, from memory; cooking by common practice",
        code="cooking water",
    )


def _meat_is_kept(plan):
    for animal in plan.animals:
        later = [month for month in animal.meat_eaten if month not in animal.slaughter]
        if animal.meat_kg <= 0 or not later or plan.freezer is not None:
            continue
        yield Finding(
            "note",
            f"meat: {animal.name}",
            "You eat the meat for months after slaughter and have no freezer: cure, dry or can "
            "it. Can meat only under pressure, by the current national "
            f"guide for your elevation. {EXTENSION}",
            reference.cite("usda-aib-539"),
            code="meat is kept",
        )


def _jars(plan):
    names = [
        crop.name
        for crop in plan.crops
        if crop.preserved_frac > 0
        and crop.food in preserving.foods_with_jars()
        and preserving.method_of(crop.food) == "pressure"
    ]
    if names:
        yield Finding(
            "note",
            "canning",
            f"Low-acid food in jars: {', '.join(names)}. The toxin of botulism has no smell and a "
            f"boiling-water bath does not prevent it. Take method, pressure and time from the "
            f"current national guide, for your elevation. {EXTENSION}",
            reference.cite("usda-aib-539"),
            code="jars",
        )
