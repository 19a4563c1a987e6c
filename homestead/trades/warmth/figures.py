"""Figures of warmth: need by month, the coldest week, fuel through the year, cooling down."""

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.screen import series, tables
from homestead.screen.picture import (
    COLOR,
    HATCH,
    INK,
    PAPER,
    WIDTH_IN,
    X_MONTHS,
    Picture,
    canvas,
    drawn_words,
    key,
    label_ends,
    month_axis,
    nothing,
    span,
    styled,
)
from homestead.screen.readable import WATTS_PER_KW, date_text, head, rounded
from homestead.trades.warmth import tables as warmth_tables
from homestead.vocabulary import FULL_MONTHS, MONTHS

# Fuels in the order in which a plan names its stores, told apart in gray too.
FILLS = (
    {"color": COLOR["warmth"], "hatch": HATCH["warmth"]},
    {"color": COLOR["power"], "hatch": ""},
    {"color": COLOR["food"], "hatch": HATCH["food"]},
    {"color": COLOR["water"], "hatch": HATCH["water"]},
)
SHOWN_H = (0, 6, 12, 18, 24, 36, 48, 72, 96, 120, 144, 168)
SHORTEST_CURVE_H, AFTER_LAST_H = 48, 12
PANEL_IN, REST_IN = 1.55, 0.95
MOST_PANELS = 4


@styled
def heat_by_month(outlook, units=None):
    """Heat that the heaters give, and temperatures inside and outside."""
    units = units or outlook.plan.units
    figure, (above, below) = canvas(2, tall=True, ratios=(3, 2))
    table = tables.heat_by_month(outlook, units)
    heat = table["Heaters give (kWh/day)"]
    gains = table["Sun, people, appliances (kWh/day)"]
    inside, outside = (table[head(label, "temperature", units)] for label in ("Inside", "Outside"))
    handles = [
        above.bar(X_MONTHS - 0.19, heat, 0.38, color=COLOR["warmth"], hatch=HATCH["warmth"],
                  edgecolor=INK, label="heaters"),
        above.bar(X_MONTHS + 0.19, gains, 0.38, color=COLOR["power"], edgecolor=INK,
                  label="sun, people, appliances"),
    ]  # fmt: skip
    above.set_ylabel("kWh a day")
    handles += [
        below.plot(X_MONTHS, inside, "-s", color=INK, markersize=6)[0],
        below.plot(X_MONTHS, outside, "--o", color=COLOR["water"], markersize=6)[0],
    ]  # fmt: skip
    for values, word, up in ((inside, "inside", 1), (outside, "outside", -1)):
        below.annotate(word, (0, values.iloc[0]), xytext=(-4, 6 * up), ha="left",
                       va="bottom" if up > 0 else "top", textcoords="offset points")  # fmt: skip
    reach = max(float(inside.max() - outside.min()), 1.0)
    below.set_ylim(outside.min() - 0.35 * reach, inside.max() + 0.35 * reach)
    key(figure, handles[:2])
    unit = measures.shown_unit("temperature", units)
    below.set_ylabel(unit)
    month_axis(below)
    most = int(np.argmax(heat.to_numpy()))
    alt = (
        f"Heat by month: the heaters give {span(heat)} kWh a day, most in {MONTHS[most]}; inside "
        f"it is {span(inside)} {unit} on average, outside {span(outside)} {unit}."
    )
    title = f"The heaters work hardest in {FULL_MONTHS[most]}: {heat.iloc[most]} kWh a day"
    return Picture(figure, title, alt, table)


@styled
def need_two_ways(outlook, units=None):
    """Heat of each month hour by hour, beside the textbook's degree-days."""
    units = units or outlook.plan.units
    table = warmth_tables.need_two_ways(outlook, units)
    shown = table.iloc[:-1]
    hourly, textbook = shown["Hour by hour (kWh)"], shown["By degree-days (kWh)"]
    figure, axis = canvas()
    handles = [
        axis.bar(X_MONTHS - 0.19, hourly, 0.38, color=COLOR["warmth"], hatch=HATCH["warmth"],
                 edgecolor=INK, label="hour by hour"),
        axis.bar(X_MONTHS + 0.19, textbook, 0.38, color=PAPER, edgecolor=INK,
                 label="by degree-days"),
    ]  # fmt: skip
    key(figure, handles)
    month_axis(axis)
    axis.set_ylabel("kWh of heat a month")
    whole = table.loc[warmth_tables.YEAR]
    most = int(np.argmax(hourly.to_numpy()))
    alt = (
        f"Heat the rooms need from the heaters by month: {span(hourly)} kWh hour by hour, most "
        f"in {MONTHS[most]}; an average year takes {whole.iloc[0]:,} kWh hour by hour and "
        f"{whole.iloc[1]:,} kWh by degree-days."
    )
    title = f"You need the most heat in {FULL_MONTHS[most]}, either way you work it out"
    return Picture(figure, title, alt, table)


@styled
def cold_snap(outlook, units=None):
    """Coldest week of all weather years, drawn hour by hour, with the fuel that it burns."""
    units = units or outlook.plan.units
    week = series.coldest_week(outlook)
    plan = outlook.plan
    figure, (above, below) = canvas(2, tall=True, ratios=(3, 2))
    outside_c = week.hourly["outside_c"].to_numpy()
    inside, outside = (
        np.asarray(measures.convert(week.hourly[name].to_numpy(), "temperature", units))
        for name in ("inside_c", "outside_c")
    )
    limit_c = plan.failure.cold_below_c
    day = np.arange(len(week.hourly)) / 24.0
    unit = measures.shown_unit("temperature", units)
    lines = [
        above.plot(day, inside, "-", color=COLOR["warmth"], label="inside")[0],
        above.plot(day, outside, "--", color=COLOR["water"], label="outside")[0],
        above.plot(day, np.full(len(day), measures.convert(limit_c, "temperature", units)), ":",
                   color=INK, label="too cold")[0],
    ]  # fmt: skip
    label_ends(above, lines)
    handles = []
    above.set_ylabel(unit)
    heat_w = week.hourly["heat_w"].to_numpy()
    fired = warmth_tables.fired_w(plan, heat_w, outside_c)
    by_day = {"out": outside.reshape(7, 24), "in": inside.reshape(7, 24)}
    columns = {
        head("Outside, lowest", "temperature", units): rounded(by_day["out"].min(axis=1), 0),
        head("Outside, highest", "temperature", units): rounded(by_day["out"].max(axis=1), 0),
        head("Inside, lowest", "temperature", units): rounded(by_day["in"].min(axis=1), 0),
        "Heat (kWh/day)": rounded(heat_w.reshape(7, 24).sum(axis=1) / WATTS_PER_KW, 0),
    }
    bottom, words = np.zeros(len(day)), []
    for (name, watts), fill in zip(fired.items(), FILLS, strict=False):
        burned, fuel_unit = warmth_tables.fired_amounts(
            plan, name, watts.to_numpy().reshape(7, 24).sum(axis=1), units
        )
        columns[f"{name} ({fuel_unit}/day)"] = rounded(burned, _places(burned))
        if burned.sum() <= 0:
            continue
        top = bottom + watts.to_numpy() / WATTS_PER_KW
        handles.append(
            below.fill_between(day, bottom, top, step="post", facecolor=fill["color"],
                               hatch=fill["hatch"], edgecolor=PAPER, linewidth=0.0, label=name)
        )  # fmt: skip
        words.append(f"{measures.digits(float(burned.sum()), 2)} {fuel_unit} from {name}")
        bottom = top
    below.set_ylabel("kW of fuel")
    below.set_ylim(0, max(1.0, float(bottom.max()) * 1.08))
    below.set_xlabel(f"days from {week.begins}")
    below.set_xticks(range(8))
    if handles:
        key(figure, handles)
    table = pd.DataFrame({"Day": range(1, 8), **columns}).set_index("Day")
    burns = f"; heating burns {' and '.join(words)} in the week" if words else "; nothing is burned"
    years, possible = drawn_words(outlook.hours)
    alt = (
        f"The coldest week {years}, from {week.begins}, with fuel at hand: outside between "
        f"{outside.min():.0f} and {outside.max():.0f} {unit}, inside never below "
        f"{inside.min():.0f} {unit}{burns}{possible}."
    )
    title = (
        f"The coldest week: down to {outside.min():.0f} {unit} outside, {inside.min():.0f} {unit} "
        "inside"
    )
    return Picture(figure, title, alt, table)


def _places(burned):
    """Decimals for the fuel of a day: thousandths of a cord, whole gallons."""
    most = float(burned.max())
    return 0 if most == 0 or most >= 10 else 3 if most < 1 else 1


@styled
def cool_down(outlook, units=None):
    """Rooms from the evening before the coldest night on, when all heat stops."""
    units = units or outlook.plan.units
    cool = warmth_tables.study_of(outlook).cool_down
    plan = outlook.plan
    unit = measures.shown_unit("temperature", units)
    limits_h = (cool.hours_to_limit, cool.hours_to_pipes_at_risk)
    reached = [time_h for time_h in limits_h if np.isfinite(time_h)]
    last_h = int(np.clip(max(reached, default=0.0) + AFTER_LAST_H, SHORTEST_CURVE_H, 168))
    curve = cool.curve.loc[: -(-last_h // 12) * 12]
    shown = {
        name: np.asarray(measures.convert(values.to_numpy(), "temperature", units))
        for name, values in curve.items()
    }
    hour = curve.index.to_numpy()
    figure, axis = canvas()
    handles = [
        axis.plot(hour, shown["inside_c"], "-", color=COLOR["warmth"], label="rooms")[0],
        axis.plot(hour, shown["air_c"], "--", color=COLOR["water"], label="outside")[0],
    ]
    named = {"inside_c": "Rooms", "air_c": "Outside"}
    if plan.house.pipes_outside_frac > 0:
        handles.append(
            axis.plot(hour, shown["pipes_c"], "-.", color=INK, linewidth=1.4, label="pipes")[0]
        )
        named["pipes_c"] = "Pipes"
    # Where the curves seldom are: the first night is cold, and the rooms are warm when it begins.
    limits = (
        (cool.limit_c, "rooms too cold", "right"),
        (cool.pipes_limit_c, "pipes at risk", "left"),
    )
    for limit_c, text, side in limits:
        level = float(measures.convert(limit_c, "temperature", units))
        axis.axhline(level, color=INK, linestyle=":", linewidth=1.4)
        axis.annotate(
            text, (hour[-1] if side == "right" else 0, level), ha=side, va="bottom",
            xytext=(-2 if side == "right" else 3, 2), textcoords="offset points",
        )  # fmt: skip
    axis.set_ylabel(unit)
    axis.set_xlim(0, hour[-1])
    label_ends(axis, handles)
    axis.set_xticks(range(0, int(hour[-1]) + 1, 12 if hour[-1] <= 72 else 24))
    begins = date_text(series.day_text(cool.first_hour // 24 % series.DAYS_N))
    axis.set_xlabel(f"hours after {cool.first_hour % 24}:00 on {begins}")
    at = [time_h for time_h in SHOWN_H if time_h <= hour[-1]]
    table = pd.DataFrame(
        {
            "Hour": at,
            **{
                head(name, "temperature", units): rounded(shown[column][at], 0)
                for column, name in named.items()
            },
        }
    ).set_index("Hour")
    shown_limits = (
        measures.show(limit_c, "temperature", units)
        for limit_c in (cool.limit_c, cool.pipes_limit_c)
    )
    falls = [
        f"the {what} fall to {limit} after {warmth_tables.duration(time_h)}"
        if np.isfinite(time_h)
        else f"the {what} don't fall to {limit} within a week of this weather"
        for what, limit, time_h in zip(("rooms", "pipes"), shown_limits, limits_h, strict=True)
    ]
    alt = (
        "All heat stops on the evening before the coldest night: "
        f"{falls[0]}, {falls[1]}; outside it is "
        f"{shown['air_c'].min():.0f} to {shown['air_c'].max():.0f} {unit} in the hours shown."
    )
    return Picture(figure, f"If all heat stops, {falls[0]}", alt, table)


@styled
def fuel_ledger(outlook, units=None):
    """Level of each fuel store through a normal year, with its deliveries."""
    units = units or outlook.plan.units
    plan = outlook.plan
    table = warmth_tables.fuel_ledger(outlook, units)
    ledger = warmth_tables.study_of(outlook).ledger
    stores = [fuel for fuel in plan.fuels if ledger.loc[fuel.name, "wanted_amount"].sum() > 0]
    stores = stores[:MOST_PANELS]
    if not stores:
        return nothing("Your fuel through a normal year", "Nothing in your plan burns fuel.", table)
    figure, axes = canvas(len(stores), tall=len(stores) > 1)
    figure.set_size_inches(WIDTH_IN, REST_IN + PANEL_IN * max(len(stores), 2))
    words, runs_low = [], []
    for axis, store in zip(np.atleast_1d(axes), stores, strict=True):
        months = ledger.loc[store.name]
        start, delivered, left, low = (
            warmth_tables.amounts(store.fuel, values, units)[0]
            for values in (
                months["start_amount"],
                months["delivered_amount"],
                months["end_amount"],
                store.low_below_frac * store.amount,
            )
        )
        unit = warmth_tables.amounts(store.fuel, 0.0, units)[1]
        # A delivery comes on the first of its month, use runs through it.
        month = np.repeat(X_MONTHS, 3) + np.tile([-0.5, -0.5, 0.5], 12)
        level = np.stack([start, start + delivered, left], axis=1).ravel()
        axis.plot(month, level, "-", color=COLOR["warmth"], label="in store")
        axis.fill_between(month, level, color=COLOR["warmth"], alpha=0.3, linewidth=0)
        axis.axhline(float(low), color=INK, linestyle=":")
        axis.annotate("low", (11.7, float(low)), xytext=(4, 0), textcoords="offset points",
                      va="center", annotation_clip=False)  # fmt: skip
        came = np.flatnonzero(delivered > 0)
        if len(came):
            tops = (start + delivered)[came]
            axis.plot(came - 0.5, tops, "^", color=INK, markersize=9, label="delivery",
                      linestyle="none")  # fmt: skip
            side = "left" if came[0] < 6 else "right"
            axis.annotate("delivery", (came[0] - 0.5, tops[0]), ha=side, va="bottom",
                          xytext=(7 if side == "left" else -7, 2),
                          textcoords="offset points")  # fmt: skip
        axis.set_ylim(0, max(float(level.max()) * 1.35, 1e-9))
        axis.set_ylabel(unit)
        axis.annotate(store.name, (0.99, 0.97), xycoords="axes fraction", ha="right", va="top")
        most = measures.digits(float(level.max()), 2 if level.max() < 10 else 3)
        words.append(
            f"{store.name} is between {measures.digits(float(level.min()), 2)} and {most} "
            f"{unit}" + _low_words(months)
        )
        if months["is_low"].any():
            runs_low.append(store.name)
    month_axis(np.atleast_1d(axes)[-1])
    alt = f"Fuel through a normal year that begins in January: {'; '.join(words)}."
    named = " and ".join(f"the {name}" for name in runs_low) or "no fuel"
    title = f"In a normal year, {named} {'run' if len(runs_low) > 1 else 'runs'} low"
    return Picture(figure, title, alt, table)


def _low_words(months):
    low = [MONTHS[int(month) - 1] for month in months.index[months["is_low"].to_numpy(dtype=bool)]]
    if not low:
        return ", never low at a month's end"
    if len(low) > 3:
        return f", low at the end of {len(low)} months"
    return f", low at the end of {' and '.join(low)}"
