"""Three PV inverters on two main inverters: what an installer would find, from the plan alone.

Each figure is worked by hand beside it, from NEC tables (from memory) and the plan's own entries.
"""

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

import homestead as hs
from homestead.plan import open_plan, with_changes
from homestead.questions.parts_out import parts_of
from homestead.screen.one_line import one_line
from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import years_with_deliveries
from homestead.trades.power import check_electrical

PLAN = Path(__file__).resolve().parent.parent / "plans" / "three_pv_inverters.toml"


@pytest.fixture(scope="module")
def plan():
    return open_plan(PLAN)


@pytest.fixture(scope="module")
def found(plan):
    return list(check_electrical.findings_of(plan))


def about(found, text, part=""):
    return [one for one in found if one.about == text and part in one.said()]


def test_nothing_in_it_is_a_danger_and_its_warnings_are_the_installers(found):
    assert [one.about for one in found if one.severity == "danger"] == []
    warned = [one.about for one in found if one.severity == "warning"]
    assert warned == [
        "AC coupling",  # nothing wakes a dead house: all sun follows the main inverters
        "PV with a unit lost",
        "120/240 V balance",
        "continuous power",
        "starting surge",
        "loss of a unit",
    ]


@pytest.mark.parametrize(
    ("circuit", "least_a"),
    [
        ("main inverters", 1.25 * 16000 / 240),
        ("battery cables", 1.25 * 16000 / 0.94 / 51.2),
        ("south inverter", 1.25 * 7600 / 240),
        ("barn inverter", 1.25 * 5000 / 240),
        ("basement inverter", 1.25 * 3000 / 240),
        ("basement feeder", 5000 / 240 + 1.25 * 4500 / 240),  # dryer, and heater for hours
        ("dryer", 5000 / 240),
        ("water heater", 1.25 * 4500 / 240),
        ("compressor", 35.2),  # its plate
        ("well", 1.25 * 9.8),  # its plate, above the table's 8 A for 1 hp at 230 V
    ],
)
def test_each_circuit_is_held_against_the_current_by_hand(found, circuit, least_a):
    (wire,) = about(found, f"circuit {circuit}: wire")
    assert wire.values["least_a"] == pytest.approx(least_a)
    assert wire.severity == "note"


def test_the_joined_strings_are_a_circuit_of_their_own(found):
    # 2 x 13.6 A = 27.2 A; x 1.25 x 1.25 = 42.5 A, so a 45 A fuse; AWG 6 at 60 °C carries
    # 75 A x 0.71 = 53 A. One string: 21.25 A.
    (joined,) = about(found, "array south roof", "After the joint")
    assert "27.2 A" in joined.said() and "42.5 A" in joined.said() and joined.severity == "note"
    thin = {"array.south roof.joined_wire_size": "12"}
    plan = with_changes(open_plan(PLAN).raw, thin)
    worse = list(check_electrical.findings_of(plan))
    (joined,) = about(worse, "array south roof", "After the joint")
    assert joined.severity == "danger"


def test_coupling_counts_each_inverter_once(found):
    # 7.6 + 5.0 + 3.0 = 15.6 kW on 16 kW; with one unit lost 8 kW, so 7.6 kW must go.
    assert about(found, "AC coupling", "15.6 kW in all feed 2 main inverter units")
    (lost,) = about(found, "PV with a unit lost")
    assert "at least 7.6 kW" in lost.said()


def test_busbars_count_what_feeds_them(found):
    # Main: 15.6 kW / 240 V = 65 A, 81.25 A with 125 %, of 240 - 100 A.
    (main,) = about(found, "panel busbar")
    assert main.values["asked_a"] == pytest.approx(1.25 * 65.0)
    assert main.values["allowed_a"] == pytest.approx(140.0)
    # Basement: its own inverter alone, 15.6 A of 120 A less the feeder's 60 A.
    (sub,) = about(found, "panel basement busbar")
    assert sub.values["asked_a"] == pytest.approx(1.25 * 12.5)
    assert sub.values["allowed_a"] == pytest.approx(60.0)


def test_starts_by_the_plates(found):
    # 148 A x 240 V = 35.5 kVA on a surge of 2 x 16 kW; a third with a soft starter.
    (surge,) = about(found, "starting surge")
    assert "cooling, 35.5 kVA" in surge.said() and "With a soft starter" in surge.said()
    (loss,) = about(found, "loss of a unit")
    assert "cooling, starts with 35.5 kVA by itself: outside" in loss.said()
    # 48 A x 240 V = 11.5 kVA for the pump.
    asked = hs.run_together(open_plan(PLAN), month=7, hour=14)
    table = asked.table.set_index(["situation", "soft_starters", "load"]).sort_index()
    night = table.loc["by night", False]
    assert night.loc["well pump", "start_va"] == 48 * 240.0
    assert not night.loc["cooling", "fits"]
    assert table.loc[("by night", True, "cooling"), "fits"]
    assert night.loc["cooling", "running_w"] == pytest.approx(5 * 12000 / 12.0, rel=1e-3)  # EER
    down = table.loc["by day, one main inverter down", False]
    assert not down.loc["cooling", "fits"] and down.loc["well pump", "fits"]


def test_the_diagram_holds_every_panel_source_and_circuit(plan):
    root = ET.fromstring(str(one_line(plan)))
    at = {"".join(n.itertext()): (float(n.get("x")), float(n.get("y"))) for n in root.iter("text")}
    for text in (
        "Main panel: busbar 200 A, main 100 A",
        "basement: busbar 100 A, no main",
        "2 × 8.0 kW, 240 V",
        "9 modules, 46.1 kWh",
        "PV inverter 7.6 kW",
        "PV inverter 5.0 kW",
        "PV inverter 3.0 kW",
        "2 joined: wire AWG 6 Cu, 45 A",
        "2 × AWG 4/0 Cu, 6 ft",
        "feeder to basement",
    ):
        assert text in at, text
    below = at["basement: busbar 100 A, no main"][1]
    names = ("basement inverter", "dryer", "water heater")
    assert all(at[name][1] > below for name in names)
    names = ("south inverter", "barn inverter", "compressor", "well", "basement feeder", "Battery")
    assert all(at[name][1] < below for name in names)
    wide, tall = (float(n) for n in root.get("viewBox").split()[2:])
    assert all(0 <= x <= wide and 0 <= y <= tall for x, y in at.values())
    for path in root.iter("path"):
        across = [float(x) for x in re.findall(r"[MH]\s*([\d.]+)", path.get("d"))]
        assert max(across) <= wide


def test_its_year_closes_and_the_house_lives_on_its_inverters(plan):
    outlook = hs.run(plan, 2)
    year = outlook.year.totals
    assert year["generator_h"] == 0.0 and year["used_kwh"] > 4000.0
    hours = hours_of(plan, 2)
    # The surplus tank heats from the sun and never by night.
    dark = hours.column("pv_ac_w") + hours.column("pv_dc_w") <= 0.0
    heat_w = years_with_deliveries(hours).flows["electric_heat_w"].to_numpy()
    assert heat_w[dark].max() == 0.0 and heat_w.sum() > 1e5
    parts = {one.name for one in parts_of(plan)}
    assert {"the PV inverter south inverter", "one of the main inverters"} <= parts
