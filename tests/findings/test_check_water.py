"""Findings about water: each one there when its rule is broken, and gone when it is not."""

import copy
import re

import pytest
from small_plans import PUMP, SMALLEST, WELL, plan_of

from homestead import units
from homestead.simulate.inputs import hours_of
from homestead.trades.water import check_water as water

SHIPPED = ("demo", "cabin", "cold-coast")
TANK = {"volume": "200 L", "cut_in": "210 kPa", "cut_out": "350 kPa"}
CISTERN = {"volume": "2 m^3"}
HAND = {"source": "well", "flow": "3 L/min", "daily_limit": "60 min"}


def small(**parts):
    """A small place without any fault in its water but the dark, then changed."""
    raw = copy.deepcopy(SMALLEST)
    raw["site"] = raw["site"] | {"record_low": "1 °C"}
    raw |= {"well": WELL | {"drawdown": "8 m"}, "pump": PUMP | {"flow": "5 L/min"}}
    raw |= {"pipe": {"length": "80 m"}, "pressure_tank": dict(TANK), "by_hand": dict(HAND)}
    for part, entries in parts.items():
        if entries is None:
            raw.pop(part, None)
        elif isinstance(entries, list):
            raw[part] = entries
        else:
            raw[part] = raw.get(part, {}) | entries
    return plan_of(raw)


def found(plan, about=None, hours=None):
    return [one for one in water.findings_of(plan, hours) if about in (None, one.about)]


def only(plan, about, hours=None):
    """The one finding about a part; the test fails if there is none or more."""
    (one,) = found(plan, about, hours)
    assert one.source and one.said().endswith((".", "decide."))
    return one


def test_the_small_place_has_no_finding():
    assert found(small()) == []


def test_wire_to_water_outside_the_band_of_field_tests():
    high = only(small(pump={"wire_to_water": 0.8}), "well pump")
    assert high.severity == "warning" and "80 %" in high.said() and "30 to 75 %" in high.said()
    assert only(small(pump={"wire_to_water": 0.1}), "well pump")
    assert not found(small(pump={"wire_to_water": 0.45}), "well pump")


def test_a_pump_above_the_yield():
    # 15 L/min out of a bore of 0.4418 m3 (25 m of 150 mm) that gets 6 L/min: dry in 49 min.
    one = only(small(pump={"flow": "15 L/min"}), "well pump")
    assert one.severity == "warning" and "about 49 min" in one.said()
    assert "licensed well driller" in one.said()
    assert not found(small(pump={"flow": "6 L/min"}), "well pump")


def test_a_pump_set_against_the_drawdown():
    # The pumping level at 6 L/min is 10 m + drawdown; the pump hangs at 35 m.
    deep = small(pump={"flow": "6 L/min"}, well={"drawdown": "26 m"})
    one = only(deep, "well pump")
    assert one.severity == "danger" and "run dry" in one.said()
    close = small(pump={"flow": "6 L/min"}, well={"drawdown": "23 m"})
    one = only(close, "well pump")
    assert one.severity == "warning" and "just below" in one.said()
    assert not found(small(pump={"flow": "6 L/min"}, well={"drawdown": "21 m"}), "well pump")
    # Without a drawdown in the log nothing can be said.
    raw = copy.deepcopy(SMALLEST) | {"well": WELL, "pump": PUMP | {"flow": "6 L/min"}}
    assert not found(plan_of(raw | {"pipe": {"length": "80 m"}}), "well pump")


def test_a_pump_curve_that_does_not_reach():
    weak = small(pump={"curve": ["0 L/min at 30 m", "20 L/min at 5 m"]})
    one = only(weak, "well pump")
    assert one.severity == "danger" and "no water" in one.said()
    short = small(pump={"curve": ["0 L/min at 190 m", "5 L/min at 180 m"]})
    assert only(short, "well pump").severity == "note"
    fits = small(pump={"curve": ["0 L/min at 60 m", "8 L/min at 30 m"]})
    assert not found(fits, "well pump")


def test_too_many_starts_a_day():
    # 60 L a day through a drawdown of some 59 L is one start; 900 L through 1.5 L are 600.
    tank = TANK | {"volume": "5 L"}
    busy = small(pressure_tank=tank, water_use={"per_person": "900 L"}, cistern=CISTERN)
    starts = [one for one in found(busy, "well pump") if "starts on a day" in one.said()]
    assert len(starts) == 1 and starts[0].severity == "warning"
    assert "above the 300" in starts[0].said() and "maker" in starts[0].said()
    calm = small(pressure_tank=tank)
    assert not [one for one in found(calm, "well pump") if "starts on a day" in one.said()]


def test_too_short_a_run_names_the_tank_that_would_do():
    one = only(small(pressure_tank={"volume": "10 L"}), "pressure tank")
    assert one.severity == "warning" and "should run 60 s" in one.said()
    wanted = re.search(r"pump: ([\d.]+) gal would give", one.said())
    liters = units.parse(f"{wanted[1]} gal", "volume") * 1000
    assert not found(small(pressure_tank={"volume": f"{liters * 1.01:.1f} L"}), "pressure tank")
    assert found(small(pressure_tank={"volume": f"{liters * 0.98:.1f} L"}), "pressure tank")


def test_a_two_hour_peak_that_is_not_met():
    weak = small(well={"yield": "0.5 L/min", "drawdown": "20 m"}, pump={"flow": "0.5 L/min"})
    assert not found(weak, "well")
    one = only(
        small(
            well={"yield": "0.5 L/min", "drawdown": "20 m"},
            pump={"flow": "0.5 L/min"},
            water_use={"per_person": "300 L"},
        ),
        "well",
    )
    assert one.severity == "warning" and "The rule of thumb is" in one.said()
    # A cistern carries the peak.
    carried = small(
        well={"yield": "0.5 L/min", "drawdown": "20 m"},
        pump={"flow": "0.5 L/min"},
        water_use={"per_person": "300 L"},
        cistern=CISTERN,
    )
    assert not found(carried, "well")


@pytest.mark.parametrize(
    ("parts", "is_found"),
    [
        ({"by_hand": None}, True),
        ({"by_hand": None, "cistern": CISTERN | {"delivery": "booster pump"}}, True),
        ({"by_hand": None, "cistern": CISTERN | {"delivery": "bucket"}}, True),
        ({"by_hand": {"flow": "0 L/min"}}, True),
        ({"by_hand": None, "cistern": CISTERN | {"delivery": "gravity"}}, False),
        ({"by_hand": HAND}, False),
        ({"by_hand": HAND | {"source": "cistern"}, "cistern": CISTERN}, False),
    ],
)
def test_no_water_without_power(parts, is_found):
    plan = small(**parts)
    assert bool(found(plan, "water without power")) == is_found


def test_too_little_time_by_hand(greensboro):
    def with_minutes(minutes):
        plan = small(by_hand=HAND | {"flow": "1 L/min", "daily_limit": f"{minutes} min"})
        return plan, hours_of(plan, years_n=1, measured=greensboro)

    # One person's gallon at 1 L/min takes 3.8 min.
    plan, hours = with_minutes(3)
    one = only(plan, "water by hand", hours)
    assert one.severity == "warning" and "Not enough" in one.said()
    plan, hours = with_minutes(4)
    assert not found(plan, "water by hand", hours)


def test_low_pressure_by_gravity():
    # 20 psi is 46 ft of water: 13 m are below it, 15 m above.
    low = [
        one
        for one in found(small(cistern=CISTERN | {"above_taps": "13 m"}), "cistern")
        if "height alone" in one.said()
    ]
    assert len(low) == 1 and low[0].severity == "note"
    for cistern in (CISTERN, CISTERN | {"above_taps": "15 m"}):
        assert not [
            one for one in found(small(cistern=cistern), "cistern") if "height alone" in one.said()
        ]


def test_a_cistern_below_the_fire_reserve_only_when_asked():
    # NFPA 1142: 10,000 ft3 / 7 x 1.5 = 2,143 gal.
    building = {"fire_building": "10000 ft^3"}
    one = only(small(water_use=building, cistern={"volume": "2000 gal"}), "fire reserve")
    assert one.severity == "warning" and "2,143 gal" in one.said()
    assert "fire department decides" in one.said()
    assert not found(small(water_use=building, cistern={"volume": "2200 gal"}), "fire reserve")
    assert not found(small(cistern={"volume": "200 gal"}), "fire reserve")
    assert only(small(water_use=building), "fire reserve")  # no cistern at all


def test_what_lies_too_near_the_well():
    near = ["septic tank: 49 ft", "manure stack: 249 ft", "leach field: 120 ft"]
    texts = [one.said() for one in found(small(well={"neighbors": near}), "well")]
    assert len(texts) == 2
    assert texts[0].startswith("Septic tank at 49 ft") and "is 50 ft" in texts[0]
    assert texts[1].startswith("Manure stack at 249 ft") and "is 250 ft" in texts[1]
    assert all("health department" in text for text in texts)
    far = ["septic tank: 50 ft", "manure stack: 250 ft"]
    assert not found(small(well={"neighbors": far}), "well")


def test_stored_water_turns_over():
    one = only(small(cistern=CISTERN), "cistern")
    assert one.severity == "note" and "every 6 months" in one.said()
    assert "about 33 days" in one.said()  # 2 m3 at 60 L a day
    assert "roof" not in one.said()
    assert "roof" in only(small(cistern=CISTERN, rain={"roof": "50 m²"}), "cistern").said()
    assert not found(small(), "cistern")


def test_frost():
    assert only(small(site={"record_low": "-12 °C"}), "water lines").severity == "note"
    assert not found(small(site={"record_low": "0 °C"}), "water lines")


@pytest.mark.parametrize("name", SHIPPED)
def test_findings_of_the_shipped_plans_defer_and_never_reassure(shipped_hours, name):
    hours = shipped_hours[name]
    findings = found(hours.plan, hours=hours)
    assert findings
    for one in findings:
        words = one.said().lower() + one.about
        assert not re.search(r"\b(safe|safely|legal|compliant|potable|drinkable)\b", words)
        assert one.source


def test_the_coast_is_warned_of_its_pump_and_the_demo_is_not(shipped_hours):
    about = {
        name: {one.about for one in found(hours.plan, hours=hours) if one.severity != "note"}
        for name, hours in shipped_hours.items()
    }
    assert about == {"demo": set(), "cabin": set(), "cold-coast": {"well pump"}}
