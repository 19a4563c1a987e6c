"""Lists that every room shares, each written once: needs, outcomes, severities, months."""

NEEDS = ("power", "water", "warmth", "food")
# What a run records the first failure of; pipes at risk stand beside warmth.
OUTCOMES = (*NEEDS, "pipes")
SEVERITIES = ("danger", "warning", "note")  # gravest first
WHOSE = ("yours", "typical", "example", "missing")
FULL_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
MONTHS = tuple(name[:3] for name in FULL_MONTHS)

SEASONS = {
    "winter": (12, 1, 2),
    "spring": (3, 4, 5),
    "summer": (6, 7, 8),
    "autumn": (9, 10, 11),
}
