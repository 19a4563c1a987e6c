"""How a plan's days have moved over the years: a line, and what changed since spring."""

from datetime import date
from functools import lru_cache

import numpy as np
import pandas as pd

from homestead.plan import PlanError
from homestead.questions.revisions import compare, in_force, revisions_of
from homestead.questions.variants import Variants
from homestead.screen.notes import Prose, numbers, title
from homestead.screen.over_time import day_of, since_words
from homestead.screen.picture import COLOR, INK, Picture, canvas, styled
from homestead.screen.readable import count_text

MOST_N = 8  # versions in the line besides today's
NONE_KEPT = (
    "No older version of your plan to compare with yet. Each change keeps one; give one a name "
    "with `homestead keep NAME`."
)


def over_the_years(outlook, today=None):
    """What changed since spring, and the days of kept versions as a line.

    outlook (Outlook) : Of the plan today.
    today (datetime.date, optional)
    Gives list of what a notebook shows: a sentence, and the line with its numbers where there are
        older versions.
    """
    today = today or date.today()
    versions = revisions_of(outlook.plan.folder)
    if not versions:
        return [Prose(NONE_KEPT)]
    limit, spring = outlook.horizon_days, day_of("spring", today)
    older = in_force(versions, spring)
    said = [Prose(since_words(spring, compare(older, outlook.plan), limit))] if older else []
    points = [
        (version.replaced_at.date(), days, version.name)
        for version, days in _shown(versions, outlook)
    ]
    picture = line([*points, (today, outlook.homestead.p10, "")], limit)
    return [*said, title(picture), picture, numbers(picture)]


def _shown(versions, outlook):
    # Named versions first, then the last one of each month.
    by_month = {version.replaced_at.strftime("%Y-%m"): version for version in versions}
    kept = {version.path: version for version in versions if version.name} or {}
    kept |= {version.path: version for version in by_month.values()}
    chosen = sorted(kept.values(), key=lambda version: (bool(version.name), version.replaced_at))[
        -MOST_N:
    ]
    found = []
    for version in sorted(chosen, key=lambda version: version.replaced_at):
        days = _days_of(version.path, version.path.stat().st_mtime_ns, outlook.hours.years_n)
        if days is not None:
            found.append((version, days))
    return found


@lru_cache(maxsize=64)
def _days_of(path, _, years_n):
    """Days to plan on of an older version; None if it no longer holds."""
    from homestead.plan import open_plan

    try:
        return int(Variants(open_plan(path), years_n).one().reached("homestead", 10))
    except PlanError:
        return None


@styled
def line(points, horizon_days=365):
    """Days to plan on over the years.

    points (list of (date, int, str)) : Oldest first: day, days, the version's name if it has one.
    """
    figure, axis = canvas()
    days = np.array([days for _, days, _ in points])
    at = pd.to_datetime([day for day, _, _ in points])
    axis.plot(at, days, "-o", color=COLOR["homestead"], markersize=7)
    top = max(float(days.max()) * 1.3, 5.0)
    for day, height, name in zip(at, days, (name for _, _, name in points), strict=True):
        text = f"{height}\n{name}" if name else str(height)
        axis.annotate(text, (day, height), xytext=(0, 7), textcoords="offset points",
                      ha="center", va="bottom", color=INK)  # fmt: skip
    axis.set_ylim(0, top)
    axis.margins(x=0.15)
    axis.set_xticks([at[0], at[-1]], [f"{moment:%b} {moment:%Y}" for moment in (at[0], at[-1])])
    axis.set_ylabel("days to plan on")
    now, then = points[-1], points[0]
    gained = int(now[1] - then[1])
    since = f"{then[0]:%B} {then[0]:%Y}"
    moved = f"{count_text(abs(gained), 'day')} {'more' if gained > 0 else 'fewer'} than"
    finding = f"{now[1]} days now, {moved if gained else 'the same as'} in {since}"
    alt = (
        f"Days to plan on over the years, {len(points)} versions of the plan from {since} to "
        f"today: {days.min()} to {days.max()} days; {finding}."
    )
    table = pd.DataFrame(
        {"Plan on (days)": days, "Kept as": [name for _, _, name in points]},
        index=pd.Index([day.isoformat() for day, _, _ in points], name="Until"),
    )
    return Picture(figure, finding, alt, table)
