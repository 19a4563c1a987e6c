"""How large a part of a plan is: what an amount such as "+10 kWh" means for it, and what it sets.

Of battery, arrays, cistern, pantry and fuel stores.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from homestead import units
from homestead.plan.schema import Plan
from homestead.simulate import food
from homestead.vocabulary import fuel_measure

PIECES = re.compile(r"(?i)(modules?|panels?|pieces?)\s*$")
TIMES = re.compile(r"(?i)^\s*(?:x|times)\s*([0-9.]+)\s*$|^\s*([0-9.]+)\s*(?:x|times)\s*$")
MOST_INPUT_A = 500.0  # end of the entry's range


@dataclass(frozen=True)
class Size:
    """The size of one part of a plan, counted in pieces or in the unit in which it is kept."""

    plan: Plan
    part: str  # as `sized` takes it
    today: float  # as entered
    sets_of: Callable[[Any], dict[str, Any]]  # from a size to entries of the plan by path
    kind: str  # of the amount that it holds
    step: int | None = None  # pieces come in multiples of this; None for what can have any size
    piece: float = 1.0  # what each holds, in the unit inside

    @property
    def name(self) -> str:
        """What a family calls it."""
        return self.part.removeprefix("array ").removeprefix("fuel ")

    @property
    def fuel(self) -> Any:
        """The fuel store that it is, or None."""
        return self.plan.fuel_named(self.name) if self.part.startswith("fuel ") else None

    def amount(self, text: str) -> float:
        """An amount as typed, without a sign; ValueError if it cannot be read."""
        counted = PIECES.search(text) if self.step is not None else None
        if counted:
            return float(text[: counted.start()])
        try:
            return float(units.parse(text, self.kind) / self.piece)
        except ValueError:
            if self.part == "pantry":  # by weight: as much energy as today's shelves hold for each
                mass_kg = units.parse(text, "mass")
                shelves_kg = sum(item.mass_kg or 0.0 for item in self.plan.pantry)
                if shelves_kg > 0:
                    return float(mass_kg * self.today / shelves_kg)
            raise

    def changed(self, amount: str) -> float:
        """Size that ``"+10 kWh"``, ``"20 kWh"``, ``"x2"`` or ``"+2 modules"`` makes of today's."""
        times = TIMES.match(amount)
        if times:
            wanted = self.today * float(times.group(1) or times.group(2))
        else:
            text = amount.strip().replace("−", "-")
            sign = -1.0 if text.startswith("-") else 1.0
            value = self.amount(text.lstrip("+-").strip())
            wanted = self.today + sign * value if text[:1] in "+-" else value
        if self.step is not None:
            wanted = math.ceil(round(wanted / self.step, 9)) * self.step
        if not wanted > 0:
            raise ValueError(
                f"{self.part}: must stay above 0; got {amount!r}, today {self.today:g}"
            )
        return wanted

    def words(self, size: float) -> str:
        """A size in words, in the plan's units."""
        if self.fuel and self.fuel.fuel == "cordwood":
            return f"{units.digits(units.convert_unit(size, 'm^3', 'cord'))} cords"
        shown = units.show(size * self.piece, self.kind, self.plan.units)
        return shown if self.step is None else f"{size:g} modules, {shown}"


def sized(plan: Plan, part: str) -> Size:
    """Size of one part of a plan.

    part (str) : ``"battery"``, ``"cistern"``, ``"pantry"``, ``"array NAME"`` or ``"fuel NAME"``.

    Raises ValueError if the plan has no such part, or none of it yet; the message lists what can
        be sized.
    """
    kind, _, name = part.partition(" ")
    size = None
    if part == "battery" and plan.battery:
        bank = plan.battery
        size = Size(
            plan, part, bank.modules_n, lambda count: {"battery.modules": count}, "energy",
            bank.series_n, bank.module_wh,
        )  # fmt: skip
    elif kind == "array" and (named := [array for array in plan.arrays if array.name == name]):
        array, count_n = named[0], named[0].strings_n * named[0].modules_per_string_n
        size = Size(
            plan, part, count_n, lambda count: _array(plan, array, count), "power", 1,
            array.module_w,
        )  # fmt: skip
    elif part == "cistern" and plan.cistern:
        volume_m3 = plan.cistern.volume_m3
        size = Size(plan, part, volume_m3, lambda m3: {"cistern.volume": f"{m3!r} m^3"}, "volume")
    elif kind == "fuel" and (fuel := plan.fuel_named(name)):
        measure = fuel_measure(fuel.fuel)
        size = Size(plan, part, fuel.amount, lambda amount: _fuel(fuel, amount), measure)
    elif part == "pantry" and plan.pantry:
        kcal = food.pantry_kcal(plan)
        size = Size(plan, part, kcal, lambda energy: _pantry(plan, energy), "food_energy")
    if size is None or size.today <= 0:
        raise ValueError(f"what must be one of {', '.join(sizable(plan))}; got {part!r}")
    return size


def sizable(plan: Plan) -> list[str]:
    """Names of what can be sized in a plan."""
    names = [part for part in ("battery", "cistern") if getattr(plan, part)]
    names += ["pantry"] if plan.pantry and food.pantry_kcal(plan) > 0 else []
    names += [f"array {array.name}" for array in plan.arrays]
    return names + [f"fuel {fuel.name}" for fuel in plan.fuels if fuel.amount > 0]


def _array(plan, array, count):
    """The converter grows with the array: the question is about sun, not about clipping."""
    share = count / (array.strings_n * array.modules_per_string_n)
    return {
        # How the modules are strung does not matter to the energy.
        f"array.{array.name}.strings": count,
        f"array.{array.name}.modules_per_string": 1,
        **_converter(plan, array, share),
    }


def _converter(plan, array, share):
    """Limits of the array's converter, or of the inverter that it is on, grown with it."""
    if array.inverter is None:
        at = f"array.{array.name}.converter"
        sets = {at: f"{array.converter_w * share!r} W"}
        entries = f"{at}_max_current", f"{at}_working_current"
    else:
        at = f"pv_inverter.{array.inverter}"
        inverter = next(own for own in plan.pv_inverters if own.name == array.inverter)
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


def _fuel(fuel, amount):
    """A larger store than today's has a larger tank."""
    sets = {f"fuel.{fuel.name}.amount": f"{amount!r} {'kg' if fuel.fuel == 'pellets' else 'm^3'}"}
    if fuel.tank_m3 and amount > fuel.amount:
        sets[f"fuel.{fuel.name}.tank"] = f"{fuel.tank_m3 * amount / fuel.amount!r} m^3"
    return sets


def _pantry(plan, energy_kcal):
    """More of everything on the shelves, in the shares of today."""
    times = energy_kcal / food.pantry_kcal(plan)
    sets = {}
    for shelf in plan.pantry:
        if shelf.mass_kg:
            sets[f"pantry.{shelf.name}.mass"] = f"{shelf.mass_kg * times!r} kg"
        if shelf.energy_kcal:
            sets[f"pantry.{shelf.name}.energy"] = f"{shelf.energy_kcal * times!r} kcal"
    return sets
