"""Figures of days of independence: by month, by need, the worst start, what is in store."""

import matplotlib
import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.screen import series, tables
from homestead.screen.picture import (
    COLOUR,
    INK,
    MARKER,
    PAPER,
    X_MONTHS,
    Picture,
    canvas,
    key,
    month_axis,
    styled,
)
from homestead.screen.readable import count_text, days_text
from homestead.vocabulary import MONTHS, NEEDS


@styled
def days_by_month(outlook):
    """Days of the homestead by the month in which isolation begins, and the need that fails."""
    figure, axis = canvas()
    table = tables.by_month(outlook)
    p10 = np.array([one.p10 for one in outlook.by_month])
    p50 = np.array([one.p50 for one in outlook.by_month])
    first = tables.first_need_by_month(outlook, shortest=True)
    for need in dict.fromkeys(first):
        at = np.array([one == need for one in first])
        axis.vlines(X_MONTHS[at], p10[at], p50[at], color=COLOUR[need], linewidth=7, alpha=0.45)
        axis.plot(
            X_MONTHS[at], p10[at], MARKER[need], color=COLOUR[need], markersize=10,
            markeredgecolor=INK, label="nothing fails" if need == "none" else f"then {need} fails",
        )  # fmt: skip
    half = axis.plot(X_MONTHS, p50, "_", color=INK, markersize=12, markeredgewidth=2.2)[0]
    half.set_label("half reach")
    handles = [one for one in axis.get_lines() if not one.get_label().startswith("_")]
    key(figure, handles, 1 if len(handles) < 3 else 2)
    month_axis(axis)
    axis.set_ylim(0, max(p50.max() * 1.12, 5))
    axis.set_ylabel("days, 9 of 10 reach")
    axis.set_xlabel("isolation begins in")
    weakest = int(np.argmin(p10))
    limit = outlook.horizon_days
    fails = first[weakest]
    ends = (
        "nothing fails within a year"
        if fails == "none"
        else f"{fails} fails first in the shortest starts"
    )
    alt = (
        "Days of independence by the month in which isolation begins: 9 of 10 starts reach "
        f"{days_text(int(p10.min()), limit)} to {days_text(int(p10.max()), limit)} days; the "
        f"weakest month is {MONTHS[weakest]}, where {ends}."
    )
    return Picture(figure, "Days of independence by month of start", alt, table)


@styled
def needs_overview(outlook):
    """Days of each need and of the homestead: fewest, 9 of 10, half."""
    figure, axis = canvas()
    axis.grid(visible=False)
    axis.grid(axis="x")
    rows = {**outlook.needs, "homestead": outlook.homestead}
    for at, (name, spread) in enumerate(reversed(rows.items())):
        axis.plot([0, spread.p10], [at, at], color=COLOUR[name], linewidth=9, alpha=0.9,
                  solid_capstyle="butt")  # fmt: skip
        axis.plot([spread.p10, spread.p50], [at, at], color=COLOUR[name], linewidth=3)
        axis.plot(spread.p50, at, MARKER[name], color=COLOUR[name], markersize=10,
                  markeredgecolor=INK)  # fmt: skip
        axis.plot(spread.least, at, "|", color=INK, markersize=20, markeredgewidth=2)
        reached = f"{spread.p10}{'+' if spread.p10 >= outlook.horizon_days else ''}"
        axis.annotate(reached, (spread.p10, at), xytext=(0, 6), textcoords="offset points",
                      ha="center", va="bottom")  # fmt: skip
    axis.set_yticks(range(len(rows)), list(reversed(rows)))
    axis.set_xlim(0, outlook.horizon_days * 1.25)
    axis.set_xlabel("days; line and number: 9 of 10 starts,\nmarker: half, thin tick: the worst")
    limit = outlook.horizon_days
    weakest = min(outlook.needs, key=lambda need: outlook.needs[need].p10)
    shares = {need: share for need, share in outlook.first_to_fail.items() if need != "none"}
    often = max(shares, key=shares.get)
    alt = (
        "Days that each need is covered in 9 of 10 starts: "
        + ", ".join(f"{name} {days_text(one.p10, limit)}" for name, one in rows.items())
        + (
            f"; {weakest} is the weakest in 9 of 10"
            if outlook.needs[weakest].p10 < limit
            else "; none of them sets the limit in 9 of 10"
        )
        + (f"; {often} fails first most often." if shares[often] > 0 else ".")
    )
    return Picture(
        figure, "How long each need is covered", alt, tables.days_of_independence(outlook)
    )


LINES = ("-", "--", ":", "-.")


@styled
def worst_start(outlook):
    """Stores in the worst of all starts, from isolation until after the first failure."""
    falling = series.worst_start_stores(outlook)
    figure, axis = canvas(tall=True)
    used = dict.fromkeys(NEEDS, 0)
    days = falling.percent.index.to_numpy()
    handles = []
    for name, values in falling.percent.items():
        need = falling.needs[name]
        line = axis.plot(
            days, values, LINES[used[need] % len(LINES)], color=COLOUR[need], label=name,
            marker=MARKER[need], markersize=6, markeredgecolor=INK, markevery=0.23,
            alpha=0.9, linewidth=1.5 if need == "power" else 2.2,
        )[0]  # fmt: skip
        used[need] += 1
        handles.append(line)
    for need, day in falling.failures.items():
        axis.axvline(day + 1, color=INK, linewidth=1.4, linestyle=(0, (5, 2)))
        late = day > 0.6 * days[-1]
        axis.annotate(
            f"{need} fails,\nday {day + 1}", (day + 1, 127), ha="right" if late else "left",
            va="top", xytext=(-5 if late else 5, 0), textcoords="offset points",
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.5}, zorder=5,
        )  # fmt: skip
    key(figure, handles, line=2.6)
    axis.set_ylim(0, 128)
    axis.set_yticks(range(0, 101, 20))
    axis.set_xlim(0, days[-1] + 1)
    axis.set_ylabel("left of what was usable, %")
    axis.set_xlabel(f"days from {falling.begins}")
    ends = (
        "; ".join(f"{need} fails on day {day + 1}" for need, day in falling.failures.items())
        or "no need fails within the days shown"
    )
    left = falling.percent.iloc[-1]
    alt = (
        f"Stores in percent over {count_text(int(days[-1]), 'day')} from the worst start, "
        f"{falling.begins}: {ends}; at the end "
        + ", ".join(f"{name} {value:.0f} %" for name, value in left.items())
        + "."
    )
    table = series.falling_table(falling)
    return Picture(figure, "The worst start, day by day", alt, table)


@styled
def stores_now(outlook):
    """Days that each store would last alone at the year's mean use."""
    figure, axis = canvas()
    axis.grid(visible=False)
    axis.grid(axis="x")
    stores = series.store_days(outlook)
    for at, (days, need) in enumerate(zip(stores["days"][::-1], stores["need"][::-1], strict=True)):
        shown = max(days, 0.1)
        axis.plot([0.1, shown], [at, at], color=COLOUR[need], linewidth=2.5)
        axis.plot(shown, at, MARKER[need], color=COLOUR[need], markersize=11, markeredgecolor=INK)
    axis.set_xscale("log")
    ticks = (1, 7, 30, 100, 365)
    axis.set_xticks(ticks, [str(one) for one in ticks])
    axis.xaxis.set_minor_locator(matplotlib.ticker.NullLocator())
    axis.set_xlim(0.5, max(500.0, float(stores["days"].max()) * 1.3))
    axis.set_yticks(range(len(stores)), list(stores.index[::-1]))
    axis.set_xlabel("days at the year's mean use\n(each step right is a multiple)")
    table = pd.DataFrame(
        {
            "Store": stores.index,
            "Covers": stores["need"].to_numpy(),
            "Lasts (days)": [measures.digits(one, 2 if one < 10 else 3) for one in stores["days"]],
        }
    ).set_index("Store")
    alt = "Days that each store lasts at the year's mean use with nothing coming in: " + (
        ", ".join(f"{name} {text}" for name, text in table["Lasts (days)"].items())
        + f"; the shortest is {stores['days'].idxmin()}."
    )
    return Picture(figure, "What is in store", alt, table)
