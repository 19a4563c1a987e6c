"""Commands for coming back through the year: older versions, today's stores, the chores."""

from datetime import date
from typing import Annotated

import typer

from homestead.terminal import outlook_of, print

READINGS_HELP = (
    "CSV with the columns date, what, value, unit, such as 2026-11-03,sun,14.2,kWh or "
    "2026-11,wood used,0.3,cords; what is one of: sun, house use, pump, generator hours, generator "
    "fuel, propane used, wood used, pellets used, fuel oil used, water used, "
    "rain caught, inside temperature, battery lowest."
)


commands = typer.Typer()


PlanPath = Annotated[
    str | None,
    typer.Argument(metavar="[PATH]", help="Plan file or its folder. Without it: the nearest plan."),
]


@commands.command()
def revisions(
    path: PlanPath = None,
    since: Annotated[
        str | None,
        typer.Option(help="What changed since spring, summer, fall, winter or a date."),
    ] = None,
    over_time: Annotated[
        bool, typer.Option("--days", help="Days to plan on, month by month.")
    ] = False,
):
    """Older versions of your plan, and what changed since."""
    from homestead.plan.file import find_plan
    from homestead.questions import revisions as kept
    from homestead.screen import over_time as words

    versions = kept.revisions_of(path)
    if since is not None:
        day = words.day_of(since, date.today())
        older = kept.in_force(versions, day)
        plan = find_plan(path)
        print(words.since_words(day, kept.compare(older or plan, plan)))
    elif over_time:
        print("\n".join(words.days_lines(kept.over_time(path))))
    elif not versions:
        print("There's no older version yet: each change keeps one.")
    else:
        lines = [
            words.version_line(n, version) for n, version in enumerate(reversed(versions), start=1)
        ]
        print("\n".join(lines))
        print("Go back to one with its number, such as: homestead restore 1")


@commands.command()
def add(
    part: Annotated[str, typer.Argument(help="Part, such as array, battery, animal or pantry.")],
    line: Annotated[str, typer.Argument(help='Such as "6 panels of 430 W facing south".')],
    plan: Annotated[str | None, typer.Option(help="Plan file or its folder.")] = None,
):
    """Add a part in one line; the rest gets typical values."""
    from homestead.plan.file import PlanError, PlanFile
    from homestead.questions import families

    file = PlanFile(plan)
    if file.is_demo:
        raise PlanError("the demo keeps nothing; start your own with: homestead new FOLDER")
    words = families.put(file, part, line)
    file.save(note=f"{part}: {line}"[:80])
    print(words)


@commands.command()
def keep(
    name: Annotated[str, typer.Argument(help='What to call it, such as "before winter".')],
    path: PlanPath = None,
):
    """Keep today's plan under a name, to go back to."""
    from homestead.plan.file import PlanFile

    PlanFile(path).keep_as(name)
    print(f'Kept as "{name.strip()}". The list: homestead revisions')


@commands.command()
def restore(
    which: Annotated[
        str, typer.Argument(help="Number in the list of `homestead revisions`, or a kept name.")
    ],
    path: PlanPath = None,
):
    """Go back to an older version; today's is kept first."""
    from homestead.plan.file import PlanError, find_plan, go_back
    from homestead.questions.revisions import revisions_of
    from homestead.screen.over_time import version_line

    versions = list(reversed(revisions_of(path)))
    named = [
        n for n, version in enumerate(versions, start=1) if which.strip() in (str(n), version.name)
    ]
    if not named:
        raise PlanError(
            f"no version {which[:60]!r} among {len(versions)}; the list: homestead revisions"
        )
    chosen = versions[named[0] - 1]
    go_back(find_plan(path), chosen.path)
    print("Back to:" + version_line(named[0], chosen)[4:])
    print("The version you had is kept: homestead restore 1 brings it back.")


@commands.command()
def today(
    readings: Annotated[
        list[str] | None,
        typer.Argument(
            help='Gauges, such as battery=62% "propane tank=45%" "woodshed=3 cords" pantry=half. '
            "Without any, we ask for each."
        ),
    ] = None,
    plan: Annotated[str | None, typer.Option(help="Plan file or its folder.")] = None,
):
    """Read your gauges: your days from today, this week's chores."""
    import textwrap

    from homestead.plan import open_plan
    from homestead.plan.file import PlanError
    from homestead.questions import season
    from homestead.questions import today as questions
    from homestead.screen import season as words

    opened = open_plan(plan)
    given = dict(reading.partition("=")[::2] for reading in readings or ())
    if not all(given.values()):
        raise PlanError('each gauge is a name, "=" and what it says, such as battery=62%')
    if readings is None:
        print("What do the gauges say? Press Enter to leave one as in the plan.")
        for gauge in questions.gauges_of(opened):
            given[gauge.name] = asked(f"{gauge.name} ({gauge.hint})", gauge.sets_of)
    found = questions.today(opened, {name: text for name, text in given.items() if text})
    print(textwrap.fill(words.today_words(found), 80))
    lines = words.this_week(found, season.chores_of(opened))
    print("This week:" if lines else "Nothing is due this week.")
    for line in lines:
        print(textwrap.fill(f"- {line}", 80, subsequent_indent="  "))


def asked(question, check):
    """Typed answer that passes a check, or "" if it was left empty."""
    from homestead.plan.file import PlanError

    while True:
        text = typer.prompt(question, default="", show_default=False).strip()
        try:
            if text:
                check(text)
            return text
        except (ValueError, PlanError) as error:
            print(f"  {error}")


@commands.command("calendar")
def calendar_(
    path: PlanPath = None,
    ics: Annotated[
        str | None, typer.Option(help="Also write it as a calendar file, such as chores.ics.")
    ] = None,
):
    """What to do each month, and why."""
    import textwrap

    from homestead.plan import open_plan
    from homestead.questions import season
    from homestead.screen.season import by_month
    from homestead.simulate.inputs import read_weather

    plan = open_plan(path)
    air_c = read_weather(plan).hourly["air_c"].to_numpy()
    air_c = air_c[: len(air_c) // 8760 * 8760]
    chores = season.chores_of(plan, air_c)
    monthly = [chore for chore in chores if chore.months == season.EVERY_MONTH]
    for month, due in [("Every month", monthly), *by_month(chores)]:
        print(month if due else f"{month}: nothing special")
        for task in due:
            print(textwrap.fill(f"- {task.text} {task.why}", 80, subsequent_indent="  "))
    if ics:
        from homestead.page.calendar import write_calendar

        print(f"Calendar: {write_calendar(plan, ics, date.today().year, air_c).resolve()}")


def checked_leave_out(asked):
    """What is to be kept off a page, as a tuple; PlanError if it cannot be."""
    from homestead.page import LEAVE_OUT
    from homestead.plan.file import PlanError

    if unknown := set(asked or ()) - set(LEAVE_OUT):
        raise PlanError(
            f"--leave-out takes {', '.join(LEAVE_OUT)}; got {', '.join(sorted(unknown))}"
        )
    return tuple(asked or ())


@commands.command()
def wall(
    path: PlanPath = None,
    leave_out: Annotated[
        list[str] | None, typer.Option(help="Keep off the sheets: location, name.")
    ] = None,
    pdf: Annotated[
        bool, typer.Option("--pdf", help="Also print them to PDF (needs a Chromium).")
    ] = False,
):
    """Make only the wall sheets: seasons, two cards, the year."""
    from pathlib import Path

    from homestead.page.papers import write_wall
    from homestead.plan.file import PlanFile

    left_out = checked_leave_out(leave_out)
    file = PlanFile(path)
    folder = Path.cwd() if file.is_demo else file.path.parent
    outlook = outlook_of(file.plan, None)
    made = write_wall(outlook, folder / "homestead.html", leave_out=left_out)
    print(f"For the wall: {made.resolve()}")
    if pdf:
        from homestead.page.pdf import print_pdf

        print(f"PDF: {print_pdf(made, made.with_suffix('.pdf')).resolve()}")


@commands.command()
def readings(csv: Annotated[str, typer.Argument(help=READINGS_HELP)], path: PlanPath = None):
    """Compare meter readings with the plan; changes nothing."""
    import tomlkit

    from homestead.plan import open_plan
    from homestead.questions.readings import compare as laid_over
    from homestead.questions.readings import read
    from homestead.screen import next_tables

    plan = open_plan(path)
    read(csv)  # a file that cannot be read is told before the simulation
    found = laid_over(outlook_of(plan, None), csv)
    table = next_tables.readings(found, plan.units)
    print(table.to_string() if len(table) else "None of the readings could be used.")
    for correction in found.corrections:
        wanted = " To use these, put this in your plan:" if correction.sets else ""
        print(f"{correction.what}: {correction.text}.{wanted}")
        for entry, typed in correction.sets.items():
            part, *name, key = entry.split(".")
            where = f'[[{part}]] "{".".join(name)}"' if name else f"[{part}]"
            written = tomlkit.inline_table() | typed if isinstance(typed, dict) else typed
            print(f"  {where}: {key} = {tomlkit.item(written).as_string()}")
    for line in found.refused:
        print(f"Left out, line {line.line_n}: {line.text}: {line.reason}")


@commands.command()
def compare(
    before: Annotated[str, typer.Argument(help="Plan file, or one of its revisions.")],
    after: Annotated[str, typer.Argument(help="Plan file, or one of its revisions.")],
):
    """What changed between two plans, and what it did to the days."""
    from homestead.plan import open_plan
    from homestead.questions.revisions import compare as held_against
    from homestead.screen import readable
    from homestead.screen.next_tables import capped

    found = held_against(before, after)
    for entry in found.entries:
        then, now = entry.before or "nothing", entry.after or "nothing"
        print(f"{entry.what}: {entry.path}: {then} -> {now}")
    if not found.entries:
        print("The two plans say the same.")
    days = capped(found.days)
    days = days.rename(columns=lambda name: name.replace("_", ", ").replace("p10", "to plan on"))
    days = days.rename(columns=lambda name: name.replace("p50", "half"))
    print(readable.as_text(readable.beside_breakdowns(days, open_plan(after))))
