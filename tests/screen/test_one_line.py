import re
import xml.etree.ElementTree as ET
from pathlib import Path

from homestead.plan import open_plan, with_changes
from homestead.screen.one_line import Diagram, one_line

PLANS = Path(__file__).resolve().parent.parent / "plans"


def texts(plan):
    root = ET.fromstring(str(one_line(plan)))
    return ["".join(node.itertext()) for node in root.iter("text")]


def test_every_array_and_circuit_of_the_plan_stands_in_the_diagram():
    plan = open_plan()
    shown = texts(plan)
    assert plan.arrays and plan.circuits
    for array in plan.arrays:
        assert array.name in shown
    for circuit in plan.circuits:
        assert any(f"AWG {circuit.size} " in line for line in shown), circuit.name
        assert any(line.startswith(f"{circuit.breaker_a:.0f} A") for line in shown), circuit.name
    assert sum(line.startswith("AWG") for line in shown) == len(plan.circuits)


def test_what_is_not_entered_is_said_and_text_is_never_acted_on():
    plan = open_plan()
    first = plan.circuits[0].model_copy(update={"breaker_a": None, "disconnect": None})
    last = plan.circuits[-1].model_copy(update={"name": "<b>&"})
    shown = texts(plan.model_copy(update={"circuits": (first, last)}))
    assert "breaker not entered, disconnect not entered" in shown
    assert "no circuit entered" in shown and "<b>&" in shown


def test_a_second_circuit_of_one_source_is_drawn_too():
    plan = open_plan()
    battery = next(circuit for circuit in plan.circuits if circuit.feeds == "battery")
    twin = battery.model_copy(update={"name": "second cable"})
    before, after = (
        sum(line == "Battery" for line in texts(one))
        for one in (plan, plan.model_copy(update={"circuits": (*plan.circuits, twin)}))
    )
    assert (before, after) == (1, 2)


def test_dc_sources_do_not_reach_the_panel():
    plan = open_plan()
    assert {array.coupling for array in plan.arrays} == {"ac", "dc"}
    shown = texts(plan)
    order = [
        shown.index(next(array.name for array in plan.arrays if array.coupling == "dc")),
        shown.index("Battery"),
        shown.index("Main inverter"),
        shown.index(next(array.name for array in plan.arrays if array.coupling == "ac")),
    ]
    assert order == sorted(order) and "DC" in shown


def test_a_notebook_shows_it_as_svg_and_names_its_parts():
    plan = open_plan()
    shown = Diagram(plan)
    assert shown._repr_html_() == str(one_line(plan))
    assert repr(shown).startswith("One-line diagram: ") and "Main inverter" in repr(shown)


def test_cables_side_by_side_are_counted():
    plan = open_plan()
    battery = next(circuit for circuit in plan.circuits if circuit.feeds == "battery")
    twin = plan.model_copy(update={"circuits": (battery.model_copy(update={"parallel_n": 2}),)})
    assert any(line.startswith("2 × AWG 4/0 Cu") for line in texts(twin))


def test_feeders_of_feeders_do_not_cross():
    """Two subpanels on the main one, and one below the first: channels nest like brackets."""
    plan = open_plan(PLANS / "three_pv_inverters.toml")
    wire = {"length": "20 ft", "size": "10", "breaker": "30 A"}
    more = [wire | {"name": "shop feeder", "feeds": "shop", "panel": "basement"}]
    more.append(wire | {"name": "barn feeder", "feeds": "barn"})
    panels = [{"name": n, "busbar": "60 A", "main_breaker": "0 A"} for n in ("shop", "barn")]
    plan = with_changes(
        plan.raw,
        {
            "circuit": [*plan.raw["circuit"], *more],
            "subpanel": [*plan.raw["subpanel"], *panels],
        },
    )
    root = ET.fromstring(str(one_line(plan)))
    titles = [one for one in texts(plan) if ": busbar" in one]
    assert [one.split(":")[0] for one in titles] == ["Main panel", "barn", "basement", "shop"]
    lines = []  # what crosses: uprights of channels, and level wires that reach past them
    for path in root.iter("path"):
        upright = re.fullmatch(r"M([\d.]+) ([\d.]+)V([\d.]+)H480", path.get("d"))
        if upright:
            x, high, low = map(float, upright.groups())
            lines.append((x, high, low))
    assert len(lines) == 3
    for x, high, low in lines:
        for other, top, foot in lines:
            # A level wire from 700 out to `other`, at its top and at its foot.
            for y in (top, foot):
                assert not (other > x and high < y < low), (x, other)
