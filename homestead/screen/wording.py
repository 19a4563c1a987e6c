"""Sentences of the shared page, built from an outlook's numbers.

Plain words for a family that never saw a notebook; no HTML here. Every figure in a sentence comes
from the tables that stand beside it.
"""

import numpy as np

from homestead import units as measures
from homestead.plan import whose
from homestead.screen import findings, notes, series, tables
from homestead.screen.readable import WATTS_PER_KW, about, count_text, days_words, percent
from homestead.trades.food import tables as food_tables
from homestead.trades.power import study_sun as sun_study
from homestead.trades.power.study_sources import offering
from homestead.trades.warmth import tables as warmth_tables
from homestead.trades.warmth.study_fuel import first_low_months
from homestead.trades.water import tables as water_tables
from homestead.vocabulary import FULL_MONTHS, NEEDS

CLOSES_WITHIN = 1e-6
ENOUGH_YEARS_N = 20  # winters; fewer say little about one in ten


def household(plan):
    """Who lives there: people by count, animals by kind; no names, no ages."""
    kinds = [f"{animal.count_n} {animal.name}" for animal in plan.animals if animal.count_n]
    beasts = f"; animals: {', '.join(kinds)}" if kinds else ""
    return count_text(len(plan.people), "person", "people") + beasts


def date_words(month_day):
    """``"01-13"`` -> ``"January 13"``."""
    month, day = month_day.split("-")
    return f"{FULL_MONTHS[int(month) - 1]} {int(day)}"


def answer(outlook):
    """The answer in one sentence, its second part to be set off."""
    least, limit = outlook.homestead.p10, outlook.horizon_days
    if least >= limit:
        return "Plan on", "a year or longer, if nothing breaks"
    if least < 1:
        return "One time in ten or more you'd run out", "on the first day"
    return "Plan on", count_text(least, "day")


def five_lines(outlook, broken):
    """The answer and what to know about it, in five short lines for a terminal.

    broken (Breakdowns)
    Gives list of str.
    """
    limit = outlook.horizon_days
    lead, days = answer(outlook)
    spare = days_words(outlook.cutting_back.homestead.p10, limit)
    least = outlook.homestead.least
    worst = min(outlook.hours.years_n, 30)
    sure = [
        f"{chance} Worst in {worst} years: {outlook.worst_year_in(worst)}."
        for chance in chance_briefly(outlook)
    ] or [f"Weather: {notes.winters(outlook.hours, brief=True)}"]
    lines = [
        f"{outlook.plan.name}: {lead[0].lower()}{lead[1:]} {days}.",
        f"{first_briefly(outlook)} Worst case: {days_words(least, limit)}"
        + (f", if it starts on {date_words(outlook.homestead.worst_start)}." * (least < limit)),
        f"Cutting back from the first day, plan on {spare}. {breakdown_words(broken, True)}",
        " ".join([*sure, *notes.doubt_words(outlook)]),
        f"The checks found {findings.counted(findings.grave(outlook.findings)) or 'no danger'}. "
        "More: homestead days --full",
    ]
    return [line if line.endswith((".", "full")) else f"{line}." for line in lines]


def first_briefly(outlook):
    """Which need usually goes first, in a few words."""
    return first_words(outlook).partition(" (")[0].partition(",")[0].rstrip(".") + "."


def chance_briefly(outlook):
    """How far other winters move the answer, in a list of one short sentence; empty if unknown."""
    low, high = outlook.chance
    if outlook.hours.years_n < 10 or low >= outlook.horizon_days:
        return []
    others = f"{low} to {high}" if low < high else f"about {low}"
    return [f"Other winters like these: {others} days."]


def tried(outlook):
    """What was tried, where the answer stands."""
    years = count_text(outlook.hours.years_n, "year")
    return (
        f"We tried every day of {years} as the day the grid, deliveries and stores stop. One "
        f"time in ten you'd run out sooner."
        + (
            f" So few winters say little about one in ten: try {ENOUGH_YEARS_N} or more."
            if outlook.hours.years_n < ENOUGH_YEARS_N
            else ""
        )
    )


def how_sure(outlook):
    """How sure the answer is, in two sentences."""
    guesses = sum(
        assumption.low is not None or assumption.high is not None
        for assumption in outlook.plan.assumptions
    )
    guessed = f"{guesses} of your numbers {'is a guess' if guesses == 1 else 'are guesses'}"
    moved = [f"{guessed}; measuring them could change this more."] if guesses else []
    return " ".join([*chance_words(outlook), *notes.doubt_words(outlook), *moved])


def said(outlook, broken=None):
    """Behind the answer: what is hidden, cutting back, breakdowns, the first bad night.

    broken (Breakdowns, optional)
    """
    return [
        *hidden_words(outlook),
        sparing_words(outlook),
        *([breakdown_words(broken)] if broken else []),
        *bad_words(outlook),
    ]


def sparing_words(outlook, units=None):
    """How long it lasts when the family cuts back from the first day, and how that is done."""
    plan, spare = outlook.plan, outlook.plan.cutting_back
    units = units or plan.units
    days = days_words(outlook.cutting_back.homestead.p10, outlook.horizon_days)
    levels = {
        "power": "only the essentials switched on",
        "water": f"{measures.rough(spare.per_person_m3, 'volume', units)} of water a person a day",
        "warmth": f"{measures.show(spare.keep_c, 'temperature', units)} in "
        f"{percent(spare.heated_frac)} of the house",
        "food": f"{percent(spare.ration_frac)} of the usual food",
    }
    how = ", ".join(levels[need] for need in NEEDS if need in spare.needs)
    return f"Cutting back from the first day, plan on {days}: {how}."


def chance_words(outlook):
    """How far other winters of the same kind would move the answer, in a list."""
    (low, high), years_n = outlook.chance, outlook.hours.years_n
    if years_n < 10 or low >= outlook.horizon_days:
        return []
    worst = min(years_n, 30)
    moved = f"between {low} and {high}" if low < high else f"about {low}"
    return [
        f"With other winters like these, you'd plan on {moved} days. The worst year in ten gives "
        f"{outlook.worst_year_in(10)} days; the worst in {worst}, "
        f"{outlook.worst_year_in(worst)}."
    ]


def bad_words(outlook):
    """When the first bad night or day comes, in a list; empty where none does."""
    bad, limit = outlook.first_bad_together, outlook.horizon_days
    if bad.p10 >= limit:
        return []
    if bad.p10 < 1:
        return ["The first bad night can come on the first day."]
    return [f"Expect the first bad night or day after about {bad.p10} days."]


def first_words(outlook):
    """Which need goes first, and how often."""
    shares = outlook.first_to_fail
    falling = sorted((need for need in NEEDS if shares[need] > 0), key=lambda need: -shares[need])
    if not falling:
        return "Nothing runs out within a year, whenever it starts and if nothing breaks."
    if shares[falling[0]] == 1.0:
        return f"{falling[0].capitalize()} goes first, whenever it starts."
    parts = [f"{falling[0].capitalize()} usually goes first ({percent(shares[falling[0]])})"]
    parts += [f"{need} the other times ({percent(shares[need])})" for need in falling[1:2]]
    parts += [f"{need} now and then ({percent(shares[need])})" for need in falling[2:]]
    rest = (
        f"; {percent(shares['none'])} of the time nothing runs out within a year"
        if shares["none"]
        else ""
    )
    return ", ".join(parts) + rest + "."


def hidden_words(outlook):
    """Which need hides the others most, and what the picture is without it, in a list."""
    counted = outlook.plan.failure.counts
    without = {}
    for first in counted:
        rest = {need: outlook.days_of(need) for need in counted if need != first}
        if rest:
            without[first] = rest, np.min(list(rest.values()), axis=0)
    if not without:
        return []
    reached = {need: outlook.spread(days).p10 for need, (_, days) in without.items()}
    first = max(reached, key=reached.get)
    if reached[first] <= outlook.homestead.p10:
        return []
    if reached[first] >= outlook.horizon_days:
        then = "a year or longer, if nothing breaks"
    else:
        rest, days = without[first]
        ends = {need: int((own == days).sum()) for need, own in rest.items()}
        then = f"{reached[first]} days, and {max(ends, key=ends.get)} would usually go next"
    return [f"If {first} held, you could plan on {then}."]


def breakdown_words(broken, brief=False):
    """Days with parts breaking at random, beside those when nothing breaks."""
    days = count_text(broken.figures["p10"], "day")
    if brief:
        return f"If parts break: {days}."
    return f"If parts break as often as they usually do, plan on {days}."


def season_words(outlook, month=None):
    """Worst and best month for it to start, after the month asked about (1 to 12)."""
    p10 = np.array([spread.p10 for spread in outlook.by_month])
    low, high = int(p10.argmin()), int(p10.argmax())
    limit = outlook.horizon_days
    if p10[low] == p10[high]:
        return f"The season makes no difference: {days_words(int(p10[low]), limit)}."
    asked = (
        f"If it starts in {FULL_MONTHS[month - 1]}, plan on "
        f"{days_words(int(p10[month - 1]), limit)}. "
        if month and month - 1 not in (low, high)
        else ""
    )
    return asked + (
        f"{FULL_MONTHS[low]} is the worst time for it to start (plan on "
        f"{days_words(int(p10[low]), limit)}), {FULL_MONTHS[high]} the best "
        f"({days_words(int(p10[high]), limit)})."
    )


def fewest_words(outlook):
    """The worst case, and when."""
    spread = outlook.homestead
    if spread.least >= outlook.horizon_days:
        return "Worst case: still a year or longer, if nothing breaks."
    return (
        f"Worst case: {count_text(spread.least, 'day')}, if it starts on "
        f"{date_words(spread.worst_start)}."
    )


def days_explained(outlook):
    """How to read the table of days."""
    counted = outlook.plan.failure.counts
    text = (
        "“Plan on” is what you'd reach nine times in ten; the worst case is the shortest we "
        "found, and a real winter can be worse. You last until the first need runs out, and only "
        "if nothing breaks."
    )
    limit = outlook.horizon_days
    if any(spread.p50 >= limit for spread in outlook.needs.values()):
        text += (
            f" {limit}+ means nothing ran out in {limit} days if nothing breaks, with the "
            f"days if parts break beside it."
        )
    apart = [need for need in NEEDS if need not in counted]
    if apart:
        text += f" In your plan, {' and '.join(apart)} doesn't count toward your days."
    return text


def need_days(outlook, need, units):
    """Days of one need in a sentence or two."""
    spread, limit = outlook.needs[need], outlook.horizon_days
    rule = tables.failure_rules(outlook.plan, units).loc[need, "Fails when"].partition(". ")[0]
    fails = f" Failing means: {rule[0].lower()}{rule[1:].rstrip('.')}."
    if need == "power" and not outlook.year.monthly["essential_asked_w"].any():
        return "You haven't marked any use of electricity as essential, so power can't fail here."
    if spread.least >= limit:
        return f"It lasts a year or longer whenever it starts, if nothing breaks.{fails}"
    lasting = spread.reaches_horizon_frac
    never = (
        f" It lasts a year {percent(lasting)} of the time, if nothing breaks." if lasting else ""
    )
    return (
        f"Plan on {days_words(spread.p10, limit)}. Worst case: {spread.least}, if it starts on "
        f"{date_words(spread.worst_start)}.{never}{fails}"
    )


def power_means(outlook, units):
    """What the figures on power mean."""
    month = tables.energy_by_month(outlook)
    what, gives = offering(outlook.plan)
    sun = month.filter(like=" available (").sum(axis=1)
    used = month["Used in the house (kWh/day)"]
    low = int(np.argmin(sun.to_numpy()))
    usable = outlook.year.sunless_days["usable"]
    first = (
        f"{what[0].upper()}{what[1:]} {gives} least in {FULL_MONTHS[low]}, "
        f"{measures.digits(sun.iloc[low])} kWh on an average day, when the house uses "
        f"{measures.digits(used.iloc[low])}."
        if sun.max() > 0
        else "You get no electricity from the sun."
    )
    short = outlook.year.totals["unserved_kwh"]
    hours = outlook.year.totals["generator_h"]
    engine = f"; the generator runs about {measures.digits(hours, 2)} hours" if hours > 0.5 else ""
    gone = "With all of that gone" if outlook.hours.sources else "Without any sun"
    second = (
        f"{gone} a full battery lasts about {measures.digits(usable, 2)} days at average use, "
        f"and in an average year you would go without {measures.digits(short, 2)} kWh "
        f"you wanted{engine}."
    )
    if not (outlook.plan.arrays or outlook.hours.sources):
        return f"{first} {second}"
    fortnight = sun_study.worst_fortnight(outlook.hours)
    third = (
        f"In the {'worst' if outlook.hours.sources else 'darkest'} two weeks of "
        f"{count_text(outlook.hours.years_n, 'weather year')} {what} "
        f"{gives} {measures.digits(fortnight.pv_wh_day / WATTS_PER_KW)} kWh on an average day."
    )
    return f"{first} {third} {second}"


def water_means(outlook, units):
    """What the figures on water mean."""
    stores = tables.water_stores(outlook.plan, outlook, units)
    dark = stores.loc["all, without power"]
    rain, well = (outlook.year.totals[name] for name in ("rain_m3", "well_m3"))
    caught = float(outlook.hours.roof_m3.sum()) / outlook.hours.years_n
    roof = (
        f"; of {about(caught, 'volume', units)} that the roof catches, the cistern has room for "
        f"{about(rain, 'volume', units)}"
        if caught > 0
        else ""
    )
    # Without a well, what runs in by itself is what the year lives on.
    given = {name: outlook.year.totals[f"{name}_m3"] for name in outlook.hours.inflows}
    if well > 0 or not given:
        given = {"well": well} | given
    from_where = " and ".join(
        f"the {name.replace('_', ' ')} gives {about(value, 'volume', units)}"
        for name, value in given.items()
    )
    runs_in = outlook.hours.inflows and not outlook.plan.pump
    cut_off = "If no more runs in" if runs_in else "If the pump quits"
    return (
        f"{cut_off}, the water you can still get to lasts {dark['Days at usual use']} days "
        f"at the usual use, or {dark['Days at the least']} if people and animals get only the "
        f"least. In an average year {from_where}{roof}. "
        + water_tables.busiest_words(water_tables.study_of(outlook), units)
    )


def warmth_means(outlook, units):
    """What the figures on warmth mean."""
    plan = outlook.plan
    heat = tables.heat_by_month(outlook, units)["Heaters give (kWh/day)"]
    most = int(np.argmax(heat.to_numpy()))
    week = series.coldest_week(outlook)
    coldest = measures.show(float(week.hourly["outside_c"].min()), "temperature", units)
    inside = measures.show(float(week.hourly["inside_c"].min()), "temperature", units)
    pipes = outlook.days_of("pipes")
    risk = float((pipes < outlook.horizon_days).mean())
    frost = measures.show(plan.failure.pipes_below_c, "temperature", units)
    first = (
        f"The heaters run hardest in {FULL_MONTHS[most]}, {measures.digits(heat.iloc[most])} kWh "
        f"of heat on an average day; in the coldest week, down to {coldest} outside, the rooms "
        f"stay at {inside} or warmer as long as there is fuel."
        if plan.heaters
        else f"You have no heater; in the coldest week it is {coldest} outside and {inside} inside."
    )
    second = (
        f"As long as your heat lasts, the rooms don't fall to {frost} in any weather we tried; "
        f"pipes in outer walls, attics and crawl spaces freeze sooner."
        if risk == 0
        else f"{percent(risk)} of the time the rooms fall to {frost}, your limit for pipes; "
        f"pipes in outer walls, attics and crawl spaces freeze sooner."
    )
    return f"{first} {second} {_fire_out(outlook, units)} {_fuel_low(outlook)}".rstrip()


def _fire_out(outlook, units):
    """How fast the rooms cool when all heat stops."""
    cool = warmth_tables.study_of(outlook).cool_down
    limit = measures.show(cool.limit_c, "temperature", units)
    if not np.isfinite(cool.hours_to_limit):
        return f"If all heat stops on the coldest night, the rooms stay above {limit}."
    return (
        "If all heat stops on the evening before the coldest night, the rooms fall to "
        f"{limit} after about {warmth_tables.duration(cool.hours_to_limit)}."
    )


def _fuel_low(outlook):
    """Which store counts as low in a normal year, and when first."""
    table = warmth_tables.study_of(outlook).ledger
    if not len(table):
        return ""
    low = {
        store: FULL_MONTHS[month - 1]
        for store, month in first_low_months(table).items()
        if month is not None
    }
    if not low:
        return "In a normal year no fuel runs low at the end of a month."
    runs_low = ", ".join(f"{store} by the end of {month}" for store, month in low.items())
    return f"Even in a normal year, with deliveries, these run low: {runs_low}."


def food_means(outlook, units):
    """What the figures on food mean."""
    land = tables.food_by_month(outlook)["Share from the land (%)"]
    stored = tables.pantry(outlook.plan).loc["all", "Feeds the household (days)"]
    return (
        f"What you have feeds everybody for {measures.digits(float(stored), 2)} days if nothing "
        f"else comes. Garden and animals give {int(land.min())} to {int(land.max())} % of what "
        f"you need, depending on the month, and stretch your stores that much, as long as water "
        f"and feed last. " + food_tables.lasts_words(food_tables.year_of(outlook))
    )


MEANS = {"power": power_means, "water": water_means, "warmth": warmth_means, "food": food_means}


def after_words(outlook):
    """What the lines after the first failure mean; empty where nothing failed."""
    least = outlook.homestead.least
    if least >= outlook.horizon_days:
        return ""
    return (
        f"You'd last {count_text(least, 'day')}; by the end of day {least + 1} a need has failed "
        f"for good. The lines after it show what comes next if you carry on."
    )


def worst_intro(outlook, begins):
    """What the worst start is, before its story; `begins` says when in words."""
    tried = count_text(outlook.starts_n, "start date")
    if outlook.homestead.least >= outlook.horizon_days:
        return f"None of {tried} failed within a year. This is the first of them, {begins}."
    return f"The hardest of {tried}: {begins}."


def alarm(outlook):
    """How many dangers and warnings there are, for the top of the page; empty without any."""
    grave = findings.grave(outlook.findings)
    return f"The checks of the plan found {findings.counted(grave)}." if grave else ""


def findings_intro(outlook):
    """How many findings of which weight, and how to read them."""
    return f"{findings.counted(outlook.findings)}. {findings.HOW_TO_READ}"


def computed(outlook, location_left_out=False):
    """How the page was worked out and what it cannot show, in paragraphs."""
    hours = outlook.hours
    years = count_text(hours.years_n, "weather year")
    source = hours.source
    if location_left_out:
        source = f"This page leaves out the place. {notes.winters(hours)}"
    if "weather" not in outlook.plan.raw.get("site", {}) and not location_left_out:
        source = f"You haven't chosen one, so we used: {source}"
    worse = "can come, and a changing climate isn't in these years."
    kind = (
        f"A worse winter or drought {worse}"
        if hours.synthetic
        else f"The {years} were measured, so they show what has been. A worse one {worse}"
    )
    residual = max(outlook.year.balance.values())
    closes = (
        "within one part in a million"
        if residual < CLOSES_WITHIN
        else f"within {percent(residual)}, which is too far off: let whoever keeps the plan know"
    )
    ranged = sum(
        assumption.low is not None or assumption.high is not None
        for assumption in outlook.plan.assumptions
    )
    unsure = (
        f"{count_text(ranged, 'number')} in your plan {'has' if ranged == 1 else 'have'} a range "
        f"(above); the days here use your number for each, so the truth could be well to either "
        f"side."
        if ranged
        else "Your plan has no ranges, so we can't say how far off this may be."
    )
    return [
        f"We calculated every hour of every weather year: sun, loads, battery, generator, well "
        f"and cistern, heat and fuel, and each day's food, each affecting the others. We tried "
        f"each day of each year as the first, {outlook.starts_n:,} in all, until a need failed, "
        f"for up to {outlook.horizon_days} days. "
        f"Energy, water and heat add up to {closes}; that checks the arithmetic, not your plan.",
        f"Weather. {source}",
        kind,
        f"Whose numbers. {whose.in_words(outlook.plan)}",
        f"How sure. {unsure} Illness, breakage, theft and neighbors in need aren't counted. Use "
        f"the days to compare, not as a promise; a day more or less means nothing.",
    ]
