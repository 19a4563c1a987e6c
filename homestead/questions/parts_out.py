"""One part out: the same question with one piece of equipment dead from the first day.

Every part of the plan that can break is taken out in turn, with the circuits that fed it, and the
whole homestead is worked again on all weather years. Which parts those are, and what goes with
each, is written once here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from typing import Any

from homestead.outlook.ledger import year_of
from homestead.outlook.work import ADULT, care_h, hardest_h, hours_had
from homestead.plan import PlanError, with_changes
from homestead.plan.inverters import GridFormer
from homestead.plan.schema import Plan
from homestead.questions.changes import Figures, figures_of
from homestead.questions.variants import HOMESTEAD, Variants
from homestead.shown import Shown
from homestead.simulate.heaters import tended
from homestead.simulate.inputs import hours_of

Sets = dict[str, Any]

# What helps to have on the shelf, by the kind of part. Common practice, no source.
ON_THE_SHELF = {
    "array": "spare connectors and a fuse of the string's size",
    "modules": "spare connectors and a fuse of the string's size",
    "string": "a spare module of the same size and its connectors",
    "PV inverter": "a spare PV inverter of the same model, and its settings on paper",
    "main inverter": "a spare inverter, or a generator inlet that feeds the panel by itself",
    "main inverter unit": "a spare unit of the same model, and its settings on paper",
    "main inverter leg": "a spare breaker and unit of the same model, and its settings on paper",
    "battery": "a spare module or a spare monitoring board, from the same maker",
    "battery module": "a second module to take its place",
    "generator": "oil, filters, plugs, a belt and a carburetor kit",
    "pump": "a spare pump with its wire and splice kit, or a hand pump beside it",
    "pressure tank": "a pressure switch, a gauge and a small tank",
    "cistern": "patch kit, fittings, and drums for two weeks of water",
    "booster": "a small spare pump",
    "heater": "gaskets, igniter and glass; a second way to heat one room",
    "blower": "a spare motor or igniter for the furnace",
    "freezer": "jars, lids and a canner, to put up what thaws",
    "crop": "seed for a second sowing, and a deeper pantry",
    "animal": "extra feed sold or eaten in time, and a deeper pantry",
    "well": "a filter and disinfection for other water, and a full cistern",
    "hydro": "bearings, a belt, nozzles and a screen for the intake; a controller and dump load",
    "wind turbine": "blades, a controller, guy clamps and tail bearings from the same maker",
    "stored fuel": "stabilizer and a filter, and a second fuel for the most needed machine",
    "spring": "a filter and disinfection for other water, and a full cistern",
    "ram pump": "valve rubbers, a waste valve and a foot strainer",
    "adult": "a neighbor who would come; meals, water and split wood laid in ahead",
    "hot water": "a kettle and a stockpot for the stove",
}


BOTH_LEGS_V = 150.0  # a load above it needs both legs of a 120/240 V panel
LEGS = ("A", "B")
# Water that the tank would have held is not drawn in the dark, which spares the pump.
NO_GAIN = ("pressure tank",)
GOES_STALE = ("gasoline", "diesel", "fuel oil")
# Sources of power but the sun: key in the plan, and what a family calls it and its kind.
SOURCES = {"hydro": ("the hydro plant", "hydro"), "wind": ("the wind turbine", "wind turbine")}


@dataclass(frozen=True)
class Part:
    """A piece of equipment and how the plan reads without it."""

    name: str  # as a family says it
    kind: str  # a key of `ON_THE_SHELF`
    sets: Sets  # path to new value, as in a candidate change


@dataclass(frozen=True)
class PartOut:
    """Days with one part out."""

    part: str
    kind: str
    # days that 9 starts in 10 reach, and all of them
    days: int
    least_days: int
    days_lost: int  # fewer than with the part, at 9 starts in 10
    days_cutting_back: int  # days that 9 starts in 10 reach when all needs are cut back too
    first_to_fail: str
    shelf: str  # what to keep on the shelf


@dataclass(frozen=True, repr=False)
class PartsOut(Shown):
    """Every part out in turn, those that cost the most days first."""

    whole: Figures  # of the plan with all parts
    parts: tuple[PartOut, ...]
    # parts without which the plan does not hold, and why
    untried: tuple[tuple[str, str], ...] = field(default=())

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Days with each part out."""
        title = f"One part out: {self.whole.days['p10']} days with everything working"
        return title, [(f"without {part.part}", self._line(part)) for part in self.parts]

    @staticmethod
    def _line(part: PartOut) -> str:
        ends = "" if part.first_to_fail == "none" else f", {part.first_to_fail} goes first"
        return f"{part.days} days ({-part.days_lost:+d}){ends}"


def parts_out(
    plan: Plan,
    years_n: int | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    variants: Variants | None = None,
) -> PartsOut:
    """Days of independence with each part out from the first day.

    years_n, executor, progress : As for `Variants`.
    """
    variants = variants or Variants(plan, years_n, executor, progress)
    held, untried = [], []
    for part in (*parts_of(plan), *_people(plan, variants.years_n)):
        try:
            with_changes(plan.raw, part.sets, folder=plan.folder)
        except PlanError as error:
            untried.append((part.name, str(error)))
        else:
            held.append(part)
    questions = [({}, {}), *((part.sets, {}) for part in held)]
    sparing = [({**part.sets, "cutting_back.on": True}, {}) for part in held]
    worked = variants.of(questions + sparing, days_only=True, need=HOMESTEAD)
    whole, *figures = map(figures_of, worked)
    figures, spared = figures[: len(held)], figures[len(held) :]
    found = [
        PartOut(
            part=part.name,
            kind=part.kind,
            days=_at_most(figure.days["p10"], whole.days["p10"], part),
            least_days=_at_most(figure.days["least"], whole.days["least"], part),
            days_lost=whole.days["p10"] - _at_most(figure.days["p10"], whole.days["p10"], part),
            days_cutting_back=spare.days["p10"],
            first_to_fail=figure.first_to_fail,
            shelf=ON_THE_SHELF[part.kind],
        )
        for part, figure, spare in zip(held, figures, spared, strict=True)
    ]
    found.sort(key=lambda row: (row.days, row.least_days))
    return PartsOut(whole, tuple(found), tuple(untried))


def _at_most(days: int, with_it: int, part: Part) -> int:
    """Days without a part; what is not drawn for want of it is no gain for some parts."""
    return min(days, with_it) if part.kind in NO_GAIN else days


def as_list(found: PartsOut) -> list[dict[str, Any]]:
    """Parts out as plain data, those that cost the most days first."""
    return [
        {
            "part": part.part,
            "days": part.days,
            "days_cutting_back": part.days_cutting_back,
            "first_to_fail": part.first_to_fail,
        }
        for part in found.parts
    ]


def parts_of(plan: Plan) -> Iterator[Part]:
    """Every part of a plan that can be out, with what the plan reads without it."""
    yield from (_without_sun(plan, part) for part in _power(plan))
    yield from _water(plan)
    yield from _springs(plan)
    yield from _warmth(plan)
    yield from _food(plan)


def _power(plan: Plan) -> Iterator[Part]:
    for number, array in enumerate(plan.arrays):
        kind = "array" if array.inverter is None else "modules"
        yield Part(f"the array {array.name}", kind, _arrays_out(plan, [number]))
        if array.strings_n > 1:
            fewer = {f"array.{array.name}.strings": array.strings_n - 1}
            if array.joined_strings_n and array.joined_strings_n >= array.strings_n:
                joint = [key for key in plan.raw["array"][number] if key.startswith("joined_")]
                left_n = array.strings_n - 1
                if left_n > 1:
                    fewer[f"array.{array.name}.joined_strings"] = left_n
                else:  # a single string needs no joint
                    fewer |= {f"array.{array.name}.{key}": None for key in joint}
            yield Part(f"one string of {array.name}", "string", fewer)
    for inverter in plan.pv_inverters:
        behind = [n for n, array in enumerate(plan.arrays) if array.inverter == inverter.name]
        gone = _arrays_out(plan, behind) | _inverters_out(plan, {inverter.name})
        gone |= circuits_without(plan, {inverter.name, *(plan.arrays[n].name for n in behind)})
        yield Part(f"the PV inverter {inverter.name}", "PV inverter", gone)
    if plan.grid_former:
        # Nothing that depends on it can feed the house; a generator still can, by itself.
        gone = {"grid_former": None, "battery": None, "array": None, **_sources_out(plan)}
        if plan.pv_inverters:
            gone["pv_inverter"] = None
        fed = {"main inverter", "battery", *(array.name for array in plan.arrays)}
        fed |= {inverter.name for inverter in plan.pv_inverters}
        yield Part("the main inverter", "main inverter", gone | circuits_without(plan, fed))
        yield from _units(plan)
    if plan.battery:
        direct = [n for n, array in enumerate(plan.arrays) if array.coupling == "dc"]
        gone = {"battery": None, **members_out(plan, "array", direct), **_sources_out(plan, "dc")}
        fed = {"battery", *(plan.arrays[n].name for n in direct)}
        yield Part("the battery", "battery", gone | circuits_without(plan, fed))
        each_n = plan.battery.series_n
        if plan.battery.modules_n > each_n:
            name = "one battery module" if each_n == 1 else "one battery string"
            fewer = {"battery.modules": plan.battery.modules_n - each_n}
            yield Part(name, "battery module", fewer)
    for key, (name, kind) in SOURCES.items():
        if getattr(plan, key):
            yield Part(name, kind, {key: None})
    if plan.generator:
        gone = {"generator": None} | circuits_without(plan, {"generator"})
        yield Part("the generator", "generator", gone)


def _without_sun(plan: Plan, part: Part) -> Part:
    """A part with which the last array goes: what runs on sunny days alone runs no more."""
    if part.sets.get("array", plan.raw.get("array")):
        return part
    loads = part.sets.get("appliance", plan.raw.get("appliance")) or []
    waiting = {load["name"] for load in loads if load.get("sunny_days_only")}
    gone = dict(part.sets)
    if waiting:
        gone["appliance"] = [load for load in loads if load["name"] not in waiting] or None
    if plan.hot_water and plan.hot_water.heats == "surplus":
        gone["hot_water"] = None
        waiting.add("water heater")
    circuits = gone.get("circuit", plan.raw.get("circuit"))
    if waiting and circuits:
        gone["circuit"] = [
            circuit for circuit in circuits if circuit.get("feeds") not in waiting
        ] or None
    return replace(part, sets=gone)


def _units(plan: Plan) -> Iterator[Part]:
    """One of several main inverters; a leg that goes dark takes with it all that needs both.

    Of two pairs or more, one unit less leaves a leg weaker: what needs both legs is held to twice
    that leg. A whole leg is then tried too: its breaker, or a pair that stops as one.
    """
    former = plan.grid_former
    if former.units_n == 1:
        return
    if not former.is_split or former.arrangement != "one per leg":
        left = _fewer(former, former.units_n - 1)
        yield Part("one of the main inverters", "main inverter unit", left)
        return
    if former.units_n >= 4:
        left = _fewer(former, 2 * (former.units_n // 2 - 1))
        yield Part("one of the main inverters", "main inverter unit", left)
    kind = "main inverter unit" if former.units_n < 4 else "main inverter leg"
    what = "the main inverter of leg" if former.units_n < 4 else "all main inverters of leg"
    for leg in LEGS:
        gone = _leg_out(plan, leg) | _fewer(former, former.units_n // 2)
        yield Part(f"{what} {leg}", kind, gone)


def _fewer(former: GridFormer, units_n: int) -> Sets:
    """What the plan reads with so many main inverters that share the load."""
    share = units_n / former.units_n
    return {
        "grid_former.units": units_n,
        "grid_former.idle": f"{former.idle_w * share:.6g} W",
        "grid_former.charger": f"{former.charger_w * share:.6g} W",
    }


def _leg_out(plan: Plan, leg: str) -> Sets:
    """What the plan reads without one leg: its loads, all at 240 V, and all that follows 240 V."""
    dark = [
        n
        for n, appliance in enumerate(plan.appliances)
        if appliance.supply_v > BOTH_LEGS_V or appliance.leg == leg
    ]
    gone = members_out(plan, "appliance", dark)
    fed = {plan.appliances[n].name for n in dark}
    if plan.freezer and plan.freezer.appliance in fed:
        gone["freezer"] = None
    if plan.pump and plan.pump.supply_v > BOTH_LEGS_V:
        gone["pump"] = None
        fed.add("well pump")
    if plan.hot_water and plan.hot_water.store == "electricity":
        gone["hot_water"] = None
        fed.add("water heater")
    if plan.cooling:
        gone["cooling"] = None
        fed.add("cooling")
    behind = [n for n, array in enumerate(plan.arrays) if array.coupling == "ac"]
    gone |= members_out(plan, "array", behind)
    fed |= {plan.arrays[n].name for n in behind} | {inverter.name for inverter in plan.pv_inverters}
    if plan.pv_inverters:
        gone["pv_inverter"] = None
    return gone | circuits_without(plan, fed)


def _arrays_out(plan: Plan, numbers: list[int]) -> Sets:
    """What the plan reads without some arrays, and without PV inverters that then have none."""
    gone = members_out(plan, "array", numbers)
    names = {plan.arrays[n].name for n in numbers}
    used = {array.inverter for n, array in enumerate(plan.arrays) if n not in numbers}
    idle = {inverter.name for inverter in plan.pv_inverters} - used
    if idle:
        gone |= _inverters_out(plan, idle)
    return gone | circuits_without(plan, names | idle)


def _inverters_out(plan: Plan, names: set[str]) -> Sets:
    numbers = [n for n, inverter in enumerate(plan.pv_inverters) if inverter.name in names]
    return members_out(plan, "pv_inverter", numbers)


def _sources_out(plan: Plan, coupling: str | None = None) -> Sets:
    """Sources but the sun that go with what they feed; those of one coupling if it is given."""
    there = {key: getattr(plan, key) for key in SOURCES}
    return {
        key: None for key, source in there.items() if source and coupling in (None, source.coupling)
    }


def _water(plan: Plan) -> Iterator[Part]:
    if plan.pump:
        gone = {"pump": None} | circuits_without(plan, {"well pump"})
        yield Part("the well pump", "pump", gone)
    if plan.pressure_tank:
        # The pump goes on lifting against the pressure; what the tank held is gone.
        drained = {"pressure_tank.volume": "1 L"}
        yield Part("the pressure tank (no air left)", "pressure tank", drained)
    if plan.cistern:
        gone = {"cistern": None, "rain": None}
        if plan.spring or plan.ram_pump:  # the pipe still runs: a drum is put under it
            gone = {"cistern.volume": "55 gal", "cistern.start": 0.0}
            gone |= {"rain": None} if plan.rain else {}
        if plan.by_hand and plan.by_hand.source == "cistern":
            gone["by_hand"] = None
        yield Part("the cistern (leaking)", "cistern", gone)
        if plan.cistern.delivery == "booster pump":
            yield Part("the booster pump", "booster", {"cistern.delivery": "bucket"})
    if plan.well:
        gone = {"well": None, "pump": None} | circuits_without(plan, {"well pump"})
        if plan.by_hand and plan.by_hand.source == "well":
            gone["by_hand"] = None
        if plan.cistern:
            gone["cistern.from_well"] = False
        yield Part("the well (not fit to drink)", "well", gone)


def _springs(plan: Plan) -> Iterator[Part]:
    drives = plan.spring is not None and plan.spring.leads_to == "ram pump"
    if plan.spring:
        fed = drives and plan.ram_pump and plan.ram_pump.stream_m3s is None
        gone = {"spring": None} | ({"ram_pump": None} if fed else {})
        yield Part("the spring (dry or not fit to drink)", "spring", gone)
    if plan.ram_pump:
        gone = {"ram_pump": None} | ({"spring": None} if drives else {})
        yield Part("the ram pump", "ram pump", gone)


def _warmth(plan: Plan) -> Iterator[Part]:
    for number, heater in enumerate(plan.heaters):
        gone = _member_out(plan, "heater", number)
        if plan.hot_water and plan.hot_water.preheat_heater == heater.name:
            gone["hot_water.preheat_heater"] = None
        yield Part(f"the {heater.name}", "heater", gone)
        if heater.electric_w > 0.0 and heater.store != "electricity":
            yield Part(f"the blower of the {heater.name}", "blower", gone)
    for fuel in plan.fuels:
        if fuel.fuel in GOES_STALE:
            empty = {f"fuel.{fuel.name}.amount": "0 gal"}
            yield Part(f"the {fuel.name} (gone bad)", "stored fuel", empty)
    if plan.hot_water:
        gone = {"hot_water": None} | circuits_without(plan, {"water heater"})
        yield Part("the water heater", "hot water", gone)


def _food(plan: Plan) -> Iterator[Part]:
    if plan.freezer:
        yield Part("the freezer (thawed)", "freezer", {"freezer": None})
    for number, crop in enumerate(plan.crops):
        yield Part(f"the {crop.name} (lost)", "crop", _member_out(plan, "crop", number))
    for number, animal in enumerate(plan.animals):
        yield Part(f"the {animal.name}", "animal", _member_out(plan, "animal", number))


def _member_out(plan: Plan, key: str, number: int) -> Sets:
    name = plan.raw[key][number].get("name")
    sets = members_out(plan, key, [number])
    return sets | (circuits_without(plan, {name}) if key == "heater" else {})


def _people(plan: Plan, years_n: int) -> Iterator[Part]:
    """The adult whom the others can spare least, in bed for two weeks.

    What the chores of the hardest two weeks ask beyond the hands that are left is taken off the
    hours at the fire and at the hand pump, from the first day on: the two weeks may be any.
    """
    adults = [person for person in plan.people if person.age_n >= ADULT]
    if not adults:
        return
    asked_h = hardest_h(year_of(hours_of(plan, years_n)).daily_work)
    had_h = {person.name: hours_had(person) for person in plan.people}
    name = max((person.name for person in adults), key=lambda adult: had_h[adult])
    left_h = sum(had_h.values()) - had_h[name] - care_h()
    share = min(max(left_h / asked_h, 0.0), 1.0) if asked_h > 0.0 else 1.0
    gone: Sets = {}
    if share < 1.0:
        for heater in plan.heaters:
            first, last = tended(plan, heater)[0], sum(tended(plan, heater))
            if last - first < 24:
                until = (first + max(round((last - first) * share), 1)) % 24
                gone[f"heater.{heater.name}.tended"] = f"{first}-{until}"
        if plan.by_hand:
            gone["by_hand.daily_limit"] = f"{plan.by_hand.daily_limit_s * share:.0f} s"
    yield Part("one adult (ill for two weeks)", "adult", gone)


def members_out(plan: Plan, key: str, numbers: list[int]) -> Sets:
    """What the plan reads without some members of a list."""
    gone = {plan.raw[key][number].get("name") for number in numbers}
    kept = [
        # An array may share the converter of one that is gone: it then has its own.
        {
            entry: value
            for entry, value in member.items()
            if not (entry == "shares_converter_with" and value in gone)
        }
        for number, member in enumerate(plan.raw.get(key, ()))
        if number not in numbers
    ]
    return {key: kept or None} if numbers else {}


def circuits_without(plan: Plan, fed: set[str]) -> Sets:
    """What the plan reads without the circuits that fed some parts."""
    circuits = plan.raw.get("circuit")
    if not circuits:
        return {}
    return {"circuit": [circuit for circuit in circuits if circuit.get("feeds") not in fed] or None}
