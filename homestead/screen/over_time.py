"""Older versions of a plan in words: the list, what changed since a day, days over the years."""

import re
from datetime import date

from homestead.screen.readable import count_text, days_words

SEASONS = {"spring": 3, "summer": 6, "fall": 9, "winter": 12}  # first month of each
BAR_DAYS = 6  # days of a mark in the line of days
SHOWN_N = 3  # changes that a sentence names
LISTED_N = 5  # changes that a preview lists


def version_line(number, version):
    """One line of the list of older versions, newest number 1."""
    when, said = _when_and_why(version)
    return f"{number:>4}  {when:<19} {said}"


def version_words(version):
    """An older version in a list to choose from."""
    return ", ".join(_when_and_why(version))


def _when_and_why(version):
    when = f"{version.replaced_at:%b} {version.replaced_at.day}, {version.replaced_at:%Y %H:%M}"
    said = f'kept as "{version.name}"' if version.name else ""
    return when, said or (f"before: {version.note}" if version.note else "before a change")


def change_words(entries):
    """What going from one version to another would change, in a sentence."""
    if not entries:
        return "This version says the same as your plan now."
    more_n = len(entries) - LISTED_N
    listed = [
        f"{one.label}: {one.before or 'nothing'} → {one.after or 'nothing'}"
        for one in entries[:LISTED_N]
    ]
    more = [f"and {more_n} more"] if more_n > 0 else []
    return f"This would change {count_text(len(entries), 'thing')}: {'; '.join(listed + more)}."


def day_of(text, today):
    """Day that a season's name or a date such as 2026-03-20 means, the last one before today.

    Raises ValueError if it is neither.
    """
    month = SEASONS.get(text.strip().lower())
    if month:
        year = today.year - ((month, 1) > (today.month, today.day))
        return date(year, month, 1)
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text.strip()):
        return date.fromisoformat(text.strip())
    raise ValueError(f"a season ({', '.join(SEASONS)}) or a date such as 2026-03-20; got {text!r}")


def since_words(day, comparison, horizon_days=365):
    """What changed since a day and what it did to the days, in a sentence or two."""
    when = f"{day:%B} {day.day}, {day:%Y}"
    changes = [entry.label if entry.what == "changed" else f"{entry.label} {entry.what}"
               for entry in comparison.entries]  # fmt: skip
    if not changes:
        return f"Nothing in your plan has changed since {when}."
    more_n = len(changes) - SHOWN_N
    named = "; ".join(changes[:SHOWN_N]) + (f"; and {more_n} more" if more_n > 0 else "")
    days = comparison.days.loc["homestead"]
    now, gained = int(days["p10_after"]), int(days["p10_gained"])
    moved = f"{count_text(abs(gained), 'day')} {'more' if gained > 0 else 'fewer'} than then"
    return (
        f"Since {when} {count_text(len(changes), 'thing')} changed ({named}). Plan on "
        f"{days_words(now, horizon_days)} now, {moved if gained else 'the same as then'}."
    )


def days_lines(points, horizon_days=365):
    """Days to plan on over the years, one line of text for each (date, days)."""
    return [
        f"{day:%b %Y}  {days_words(days, horizon_days):>16}  {'#' * round(days / BAR_DAYS)}"
        for day, days in points
    ]
