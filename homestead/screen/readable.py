"""How numbers reach a reader: headers with units, sensible rounding, dates and counts in words.

Shared by tables, figures and the page. Units are an argument everywhere; nothing here is a global
setting.
"""

import csv
import io
import math
import re
import textwrap
from urllib.parse import quote

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan.currency import price_text
from homestead.plan.fields import LISTED
from homestead.screen.escaping import attribute, html_text
from homestead.vocabulary import MONTHS, NEEDS, fuel_measure, month_runs

# What each need is called in a table's first column.
WATTS_PER_KW = 1000.0
AT_HORIZON = re.compile(rf"\b{HORIZON_DAYS}\+")  # days to the end of the count, or more


def head(label, kind, units="us", per=""):
    """Column header with its unit.

    >>> head("Area", "area"), head("Drawn", "volume", "metric", per="day")
    ('Area (ft²)', 'Drawn (L/day)')
    """
    unit = measures.shown_unit(kind, units)
    return f"{label} ({unit}{'/' + per if per else ''})"


def places_for(values):
    """Decimals that leave about three digits on the largest of the values."""
    finite = np.abs(np.asarray(values, dtype=float))
    finite = finite[np.isfinite(finite)]
    largest = float(finite.max()) if len(finite) else 0.0
    if largest >= 100 or largest == 0:
        return 0
    return 1 if largest >= 10 else 2


def rounded(values, places=None):
    """Array of numbers rounded alike; whole numbers become integers.

    >>> rounded([123.4, 5.6]).tolist(), rounded([1.234]).tolist()
    ([123, 6], [1.23])
    """
    numbers = np.asarray(values, dtype=float)
    places = places_for(numbers) if places is None else places
    whole = np.round(numbers, places) + 0.0  # no minus zero
    return whole.astype(int) if places == 0 and np.isfinite(whole).all() else whole


def column(values, kind, units="us", places=None):
    """Values in the unit inside -> numbers in the shown unit, rounded alike."""
    return rounded(measures.convert(np.asarray(values, dtype=float), kind, units), places)


# Status of a source: complete in tables and in JSON, no words for a reader.
_STATUS = re.compile(
    r"[,;:]? (?:from memory|found(?: and from memory)?|found in a copy|read in a copy|no source)"
    r"(?:, not checked against a book)?(?=[,;:.)]|$)"
)


def source_text(source):
    """Where a number is from, as a reader sees it: the work, without how it was looked up.

    >>> source_text("NFPA 70 (NEC) 2023, 240.6(A), from memory"), source_text("As entered")
    ('NFPA 70 (NEC) 2023, 240.6(A)', 'Your numbers')
    """
    return _STATUS.sub("", source.replace("As entered", "Your numbers"))


def percent(frac):
    """Share as a whole per cent; never 0 or 100 for what is neither.

    >>> percent(0.5), percent(0.9996), percent(0.001), percent(1.0)
    ('50 %', 'over 99 %', 'under 1 %', '100 %')
    """
    if 0 < frac < 0.01:
        return "under 1 %"
    if 0.99 < frac < 1:
        return "over 99 %"
    return f"{frac * 100:.0f} %"


def date_text(worst_start):
    """``"01-13"`` -> ``"Jan 13"``."""
    month, day = worst_start.split("-")
    return f"{MONTHS[int(month) - 1]} {int(day)}"


def days_text(days, horizon_days):
    """Days of independence; at the horizon nobody looked further."""
    return f"{days} or more" if days >= horizon_days else int(days)


def days_words(days, horizon_days):
    """Days of independence in a sentence; at the horizon what that holds for is said with it.

    >>> days_words(67, 365), days_words(365, 365)
    ('67 days', 'a year or longer if nothing breaks')
    """
    if days >= horizon_days:
        return "a year or longer if nothing breaks"
    return count_text(int(days), "day")


def days_cell(days, horizon_days):
    """Days of independence in a table: whole days, or such as ``"365+"`` at the horizon."""
    return f"{horizon_days}+" if days >= horizon_days else int(days)


def about(value, kind, units="us"):
    """Value with its unit, to three significant digits even when it is large.

    >>> about(479.9, "volume")
    '127,000 gal'
    """
    number = measures.convert(float(value), kind, units)
    if number == 0 or not math.isfinite(number):
        return measures.show(value, kind, units)
    kept = round(number, 2 - math.floor(math.log10(abs(number))))
    return f"{measures.digits(kept)} {measures.shown_unit(kind, units)}"


def count_text(number, one, many=None):
    """``count_text(1, "day") == "1 day"``, with a plural otherwise."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def months_text(months):
    """Month numbers as people say them.

    >>> months_text(range(1, 13)), months_text((11, 12, 1)), months_text((3,)), months_text(())
    ('all year', 'Nov–Jan', 'Mar', 'none')
    """
    months = tuple(months)
    if len(set(months)) == 12:
        return "all year"
    if not months:
        return "none"
    runs = month_runs(months)
    return ", ".join(first if first == last else f"{first}–{last}" for first, last in runs)


def hours_text(seconds):
    """Length of time in hours or days.

    >>> hours_text(4 * 3600), hours_text(48 * 3600)
    ('4 hours', '48 hours')
    """
    hours = seconds / 3600.0
    return f"{measures.digits(hours)} hour{'' if hours == 1 else 's'}"


def hour_text(event):
    """When in its day an event of a story comes; a need is judged by the whole day."""
    judged = event.kind in ("need", "bad day", "back")
    return "by day's end" if judged else f"{event.hour:02d}:00"


def days_number(days):
    """Days that a store lasts: whole when many, one decimal when few, none when never."""
    if not math.isfinite(days):
        return "no use"
    return f"{days:,.0f}" if days >= 10 else f"{days:.1f}"


def fuel_text(fuel, amount, units="us", significant=3):
    """Amount of a fuel as it is sold: cords, gallons or liters, pounds or kilograms."""
    if fuel == "cordwood":
        unit, spoken = ("cord", "cords") if units == "us" else ("m^3", "m³ stacked")
        number = measures.convert_unit(amount, "m^3", unit)
        return f"{measures.digits(number, significant)} {spoken}"
    kind = fuel_measure(fuel)
    number = measures.digits(measures.convert(float(amount), kind, units), significant)
    return f"{number} {measures.shown_unit(kind, units)}"


def assumption_text(assumption, value, plan, units="us"):
    """One value of an `Assumption` as text in the reader's units."""
    if value is None:
        return ""
    if assumption.kind == "amount":
        name = assumption.path.split(".", 1)[1].rsplit(".", 1)[0]
        store = plan.fuel_named(name)
        return fuel_text(store.fuel if store else "propane", value, units)
    if assumption.kind == "money":
        return price_text(value, plan.currency)
    if assumption.kind in measures.KINDS:
        return measures.show(value, assumption.kind, units)
    if assumption.kind == "months":
        return months_text(value)
    if assumption.kind == "hours":
        return "always" if value == (0, 24) else f"{value[0]}–{value[1]} h"
    if assumption.kind in LISTED:
        return ", ".join(measures.show(number, LISTED[assumption.kind], units) for number in value)
    if assumption.kind == "names":
        return ", ".join(value)
    if isinstance(value, float):
        return measures.digits(value)
    return str(value)


def table_of(content, columns=None):
    """Table of rows or columns by name, the first its index; of nothing, one with these columns."""
    content = content if isinstance(content, dict) else list(content)
    if not content and columns is None:
        return pd.DataFrame()
    table = pd.DataFrame(content, columns=None if content else columns)
    return table.set_index(table.columns[0])


class OfPlan:
    """Whose days a table shows, carried with it; made to be asked only where it matters."""

    def __init__(self, plan, years_n, need):
        self.plan, self.years_n, self.need = plan, years_n, need

    def __deepcopy__(self, memo):
        return self  # pandas copies what a table carries with every slice of it

    def __eq__(self, other):
        return self is other

    def words(self, needs):
        """Days to plan on if parts break: of some needs, else of the homestead."""
        from homestead.screen import kept

        broken = kept.broken_of(self.plan, self.years_n)
        limit = HORIZON_DAYS
        told = [f"{need} {days_cell(broken.reached(need), limit)}" for need in needs]
        days = ", ".join(told) or days_cell(broken.reached(self.need), limit)
        return f"if parts break, plan on {days}"


def beside_breakdowns(table, plan, years_n=None, need="homestead"):
    """A table of days that says beside days at the horizon what is left of them if parts break.

    Of each need that a row is named after, else of the one given.
    """
    table.attrs["of_plan"] = OfPlan(plan, years_n, need)
    return table


def horizon_note(table):
    """What a table has to say beside days at the horizon; empty without any."""
    needs, found = [], False
    for name, cells in zip(table.index, table.to_numpy(dtype=object), strict=True):
        if any(AT_HORIZON.search(cell) for cell in cells if isinstance(cell, str)):
            found = True
            needs += [name] if name in NEEDS else []
    if not found:
        return ""
    of_plan = table.attrs.get("of_plan")
    then = f"; {of_plan.words(needs)}" if of_plan else ""
    return f" ({HORIZON_DAYS}+: if nothing breaks{then})"


def as_text(table, line_width=None):
    """A table of days for a terminal, with its note below it."""
    note = horizon_note(table).strip().strip("()")
    told = "\n" + textwrap.fill(f"{note}.", 80) if note else ""
    return f"{table.to_string(line_width=line_width)}{told}"


def table_html(table, caption):
    """Return a table element with caption and scopes, every text escaped."""
    label = html_text(str(table.index.name or ""))
    caption = f"{caption}{horizon_note(table)}"
    classes = [' class="number"' if _is_numeric(table[name]) else "" for name in table.columns]
    heads = "".join(
        f'<th scope="col"{kind}>{html_text(str(name))}</th>'
        for name, kind in zip(table.columns, classes, strict=True)
    )
    rows = []
    for name, values in zip(table.index, table.itertuples(index=False), strict=True):
        cells = "".join(
            f"<td{kind or _long(value)}>{html_text(cell_text(value))}</td>"
            for value, kind in zip(values, classes, strict=True)
        )
        rows.append(f'<tr><th scope="row">{html_text(cell_text(name))}</th>{cells}</tr>')
    return (
        f"<table><caption>{html_text(caption)}</caption><thead><tr>"
        f'<th scope="col">{label}</th>{heads}</tr></thead><tbody>{"".join(rows)}</tbody></table>'
    )


def _long(value):
    # A sentence in a narrow column would stand a hand high on a phone.
    return ' class="long"' if isinstance(value, str) and len(value) > 45 else ""


def csv_text(table):
    """Table as comma-separated text, as spreadsheets read it.

    A text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    held = io.StringIO()
    writer = csv.writer(held, lineterminator="\r\n")
    writer.writerow([_csv_cell(column) for column in (table.index.name or "", *table.columns)])
    for name, values in zip(table.index, table.itertuples(index=False), strict=True):
        writer.writerow([_csv_cell(value) for value in (name, *values)])
    return held.getvalue()


def _csv_cell(value):
    is_formula = isinstance(value, str) and value.lstrip()[:1] in ("=", "+", "-", "@")
    return f"'{value}" if is_formula else value


def csv_link(table, title):
    """Link that saves a table as a file: the numbers are in the link itself, without script."""
    name = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:60] or "numbers"
    # The byte order mark tells spreadsheets that the letters are UTF-8.
    content = quote("\ufeff" + csv_text(table), safe="")
    label = attribute(f"Save as CSV: {title}")
    return (
        f'<a class="csv" download="{name}.csv" aria-label="{label}" '
        f'href="data:text/csv;charset=utf-8,{content}">Save as CSV</a>'
    )


def _is_numeric(values):
    """Whether a column reads as numbers, some of them perhaps written as text."""
    return any(
        isinstance(value, int | float | np.number)
        or str(value).rstrip("+").replace(",", "").replace(".", "", 1).isdigit()
        for value in values
    )


def cell_text(value):
    """One cell as text: thousands separated, decimals as they stand."""
    return f"{value:,}" if isinstance(value, int | float | np.number) else str(value)
