"""Plans for the electrical checks and studies: a small one to alter, and the large one."""

import copy
import tomllib
from pathlib import Path

from small_plans import SMALLEST, plan_of

LARGE = Path(__file__).resolve().parent.parent / "plans" / "large_ac.toml"

HOUSE = SMALLEST | {
    "site": SMALLEST["site"] | {"record_low": "-20 °C", "record_high": "40 °C"},
    "appliance": [
        {"name": "lights", "power": "200 W", "daily_use": "5 h", "between": "17-22", "priority": 1},
        {
            "name": "freezer",
            "power": "120 W",
            "daily_use": "8 h",
            "priority": 1,
            "starting": "10 A",
        },
        {"name": "heater", "power": "1500 W", "daily_use": "1 h", "between": "6-8", "priority": 3},
    ],
    "array": [
        {
            "name": "rack",
            "module": "400 W",
            "modules_per_string": 8,
            "strings": 2,
            "tilt": "35 deg",
            "azimuth": "180 deg",
            "voc": "40 V",
            "vmp": "33 V",
            "isc": "11.2 A",
            "imp": "10.6 A",
            "coupling": "ac",
            "converter": "5 kW",
            "voc_coefficient_per_c": -0.0027,
            "converter_max_voltage": "600 V",
            "converter_max_current": "30 A",
            "tracker_min": "90 V",
            "tracker_max": "550 V",
        }
    ],
    "grid_former": {"continuous": "6 kW", "surge": "12 kW", "idle": "40 W", "charger": "4 kW"},
    "battery": {
        "chemistry": "lithium iron phosphate",
        "modules": 4,
        "module": "5 kWh",
        "module_voltage": "51.2 V",
        "charge": "8 kW",
        "discharge": "8 kW",
    },
    "generator": {
        "rated": "10 kW",
        "store": "tank",
        "no_load_fuel": "15 kW",
        "full_load_fuel": "45 kW",
    },
    "fuel": [{"name": "tank", "fuel": "propane", "amount": "800 L", "tank": "1900 L"}],
}


def house(**parts):
    """The small house with whole parts replaced; a dict is laid over the part that is there."""
    raw = copy.deepcopy(HOUSE)
    for key, value in parts.items():
        if value is None:
            raw.pop(key, None)
        elif isinstance(value, dict) and isinstance(raw.get(key), dict):
            raw[key] |= value
        else:
            raw[key] = value
    return plan_of(raw)


def array(**entries):
    """The house's array with some entries changed."""
    return HOUSE["array"][0] | entries


def circuit(**entries):
    """A 12 AWG copper circuit of 20 A to the heater, with some entries changed."""
    return {
        "name": "c1",
        "feeds": "heater",
        "length": "10 m",
        "size": "12",
        "breaker": "20 A",
    } | entries


def large(alter=None):
    """The large AC-coupled plan, its plain data altered in place by a function."""
    raw = tomllib.loads(LARGE.read_text(encoding="utf-8"))
    if alter:
        alter(raw)
    return plan_of(raw)


def about(findings, text):
    """Findings about a thing, by the beginning of `about`."""
    return [one for one in findings if one.about.startswith(text)]


def graver(findings):
    """Findings that are more than notes."""
    return [one for one in findings if one.severity != "note"]
