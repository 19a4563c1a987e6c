"""Steps up from the demo: a little more of one thing, as changes of the plan's plain data."""

import copy

from homestead.plan.file import PlanFile, demo_path, with_changes

STEPS = ("array +10 %", "battery +1 module", "cistern +20 %", "wood +1 cord", "pantry +10 %")


def demo_with(step=None):
    """The demo plan, with one step up."""
    raw = copy.deepcopy(PlanFile(demo_path()).raw())
    sets = {}

    def grow(name, key, member, factor):
        entry = member[key]
        text = entry["value"] if isinstance(entry, dict) else entry
        number, unit = text.split(" ", 1)
        sets[f"{name}.{key}"] = f"{float(number) * factor:.6f} {unit}"

    if step == "array +10 %":
        for array in raw["array"]:
            grow(f"array.{array['name']}", "module", array, 1.1)
            grow(f"array.{array['name']}", "converter", array, 1.1)
    elif step == "battery +1 module":
        sets["battery.modules"] = raw["battery"]["modules"] + 1
    elif step == "cistern +20 %":
        grow("cistern", "volume", raw["cistern"], 1.2)
    elif step == "wood +1 cord":
        cords = float(raw["fuel"][0]["amount"]["value"].split()[0])
        sets["fuel.woodshed.amount"] = f"{cords + 1} cords"
    elif step == "pantry +10 %":
        for item in raw["pantry"]:
            grow(f"pantry.{item['name']}", "energy" if "energy" in item else "mass", item, 1.1)
    elif step is not None:
        raise ValueError(step)
    return with_changes(raw, sets)
