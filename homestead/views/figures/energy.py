"""Figures of electricity: by month, and a mean day."""

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.plan.fields import MONTHS
from homestead.views import tables
from homestead.views.figures.base import (
    COLOUR,
    FAINT,
    INK,
    PAPER,
    X_MONTHS,
    Picture,
    canvas,
    key,
    month_axis,
    span,
    styled,
)
from homestead.views.readable import WATTS_PER_KW, rounded


@styled
def energy_by_month(outlook):
    """Sun offered against what the house uses, month by month."""
    figure, axis = canvas()
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
    key(figure, handles)
    month_axis(axis)
    axis.set_ylabel("kWh a day")
    low = int(np.argmin(sun))
    alt = (
        f"Electricity by month: the sun offers {span(sun)} kWh a day, least in {MONTHS[low]}; "
        f"the house uses {span(used)}; at most {measures.digits(float(short.max()), 2)} kWh a "
        "day is asked for and not served."
    )
    return Picture(figure, "Sun and use on a mean day of each month", alt, table)


@styled
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
    figure, (above, below) = canvas(2, tall=True, ratios=(3, 2))
    sun, used, engine = (
        means[name].to_numpy() / WATTS_PER_KW for name in ("pv_w", "used_w", "generator_w")
    )
    handles = [
        above.fill_between(hour, sun, color=COLOUR["power"], alpha=0.45, label="sun offered"),
        above.plot(hour, used, "-", color=INK, label="used")[0],
    ]
    if engine.max() > 0.005:
        handles.append(above.plot(hour, engine, "--", color=COLOUR["warmth"], label="generator")[0])
    key(figure, handles, len(handles))
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
        f"kW, the house uses {span(np.round(used, 2))} kW, and the battery stands at "
        f"{level.min():.0f} to {level.max():.0f} %, lowest at {int(level.argmin())}:00."
    )
    return Picture(figure, f"A mean day in {MONTHS[month - 1]}", alt, table)
