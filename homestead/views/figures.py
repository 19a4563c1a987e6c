"""Figures of an outlook, in one visual language, each with its description and its numbers.

No global plotting state: every figure is an object of its own. A need is told by colour, marker
and line, so that the drawing reads in grey and for colour-blind eyes. Type is at least 10 pt when
a figure stands 358 px wide, as on a phone.
"""

import base64
import html
import io
from dataclasses import dataclass

import matplotlib
import numpy as np
import pandas as pd
from matplotlib.figure import Figure

from homestead import units as measures
from homestead.plan.fields import MONTHS
from homestead.views import series, tables
from homestead.views.readable import (
    NEEDS,
    WATTS_PER_KW,
    count_text,
    days_text,
    head,
    rounded,
    table_html,
)

PAPER, INK, FAINT, RULE = "#fdfaf3", "#2b2a26", "#6b675d", "#d9d2c3"
# Lightness falls from power to water, so that grey keeps them apart.
COLOUR = {
    "power": "#d9a21b",
    "food": "#6f8f3a",
    "warmth": "#ad4a33",
    "water": "#1d4e6b",
    "homestead": INK,
    "none": FAINT,
}
MARKER = {"power": "^", "food": "D", "warmth": "s", "water": "o", "homestead": "P", "none": "X"}
HATCH = {"power": "", "food": "///", "warmth": "xxx", "water": "..."}
WIDTH_IN, HEIGHT_IN, TALL_IN = 4.6, 3.5, 4.7
TYPE_PT = 13.0  # 10 pt at 358 px: 13 * 358 / 96 / 4.6 = 10.5
STYLE = {
    "font.family": "DejaVu Sans",
    "font.size": TYPE_PT,
    "axes.labelsize": TYPE_PT,
    "xtick.labelsize": TYPE_PT,
    "ytick.labelsize": TYPE_PT,
    "legend.fontsize": TYPE_PT,
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.facecolor": PAPER,
    "figure.facecolor": PAPER,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "grid.color": RULE,
    "grid.linewidth": 0.8,
    "hatch.linewidth": 0.7,
    "hatch.color": PAPER,
    "legend.frameon": False,
    "lines.linewidth": 2.0,
    "svg.fonttype": "path",
    "svg.hashsalt": "homestead",
}
X_MONTHS = np.arange(12)
SHOWN_MONTHS = X_MONTHS[::2]
PNG_DPI = 200


@dataclass(frozen=True)
class Picture:
    """A figure with all that a reader who cannot see it needs.

    Attributes
    ----------
    figure : matplotlib.figure.Figure
    title : str
        What it shows, in a few words.
    alt : str
        One sentence: what is plotted, its range and the finding.
    table : DataFrame
        The numbers in it, with units in the headers.
    """

    figure: Figure
    title: str
    alt: str
    table: pd.DataFrame

    def _saved(self, kind, **how):
        held = io.BytesIO()
        with matplotlib.rc_context(STYLE):
            self.figure.savefig(held, format=kind, **how)
        return held.getvalue()

    def svg(self):
        """Drawing as SVG bytes, the same for the same numbers."""
        return self._saved("svg", metadata={"Date": None, "Creator": None})

    def png(self):
        """Drawing as PNG bytes."""
        return self._saved("png", dpi=PNG_DPI, metadata={"Software": None})

    def _repr_mimebundle_(self, include=None, exclude=None):
        image = base64.b64encode(self.png()).decode("ascii")
        width = int(WIDTH_IN * 100)
        return (
            {"image/png": image, "text/plain": f"{self.title}. {self.alt}"},
            {"image/png": {"alt": self.alt, "width": width}},
        )

    def html(self):
        """Return a figure element with its description and, folded, its numbers."""
        image = base64.b64encode(self.svg()).decode("ascii")
        words = html.escape(self.alt, quote=True)
        title = html.escape(self.title)
        return (
            f'<figure><img src="data:image/svg+xml;base64,{image}" alt="{words}">'
            f"<figcaption>{title}</figcaption><details><summary>Numbers in this figure</summary>"
            f'<div class="wide" role="region" aria-label="Numbers: {title}" tabindex="0">'
            f"{table_html(self.table, self.title)}</div>"
            "</details></figure>"
        )


def _canvas(panels=1, tall=False, ratios=None):
    figure = Figure(figsize=(WIDTH_IN, TALL_IN if tall else HEIGHT_IN), layout="constrained")
    figure.get_layout_engine().set(w_pad=0.12, h_pad=0.1)
    axes = figure.subplots(panels, 1, sharex=panels > 1, height_ratios=ratios)
    for axis in np.atleast_1d(axes):
        axis.set_axisbelow(True)
        axis.grid(axis="y")
    return figure, axes


def _months(axis):
    axis.set_xticks(SHOWN_MONTHS, [MONTHS[month] for month in SHOWN_MONTHS])
    axis.set_xticks(X_MONTHS, minor=True)
    axis.set_xlim(-0.7, 11.7)


def _key(figure, handles, columns=2, line=1.6):
    figure.legend(
        handles=handles,
        loc="outside upper left",
        ncols=columns,
        handlelength=line,
        columnspacing=1.0,
        borderaxespad=0.2,
        handletextpad=0.5,
    )


def _range(values):
    low, high = (measures.digits(float(end)) for end in (np.min(values), np.max(values)))
    return low if low == high else f"{low} to {high}"


def _styled(draw):
    """Run a drawing function within our style, whatever the caller's settings are."""

    def drawn(*args, **kwargs):
        with matplotlib.rc_context(STYLE):
            picture = draw(*args, **kwargs)
            # Laid out once, so that saving twice gives the same bytes.
            picture.figure.draw_without_rendering()
            picture.figure.set_layout_engine("none")
        return picture

    drawn.__doc__, drawn.__name__, drawn.__wrapped__ = draw.__doc__, draw.__name__, draw
    return drawn


@_styled
def days_by_month(outlook):
    """Days of the homestead by the month in which isolation begins, and the need that fails."""
    figure, axis = _canvas()
    table = tables.by_month(outlook)
    p10 = np.array([one.p10 for one in outlook.by_month])
    p50 = np.array([one.p50 for one in outlook.by_month])
    first = tables.first_need_by_month(outlook, shortest=True)
    for need in dict.fromkeys(first):
        at = np.array([one == need for one in first])
        axis.vlines(X_MONTHS[at], p10[at], p50[at], color=COLOUR[need], linewidth=7, alpha=0.45)
        axis.plot(
            X_MONTHS[at], p10[at], MARKER[need], color=COLOUR[need], markersize=10,
            markeredgecolor=INK, label=f"{need} fails first",
        )  # fmt: skip
    half = axis.plot(X_MONTHS, p50, "_", color=INK, markersize=12, markeredgewidth=2.2)[0]
    half.set_label("half reach")
    handles = [one for one in axis.get_lines() if not one.get_label().startswith("_")]
    _key(figure, handles, 1 if len(handles) < 3 else 2)
    _months(axis)
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


@_styled
def needs_overview(outlook):
    """Days of each need and of the homestead: fewest, 9 of 10, half."""
    figure, axis = _canvas()
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
        far = max(spread.p50, spread.least)
        axis.annotate(reached, (far, at), xytext=(11, 0), textcoords="offset points", va="center")
    axis.set_yticks(range(len(rows)), list(reversed(rows)))
    axis.set_xlim(0, outlook.horizon_days * 1.25)
    axis.set_xlabel("days; number and thick line: 9 of 10\nstarts reach, marker: half, bar: fewest")
    limit = outlook.horizon_days
    weakest = min(outlook.needs, key=lambda need: outlook.needs[need].p10)
    alt = (
        "Days that each need is covered, from the fewest to what half of the starts reach: "
        + ", ".join(
            f"{name} {days_text(one.p10, limit)} days in 9 of 10 starts"
            for name, one in rows.items()
        )
        + (
            f"; {weakest} is the weakest."
            if outlook.needs[weakest].p10 < limit
            else "; none of them sets the limit in 9 of 10 starts."
        )
    )
    return Picture(
        figure, "How long each need is covered", alt, tables.days_of_independence(outlook)
    )


@_styled
def energy_by_month(outlook):
    """Sun offered against what the house uses, month by month."""
    figure, axis = _canvas()
    table = tables.energy_by_month(outlook)
    sun, used = table["Sun offered (kWh/day)"], table["Used in the house (kWh/day)"]
    engine = table["Generator (kWh/day)"]
    short = sum(table[f"{one} short (kWh/day)"] for one in ("Essential", "Useful", "Comfort"))
    handles = [
        axis.bar(X_MONTHS, used, 0.7, color=COLOUR["power"], edgecolor=INK, label="used"),
        axis.bar(X_MONTHS, short, 0.7, bottom=used, color=PAPER, edgecolor=INK, linestyle=":",
                 label="asked for, not served"),
        axis.plot(X_MONTHS, sun, "-^", color=INK, markersize=7, label="sun offered")[0],
    ]  # fmt: skip
    if engine.max() > 0:
        handles.append(
            axis.bar(X_MONTHS, engine, 0.28, color=COLOUR["warmth"], edgecolor=INK,
                     label="of it by generator")
        )  # fmt: skip
    _key(figure, handles)
    _months(axis)
    axis.set_ylabel("kWh a day")
    low = int(np.argmin(sun))
    alt = (
        f"Electricity by month: the sun offers {_range(sun)} kWh a day, least in {MONTHS[low]}; "
        f"the house uses {_range(used)}; at most {measures.digits(float(short.max()), 2)} kWh a "
        "day is asked for and not served."
    )
    return Picture(figure, "Sun and use on a mean day of each month", alt, table)


@_styled
def average_day(outlook, month):
    """Mean day of one month: sun, use, generator and the battery's level.

    Raises
    ------
    ValueError
        If `month` is not 1 to 12.
    """
    month = int(measures.checked("month", month, 1, 12))
    means = outlook.year.hourly_means.loc[month]
    hour = np.arange(24)
    fixed = outlook.hours.fixed
    figure, (above, below) = _canvas(2, tall=True, ratios=(3, 2))
    sun, used, engine = (
        means[name].to_numpy() / WATTS_PER_KW for name in ("pv_w", "used_w", "generator_w")
    )
    handles = [
        above.fill_between(hour, sun, color=COLOUR["power"], alpha=0.45, label="sun offered"),
        above.plot(hour, used, "-", color=INK, label="used")[0],
    ]
    if engine.max() > 0.005:
        handles.append(above.plot(hour, engine, "--", color=COLOUR["warmth"], label="generator")[0])
    _key(figure, handles, len(handles))
    above.set_ylabel("kW")
    above.set_ylim(0)
    level = means["battery_wh"].to_numpy() / max(fixed.battery_wh, 1e-9) * 100
    below.plot(hour, level, "-^", color=COLOUR["power"], markersize=5, markeredgecolor=INK)
    below.axhline((1 - fixed.discharge_depth_frac) * 100, color=FAINT, linestyle=":")
    below.set_ylim(0, 104)
    below.set_ylabel("battery, %")
    below.set_xlabel("hour of the day")
    below.set_xticks(range(0, 25, 6))
    table = pd.DataFrame(
        {
            "Hour": hour,
            "Sun offered (kW)": rounded(sun, 2),
            "Used (kW)": rounded(used, 2),
            "Generator (kW)": rounded(engine, 2),
            "Battery (%)": rounded(level, 0),
        }
    ).set_index("Hour")
    alt = (
        f"A mean day in {MONTHS[month - 1]}: the sun offers up to {measures.digits(sun.max(), 2)} "
        f"kW, the house uses {_range(np.round(used, 2))} kW, and the battery stands at "
        f"{level.min():.0f} to {level.max():.0f} %, lowest at {int(level.argmin())}:00."
    )
    return Picture(figure, f"A mean day in {MONTHS[month - 1]}", alt, table)


@_styled
def water_by_month(outlook, units="us"):
    """Water used by house, animals and garden, and what the well gives."""
    figure, axis = _canvas()
    table = tables.water_by_month(outlook, units)
    house, garden, pumped = (
        table[head(label, "volume", units, "day")]
        for label in ("People and animals", "Garden", "Pumped from the well")
    )
    handles = [
        axis.bar(X_MONTHS, house, 0.7, color=COLOUR["water"], edgecolor=INK,
                 label="people and animals"),
        axis.bar(X_MONTHS, garden, 0.7, bottom=house, color=COLOUR["food"], hatch=HATCH["food"],
                 edgecolor=INK, label="garden"),
        axis.plot(X_MONTHS, pumped, "o--", color=INK, markerfacecolor=PAPER, markersize=7,
                  label="well gives")[0],
    ]  # fmt: skip
    _key(figure, handles)
    _months(axis)
    unit = measures.shown_unit("volume", units)
    axis.set_ylabel(f"{unit} a day")
    axis.set_ylim(0, max((house + garden).max(), pumped.max(), 1) * 1.08)
    most = int(np.argmax((house + garden).to_numpy()))
    alt = (
        f"Water by month: people and animals take {_range(house)} {unit} a day, the garden up to "
        f"{measures.digits(float(garden.max()))}; most is used in {MONTHS[most]}, and the well "
        f"gives {_range(pumped)} {unit} a day."
    )
    return Picture(figure, "Water on a mean day of each month", alt, table)


@_styled
def heat_by_month(outlook, units="us"):
    """Heat that the heaters give, and temperatures inside and outside."""
    figure, (above, below) = _canvas(2, tall=True, ratios=(3, 2))
    table = tables.heat_by_month(outlook, units)
    heat = table["Heaters give (kWh/day)"]
    gains = table["Sun, people, appliances (kWh/day)"]
    inside, outside = (table[head(one, "temperature", units)] for one in ("Inside", "Outside"))
    handles = [
        above.bar(X_MONTHS - 0.19, heat, 0.38, color=COLOUR["warmth"], hatch=HATCH["warmth"],
                  edgecolor=INK, label="heaters"),
        above.bar(X_MONTHS + 0.19, gains, 0.38, color=COLOUR["power"], edgecolor=INK,
                  label="sun, people, appliances"),
    ]  # fmt: skip
    above.set_ylabel("kWh a day")
    handles += [
        below.plot(X_MONTHS, inside, "-s", color=INK, markersize=6, label="inside")[0],
        below.plot(X_MONTHS, outside, "--o", color=COLOUR["water"], markersize=6,
                   label="outside")[0],
    ]  # fmt: skip
    _key(figure, handles)
    unit = measures.shown_unit("temperature", units)
    below.set_ylabel(unit)
    _months(below)
    most = int(np.argmax(heat.to_numpy()))
    alt = (
        f"Heat by month: the heaters give {_range(heat)} kWh a day, most in {MONTHS[most]}; inside "
        f"it is {_range(inside)} {unit} on average, outside {_range(outside)} {unit}."
    )
    return Picture(figure, "Warmth on a mean day of each month", alt, table)


@_styled
def cold_snap(outlook, units="us"):
    """Coldest week of all weather years, hour by hour, with deliveries."""
    week = series.coldest_week(outlook)
    figure, (above, below) = _canvas(2, tall=True, ratios=(3, 2))
    inside, outside = (
        np.asarray(measures.convert(week.hourly[name].to_numpy(), "temperature", units))
        for name in ("inside_c", "outside_c")
    )
    limit_c = outlook.plan.failure.cold_below_c
    day = np.arange(len(week.hourly)) / 24.0
    unit = measures.shown_unit("temperature", units)
    handles = [
        above.plot(day, inside, "-", color=COLOUR["warmth"], label="inside")[0],
        above.plot(day, outside, "--", color=COLOUR["water"], label="outside")[0],
        above.axhline(measures.convert(limit_c, "temperature", units), color=INK, linestyle=":",
                      label="too cold inside"),
    ]  # fmt: skip
    above.set_ylabel(unit)
    heat_kw = week.hourly["heat_w"].to_numpy() / WATTS_PER_KW
    handles.append(
        below.fill_between(day, heat_kw, step="post", color=COLOUR["warmth"], alpha=0.6,
                           label="heaters")
    )  # fmt: skip
    below.set_ylabel("kW of heat")
    below.set_ylim(0)
    below.set_xlabel(f"days from {week.begins}")
    below.set_xticks(range(8))
    _key(figure, handles)
    by_day = {"out": outside.reshape(7, 24), "in": inside.reshape(7, 24)}
    table = pd.DataFrame(
        {
            "Day": range(1, 8),
            head("Outside, lowest", "temperature", units): rounded(by_day["out"].min(axis=1), 0),
            head("Outside, highest", "temperature", units): rounded(by_day["out"].max(axis=1), 0),
            head("Inside, lowest", "temperature", units): rounded(by_day["in"].min(axis=1), 0),
            "Heat (kWh/day)": rounded(heat_kw.reshape(7, 24).sum(axis=1), 0),
        }
    ).set_index("Day")
    alt = (
        f"The coldest week, from {week.begins}, with fuel at hand: outside between "
        f"{outside.min():.0f} and {outside.max():.0f} {unit}, inside never below "
        f"{inside.min():.0f} {unit}; the heaters give up to {measures.digits(heat_kw.max(), 2)} kW."
    )
    return Picture(figure, "The coldest week, hour by hour", alt, table)


LINES = ("-", "--", ":", "-.")


@_styled
def worst_start(outlook):
    """Stores in the worst of all starts, from isolation until after the first failure."""
    falling = series.worst_start_stores(outlook)
    figure, axis = _canvas(tall=True)
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
    _key(figure, handles, line=2.6)
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


@_styled
def food_through_year(outlook):
    """Food that the land gives by month, beside what the household needs."""
    figure, axis = _canvas()
    table = tables.food_by_month(outlook)
    garden, beasts = table["Garden and orchard (kcal/day)"], table["Animals (kcal/day)"]
    need = table["Household needs (kcal/day)"]
    handles = [
        axis.bar(X_MONTHS, garden, 0.7, color=COLOUR["food"], hatch=HATCH["food"], edgecolor=INK,
                 label="garden and orchard"),
        axis.bar(X_MONTHS, beasts, 0.7, bottom=garden, color=COLOUR["power"], edgecolor=INK,
                 label="animals"),
        axis.plot(X_MONTHS, need, "-", color=INK, linewidth=2.4, label="the family needs")[0],
    ]  # fmt: skip
    _key(figure, handles)
    _months(axis)
    axis.set_ylim(0, max(float(need.max()), float((garden + beasts).max())) * 1.08)
    axis.set_ylabel("1,000 kcal a day")
    axis.yaxis.set_major_formatter(lambda value, _: measures.digits(value / 1000))
    share = table["Share from the land (%)"]
    best = int(np.argmax(share.to_numpy()))
    alt = (
        f"Food from the land by month covers {int(share.min())} to {int(share.max())} % of the "
        f"family's {measures.digits(float(need.iloc[0]))} kcal a day, most in {MONTHS[best]}; "
        "stores must cover the rest."
    )
    return Picture(figure, "Food from the land through the year", alt, table)


@_styled
def stores_now(outlook):
    """Days that each store would last alone at the year's mean use."""
    figure, axis = _canvas()
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


PICTURES = (
    days_by_month,
    needs_overview,
    energy_by_month,
    average_day,
    water_by_month,
    heat_by_month,
    cold_snap,
    worst_start,
    food_through_year,
    stores_now,
)
