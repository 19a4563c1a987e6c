"""Findings about warmth: each is there when its figures say so, and gone when they do not."""

import copy

import pytest
from small_plans import SMALLEST, plan_of

from homestead.findings.gather import findings_of
from homestead.plan import open_plan
from homestead.simulate.inputs import hours_of
from homestead.trades.warmth import check_warmth as warmth

STOVE = {"name": "stove", "store": "shed", "output": "9 kW", "efficiency": 0.7}
FURNACE = {
    "name": "furnace",
    "store": "gas",
    "output": "9 kW",
    "efficiency": 0.9,
    "electric": "300 W",
}
SHED = {"name": "shed", "fuel": "cordwood", "amount": "3 cords"}
TANK = {"name": "gas", "fuel": "propane", "amount": "350 gal", "tank": "500 gal"}
HEAT_PUMP = {
    "name": "heat pump",
    "store": "electricity",
    "output": "9 kW",
    "efficiency": 2.8,
    "mild_output": "9 kW",
    "mild_cop": 3.6,
    "cold_output": "6 kW",
    "cold_cop": 2.2,
}
GENERATOR = {
    "rated": "5 kW",
    "store": "gas",
    "no_load_fuel": "6 kW",
    "full_load_fuel": "22 kW",
}


def quiet():
    """A plan about whose warmth nothing is found but that fuel is burnt indoors."""
    raw = copy.deepcopy(SMALLEST)
    raw["site"]["record_low"] = "-10 °C"
    raw["house"] |= {"keep": "20 °C", "air_changes_h": 0.5, "mass": "heavy", "design": "-8 °C"}
    raw["envelope"][0]["r"] = "4 m²·K/W"
    raw |= {"heater": [STOVE, FURNACE], "fuel": [SHED, TANK]}
    return raw


def edited(edit):
    raw = quiet()
    edit(raw)
    return raw


def found(raw, with_weather=True):
    plan = plan_of(raw)
    hours = hours_of(plan, years_n=1) if with_weather else None
    return list(warmth.findings_of(plan, hours))


def shelled(raw):
    raw["envelope"][0]["r"] = "0.15 m²·K/W"


def no_heaters(raw):
    del raw["heater"]


def small_first(raw):
    raw["heater"][0] = STOVE | {"output": "1 kW"}


def powered_only(raw):
    raw["heater"] = [FURNACE, HEAT_PUMP | {"off_below": "-25 °C"}]


def early_stop(raw):
    raw["heater"].append(HEAT_PUMP | {"off_below": "-5 °C"})


def cold_tank(raw):
    raw["site"]["record_low"] = "-38 °C"


def overfull_delivery(raw):
    raw["fuel"][1] = TANK | {"delivery_months": "Sep", "delivery_amount": "450 gal"}


def near_tank(raw):
    raw["fuel"][1] = TANK | {"tank_distance": "8 ft"}


def near_buried_tank(raw):
    raw["fuel"][1] = TANK | {"tank_distance": "8 ft", "tank_place": "underground"}


def shared_tank(raw):
    raw["generator"] = GENERATOR


def tight_house(raw):
    raw["house"]["air_changes_h"] = 0.3


def small_rooms(raw):
    raw["house"]["floor"] = "20 m²"


def wet(raw):
    raw["fuel"][0] = SHED | {"moisture": 0.32}


def cool_rooms(raw):
    raw["house"]["keep"] = "16 °C"


def cool_for_the_old(raw):
    raw["house"]["keep"] = "19 °C"
    raw["person"][0]["age"] = 71


def light_house(raw):
    raw["house"]["mass"] = "light"
    raw["site"]["record_low"] = "-30 °C"
    raw["fuel"] = [SHED, TANK | {"amount": "399 gal"}]
    raw["heater"] = [STOVE]


# (what is changed, severity, about, words of the text)
PRESENT = [
    (shelled, "warning", "heaters", "All heaters together give"),
    (no_heaters, "warning", "heaters", "entered a heater"),
    (small_first, "note", "stove", "have to help"),
    (small_first, "warning", "heaters", "Without power only stove runs"),
    (powered_only, "warning", "heaters", "Every heater needs electricity"),
    (early_stop, "warning", "heat pump", "stops below"),
    (cold_tank, "warning", "gas", "less than the 10 kW all its burners"),
    (overfull_delivery, "warning", "gas", "at each delivery is more than"),
    (near_tank, "warning", "gas", "needs 10 ft"),
    (near_buried_tank, "warning", "gas", "needs 10 ft"),
    (shared_tank, "note", "gas", "days with both"),
    (tight_house, "warning", "combustion air", "tighter than the 0.4"),
    (small_rooms, "warning", "combustion air", "rooms hold"),
    (wet, "warning", "shed", "32 % moisture"),
    (cool_rooms, "note", "thermostat", "World Health Organization advises 64 °F"),
    (cool_for_the_old, "note", "thermostat", "babies and older people (A)"),
    (light_house, "warning", "pipes", "32 °F after about"),
]


@pytest.mark.parametrize(
    ("edit", "severity", "about", "words"),
    PRESENT,
    ids=[f"{one[0].__name__}-{one[1]}" for one in PRESENT],
)
def test_a_finding_is_there_when_its_figures_say_so(edit, severity, about, words):
    hits = [one for one in found(edited(edit)) if words in one.said()]
    assert [(one.severity, one.about) for one in hits] == [(severity, about)]
    assert hits[0].source


@pytest.mark.parametrize("words", sorted({words for *_, words in PRESENT} - {"32 °F after about"}))
def test_a_finding_is_gone_when_they_do_not(words):
    assert not [one for one in found(quiet()) if words in one.said()]


def test_the_quiet_plan_has_only_notes():
    assert {one.severity for one in found(quiet())} == {"note"}


def test_fire_indoors_brings_the_caution_and_its_absence_takes_it_away():
    assert any("carbon monoxide" in one.about for one in found(quiet()))
    raw = quiet()
    raw["heater"] = [STOVE | {"air": "sealed"}, FURNACE | {"air": "unit outdoors"}]
    assert not any("carbon monoxide" in one.about for one in found(raw))
    raw["cooking"] = {"store": "gas", "daily": "3 kWh"}
    (caution,) = [one for one in found(raw) if one.about == "carbon monoxide"]
    assert "cooking" in caution.said() and "stove" not in caution.said()


def test_pipes_are_a_note_where_the_house_is_slow_and_nothing_where_it_never_freezes():
    (slow,) = [one for one in found(quiet()) if one.about == "pipes"]
    assert slow.severity == "note"
    raw = quiet()
    raw["site"]["record_low"] = "2 °C"
    assert not [one for one in found(raw) if one.about == "pipes"]


def test_a_tank_beyond_the_fill_limit_is_told_even_if_no_file_could_hold_it():
    plan = plan_of(quiet())
    tank = plan.fuels[1].model_copy(update={"amount": plan.fuels[1].tank_m3 * 0.9})
    overfull = plan.model_copy(update={"fuels": (plan.fuels[0], tank)})
    (hit,) = [one for one in warmth.findings_of(overfull) if "in store is more" in one.said()]
    assert (hit.severity, hit.about) == ("warning", "gas")


def test_days_on_one_tank_by_hand():
    raw = edited(shared_tank)
    plan = plan_of(raw)
    hours = hours_of(plan, years_n=1)
    (hit,) = [one for one in warmth.findings_of(plan, hours) if "days with both" in one.said()]
    engine_days = hours.fuel_start_wh[1] / (22_000.0 * 24.0)  # no battery to charge: all day
    assert f"{engine_days:.0f} days if only the generator ran" in hit.said()
    assert "24 h a day at full load" in hit.said()


def test_without_weather_the_checks_of_the_plan_alone_remain():
    raw = edited(wet)
    assert {"shed", "pipes", "carbon monoxide"} <= {one.about for one in found(raw, False)}


@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_no_finding_calls_anything_safe_or_allowed(shipped_hours, name):
    texts = [
        one.said().lower() for one in findings_of(shipped_hours[name].plan, shipped_hours[name])
    ]
    texts += [one.said().lower() for edit, *_ in PRESENT for one in found(edited(edit), False)]
    for word in ("safe", "legal", "complian", "permitted", "allowed to install"):
        assert not [text for text in texts if word in text]


def test_a_plan_in_metric_is_told_in_metric(shipped_hours):
    plan = shipped_hours["cold-coast"].plan
    assert plan.units == "metric" and open_plan().units == "us"
    (pipes,) = [one for one in warmth.findings_of(plan) if one.about == "pipes"]
    assert "°C" in pipes.said(plan.units) and "°F" not in pipes.said(plan.units)
