"""The shared page: one file that says what the homestead can carry, in plain words.

Self-contained: no script, no request, no outside font; every text from a plan is escaped. Owns the
order of the page and which part of it is left out on request; its sentences are in
`homestead.screen.wording`.
"""

import re
from concurrent.futures import Future
from datetime import date as calendar
from pathlib import Path
from urllib.parse import quote

import pandas as pd
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from homestead import reference
from homestead import units as measures
from homestead.findings.cautions import cautions
from homestead.outlook.story import story_start_text
from homestead.page import LEAVE_OUT, wall
from homestead.plan import PlanError
from homestead.plan.currency import money_text
from homestead.plan.disk import shared_mode, write_atomically
from homestead.questions.season import chores_of
from homestead.screen import (
    darkening,
    figures,
    findings,
    next_tables,
    season,
    tables,
    wording,
    work,
)
from homestead.screen.escaping import for_the_page
from homestead.screen.glossary import GLOSSARY, tappable, word_id
from homestead.screen.readable import beside_breakdowns, hour_text, source_text, table_html
from homestead.trades.food import tables as food_tables
from homestead.trades.water import tables as water_tables

HERE = Path(__file__).resolve().parent
TITLES = {"power": "Power", "water": "Water", "warmth": "Warmth", "food": "Food"}
# The markers of the figures, drawn again beside the headings.
MARKS = {
    "power": '<path d="M10 2 19 18H1Z" fill="#e2b736" stroke="#2b2a26"/>',
    "water": '<circle cx="10" cy="10" r="8" fill="#1d4e6b" stroke="#2b2a26"/>',
    "warmth": '<path d="M2.5 2.5h15v15h-15Z" fill="#b64320" stroke="#2b2a26"/>',
    "food": '<path d="M10 1 19 10 10 19 1 10Z" fill="#439d78" stroke="#2b2a26"/>',
}
GENERAL = ("carbon monoxide", "mains voltage", "starting surge")


def shared_page(outlook, story=None, units=None, leave_out=(), on=None, found=None):
    """Page about an outlook as one HTML text.

    story (sequence of Event, optional) : What happens at the worst start; worked out if not given.
    units ({"us", "metric"}, optional) : The plan's own if not given.
    leave_out (sequence of {"location", "costs", "name"}) : What the reader shall not see; nothing
        of it is in the text.
    on (datetime.date, optional) : Date shown; today if not given.
    found (NextSteps or Future of it, optional) : What to do and what to change next
        (`homestead.screen.nextsteps.each_alone`); waited for when all else of the page is there.
    Gives str.

    Raises ValueError if `units` or a name in `leave_out` is unknown.
    """
    units = units or outlook.plan.units
    measures.shown_unit("length", units)
    left_out = (leave_out,) if isinstance(leave_out, str) else tuple(leave_out)
    for left in left_out:
        if left not in LEAVE_OUT:
            raise ValueError(f"leave_out may hold {', '.join(LEAVE_OUT)}; got {left!r}")
    template = environment().get_template("page.html.j2")
    text = template.render(
        **_content(outlook, story, units, left_out, on or calendar.today(), found)
    )
    return without_records(text, outlook.plan) if "location" in left_out else text


def without_records(text, plan):
    """A page in which words stand for the record temperatures, a pair that tells where it is."""
    records = {"record low": plan.site.record_low_c, "record high": plan.site.record_high_c}
    for words, record_c in records.items():
        for system in ("us", "metric"):
            shown = measures.show(record_c, "temperature", system)
            for old, new in ((shown, words), (quote(shown), quote(words))):
                text = re.sub(rf"(?<![\d.,]){re.escape(old)}", new, text)
    return text


def write_page(outlook, path, **how):
    """Write the shared page to a file, whole or not at all.

    path (path) : File to write; one that is there is replaced.
    **how : As for `shared_page`.
    Gives pathlib.Path.

    Raises PlanError if the file cannot be written there, with the reason.
    """
    target = Path(path)
    if target.is_dir():
        raise PlanError(f"{target}: is a folder; give the name of a file, such as share.html")
    if not target.parent.is_dir():
        raise PlanError(f"{target}: the folder {target.parent} is not there; make it first")
    text = shared_page(outlook, **how)
    try:
        write_atomically(target, text, mode=shared_mode())
    except OSError as error:
        raise PlanError(
            f"{target}: cannot be written ({error.strerror}); choose a folder of your own"
        ) from error
    return target


def environment():
    """Templates of pages and papers, in which all text is escaped."""
    return Environment(
        loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=False
    )


def _content(outlook, story, units, left_out, on, found):
    plan = outlook.plan
    css = (HERE / "page.css").read_text(encoding="utf-8")
    content = {
        "css": Markup(css),
        "marks": {need: Markup(mark) for need, mark in MARKS.items()},
        "as_table": lambda table, caption: for_the_page(table_html(table, caption)),
        "figure": lambda picture: for_the_page(picture.html()),
        "cite": reference.cite,
        "source_text": source_text,
        "tappable": tappable,
        "word_id": word_id,
        "name": "Our homestead" if "name" in left_out else plan.name,
        "household": wording.household(plan),
        "date": f"{wording.FULL_MONTHS[on.month - 1]} {on.day}, {on.year}",
        "answer": wording.answer(outlook),
        "tried": wording.tried(outlook),
        "first": f"{wording.first_words(outlook)} {wording.season_words(outlook, on.month)} "
        f"{wording.fewest_words(outlook)}",
        "how_sure": wording.how_sure(outlook),
        "hour_text": hour_text,
        "days_explained": wording.days_explained(outlook),
        "pictures": {"lasting": figures.lasting(outlook), "calendar": figures.calendar(outlook)},
        "wall": wall.wall_of(outlook, on),
        "month": {
            "name": wording.FULL_MONTHS[on.month - 1],
            "due": season.due_in(on.month, chores_of(plan, outlook.hours.column("air_c"))),
        },
        "tables": {
            "days": tables.days_of_independence(outlook, units),
            "sparing": tables.usual_and_cutting_back(outlook),
            "rules": tables.failure_rules(plan, units),
            "assumptions": _assumptions(plan, units, left_out),
            "ideas": _ideas(plan, left_out),
        },
        "needs": [_need(outlook, need, units) for need in tables.NEEDS],
        "worst": _worst(outlook, story, units),
        "work": {"said": work.words(outlook.work, named=False), "table": work.table(outlook.work)},
        "findings": _findings(outlook),
        "units": units,
        "alarm": wording.alarm(outlook),
        "findings_intro": wording.findings_intro(outlook),
        "general": _cautions(GENERAL if plan.arrays or plan.grid_former else GENERAL[:1]),
        "glossary": GLOSSARY,
        "computed": wording.computed(outlook, "location" in left_out),
    }
    found = found.result() if isinstance(found, Future) else found
    said = wording.said(outlook, found.broken if found else None)
    return content | {"said": said, "free": _free(found), "next": _next(found, left_out)}


def _next(found, left_out):
    """Each idea by itself, on the weather years of the answer; None if none was worked."""
    if found is None or not found.steps.single:
        return None
    table = next_tables.changes(found.steps, found.plan.currency)
    table = beside_breakdowns(table, found.plan, found.years_n)
    if "costs" in left_out:
        table = table.drop(columns=["Cost", "Cost per added day"])
    return {"picture": figures.days_gained(found.steps), "table": table}


def _free(found):
    """What costs nothing, as the page shows it; None if it was not worked."""
    if found is None:
        return None
    return {
        "said": next_tables.free_words(found.free),
        "table": beside_breakdowns(next_tables.free_actions(found.free), found.plan, found.years_n),
    }


def _findings(outlook):
    """Dangers and warnings, and the notes by subject; None if there are none at all."""
    if not outlook.findings:
        return None
    return {
        "grave": findings.grave(outlook.findings),
        "notes": findings.notes_by_subject(outlook.findings),
        "who_decides": "Local codes and the licensed trades decide.",
    }


def _assumptions(plan, units, left_out):
    starts = ("site.",) if "location" in left_out else ()
    ends = ()
    if "costs" in left_out:
        starts, ends = (*starts, "change.", "price.", "buying."), (".price", ".cost")
    table = tables.assumptions(plan, units)
    paths = [assumption.path for assumption in plan.assumptions]
    return table[[not (path.startswith(starts) or path.endswith(ends)) for path in paths]]


def _ideas(plan, left_out):
    if not plan.changes:
        return None
    table = pd.DataFrame({"Idea": [change.name for change in plan.changes]})
    if "costs" not in left_out:
        table["Cost"] = [money_text(change.cost_money, plan.currency) for change in plan.changes]
    if any(change.needs for change in plan.changes):
        table["Needs first"] = [", ".join(change.needs) or "nothing" for change in plan.changes]
    return table.set_index("Idea")


def _cautions(topics):
    return [caution for topic in topics for caution in cautions(topic)]


def _need(outlook, need, units):
    plan = outlook.plan
    fuels = {fuel.fuel for fuel in plan.fuels}
    due = {
        "power": [
            ("generator", plan.generator),
            ("battery", plan.battery),
            ("hydro", plan.hydro),
            ("wind turbine", plan.wind),
        ],
        "water": [("well and drinking water", True)],
        "warmth": [
            ("propane", "propane" in fuels),
            ("wood stove", "cordwood" in fuels),
            ("fuel storage", fuels & {"gasoline", "diesel", "fuel oil"}),
        ],
        "food": [("food safety", True)],
    }[need]
    picture, table, caption = {
        "power": (
            lambda: figures.energy_by_month(outlook),
            lambda: tables.sunless_days(outlook),
            "How long a full battery alone carries the house",
        ),
        "water": (
            lambda: figures.water_in_and_out(water_tables.study_of(outlook), units),
            lambda: tables.water_stores(plan, outlook, units),
            "Water in store, and how long it lasts if no more comes",
        ),
        "warmth": (
            lambda: figures.heat_by_month(outlook, units),
            lambda: tables.fuel_stores(outlook, units),
            "Fuel in store, and what a year with deliveries uses",
        ),
        "food": (
            lambda: figures.pantry_and_garden(food_tables.year_of(outlook)),
            lambda: tables.pantry(plan, units),
            "Food in store, and how long it alone feeds everybody",
        ),
    }[need]
    return {
        "key": need,
        "title": TITLES[need],
        "days": wording.need_days(outlook, need, units),
        "picture": picture(),
        "table": table(),
        "caption": caption,
        "means": wording.MEANS[need](outlook, units),
        "cautions": _cautions([topic for topic, present in due if present]),
        "caution_title": f"Take care: {need}",
    }


def _worst(outlook, story, units):
    moments = darkening.moments_of(outlook, story)
    return {
        "intro": wording.worst_intro(outlook, story_start_text(outlook)),
        "after": wording.after_words(outlook),
        "moments": list(zip(moments, darkening.drawings(moments, units), strict=True)),
        "table": darkening.table(moments, units),
    }
