"""Figures of water: where it comes from and goes, the pump, what is stored."""

import numpy as np

from homestead import units as measures
from homestead.screen.picture import (
    COLOR,
    FAINT,
    INK,
    MARKER,
    PAPER,
    X_MONTHS,
    Picture,
    canvas,
    key,
    month_axis,
    nothing,
    span,
    styled,
)  # fmt: skip
from homestead.screen.readable import head, percent
from homestead.trades.water import tables as water_tables
from homestead.vocabulary import FULL_MONTHS, MONTHS

WELL, RAIN, STORED = COLOR["water"], "#8db8d3", "#c9dde8"
PEOPLE, BEASTS = "#8a857a", "#c58a4a"
NOT_TESTED = "not tested:\nthe level\nfalls, the\npump can\nrun dry"
LEAST_SHOWN_FRAC = 0.02  # of the tallest bar; thinner slices stand in the table alone


@styled
def water_in_and_out(study, units="us"):
    """Water by month: where it comes from, above the line, and where it goes, below it."""
    figure, axis = canvas(tall=True)
    table = water_tables.in_and_out(study, units)

    def daily(label):
        return table[head(label, "volume", units, "day")].to_numpy(dtype=float)

    brought = [inflow for inflow in water_tables.INFLOWS.values()
               if head(inflow, "volume", units, "day") in table]  # fmt: skip
    stored = daily("Into store")
    sources = (
        (daily("From the well"), "well", WELL, ""),
        (daily("Rain caught"), "rain on the roof", RAIN, "///"),
        *(
            (daily(label), label.lower(), RAIN, hatch)
            for label, hatch in zip(brought, ("", "ooo"), strict=False)
        ),
        (np.maximum(-stored, 0.0), "out of store", STORED, "..."),
    )
    uses = (
        (daily("People"), "people", PEOPLE, ""),
        (daily("Animals"), "animals", BEASTS, "xxx"),
        (daily("Garden"), "garden", COLOR["food"], "///"),
        (np.maximum(stored, 0.0), "into store", STORED, "..."),
        (daily("Runs off"), "cistern full, runs off", PAPER, ""),
    )
    handles, ends = [], []
    for parts, sign in ((sources, 1.0), (uses, -1.0)):
        base = np.zeros(12)
        least = LEAST_SHOWN_FRAC * sum(values for values, *_ in parts).max()
        for values, label, color, hatch in parts:
            if values.max() > least:
                handles.append(
                    axis.bar(X_MONTHS, sign * values, 0.74, bottom=sign * base, color=color,
                             hatch=hatch, edgecolor=INK, linewidth=0.8, label=label)
                )  # fmt: skip
                base = base + values
        ends.append(sign * 1.05 * max(float(base.max()), 1e-9))
    axis.set_ylim(ends[1], ends[0])
    axis.axhline(0.0, color=INK, linewidth=1.6)
    key(figure, handles)
    month_axis(axis)
    unit = measures.shown_unit("volume", units)
    axis.yaxis.set_major_formatter(lambda value, _: measures.digits(abs(value)))
    axis.set_ylabel(f"{unit} a day: out, below; in, above")
    used = daily("People") + daily("Animals") + daily("Garden")
    rain, off = daily("Rain caught").sum(), daily("Runs off").sum()
    most = int(np.argmax(used))
    runs_off = (
        f", of which {percent(off / rain)} is lost because the cistern is full" if rain > 0 else ""
    )
    alt = (
        f"Water in and out by month: people, animals and garden use {span(used)} {unit} a day, "
        f"most in {MONTHS[most]}; the well gives {span(daily('From the well'))} and the roof "
        f"catches {span(daily('Rain caught'))} {unit} a day{runs_off}"
        + "".join(f"; {inflow[0].lower()}{inflow[1:]} {span(daily(inflow))}" for inflow in brought)
        + "."
    )
    most_used = measures.digits(float(used[most]), 2)
    title = f"You use the most water in {FULL_MONTHS[most]}: {most_used} {unit} a day"
    return Picture(figure, title, alt, table)


@styled
def pump_and_well(study, units="us"):
    """Head that the pump must overcome by flow, its own curve if entered, and where it works.

    Beyond the tested yield nobody knows the level, so the line ends there.
    """
    table = water_tables.head_by_part(study, units)
    title = "What the pump pushes against"
    if study.pump is None:
        return nothing(title, "You have no well pump: 0 curves.", table)
    figure, axis = canvas()
    look, point = study.pump, study.pump.point
    curves = look.curves
    flow = measures.convert(curves.flow_m3s.to_numpy(), "flow", units)
    system, own = (
        measures.convert(curves[name].to_numpy(), "length", units)
        for name in ("system_head_m", "pump_head_m")
    )
    at = float(measures.convert(point.flow_m3s, "flow", units))
    height = float(measures.convert(point.head_m, "length", units))
    tested = float(measures.convert(study.well.yield_m3s, "flow", units))
    known = np.append(flow[flow < tested], min(tested, float(flow.max())))
    system = np.interp(known, flow, system)
    handles = [
        axis.plot(known, system, "-", color=COLOR["water"], label="lift, pipe and pressure")[0]
    ]
    entered = bool(np.isfinite(own).any())
    if entered:
        handles.append(
            axis.plot(flow, own, "--", color=COLOR["warmth"], label="pump's own curve")[0]
        )
    handles += [
        axis.plot(at, height, MARKER["water"], color=COLOR["power"], markersize=11,
                  markeredgecolor=INK, linestyle="", label="runs here")[0],
        axis.axvline(tested, color=FAINT, linestyle=":", label="tested yield"),
    ]  # fmt: skip
    key(figure, handles)
    tops = [system.max(), height, np.nanmax(own) if entered else 0.0]
    axis.set_ylim(0, max(tops) * 1.1)
    end = max(float(flow.max()), tested * 1.5)
    axis.set_xlim(0, end)
    axis.axvspan(tested, end, facecolor=STORED, alpha=0.5, hatch="//", edgecolor=PAPER)
    axis.text((tested + end) / 2, max(tops) * 0.42, NOT_TESTED, ha="center", va="center")
    flow_unit, length_unit = (measures.shown_unit(kind, units) for kind in ("flow", "length"))
    axis.set_xlabel(f"flow, {flow_unit}")
    axis.set_ylabel(f"head, {length_unit}")
    alt = (
        f"Head over flow: the pump must give {span(np.round(system, 2))} {length_unit} up to "
        f"{measures.digits(float(known[-1]))} {flow_unit}; the pump runs at "
        f"{measures.digits(at)} {flow_unit} and {measures.digits(height)} {length_unit}, "
        f"{'where its curve meets the well' if entered else 'with no curve entered'}, and the "
        f"well was tested at {measures.digits(tested)} {flow_unit}; beyond that nothing is tested, "
        "the level falls and the pump can run dry."
    )
    title = (
        f"The pump gives {measures.digits(at)} {flow_unit} against {measures.digits(height)} "
        f"{length_unit}"
    )
    return Picture(figure, title, alt, table)


@styled
def water_storage_days(study, units="us"):
    """Days that full stores last by month, with power and without, at usual use and at least."""
    figure, (above, below) = canvas(2, tall=True)
    table = water_tables.storage(study, units)
    handles, told = [], []
    for axis, use, label in ((above, "full_use", "usual use"), (below, "least", "the least")):
        pair = [study.storage[f"{use}_{light}"].to_numpy() for light in ("powered", "dark")]
        ends = np.concatenate(pair)
        finite = ends[np.isfinite(ends)]
        top = 1.15 * max(float(finite.max(initial=1.0)), 1.0)
        looks = (("well dry", COLOR["power"], ""), ("power out", COLOR["water"], "..."))
        for days, at, (name, color, hatch) in zip(pair, (-0.2, 0.2), looks, strict=True):
            endless = np.isinf(days)
            made = axis.bar(X_MONTHS + at, np.where(endless, top, days), 0.38, color=color,
                            hatch=hatch, edgecolor=INK, linewidth=0.8, label=name)  # fmt: skip
            if axis is above:
                handles.append(made)
            if endless.any():
                axis.text(5.5, top * 0.88, f"{name}: no end", ha="center",
                          bbox={"facecolor": PAPER, "edgecolor": INK, "pad": 2.5})  # fmt: skip
            least, most = (water_tables.lasting_text(end(days)) for end in (np.min, np.max))
            lasting = least if least == most else f"{least} to {most}"
            told.append(f"{lasting} days at {label} with the {name}")
            if (use, name) == ("full_use", "power out"):
                dark_words = "without end" if lasting == "no end" else f"{lasting} days"
        axis.set_ylim(0, top)
        axis.set_ylabel(f"days,\n{label}")
        month_axis(axis)
    key(figure, handles)
    alt = f"Days that full water stores last with nothing new, by month: {', '.join(told)}."
    alt = alt.replace("no end days", "no end")
    title = f"With the power out, your stored water lasts {dark_words}"
    return Picture(figure, title, alt, table)
