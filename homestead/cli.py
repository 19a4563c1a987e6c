"""The `homestead` command: new, open, check, days, buy, until, share, readings, compare.

Each command reads its arguments, calls the package and prints. Whatever goes wrong is one clear
sentence on stderr and an exit code other than 0. Heavy imports wait inside the commands.
"""

import contextlib
import functools
import json
import logging
import os
import sys
import tempfile
from pathlib import Path
from typing import Annotated

import typer

from homestead.cli_year import checked_leave_out, commands
from homestead.terminal import bar, outlook_of, prepare, print, say_if_demo

PATH_HELP = "Plan file, or folder with a plan.toml. Without it: the nearest plan, else the demo."
STOPPED = 130  # exit code after Ctrl-C, as shells have it
SHELF_N = 6  # parts whose spares are told

app = typer.Typer(
    help="One plan for your family's power, water, warmth and food, and how many days it lasts.",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
PlanPath = Annotated[str | None, typer.Argument(metavar="[PATH]", help=PATH_HELP)]
Years = Annotated[
    int | None, typer.Option(min=1, max=200, help="Weather years, instead of the plan's.")
]


def _version(wanted: bool):
    if wanted:
        from importlib.metadata import version

        print(version("homestead"))
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
):
    pass


@app.command()
def new(
    folder: Annotated[str, typer.Argument(help="Folder for the plan; made if it is not there.")],
    template: Annotated[
        str, typer.Option("--from", help="Plan to begin with: demo, cabin or cold-coast.")
    ] = "demo",
    interview: Annotated[
        bool,
        typer.Option("--interview", help="About fifteen questions; typical values for the rest."),
    ] = False,
):
    """Start your own plan from an example, or with fifteen questions."""
    from homestead import workspace

    target = workspace.place_of_new(folder, template)
    if interview:
        made = workspace.new(folder, answers=_interviewed(target))
        print(f"Your plan: {made}")
        _first_answer(made)
    else:
        made = workspace.new(folder, template)
        print(f"Your plan: {made}")
        print("It's a copy of an invented homestead. Change it piece by piece.")
    print(f"Next: homestead open {_quoted(folder)}")


def _interviewed(target):
    """Answers to the first questions, each asked until it can be read; empty ones stay typical."""
    from homestead.cli_year import asked
    from homestead.questions.interview import QUESTIONS, checked
    from homestead.workspace import begin

    print("About five minutes. Press Enter where you don't know: we use a typical value.")
    answers = {}
    for question in QUESTIONS:
        words = f"{question.text} Such as {question.example}"
        if question.key == "weather":
            check = functools.partial(begin.weather_beside, folder=target.parent)
        else:
            check = functools.partial(checked, question, before=answers)
        answers[question.key] = asked(words, check)
    answers["weather"] = Path(answers["weather"]).name
    return answers


def _first_answer(made):
    """Days of a new plan, and whose its numbers are."""
    import textwrap

    from homestead.plan import open_plan, whose
    from homestead.screen import wording

    plan = open_plan(made)
    outlook = outlook_of(plan, None)
    lead, days = wording.answer(outlook)
    said = f"{lead} {days}. {wording.first_words(outlook)} {whose.in_words(plan)}"
    print(textwrap.fill(said, 80))
    print("You're using a built-in place's weather. Fetch your own: homestead weather --help")


@app.command("open")
def open_(
    folder: Annotated[
        str | None, typer.Argument(help="Folder of the plan. Without it: the nearest, or the demo.")
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open a browser window.")] = True,
    port: Annotated[int, typer.Option(min=1024, max=65535, help="Port on this computer.")] = 8888,
):
    """Open your plan's notebooks in a browser, on this computer only."""
    from homestead import workspace
    from homestead.plan.file import demo_path, find_plan

    plan_path = find_plan(folder)
    is_demo = plan_path.resolve() == demo_path().resolve()
    with contextlib.ExitStack() as stack:
        home = plan_path.parent
        if is_demo:
            home = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="homestead-demo-")))
            print("This is the demo: nothing is kept. Start your own: homestead new FOLDER")
        for name, did in workspace.copy_notebooks(home):
            print(f"  {name}: {did}")
        prepare()
        print("Each notebook runs as it opens. Stop with Ctrl-C in this window.")
        sys.stdout.flush()
        code = workspace.start_lab(home, plan_path, port, browser)
    raise typer.Exit(1 if code else 0)


@app.command()
def check(
    path: PlanPath = None,
    installation: Annotated[
        bool,
        typer.Option("--installation", help="Check the installation instead: kernel, browser, ..."),
    ] = False,
):
    """Check a plan: every fault, or how many dangers and warnings."""
    if installation:
        from homestead.workspace.installation import report

        if not report(lambda line: print(line, flush=True)):
            _fail("something needed doesn't work; see the lines that say not ok", 1)
        return
    from homestead.outlook import all_findings
    from homestead.plan import whose
    from homestead.plan.file import PlanError, PlanFile, find_plan
    from homestead.simulate.inputs import hours_of, read_weather
    from homestead.vocabulary import SEVERITIES

    found = find_plan(path)
    try:
        file = PlanFile(found)
        weather = read_weather(file.plan)
    except PlanError as error:
        # The faults are what was asked for; the one sentence about them goes where errors go.
        faults = str(error).splitlines()
        print("\n".join(faults))
        count = "one fault" if len(faults) == 1 else f"{len(faults)} faults"
        raise PlanError(f"{found}: not sound, {count}") from error
    say_if_demo(path, file.path.resolve().parent)
    print(f"{file.path}: reads well (sound). {file.plan.name}; weather: {weather.source}")
    found = all_findings(hours_of(file.plan, measured=weather))
    told = [finding.severity for finding in found]
    counts = ", ".join(f"{word}s: {told.count(word)}" for word in SEVERITIES)
    print(f"Findings, which `homestead days` and `share` show: {counts}")
    print(
        f"Not checked, because a limit is missing: {sum(not finding.checked for finding in found)}"
    )
    print(whose.in_words(file.plan))
    if file.migrated_from is not None:
        print(
            f"It is written in schema {file.migrated_from}; the next save updates it and keeps "
            f"the old text in the revisions."
        )


@app.command()
def confirm(
    entries: Annotated[
        list[str],
        typer.Argument(help="Entries or parts, such as cistern.volume or cistern.", metavar="WHAT"),
    ],
    path: Annotated[str | None, typer.Option("--plan", help=PATH_HELP)] = None,
):
    """Say which of the example's numbers are right for you."""
    from homestead.plan import whose
    from homestead.plan.file import PlanFile

    file = PlanFile(path)
    if file.is_demo:
        _fail("the demo keeps nothing; start your own with: homestead new FOLDER", 2)
    whose.confirm(file, entries)
    file.save(note=f"confirmed: {', '.join(entries)}")
    print(whose.in_words(file.plan))


@app.command(context_settings={"ignore_unknown_options": True})
def weather(
    latitude: Annotated[float, typer.Argument(help="North positive, in degrees.")],
    longitude: Annotated[float, typer.Argument(help="East positive, in degrees; -79.9 is west.")],
    path: PlanPath = None,
    service: Annotated[str, typer.Option(help="nasa (whole world) or pvgis.")] = "nasa",
    first: Annotated[int | None, typer.Option("--from", help="First year.")] = None,
    last: Annotated[int | None, typer.Option("--to", help="Last year.")] = None,
    place: Annotated[str, typer.Option(help="Name of the place.")] = "Our place",
    utc_offset: Annotated[
        int | None, typer.Option(help="Standard time's hours from UTC; left out: by longitude.")
    ] = None,
    with_horizon: Annotated[
        bool, typer.Option("--horizon", help="Also fetch the skyline of far hills (PVGIS).")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Change your plan without asking.")] = False,
    url: Annotated[str | None, typer.Option(hidden=True)] = None,
):
    """Fetch your place's real weather, once, and use it."""
    from tqdm import tqdm

    from homestead.plan.file import PlanError, PlanFile, find_plan
    from homestead.questions import own_weather

    if service not in own_weather.SERVICES:
        raise PlanError(f"--service must be one of nasa, pvgis; got {service!r}")
    file = PlanFile(find_plan(path))
    if file.is_demo:
        raise PlanError("the demo keeps its weather: start your own plan with `homestead new`")
    with tqdm(total=1, unit="year", file=sys.stderr) as bar:

        def progress(done, total, words):
            bar.total = total
            bar.set_description(words, refresh=False)
            bar.update(done - bar.n)

        fetched = own_weather.fetch(
            latitude, longitude, file.path.resolve().parent, service, first, last, place,
            utc_offset, progress, url,
        )  # fmt: skip
    heights = own_weather.horizon(latitude, longitude, url) if with_horizon else ()
    changes = own_weather.changes_of(file, fetched, heights)
    years = f"{len(fetched.years)} years, {fetched.years[0]} to {fetched.years[-1]}"
    print(f"Kept: {fetched.path.name} ({years}).")
    for year, reason in fetched.left_out.items():
        print(f"Left out: {year}, {reason}.")
    print(own_weather.KNOWN_GAPS)
    print("This would change in your plan:")
    print("\n".join(f"  {line}" for line in own_weather.told(file, changes)))
    if not yes and not typer.confirm("Change your plan?", default=True):
        print("Your plan stays as it was; the weather file is kept.")
        return
    file.set_all(changes)
    file.save(note=f"weather of {place}: {years}")
    print(f"{file.path}: changed and saved. `homestead days` shows what it means.")


@app.command()
def days(
    path: PlanPath = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    years: Years = None,
    full: Annotated[bool, typer.Option("--full", help="Each need, each month, findings.")] = False,
):
    """How many days you can last, and what goes first."""
    from homestead import disk_cache
    from homestead.plan import open_plan

    plan = open_plan(path)
    say_if_demo(path, plan.folder)
    if full and not as_json:
        outlook = outlook_of(plan, years)
        _print_days(outlook, full, _breakdowns(outlook))
        return
    # The same question about the same plan has the same answer, word for word.
    work = _days_as_dict if as_json else _five_lines
    key = disk_cache.key_of(plan, years, work.__name__)
    known = disk_cache.load_arrays(key)
    answer = known["about"] if known else work(plan, years)
    if not known:
        disk_cache.keep_arrays(key, answer)
    print(json.dumps(answer) if as_json else "\n".join(answer))


def _days_as_dict(plan, years):
    """What scripts get."""
    from homestead.outlook import as_dict
    from homestead.outlook.work import as_dict as work_as_dict
    from homestead.questions import parts_out

    outlook = outlook_of(plan, years)
    found = parts_out.as_list(_parts(plan, outlook.hours.years_n))
    more = {"parts_out": found, "breakdowns": _breakdowns(outlook, "homestead").figures}
    return as_dict(outlook) | more | {"work": work_as_dict(outlook.work)}


def _five_lines(plan, years):
    """What people get, in lines of a terminal; parts break while the rest is worked."""
    import textwrap
    from concurrent.futures import ThreadPoolExecutor

    from homestead.screen import wording

    outlook = outlook_of(plan, years)
    with ThreadPoolExecutor(1) as beside:
        broken = beside.submit(_breakdowns, outlook, "homestead")
        for study in ("cutting_back", "findings"):  # worked here, meanwhile
            getattr(outlook, study)
    told = wording.five_lines(outlook, broken.result())
    return [textwrap.fill(line, 80, subsequent_indent="  ") for line in told]


@app.command()
def parts(
    path: PlanPath = None,
    years: Years = None,
):
    """What if a part breaks: days left, what to keep on the shelf."""
    import textwrap

    from homestead.plan import open_plan
    from homestead.screen import kept, next_tables, readable
    from homestead.screen.readable import count_text, days_text

    plan = open_plan(path)
    say_if_demo(path, plan.folder)
    found = _parts(plan, years)
    print(f"{plan.name}: plan on {count_text(found.whole.days['p10'], 'day')} if nothing breaks.")
    print("With one part out from the first day:\n")
    table = readable.beside_breakdowns(next_tables.parts_out(found), plan, years)
    print(readable.as_text(table))
    with bar("start dates", "when parts break ") as progress:
        broken = kept.broken_of(plan, years, progress)
    low = days_text(broken.figures["p10"], 365)
    print(
        f"\nIf parts break as often as they usually do: plan on {low} days, worst "
        f"case {days_text(broken.figures['least'], 365)}."
    )
    worth = next_tables.spares(_spares(plan, years), plan.currency)
    if len(worth):
        print(f"\nWhat a spare would add:\n{worth.to_string()}")
    often = next_tables.rates(broken, plan)
    if len(often):
        print(f"\nHow often parts break:\n{often.to_string(max_colwidth=40)}")
    print("\nTo keep on the shelf, for the parts that cost the most:")
    for part in [part for part in found.parts if part.days_lost > 0][:SHELF_N]:
        print(textwrap.fill(f"- {part.part}: {part.shelf}", 80, subsequent_indent="  "))


@app.command()
def buy(
    path: PlanPath = None,
    days: Annotated[
        int | None, typer.Option(min=1, max=365, help="Days wanted, in 9 winters of 10.")
    ] = None,
    yearly: Annotated[float | None, typer.Option(min=1, help="Money a year.")] = None,
    years: Years = None,
):
    """The cheapest mix that lasts the days you want, and when to buy."""
    import textwrap

    from homestead.plan import open_plan
    from homestead.questions.buying import buying
    from homestead.questions.free_actions import free_actions
    from homestead.questions.variants import Variants
    from homestead.screen import next_tables, readable

    plan = open_plan(path)
    say_if_demo(path, plan.folder)
    with bar("variants", "what costs nothing ") as progress:
        free = free_actions(plan, variants=Variants(plan, years, progress=progress))
    with bar("mixes", "what to buy ") as progress:
        found = buying(plan, days, years_n=years, yearly_money=yearly, progress=progress)
    print(textwrap.fill(f"First, what costs nothing. {next_tables.free_words(free)}", 80))
    table = readable.beside_breakdowns(next_tables.free_actions(free), plan, years)
    print(f"\n{readable.as_text(table)}\n")
    print(textwrap.fill(f"{next_tables.mix_words(found)} This assumes nothing breaks.", 80))
    tables = (next_tables.mixes, next_tables.mixes_by_money, next_tables.buying_years)
    for table in (readable.beside_breakdowns(made(found), plan, years) for made in tables):
        if len(table):
            print(f"\n{readable.as_text(table)}")


@app.command()
def until(
    charge: Annotated[str, typer.Argument(help="Of the battery now, such as 60%.")],
    end: Annotated[str, typer.Argument(help="Dark days, such as 3, or a day such as sunday.")],
    path: PlanPath = None,
):
    """What to switch off so the battery lasts through dark days."""
    from homestead.plan import open_plan
    from homestead.questions.dark_days import last_until
    from homestead.screen import next_tables

    plan = open_plan(path)
    say_if_demo(path, plan.folder)
    found = last_until(plan, charge, end)
    print(next_tables.dark_words(found))
    if found.cuts:
        print(f"\n{next_tables.cuts(found).to_string()}")
    print("\nDon't rely on this plan alone for medical equipment.")


@app.command()
def share(
    path: PlanPath = None,
    output: Annotated[
        str | None, typer.Option(help="File to write. Without it: a page beside the plan.")
    ] = None,
    leave_out: Annotated[
        list[str] | None,
        typer.Option(help="Keep off the page: location, costs, name. May be repeated."),
    ] = None,
    years: Years = None,
    pdf: Annotated[
        bool, typer.Option("--pdf", help="Also print it to PDF (needs a Chromium).")
    ] = False,
):
    """Make a page to share, wall sheets and an electrician's packet."""
    from homestead.plan.file import PlanError, PlanFile

    left_out = checked_leave_out(leave_out)
    file = PlanFile(path)
    folder = Path.cwd() if file.is_demo else file.path.parent
    target = Path(output).expanduser() if output else folder / "homestead.html"
    if not target.parent.is_dir() or not os.access(target.parent, os.W_OK) or target.is_dir():
        raise PlanError(f"{target}: cannot be written there; choose a file with --output")
    say_if_demo(path, file.path.resolve().parent)
    outlook = outlook_of(file.plan, years)
    with _study(outlook) as found:
        # Slow to import, and drawn meanwhile.
        from homestead.page.papers import write_papers
        from homestead.page.render import write_page

        papers = write_papers(outlook, target, leave_out=left_out)
        write_page(outlook, target, leave_out=left_out, found=found)
    _print_days(outlook, False, found.result().broken)
    print(f"Page: {target.resolve()}")
    print(f"For the wall, and for the electrician: {', '.join(paper.name for paper in papers)}")
    if pdf:
        from homestead.page.pdf import print_pdf

        for paper in (target, *papers):
            print(f"PDF: {print_pdf(paper, paper.with_suffix('.pdf')).resolve()}")


# Last, so that the first things to do stand first in the help.
app.registered_commands += commands.registered_commands


def _parts(plan, years=None):
    """Days with each part out."""
    from homestead.questions.parts_out import parts_out

    with bar("runs", "one part out ") as progress:
        return parts_out(plan, years, progress=progress)


def _breakdowns(outlook, need=None):
    """Days with parts breaking at random; of one need if it alone is asked for."""
    from homestead.questions.breakdowns import breakdowns

    plan, years_n = outlook.plan, outlook.hours.years_n
    with bar("start dates", "when parts break ") as progress:
        return breakdowns(plan, years_n, progress=progress, need=need, outlook=outlook)


def _spares(plan, years=None):
    """What each spare would add."""
    from homestead.questions.breakdowns import spares

    with bar("start dates", "with a spare ") as progress:
        return spares(plan, years, progress=progress)


@contextlib.contextmanager
def _study(outlook):
    """Future of each idea by itself and what costs nothing, worked beside what stands inside."""
    from homestead.screen import nextsteps

    with (
        bar("plans", "what next ") as progress,
        nextsteps.each_alone_beside(outlook, progress) as found,
    ):
        yield found


def _print_days(outlook, full, broken):
    """The answer in five lines, and with `full` all that stands behind it."""
    import textwrap

    from homestead.screen import readable, tables, wording, work

    for line in wording.five_lines(outlook, broken):
        print(textwrap.fill(line, 80, subsequent_indent="  "))
    if not full:
        return
    print()
    for line in (wording.first_words(outlook), wording.season_words(outlook),
                 *wording.said(outlook, broken), wording.how_sure(outlook)):  # fmt: skip
        print(textwrap.fill(line, 80, subsequent_indent="  "))
    print("\n" + textwrap.fill(f"Weather: {outlook.hours.source}", 80) + "\n")
    for table in (
        tables.usual_and_cutting_back(outlook),
        tables.days_of_independence(outlook, outlook.plan.units),
        tables.by_month(outlook),
    ):
        print(f"{readable.as_text(table, 80)}\n")
    print(textwrap.fill(f"Work: {work.words(outlook.work)}", 80, subsequent_indent="  "), "\n")
    units = outlook.plan.units
    for finding in outlook.findings:
        if finding.severity != "note":
            told = f"{finding.severity.capitalize()}, {finding.about}: {finding.said(units)}"
            print(textwrap.fill(told, 80, subsequent_indent="  "))


def _quoted(text):
    """Text as it is typed in the window that commands are typed in."""
    if os.name == "nt":
        import subprocess

        return subprocess.list2cmdline([text])
    import shlex

    return shlex.quote(text)


def main(arguments=None):
    """Entry point: runs a command and turns every error into one sentence."""
    arguments = sys.argv[1:] if arguments is None else arguments
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a window that cannot show a letter shows a "?"
            stream.reconfigure(errors="replace")
    # What it says of its own folder, where none can be written, helps no family.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    try:
        code = app(args=list(arguments) or ["--help"], prog_name="homestead", standalone_mode=False)
    except (KeyboardInterrupt, typer.Abort):
        _fail("stopped", STOPPED)
    except typer.Exit as stop:
        code = stop.exit_code
    except BrokenPipeError:
        # Whoever read our output has enough of it; say nothing more into the closed pipe.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except Exception as error:  # the family gets a sentence, not a traceback
        if hasattr(error, "format_message"):  # a wrong option or argument, by the command parser
            _fail(error.format_message().rstrip(".") + "; see: homestead --help", 2)
        from homestead.plan.file import PlanError

        if isinstance(error, PlanError | ValueError | OSError):
            _fail(str(error), 1)
        _fail(f"that didn't work: {type(error).__name__}: {error}", 1)
    if code == STOPPED:  # the command parser swallows Ctrl-C itself
        _fail("stopped", STOPPED)
    sys.exit(code if isinstance(code, int) else 0)


def _fail(sentence, code):
    print(f"homestead: {sentence}", file=sys.stderr)
    sys.exit(code)


if __name__ == "__main__":
    main()
