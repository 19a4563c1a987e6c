"""Figures of days of independence: by month, by need, the worst start, what is in store."""

import numpy as np
import pandas as pd

from homestead.outlook.independence import day_text
from homestead.screen import kept, tables
from homestead.screen.picture import (
    COLOR,
    INK,
    MARKER,
    PAPER,
    Picture,
    canvas,
    styled,
)
from homestead.screen.readable import (
    beside_breakdowns,
    count_text,
    date_text,
    days_cell,
    days_words,
)
from homestead.simulate.records import MONTH_OF_DAY
from homestead.vocabulary import SEASONS


@styled
def needs_overview(outlook):
    """Days of each need and of the homestead: fewest, 9 of 10, half."""
    figure, axis = canvas()
    axis.grid(visible=False)
    axis.grid(axis="x")
    rows = {**outlook.needs, "homestead": outlook.homestead}
    for at, (name, spread) in enumerate(reversed(rows.items())):
        axis.plot([0, spread.p10], [at, at], color=COLOR[name], linewidth=9, alpha=0.9,
                  solid_capstyle="butt")  # fmt: skip
        axis.plot([spread.p10, spread.p50], [at, at], color=COLOR[name], linewidth=3)
        axis.plot(spread.p50, at, MARKER[name], color=COLOR[name], markersize=10,
                  markeredgecolor=INK)  # fmt: skip
        axis.plot(spread.least, at, "|", color=INK, markersize=20, markeredgewidth=2)
        at_horizon = spread.p10 >= outlook.horizon_days
        place = outlook.horizon_days * 1.23 if at_horizon else spread.p10
        axis.annotate(_both_ways(outlook, name) if at_horizon else f"{spread.p10}",
                      (place, at), xytext=(0, 6), textcoords="offset points",
                      ha="right" if at_horizon else "center", va="bottom")  # fmt: skip
    axis.set_yticks(range(len(rows)), list(reversed(rows)))
    axis.set_xlim(0, outlook.horizon_days * 1.25)
    axis.set_xlabel("days; line and number: to plan on,\nmarker: half the time, tick: worst case")
    limit = outlook.horizon_days
    weakest = min(outlook.needs, key=lambda need: outlook.needs[need].p10)
    shares = {need: share for need, share in outlook.first_to_fail.items() if need != "none"}
    often = max(shares, key=shares.get)
    alt = (
        "Days to plan on for each need: "
        + ", ".join(f"{name} {days_words(row.p10, limit)}" for name, row in rows.items())
        + (
            f"; {weakest} is the weakest"
            if outlook.needs[weakest].p10 < limit
            else "; none of them sets the limit"
        )
        + (f"; {often} goes first most often." if shares[often] > 0 else ".")
    )
    if outlook.needs[weakest].p10 < limit:
        title = (
            f"{weakest.capitalize()} is your weak link: plan on {outlook.needs[weakest].p10} days"
        )
    else:
        title = "No need fails within a year, if nothing breaks"
    return Picture(figure, title, alt, tables.days_of_independence(outlook))


def _both_ways(outlook, need):
    """Days at the horizon, and what is left of them if parts break."""
    broken = kept.broken_of(outlook.plan, outlook.hours.years_n).reached(need)
    limit = outlook.horizon_days
    return f"{limit}+ if nothing breaks, {days_cell(broken, limit)} if parts break"


LASTING = (("as usual", "homestead", "-"), ("cutting back", "water", "--"))
LOOKED_AT_DAYS = (3, 7, 14, 30, 60, 90, 120, 180, 270, 365)


def lasting_table(outlook):
    """Share of start dates that last so many days: by season as usual, and cutting back."""
    spare, together = outlook.cutting_back, outlook.together
    columns = {"As usual (%)": together, "Cutting back (%)": spare.together}
    for season, months in SEASONS.items():
        inside = np.isin(MONTH_OF_DAY, months)
        columns[f"As usual, started in {season} (%)"] = together[:, inside]
    looked_at = [days for days in LOOKED_AT_DAYS if days <= outlook.horizon_days]
    return pd.DataFrame(
        {
            name: [round(float((days >= so_many).mean()) * 100) for so_many in looked_at]
            for name, days in columns.items()
        },
        index=pd.Index(looked_at, name="Days"),
    )


@styled
def lasting(outlook):
    """Share of start dates that last at least so many days, as usual and cutting back."""
    figure, axis = canvas()
    spare, limit = outlook.cutting_back, outlook.horizon_days
    days = np.arange(limit + 1)
    ends, halves = [], []
    for (_, color, line), lived in zip(LASTING, (outlook, spare), strict=True):
        sorted_days = np.sort(lived.together, axis=None)
        share = 100.0 * (1.0 - np.searchsorted(sorted_days, days) / sorted_days.size)
        axis.plot(days, share, line, color=COLOR[color], linewidth=2.4)
        ends.append(lived.homestead.p10)
        halves.append(lived.homestead.p50)
    axis.axhline(90, color=INK, linewidth=1.0, linestyle=(0, (2, 2)))
    axis.annotate("9 of 10", (limit, 90), ha="right", va="bottom", xytext=(0, 2),
                  textcoords="offset points")  # fmt: skip
    # Each label beside its own line: the lower one before it, the upper one behind it.
    for (name, color, _), days_n, before in zip(LASTING, halves, (True, False), strict=True):
        at = 96.0 if days_n >= limit else 30.0 if before else 65.0
        to_left = days_n > 0.7 * limit or (before and days_n > 0.3 * limit)
        axis.annotate(name, (days_n, at), va="center", ha="right" if to_left else "left",
                      xytext=(-12 if to_left else 12, 0), textcoords="offset points",
                      color=COLOR[color])  # fmt: skip
    axis.set_xlim(0, limit)
    axis.set_ylim(0, 104)
    axis.set_ylabel("start dates that last, %")
    axis.set_xlabel("days")
    usual, sparing = (days_words(end, limit) for end in ends)
    alt = (
        f"How many start dates last how long: plan on {usual} as usual and "
        f"{sparing} when you cut back from the first day, if nothing breaks."
    )
    title = f"Plan on {usual} as usual, {sparing} cutting back"
    return Picture(figure, title, alt, lasting_table(outlook))


@styled
def worst_by_year(outlook):
    """Worst case of each weather year, the shortest year first."""
    figure, axis = canvas()
    order = np.argsort(outlook.worst_by_year, kind="stable")
    days, limit = outlook.worst_by_year[order], outlook.horizon_days
    places = np.arange(1, len(days) + 1)
    axis.vlines(places, 0, days, color=COLOR["homestead"], linewidth=3, alpha=0.35)
    axis.plot(places, days, "o", color=COLOR["homestead"], markersize=6)
    told = []
    for many in (30, 10):
        if len(days) >= many:
            worst = outlook.worst_year_in(many)
            told.append(f"the worst year in {many} has {days_words(worst, limit)}")
            axis.axhline(worst, color=INK, linewidth=1.0, linestyle=(0, (2, 2)))
            # One label above its line and one below, as far from the short years as there is room.
            above = many == 10
            axis.annotate(f"worst year in {many}: {days_words(worst, limit)}", (len(days), worst),
                          ha="right", va="bottom" if above else "top",
                          xytext=(0, 3 if above else -3), textcoords="offset points",
                          bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0})  # fmt: skip
    axis.set_xlim(0.3, len(days) + 0.7)
    axis.set_ylim(0, max(float(days.max()) * 1.12, 5.0))
    axis.set_xlabel("weather years, the shortest first")
    axis.set_ylabel("days in its worst case")
    ends = "; ".join(told) or f"the worst year has {days_words(int(days[0]), limit)}"
    alt = (
        f"Days you last in the worst case of each of "
        f"{count_text(len(days), 'weather year')}, from {days_words(int(days[0]), limit)} to "
        f"{days_words(int(days[-1]), limit)}: {ends}."
    )
    table = pd.DataFrame(
        {
            "Worst case (days)": [days_cell(int(day), limit) for day in days],
            "If it starts on": [
                date_text(day_text(int(outlook.together[year].argmin()))) for year in order
            ],
        },
        index=pd.Index(places, name="Year, the shortest first"),
    )
    table = beside_breakdowns(table, outlook.plan, outlook.hours.years_n)
    title = f"Years differ: worst cases from {days[0]} to {days_words(int(days[-1]), limit)}"
    return Picture(figure, title, alt, table)
