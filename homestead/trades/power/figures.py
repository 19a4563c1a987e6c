"""Figures of electricity: by month, average days, the worst fortnight, a start, yield and rule."""

import numpy as np
import pandas as pd
from matplotlib.figure import Figure

from homestead import units as measures
from homestead.outlook.independence import day_text
from homestead.questions import run_together
from homestead.screen import tables
from homestead.screen.picture import (
    COLOR,
    FAINT,
    INK,
    PAPER,
    TALL_IN,
    WIDTH_IN,
    X_MONTHS,
    Picture,
    canvas,
    drawn_words,
    key,
    month_axis,
    nothing,
    span,
    styled,
)
from homestead.screen.readable import WATTS_PER_KW, date_text, rounded
from homestead.simulate.inputs import DAYS_N
from homestead.trades.power import limit_tables
from homestead.trades.power import study_starting as start_study
from homestead.trades.power import study_sun as sun_study
from homestead.trades.power import tables as energy_tables
from homestead.trades.power.study_sources import offering
from homestead.vocabulary import FULL_MONTHS, MONTHS

NO_SUN = "You have no solar array, so the yield is 0 kWh."
# Causes between the plain rule and the hourly model, short enough to stand beside a drawing.
SHORT_CAUSES = {
    "plain rule": "rule of thumb",
    "the rule's share given back": "flat loss back",
    "orientation": "direction",
    "horizon": "shade",
    "temperature": "warm cells",
    "reflection and dim light": "slanting, dim light",
    "named losses": "dirt, wires, wear",
    "converter efficiency": "converter",
    "converter limit": "its limit",
    "hourly model": "hour by hour",
}
PALE_SUN = "#f6e9c4"
# Told apart by tone and pattern: comfort plain and pale, useful dark and striped.
SHED = {
    "comfort": {"facecolor": "#e6e0d2", "hatch": ""},
    "useful": {"facecolor": "#4a4438", "hatch": "/////"},
    "essential": {"facecolor": COLOR["warmth"], "hatch": "xxxx"},
}


@styled
def energy_by_month(outlook):
    """Sun available against what the house uses, month by month."""
    figure, axis = canvas()
    table = tables.energy_by_month(outlook)
    what, gives = offering(outlook.plan)
    sun = table.filter(like=" available (").sum(axis=1)
    used = table["Used in the house (kWh/day)"]
    engine = table["Generator (kWh/day)"]
    short = sum(table[f"{kind} short (kWh/day)"] for kind in ("Essential", "Useful", "Comfort"))
    handles = [
        axis.bar(X_MONTHS, used, 0.7, color=COLOR["power"], edgecolor=INK, label="used"),
        axis.bar(X_MONTHS, short, 0.7, bottom=used, color=PAPER, edgecolor=INK, linestyle=":",
                 label="needed, missing"),
    ]  # fmt: skip
    axis.plot(X_MONTHS, sun, "-^", color=INK, markersize=7)
    if engine.max() > 0:
        handles.append(
            axis.bar(X_MONTHS, engine, 0.28, color=COLOR["warmth"], edgecolor=INK,
                     label="of it by generator")
        )  # fmt: skip
    key(figure, handles)
    month_axis(axis)
    axis.set_ylabel("kWh a day")
    high = int(np.argmax(sun))
    end = ("left", "center", "right")[(high > 3) + (high > 7)]
    axis.annotate(f"{_bare(what)} available", (high, sun.iloc[high]), xytext=(0, 8), ha=end,
                  textcoords="offset points", va="bottom")  # fmt: skip
    axis.set_ylim(0, 1.18 * max(float((used + short).max()), float(sun.max()), 0.1))
    low = int(np.argmin(sun))
    alt = (
        f"Electricity by month, average of all weather years: {what} {gives} {span(sun)} kWh a "
        f"day, "
        f"least in {MONTHS[low]}; the house uses {span(used)}; at most "
        f"{measures.digits(float(short.max()), 2)} kWh a day is needed but missing."
    )
    title = (
        f"{what[0].upper()}{what[1:]} {gives} least in {FULL_MONTHS[low]}: "
        f"{measures.digits(float(sun.iloc[low]), 2)} kWh a day, when you use "
        f"{measures.digits(float(used.iloc[low]), 2)}"
    )
    return Picture(figure, title, alt, table)


def _bare(what):
    return what.removeprefix("the ")


def _kw(series):
    return np.asarray(series, dtype=float) / WATTS_PER_KW


def _typical_months(means):
    """Months with the least, a middling and the most sun, from 1."""
    order = means["pv_w"].groupby(level="month").mean().sort_values(kind="stable").index
    return (int(order[0]), int(order[6]), int(order[-1]))


@styled
def average_days(outlook, months=None):
    """Average days of some months side by side: sun, what of it isn't used, use, charge.

    months (sequence of int, optional) : From 1; those with the least, a middling and the most sun
        if not given.

    Raises ValueError if a month is not 1 to 12.
    """
    means, (what, gives) = sun_study.mean_day_by_month(outlook), offering(outlook.plan)
    months = tuple(
        int(measures.checked("months", month, 1, 12)) for month in months or _typical_months(means)
    )
    stored = bool(means["charge_frac"].notna().all())
    figure = Figure(figsize=(WIDTH_IN, TALL_IN), layout="constrained")
    axes = figure.subplots(
        1 + stored, len(months), sharex=True, sharey="row", squeeze=False,
        height_ratios=(3, 2)[: 1 + stored],
    )  # fmt: skip
    hour, columns, said = np.arange(24), {}, []
    for place, month in enumerate(months):
        own, name = means.loc[month], MONTHS[month - 1]
        sun, lost, used = (_kw(own[key]) for key in ("pv_w", "curtailed_w", "used_w"))
        handles = _day(axes[0, place], hour, sun, lost, used, _bare(what))
        axes[0, place].set_title(name)
        columns |= {
            f"{name}: {_bare(what)} (kW)": rounded(sun, 2),
            f"{name}: not used (kW)": rounded(lost, 2),
            f"{name}: house (kW)": rounded(used, 2),
        }
        words = f"in {name} {what} {gives} {measures.digits(sun.sum())} kWh"
        words += f", of which {measures.digits(lost.sum(), 2)} isn't used" if lost.sum() else ""
        words += f", and the house uses {measures.digits(used.sum())}"
        if stored:
            charge = own["charge_frac"].to_numpy() * 100
            below = axes[1, place]
            below.plot(hour, charge, "-", color=COLOR["power"])
            below.plot(hour[::6], charge[::6], "^", color=COLOR["power"], markeredgecolor=INK)
            columns[f"{name}: charge (%)"] = rounded(charge, 0)
            words += f", the charge goes from {charge.min():.0f} to {charge.max():.0f} %"
        said.append(words)
    for axis in axes.flat:
        axis.set_axisbelow(True)
        axis.grid(axis="y")
        axis.set_xticks((0, 12), ("0", "12"))
        axis.set_xlim(0, 24)
    axes[0, 0].set_ylabel("kW")
    axes[0, 0].set_ylim(0)
    if stored:
        axes[1, 0].set_ylabel("charge, %")
        axes[1, 0].set_ylim(0, 104)
    axes[-1, len(months) // 2].set_xlabel("hour of the day")
    key(figure, handles, 3)
    table = pd.DataFrame({"Hour": hour, **columns}).set_index("Hour").iloc[::3]
    alt = "Average days: " + "; ".join(said) + "."
    return Picture(
        figure, f"Average days with little, medium and plenty of {_bare(what)}", alt, table
    )


def _day(axis, hour, sun, lost, used, what):
    kept = sun - lost
    return [
        axis.fill_between(hour, kept, color=COLOR["power"], alpha=0.55, label=what),
        axis.fill_between(
            hour, kept, sun, facecolor=PALE_SUN, edgecolor=COLOR["power"], label="not used"
        ),
        axis.plot(hour, used, "-", color=INK, label="house")[0],
    ]  # fmt: skip


@styled
def worst_fortnight(outlook):
    """The fourteen days with the least sun, drawn hour by hour: sun, use, what was shed, charge."""
    found, (what, gives) = sun_study.worst_fortnight_hours(outlook), offering(outlook.plan)
    begins = date_text(day_text(sun_study.worst_fortnight(outlook.hours).first_day % DAYS_N))
    stored = bool(found["charge_frac"].notna().all())
    figure, axes = canvas(2 + stored, tall=True, ratios=(5, 3, 4)[: 2 + stored])
    figure.set_size_inches(WIDTH_IN, TALL_IN * 1.2)  # three panels want more room than two
    day = np.arange(len(found)) / 24.0
    sun, used, engine = (_kw(found[name]) for name in ("pv_w", "used_w", "generator_w"))
    handles = [
        axes[0].fill_between(day, sun, color=COLOR["power"], alpha=0.6, label=_bare(what)),
        axes[0].plot(day, used, "-", color=INK, linewidth=1.3, label="house")[0],
    ]
    if engine.max() > 0:
        handles.append(
            axes[0].plot(day, engine, "--", color=COLOR["warmth"], linewidth=1.5,
                         label="generator")[0]
        )  # fmt: skip
    base = np.zeros(len(found))
    for name, look in SHED.items():
        short = _kw(found[f"{name}_short_w"])
        if short.max() > 0:
            handles.append(
                axes[1].fill_between(
                    day, base, base + short, step="post", edgecolor=INK, linewidth=0.4, **look,
                    label=f"{name} off" if name != "essential" else "essential short",
                )
            )  # fmt: skip
        base = base + short
    axes[0].set_ylabel("kW")
    axes[0].set_ylim(0)
    if not base.any():
        axes[1].text(0.5, 0.5, "nothing", transform=axes[1].transAxes, ha="center", va="center")
    axes[1].set_ylabel("off, kW")
    axes[1].set_ylim(0, max(base.max() * 1.1, 0.5))
    if stored:
        charge = found["charge_frac"].to_numpy() * 100
        axes[2].plot(day, charge, "-", color=COLOR["power"])
        axes[2].set_ylim(0, 104)
        axes[2].set_ylabel("charge, %")
    axes[-1].set_xlabel(f"days from {begins}")
    axes[-1].set_xticks(range(0, 15, 2))
    axes[-1].set_xlim(0, 14)
    key(figure, handles, 3)
    table = energy_tables.worst_fortnight(outlook)
    daily = found[["pv_w", "used_w", "shed_w", "essential_short_w"]].sum() / WATTS_PER_KW / 14
    runs = f"; the generator gives {measures.digits(engine.sum())} kWh" if engine.max() > 0 else ""
    level = (
        f"; the usable charge stays between {charge.min():.0f} and {charge.max():.0f} %"
        if stored
        else ""
    )
    essential = (
        f", and {measures.digits(daily['essential_short_w'], 2)} of what is essential "
        f"goes without power"
        if daily["essential_short_w"] > 0
        else ", and nothing essential goes without power"
    )
    years, possible = drawn_words(outlook.hours)
    shed = measures.digits(daily["shed_w"], 2) + " kWh a day" if daily["shed_w"] else "nothing"
    alt = (
        f"The worst two weeks {years}, from {begins}, with deliveries: {what} {gives} "
        f"{measures.digits(daily['pv_w'])} kWh on an average day and the house uses "
        f"{measures.digits(daily['used_w'])}{runs}{level}; "
        f"{shed} is switched off{essential}{possible}."
    )
    title = (
        f"In the worst two weeks, {what} {gives} {measures.digits(daily['pv_w'])} kWh a day and "
        f"you use {measures.digits(daily['used_w'])}"
    )
    return Picture(figure, title, alt, table)


@styled
def starting_current(outlook):
    """The hardest start without a soft starter and with one, beside the surge limit."""
    plan = outlook.plan
    start, title = start_study.hardest(plan), "The hardest start"
    table = limit_tables.hardest_start(plan)
    if start.name is None or plan.grid_former is None:
        return nothing(title, "You have no motor that starts on a main inverter: 0 kVA.", table)
    shown = start_study.starting_picture(plan)
    second = shown.index.to_numpy()
    figure, axis = canvas()
    handles = [
        axis.plot(second, _kw(shown["across_line_va"]), "-", color=COLOR["warmth"],
                  label="without soft starter")[0],
        axis.plot(second, _kw(shown["soft_va"]), "--", color=COLOR["water"],
                  label="with soft starter")[0],
        axis.step(second, _kw(shown["surge_w"]), ":", color=INK, where="post", linewidth=2.4,
                  label="main inverter gives")[0],
    ]  # fmt: skip
    key(figure, handles)
    axis.set_ylim(0, max(shown.max()) / WATTS_PER_KW * 1.08)
    axis.set_xlim(second[0], second[-1])
    axis.set_ylabel("kVA, kW")
    axis.set_xlabel("seconds after the motor starts\n(the drop is only a sketch)")
    total, soft, limit, base = (
        measures.digits(watts / WATTS_PER_KW)
        for watts in (start.total_va, start.soft_total_va, start.surge_w, start.base_w)
    )
    alt = (
        f"The hardest start, {start.name}, while {base} kW of other loads run: "
        f"{total} kVA together without a soft starter and {soft} with one, against a surge of "
        f"{limit} kW for {measures.digits(plan.grid_former.surge_s)} s, so "
        f"{'within' if start.is_within else 'outside'} the surge without a soft starter and "
        f"{'within' if start.soft_total_va <= start.surge_w else 'outside'} it with one."
    )
    title = (
        f"Starting the {start.name.removeprefix('the ')} with other loads on takes {total} kVA; "
        f"the main inverter gives {limit} kW"
    )
    return Picture(figure, title, alt, table)


# Night dark, day light; one unit down hollow. Told apart by shape and fill, not by color alone.
MOTORS_N = 6  # the tightest; all of them are in the numbers
SET_MARKS = (("o", COLOR["water"]), ("^", COLOR["power"]), ("s", COLOR["warmth"]), ("D", INK))


@styled
def may_run(outlook):
    """Surge left after the start of each motor while all else is on, in each situation."""
    asked = run_together.at_its_busiest(outlook.hours)
    title = "What may run and start together"
    rows = asked.table
    motors = rows[rows["start_left_all_on_va"].notna()]
    table = pd.DataFrame(
        {
            "Situation": motors["situation"].to_numpy(),
            "Motor": motors["load"].to_numpy(),
            "Soft starter": np.where(motors["soft_starters"], "yes", "no"),
            "Surge left (kVA)": rounded(motors["start_left_all_on_va"] / WATTS_PER_KW, 1),
        }
    )
    if motors.empty:
        return nothing(title, "You have no motor that starts on a main inverter.", table)
    plain = motors[~motors["soft_starters"]]
    names = list(dict.fromkeys(plain.sort_values("start_left_all_on_va")["load"]))
    names = names[:MOTORS_N][::-1]
    figure, axis = canvas(tall=True)
    handles = []
    for number, case in enumerate(asked.sets):
        marker, color = SET_MARKS[number % len(SET_MARKS)]
        above = 0.14 * (number - (len(asked.sets) - 1) / 2)
        for steps, fill in ((case.soft, PAPER), (case.plain, color)):
            there = {step.load.name: step for step in steps if step.load.name in names}
            handle = axis.plot(
                [step.all_on_va / WATTS_PER_KW for step in there.values()],
                [names.index(name) - above for name in there],
                linestyle="", marker=marker, markersize=9, markerfacecolor=fill,
                markeredgecolor=color,
            )[0]  # fmt: skip
        handle.set_label(case.situation.name.replace("one main inverter", "one"))
        handles.append(handle)
    hollow = axis.plot([], [], "o", markerfacecolor=PAPER, markeredgecolor=INK, markersize=9)[0]
    hollow.set_label("soft starter")
    key(figure, [*handles, hollow], 2, line=1.0)
    axis.set_ylim(-0.6, len(names) - 0.4)
    axis.axvline(0.0, color=INK, linewidth=1.4)
    axis.set_yticks(range(len(names)), [drawn_name(name) for name in names])
    axis.set_xlabel("surge left, all else on (kVA);\nleft of 0 it doesn't start")
    short = plain[plain["start_left_all_on_va"] < 0.0]
    if short.empty:
        found = "Every motor can start while all else is on"
    else:
        kinds = list(dict.fromkeys(short["load"]))
        most = kinds[0] if len(kinds) == 1 else f"{len(kinds)} motors"
        found = f"{most} can't start while all else is on, {short['situation'].iloc[0]}"
    parts = [
        f"{case.situation.name}: {case.tightest.load.name} is tightest with "
        f"{case.tightest.all_on_va / WATTS_PER_KW:.1f} kVA left"
        for case in asked.sets
        if case.tightest
    ]
    alt = f"{found}, in {MONTHS[asked.month - 1]}: {'; '.join(parts)}."
    return Picture(figure, found[0].upper() + found[1:], alt, table)


def drawn_name(name):
    """Name short enough to stand beside a drawing."""
    return name if len(name) <= 16 else name[:15] + "…"


@styled
def yield_by_month(outlook):
    """What all arrays yield on an average day of each month, hour by hour and by the plain rule."""
    title = "What your panels give, and what the rule of thumb says"
    table = energy_tables.yield_by_month(outlook.plan)
    if not outlook.plan.arrays:
        return nothing(title, NO_SUN, table)
    made, ruled = table["Hour by hour (kWh/day)"], table["Rule of thumb (kWh/day)"]
    figure, axis = canvas()
    handles = [
        axis.bar(X_MONTHS, made, 0.7, color=COLOR["power"], edgecolor=INK, label="hour by hour"),
        axis.plot(X_MONTHS, ruled, "--D", color=COLOR["water"], markersize=7,
                  markeredgecolor=INK, label="rule of thumb")[0],
    ]  # fmt: skip
    key(figure, handles)
    month_axis(axis)
    axis.set_ylabel("kWh a day")
    axis.set_ylim(0, max(made.max(), ruled.max()) * 1.06)
    low = int(np.argmin(made))
    alt = (
        f"Yield of all arrays by month, by the weather file itself: {span(made)} kWh on an average "
        f"day, hour by hour, least in {MONTHS[low]}, against {span(ruled)} by the rule of thumb."
    )
    title = (
        f"In {FULL_MONTHS[low]} your panels give {measures.digits(made.iloc[low])} kWh a day; "
        f"the rule of thumb says {measures.digits(ruled.iloc[low])}"
    )
    return Picture(figure, title, alt, table)


@styled
def rule_causes(outlook):
    """From the plain rule to the hourly yield of a year, cause by cause."""
    title = "What the rule of thumb leaves out"
    table = energy_tables.rule_causes(outlook.plan)
    if not outlook.plan.arrays:
        return nothing(title, NO_SUN, table)
    steps = sun_study.rule_table(outlook.plan).sum(axis=1)
    shown = steps[steps.abs() >= 0.5]
    figure, axis = canvas(tall=True)
    axis.grid(visible=False)
    axis.grid(axis="x")
    level, names = 0.0, list(shown.index)
    for place, name in enumerate(names):
        before = 0.0 if name in ("plain rule", "hourly model") else level
        level = shown[name] if before == 0.0 else level + shown[name]
        grows = level >= before
        if name in ("plain rule", "hourly model"):
            axis.plot(level, place, "D", color=INK, markersize=9)
        else:
            color = COLOR["food"] if grows else COLOR["warmth"]
            axis.plot([before, level], [place, place], color=color, linewidth=7,
                      solid_capstyle="butt")  # fmt: skip
            axis.plot(level, place, ">" if grows else "<", color=color, markersize=11,
                      markeredgecolor=INK)  # fmt: skip
        axis.axvline(level, color=FAINT, linewidth=0.6, linestyle=":")
    axis.set_yticks(range(len(names)), [SHORT_CAUSES[name] for name in names])
    axis.set_ylim(len(names) - 0.4, -0.6)
    axis.margins(x=0.08)
    axis.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
    axis.locator_params(axis="x", nbins=4)
    axis.set_xlabel("kWh a year, all arrays")
    parts = ", ".join(
        f"{SHORT_CAUSES[name]} {value:+,.0f}"
        for name, value in shown.items()
        if name not in ("plain rule", "hourly model")
    )
    alt = (
        f"From the rule of thumb, {steps['plain rule']:,.0f} kWh a year, to "
        f"{steps['hourly model']:,.0f} kWh hour by hour: {parts}."
    )
    return Picture(figure, title, alt, table)
