"""The homestead drawn as it goes dark: one house at a few days of a start, its flows to scale.

Every figure is read from the trace of the start; nothing is worked out in another way here. Light,
heat and food share one scale (kWh a day), water has its own. What has failed is dark and says so.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from markupsafe import Markup

from homestead import units as measures
from homestead.outlook.story import is_back, story_of
from homestead.screen.escaping import attribute, svg_text
from homestead.screen.readable import percent
from homestead.screen.series import need_of_fuel
from homestead.vocabulary import NEEDS

LOOKED_BACK_DAYS = 3  # a single day may be bright or dark by chance
MOST_FUELS_N, LONGEST_NAME = 2, 16
WIDE_PX, HIGH_PX, ROW_PX, GAUGE_PX = 360, 222, 46, 46
BAND_PX, WATER_BAND_PX, LEAST_PX = 20.0, 12.0, 1.5
ROOM_PX, LEFT_PX, UPPER_PX, LEAD_PX = 50, 129, 100, 42
BACK = 3
STATES = {  # all is well, is short, has failed for good, has failed and is back for now
    "power": ("lit", "dim", "failed", "failed; lit now"),
    "warmth": ("warm", "chilly", "failed", "failed; warm now"),
    "water": ("runs", "low", "failed", "failed; runs now"),
    "food": ("fed", "short", "failed", "failed; fed now"),
}
PLACES = {"power": (0, 0), "warmth": (1, 0), "water": (0, 1), "food": (1, 1)}
DIM_FRAC = 0.05  # of an essential load; more of it missing and the lamp is dim


@dataclass(frozen=True)
class Flow:
    """What one source or store gives on a day."""

    name: str
    need: str
    given: float  # kWh a day, or m³ a day of water
    left_frac: float | None = None  # what is left in the store; None for a source


@dataclass(frozen=True)
class Moment:
    """The homestead on one day of a start."""

    day: int  # from 1
    flows: tuple[Flow, ...]
    states: dict  # need to 0 (well), 1 (short), 2 (failed) or 3 (failed, and back for now)
    events: tuple  # of Event; what happened since the moment before


def moments_of(outlook, story=None):
    """The homestead at up to four days of its worst start.

    story (sequence of Event, optional) : Worked out if not given.
    Gives tuple of Moment: first day, the fullest day between, the first failure, the end.
    """
    story = tuple(story_of(outlook) if story is None else story)
    days = _days(outlook, story)
    year, start = outlook.worst
    trace = outlook.first_days(year, start, days[-1] + 1)
    found, before = [], -1
    for day in days:
        events = tuple(event for event in story if before < event.day <= day)
        states = _states(outlook, trace, day, year, start)
        found.append(Moment(day + 1, tuple(_flows(outlook, trace, day)), states, events))
        before = day
    return tuple(found)


def _days(outlook, story):
    """Days from 0 that are drawn."""
    failed = [event.day for event in story if event.kind == "need"]
    if not failed:
        return sorted({0, *(event.day for event in story)})[:4] or [0]
    first = min(outlook.homestead.least, outlook.horizon_days - 1)
    between = [event.day for event in story if 0 < event.day < first]
    fullest = [max(set(between), key=lambda day: (between.count(day), day))] if between else []
    return sorted({0, *fullest, first, max(*failed, first)})


def _flows(outlook, trace, day):
    plan, fixed, hours = outlook.plan, outlook.hours.fixed, outlook.hours
    since = max(0, day + 1 - LOOKED_BACK_DAYS)
    span, last = slice(since * 24, day * 24 + 24), day * 24 + 23
    days_n = day + 1 - since
    sums = trace.flows.iloc[span].sum() / days_n

    def used_wh(columns, begin):
        before = begin if since == 0 else columns[since * 24 - 1]
        return max(0.0, float(before - columns[last])) / days_n

    if plan.arrays or hours.sources:
        name = "sun" if not hours.sources else "sun, wind, water"
        yield Flow(name, "power", float(sums.pv_w - sums.curtailed_w) / 1000.0)
    if plan.generator:
        yield Flow("generator", "power", float(sums.generator_w) / 1000.0)
    if fixed.battery_wh > 0:
        usable_wh = fixed.battery_wh * fixed.discharge_depth_frac
        lowest_wh = float(trace.states.battery_wh.iloc[span].min())
        left = (lowest_wh - fixed.battery_wh + usable_wh) / usable_wh
        yield Flow("battery", "power", float(sums.discharge_w) / 1000.0, _share(left))
    full_m3 = hours.start.cistern_m3
    left = _share(trace.states.cistern_m3.iloc[last] / full_m3) if full_m3 > 0 else None
    name = "cistern" if full_m3 > 0 else "well and spring"
    yield Flow(name, "water", float(sums.delivered_m3), left)
    fuels = [
        Flow(
            fuel.name,
            need_of_fuel(plan, fuel),
            used_wh(trace.fuel_wh[:, at], hours.fuel_start_wh[at]) / 1000.0,
            _share(trace.fuel_wh[last, at] / hours.fuel_start_wh[at]),
        )
        for at, fuel in enumerate(plan.fuels)
        if hours.fuel_start_wh[at] > 0
    ]
    yield from fuels[:MOST_FUELS_N]
    eaten_kwh = measures.convert_unit(float(trace.food_kcal.eaten_kcal.iloc[last]), "kcal", "kWh")
    full = hours.larder.pantry_kcal
    left = _share(trace.food_kcal.pantry_kcal.iloc[last] / full) if full > 0 else None
    yield Flow("pantry and land", "food", eaten_kwh, left)


def _share(value):
    return float(np.clip(value, 0.0, 1.0))


def _states(outlook, trace, day, year, start):
    states = {}
    for need in NEEDS:
        bad = int(outlook.first_bad_of(need)[year, start])
        ends = int(outlook.days_of(need)[year, start])
        has_failed = ends <= day
        back = is_back(trace, outlook.hours.fixed, need, day, ends if has_failed else bad)
        if has_failed:
            states[need] = BACK if back else 2
        else:
            states[need] = int(bad <= day and not back)
    span = slice(max(0, day + 1 - LOOKED_BACK_DAYS) * 24, day * 24 + 24)
    if not states["power"] and trace.flows.dark_frac.iloc[span].mean() > DIM_FRAC:
        states["power"] = 1
    return states


def amount(flow, units):
    """What a flow gives on a day, as text."""
    if flow.need == "water":
        return measures.rough(flow.given, "volume", units)
    return f"{measures.digits(flow.given, 2)} kWh"


def table(moments, units):
    """The figures of the drawings: flows a day and what is left, day by day."""
    rows = {}
    for moment in moments:
        row = rows.setdefault(moment.day, {})
        for flow in moment.flows:
            if flow.given or flow.left_frac is None:
                row[f"{flow.name}, a day"] = amount(flow, units)
            if flow.left_frac is not None:
                row[f"{flow.name}, left"] = percent(flow.left_frac)
        row |= {need: STATES[need][state] for need, state in moment.states.items()}
    frame = pd.DataFrame.from_dict(rows, orient="index").fillna("none")
    return frame.rename_axis("Day").T.rename_axis("On day").rename(columns=str)


def words(moment, units):
    """A moment in one sentence, for those who cannot see it."""
    flows = "; ".join(
        f"{flow.name} {amount(flow, units)} a day" if flow.left_frac is None or flow.given
        else f"{flow.name} {percent(flow.left_frac)} left"
        for flow in moment.flows
    )  # fmt: skip
    states = ", ".join(f"{need} {STATES[need][state]}" for need, state in moment.states.items())
    return f"The homestead on day {moment.day}: {states}. {flows}."


def drawings(moments, units):
    """Each moment as one SVG with real text, all to the same scale.

    moments (tuple of Moment)
    units ({"us", "metric"})
    Gives list of Markup.
    """
    energy = max(flow.given for each in moments for flow in each.flows if flow.need != "water")
    water = max(flow.given for each in moments for flow in each.flows if flow.need == "water")
    scale = {True: WATER_BAND_PX / max(water, 1e-9), False: BAND_PX / max(energy, 1e-9)}
    return [_drawing(moment, scale, units) for moment in moments]


def _drawing(moment, scale, units):
    bands, labels = [], []
    sides = {0: [], 1: []}
    for flow in moment.flows:
        sides[PLACES[flow.need][0]].append(flow)
    for side, flows in sides.items():
        for row, flow in enumerate(flows):
            y = (3 if flow.need in ("water", "food") else row) * ROW_PX
            bands.append(_band(flow, side, y, scale[flow.need == "water"]))
            labels += _label(flow, side, y, units)
    rooms = [_room(need, state) for need, state in moment.states.items()]
    roof = LEFT_PX - 12, UPPER_PX - 6, LEFT_PX + ROOM_PX + 1, 52, LEFT_PX + 2 * ROOM_PX + 14
    return Markup(
        f'<svg class="drawn" viewBox="0 0 {WIDE_PX} {HIGH_PX}" role="img" '
        f'aria-label="{attribute(words(moment, units))}">'
        f'<path class="ground" d="M0 {HIGH_PX - 16}H{WIDE_PX}"/>{"".join(bands)}'
        f'<path class="roof" d="M{roof[0]} {roof[1]}L{roof[2]} {roof[3]}L{roof[4]} {roof[1]}Z"/>'
        f"{''.join(rooms)}{''.join(labels)}</svg>"
    )


def _room(need, state):
    across, down = PLACES[need]
    x, y = LEFT_PX + across * (ROOM_PX + 2), UPPER_PX + down * (ROOM_PX + 2)
    middle = x + ROOM_PX / 2
    said = STATES[need][state].split("; ")
    raised = 6 * (len(said) > 1)
    now = "".join(
        f'<text class="now" x="{middle}" y="{y + 38 + 13 * n - raised}">{word}</text>'
        for n, word in enumerate(said)
    )
    return (
        f'<g class="room {need} state{state}"><rect x="{x}" y="{y}" width="{ROOM_PX}" '
        f'height="{ROOM_PX}"/><text x="{middle}" y="{y + 21 - raised}">{need}</text>{now}</g>'
    )


def _band(flow, side, y, scale):
    across, down = PLACES[flow.need]
    start_x = GAUGE_PX + 4 if side == 0 else WIDE_PX - GAUGE_PX - 4
    end_x = LEFT_PX if side == 0 else LEFT_PX + 2 * ROOM_PX + 2
    start_y, end_y = y + 39, UPPER_PX + down * (ROOM_PX + 2) + ROOM_PX / 2
    # Level until it is past the label of the next row, then round the corner of the house.
    turn_x = start_x + (LEAD_PX if side == 0 else -LEAD_PX)
    bend = (turn_x + end_x) / 2
    path = (
        f'd="M{start_x} {start_y:.0f}H{turn_x}'
        f'C{bend} {start_y:.0f} {bend} {end_y:.0f} {end_x} {end_y}"'
    )
    if flow.given <= 0:
        return f'<path class="still" {path}/>'
    width = max(flow.given * scale, LEAST_PX)
    return f'<path class="flow {flow.need}" {path} stroke-width="{width:.1f}"/>'


def _label(flow, side, y, units):
    x, anchor = (4, "start") if side == 0 else (WIDE_PX - 4, "end")
    name = flow.name if len(flow.name) <= LONGEST_NAME else f"{flow.name[: LONGEST_NAME - 1]}…"
    said = [f"{flow.left_frac:.0%}".replace("%", " %")] if flow.left_frac is not None else []
    said += [amount(flow, units)] if flow.given or flow.left_frac is None else []
    yield f'<text x="{x}" y="{y + 13:.0f}" text-anchor="{anchor}">{svg_text(name)}</text>'
    yield (
        f'<text class="amount" x="{x}" y="{y + 28:.0f}" text-anchor="{anchor}">'
        f"{svg_text(', '.join(said))}</text>"
    )
    left = 4 if side == 0 else WIDE_PX - 4 - GAUGE_PX
    if flow.left_frac is None:
        middle = left + GAUGE_PX / 2
        yield f'<circle class="source {flow.need}" cx="{middle}" cy="{y + 39:.0f}" r="6"/>'
        return
    yield (
        f'<rect class="gauge" x="{left}" y="{y + 33:.0f}" width="{GAUGE_PX}" height="12"/>'
        f'<rect class="fill {flow.need}" x="{left}" y="{y + 33:.0f}" '
        f'width="{GAUGE_PX * flow.left_frac:.1f}" height="12"/>'
    )
