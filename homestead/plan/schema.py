"""The whole plan: its parts by name, and the rules that hold between parts.

One declaration serves reading, checking, forms and help. Reading reports every fault at once, the
rules between parts included, each with the place where it stands.
"""

import difflib
from pathlib import Path
from types import SimpleNamespace
from typing import NamedTuple

from pydantic import Field, PrivateAttr, ValidationError

from homestead.plan import food, place, power, warmth, water
from homestead.plan.fields import Assumption, Choice, Count, Part, Text, kind_of, read_entry, spec

SCHEMA = 1


class Fault(NamedTuple):
    """One thing that is wrong: where (keys and list positions) and what must hold."""

    where: tuple
    message: str


class Plan(Part):
    """All that the family has and assumes."""

    schema_n: Count = spec("Schema", low=1, high=SCHEMA, help="Format of the file.")
    name: Text = spec("Name of the place", help="As the family calls it.")
    units: Choice = spec("Units", default="us", choices=("us", "metric"), help="Units shown.")
    site: place.Site
    people: tuple[place.Person, ...] = Field(alias="person", min_length=1)
    animals: tuple[place.Animal, ...] = Field((), alias="animal")
    appliances: tuple[power.Appliance, ...] = Field((), alias="appliance")
    arrays: tuple[power.Array, ...] = Field((), alias="array")
    grid_former: power.GridFormer | None = None
    battery: power.Battery | None = None
    shedding: power.Shedding = power.Shedding()
    generator: power.Generator | None = None
    well: water.Well | None = None
    pump: water.Pump | None = None
    pipe: water.Pipe | None = None
    pressure_tank: water.PressureTank | None = None
    cistern: water.Cistern | None = None
    rain: water.RainCatch | None = None
    water_use: water.WaterUse = water.WaterUse()
    by_hand: water.ByHand | None = None
    garden: water.Garden | None = None
    house: warmth.House
    envelope: tuple[warmth.Envelope, ...] = Field(min_length=1)
    heaters: tuple[warmth.Heater, ...] = Field((), alias="heater")
    fuels: tuple[warmth.Fuel, ...] = Field((), alias="fuel")
    hot_water: warmth.HotWater | None = None
    cooling: warmth.Cooling | None = None
    cooking: warmth.Cooking | None = None
    pantry: tuple[food.Pantry, ...] = ()
    freezer: food.Freezer | None = None
    crops: tuple[food.Crop, ...] = Field((), alias="crop")
    failure: place.Failure = place.Failure()
    changes: tuple[place.Change, ...] = Field((), alias="change")

    _assumptions: tuple[Assumption, ...] = PrivateAttr(())
    _folder: Path | None = PrivateAttr(None)

    @property
    def assumptions(self):
        """Entries that carry a range or a basis, in the order of the file."""
        return self._assumptions

    @property
    def folder(self):
        """Folder of the plan's file; weather paths are taken from it."""
        return self._folder

    def fuel_named(self, name):
        """Return the fuel store of that name, or None."""
        return next((fuel for fuel in self.fuels if fuel.name == name), None)


def top_key(field_name):
    """Key of a top-level part in the file."""
    return Plan.model_fields[field_name].alias or field_name


def part_type(field_name):
    """Class of the part under a field of `Plan`, and whether the field is a list of them."""
    annotation = Plan.model_fields[field_name].annotation
    if isinstance(annotation, type):
        return (annotation, False) if issubclass(annotation, Part) else (None, False)
    inner = [one for one in annotation.__args__ if isinstance(one, type) and issubclass(one, Part)]
    return inner[0], getattr(annotation, "__origin__", None) is tuple


def read_plan(raw):
    """Check a plan as plain data, as it stands in the file.

    Parameters
    ----------
    raw : dict
        Parsed TOML.

    Returns
    -------
    (Plan or None, list of Fault)
        No plan if there is any fault; all faults, in the order of the schema.
    """
    parts, faults = {}, []
    known = {top_key(name): name for name in Plan.model_fields}
    for key in raw:
        if key not in known:
            faults.append(Fault((key,), f"is not a part of a plan{_near(key, list(known))}"))
    for key, name in known.items():
        if key in raw:
            value, found = _read_field(name, key, raw[key])
            faults += found
            if not found:
                parts[key] = value
        elif Plan.model_fields[name].is_required():
            faults.append(Fault((key,), _missing(name)))
    lookup = SimpleNamespace(
        **{name: parts.get(key, _default_of(name)) for key, name in known.items()}
    )
    for rule in RULES:
        faults += rule(lookup)
    if faults:
        return None, faults
    plan = Plan.model_validate(parts)
    plan._assumptions = tuple(_assumptions(raw))
    return plan, []


def _default_of(name):
    field = Plan.model_fields[name]
    return None if field.is_required() else field.get_default(call_default_factory=True)


def _missing(name):
    part, listed = part_type(name)
    if part is None:
        return f"is missing: {Plan.model_fields[name].title}"
    what = "at least one is needed" if listed else "is needed"
    return f"is missing; {what}: {part.__doc__.splitlines()[0].rstrip('.').lower()}"


def _read_field(name, key, raw):
    """Read one top-level entry: a value, a part or a list of parts."""
    field = Plan.model_fields[name]
    part, listed = part_type(name)
    if part is None:
        try:
            return read_entry(raw, kind_of(field).name, field.json_schema_extra), []
        except ValueError as error:
            return None, [Fault((key,), str(error))]
    if not listed:
        return _read_part(part, raw, (key,))
    if not isinstance(raw, list) or (field.is_required() and not raw):
        return None, [Fault((key,), f"must be a list of parts, each under [[{key}]]")]
    values, faults = [], []
    for number, one in enumerate(raw):
        value, found = _read_part(part, one, (key, number))
        values.append(value)
        faults += found
    return tuple(values), faults


def _read_part(part, raw, where):
    if not isinstance(raw, dict):
        return None, [Fault(where, f"must be a table, under [{where[0]}]; got {raw!r}"[:200])]
    try:
        return part.model_validate(raw), []
    except ValidationError as error:
        return None, [_fault(part, where, one) for one in error.errors(include_url=False)]


def _fault(part, where, error):
    keys = {field.alias or name: field for name, field in part.model_fields.items()}
    key = error["loc"][0] if error["loc"] else ""
    place_of = where + tuple(error["loc"])
    if error["type"] == "extra_forbidden":
        return Fault(place_of, f"is not a known entry{_near(str(key), list(keys))}")
    if error["type"] == "missing":
        return Fault(place_of, f"is missing: {keys[key].title}. {keys[key].description}")
    cause = error.get("ctx", {}).get("error")
    return Fault(place_of, str(cause) if cause else f"{error['msg']}; got {error['input']!r}"[:200])


def _near(key, known):
    near = difflib.get_close_matches(key, known, n=1)
    return f"; did you mean {near[0]!r}?" if near else f"; known: {', '.join(known)}"


def _assumptions(raw):
    for name in Plan.model_fields:
        part, listed = part_type(name)
        entries = raw.get(top_key(name))
        if part is None or entries is None:
            continue
        for number, one in enumerate(entries if listed else [entries]):
            path = f"{top_key(name)}.{one.get('name', number)}" if listed else top_key(name)
            for part_name, part_field in part.model_fields.items():
                entry = one.get(part_field.alias or part_name)
                kind = kind_of(part_field)
                if kind is None or not isinstance(entry, dict) or "value" not in entry:
                    continue
                read = {
                    end: read_entry(entry[end], kind.name, part_field.json_schema_extra)
                    for end in ("value", "low", "high")
                    if end in entry
                }
                yield Assumption(
                    f"{path}.{part_field.alias or part_name}",
                    f"{part_field.title}, {one.get('name', part.__doc__.split('.')[0].lower())}",
                    kind.name,
                    read["value"],
                    read.get("low"),
                    read.get("high"),
                    entry.get("basis"),
                )


# --- rules between parts: each looks only at what could be read ---------------------------------


def _names_are_unique(plan):
    for name in Plan.model_fields:
        if not part_type(name)[1]:
            continue
        seen = {}
        for number, one in enumerate(getattr(plan, name) or ()):
            if not hasattr(one, "name"):
                continue
            if one.name in seen:
                yield Fault(
                    (top_key(name), number, "name"), f"is used twice: {one.name!r}; rename one"
                )
            seen[one.name] = number


def _stores_exist(plan):
    if plan.fuels is None:
        return
    known = [fuel.name for fuel in plan.fuels]
    users = [(("heater", n), one) for n, one in enumerate(plan.heaters or ())]
    users += [
        ((key,), getattr(plan, key))
        for key in ("generator", "hot_water", "cooking")
        if getattr(plan, key)
    ]
    for where, user in users:
        electric = where[0] in ("heater", "hot_water")
        allowed = known + (["electricity"] if electric else [])
        if user.store not in allowed:
            yield Fault(
                (*where, "store"),
                f"must name a fuel store ({', '.join(allowed) or 'none yet: add a [[fuel]]'}); "
                f"got {user.store!r}",
            )
        elif getattr(user, "efficiency_frac", 0) > 1 and user.store != "electricity":
            yield Fault((*where, "efficiency"), "may pass 1 only for a heat pump on electricity")


def _power_chain_is_whole(plan):
    if plan.battery and not plan.grid_former:
        yield Fault(("grid_former",), "is missing: a battery feeds the house through one")
    for number, array in enumerate(plan.arrays or ()):
        if not plan.grid_former:
            yield Fault(("array", number), "needs a [grid_former] to reach the house")
        if array.coupling == "dc" and not plan.battery:
            yield Fault(("array", number, "coupling"), "dc needs a [battery] to charge")
        if array.tracker_min_v >= array.tracker_max_v:
            yield Fault(("array", number, "tracker_min"), "must be below tracker_max")
        if array.vmp_v >= array.voc_v:
            yield Fault(("array", number, "vmp"), "must be below voc: the label has both")
        if array.imp_a >= array.isc_a:
            yield Fault(("array", number, "imp"), "must be below isc: the label has both")
    if plan.grid_former and plan.grid_former.surge_w < plan.grid_former.continuous_w:
        yield Fault(("grid_former", "surge"), "must be at least the continuous power")


def _thresholds_are_in_order(plan):
    if plan.generator and plan.generator.start_below_frac >= plan.generator.stop_above_frac:
        yield Fault(("generator", "start_below"), "must be below stop_above")
    if plan.generator and plan.generator.full_load_fuel_w <= plan.generator.rated_w:
        yield Fault(
            ("generator", "full_load_fuel"),
            "must be above the rated power: no engine gives more than its fuel holds",
        )
    if plan.generator and plan.generator.no_load_fuel_w >= plan.generator.full_load_fuel_w:
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
    if plan.pump and not plan.well:
        yield Fault(("well",), "is missing: the pump needs one")
    if plan.pump and plan.well:
        if not plan.well.static_level_m < plan.pump.depth_m <= plan.well.depth_m:
            yield Fault(
                ("pump", "depth"), "must lie below the static water level and above the bottom"
            )
        if not plan.pipe:
            yield Fault(("pipe",), "is missing: the pipe from the pump to the house")
    if plan.by_hand and not getattr(plan, plan.by_hand.source):
        yield Fault(("by_hand", "source"), f"needs a [{plan.by_hand.source}]")
    if plan.rain and not plan.cistern:
        yield Fault(("cistern",), "is missing: the rain of the roof needs one")


def _food_fits(plan):
    for number, item in enumerate(plan.pantry or ()):
        by_weight = item.food is not None and item.mass_kg is not None
        if by_weight == (item.energy_kcal is not None):
            yield Fault(
                ("pantry", number), "needs either food and mass, or energy; not both, not neither"
            )
    names = [one.name for one in plan.appliances or ()]
    if plan.freezer and plan.appliances is not None and plan.freezer.appliance not in names:
        yield Fault(
            ("freezer", "appliance"),
            f"must name an appliance ({', '.join(names) or 'none yet'}); "
            f"got {plan.freezer.appliance!r}",
        )
    if plan.garden and plan.crops:
        beds = sum(crop.area_m2 for crop in plan.crops)
        if beds > plan.garden.area_m2 * 1.001:
            yield Fault(
                ("garden", "area"),
                f"must hold all crops: they take {beds:.0f} m², the garden has "
                f"{plan.garden.area_m2:.0f} m²",
            )


def _names_are_known(plan):
    from homestead import reference

    checks = [
        (("pantry", n, "food"), "foods", "energy", item.food)
        for n, item in enumerate(plan.pantry or ())
        if item.food
    ]
    checks += [
        (("crop", n, "food"), "foods", "energy", crop.food)
        for n, crop in enumerate(plan.crops or ())
    ]
    checks += [
        (("fuel", n, "species"), "wood_species", "heat_hhv", kind)
        for n, fuel in enumerate(plan.fuels or ())
        for kind in fuel.species
    ]
    for where, table, quantity, item in checks:
        try:
            reference.row(table, item, quantity)
        except ValueError as error:
            yield Fault(where, str(error))


def _changes_hold_together(plan):
    names = [change.name for change in plan.changes or ()]
    for number, change in enumerate(plan.changes or ()):
        for need in change.needs:
            if need not in names or need == change.name:
                yield Fault(("change", number, "needs"), f"must name another change; got {need!r}")
        if not change.sets and not change.adds:
            yield Fault(("change", number), "must set or add something")
    for number, need in enumerate(plan.failure.counts if plan.failure else ()):
        if need not in place.NEEDS:
            yield Fault(
                ("failure", "counts", number),
                f"must be one of {', '.join(place.NEEDS)}; got {need!r}",
            )


RULES = (
    _names_are_unique,
    _stores_exist,
    _power_chain_is_whole,
    _thresholds_are_in_order,
    _well_and_pump_fit,
    _food_fits,
    _names_are_known,
    _changes_hold_together,
)
