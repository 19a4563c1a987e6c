"""Sheets on paper: a wall set for the family and its helpers, and a packet for the electrician.

Each is a file of its own that prints on letter paper; every text from a plan is escaped by the
template, every figure read from the outlook.
"""

from datetime import date as calendar

import numpy as np

from homestead import units as measures
from homestead.formulas.water import water_use
from homestead.page import wall
from homestead.page.render import environment, without_records
from homestead.plan.disk import shared_mode, write_atomically
from homestead.questions.season import EVERY_MONTH, chores_of
from homestead.screen import findings
from homestead.screen.escaping import for_the_page
from homestead.screen.one_line import one_line
from homestead.screen.readable import source_text, table_html
from homestead.screen.season import by_month
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.trades.food import study_produce as food_produce
from homestead.trades.power import limit_tables
from homestead.vocabulary import FULL_MONTHS, MONTHS, SEASONS

# A letter sheet inside its margins, less the heading: width and height; both as paper.css has them.
SHEET_PT = (533.0, 630.0)
TYPES_PT = (18, 17, 16, 15, 14, 13, 12, 11, 10)
# An average letter is so wide, a line, a heading and a line to write on are so high, in ems; the
# letters are taken a little wide, so that a sheet never runs over.
LETTER_EM, LINE_EM, HEADING_EM, BLANK_EM = 0.47, 1.26, 1.9, 1.72


def wall_set(outlook, units=None, leave_out=(), on=None):
    """One sheet per season in large type, a child's card, a neighbor's card, a year's calendar.

    units ({"us", "metric"}, optional) : The plan's own if not given.
    leave_out (sequence of {"location", "costs", "name"}) : As for `shared_page`.
    on (datetime.date, optional) : Date shown; today if not given.
    Gives str: HTML of letter sheets.
    """
    plan, units = outlook.plan, units or outlook.plan.units
    chores = chores_of(plan, outlook.hours.column("air_c"))
    write_in = [line for line in wall.write_in(plan) if line != "Neighbor"]
    content = {
        "seasons": [_season(outlook, name, chores, units) for name in SEASONS],
        "animals": _animals(outlook, range(1, 13), units),
        "for_neighbor": ["Our phone", *(["Feed is kept"] if plan.animals else []), *write_in],
        "monthly": [chore.text for chore in chores if chore.months == EVERY_MONTH],
        "months": [(name, [chore.text for chore in due]) for name, due in by_month(chores)],
        "has_fuel": bool(plan.fuels),
        "has_gas": any(fuel.fuel in ("propane", "natural gas") for fuel in plan.fuels),
    }
    return _paper("wall.html.j2", "For the wall", plan, leave_out, on, content)


def electricians_packet(outlook, units=None, leave_out=(), on=None):
    """One-line diagram, strings, circuits, starts and electrical findings, on landscape sheets."""
    plan, units = outlook.plan, units or outlook.plan.units
    tables = [
        (limit_tables.strings(plan, units), "Strings at the site's extremes"),
        (limit_tables.circuits(plan, outlook), "Circuits beside the code's figures"),
        (limit_tables.starts(plan), "Motors that start while others run"),
    ]
    content = {
        "diagram": one_line(plan),
        "tables": [
            (for_the_page(table_html(table, caption))) for table, caption in tables if len(table)
        ],
        "findings": [
            (finding, finding.said(units))
            for finding in findings.grave(findings.chosen(outlook, findings.ELECTRICAL))
        ],
        "has_circuits": bool(plan.circuits),
        "source_text": source_text,
        "who_decides": "Local code and a licensed electrician decide.",
    }
    return _paper("packet.html.j2", "For the electrician", plan, leave_out, on, content)


def write_papers(outlook, beside, **how):
    """Write wall set and packet beside a page; returns their paths.

    beside (pathlib.Path) : ``homestead.html`` gives ``homestead-wall.html`` and
        ``homestead-electrician.html``.
    """
    return [write_wall(outlook, beside, **how), _write(electricians_packet, "electrician", outlook,
                                                       beside, how)]  # fmt: skip


def write_wall(outlook, beside, **how):
    """Write the wall set alone; returns its path."""
    return _write(wall_set, "wall", outlook, beside, how)


def _write(paper, name, outlook, beside, how):
    target = beside.with_name(f"{beside.stem}-{name}.html")
    write_atomically(target, paper(outlook, **how), mode=shared_mode())
    return target


def _paper(template, title, plan, leave_out, on, content):
    on = on or calendar.today()
    name = "Our homestead" if "name" in leave_out else plan.name
    drawn = f"{FULL_MONTHS[on.month - 1]} {on.day}, {on.year}"
    sheet = environment().get_template(template)
    text = sheet.render(name=name, title=title, date=drawn, **content)
    return without_records(text, plan) if "location" in leave_out else text


def _season(outlook, name, chores, units):
    months = SEASONS[name]
    weakest = min(months, key=lambda month: outlook.by_month[month - 1].p10)
    sheet = wall.wall_of(outlook, calendar(2000, weakest, 1))
    due = [
        chore for chore in chores if chore.months != EVERY_MONTH and set(chore.months) & set(months)
    ]
    sheet |= {
        "name": name.capitalize(),
        "months": ", ".join(FULL_MONTHS[month - 1] for month in months),
        "animals": _animals(outlook, months, units),
        "due": [
            f"{_when(chore, months)}: {chore.text}"
            for chore in sorted(due, key=lambda chore: _first_due(chore, months))
        ],
    }
    return sheet | {"type_pt": _type_pt(sheet)}


def _first_due(chore, months):
    """Place of the first month of a season in which a chore is due."""
    return min(at for at, month in enumerate(months) if month in chore.months)


def _when(chore, months):
    """Months of a season in which a chore is due."""
    return ", ".join(MONTHS[month - 1] for month in months if month in chore.months)


def _type_pt(sheet):
    """Largest type in which the text of a season fills one letter sheet without leaving it."""

    def height(pt, columns_n, *texts):
        room = (SHEET_PT[0] / columns_n - 1.7 * pt) / (LETTER_EM * pt)
        return sum(-(-len(text) // room) for text in texts) * LINE_EM * pt / columns_n

    def filled(pt):
        lists = (sheet["shed"], sheet["animals"], sheet["due"])
        headings = 3 + sum(1 for listed in (sheet["animals"], sheet["due"]) if listed)
        blanks = -(-len(sheet["write_in"]) // 2)
        return (
            height(1.1 * pt, 1, sheet["said"])
            + sum(height(pt, 1, *texts) for texts in lists)
            + height(pt, 2, *sheet["daily"])
            + (headings * HEADING_EM + blanks * BLANK_EM) * pt
        )

    return next((pt for pt in TYPES_PT if filled(pt) <= SHEET_PT[1]), TYPES_PT[-1])


def _animals(outlook, months, units):
    """Water and feed of each kind of animal on an average day of these months, as sentences."""
    plan = outlook.plan
    daily_c = outlook.hours.column("air_c").reshape(-1, 24).mean(axis=1)
    chosen = np.isin(np.tile(MONTH_OF_DAY, outlook.hours.years_n), list(months))
    feed = food_produce.animals(plan)["feed_kg_day"] if plan.animals else {}
    lines = []
    for animal in plan.animals:
        water_m3 = animal.count_n * np.mean(
            water_use.animal_water_m3_day(animal.kind, daily_c[chosen])
        )
        given = [f"{measures.rough(float(water_m3), 'volume', units)} of water"]
        if feed[animal.name] > 0:
            given.append(f"{measures.rough(float(feed[animal.name]), 'mass', units)} of feed")
        lines.append(f"{animal.count_n} {animal.name}: {' and '.join(given)} a day.")
    return lines
