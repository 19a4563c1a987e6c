"""How to change the size of one part of a plan: battery, array, cistern, pantry or fuel."""

from functools import partial
from typing import NamedTuple

from homestead.simulate import food


class Size(NamedTuple):
    """How to change the size of one part."""

    today: float  # size as entered, in whole pieces or in the unit inside
    step: int | None  # pieces come in multiples of this; None for what can have any size
    question: object  # from a size to (sets, adds, typed)


def sized(plan, what):
    """How to change the size of one part of a plan.

    what (str) : ``"battery"``, ``"cistern"``, ``"pantry"``, ``"array NAME"`` or ``"fuel NAME"``.
    Gives Size.

    Raises ValueError if the plan has no such part, or none of it yet; the message lists what can
        be sized.
    """
    kind, _, name = what.partition(" ")
    size = None
    if what == "battery" and plan.battery:
        bank = plan.battery
        size = Size(bank.modules_n, bank.series_n, partial(_counted, "battery.modules"))
    elif kind == "array" and any(array.name == name for array in plan.arrays):
        array = next(array for array in plan.arrays if array.name == name)
        size = Size(array.strings_n * array.modules_per_string_n, 1, partial(_array, plan, array))
    elif what == "cistern" and plan.cistern:
        size = Size(plan.cistern.volume_m3, None, _cistern)
    elif kind == "fuel" and plan.fuel_named(name):
        fuel = plan.fuel_named(name)
        size = Size(fuel.amount, None, partial(_fuel, fuel))
    elif what == "pantry" and plan.pantry:
        size = Size(food.pantry_kcal(plan), None, partial(_pantry, plan))
    if size is None or size.today <= 0:
        raise ValueError(f"what must be one of {', '.join(sizable(plan))}; got {what!r}")
    return size


def sizable(plan):
    """Names of what can be sized in a plan."""
    names = [what for what in ("battery", "cistern") if getattr(plan, what)]
    names += ["pantry"] if plan.pantry and food.pantry_kcal(plan) > 0 else []
    names += [f"array {array.name}" for array in plan.arrays]
    return names + [f"fuel {fuel.name}" for fuel in plan.fuels if fuel.amount > 0]


def _counted(path, count):
    return {path: count}, {}, count


def _array(plan, array, count):
    """The converter grows with the array: the question is about sun, not about clipping."""
    share = count / (array.strings_n * array.modules_per_string_n)
    sets = {
        # How the modules are strung does not matter to the energy.
        f"array.{array.name}.strings": count,
        f"array.{array.name}.modules_per_string": 1,
        **_converter(plan, array, count, share),
    }
    return sets, {}, f"{count} modules"


def _converter(plan, array, count, share):
    """Limits of the array's converter, or of the inverter that it is on, grown with it."""
    if array.inverter is None:
        sets = {f"array.{array.name}.converter": f"{array.converter_w * share!r} W"}
        at = f"array.{array.name}.converter"
        entries = f"{at}_max_current", f"{at}_working_current"
    else:
        at = f"pv_inverter.{array.inverter}"
        inverter = next(
            inverter for inverter in plan.pv_inverters if inverter.name == array.inverter
        )
        behind_w = sum(
            behind.rated_w for behind in plan.arrays if behind.inverter == array.inverter
        )
        grown = 1.0 + (share - 1.0) * array.rated_w / behind_w
        sets = {f"{at}.output": f"{inverter.converter_w * max(grown, 1e-3)!r} W"}
        entered = f"{at}.input_{array.inverter_input_n}"
        entries = f"{entered}_short_circuit", f"{entered}_working"
    strings_share = share * array.modules_per_string_n  # of strings of one module
    limits_a = array.converter_max_a, array.converter_working_a
    for entry, limit_a in zip(entries, limits_a, strict=True):
        if limit_a is not None:
            most_a = min(max(limit_a * strings_share, 0.1), MOST_INPUT_A)
            sets[entry] = f"{most_a!r} A"
    return sets


MOST_INPUT_A = 500.0  # end of the entry's range


def _cistern(size_m3):
    typed = f"{size_m3!r} m^3"
    return {"cistern.volume": typed}, {}, typed


def _fuel(fuel, amount):
    typed = f"{amount!r} {'kg' if fuel.fuel == 'pellets' else 'm^3'}"
    sets = {f"fuel.{fuel.name}.amount": typed}
    if fuel.tank_m3 and amount > fuel.amount:
        sets[f"fuel.{fuel.name}.tank"] = f"{fuel.tank_m3 * amount / fuel.amount!r} m^3"
    return sets, {}, typed


def _pantry(plan, energy_kcal):
    """More of everything on the shelves, in the shares of today."""
    times = energy_kcal / food.pantry_kcal(plan)
    sets = {}
    for shelf in plan.pantry:
        if shelf.mass_kg:
            sets[f"pantry.{shelf.name}.mass"] = f"{shelf.mass_kg * times!r} kg"
        if shelf.energy_kcal:
            sets[f"pantry.{shelf.name}.energy"] = f"{shelf.energy_kcal * times!r} kcal"
    return sets, {}, f"{energy_kcal!r} kcal"
