"""A part of a plan from one line in everyday words: "6 panels of 430 W facing south".

What the line says is the family's own. What a part needs besides is filled in with a typical value
and marked as such (basis "typical"), to be replaced from a label; limits that protect people or
equipment are never filled in.
"""

import re

from homestead import reference, units
from homestead.plan.everyday import (
    DIRECTIONS,
    NUMBERS,
    amount_text,
    direction_deg,
    reads,
    understood,
)
from homestead.plan.fields import TYPICAL

EXAMPLES = {
    "array": "6 panels of 430 W facing south, 30 deg, on the barn",
    "battery": "4 of 5 kWh lithium iron phosphate",
    "generator": "7 kW on propane",
    "cistern": "1500 gal",
    "well": "220 ft deep, 4 gal/min",
    "pump": "1/2 hp at 180 ft, 5 gal/min",
    "fuel": "200 gal of propane in a 500 gal tank",
    "animal": "12 hens, 3 goats",
    "pantry": "50 lb rice, 40 lb beans",
    "appliance": "2 laptops, 4 h; chest freezer",
    "person": "Ann 39 f, Tom 41 m",
}
LISTS = ("array", "fuel", "animal", "pantry", "appliance", "person")
CELLS_V = 12.9  # a module's watts over its current: large ones carry 13 A at their best
OPEN_SHARE = 1.2  # open-circuit over operating voltage, usual for silicon
CHEMISTRY_WORDS = {
    "lithium iron phosphate": ("iron", "lfp", "lifepo4", "lithium"),
    "lithium nickel manganese cobalt": ("nickel", "nmc"),
    "lithium titanate": ("titanate", "lto"),
    "lead-acid": ("lead", "agm", "flooded", "gel"),
}
FUEL_WORDS = {
    "propane": ("propane", "lp gas"), "cordwood": ("cord", "firewood", "wood"),
    "pellets": ("pellet",), "fuel oil": ("fuel oil", "heating oil"), "diesel": ("diesel",),
    "gasoline": ("gasoline", "gas"),
}  # fmt: skip
STORES = {"propane": "propane tank", "cordwood": "woodshed"}
FOODS = {
    "rice": "white rice", "flour": "white flour", "beans": "pinto beans", "oil": "vegetable oil",
    "milk powder": "dry skim milk", "powdered milk": "dry skim milk",
}  # fmt: skip
ANIMALS = {
    "hens": "laying hen", "chickens": "laying hen", "cows": "milk cow", "pigs": "pig",
    "sheep": "sheep", "goats": "goat", "horses": "horse", "milk goats": "dairy goat",
}  # fmt: skip
SEXES = {"f": "female", "female": "female", "m": "male", "male": "male"}
_NUMBER = r"\d+(?:\.\d+)?"
_COUNT = r"(\d+|\b(?:" + "|".join(sorted(NUMBERS, key=len, reverse=True)) + r")\b)"


def read(part, text, plan=None):
    """Plain data of the members that a line adds to a part, or of the entries that it sets.

    part (str) : One of `EXAMPLES`.
    text (str) : What was typed, such as the examples.
    plan (dict, optional) : Plain data of the plan, to find the store that feeds a generator.
    Gives list of dict; one where a plan has the part once.

    Raises ValueError if the line does not say what the part needs, with an example.

    >>> [one] = read("battery", "4 of 5 kWh lead-acid")
    >>> one["modules"], one["module"], one["chemistry"], one["charge"]["basis"]
    (4, '5 kWh', 'lead-acid', 'typical')
    """
    if part not in EXAMPLES:
        raise ValueError(f"write one line such as {', '.join(EXAMPLES)}; got {part[:40]!r}")
    said = " ".join(text.split())
    if part not in ("animal", "pantry", "appliance", "person"):
        return [READERS[part](said, plan or {})]
    pieces = [word.strip() for word in re.split(r";|,(?! *\d+(?:\.\d+)? *(?:w|h|kw)\b)", said)]
    return [READERS[part](piece, plan or {}) for piece in pieces if piece]


def typical(value):
    """A typical value as it stands in a plan."""
    return {"value": value, "basis": TYPICAL}


def _found(pattern, text, part, what):
    found = re.search(pattern, text, re.IGNORECASE)
    if not found:
        raise ValueError(f"{what}, such as: {EXAMPLES[part]}; got {text[:40]!r}")
    return found


def _count(word):
    return NUMBERS[word.lower()] if word.lower() in NUMBERS else int(word)


def _array(text, plan):
    count = _found(
        rf"{_COUNT} *(?:x|×|of|\w* *panels?|\w* *modules?)\b", text, "array", "say how many panels"
    )
    number = _count(count[1])
    if not 1 <= number <= 2000:
        raise ValueError(f"say how many panels, from 1 to 2000; got {number}")
    watts = re.search(rf"({_NUMBER}) *w(?:att)?s?\b", text, re.IGNORECASE)
    module = f"{watts[1]} W" if watts else "400 W"
    module_w = units.parse(module, "power")
    vmp_v = module_w / CELLS_V
    facing = re.search(rf"\b({'|'.join(sorted(DIRECTIONS, key=len, reverse=True))})\b",
                       re.sub(r"(north|south)[ -](east|west)", r"\1\2", text.lower()))  # fmt: skip
    degrees = re.search(rf"(?:facing|azimuth) *({_NUMBER})", text, re.IGNORECASE)
    rest = text.replace(degrees[0], "") if degrees else text
    tilt = re.search(rf"tilt(?:ed)? *({_NUMBER})|\b({_NUMBER}) *(?:deg|°)", rest, re.IGNORECASE)
    place = re.search(r"\bon (?:the |our |a )?([a-z][a-z ]*[a-z])", text, re.IGNORECASE)
    # In series as many as divide them evenly, and no more than ten.
    strings = next(n for n in range(1, number + 1) if number % n == 0 and number / n <= 10)
    if degrees or facing:
        azimuth = f"{direction_deg((degrees or facing)[1]):g} deg"
    else:
        azimuth = typical("180 deg")
    return {
        "name": place[1].lower() if place else "panels",
        "module": module if watts else typical(module),
        "modules_per_string": number // strings,
        "strings": strings,
        "tilt": f"{tilt[1] or tilt[2]} deg" if tilt else typical("30 deg"),
        "azimuth": azimuth,
        "voc": typical(f"{vmp_v * OPEN_SHARE:.3g} V"),
        "vmp": typical(f"{vmp_v:.3g} V"),
        "isc": typical("13.7 A"),
        "imp": typical(f"{CELLS_V:g} A"),
        "coupling": "dc",
        "converter": typical(f"{max(number * module_w * 1.1, 500):.0f} W"),
    }


def _battery(text, plan):
    energy = _found(
        rf"(?:{_COUNT} *(?:x|×|of|modules? of|batter(?:y|ies) of)? +)?({_NUMBER} *k?wh)\b",
        text, "battery", "say the energy on its label",
    )  # fmt: skip
    number = _count(energy[1]) if energy[1] else 1
    said = text.lower()
    kinds = [kind for kind, names in CHEMISTRY_WORDS.items() if any(name in said for name in names)]
    # "lithium" alone is the usual one; a longer name says more.
    chemistry = next((kind for kind in kinds[1:] if kind != "lead-acid"), kinds[0] if kinds else "")
    chemistry = chemistry or (plan.get("battery") or {}).get("chemistry", "lithium iron phosphate")
    wh = number * units.parse(energy[2], "energy")

    def limit(quantity):
        return typical(
            f"{max(wh * reference.value('battery', chemistry, quantity, '1/h'), 1):.0f} W"
        )

    return {
        "chemistry": chemistry,
        "modules": number,
        "module": energy[2],
        "charge": limit("charge_rate_high"),
        "discharge": limit("discharge_rate_high"),
    }


def _fuel_of(text):
    said = text.lower()
    return next(
        (fuel for fuel, words in FUEL_WORDS.items() if any(word in said for word in words)), ""
    )


def _generator(text, plan):
    rated = _found(rf"({_NUMBER}) *(k?)w\b", text, "generator", "say its power")
    rated_w = float(rated[1]) * (1000 if rated[2] else 1)
    fuel = _fuel_of(text)
    stores = [stored["name"] for stored in plan.get("fuel", ()) if fuel in ("", stored.get("fuel"))]
    store = next((store for store in stores if store.lower() in text.lower()), None) or (
        stores[0] if len(stores) == 1 or (fuel and stores) else None
    )
    if store is None:
        there = ", ".join(stored["name"] for stored in plan.get("fuel", ())) or "none yet"
        raise ValueError(
            f"say which fuel it burns, and enter that store first (in the plan: {there}); such as: "
            f"{EXAMPLES['generator']}; got {text[:40]!r}"
        )
    # 38,000 and 110,000 Btu/h idle and full of a 7 kW set, as in the typical plan.
    burned = {"no_load_fuel": 38000 / 7000, "full_load_fuel": 110000 / 7000}
    fuels = {key: typical(f"{rated_w * per_w:.0f} Btu/h") for key, per_w in burned.items()}
    return {"rated": f"{rated_w:g} W", "store": store} | fuels


def _cistern(text, plan):
    said = re.sub(r"^an? (?=\d)| *(?:tank|cistern)$", "", text)
    volume = understood(said, "volume")
    try:
        units.parse(volume, "volume")
    except ValueError:
        raise ValueError(
            f"say how much it holds, such as: {EXAMPLES['cistern']}; got {text[:40]!r}"
        ) from None
    return {"volume": volume}


DEPTH = rf"({_NUMBER} *(?:ft|feet|m))\b(?!in)"
FLOW = rf"({_NUMBER}) *(gal/min|gpm|L/min)"


def _flow(text):
    found = re.search(FLOW, text, re.IGNORECASE)
    return f"{found[1]} {'L/min' if found[2].lower() == 'l/min' else 'gal/min'}" if found else None


def _well(text, plan):
    depth = _found(DEPTH, text, "well", "say how deep it is")[1]
    level_m = 0.3 * units.parse(depth, "length")
    return {
        "depth": depth,
        "static_level": typical(f"{level_m:.0f} m"),
        "yield": _flow(text) or typical("5 gal/min"),
    }


def _pump(text, plan):
    rated = _found(r"((?:\d+[ -])?\d+/\d+|\d+(?:\.\d+)?) *(hp|k?w)\b", text, "pump",
                   "say its motor's rating")  # fmt: skip
    found = {"rated": f"{rated[1]} {rated[2]}", "flow": _flow(text) or typical("5 gal/min")}
    depth = re.search(DEPTH, text, re.IGNORECASE)
    well = (plan.get("well") or {}).get("depth")
    if depth:
        return found | {"depth": depth[1]}
    if well is None:
        raise ValueError(f"say how deep it hangs, such as: {EXAMPLES['pump']}; got {text[:40]!r}")
    depth_m = 0.8 * units.parse(well["value"] if isinstance(well, dict) else well, "length")
    return found | {"depth": typical(f"{depth_m:.0f} m")}


def _fuel(text, plan):
    fuel = _fuel_of(text)
    tank = re.search(rf"(?:in|of) (?:an? )?({_NUMBER} *[a-zA-Z]+) (?:\w+ )?(?:tank|drum)", text)
    amount = text[: tank.start()] if tank else text
    amount = re.sub(r"\b(?:of|in)\b.*$", "", amount_text(amount)).strip()
    amount = re.sub(r"\s+(?!cords?\b)(?:" + "|".join(
        (*FUEL_WORDS, "firewood", "wood", "heating oil")) + r")\w*$", "", amount)  # fmt: skip
    if not fuel or not any(reads(amount, kind) for kind in ("volume", "mass")):
        raise ValueError(
            f"say how much of which fuel, such as: {EXAMPLES['fuel']}, or two cords of red oak; "
            f"got {text[:40]!r}"
        )
    found = {"name": STORES.get(fuel, f"{fuel} tank"), "fuel": fuel, "amount": amount}
    if tank:
        found["tank"] = tank[1]
    kinds = [species for species in reference.items("wood_species") if species in text.lower()]
    return found | ({"species": kinds} if kinds and fuel == "cordwood" else {})


def animal_kind(name):
    """Row of the table of animals that a name stands for, or a ValueError."""
    said, known = name.lower(), reference.animal_names()
    kinds = [kind for kind in (said, said.removesuffix("s"), ANIMALS.get(said)) if kind in known]
    if not kinds:
        raise ValueError(f"no animal {said[:40]!r} in the tables; such as hens, goats, cows")
    return kinds[0]


def _animal(text, plan):
    match = re.fullmatch(r"(\d+) (.+)", amount_text(text))
    if not match:
        raise ValueError(f"how many and what, such as 12 hens; got {text[:40]!r}")
    return {"name": match[2], "kind": animal_kind(match[2]), "count": int(match[1])}


def _pantry(text, plan):
    weight = _found(rf"^({_NUMBER} *(?:lbs?|pounds|oz|kg|g|tons?))\b(?: of)? +(.+)$",
                    amount_text(text), "pantry", "say how much of which food")  # fmt: skip
    said = weight[2].lower()
    known = reference.items("foods")
    near = [food for food in known if said.removesuffix("s") in food]
    food = said if said in known else FOODS.get(said) or (near[0] if len(near) == 1 else None)
    if food is None:
        hint = f" ({', '.join(near[:4])})" if near else ""
        raise ValueError(f"no food {said[:40]!r} in the tables{hint}; such as 50 lb rice")
    return {"name": said, "food": food, "mass": weight[1]}


def _appliance(text, plan):
    watts = re.search(rf"({_NUMBER} *k?w)\b", text, re.IGNORECASE)
    hours = re.search(rf"({_NUMBER} *(?:h|hours?|hrs?|min|minutes))\b", text, re.IGNORECASE)
    ends = [match.start() for match in (watts, hours) if match]
    said = amount_text(text[: min(ends, default=len(text))].strip(" ,"))
    match = re.fullmatch(r"(?:(\d+) )?(\D.*)", said)
    name = match[2] if match else ""
    kinds = (name.lower(), name.lower().removesuffix("s"))
    item = next((row for row in reference.items("appliances", "use_per_day") if row in kinds), None)
    if not name or (item is None and not (watts and hours)):
        raise ValueError(
            f"say its watts and its hours a day, such as: box fan 60 W 8 h; got {text[:40]!r}"
        )
    found = {"name": name, "power": watts[1] if watts else typical(_middle_w(item))}
    use = hours[1] if hours else None
    if use is None:
        use_h = reference.value("appliances", item, "use_per_day", "h")
        use = typical(f"{use_h:g} h")
    return found | {"daily_use": use} | ({"count": int(match[1])} if match[1] else {})


def _middle_w(item):
    ends = [reference.value("appliances", item, f"power_{end}", "W") for end in ("low", "high")]
    return f"{sum(ends) / 2:.3g} W"


def _person(text, plan):
    match = re.fullmatch(r"(\S.*?) (\d{1,3}) (\w+)", text)
    sex = SEXES.get(match[3].lower()) if match else None
    if sex is None:
        raise ValueError(
            f"each person is a name, an age, f or m, as in Ann 39 f; got {text[:40]!r}"
        )
    return {"name": match[1], "age": int(match[2]), "sex": sex, "activity": "moderate"}


READERS = {
    "array": _array, "battery": _battery, "generator": _generator, "cistern": _cistern,
    "well": _well, "pump": _pump, "fuel": _fuel, "animal": _animal, "pantry": _pantry,
    "appliance": _appliance, "person": _person,
}  # fmt: skip


def completed(part, found):
    """Entries of a new member, with what its name alone says: an appliance or an animal.

    part (str)
    found (dict) : As typed so far; what is there stays.
    """
    name = found.get("name", "")
    if part not in ("appliance", "animal") or not name:
        return found
    try:
        (known,) = read(part, name if part == "appliance" else f"1 {name}")
    except ValueError:
        return found
    return {key: value for key, value in known.items() if key != "count"} | found


def put(file, part, text):
    """Put what a line says into a `PlanFile`, not saved yet; ranges and the rest stay.

    file (PlanFile)
    part, text (str) : As for `read`.
    Gives str: what is in the plan now, and what is typical.

    Raises ValueError if the line cannot be read, PlanError if the plan would not hold.
    """
    raw = file.raw()
    found = read(part, text, raw)
    before = file.snapshot()
    names = []
    try:
        for member in found:
            if part in LISTS:
                member["name"] = _free(
                    member["name"], {each.get("name") for each in file.raw().get(part, ())}
                )
                file.add(part, member)
                names.append(member["name"])
            else:
                file.set_all({f"{part}.{key}": value for key, value in member.items()})
    except ValueError:
        file.restore(before)
        raise
    filled = dict.fromkeys(
        key for member in found for key, value in member.items() if isinstance(value, dict)
    )
    words = [f"In the plan: {', '.join(names) or part}."]
    if filled:
        words.append(
            f"Typical, until you enter what the label says: {', '.join(filled).replace('_', ' ')}."
        )
    return " ".join(words)


def _free(name, taken):
    number = 2
    free = name
    while free in taken:
        free, number = f"{name} {number}", number + 1
    return free
