"""Commands for coming back through the year: older versions of the plan, and going back to one."""

from datetime import date
from typing import Annotated

import typer

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
        typer.Option(help="What changed since then: spring, summer, fall, winter or a date."),
    ] = None,
    over_time: Annotated[
        bool, typer.Option("--days", help="Days to plan on, month by month.")
    ] = False,
):
    """Older versions of your plan, newest first; what changed since; days over the years."""
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
        print("There is no older version yet: one is kept each time the plan is changed.")
    else:
        lines = [words.version_line(n, one) for n, one in enumerate(reversed(versions), start=1)]
        print("\n".join(lines))
        print("Go back to one with its number, such as: homestead restore 1")


@commands.command()
def keep(
    name: Annotated[str, typer.Argument(help='What to call it, such as "before winter".')],
    path: PlanPath = None,
):
    """Keep the plan as it stands now under a name, to go back to."""
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
    """Go back to an older version; the present one is kept first."""
    from homestead.plan.file import PlanError, find_plan, go_back
    from homestead.questions.revisions import revisions_of
    from homestead.screen.over_time import version_line

    versions = list(reversed(revisions_of(path)))
    named = [n for n, one in enumerate(versions, start=1) if which.strip() in (str(n), one.name)]
    if not named:
        raise PlanError(
            f"no version {which[:60]!r} among {len(versions)}; the list: homestead revisions"
        )
    chosen = versions[named[0] - 1]
    go_back(find_plan(path), chosen.path)
    print("Back to:" + version_line(named[0], chosen)[4:])
    print("The version you had is kept: homestead restore 1 brings it back.")
