"""The electrician's one-line diagram, drawn from the plan as SVG with real text.

It draws what the plan says: a breaker or disconnect that is not entered says so. DC sources and the
battery meet on a DC bus before the main inverter; AC-coupled inverters join the panel. Where a
generator joins is not in the plan: it is drawn at the panel, and the note says so.
"""

import re
from html import unescape

from markupsafe import Markup

from homestead import units
from homestead.screen.escaping import svg_text

ROW_PX, WIDE_PX, TOP_PX = 64, 960, 64
BOX_PX, LEFT_PX, BUS_PX, RIGHT_PX = 210, 10, 480, 740
DC_BUS_PX = 420
NOTE = (
    "Drawn from your entries. Grounding and where a generator joins are not in them; it is drawn "
    "at the panel."
)


def one_line(plan):
    """One-line diagram of the plan: sources left of the main bus, loads right of it.

    plan (Plan)
    Gives Markup: One `svg` element; every text from the plan is escaped.
    """
    direct, alternating, loads = _direct(plan), _alternating(plan), _loads(plan)
    foot_px = TOP_PX + max(len(direct) + len(alternating), len(loads), 1) * ROW_PX
    bus = "Main panel"
    if plan.panel:
        main = f"main {plan.panel.main_breaker_a:.0f} A" if plan.panel.main_breaker_a else "no main"
        bus += f": busbar {plan.panel.busbar_a:.0f} A, {main}"
    parts = [
        _text(BUS_PX, 30, bus, "middle", bold=True),
        f'<path d="M{BUS_PX} {TOP_PX - 20}V{foot_px - 20}" stroke-width="5"/>',
    ]
    if direct:
        parts += _dc_bus(len(direct), plan.grid_former is not None)
    for row, (lines, circuit) in enumerate(direct):
        ends = (LEFT_PX + BOX_PX, DC_BUS_PX)
        parts += _branch(LEFT_PX, ends, row, lines, circuit, plan.units)
    for row, (lines, circuit) in enumerate(alternating, len(direct)):
        ends = (LEFT_PX + BOX_PX, BUS_PX)
        parts += _branch(LEFT_PX, ends, row, lines, circuit, plan.units)
    for row, (lines, circuit) in enumerate(loads):
        parts += _branch(RIGHT_PX, (BUS_PX, RIGHT_PX), row, lines, circuit, plan.units)
    parts.append(_text(LEFT_PX, foot_px + 14, NOTE, "start"))
    names = "; ".join(lines[0] for lines, _ in (*direct, *alternating, *loads))
    return Markup(
        f'<svg viewBox="0 0 {WIDE_PX} {foot_px + 24}" '
        'role="img" font-family="sans-serif" font-size="12" fill="none" stroke="currentColor">'
        f"<title>{svg_text('One-line diagram: ' + names)}</title>{''.join(parts)}</svg>"
    )


class Diagram:
    """The one-line diagram of a plan, as a notebook shows it."""

    def __init__(self, plan):
        self.drawn = one_line(plan)

    def __repr__(self):
        return unescape(re.search("<title>(.*?)</title>", self.drawn, re.DOTALL)[1])

    def _repr_html_(self):
        return str(self.drawn)


def _dc_bus(rows_n, reaches_inverter):
    """DC bus beside its rows, led to the top of the main inverter, which stands in the next row."""
    yield _text(DC_BUS_PX, TOP_PX - 10, "DC", "middle", bold=True)
    foot_px = TOP_PX + rows_n * ROW_PX
    led = f"H{LEFT_PX + BOX_PX // 2}V{foot_px - 12}" if reaches_inverter else ""
    yield f'<path d="M{DC_BUS_PX} {TOP_PX}V{foot_px - 17}{led}" stroke-width="3"/>'


def _direct(plan):
    """Text and circuit of what meets on the DC bus: DC-coupled arrays and the battery."""
    found = _arrays(plan, "dc")
    if plan.battery:
        kwh = plan.battery.modules_n * plan.battery.module_wh / 1000
        lines = ["Battery", f"{plan.battery.modules_n} modules, {kwh:.1f} kWh"]
        found += _each(plan, "battery", lines)
    return found


def _alternating(plan):
    """Text and circuit of what joins the panel, the main inverter first."""
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
        behind = [one for one in plan.arrays if one.inverter == inverter.name]
        lines = [
            inverter.name,
            f"PV inverter {inverter.converter_w / 1000:.1f} kW",
            ", ".join(f"{one.inverter_input_n}: {one.name}" for one in behind),
        ]
        found += _each(plan, inverter.name, lines)
    for array in plan.arrays:
        if array.coupling == coupling and array.inverter is None:
            lines = [
                array.name,
                f"{array.strings_n} × {array.modules_per_string_n} × {array.module_w:.0f} W",
                f"{kind} {array.converter_w / 1000:.1f} kW",
            ]
            found += _each(plan, array.name, lines)
    return found


def _each(plan, feeds, lines):
    """The lines with each circuit of a source, or with none if no circuit is entered."""
    own = [circuit for circuit in plan.circuits if circuit.feeds == feeds]
    if not own:
        return [(lines, None)]
    return [
        ([*lines[:2], f"in {circuit.panel}; {lines[2]}"[:60]] if circuit.panel else lines, circuit)
        for circuit in own
    ]


def _loads(plan):
    """Circuits of the main panel, each subpanel's below its feeder."""
    apart = {one.name for one in (*plan.arrays, *plan.converters)}
    apart |= {"battery", "main inverter", "generator"}
    subpanels = {one.name: one for one in plan.subpanels}
    found, fed = [], set()

    def lay(panel):
        for circuit in plan.circuits:
            if circuit.panel != panel or circuit.feeds in apart:
                continue
            lines = [circuit.name, f"feeds {circuit.feeds}"]
            sub = subpanels.get(circuit.feeds)
            if sub:
                lines[1] = f"feeder: busbar {sub.busbar_a:.0f} A, main {sub.main_breaker_a:.0f} A"
            if panel:
                lines.append(f"in {panel}")
            found.append((lines, circuit))
            if sub and sub.name not in fed:
                fed.add(sub.name)
                lay(sub.name)

    lay(None)
    for name in subpanels:
        if name not in fed:  # a panel whose feeder nobody entered
            lay(name)
    return found


def _branch(box_px, ends, row, lines, circuit, unit_system):
    """Box, breaker and wire of one row."""
    (start, end), top_px = ends, TOP_PX + row * ROW_PX
    middle_px, y = (start + end) // 2, top_px + 14
    yield f'<rect x="{box_px}" y="{top_px - 12}" width="{BOX_PX}" height="54"/>'
    for number, line in enumerate(lines):
        shown = line if len(line) <= 32 else line[:31] + "…"
        yield _text(box_px + 8, top_px + 3 + 16 * number, shown, "start", bold=number == 0)
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
    yield _text(middle_px, y - 16, f"{rated}, {opens}", "middle")
    length = units.show(circuit.length_m, "length", unit_system)
    metal = "Cu" if circuit.metal == "copper" else "Al"
    beside = f"{circuit.parallel_n} × " if circuit.parallel_n > 1 else ""
    yield _text(middle_px, y + 18, f"{beside}AWG {circuit.size} {metal}, {length}", "middle")


def _text(x, y, text, anchor, bold=False):
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x}" y="{y}" text-anchor="{anchor}"{weight} fill="currentColor" '
        f'stroke="none">{svg_text(text)}</text>'
    )
