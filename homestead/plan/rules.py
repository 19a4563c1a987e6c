"""Rules that hold between the entries and parts of a plan.

Each rule is given the plan by field name, as far as it could be read: a part or list member with a
fault of its own is None, and `raw` holds the plan as typed. So one bad entry hides no other fault
and makes no false one. Leaves single entries to `fields`.
"""

import graphlib
import math
import re
from typing import Any

from homestead import reference, units
from homestead.plan import (
    fields,
    food_rules,
    inverters,
    place,
    source_rules,
    warmth_rules,
    wiring_rules,
)
from homestead.plan.currency import one_currency
from homestead.plan.fields import Fault, members, must_name, typed_members, typed_names
from homestead.vocabulary import fuel_measure

LEAST_YIELD_M3S = 1e-9  # less than a teaspoon an hour is no well; project choice
LEAST_TANK_M3 = 1e-3  # of a propane bottle; end of the formulas' range
MOST_FRICTION_M = 800.0  # of the formulas' 1,000 m, the rest for fittings and lift
LEAST_YIELD_PER_M = 1e-9  # [m2/s], where a drawdown was measured; end of the formulas' range


def _names_are_unique(plan):
    for key, listed in plan.raw.items():
        seen = set()
        for number, member in enumerate(listed if isinstance(listed, list) else ()):
            name = member.get("name") if isinstance(member, dict) else None
            if not isinstance(name, str):
                continue
            name = name.strip()
            if name in seen:
                again = f"is used twice: {units.quoted(name)}; rename one"
                yield Fault((key, number, "name"), again)
            seen.add(name)


def _stores_exist(plan):
    known = typed_names(plan, "fuel")
    users: list[tuple[tuple, Any]] = [
        (("heater", n), member) for n, member in members(plan.heaters)
    ]
    users += [
        ((key,), getattr(plan, key))
        for key in ("generator", "hot_water", "cooking")
        if getattr(plan, key)
    ]
    for number, fuel in members(plan.fuels):
        if fuel.name == "electricity":
            yield Fault(("fuel", number, "name"), "must not be electricity: heaters use that name")
    for where, user in users:
        electric = where[0] in ("heater", "hot_water")
        allowed = known + (["electricity"] if electric else [])
        if user.store not in allowed:
            none = "none yet: add a [[fuel]]"
            yield must_name((*where, "store"), "a fuel store", allowed, user.store, none)
        elif getattr(user, "efficiency_frac", 0) > 1 and user.store != "electricity":
            yield Fault(
                (*where, "efficiency"), "may be above 1 only for a heat pump on electricity"
            )


def _power_chain_is_whole(plan):
    if "battery" in plan.raw and "grid_former" not in plan.raw:
        yield Fault(("grid_former",), "is missing: a battery feeds the house through one")
    for number, array in members(plan.arrays):
        by_engine = array.coupling == "ac" and "generator" in plan.raw
        if "grid_former" not in plan.raw and not by_engine:
            yield Fault(("array", number), "needs a [grid_former] to reach the house")
        if array.coupling == "dc" and "battery" not in plan.raw:
            yield Fault(("array", number, "coupling"), "dc needs a [battery] to charge")
        if (array.tracker_min_v or 0.0) >= (array.tracker_max_v or math.inf):
            yield Fault(("array", number, "tracker_min"), "must be below tracker_max")
        if array.vmp_v >= array.voc_v:
            yield Fault(("array", number, "vmp"), "must be below voc: the label has both")
        if array.imp_a >= array.isc_a:
            yield Fault(("array", number, "imp"), "must be below isc: the label has both")
    if plan.grid_former and plan.grid_former.surge_w < plan.grid_former.continuous_w:
        yield Fault(("grid_former", "surge"), "must be at least the continuous power")
    if plan.grid_former:
        least_w = plan.grid_former.continuous_w
        for name in ("overload_half_hour", "overload_minute"):
            watts = getattr(plan.grid_former, f"{name}_w")
            if watts is not None and not least_w <= watts <= plan.grid_former.surge_w:
                yield Fault(
                    ("grid_former", name),
                    "must lie between what it gives for longer and its surge: the shorter, the "
                    f"more; got {units.show(watts, 'power')}",
                )
            least_w = max(least_w, watts or 0.0)
    if not plan.arrays and not plan.raw.get("array"):
        for number, member in members(plan.appliances):
            if member.sunny_days_only:
                yield Fault(
                    ("appliance", number, "sunny_days_only"),
                    "needs an [[array]]: its output is how we know sunny days",
                )


def _use_fits_its_hours(plan):
    for number, member in members(plan.appliances):
        start, end = member.between
        window_h = (end - start) % 24 or 24
        use_h = units.convert(member.daily_use_s, "time")
        if use_h > window_h * 1.001:  # room for rounding in what was typed
            yield Fault(
                ("appliance", number, "daily_use"),
                f"must fit in the hours of the day given, {window_h} h from {start} to {end}; "
                f"got {units.show(member.daily_use_s, 'time')}",
            )


def _thresholds_are_in_order(plan):
    generator = plan.generator
    if generator and generator.start_below_frac >= generator.stop_above_frac:
        yield Fault(("generator", "start_below"), "must be below stop_above")
    if generator and generator.full_load_fuel_w <= generator.rated_w:
        yield Fault(
            ("generator", "full_load_fuel"),
            "must be above the rated power: no engine gives more than its fuel holds",
        )
    if generator and generator.no_load_fuel_w >= generator.full_load_fuel_w:
        yield Fault(("generator", "no_load_fuel"), "must be below full_load_fuel")
    if plan.shedding and plan.shedding.useful_below_frac > plan.shedding.comfort_below_frac:
        yield Fault(
            ("shedding", "useful_below"), "must not be above comfort_below: comfort goes first"
        )
    if plan.pressure_tank and plan.pressure_tank.cut_in_pa >= plan.pressure_tank.cut_out_pa:
        yield Fault(("pressure_tank", "cut_in"), "must be below cut_out")
    if plan.site and plan.site.record_low_c >= plan.site.record_high_c:
        yield Fault(("site", "record_low"), "must be below record_high")
    if plan.cooling and plan.house and plan.cooling.cool_to_c <= plan.house.keep_c:
        yield Fault(("cooling", "cool_to"), "must be above the temperature the house is kept at")


def _well_and_pump_fit(plan):
    if plan.well and plan.well.static_level_m >= plan.well.depth_m:
        yield Fault(("well", "static_level"), "must be above the bottom: less than depth")
    if "pump" in plan.raw and "well" not in plan.raw:
        yield Fault(("well",), "is missing: the pump needs one")
    if plan.pump and plan.well:
        if not plan.well.static_level_m < plan.pump.depth_m <= plan.well.depth_m:
            yield Fault(
                ("pump", "depth"), "must lie below the static water level and above the bottom"
            )
    if "pump" in plan.raw and "well" in plan.raw and "pipe" not in plan.raw:
        yield Fault(("pipe",), "is missing: the pipe from the pump to the house")
    if plan.pipe:
        sizes = [
            row.quantity.removeprefix("inside_diameter ").removesuffix(" in")
            for row in reference.table("pipes")
            if row.item == plan.pipe.material and row.quantity.startswith("inside_diameter ")
        ]
        if plan.pipe.size.removesuffix("in").strip() not in sizes:
            yield Fault(
                ("pipe", "size"),
                f"must be a trade size of {plan.pipe.material}, one of {', '.join(sizes)} in; "
                f"got {plan.pipe.size!r}",
            )
    if plan.by_hand and plan.by_hand.source not in plan.raw:
        yield Fault(("by_hand", "source"), f"needs a [{plan.by_hand.source}]")
    if "rain" in plan.raw and "cistern" not in plan.raw:
        yield Fault(("cistern",), "is missing: the rain of the roof needs one")


def _water_gets_through(plan):
    """A pipe so thin and long that no pump for a house drives the flow through it."""
    pump, pipe = plan.pump, plan.pipe
    if not pump or not pipe or pump.curve:
        return
    size = pipe.size.removesuffix("in").strip()
    try:
        diameter_m = reference.value("pipes", pipe.material, f"inside_diameter {size} in", "m")
    except ValueError:
        return  # an unknown size has its own fault
    c = reference.value("pipes", pipe.material, "hazen_williams_c", "")
    # Hazen-Williams in SI, as in formulas.water.hydraulics, which checks more and lies above.
    friction_m = 10.67 * pipe.length_m * (pump.flow_m3s / c) ** 1.852 / diameter_m**4.8704
    if friction_m > MOST_FRICTION_M:
        yield Fault(
            ("pump", "flow"),
            f"is too much for the pipe: friction alone would take {friction_m:,.0f} m of head, "
            f"at most {MOST_FRICTION_M:.0f} m; enter a wider pipe or less flow",
        )


def _water_lists_are_known(plan):
    """Rules of the entries that name things of the tables, each with an amount."""
    size = plan.pipe.size.removesuffix("in").strip() if plan.pipe else ""
    lists = (
        (plan.well, "neighbors", "neighbor_distances", "distances", "from_well"),
        (plan.pipe, "fittings", "fitting_counts", "fittings", f"equivalent_length {size} in"),
        (plan.water_use, "fixtures", "fixture_uses", "water_use", "volume_high"),
    )
    keys = ("well", "pipe", "water_use")
    for key, (part, entry, amounts, table, quantity) in zip(keys, lists, strict=True):
        if part is None:
            continue
        try:
            for name in getattr(part, amounts):
                reference.row(table, name, quantity)
        except ValueError as error:
            yield Fault((key, entry), str(error))
    if plan.pump:
        try:
            plan.pump.curve_points  # noqa: B018 (reading it is the check)
        except ValueError as error:
            yield Fault(("pump", "curve"), str(error))


def _least_yield_m3s(well):
    return max(LEAST_YIELD_M3S, LEAST_YIELD_PER_M * (well.drawdown_m or 0.0))


def _water_figures_agree(plan):
    well, tank = plan.well, plan.pressure_tank
    if well and well.drawdown_m and well.static_level_m + well.drawdown_m > well.depth_m:
        yield Fault(
            ("well", "drawdown"),
            "must not reach below the bottom: static_level and drawdown together pass depth",
        )
    if well and well.drawdown_m and well.yield_m3s <= 0:
        yield Fault(("well", "yield"), "must be above 0 where a drawdown was measured at it")
    elif well and 0 < well.yield_m3s < (least := _least_yield_m3s(well)):
        yield Fault(
            ("well", "yield"),
            f"must be 0 for a dry well, or {fields.limits_text(least, None, 'flow')}",
        )
    if tank and tank.precharge_pa is not None and tank.precharge_pa > tank.cut_in_pa:
        yield Fault(
            ("pressure_tank", "precharge"),
            "must not be above cut_in: the water would stop before the pump starts",
        )
    if plan.cistern and plan.cistern.above_taps_m and plan.cistern.delivery != "gravity":
        yield Fault(("cistern", "above_taps"), "is only for delivery by gravity; leave it out")


def _fuel_amounts_fit(plan):
    filled = reference.value("cautions", "propane fill", "limit", "")
    typed = plan.raw.get("fuel")
    for number, fuel in members(plan.fuels):
        amount = typed[number]["amount"]
        ends = [amount] if not isinstance(amount, dict) else [amount.get("value")]
        if isinstance(amount, dict):
            ends += [amount[end] for end in ("low", "high") if end in amount]
        kind = fuel_measure(fuel.fuel)
        try:
            amounts = [units.parse(end, kind) for end in ends]
        except ValueError:
            yield Fault(
                ("fuel", number, "amount"),
                f"of {fuel.fuel} must be a {kind}, such as {units.EXAMPLES[kind]}; "
                f"got {units.quoted(ends[0])}",
            )
            continue
        if fuel.fuel == "propane" and 0 < fuel.tank_m3 < LEAST_TANK_M3:
            yield Fault(
                ("fuel", number, "tank"),
                f"must be 0 for none, or {fields.limits_text(LEAST_TANK_M3, None, 'volume')}",
            )
            continue
        most = fuel.tank_m3 * filled
        # A tenth of a per cent of room, for figures rounded when they were typed.
        if fuel.fuel == "propane" and fuel.tank_m3 and max(amounts) > most * 1.001:
            yield Fault(
                ("fuel", number, "amount"),
                f"must be at most {units.show(filled, 'fraction')} of the tank, "
                f"{fields.limits_text(None, most, 'volume')}: propane is filled no further; "
                f"got {units.show(max(amounts), 'volume')}",
            )


def _food_fits(plan):
    for number, item in members(plan.pantry):
        by_weight = item.food is not None and item.mass_kg is not None
        if by_weight == (item.energy_kcal is not None):
            yield Fault(("pantry", number), "needs either food and mass, or energy, but not both")
    names = typed_names(plan, "appliance")
    if plan.freezer and plan.freezer.appliance not in names:
        where = ("freezer", "appliance")
        yield must_name(where, "an appliance", names, plan.freezer.appliance)
    if plan.garden:
        beds_m2 = sum(crop.area_m2 for _, crop in members(plan.crops))
        if beds_m2 > plan.garden.area_m2 * 1.001:
            beds, garden = (
                " or ".join(units.show(area, "area", system) for system in ("us", "metric"))
                for area in (beds_m2, plan.garden.area_m2)
            )
            yield Fault(
                ("garden", "area"),
                f"must hold all crops: they take {beds}, the garden has {garden}",
            )


def _names_are_known(plan):
    foods = [("pantry", "food", plan.pantry), ("crop", "food", plan.crops)]
    foods += [("animal", entry, plan.animals) for entry in ("produce", "meat_food")]
    checks = [
        ((key, n, entry), "foods", "energy", getattr(member, entry))
        for key, entry, listed in foods
        for n, member in members(listed)
        if getattr(member, entry)
    ]
    checks += [
        (("fuel", n, "species"), "wood_species", "heat_hhv", kind)
        for n, fuel in members(plan.fuels)
        for kind in fuel.species
    ]
    for where, table, quantity, item in checks:
        try:
            reference.row(table, item, quantity)
        except ValueError as error:
            yield Fault(where, str(error))
    known = reference.animal_names()
    for number, animal in members(plan.animals):
        if animal.kind not in known:
            yield Fault(
                ("animal", number, "kind"),
                "must be a kind of animal from the list, such as "
                f"{fields.some_of(sorted(known), animal.kind)}; "
                f"got {units.quoted(animal.kind, 40)}",
            )


def _changes_hold_together(plan):
    names = typed_names(plan, "change")
    needs = {}
    for number, change in members(plan.changes):
        needs[change.name] = [need for need in change.needs if need in names]
        for need in change.needs:
            if need not in names or need == change.name:
                yield Fault(("change", number, "needs"), f"must name another change; got {need!r}")
        if not change.sets and not change.adds:
            yield Fault(("change", number), "must set or add something")
    try:
        graphlib.TopologicalSorter(needs).prepare()
    except graphlib.CycleError as error:
        circle = error.args[1]
        if len(set(circle)) > 1:  # a change that needs itself was named above
            yield Fault(
                ("change", names.index(circle[0]), "needs"),
                f"must not go in a circle: {' needs '.join(reversed(circle))}",
            )


def _phases_follow_each_other(plan):
    names = typed_names(plan, "change")
    needs = {change.name: change.needs for _, change in members(plan.changes)}
    made: dict[str, str] = {}
    last = ""
    for number, phase in members(plan.phases):
        if not re.fullmatch(r"[12]\d{3}-(0[1-9]|1[0-2])", phase.date):
            yield Fault(
                ("phase", number, "date"),
                f'must be a year and a month, such as "2027-05"; got {units.quoted(phase.date)}',
            )
        elif phase.date < last:
            yield Fault(("phase", number, "date"), f"must not be before the phase above it, {last}")
        else:
            last = phase.date
        if not phase.changes:
            yield Fault(("phase", number, "changes"), "must name at least one idea")
        for name in phase.changes:
            if name not in names:
                yield must_name(("phase", number, "changes"), "changes", names, name)
            elif name in made:
                yield Fault(
                    ("phase", number, "changes"),
                    f"names {units.quoted(name)} again: it is made in {made[name]!r}",
                )
            made.setdefault(name, phase.name)
        for name in phase.changes:
            for need in needs.get(name, ()):
                if need in names and need not in made:
                    yield Fault(
                        ("phase", number, "changes"),
                        f"{units.quoted(name)} needs {units.quoted(need)} by then: "
                        "name it in this phase or an earlier one",
                    )


def _prices_are_of_something(plan):
    """Kinds are known; a part that the plan lacks just now may keep its price."""
    single = ("battery", "cistern", "pantry", "generator")
    known = [*single, *(f"spare {kind}" for kind in BREAKS)]
    seen = set()
    for number, price in members(plan.prices):
        where = ("price", number, "part")
        if price.part not in known and not price.part.startswith(("array ", "fuel ")):
            near = fields.nearest(price.part, known) or single
            yield Fault(
                where,
                f"must be a part, such as {', '.join(near)}, array NAME or fuel NAME; "
                f"got {units.quoted(price.part)}",
            )
        elif price.part in seen:
            yield Fault(where, f"has a price already; got {units.quoted(price.part)} twice")
        seen.add(price.part)
        for entry in ("per", "most"):
            typed = getattr(price, entry)
            if typed is not None and (why := _no_amount(price.part, typed)):
                yield Fault(("price", number, entry), why)


# In what an amount of each part may be typed, besides a number of pieces.
AMOUNT_KINDS = {
    "battery": ("energy",),
    "array": ("power",),
    "cistern": ("volume",),
    "pantry": ("food_energy", "mass"),
    "fuel": ("volume", "mass"),
}
PIECES = re.compile(r"(?i)^\s*\d+(\.\d+)?\s*(modules?|panels?|pieces?)\s*$")


def _no_amount(part, typed):
    """Why a text is no amount of a part, or None."""
    kinds = AMOUNT_KINDS.get(part.partition(" ")[0])
    if kinds is None:
        return f"is one piece, so leave this empty; got {units.quoted(typed)}"
    if kinds[0] in ("energy", "power") and PIECES.match(typed):
        return None
    reasons = []
    for kind in kinds:
        try:
            if units.parse(typed, kind) > 0:
                return None
            reasons.append(f"must be more than 0; got {units.quoted(typed)}")
        except ValueError as error:
            reasons.append(str(error))
    return reasons[0][:200]


# Kinds of parts that break, each with a row in data/reference/breakdowns.csv.
BREAKS = (
    "generator", "array", "PV inverter", "main inverter", "battery", "pump", "pressure tank",
    "booster", "heater", "hot water", "freezer", "hydro", "wind turbine", "spring", "ram pump",
)  # fmt: skip


def _counted_needs_are_known(plan):
    lists = (
        ("failure", "counts", place.NEEDS),
        ("breakdowns", "spares", BREAKS),
        ("cutting_back", "needs", place.NEEDS),
    )
    for key, entry, known in lists:
        for number, name in enumerate(getattr(getattr(plan, key), entry, ())):
            if name not in known:
                one_of = f"must be one of {', '.join(known)}; got {name!r}"
                yield Fault((key, entry, number), one_of)
    spare = plan.cutting_back
    if spare and plan.failure and spare.ration_frac <= plan.failure.food_share_frac:
        yield Fault(
            ("cutting_back", "ration"),
            "must be above the share at which food fails, "
            f"{plan.failure.food_share_frac:g}; got {spare.ration_frac:g}",
        )
    if plan.failure and not plan.failure.counts:
        yield Fault(("failure", "counts"), f"must name at least one of {', '.join(place.NEEDS)}")


def _bank_and_strings_add_up(plan):
    bank = plan.battery
    if bank and bank.modules_n % bank.series_n:
        yield Fault(
            ("battery", "series"),
            f"must divide the {bank.modules_n} modules evenly; got {bank.series_n}",
        )
    names = typed_names(plan, "array")
    for number, array in members(plan.arrays):
        other = array.shares_converter_with
        if other is not None and (other not in names or other == array.name):
            yield Fault(
                ("array", number, "shares_converter_with"),
                f"must name another array; got {units.quoted(other)}",
            )
        joined_n = array.joined_strings_n
        if joined_n is None and (array.joined_wire_size or array.joined_fuse_a):
            yield Fault(
                ("array", number, "joined_strings"),
                "must say how many strings the wire after the joint carries",
            )
        if joined_n and joined_n > array.strings_n:
            yield Fault(
                ("array", number, "joined_strings"),
                f"must be at most the array's {array.strings_n} strings; got {joined_n}",
            )
    for number, member in enumerate(typed_members(plan, "appliance")):
        if {"label_year", "power", "daily_use"} <= set(member):
            yield Fault(
                ("appliance", number, "label_year"),
                "replaces power or daily_use: give at most two of the three",
            )


RULES = (
    _names_are_unique,
    one_currency,
    _stores_exist,
    _power_chain_is_whole,
    _use_fits_its_hours,
    _thresholds_are_in_order,
    _well_and_pump_fit,
    _water_gets_through,
    _water_lists_are_known,
    _water_figures_agree,
    _fuel_amounts_fit,
    *warmth_rules.RULES,
    *source_rules.RULES,
    *inverters.RULES,
    _food_fits,
    *food_rules.RULES,
    _names_are_known,
    _changes_hold_together,
    _phases_follow_each_other,
    _prices_are_of_something,
    _counted_needs_are_known,
    *wiring_rules.RULES,
    _bank_and_strings_add_up,
)
