"""Today and the season in words: days from today, what to do this week, chores by month."""

from homestead.outlook.independence import HORIZON_DAYS
from homestead.questions.season import EVERY_MONTH
from homestead.questions.today import low
from homestead.screen.readable import count_text, days_words
from homestead.vocabulary import FULL_MONTHS

MOST_LINES = 3


def today_words(found):
    """Days from today and what ends them, in a sentence or two."""
    when = f"{FULL_MONTHS[found.on.month - 1]} {found.on.day}"
    days, spare = (days_words(low(some), HORIZON_DAYS) for some in (found.days, found.sparing))
    first = f" {found.first.capitalize()} usually goes first." if found.first else ""
    return (
        f"If nothing arrived from today, {when}, with these stores: plan on {days}.{first} "
        f"Cutting back from today: {spare}."
    )


def this_week(found, chores):
    """What to do this week, three lines at most: what adds the most days, then what is due.

    found (Today)
    chores (sequence of Chore)
    Gives list of str.
    """
    lines = [
        f"Have the {name} filled: {count_text(gained, 'more day', 'more days')} to plan on."
        for name, gained in found.fill[:1]
    ]
    gained = low(found.sparing) - low(found.days)
    if gained > 0 and low(found.days) < HORIZON_DAYS:
        lines.append(
            f"If it has begun, cut back now: {count_text(gained, 'more day', 'more days')}."
        )
    return [*lines, *due_in(found.on.month, chores)][:MOST_LINES]


def due_in(month, chores):
    """What to do in a month, those of that month alone first, three lines at most."""
    return [chore.text for chore in chores if month in chore.months][:MOST_LINES]


def by_month(chores):
    """Chores of each month, those of every month left out: a list of (month name, chores)."""
    single = [chore for chore in chores if chore.months != EVERY_MONTH]
    return [
        (FULL_MONTHS[month - 1], [chore for chore in single if month in chore.months])
        for month in EVERY_MONTH
    ]
