"""Lists that every room shares, each written once: needs, outcomes, severities, months."""

NEEDS = ("power", "water", "warmth", "food")
# What a run records the first failure of; pipes at risk stand beside warmth.
OUTCOMES = (*NEEDS, "pipes")
NUTRIENTS = ("protein", "fat", "vitamin C", "salt")
# What can end food, by the number that the simulation gives it.
FOOD_ENDS = ("energy", *NUTRIENTS, "infant milk")
SEVERITIES = ("danger", "warning", "note")  # gravest first
FULL_MONTHS = tuple(
    "January February March April May June July August September October November December".split()
)
MONTHS = tuple(name[:3] for name in FULL_MONTHS)

SEASONS = {"winter": (12, 1, 2), "spring": (3, 4, 5), "summer": (6, 7, 8), "fall": (9, 10, 11)}

_SPELLINGS = (("aluminium", "aluminum"), ("galvanised", "galvanized"))


def month_runs(months):
    """First and last name of each run of months, across New Year too.

    >>> month_runs((11, 12, 1, 5))
    [('Nov', 'Jan'), ('May', 'May')]
    """
    runs = []
    for month in months:
        if runs and month == runs[-1][1] % 12 + 1:
            runs[-1][1] = month
        else:
            runs.append([month, month])
    return [(MONTHS[first - 1], MONTHS[last - 1]) for first, last in runs]


def us_spelling(word):
    """A word of ours as we spell it, from either spelling; anything but text as it came.

    >>> us_spelling("aluminium"), us_spelling("galvanised steel"), us_spelling("copper")
    ('aluminum', 'galvanized steel', 'copper')
    """
    for other, ours in _SPELLINGS if isinstance(word, str) else ():
        word = word.replace(other, ours)
    return word


# How solar modules are mounted: rows of data/reference/modules.csv.
MOUNTINGS = (
    "glass/cell/polymer, open rack",
    "glass/cell/polymer, insulated back",
    "glass/cell/glass, open rack",
    "glass/cell/glass, close roof",
)
CHEMISTRIES = (
    "lithium iron phosphate",
    "lithium nickel manganese cobalt",
    "lithium titanate",
    "lead-acid",
)

FUELS_BY_WEIGHT = ("pellets", "wood chips")


def fuel_measure(fuel):
    """How a fuel is stored and sold: ``"mass"`` or ``"volume"``, as kinds of `units`."""
    return "mass" if fuel in FUELS_BY_WEIGHT else "volume"
