"""Figures of food: what the land gives, what is in store, what runs short first."""

import numpy as np

from homestead import units as measures
from homestead.plan.fields import MONTHS
from homestead.views import tables
from homestead.views.figures.base import (
    COLOUR,
    HATCH,
    INK,
    X_MONTHS,
    Picture,
    canvas,
    key,
    month_axis,
    styled,
)


@styled
def food_through_year(outlook):
    """Food that the land gives by month, beside what the household needs."""
    figure, axis = canvas()
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
    key(figure, handles)
    month_axis(axis)
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
