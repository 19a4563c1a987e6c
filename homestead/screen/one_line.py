"""The electrician's one-line diagram, drawn from the plan as SVG with real text.

It draws what the plan says: a breaker or disconnect that is not entered says so. Each panel has a
bus of its own, sources left of it, loads right; a feeder leads from its breaker down to the panel
that it feeds. DC sources and the battery meet on a DC bus before the main inverter. Where a
generator joins is not in the plan: it is drawn at the main panel, and the note says so.
"""

import re
from dataclasses import dataclass
from html import unescape

from markupsafe import Markup

from homestead import units
from homestead.screen.escaping import svg_text

LINE_PX, GAP_PX, TOP_PX, HEAD_PX, FOOT_PX = 16, 12, 14, 44, 26
LEFT_PX, BOX_PX, BUS_PX, RIGHT_PX, LOAD_PX = 10, 250, 480, 700, 250
DC_BUS_PX, CHANNEL_PX, CHANNELS_PX = 420, 962, 12
LEAST_LINES, LONGEST = 3, 38
NOTE = (
    "Drawn from your plan, which doesn't say how it's grounded or where a generator connects; "
    "it's drawn at the panel."
)
SOURCES = ("battery", "main inverter", "generator")


@dataclass(frozen=True)
class Row:
    """A box and the circuit that joins it to a bus."""

    lines: list[str]  # text in it, its name first
    circuit: object  # Circuit
    feeds_panel: str | None = None  # the panel that a feeder leads to

    @property
    def height_px(self):
        """Of the box and the gap below it."""
        return max(len(self.lines), LEAST_LINES) * LINE_PX + 6 + GAP_PX


class Diagram:
    """The one-line diagram of a plan, as a notebook shows it."""

    def __init__(self, plan):
        self.drawn = one_line(plan)

    def __repr__(self):
        return unescape(re.search("<title>(.*?)</title>", self.drawn, re.DOTALL)[1])

    def _repr_html_(self):
        return str(self.drawn)


def one_line(plan):
    """One-line diagram of the plan, a section for each panel.

    Gives Markup: One `svg` element; every text from the plan is escaped.
    """
    sections = [_section(plan, panel) for panel in _panels(plan)]
    channel_of = {
        panel: CHANNEL_PX + CHANNELS_PX * number
        for number, (panel, *_) in enumerate(sections)
        if panel is not None
    }
    parts, names, top_px, feeders = [], [], 0, {}
    for panel, direct, alternating, loads in sections:
        drawn, top_px = _drawn(plan, panel, direct, alternating, loads, top_px, channel_of, feeders)
        parts += drawn
        names += [row.lines[0] for row in (*direct, *alternating, *loads)]
    wide_px = CHANNEL_PX + CHANNELS_PX * (len(channel_of) + 1)
    parts.append(_text(LEFT_PX, top_px + 14, NOTE, "start"))
    return Markup(
        f'<svg viewBox="0 0 {wide_px} {top_px + 24}" '
        'role="img" font-family="sans-serif" font-size="12" fill="none" stroke="currentColor">'
        f"<title>{svg_text('One-line diagram: ' + '; '.join(names))}</title>"
        f"{''.join(parts)}</svg>"
    )


def _panels(plan):
    """Panels in the order in which they are drawn: each before those that it feeds.

    Of two fed by one panel the last comes first, so that no feeder crosses another.
    """
    names = [subpanel.name for subpanel in plan.subpanels]
    found = []

    def lay(panel):
        found.append(panel)
        fed = [
            circuit.feeds
            for circuit in plan.circuits
            if circuit.panel == panel and circuit.feeds in names
        ]
        for name in reversed(dict.fromkeys(fed)):
            if name not in found:
                lay(name)

    lay(None)
    for name in names:
        if name not in found:  # a panel whose feeder nobody entered
            lay(name)
    return found


def _section(plan, panel):
    """A panel's rows: on its DC bus, other sources, loads with feeders last."""
    alternating = [row for row in _alternating(plan) if _stands_in(row, panel)]
    former_here = any(row.lines[0] == "Main inverter" for row in alternating)
    direct = _direct(plan) if former_here or (panel is None and not plan.grid_former) else []
    loads = _loads(plan, panel)
    return panel, direct, alternating, loads


def _stands_in(row, panel):
    return (row.circuit.panel if row.circuit is not None else None) == panel


def _drawn(plan, panel, direct, alternating, loads, top_px, channel_of, feeders):
    """Text and lines of one section, and where the next one begins."""
    first_px = top_px + HEAD_PX + TOP_PX
    left_px = sum(row.height_px for row in (*direct, *alternating))
    right_px = sum(row.height_px for row in loads)
    foot_px = first_px + max(left_px, right_px, 64)
    parts = [
        _text(BUS_PX, top_px + 24, _title(plan, panel), "middle", bold=True),
        f'<path d="M{BUS_PX} {top_px + HEAD_PX - 10}V{foot_px - GAP_PX}" stroke-width="5"/>',
    ]
    if panel is not None and panel in feeders:
        from_px, at_px = feeders[panel], top_px + HEAD_PX - 10
        parts.append(
            f'<path d="M{channel_of[panel]} {from_px}V{at_px}H{BUS_PX}" stroke-width="2"/>'
        )
    elif panel is not None:
        parts.append(_text(BUS_PX + 12, top_px + HEAD_PX - 4, "no feeder entered", "start"))
    if direct:
        parts += _dc_bus(direct, first_px, plan.grid_former is not None)
    y = first_px
    for number, row in enumerate((*direct, *alternating)):
        end_px = DC_BUS_PX if number < len(direct) else BUS_PX
        parts += _branch(LEFT_PX, BOX_PX, (LEFT_PX + BOX_PX, end_px), y, row, plan.units)
        y += row.height_px
    y = first_px
    for row in loads:
        if row.feeds_panel is None:
            parts += _branch(RIGHT_PX, LOAD_PX, (BUS_PX, RIGHT_PX), y, row, plan.units)
        else:
            channel_px = channel_of[row.feeds_panel]
            feeders[row.feeds_panel] = y + 14
            parts += _wire((BUS_PX, RIGHT_PX), y + 14, row.circuit, plan.units)
            parts.append(f'<path d="M{RIGHT_PX} {y + 14}H{channel_px}" stroke-width="2"/>')
            for number, line in enumerate(row.lines):
                # One line above the wire, the others below it.
                at_px = y + (6 if number == 0 else 14 + LINE_PX * number)
                parts.append(_text(RIGHT_PX + 8, at_px, _short(line), "start", bold=number == 0))
        y += row.height_px
    return parts, foot_px + FOOT_PX // 2


def _title(plan, panel):
    part = plan.panel if panel is None else next(s for s in plan.subpanels if s.name == panel)
    name = "Main panel" if panel is None else panel
    if part is None:
        return name
    main = f"main {part.main_breaker_a:.0f} A" if part.main_breaker_a else "no main"
    return f"{name}: busbar {part.busbar_a:.0f} A, {main}"


def _dc_bus(rows, first_px, reaches_inverter):
    """DC bus beside its rows, led to the top of the main inverter, which stands in the next row."""
    yield _text(DC_BUS_PX, first_px - 10, "DC", "middle", bold=True)
    foot_px = first_px + sum(row.height_px for row in rows)
    led = f"H{LEFT_PX + BOX_PX // 2}V{foot_px - 12}" if reaches_inverter else ""
    yield f'<path d="M{DC_BUS_PX} {first_px}V{foot_px - 18}{led}" stroke-width="3"/>'


def _direct(plan):
    """Rows of what meets on the DC bus: DC-coupled arrays and the battery."""
    found = _arrays(plan, "dc")
    if plan.battery:
        kwh = plan.battery.modules_n * plan.battery.module_wh / 1000
        lines = ["Battery", f"{plan.battery.modules_n} modules, {kwh:.1f} kWh"]
        if plan.battery.bank_v:
            lines.append(f"{plan.battery.bank_v:.0f} V, {plan.battery.parallel_n} in parallel")
        found += _each(plan, "battery", lines)
    return found


def _alternating(plan):
    """Rows of what joins a panel, the main inverter first."""
    found, former = [], plan.grid_former
    if former:
        lines = [
            "Main inverter",
            f"{former.units_n} × {former.continuous_w / 1000:.1f} kW, {former.output_v:.0f} V",
            former.arrangement if former.units_n > 1 else "one unit",
        ]
        found += _each(plan, "main inverter", lines)
    found += _arrays(plan, "ac")
    if plan.generator:
        lines = ["Generator", f"{plan.generator.rated_w / 1000:.1f} kW"]
        found += _each(plan, "generator", lines)
    return found


def _arrays(plan, coupling):
    kind = "PV inverter" if coupling == "ac" else "DC converter"
    found = []
    for inverter in plan.pv_inverters if coupling == "ac" else ():
        behind = [array for array in plan.arrays if array.inverter == inverter.name]
        lines = [inverter.name, f"PV inverter {inverter.converter_w / 1000:.1f} kW"]
        for fed in sorted(behind, key=lambda array: array.inverter_input_n):
            lines += [f"input {fed.inverter_input_n}: {fed.name}", *_strings(fed)]
        found += _each(plan, inverter.name, lines)
    for array in plan.arrays:
        if array.coupling == coupling and array.inverter is None:
            lines = [array.name, f"{kind} {array.converter_w / 1000:.1f} kW", *_strings(array)]
            found += _each(plan, array.name, lines)
    return found


def _strings(array):
    """Lines on an array's strings, their fuse and wire, and the wire after the joint."""
    strings = f"{array.strings_n} × {array.modules_per_string_n} × {array.module_w:.0f} W"
    if array.fuse_a:
        strings += f", fuse {array.fuse_a:.0f} A"
    lines = [strings]
    metal = "Cu" if array.wire_metal == "copper" else "Al"
    if array.wire_size:
        lines.append(f"string wire AWG {array.wire_size} {metal}")
    if array.joined_strings_n:
        wire = f"AWG {array.joined_wire_size} {metal}" if array.joined_wire_size else "not entered"
        fuse = f"{array.joined_fuse_a:.0f} A" if array.joined_fuse_a else "no fuse entered"
        lines.append(f"{array.joined_strings_n} joined: wire {wire}, {fuse}")
    return lines


def _each(plan, feeds, lines):
    """The lines with each circuit of a source, or with none if no circuit is entered."""
    own = [circuit for circuit in plan.circuits if circuit.feeds == feeds]
    return [Row(lines, circuit) for circuit in own or (None,)]


def _loads(plan, panel):
    """Circuits of a panel that feed loads, then its feeders, the last section's first."""
    apart = {array.name for array in (*plan.arrays, *plan.converters)} | set(SOURCES)
    subpanels = [subpanel.name for subpanel in plan.subpanels]
    here = [
        circuit
        for circuit in plan.circuits
        if circuit.panel == panel and circuit.feeds not in apart
    ]
    found = [
        Row([circuit.name, f"feeds {circuit.feeds}"], circuit)
        for circuit in here
        if circuit.feeds not in subpanels
    ]
    order = _panels(plan)
    feeders = [circuit for circuit in here if circuit.feeds in subpanels]
    for feeder in sorted(feeders, key=lambda circuit: -order.index(circuit.feeds)):
        found.append(Row([feeder.name, f"feeder to {feeder.feeds}"], feeder, feeder.feeds))
    return found


def _branch(box_px, wide_px, ends, top_px, row, unit_system):
    """Box, breaker and wire of one row."""
    tall_px = row.height_px - GAP_PX
    yield f'<rect x="{box_px}" y="{top_px - 12}" width="{wide_px}" height="{tall_px}"/>'
    for number, line in enumerate(row.lines):
        at_px = top_px + 3 + LINE_PX * number
        yield _text(box_px + 8, at_px, _short(line), "start", bold=number == 0)
    yield from _wire(ends, top_px + 14, row.circuit, unit_system)


def _wire(ends, y, circuit, unit_system):
    """Breaker and wire between two ends, with their sizes."""
    start, end = ends
    middle_px = (start + end) // 2
    if circuit is None:
        yield f'<path d="M{start} {y}H{end}" stroke-dasharray="4 4"/>'
        yield _text(middle_px, y - 8, "no circuit entered", "middle")
        return
    yield f'<path d="M{start} {y}H{middle_px - 12}M{middle_px + 12} {y}H{end}"/>'
    # A breaker is an arc over the gap in the line; common practice in one-line diagrams, no source.
    yield f'<path d="M{middle_px - 12} {y}A14 14 0 0 1 {middle_px + 12} {y}" stroke-width="2"/>'
    rated = f"{circuit.breaker_a:.0f} A" if circuit.breaker_a else "breaker not entered"
    opens = "disconnect" if circuit.disconnect else "no disconnect"
    if circuit.disconnect is None:
        opens = "disconnect not entered"
    yield _text(middle_px, y - 14, f"{rated}, {opens}", "middle")
    length = units.show(circuit.length_m, "length", unit_system)
    metal = "Cu" if circuit.metal == "copper" else "Al"
    beside = f"{circuit.parallel_n} × " if circuit.parallel_n > 1 else ""
    yield _text(middle_px, y + 18, f"{beside}AWG {circuit.size} {metal}, {length}", "middle")


def _short(line):
    return line if len(line) <= LONGEST else line[: LONGEST - 1] + "…"


def _text(x, y, text, anchor, bold=False):
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x}" y="{y}" text-anchor="{anchor}"{weight} fill="currentColor" '
        f'stroke="none">{svg_text(text)}</text>'
    )
