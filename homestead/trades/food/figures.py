"""Figures of food: what the land gives, what is in store, what runs short first."""

import numpy as np

from homestead import units as measures
from homestead.outlook.independence import day_text
from homestead.screen.picture import (
    COLOR,
    INK,
    PAPER,
    X_MONTHS,
    Picture,
    canvas,
    key,
    month_axis,
    styled,
)  # fmt: skip
from homestead.screen.readable import date_text, days_words, percent
from homestead.trades.food import tables as food_tables

LOOKS = {
    "garden": (COLOR["food"], "///"),
    "eggs": ("#e9cf7a", ""),
    "milk": ("#f6f1e2", "..."),
    "other produce": ("#b9a7c9", ""),
    "meat": (COLOR["warmth"], "xxx"),
    "freezer": ("#8db8d3", ""),
    "pantry": ("#a67c45", ""),
}


@styled
def pantry_and_garden(year):
    """A year without deliveries: what is eaten from where, and what is left in store."""
    figure, (above, below) = canvas(2, tall=True, ratios=(3, 2))
    table = food_tables.eaten(year)
    base, handles = np.zeros(12), []
    for name, (color, hatch) in LOOKS.items():
        label = f"{food_tables.SOURCE_WORDS[name]} (kcal/day)"
        if label in table:
            values = table[label].to_numpy(dtype=float)
            handles.append(
                above.bar(X_MONTHS, values, 0.78, bottom=base, color=color, hatch=hatch,
                          edgecolor=INK, linewidth=0.8, label=name)
            )  # fmt: skip
            base = base + values
    missing = table["Missing (kcal/day)"].to_numpy(dtype=float)
    if missing.max() > 0.5:
        handles.append(
            above.bar(X_MONTHS, missing, 0.78, bottom=base, color=PAPER, edgecolor=INK,
                      linestyle=":", label="missing")
        )  # fmt: skip
    above.set_ylim(0, year.need_kcal_day * 1.04)
    above.set_ylabel("1,000 kcal a day")
    above.yaxis.set_major_formatter(lambda value, _: measures.digits(value / 1000))
    through = year.through
    edges = np.concatenate(([0], through.groupby("month", sort=False).size().cumsum()))
    at = np.interp(np.arange(len(through)) + 1, edges, np.arange(13) - 0.5)
    stock, bare = (
        (through[f"pantry{harvest}_kcal"] + through[f"freezer{harvest}_kcal"]) / year.need_kcal_day
        for harvest in ("", "_without_harvest")
    )
    handles += [
        below.plot(at, stock, "-", color=INK, label="left in store")[0],
        below.plot(at, bare, "--", color=COLOR["food"], label="without the garden")[0],
    ]
    below.set_ylabel("days of need")
    below.set_ylim(0)
    names = list(table.index)
    below.set_xticks(X_MONTHS, names, rotation=90)
    below.set_xlim(-0.6, 11.6)
    below.set_xlabel(f"starts {date_text(day_text(year.start))}")
    key(figure, handles)
    empty = np.flatnonzero(stock.to_numpy() <= 0)
    sooner = np.flatnonzero(bare.to_numpy() <= 0)
    lasts = f"is empty after {empty[0]} days" if len(empty) else "doesn't run out within the year"
    without = f", after {sooner[0]} without the garden" if len(sooner) else ""
    short = missing / year.need_kcal_day
    alt = (
        f"A year without deliveries from {date_text(day_text(year.start))}, blackouts included: "
        f"the store {lasts}{without}; the most you'd be short is "
        f"{percent(float(short.max()))} in a month."
    )
    return Picture(figure, f"Your store {lasts}", alt, table)


@styled
def food_days_by_start(year):
    """Days of food by the month in which isolation begins."""
    figure, axis = canvas()
    table, limit = food_tables.by_start(year), food_tables.food.HORIZON_DAYS
    by_start = year.by_start
    month = by_start.index.to_numpy() - 1
    axis.vlines(month, 0, by_start.least_days, color=COLOR["food"], linewidth=3, alpha=0.5)
    handles = [
        axis.plot(month, by_start.least_days, "D", color=COLOR["food"], markersize=9,
                  markeredgecolor=INK, label="fewest")[0],
        axis.plot(month, by_start.p50_days, "_", color=INK, markersize=11, markeredgewidth=2,
                  label="half reach")[0],
        axis.plot(month, by_start.bad_least_days, "x", color=COLOR["warmth"], markersize=7,
                  markeredgewidth=2, label="first bad week, soonest")[0],
    ]  # fmt: skip
    key(figure, handles)
    month_axis(axis)
    axis.set_ylim(0, max(by_start.p50_days.max() * 1.12, 5))
    axis.set_ylabel("days until food fails")
    axis.set_xlabel("if it starts in")
    low, high = int(by_start.least_days.min()), int(by_start.least_days.max())
    counts = by_start.ends.value_counts()
    when = "in every month" if len(counts) == 1 else "in most months"
    reach = days_words(high, limit) if low == high else f"{low} to {days_words(high, limit)}"
    ends = counts.index[0]
    verdict = "nothing ends it" if ends == "nothing" else food_tables.ENDS_WORDS[ends]
    verdict = f"{when} {verdict}{'' if ends == 'nothing' else ' ends it'}"
    alt = f"Fewest days of food by the month it starts: {reach}; {verdict}."
    title = f"Food lasts {reach}, depending on the month it begins"
    return Picture(figure, title, alt, table)
