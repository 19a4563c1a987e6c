"""Figures of warmth: by month, and the coldest week."""

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.plan.fields import MONTHS
from homestead.views import series, tables
from homestead.views.figures.base import (
    COLOUR,
    HATCH,
    INK,
    X_MONTHS,
    Picture,
    canvas,
    key,
    month_axis,
    span,
    styled,
)
from homestead.views.readable import WATTS_PER_KW, head, rounded


@styled
def heat_by_month(outlook, units="us"):
    """Heat that the heaters give, and temperatures inside and outside."""
    figure, (above, below) = canvas(2, tall=True, ratios=(3, 2))
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
    key(figure, handles)
    unit = measures.shown_unit("temperature", units)
    below.set_ylabel(unit)
    month_axis(below)
    most = int(np.argmax(heat.to_numpy()))
    alt = (
        f"Heat by month: the heaters give {span(heat)} kWh a day, most in {MONTHS[most]}; inside "
        f"it is {span(inside)} {unit} on average, outside {span(outside)} {unit}."
    )
    return Picture(figure, "Warmth on a mean day of each month", alt, table)


@styled
def cold_snap(outlook, units="us"):
    """Coldest week of all weather years, hour by hour, with deliveries."""
    week = series.coldest_week(outlook)
    figure, (above, below) = canvas(2, tall=True, ratios=(3, 2))
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
    key(figure, handles)
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
