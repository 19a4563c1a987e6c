"""The first questions of a new plan: everyday answers, typical values around them.

Nothing of the demo is left. What is answered is the family's own; what is not stays typical, or out
of the plan where the family has no such thing.
"""

import re
import unicodedata
from dataclasses import dataclass

import tomlkit

from homestead import reference, units
from homestead.formulas.food.food import energy_need_kcal_day
from homestead.plan.disk import PlanError
from homestead.plan.everyday import amount_text
from homestead.plan.schema import read_plan
from homestead.questions import families

TEMPLATE = "typical"
NONE = ("none", "no", "nothing", "0")
HEAT = {
    "wood": "wood stove", "propane": "propane furnace", "gas": "propane furnace",
    "electric": "electric heat",
}  # fmt: skip
DAYS = {"day": 1, "week": 7, "month": 30.4, "year": 365}
PUMP_FRAC = 0.8  # of the well's depth: where a pump usually hangs


@dataclass(frozen=True)
class Question:
    """One question."""

    # `example` shows how it may be answered
    key: str
    text: str
    example: str
    put: object  # puts an answer into the plain data of a plan; ValueError if it cannot be read


def begun(answers):
    """Text of a plan from answers, the rest typical.

    answers (dict of str to str) : By the key of each question, as typed; without one or empty:
        typical.

    Raises PlanError if an answer cannot be read, or the plan would not hold; all faults at once.
    """
    raw, faults = _typical(), []
    for question in QUESTIONS:
        text = str(answers.get(question.key) or "").strip()
        try:
            if text:
                question.put(raw, text)
        except ValueError as error:
            faults.append(f"{question.text} {error}")
    if not faults:
        _settle(raw, answers)
        faults = [str(fault.message) for fault in read_plan(raw)[1]]
    if faults:
        raise PlanError("\n".join(faults))
    return tomlkit.dumps(_inlined(raw))


def checked(question, text, before=()):
    """Refuse an answer with a ValueError that says why it cannot be read or would not hold."""
    raw = _typical()
    question.put(raw, text)
    _settle(raw, dict(before) | {question.key: text})
    faults = read_plan(raw)[1]
    if faults:
        raise ValueError(faults[0].message)


def _typical():
    path = reference.shipped("data", TEMPLATE, "plan.toml")
    return tomlkit.parse(path.read_text("utf-8")).unwrap() | {"began_from": TEMPLATE}


def _inlined(raw):
    """Plain data whose typical values stand in one line each, as in the shipped plans."""
    if isinstance(raw, list):
        return [_inlined(value) for value in raw]
    if not isinstance(raw, dict):
        return raw
    if "value" in raw:
        table = tomlkit.inline_table()
        table.update(raw)
        return table
    return {key: _inlined(value) for key, value in raw.items()}


def _is_none(text):
    return text.lower() in NONE


def _amount(text, kind):
    """Amount in a plan's own spelling; ValueError if it has no unit that fits."""
    said = amount_text(text)
    units.parse(said, kind)
    return said


def _name(raw, text):
    raw["name"] = text


def _units(raw, text):
    if text.lower() not in ("us", "metric"):
        raise ValueError(f"us or metric; got {text[:40]!r}")
    raw["units"] = text.lower()


def _weather(raw, text):
    raw["site"]["weather"] = text


def _people(raw, text):
    people = families.read("person", text)
    for person in people:
        person["name"] = unicodedata.normalize("NFC", person["name"])
    raw["person"] = people


def _animals(raw, text):
    raw["animal"] = [] if _is_none(text) else families.read("animal", text)


def _panels(raw, text):
    if _is_none(text):
        del raw["array"]
    else:
        raw["array"] = families.read("array", text)


def _single(part, spelled="{}"):
    """Reader of a part that a plan holds once, or not at all."""

    def put(raw, text):
        if _is_none(text):
            del raw[part]
            return
        (found,) = families.read(part, spelled.format(text), {"fuel": raw["fuel"]})
        raw[part] |= found

    return put


def _well(raw, text):
    if _is_none(text):
        for key in ("well", "pump", "pipe", "pressure_tank"):
            del raw[key]
        return
    (found,) = families.read("well", text)
    raw["well"] |= found
    depth_m = units.parse(found["depth"], "length")
    raw["pump"]["depth"] = families.typical(f"{PUMP_FRAC * depth_m:.0f} m")
    if isinstance(found["yield"], str):
        most = min(units.parse(flow, "flow") for flow in (found["yield"], raw["pump"]["flow"]))
        raw["pump"]["flow"] = families.typical(f"{most * 60000:.3g} L/min")


def _house(raw, text):
    share = units.parse(_amount(text, "area"), "area") / units.parse(raw["house"]["floor"], "area")
    raw["house"]["floor"] = amount_text(text)
    for part in raw["envelope"]:
        area_m2 = units.parse(part["area"], "area") * share
        part["area"] = families.typical(f"{area_m2:.3g} m2")


def _heat(raw, text):
    names = {name for word, name in HEAT.items() if word in text.lower()}
    if not names and not _is_none(text):
        raise ValueError(f"wood, propane, electric or none; got {text[:40]!r}")
    raw["heater"] = [heater for heater in raw["heater"] if heater["name"] in names]


def _store(name):
    def put(raw, text):
        if _is_none(text):
            raw["fuel"] = [stored for stored in raw["fuel"] if stored["name"] != name]
            return
        (fuel,) = [stored for stored in raw["fuel"] if stored["name"] == name]
        amount, _, tank = text.partition(" of ") if " tank" in text else (text, "", "")
        fuel["amount"] = _amount(amount, "volume")
        if tank:
            fuel["tank"] = _amount(tank.replace("tank", "").removeprefix("a ").strip(), "volume")

    return put


def _pantry(raw, text):
    said = amount_text(text)
    match = re.fullmatch(r"([\d.]+) (day|week|month|year)s?", said)
    if match:
        days = float(match[1]) * DAYS[match[2]]
        need_kcal = sum(
            float(energy_need_kcal_day(person["age"], person["sex"], person["activity"]))
            for person in raw["person"]
        )
        said = f"{need_kcal * days:.0f} kcal"
    elif _is_none(text):
        said = "0 kcal"
    units.parse(said, "food_energy")
    raw["pantry"][0]["energy"] = said


def _settle(raw, answers):
    """Leave out what depends on something that the family does not have."""
    heat = {heater["store"] for heater in raw["heater"]}
    stores = {"woodshed": "wood", "propane tank": "propane"}
    burned = {
        name for name in stores
        if name in heat or answers.get(stores[name])
        or (name == "propane tank" and answers.get("generator"))
    }  # fmt: skip
    raw["fuel"] = [fuel for fuel in raw["fuel"] if fuel["name"] in burned]
    has = {fuel["name"] for fuel in raw["fuel"]}
    raw["heater"] = [heater for heater in raw["heater"] if heater["store"] in has | {"electricity"}]
    for key in ("hot_water", "cooking", "generator"):
        if key in raw and raw[key]["store"] not in has:
            if key == "cooking" and "woodshed" in has:
                raw[key]["store"] = "woodshed"
            else:
                del raw[key]
    if not answers.get("generator"):
        raw.pop("generator", None)  # many have none: nobody is given one
    if "battery" not in raw:
        for array in raw.get("array", ()):
            array["coupling"] = "ac"
        if "array" not in raw:
            del raw["grid_former"]


QUESTIONS = (
    Question("name", "What do you call the place?", "Willow Bend", _name),
    Question("units", "US or metric units?", "us", _units),
    Question("weather", "Which weather?", "greensboro-nc, sand-point-ak or a weather file",
             _weather),
    Question("people", "Who lives there?", "Ann 39 f, Tom 41 m, Kit 9 f", _people),
    Question("animals", "Which animals?", "a dozen hens, 3 goats; or none", _animals),
    Question("panels", "Which solar panels?", "6 panels of 430 W facing south; or none", _panels),
    Question("battery", "How large a battery?", "12kWh; 5 kWh lead-acid; or none",
             _single("battery")),
    Question("generator", "A generator on propane?", "7 kW; or none",
             _single("generator", "{} on propane")),
    Question("well", "A well? How deep, and what does it give?", "220 ft, 4 gal/min; or none",
             _well),
    Question("cistern", "Water in a cistern or tanks?", "1500 gal; or none", _single("cistern")),
    Question("house", "How large is the heated part of the house?", "1600 ft²", _house),
    Question("heat", "What heats it?", "wood stove and propane", _heat),
    Question("wood", "How much firewood is stacked?", "two and a half cords; or none",
             _store("woodshed")),
    Question("propane", "How much propane?", "200 gal of a 500 gal tank; or none",
             _store("propane tank")),
    Question("pantry", "How long would your pantry feed all of you?", "two months", _pantry),
)  # fmt: skip
