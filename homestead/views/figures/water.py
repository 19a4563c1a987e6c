"""Figures of water: where it comes from and goes, the pump, what is stored."""

import numpy as np

from homestead import units as measures
from homestead.plan.fields import MONTHS
from homestead.views import tables
from homestead.views.figures.base import (
    COLOUR,
    HATCH,
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
from homestead.views.readable import head


@styled
def water_by_month(outlook, units="us"):
    """Water used by house, animals and garden, and what the well gives."""
    figure, axis = canvas()
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
    key(figure, handles)
    month_axis(axis)
    unit = measures.shown_unit("volume", units)
    axis.set_ylabel(f"{unit} a day")
    axis.set_ylim(0, max((house + garden).max(), pumped.max(), 1) * 1.08)
    most = int(np.argmax((house + garden).to_numpy()))
    alt = (
        f"Water by month: people and animals take {span(house)} {unit} a day, the garden up to "
        f"{measures.digits(float(garden.max()))}; most is used in {MONTHS[most]}, and the well "
        f"gives {span(pumped)} {unit} a day."
    )
    return Picture(figure, "Water on a mean day of each month", alt, table)
