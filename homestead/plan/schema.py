"""The whole plan: its parts by name, and how it is read. Rules between parts stand in `rules`.

One declaration serves reading, checking, forms and help. Reading reports every fault at once, the
rules between parts included, each with the place where it stands.
"""

from pathlib import Path
from types import SimpleNamespace
from typing import get_args, get_origin

from pydantic import Field, PrivateAttr, ValidationError

from homestead.plan import food, inverters, place, power, sources, warmth, water, wiring, written
from homestead.plan.currency import sign_of
from homestead.plan.fields import (
    Assumption,
    Choice,
    Count,
    Fault,
    Names,
    Part,
    Text,
    kind_of,
    nearest,
    read_entry,
    some_of,
    spec,
)
from homestead.plan.rules import RULES
from homestead.units import quoted

SCHEMA = 1
MOST_PARTS = 500  # in one list; a guard against files that are no plan
MOST_UNKNOWN = 60  # faults told of one part, unknown parts told; more are counted
MOST_CHANGES = 60  # each is tried when a plan is read


# Parts that say what might be done to a plan; nothing of what it is depends on them.
IDEAS = ("change", "phase", "price", "buying", "meter")


class Plan(Part):
    """All that the family has and assumes."""

    schema_n: Count = spec("Schema", within=(1, SCHEMA), help="Format of the file.")
    name: Text = spec("Name of the place", help="What you call it.")
    units: Choice = spec("Units", default="us", choices=("us", "metric"), help="Units shown.")
    began_from: Choice = spec(
        "Began from",
        default="",
        choices=("", "demo", "cabin", "cold-coast", "typical"),
        help="The example your plan started from. What is still the same counts as an example.",
    )
    confirmed: Names = spec(
        "Right for us", default=(), help="Entries and parts that are right as the example has them."
    )
    site: place.Site
    people: tuple[place.Person, ...] = Field(alias="person", min_length=1)
    animals: tuple[place.Animal, ...] = Field((), alias="animal")
    appliances: tuple[power.Appliance, ...] = Field((), alias="appliance")
    arrays: tuple[power.Array, ...] = Field((), alias="array")
    pv_inverters: tuple[inverters.PVInverter, ...] = Field((), alias="pv_inverter")
    grid_former: inverters.GridFormer | None = None
    battery: power.Battery | None = None
    shedding: power.Shedding = power.Shedding()
    generator: power.Generator | None = None
    hydro: sources.Hydro | None = None
    wind: sources.Wind | None = None
    panel: wiring.Panel | None = None
    subpanels: tuple[wiring.Subpanel, ...] = Field((), alias="subpanel")
    circuits: tuple[wiring.Circuit, ...] = Field((), alias="circuit")
    well: water.Well | None = None
    pump: water.Pump | None = None
    pipe: water.Pipe | None = None
    pressure_tank: water.PressureTank | None = None
    cistern: water.Cistern | None = None
    rain: water.RainCatch | None = None
    spring: sources.Spring | None = None
    ram_pump: sources.RamPump | None = None
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
    cutting_back: place.CuttingBack = place.CuttingBack()
    breakdowns: place.Breakdowns = place.Breakdowns()
    changes: tuple[place.Change, ...] = Field((), alias="change")
    phases: tuple[place.Phase, ...] = Field((), alias="phase")
    prices: tuple[place.Price, ...] = Field((), alias="price")
    buying: place.Buying = place.Buying()
    meter: place.Meter | None = None

    _assumptions: tuple[Assumption, ...] | None = PrivateAttr(None)
    _folder: Path | None = PrivateAttr(None)
    _raw: dict = PrivateAttr(default_factory=dict)
    _copied_from: "Plan | None" = PrivateAttr(None)

    @property
    def raw(self):
        """The plan as typed, as plain data; not to be changed (see `with_changes`)."""
        if self._copied_from is not None:
            self._raw, self._copied_from = _typed_again(self, self._copied_from), None
        return self._raw

    def model_copy(self, *, update=None, deep=False):
        """A copy with some fields changed, whose plain data says the same as its fields."""
        copied = super().model_copy(update=update, deep=deep)
        if update:
            copied._copied_from, copied._assumptions = self, None
        return copied

    @property
    def assumptions(self):
        """Entries that carry a range or a basis, in the order of the file."""
        if self._assumptions is None:
            self._assumptions = tuple(_assumptions(self.raw))
        return self._assumptions

    @property
    def folder(self):
        """Folder of the plan's file; weather paths are taken from it."""
        return self._folder

    @property
    def currency(self):
        """Sign of the plan's one currency, ``"$"`` where no price carries a sign."""
        return sign_of(self.raw)

    @property
    def converters(self):
        """What feeds the arrays' power on: PV inverters, and arrays with a converter of their own.

        Each has a `name`, a `coupling` and the most it gives, `converter_w`.
        """
        return (*self.pv_inverters, *(array for array in self.arrays if array.inverter is None))

    def fuel_named(self, name):
        """Return the fuel store of that name, or None."""
        return next((fuel for fuel in self.fuels if fuel.name == name), None)


def top_key(field_name):
    """Key of a top-level part in the file."""
    return Plan.model_fields[field_name].alias or field_name


def _typed_again(plan, before):
    """Plain data of a plan whose fields were changed by code: what changed is written anew."""
    raw = dict(before.raw)
    for name in Plan.model_fields:
        now, old, key = getattr(plan, name), getattr(before, name), top_key(name)
        if now == old:
            continue
        part, listed = part_type(name)
        if now is None or now == ():
            raw.pop(key, None)
        elif part is None:
            kind = kind_of(Plan.model_fields[name])
            raw[key] = written.entry(now, kind.name)
        elif not listed:
            raw[key] = written.part(now, old, raw.get(key), before.currency)
        else:
            known = {
                member.name if hasattr(member, "name") else number: (member, typed)
                for number, (member, typed) in enumerate(zip(old, raw.get(key, ()), strict=True))
            }
            raw[key] = [
                written.part(
                    member,
                    *known.get(member.name if hasattr(member, "name") else number, (None, None)),
                    before.currency,
                )
                for number, member in enumerate(now)
            ]
    return raw


def part_type(field_name):
    """Class of the part under a field of `Plan`, and whether the field is a list of them."""
    annotation = Plan.model_fields[field_name].annotation
    if isinstance(annotation, type):
        return (annotation, False) if issubclass(annotation, Part) else (None, False)
    inner = [
        kind for kind in get_args(annotation) if isinstance(kind, type) and issubclass(kind, Part)
    ]
    if not inner:
        return None, False
    return inner[0], get_origin(annotation) is tuple


def read_plan(raw, like=None):
    """Check a plan as plain data, as it stands in the file.

    raw (dict) : Parsed TOML.
    like (Plan, optional) : A plan that holds; entries that are the very objects it was read from
        are taken from it instead of being read once more.
    Gives (Plan or None, list of Fault): No plan if there is any fault; all faults, in the order of
        the schema.
    """
    parts, faults = {}, []
    known = {top_key(name): name for name in Plan.model_fields}
    unknown = [key for key in raw if key not in known]
    for key in unknown[:MOST_UNKNOWN]:
        faults.append(Fault((key,), f"is not a part of a plan{_near(key, list(known))}"))
    if more := unknown[MOST_UNKNOWN:]:
        faults.append(Fault((more[0],), f"and {len(more)} more are not parts of a plan"))
    for key, name in known.items():
        if like is not None and key in raw and raw[key] is like.raw.get(key):
            parts[key] = getattr(like, name)
        elif key in raw:
            parts[key], found = _read_field(name, key, raw[key], like)
            faults += found
        elif Plan.model_fields[name].is_required():
            faults.append(Fault((key,), _missing(name)))
    # What is there but could not be read is None to the rules, a single member of a list too.
    read = {name: parts[key] if key in parts else _default_of(name) for key, name in known.items()}
    for rule in RULES:
        faults += rule(SimpleNamespace(**read, raw=raw))
    if faults:
        return None, faults
    if parts.get("pv_inverter"):
        parts["array"] = inverters.attached(parts.get("array", ()), parts["pv_inverter"])
    plan = Plan.model_validate(parts)
    plan._raw = raw
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


def _read_field(name, key, raw, like=None):
    """Read one top-level entry: a value, a part or a list of parts; members as in `read_plan`."""
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
    most = MOST_CHANGES if name == "changes" else MOST_PARTS
    if len(raw) > most:
        return None, [Fault((key,), f"must have at most {most} parts; got {len(raw)}")]
    values, faults = [], []
    known = {}
    if like is not None and isinstance(like.raw.get(key), list):
        known = {
            id(typed): own for typed, own in zip(like.raw[key], getattr(like, name), strict=True)
        }
    for number, member in enumerate(raw):
        if id(member) in known:
            values.append(known[id(member)])
            continue
        value, found = _read_part(part, member, (key, number))
        values.append(value)
        faults += found
    return tuple(values), faults


def _read_part(part, raw, where):
    if not isinstance(raw, dict):
        return None, [Fault(where, f"must be a table, under [{where[0]}]; got {quoted(raw)}")]
    try:
        return part.model_validate(raw), []
    except ValidationError as error:
        found = error.errors(include_url=False)
        faults = [_fault(part, where, wrong) for wrong in found[:MOST_UNKNOWN]]
        if len(found) > MOST_UNKNOWN:
            faults.append(Fault(where, f"and {len(found) - MOST_UNKNOWN} more faults"))
        return None, faults
    except UnicodeError:  # half a letter in a key: no file holds one, but a form may send it
        return None, [Fault(where, "holds text that cannot be saved as UTF-8")]


def _fault(part, where, error):
    keys = {field.alias or name: field for name, field in part.model_fields.items()}
    key = error["loc"][0] if error["loc"] else ""
    place_of = where + tuple(error["loc"])
    if error["type"] == "extra_forbidden":
        return Fault(place_of, f"is not a known entry{_near(str(key), list(keys))}")
    if error["type"] == "missing":
        return Fault(place_of, f"is missing: {keys[key].title}. {keys[key].description}")
    cause = error.get("ctx", {}).get("error")
    return Fault(place_of, str(cause) if cause else f"{error['msg']}; got {quoted(error['input'])}")


def _near(key, known):
    near = nearest(key, known)
    return f"; did you mean {near[0]!r}?" if near else f"; known: {some_of(known, key)}"


def _assumptions(raw):
    for name in Plan.model_fields:
        part, listed = part_type(name)
        entries = raw.get(top_key(name))
        if part is None or entries is None:
            continue
        for number, member in enumerate(entries if listed else [entries]):
            path = f"{top_key(name)}.{member.get('name', number)}" if listed else top_key(name)
            for part_name, part_field in part.model_fields.items():
                entry = member.get(part_field.alias or part_name)
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
                    f"{member.get('name', top_key(name).replace('_', ' '))}: "
                    f"{part_field.title[0].lower()}{part_field.title[1:]}",
                    kind.name,
                    read["value"],
                    read.get("low"),
                    read.get("high"),
                    entry.get("basis"),
                )
