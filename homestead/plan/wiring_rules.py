"""Rules between circuits, their wires and the panels in which they stand."""

from typing import Any

from homestead import reference, units
from homestead.plan import fields, wiring
from homestead.plan.fields import Fault, members, must_name, typed_names


def _wires_are_known(plan):
    sizes = {
        tuple(row.item.split())
        for row in reference.table("conductors")
        if row.quantity == "ampacity_75c"
    }
    wires = [
        (("circuit", n), "", member.size, member.metal, member.insulation_c)
        for n, member in members(plan.circuits)
    ]
    wires += [
        (("array", n), "wire_", member.wire_size, member.wire_metal, member.wire_insulation_c)
        for n, member in members(plan.arrays)
    ]
    wires += [
        (("array", n), "joined_wire_", member.joined_wire_size, member.wire_metal, None)
        for n, member in members(plan.arrays)
    ]
    for where, prefix, size, metal, insulation_c in wires:
        if size and (size, metal) not in sizes:
            known = [s for s, m in sorted(sizes, key=_by_size) if m == metal]
            yield Fault(
                (*where, f"{prefix}size"),
                f"must be a trade size of {metal}, one of "
                f"{fields.some_of(known, size)}; got {units.quoted(size, 40)}",
            )
        if insulation_c and min(abs(insulation_c - known) for known in (60, 75, 90)) > 0.1:
            yield Fault((*where, f"{prefix}insulation"), "must be 60, 75 or 90 °C")
    for number, member in members(plan.circuits):
        if member.terminals_c and min(abs(member.terminals_c - c) for c in (60, 75, 90)) > 0.1:
            yield Fault(("circuit", number, "terminals"), "must be 60, 75 or 90 °C")
    panels: list[tuple[tuple, Any]] = [(("panel",), plan.panel)] if plan.panel else []
    panels += [(("subpanel", number), member) for number, member in members(plan.subpanels)]
    for where, panel in panels:
        if panel.main_breaker_a > panel.busbar_a:
            yield Fault((*where, "main_breaker"), "must not be above the busbar's rating")


def _by_size(pair):
    size = pair[0]
    return int(size.split("/")[0]) * (1 if "/" in size else -1)


def _circuits_feed_something(plan):
    subpanels = typed_names(plan, "subpanel")
    names = [
        name
        for key in ("appliance", "array", "pv_inverter", "heater")
        for name in typed_names(plan, key)
    ]
    names += subpanels
    # The fixed words stand even while their part is left out, as when a plan is tried without it.
    known = names + list(wiring.FEEDS)
    for number, member in members(plan.circuits):
        if member.feeds not in known and member.current_a is None:
            where, otherwise = ("circuit", number, "feeds"), ", or give its current"
            yield must_name(where, "what it feeds", known, member.feeds, otherwise=otherwise)
        if member.panel is not None and member.panel not in subpanels:
            where, otherwise = ("circuit", number, "panel"), ", or be left out for the main panel"
            yield must_name(where, "a [[subpanel]]", subpanels, member.panel, otherwise=otherwise)
    yield from _feeders_make_a_tree(plan, subpanels)


def _feeders_make_a_tree(plan, subpanels):
    feeders = {
        member.feeds: member.panel
        for _, member in members(plan.circuits)
        if member.feeds in subpanels
    }
    for number, name in enumerate(subpanels):
        above, seen = name, set()
        while above in feeders and above not in seen:
            seen.add(above)
            above = feeders[above]
        if above in seen:
            yield Fault(("subpanel", number), "must not feed itself through other panels")


RULES = (_wires_are_known, _circuits_feed_something)
