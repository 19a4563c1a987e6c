"""Small plans as plain data, for cases by hand and for plans drawn at random."""

import copy

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st

from homestead.outlook import run
from homestead.plan import with_changes
from homestead.plan.schema import read_plan
from homestead.questions.parts_out import parts_of

SMALLEST = {
    "schema": 1,
    "name": "Test place",
    "site": {"years": 1, "seed": 5, "rain": ["90 mm"] * 12},
    "person": [{"name": "A", "age": 40, "sex": "female"}],
    "house": {"floor": "60 m²", "mass": "light", "keep": "18 °C"},
    "envelope": [{"name": "shell", "area": "180 m²", "r": "2 m²·K/W"}],
    "water_use": {"per_person": "60 L"},
}
ARRAY = {
    "name": "dc rack",
    "module": "400 W",
    "modules_per_string": 4,
    "strings": 1,
    "tilt": "35 deg",
    "azimuth": "180 deg",
    "voc": "37.2 V",
    "vmp": "31.0 V",
    "isc": "13.7 A",
    "imp": "12.9 A",
    "coupling": "dc",
    "converter": "4 kW",
}
FORMER = {"continuous": "3 kW", "surge": "6 kW", "idle": "20 W", "charger": "2 kW"}
BATTERY = {
    "chemistry": "lithium iron phosphate",
    "modules": 1,
    "module": "4 kWh",
    "charge": "3 kW",
    "discharge": "3 kW",
}
# A need ends with its first bad day or week: what can be followed on paper.
FIRST_BAD_DAY = {"bad_nights": 1, "dry_days": 1, "unserved": 1.0, "food_fails_window": 7}
# A house that comes back as soon as there is anything, and keeps nothing for its inverter.
AT_ONCE = {"reconnect": 0.0}
NO_RESERVE = {"dead_below": 0.9}
WELL = {"depth": "40 m", "static_level": "10 m", "bore": "150 mm", "yield": "6 L/min"}
PUMP = {"rated": "500 W", "supply": "240 V", "depth": "35 m", "flow": "15 L/min"}


def examples(number):
    """Settings of a test over drawn plans: the same ones every time, and no hunt for smaller ones.

    A plan has dozens of entries, and shrinking it takes longer than reading it.
    """
    return settings(
        max_examples=number,
        phases=(Phase.explicit, Phase.generate),
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )


def plan_of(raw):
    """Plan from plain data; the test fails with all faults if there are any."""
    plan, faults = read_plan(copy.deepcopy(raw))
    assert not faults, faults
    return plan


def appliance(name, watts, hours, priority, **more):
    """Entry of an appliance."""
    running = {"power": f"{watts} W", "daily_use": f"{hours} h", "priority": priority}
    return {"name": name, **running, **more}


def _text(low, high, unit, places=2):
    """Amounts as a person writes them, on a grid that meets no threshold exactly."""
    return st.integers(1, 997).map(lambda n: f"{low + (high - low) * n / 997:.{places}f} {unit}")


def _frac(low, high):
    return st.integers(1, 997).map(lambda n: low + (high - low) * n / 997.0)


@st.composite
def random_plans(draw):
    """Plain data of a plan with any mix of parts: plenty of everything, or not enough."""
    raw = copy.deepcopy(SMALLEST)
    maybe = st.booleans()
    sexes = draw(st.lists(st.sampled_from(("female", "male")), min_size=1, max_size=4))
    raw["person"] = [
        {"name": f"P{n}", "age": draw(st.integers(1, 80)), "sex": sex}
        for n, sex in enumerate(sexes)
    ]
    if draw(maybe):
        raw["animal"] = [
            {
                "name": "animals",
                "kind": draw(st.sampled_from(("laying hen", "goat"))),
                "count": draw(st.integers(0, 12)),
                "food": "300 kcal",
                "feed": draw(_text(0, 60, "kg")),
                "feed_day": "1 kg",
            }
        ]
    raw["appliance"] = [
        appliance(f"load {n}", draw(st.integers(0, 150 * n)), draw(st.integers(1, 10)), n)
        | {"between": draw(st.sampled_from(("always", "7-22", "18-4")))}
        for n in (1, 2, 3)
    ]
    if draw(maybe):  # one that may find no room beside the others
        raw["appliance"].append(appliance("oven", draw(st.integers(100, 3000)), 1, 2))
    powered = draw(st.sampled_from(("none", "no battery", *["battery"] * 6)))
    if powered != "none":
        raw["grid_former"] = FORMER | {
            "continuous": draw(_text(200, 4000, "W")),
            "idle": draw(_text(0, 60, "W")),
            "charger": draw(_text(0, 3000, "W")),
        }
        couplings = ("dc", "ac") if powered == "battery" else ("ac",)
        raw["array"] = [
            ARRAY | {"name": c, "coupling": c, "modules_per_string": draw(st.integers(1, 9))}
            for c in couplings
            if draw(maybe)
        ]
    if powered == "battery":
        raw["battery"] = BATTERY | {
            "chemistry": draw(st.sampled_from(("lithium iron phosphate", "lead-acid"))),
            "module": draw(_text(0.3, 20, "kWh")),
            "depth_of_discharge": draw(_frac(0.3, 1.0)),
            "round_trip": draw(_frac(0.6, 1.0)),
            "charge": draw(_text(100, 4000, "W")),
            "discharge": draw(_text(100, 4000, "W")),
            "place": draw(st.sampled_from(("heated room", "unheated shed"))),
            "start": draw(_frac(0.0, 1.0)),
        }
        useful = draw(_frac(0.0, 0.6))
        raw["shedding"] = {"useful_below": useful, "comfort_below": useful + draw(_frac(0.0, 0.3))}
    raw["fuel"] = [
        {"name": "wood", "fuel": "cordwood", "amount": draw(_text(0, 0.6, "m^3"))},
        {"name": "gas", "fuel": "propane", "amount": draw(_text(0, 120, "L"))}
        | {"tank_place": draw(st.sampled_from(("above ground", "underground")))},
        {"name": "cans", "fuel": "gasoline", "amount": draw(_text(0, 60, "L"))},
    ]
    if draw(maybe):
        raw["fuel"][draw(st.integers(0, 2))] |= {"keeps": draw(_text(1, 16, "days"))}
    if draw(maybe):
        raw["generator"] = {
            "rated": draw(_text(500, 5000, "W")),
            "store": "gas",
            "no_load_fuel": "1.5 kW",
            "full_load_fuel": "19 kW",
            "start_below": draw(_frac(0.05, 0.4)),
            "stop_above": draw(_frac(0.45, 0.95)),
        }
        if draw(maybe):
            raw["generator"]["daily_limit"] = draw(_text(0, 12, "h"))
        if draw(maybe):
            raw["generator"]["second_store"] = "cans"
    _draw_water(draw, raw, maybe)
    _draw_house(draw, raw, maybe)
    raw["pantry"] = [{"name": "shelf", "energy": draw(_text(0, 60000, "kcal"))}]
    if draw(maybe):
        raw["freezer"] = {
            "appliance": draw(st.sampled_from(("load 1", "load 2", "load 3"))),
            "energy": draw(_text(10, 40000, "kcal")),
            "fill": draw(_frac(0.0, 1.0)),
        }
    raw["failure"] = {"food_window": draw(st.integers(1, 9)), "cold_below": "12.3 °C"}
    return raw


def _draw_water(draw, raw, maybe):
    raw["water_use"] = {"per_person": draw(_text(5, 200, "L"))}
    if draw(st.sampled_from((True, True, False))):
        raw["well"] = WELL | {"yield": draw(_text(0.05, 10, "L/min"))}
        if draw(st.sampled_from((True, True, False))):
            raw["pump"] = PUMP | {"flow": draw(_text(1, 30, "L/min"))}
            raw["pipe"] = {"length": "80 m"}
            if draw(maybe):
                raw["pressure_tank"] = {
                    "volume": draw(_text(50, 400, "L")),
                    "cut_in": "210 kPa",
                    "cut_out": "350 kPa",
                }
    if draw(st.sampled_from((True, True, False))):
        raw["cistern"] = {
            "volume": draw(_text(0.1, 6, "m^3")),
            "from_well": draw(maybe),
            "use": draw(st.sampled_from(("first", "reserve"))),
            "delivery": draw(st.sampled_from(("gravity", "booster pump", "bucket"))),
            "start": draw(_frac(0.0, 1.0)),
        }
        if draw(maybe):
            raw["rain"] = {"roof": draw(_text(5, 150, "m²"))}
    by_hand = [source for source in ("well", "cistern") if source in raw]
    if by_hand and draw(maybe):
        raw["by_hand"] = {
            "source": draw(st.sampled_from(by_hand)),
            "flow": draw(_text(0.05, 12, "L/min")),
            "daily_limit": draw(_text(1, 90, "min")),
        }
    if draw(maybe):
        raw["garden"] = {"area": draw(_text(5, 400, "m²"))}
        crop = {"name": "roots", "food": "potatoes", "area": "4 m²", "harvest": "200 kg"}
        raw["crop"] = [crop | {"eaten": "all"}]


def _draw_house(draw, raw, maybe):
    raw["house"] = SMALLEST["house"] | {"pipes_outside": draw(_frac(0.0, 1.0))}
    raw["envelope"] = [
        {"name": "shell", "area": "180 m²", "r": draw(_text(0.5, 6, "m²·K/W"))},
        {"name": "glass", "area": "12 m²", "r": "0.5 m²·K/W", "solar_gain": 0.5},
    ]
    stove = {
        "name": "stove",
        "store": "wood",
        "efficiency": 0.65,
        "untended": draw(_frac(0.0, 1.0)),
    }
    if draw(maybe):
        stove["tended"] = draw(st.sampled_from(("always", "20-7", "5-23")))
    furnace = {"name": "furnace", "store": "gas", "efficiency": 0.9, "electric": "250 W"}
    heat_pump = {"name": "heat pump", "store": "electricity", "efficiency": 2.7}
    chosen = draw(st.permutations((stove, furnace, heat_pump)))[: draw(st.integers(0, 3))]
    raw["heater"] = [one | {"output": draw(_text(500, 9000, "W"))} for one in chosen]
    if draw(maybe):
        store = draw(st.sampled_from(("gas", "electricity")))
        raw["hot_water"] = {"store": store, "input": draw(_text(150, 5000, "W"))}
        if draw(maybe):
            raw["hot_water"] |= {"tank": draw(_text(20, 400, "L"))}
            heats = ("always", "timer", "surplus") if raw.get("array") else ("always", "timer")
            if store == "electricity":
                raw["hot_water"] |= {"heats": draw(st.sampled_from(heats))}
                raw["hot_water"] |= {"between": draw(st.sampled_from(("10-15", "22-6")))}
                raw["hot_water"] |= {"surplus_above": draw(_frac(0.0, 1.0))}
    if draw(maybe):
        raw["cooking"] = {"store": draw(st.sampled_from(("gas", "wood"))), "daily": "4 kWh"}
    if draw(maybe):
        raw["cooling"] = {"capacity": draw(_text(500, 6000, "W")), "months": "Apr-Oct"}
        raw["cooling"]["windows"] = draw(maybe)
        raw["cooling"] |= draw(st.sampled_from(({}, {"eer": 8.0}, {"running": "9 A"})))
        if draw(maybe):
            raw["cooling"]["sensible"] = draw(_frac(0.45, 1.0))


@st.composite
def plain_plans(draw):
    """A whole but simple place without generator, shedding or feedback of loads on warmth.

    Sun, battery, pump, cistern, stove and pantry of sizes that fail within weeks to months.
    """
    raw = copy.deepcopy(SMALLEST)
    raw["house"] |= {"appliance_heat": 0.0}
    raw["appliance"] = [
        appliance(f"load {n}", draw(st.integers(10, 150)), draw(st.integers(2, 10)), n)
        | {"between": draw(st.sampled_from(("always", "7-22", "18-4")))}
        for n in (1, 2, 3)
    ]
    raw["array"] = [ARRAY | {"modules_per_string": draw(st.integers(1, 6))}]
    raw["grid_former"] = FORMER | {"idle": draw(_text(0, 30, "W"))}
    raw["battery"] = BATTERY | {"module": draw(_text(0.5, 3, "kWh")), "modules": 2}
    raw["shedding"] = {"useful_below": 0.0, "comfort_below": 0.0}
    raw["fuel"] = [{"name": "wood", "fuel": "cordwood", "amount": draw(_text(0.2, 6, "m^3"))}]
    raw["heater"] = [
        {"name": "stove", "store": "wood", "output": draw(_text(2, 9, "kW")), "efficiency": 0.65}
    ]
    raw["water_use"] = {"per_person": draw(_text(20, 150, "L")), "minimum_per_person": "15 L"}
    slow, quick = _text(0.001, 0.03, "L/min", 4), _text(0.1, 3, "L/min")
    raw["well"] = WELL | {"yield": draw(st.one_of(slow, quick))}
    raw["pump"] = PUMP | {"wire_to_water": draw(_frac(0.03, 0.5))}
    raw["pipe"] = {"length": "80 m"}
    raw["pressure_tank"] = {
        "volume": draw(_text(50, 300, "L")),
        "cut_in": "210 kPa",
        "cut_out": "350 kPa",
    }
    raw["cistern"] = {
        "volume": draw(_text(0.1, 4, "m^3")),
        "from_well": draw(st.booleans()),
        "use": draw(st.sampled_from(("first", "reserve"))),
        "start": draw(_frac(0.0, 1.0)),
    }
    raw["rain"] = {"roof": draw(_text(1, 30, "m²"))}
    raw["pantry"] = [{"name": "shelf", "energy": draw(_text(5000, 300000, "kcal"))}]
    return raw


def larger(raw, part, factor):
    """The same plan with one thing larger by a factor (or smaller)."""
    raw = copy.deepcopy(raw)

    def grown(text):
        number, unit = text.split(" ", 1)
        return f"{float(number) * factor:.6f} {unit}"

    if part == "panels":
        raw["array"][0]["module"] = grown(raw["array"][0]["module"])
        raw["array"][0]["converter"] = grown(raw["array"][0]["converter"])
    elif part == "battery":
        raw["battery"]["module"] = grown(raw["battery"]["module"])
    elif part == "cistern":
        raw["cistern"]["volume"] = grown(raw["cistern"]["volume"])
    elif part == "pressure tank":
        raw["pressure_tank"]["volume"] = grown(raw["pressure_tank"]["volume"])
    elif part == "wood":
        raw["fuel"][0]["amount"] = grown(raw["fuel"][0]["amount"])
    elif part == "pantry":
        raw["pantry"][0]["energy"] = grown(raw["pantry"][0]["energy"])
    elif part == "essential load":
        raw["appliance"][0]["power"] = grown(raw["appliance"][0]["power"])
    elif part == "comfort load":
        raw["appliance"][2]["power"] = grown(raw["appliance"][2]["power"])
    elif part == "water use":
        raw["water_use"]["per_person"] = grown(raw["water_use"]["per_person"])
    else:
        raise ValueError(part)
    return raw


class Without(dict):
    """Days of each need at 9 starts in 10 with one part out, worked out when asked for."""

    def __init__(self, plan):
        self.plan, self.parts = plan, {part.name: part.sets for part in parts_of(plan)}

    def __missing__(self, name):
        sets = self.parts[name] if name else {}
        plan = with_changes(self.plan.raw, sets, folder=self.plan.folder) if sets else self.plan
        self[name] = {need: one.p10 for need, one in run(plan, 1).needs.items()}
        return self[name]
