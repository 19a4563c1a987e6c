"""Tables about what to change next, how sure we are, how much is enough, and the years ahead."""

import math

import pandas as pd

from homestead import reference
from homestead import units as measures
from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan.currency import money_text
from homestead.questions.parts_out import parts_of
from homestead.screen.readable import (
    count_text,
    days_cell,
    days_words,
    fuel_text,
    percent,
    table_of,
)
from homestead.vocabulary import MONTHS, NEEDS

TODAY = "as it is today"


def _money(amount, sign):
    return money_text(amount, sign) if math.isfinite(amount) else "–"


def _gained(days):
    return f"{round(days):+d}" if round(days) else "0"


def changes(steps, sign="$"):
    """What each idea does by itself, best days for the money first.

    steps (NextSteps)
    sign (str) : Of the plan's currency.
    Gives DataFrame: A row a change, with those that it needs.
    """
    rows = []
    for effect in steps.single:
        more_h = effect.generator_h - effect.before.generator_h
        rows.append(
            {
                "Idea": ", with ".join(effect.names),
                "Cost": _money(effect.cost_money, sign),
                "Plan on (days)": days_cell(effect.days["p10"], HORIZON_DAYS),
                "More than today": _gained(effect.gained["p10"]),
                **{
                    f"{need.capitalize()}, more": _gained(effect.gained_by_need[need])
                    for need in NEEDS
                },
                "Cost per added day": _money(effect.cost_per_day, sign),
                "Then usually goes first": effect.first_to_fail,
                "Generator, more hours a year": _gained(more_h),
            }
        )
    return table_of(rows)


def free_actions(found):
    """Each thing that costs nothing, with the days to plan on and what it does for its need."""
    return table_of(
        {
            "What to do": action.name[0].upper() + action.name[1:],
            "Plan on (days)": days_cell(action.days["p10"], HORIZON_DAYS),
            "More than today": _gained(action.gained["p10"]),
            "Its need by itself": f"{action.need}: {_gained(action.need_gained)}"
            if round(action.need_gained)
            else f"{action.need}: no change",
        }
        for action in (*found.actions, found.together)
    )


def free_words(found):
    """What the free actions do, in one sentence."""
    before, after = (
        days_words(figures.days["p10"], HORIZON_DAYS) for figures in (found.whole, found.together)
    )
    best = found.actions[0]
    first = (
        f" The one that adds the most by itself: {best.name}, {best.gained['p10']} days more."
        if best.gained["p10"] > 0
        else ""
    )
    always = "if you do all of this from the first day"
    return f"Plan on {before} as usual, and on {after} {always}.{first}"


def parts_out(found):
    """Days with each part out, as usual and cutting back, those that cost the most first."""
    return table_of(
        [
            {
                "Without": part.part,
                "Plan on (days)": days_cell(part.days, HORIZON_DAYS),
                "Cutting back (days)": days_cell(part.days_cutting_back, HORIZON_DAYS),
                "Usually goes first": part.first_to_fail,
            }
            for part in found.parts
        ],
        ["Without", "Plan on (days)", "Cutting back (days)", "Usually goes first"],
    )


def hard_winters(found):
    """Days with each spell of weather harder than the record, and what each rests on."""
    rows = [("none of these", found.days, None, "", "")]
    rows += [
        (spell.name, spell.days, spell.least_days, spell.first_to_fail, spell.basis)
        for spell in found.spells
    ]
    return table_of(
        {
            "If every year had": name,
            "Plan on (days)": days_cell(days, HORIZON_DAYS),
            "Worst case (days)": "–" if least is None else days_cell(least, HORIZON_DAYS),
            "Usually goes first": first,
            "Based on": basis,
        }
        for name, days, least, first, basis in rows
    )


def by_season(steps):
    """Days that 9 of 10 starts of each season reach, today and with each idea."""
    rows = {
        TODAY if not effect.names else ", with ".join(effect.names): {
            f"{season.capitalize()} (days)": effect.days[season]
            for season in ("winter", "spring", "summer", "fall")
        }
        for effect in (steps.today, *steps.single)
    }
    return pd.DataFrame(rows).T.rename_axis("Idea")


def order(steps, sign="$"):
    """The best next step, then the best after that, with what has been spent so far."""
    rows, before = [], set()
    for number, effect in enumerate(steps.order, start=1):
        rows.append(
            {
                "Step": number,
                "Do": " and ".join(name for name in effect.names if name not in before),
                "Spent so far": _money(effect.cost_money, sign),
                "Plan on (days)": days_cell(effect.days["p10"], HORIZON_DAYS),
                "Half the time (days)": days_cell(effect.days["p50"], HORIZON_DAYS),
                "Then usually goes first": effect.first_to_fail,
            }
        )
        before |= set(effect.names)
    return table_of(rows)


def together(steps, sign="$"):
    """Pairs that gain more together than one by one."""
    return table_of(
        {
            "Together": " and ".join(effect.names),
            "Cost": _money(effect.cost_money, sign),
            "Days gained together": _gained(effect.gained["p10"]),
            "Days gained one by one": " and ".join(
                _gained(steps.effect_of(name).gained["p10"]) for name in effect.names
            ),
        }
        for effect in steps.together
        if all(_is_worked(steps, name) for name in effect.names)
    )


def _is_worked(steps, name):
    try:
        steps.effect_of(name)
    except KeyError:
        return False
    return True


def _moved(guess):
    moved = [
        f"{need} {days_cell(low, HORIZON_DAYS)} to {days_cell(high, HORIZON_DAYS)}"
        for need, (low, high) in guess.by_need.items()
        if low != high
    ]
    return ", ".join(moved) or "no change"


def guesses(sure):
    """Which guess moves the days most: measure these first.

    sure (Sureness)
    """
    return table_of(
        {
            "Measure first": guess.label,
            "Low": guess.low_text,
            "Your number": guess.value_text,
            "High": guess.high_text,
            "Days at low": guess.low_days,
            "Days at high": guess.high_days,
            "By need (days)": _moved(guess),
            # The shares come from a few dozen draws: nothing below a hundredth can be told.
            "Share of the doubt": percent(max(guess.explained_frac, 0.001)),
            "How to measure it": guess.how_to_measure,
        }
        for guess in sure.guesses
    )


def mixes(found):
    """The cheapest mix that lasts the days wanted, its runner-up, and today, need by need.

    found (Buying)
    """
    named = [("Today", found.today)]
    if found.best is None:
        named.append(("The most days", found.most))
    else:
        named.append(("Cheapest", found.best))
        named += [("Runner-up", found.runner_up)] if found.runner_up else []
    return table_of(
        {
            "Mix": name,
            "What": mix.words,
            "Cost": _money(mix.cost_money, found.currency),
            **_days_of(mix),
            "Fuel and wear, a year": _money(mix.yearly_money, found.currency),
        }
        for name, mix in named
    )


def _days_of(purchase):
    figures = purchase.figures
    return {
        "Plan on (days)": days_cell(purchase.reached_days, HORIZON_DAYS),
        **{
            f"{need.capitalize()} (days)": days_cell(figures.by_need[need], HORIZON_DAYS)
            for need in NEEDS
        },
        "Goes first": figures.first_to_fail,
    }


def mixes_by_money(found):
    """The cheapest mix for fewer and for more days."""
    return table_of(
        {
            "Cost": _money(mix.cost_money, found.currency),
            "Plan on (days)": days_cell(mix.reached_days, HORIZON_DAYS),
            "What": mix.words,
            "Goes first": mix.figures.first_to_fail,
        }
        for mix in found.curve
    )


def buying_years(found):
    """What to buy in each year with the plan's money a year."""
    return table_of(
        {
            "Year": year.year_n,
            "Buy": ", ".join(item.words for item in year.bought) or "nothing yet: save up",
            "Spent so far": _money(year.spent_money, found.currency),
            "Left over": _money(year.left_money, found.currency),
            "Plan on (days)": days_cell(year.after.reached_days, HORIZON_DAYS),
            "Then goes first": year.after.figures.first_to_fail,
        }
        for year in found.by_year
    )


def mix_words(found):
    """What the cheapest mix is, in a few sentences."""
    told = _mix_words(found)
    if found.left_out:
        told += f" You entered prices for parts you don't have: {', '.join(found.left_out)}."
    return told


def _mix_words(found):
    """What the cheapest mix is, in a sentence or two."""
    days = count_text(found.days, "day")
    if not found.curve[-1].items and found.best is None:
        return "You have no ideas and no prices yet, so there is nothing to choose from."
    if found.best is None:
        reached = days_words(found.most.reached_days, HORIZON_DAYS)
        return (
            f"Nothing on the list reaches {days}. The most is {reached}, for "
            f"{_money(found.most.cost_money, found.currency)}: {found.most.words}."
        )
    if not found.best.items:
        return f"You reach {days} as it is."
    told = (
        f"The cheapest way to {days} costs "
        f"{_money(found.best.cost_money, found.currency)}: {found.best.words}."
    )
    second = found.runner_up
    if second is not None:
        told += f" Next best, for {_money(second.cost_money, found.currency)}: {second.words}."
    if not found.is_proven:
        told += " There may be a cheaper one: we stopped the search early."
    return told


RATE_OF = {"main inverter unit": "main inverter"}  # kinds that break like another
COMMON = "common-practice"


def rates(broken, plan):
    """How often each part breaks, how often it ends the days sooner, and where the rate is from.

    broken (Breakdowns)
    """
    kinds = {part.name: part.kind for part in parts_of(plan)}
    sources = {row.item: row.source for row in reference.table("breakdowns")}
    rows = []
    for part, per_year in sorted(broken.rates.items(), key=lambda pair: -broken.blamed[pair[0]]):
        source = sources[RATE_OF.get(kinds[part], kinds[part])]
        rows.append(
            {
                "Part": part,
                "Breaks once in (years)": measures.digits(1.0 / per_year, 2),
                "Shortens your days": percent(broken.blamed[part]),
                "Rate is from": "common practice" if source == COMMON else reference.cite(source),
            }
        )
    return table_of(rows)


def spares(found, sign="$"):
    """What each spare on the shelf would add, most days for the money first."""
    return table_of(
        {
            "Spare": spare.kind,
            "Cost": "–" if spare.cost_money is None else _money(spare.cost_money, sign),
            "More days, on average": f"{spare.days_gained:.1f}",
            "More days to plan on": _gained(spare.p10_gained),
            f"Days per {_money(100.0, sign)}": (
                f"{spare.days_per_100_money:.1f}" if spare.cost_money else "no price"
            ),
        }
        for spare in found
    )


def cuts(found):
    """What to switch off, and from when, in the order in which it is given up."""
    return table_of(
        {
            "Switch off": cut.name,
            "From": "now" if cut.since <= found.begins else f"{cut.since:%A %H:%M}",
            "Kind": "essential" if cut.is_essential else "can wait",
            "Saves": measures.show(cut.spared_wh, "energy"),
        }
        for cut in found.cuts
    )


def dark_words(found):
    """Whether the battery lasts, in a sentence or two."""
    ends, charge = f"{found.ends:%A %H:%M}", percent(found.charge_frac)
    if found.dark_at is None:
        return f"With {charge} in the battery you make it to {ends} without switching anything off."
    told = f"With {charge} in the battery, you'd be dark on {found.dark_at:%A at %H:%M}."
    if found.lasts_until < found.ends:
        return (
            f"{told} Even with all of this off, the battery is empty on "
            f"{found.lasts_until:%A at %H:%M}."
        )
    return f"{told} Switch these off to reach {ends}:"


def stages(found, sign="$"):
    """The plan through the years: after each phase, what is spent and what is reached.

    found (sequence of Stage)
    """
    return pd.DataFrame(
        {
            "When": [stage.date for stage in found],
            "What": [", ".join(stage.changes) for stage in found],
            "Spent so far": [_money(stage.cost_so_far_money, sign) for stage in found],
            "Plan on (days)": [stage.days["p10"] for stage in found],
            "Worst case (days)": [stage.days["least"] for stage in found],
            "Usually goes first": [stage.first_to_fail for stage in found],
        }
    )


def capped(days):
    """Days of a `Comparison` as text; at the end of the count a gain is only the least of it."""
    shown = days.astype(object)
    for name in ("p10", "p50", "least"):
        before, after = days[f"{name}_before"], days[f"{name}_after"]
        for side in (before, after):
            shown[side.name] = [days_cell(int(count), HORIZON_DAYS) for count in side]
        shown[f"{name}_gained"] = [
            f"{now - then} or more" if then < HORIZON_DAYS <= now else int(now - then)
            for then, now in zip(before, after, strict=True)
        ]
    return shown


def readings(found, units="us"):
    """Readings beside the prediction, by month, an average day of each.

    found (Readings) : As `homestead.questions.readings.compare` gives it.
    units ({"us", "metric"})
    """
    table = found.by_month

    def shown(name):
        values = zip(table[name], table["kind"], table["what"], strict=True)
        return [
            fuel_text("cordwood", value, units)
            if what == "wood used"
            else measures.show(value, kind, units)
            for value, kind, what in values
        ]

    return table_of(
        {
            "What": table["what"],
            "Month": [MONTHS[month - 1] for month in table["month_n"]],
            "Days read": table["days_n"],
            "Read": shown("value"),
            "Predicted": shown("predicted"),
            "Off by": [
                f"{share:+.0%}" if math.isfinite(share) else "–" for share in table["bias_frac"]
            ],
        }
    )
