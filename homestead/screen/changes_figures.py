"""Figures of ideas for the homestead, of guesses and sizes, and the calendar of starts."""

import textwrap

import matplotlib
import numpy as np
import pandas as pd

from homestead.screen import next_tables
from homestead.screen.picture import (
    COLOR,
    FAINT,
    INK,
    MARKER,
    PAPER,
    Picture,
    canvas,
    key,
    nothing,
    styled,
)
from homestead.screen.readable import count_text, days_words
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.vocabulary import FULL_MONTHS, MONTHS

LABEL_LINE, LABEL_LINES = 20, 2
ROOM_IN, TWO_LINES_IN = 2.0, 0.52  # height of key and axis, and of a label on two lines


def _wrapped(text):
    """Label on two lines at most; only what is longer still is cut, as a whole word."""
    return "\n".join(textwrap.wrap(text, LABEL_LINE, max_lines=LABEL_LINES, placeholder=" …"))


@styled
def days_gained(steps):
    """Days to plan on with each idea, and with the best set."""
    title = "What each idea adds"
    best = [steps.best] if len(steps.best.names) > 1 else []
    effects = [*steps.single, *best]
    table = pd.DataFrame(
        {
            "Plan on (days)": [effect.days["p10"] for effect in effects],
            "Then usually goes first": [effect.first_to_fail for effect in effects],
        },
        index=pd.Index([" and ".join(effect.names) for effect in effects], name="Idea"),
    )
    if not steps.single:
        return nothing(title, "The plan lists no ideas yet.", table)
    figure, axis = canvas(tall=len(effects) > 4)
    axis.grid(visible=False)
    axis.grid(axis="x")
    base = steps.today.days["p10"]
    names = [_wrapped(" + ".join(effect.names)) for effect in steps.single]
    names += [f"best together:\n{len(effect.names)} ideas" for effect in best]
    for at, effect in enumerate(reversed(effects)):
        need = effect.first_to_fail
        axis.plot([base, effect.days["p10"]], [at, at], color=COLOR[need], linewidth=9,
                  solid_capstyle="butt")  # fmt: skip
        axis.plot(effect.days["p10"], at, MARKER[need], color=COLOR[need], markersize=10,
                  markeredgecolor=INK, label=f"then {need} goes first")  # fmt: skip
    axis.axvline(base, color=INK, linewidth=1.2, linestyle="--")
    axis.set_yticks(range(len(effects)), list(reversed(names)))
    axis.set_ylim(-0.7, len(effects) - 0.3)
    axis.set_xlim(0, max(max(effect.days["p10"] for effect in effects) * 1.1, base + 5))
    axis.set_xlabel("days to plan on\n(dashed: today)")
    handles = {line.get_label(): line for line in axis.get_lines() if line.get_label()[0] != "_"}
    key(figure, list(handles.values()), 1)
    top = max(effects, key=lambda effect: effect.days["p10"])
    alt = (
        f"Days to plan on with each idea, against {base} today: "
        + ", ".join(f"{' and '.join(effect.names)} {effect.days['p10']}" for effect in effects)
        + f"; most by {' and '.join(top.names)}."
    )
    alone = max(steps.single, key=lambda effect: effect.days["p10"])
    gained, title = alone.days["p10"] - base, "None of these ideas adds a day by itself"
    if gained > 0:
        title = f"By itself, “{alone.names[0]}” adds the most: {count_text(gained, 'day')}"
    return Picture(figure, title, alt, table)


@styled
def tornado(sure):
    """Days at the low and the high end of each guess, in the order of the table."""
    title = "What each guess does to your days"
    table = next_tables.guesses(sure)
    guesses = sure.guesses[:8][::-1]
    if not guesses:
        return nothing(title, "Your plan has no ranges yet, so there's nothing to compare.", table)
    figure, axis = canvas(tall=True)
    figure.set_figheight(ROOM_IN + len(guesses) * TWO_LINES_IN)
    axis.grid(visible=False)
    axis.grid(axis="x")
    for at, guess in enumerate(guesses):
        axis.plot([guess.low_days, guess.high_days], [at, at], color=FAINT, linewidth=7,
                  solid_capstyle="butt")  # fmt: skip
        axis.plot(guess.low_days, at, "<", color=PAPER, markeredgecolor=INK, markersize=9)
        axis.plot(guess.high_days, at, ">", color=INK, markersize=9)
    axis.axvline(sure.days, color=INK, linewidth=1.2, linestyle="--")
    axis.set_yticks(range(len(guesses)), [_wrapped(guess.label) for guess in guesses])
    axis.set_ylim(-0.7, len(guesses) - 0.3)
    axis.set_xlabel("days to plan on\n(dashed: today)")
    marks = [
        matplotlib.lines.Line2D([], [], marker="<", color=PAPER, markeredgecolor=INK, ls=""),
        matplotlib.lines.Line2D([], [], marker=">", color=INK, ls=""),
    ]
    for mark, label in zip(marks, ("guess at its low end", "guess at its high end"), strict=True):
        mark.set_label(label)
    key(figure, marks, 1)
    most = max(guesses, key=lambda guess: guess.swing_days)
    alt = (
        f"Days to plan on at both ends of each guess, {sure.days} today: "
        f"{most.label} moves them most, from {most.low_days} to {most.high_days} days; "
        f"with all guesses together, {sure.band_days[0]} to {sure.band_days[2]}, 8 times in 10."
    )
    title = f"{most.label[0].upper()}{most.label[1:]} moves your days most"
    return Picture(figure, title, alt, table)


@styled
def days_for_money(found):
    """Days against money: the cheapest mix for each, with the one wanted and its runner-up.

    found (Buying)
    """
    table = next_tables.mixes_by_money(found)
    title = next_tables.mix_words(found).partition(". ")[0].partition(":")[0]
    if len(found.curve) < 2:
        return nothing(title, next_tables.mix_words(found), table)
    figure, axis = canvas()
    money = [mix.cost_money for mix in found.curve]
    days = [mix.reached_days for mix in found.curve]
    axis.step(money, days, where="post", color=COLOR["water"], linewidth=2)
    axis.plot(money, days, "o", color=COLOR["water"], markeredgecolor=INK, markersize=6)
    axis.axhline(found.days, color=INK, linewidth=1.2, linestyle="--")
    marked = [(found.best, "D", "cheapest mix"), (found.runner_up, "s", "runner-up")]
    marks = []
    for mix, marker, label in marked:
        if mix is not None and mix.items:
            marks += axis.plot(mix.cost_money, mix.reached_days, marker, color=PAPER,
                               markeredgecolor=INK, markersize=11, zorder=4, ls="",
                               label=label)  # fmt: skip
    if marks:
        key(figure, marks)
    axis.set_ylim(0, max(*days, found.days) * 1.12)
    axis.set_xlim(left=0)
    axis.set_xlabel(f"money spent ({found.currency})\n(dashed: days wanted)")
    axis.set_ylabel("days to plan on")
    alt = (
        f"Days to plan on against money, from {days[0]} days for nothing to "
        f"{days_words(days[-1], next_tables.HORIZON_DAYS)} for {money[-1]:,.0f}. "
        f"{next_tables.mix_words(found)}"
    )
    return Picture(figure, title, alt, table)


@styled
def calendar(outlook):
    """Days of the homestead for every start date: a row a month, a field a day."""
    p10 = np.percentile(outlook.together, 10, axis=0, method="lower")
    field = np.full((12, 31), np.nan)
    for month in range(1, 13):
        days = np.flatnonzero(month == MONTH_OF_DAY)
        field[month - 1, : len(days)] = p10[days]
    table = pd.DataFrame(
        {
            "Weakest date, plan on (days)": np.nanmin(field, axis=1).astype(int),
            "Strongest date, plan on (days)": np.nanmax(field, axis=1).astype(int),
        },
        index=pd.Index(MONTHS, name="If it starts in"),
    )
    figure, axis = canvas()
    axis.grid(visible=False)
    tones = matplotlib.colors.LinearSegmentedColormap.from_list(
        "days",
        # Lighter all the way, for gray; no color that a dark page would change.
        ["#b5421f", COLOR["power"], "#f6efdd"],
    )
    drawn = axis.pcolormesh(
        np.arange(1, 33) - 0.5, np.arange(13) - 0.5, field, cmap=tones, edgecolors=PAPER, lw=0.4
    )
    axis.set_yticks(range(12), MONTHS)
    axis.invert_yaxis()
    axis.set_xticks([1, 5, 10, 15, 20, 25, 30])
    axis.set_xlabel("if it starts on this day of the month")
    figure.colorbar(drawn, ax=axis, label="days to plan on", pad=0.02)
    day = int(np.argmin(p10))
    month = MONTHS[MONTH_OF_DAY[day] - 1]
    alt = (
        "Days to plan on for each day of the year it could start: "
        f"{count_text(int(p10.min()), 'day')} to "
        f"{days_words(int(p10.max()), outlook.horizon_days)}; {month} is the "
        f"weakest. A single year can be shorter."
    )
    of_month = int(np.sum(MONTH_OF_DAY[: day + 1] == MONTH_OF_DAY[day]))
    weakest = f"{FULL_MONTHS[MONTH_OF_DAY[day] - 1]} {of_month}"
    title = f"The worst date is {weakest}: plan on {count_text(int(p10.min()), 'day')}"
    return Picture(figure, title, alt, table)
