"""How a form is laid out: parts grouped as people think of them, lists as tables.

Only order and headings; what an entry is, and its limits, come from the schema.
"""

# Heading and the parts below it. A part that is not named here stands under its own name.
GROUPS = (
    ("The place", ("name", "units", "site", "began_from", "confirmed")),
    ("People", ("person",)),
    ("Animals", ("animal",)),
    ("Water that people use", ("water_use",)),
    ("When a need has failed", ("failure", "cutting_back", "breakdowns")),
    ("Battery and inverter", ("battery", "grid_former")),
    ("Generator", ("generator",)),
    ("Solar arrays", ("array", "pv_inverter")),
    ("Water and wind power", ("hydro", "wind")),
    ("Appliances", ("appliance", "shedding", "meter")),
    ("Panel and wires", ("panel", "subpanel", "circuit")),
    ("Cistern and rain", ("cistern", "rain")),
    ("Well, pump and pipe", ("well", "pump", "pipe", "pressure_tank", "by_hand")),
    ("Spring and ram pump", ("spring", "ram_pump")),
    ("Garden and crops", ("garden", "crop")),
    ("House and its shell", ("house", "envelope")),
    ("Stoves, furnaces and their fuel", ("heater", "fuel")),
    ("Hot water and cooking", ("hot_water", "cooking")),
    ("Cooling", ("cooling",)),
    ("Pantry and freezer", ("pantry", "freezer")),
    ("Ideas, prices and their order", ("change", "price", "buying", "phase")),
)
# Columns of the table of each list; all other entries are behind "Details".
COLUMNS = {
    "person": ("name", "age", "sex", "activity"),
    "animal": ("name", "kind", "count"),
    "appliance": ("name", "power", "daily_use", "count", "priority"),
    "array": ("name", "module", "modules_per_string", "strings", "tilt", "azimuth"),
    "pv_inverter": ("name", "output"),
    "subpanel": ("name", "busbar", "main_breaker"),
    "circuit": ("name", "feeds", "length", "size"),
    "envelope": ("name", "kind", "area", "r"),
    "heater": ("name", "store", "output", "efficiency"),
    "fuel": ("name", "fuel", "amount", "tank"),
    "pantry": ("name", "food", "mass", "energy"),
    "crop": ("name", "food", "area", "harvest", "eaten"),
    "change": ("name", "cost", "needs"),
    "price": ("name", "part", "cost", "per"),
    "phase": ("name", "date", "changes"),
}
# Entries of single parts that nearly every family looks at, beside those that must be there.
OFTEN = {
    "site": ("weather", "years", "rain", "wet_days"),
    "water_use": ("per_person", "minimum_per_person"),
    "failure": ("counts", "dark", "cold_below", "cold_for"),
    "cutting_back": ("on", "per_person", "keep", "ration"),
    "breakdowns": ("spares", "repair"),
    "battery": ("depth_of_discharge", "age_years", "place", "start"),
    "grid_former": ("efficiency",),
    "shedding": ("comfort_below", "useful_below"),
    "generator": ("start_below", "stop_above", "daily_limit"),
    "hydro": ("efficiency",),
    "wind": ("shear", "lost"),
    "spring": ("leads_to", "treatment"),
    "ram_pump": ("efficiency",),
    "cistern": ("start", "from_well", "use", "delivery"),
    "rain": ("collected",),
    "pump": ("supply",),
    "pipe": ("size", "material"),
    "garden": ("irrigated", "months"),
    "house": ("ceiling", "air_changes_h", "mass", "keep"),
    "hot_water": ("share", "hot"),
    "cooling": ("seer", "cool_to", "months"),
    "freezer": ("fill",),
    "buying": ("days", "yearly"),
}
# Entries that stand folded though they are in the file, as long as they hold the default.
SELDOM = {"site": ("seed",)}
TITLES = {
    "hydro": "Small hydro plant",
    "wind": "Wind turbine",
    "ram_pump": "Ram pump",
    "grid_former": "Main inverter (it makes the house's own grid)",
    "site": "Weather and rain",
    "shedding": "What is switched off first",
    "by_hand": "Pumping by hand",
    "envelope": "Walls, roof, floor, windows",
    "person": "People",
    "animal": "Animals",
    "appliance": "Appliances",
    "array": "Arrays",
    "pv_inverter": "PV inverters with inputs of their own",
    "subpanel": "Other panels",
    "circuit": "Circuits",
    "heater": "Heaters, in the order in which they are lit",
    "fuel": "Fuel in store",
    "crop": "Crops",
    "change": "Ideas",
    "price": "Prices",
    "buying": "What you want to reach",
    "meter": "What the meter says",
    "phase": "Steps",
    "water_use": "Use by each person",
    "failure": "Limits",
    "cutting_back": "How you cut back",
    "breakdowns": "Spares",
}
ONE = {
    "person": "a person",
    "animal": "animals of a kind",
    "appliance": "an appliance",
    "array": "an array",
    "pv_inverter": "a PV inverter",
    "subpanel": "a panel",
    "circuit": "a circuit",
    "envelope": "a part of the shell",
    "heater": "a heater",
    "fuel": "a fuel store",
    "pantry": "something stored",
    "crop": "a crop",
    "change": "an idea",
    "price": "a price",
    "phase": "a step",
}


def title_of(key):
    """Heading of a part, from its key in the file."""
    return TITLES.get(key) or key.replace("_", " ").capitalize()


def grouped(parts):
    """Heading and parts of each section of a form, in the order in which the parts are asked for.

    >>> grouped(("cistern", "well", "rain"))
    (('Cistern and rain', ('cistern', 'rain')), ('Well, pump and pipe', ('well',)))
    """
    sections = {}
    for key in dict.fromkeys(parts):
        heading = next((name for name, keys in GROUPS if key in keys), title_of(key))
        sections.setdefault(heading, []).append(key)
    order = {key: n for _, keys in GROUPS for n, key in enumerate(keys)}
    return tuple(
        (heading, tuple(sorted(keys, key=lambda key: order.get(key, 0))))
        for heading, keys in sections.items()
    )


def columns_of(key, asked):
    """Entries of a list that make the columns of its table."""
    wanted = COLUMNS.get(key) or tuple(entry.key for entry in asked if entry.is_required)[:5]
    by_key = {entry.key: entry for entry in asked}
    return tuple(by_key[name] for name in wanted if name in by_key)


def shown_first(key, asked, raw):
    """Entries of a part that stand open: those that must be there, are there, or are often used."""
    often, seldom = OFTEN.get(key, ()), SELDOM.get(key, ())

    def stands(one):
        folded = one.key in seldom and str(raw.get(one.key)) == one.default
        return one.is_required or one.key in often or (one.key in raw and not folded)

    return tuple(entry for entry in asked if stands(entry))
