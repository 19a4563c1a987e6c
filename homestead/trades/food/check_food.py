"""Findings about food: what runs short or spoils, what the freezer depends on, feed, harvest."""

import math

from homestead import reference
from homestead.findings.finding import found
from homestead.formulas.food import food_storage, preserving
from homestead.simulate.food import infant_days, items_of, needs_of, source_of
from homestead.simulate.inputs import DAYS_N
from homestead.trades.food import study_food as tables
from homestead.trades.food import study_produce as produce
from homestead.vocabulary import NUTRIENTS

MOST_OF_ONE_FOOD_FRAC = 0.6
COMMON = "Common practice, no source: "


def findings_of(plan, hours=None):
    """Yield findings about the food of a plan.

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
        starts_frac = float((run.ends == number).mean())
        if starts_frac > 0.0:
            brings = BRINGS[nutrient]
            yield found(
                "food.lacking: {subject}",
                "warning" if starts_frac >= 0.5 else "note",
                "On {starts_frac:.0f} of start dates {subject} runs short before calories do. "
                "These bring more: {brings}. Food entered by energy alone counts as a mixed "
                "diet; enter what's in it if you know.",
                f"{reference.cite('dri-2005')}, {reference.cite('who-scurvy-1999')}: from memory; "
                "how long a body can go without is our own choice where no source gives it",
                locals(),
                subject=nutrient,
            )


def _infants(plan):
    lasts_days = infant_days(plan)
    if not math.isinf(lasts_days):
        yield found(
            "food.infant: infant",
            "danger",
            "A baby without a nursing mother in your plan has formula for {lasts_days:.0f}; "
            "after that, food counts as failed. Babies can't live on the family's stores, and "
            "plain animal milk, honey or thinned formula can harm them. Ask your doctor what to "
            "keep, and keep water boiled for it.",
            f"{reference.cite('who-feeding-2003')}: from memory",
            locals(),
        )


def _salt(plan):
    weighed = [item for item in plan.pantry if item.food is not None]
    if weighed and not any(item.food == "salt" for item in weighed):
        yield found(
            "food.no salt: salt",
            "note",
            "You haven't entered any salt. A few pounds a person each year cost little, and "
            "preserving food takes more.",
            f"{COMMON}salt for the table and for preserving",
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
        left_frac = spoilt_kcal / item.kcal
        yield found(
            "food.spoils: pantry: {subject}",
            "warning",
            "Up to {left_frac:.0f} of it will still be there when its time is up, after "
            "{keeps_days:.0f}. Eat the oldest first, store less of it, or pack it to keep "
            "longer. A date on a package is about quality, so look before you throw it out.",
            source,
            locals(),
            item,
            subject=item.name,
            limit="keeps_days",
        )


def _freezer(plan):
    freezer = plan.freezer
    if freezer is None:
        return
    kept_by = (appliance for appliance in plan.appliances if appliance.name == freezer.appliance)
    priority_n = next((appliance.priority_n for appliance in kept_by), 1)
    hold_h = float(tables.cold_stores_in_a_blackout(plan)["hold_h"].iloc[0])
    lost_days = freezer.energy_kcal / needs_of(plan).kcal
    if priority_n > 1:
        shed = plan.shedding
        below_frac = shed.useful_below_frac if priority_n == 2 else shed.comfort_below_frac
        yield found(
            "food.freezer is shed: freezer",
            "warning",
            "The freezer has priority {priority_n}, so it goes off when the battery falls below "
            "{below_frac:.0f}. As full as it is, it keeps for about {hold_h:.0f} with the lid "
            "shut; {lost_days:.0f} of your food depend on it.",
            f"{reference.cite('usda-fsis')}: 48 h full, 24 h half full",
            locals(),
        )
    if plan.generator is None:
        discard_h = food_storage.discard_after_hours()
        yield found(
            "food.freezer alone: freezer",
            "warning",
            "No generator backs up the freezer. After about {hold_h:.0f} without power its "
            "{lost_days:.0f} of food count as lost: perishable food above 40 °F (4 °C) for more "
            "than {discard_h:.0f} has to go. Dry or can some of it to spread the risk.",
            f"{reference.cite('usda-fsis')}: power outages",
            locals(),
            limit="discard_h",
        )


def _harvest(plan):
    for crop in plan.crops:
        low_kg, high_kg = produce.harvest_range_kg(crop)
        if math.isnan(low_kg) or low_kg <= crop.harvest_kg <= high_kg:
            continue
        is_high = crop.harvest_kg > high_kg
        yield found(
            "food.harvest: crop: {subject}",
            "warning" if is_high else "note",
            "{harvest_kg} from {area_m2} is {is_high:above|below} the {low_kg} to {high_kg} "
            "that gardens and fields usually give from that area. Weigh one year's harvest. "
            "{extension}",
            f"{COMMON}garden guides and farm yields, from memory",
            locals(),
            crop,
            subject=crop.name,
            limit=("low_kg", "high_kg"),
        )


def _keeping(plan):
    for crop in plan.crops:
        if not crop.picked or crop.food not in reference.items("foods", "shelf_life"):
            continue
        eaten_months = (crop.eaten[-1] - crop.picked[-1]) % 12
        keeps_days = food_storage.shelf_life_days(crop.food)
        keeps_months = keeps_days * 12 / DAYS_N
        if eaten_months * DAYS_N / 12 > keeps_days * 1.001:
            yield found(
                "food.crop keeping: crop: {subject}",
                "note",
                "You plan to eat it for {eaten_months} after the last picking; in a good cellar "
                "it keeps about {keeps_months:.0f}. Eat it sooner, or dry, can or freeze the "
                "rest.",
                f"{COMMON}storage charts, from memory",
                locals(),
                subject=crop.name,
                limit="keeps_months",
            )


def _feed(plan):
    for animal in plan.animals:
        lasts_days, housed_days = produce.feed_days(animal), produce.longest_housed_days(animal)
        if lasts_days >= housed_days:
            continue
        has_pasture, gives = bool(animal.pasture), animal.food_kcal > 0
        none = {"eggs": "No eggs are", "milk": "No milk is"}
        none = none.get(source_of(animal), "None of their food is")
        yield found(
            "food.feed: feed: {subject}",
            "warning",
            "Your feed lasts {lasts_days:.0f}{has_pasture: of the {housed_days:.0f} without "
            "pasture|, and your plan has them on no pasture}.{gives: {none} counted "
            "{has_pasture:after that, except in months on pasture|from then on}.|}",
            "Compared with the plan's own feed a day and months on pasture",
            locals(),
            subject=animal.name,
            limit="housed_days",
        )


def _variety(plan):
    by_food, items = {}, items_of(plan)
    for item in items:
        if item.food is not None:
            by_food[item.food] = by_food.get(item.food, 0.0) + item.kcal
    total_kcal = sum(item.kcal for item in items)
    for food, kcal in by_food.items():
        if kcal > MOST_OF_ONE_FOOD_FRAC * total_kcal:
            what, share_frac = food.capitalize(), kcal / total_kcal
            yield found(
                "food.variety: variety",
                "note",
                "{what} is {share_frac:.0f} of the energy on your shelves. Weeks of one food "
                "lack vitamins and are hard to get down, most of all for kids and older people.",
                f"{COMMON}no single food above {MOST_OF_ONE_FOOD_FRAC:.0%} of the stores",
                locals(),
                subject=food,
            )


def _cooking_water(plan):
    cook_m3 = tables.cooking_water_m3_person_day(plan)
    drink_m3 = reference.value("food_needs", "drinking", "water_survival_low", "m^3/day")
    least_m3 = plan.water_use.minimum_per_person_m3
    if cook_m3 > 0.0 and cook_m3 + drink_m3 > least_m3:
        yield found(
            "food.cooking water: water for dry food",
            "note",
            "When you live on the pantry, soaking and cooking take {cook_m3} a person each day "
            "and drinking at least {drink_m3}. Together that's more than the {least_m3} your "
            "plan sets as the least. Raise that number, or keep food that needs no water.",
            f"{reference.cite('sphere-2018')}: drinking, from memory; cooking by common practice",
            locals(),
            limit="least_m3",
        )


def _meat_is_kept(plan):
    for animal in plan.animals:
        later = [month for month in animal.meat_eaten if month not in animal.slaughter]
        if animal.meat_kg > 0 and later and plan.freezer is None:
            yield found(
                "food.meat kept: meat: {subject}",
                "note",
                "You eat the meat for months after slaughter and have no freezer: cure, dry or can "
                "it. Can meat only under pressure, by the current national guide for your "
                "elevation. {extension}",
                reference.cite("usda-aib-539"),
                subject=animal.name,
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
        yield found(
            "food.jars: canning",
            "note",
            "Low-acid food in jars: {names}. The toxin of botulism has no smell, and a "
            "boiling-water bath doesn't stop it. Take method, pressure and time from the "
            "current national guide, for your elevation. {extension}",
            reference.cite("usda-aib-539"),
            locals(),
        )
