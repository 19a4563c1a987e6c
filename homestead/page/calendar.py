"""The year's chores as a calendar file, by RFC 5545, for a phone or a computer.

The same plan gives the same bytes: every entry has a name of its own that stays in later years, so
that a calendar that takes the file again changes its entries and adds none.
"""

import uuid
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from icalendar import Calendar, Event

from homestead.plan.disk import write_atomically
from homestead.questions.season import chores_of, source_text

OURS = uuid.UUID("6d1f6d0e-64a5-4c3c-9d4d-0d7c2b8f2f11")  # drawn once, for all plans


def calendar_text(plan, year, air_c=None):
    """Chores of a plan as the text of an .ics file, each repeated every year from `year` on.

    year : Year of the first entries.
    air_c (float array, optional) : As for `chores_of`.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//homestead//season//EN")
    calendar.add("version", "2.0")
    stamp = datetime(year, 1, 1, tzinfo=UTC)
    for chore in chores_of(plan, air_c):
        for month in chore.months if len(chore.months) < 12 else (1,):
            event = Event()
            first = date(year, month, 1)
            event.add("uid", f"{uuid.uuid5(OURS, f'{plan.name}/{chore.key}/{month}')}")
            event.add("dtstamp", stamp)
            event.add("dtstart", first)
            event.add("dtend", first + timedelta(days=1))
            event.add("summary", chore.text)
            event.add("description", f"{chore.why} Source: {source_text(chore)}.")
            event.add("transp", "TRANSPARENT")
            often = {"freq": "monthly"} if len(chore.months) == 12 else {"freq": "yearly"}
            event.add("rrule", often)
            calendar.add_component(event)
    return calendar.to_ical().decode("utf-8")


def write_calendar(plan, path, year, air_c=None):
    """Write the .ics file; returns its path."""
    target = Path(path)
    write_atomically(target, calendar_text(plan, year, air_c).replace("\r\n", "\n"), "\r\n")
    return target
