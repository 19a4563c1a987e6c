"""Parts of a plan that feed the family."""

from homestead.plan.fields import (
    Area,
    Flag,
    FoodEnergy,
    Fraction,
    Mass,
    Months,
    Part,
    Text,
    optional,
    spec,
)


class Pantry(Part):
    """Food that keeps without power: by weight of a known food, or by its energy."""

    name: Text = spec("Name", help="Such as rice in buckets.")
    food: Text | None = optional("Food", help="A food from the list.")
    mass_kg: Mass | None = optional("Weight", within=(0, 100000), help="On the shelf.")
    energy_kcal: FoodEnergy | None = optional(
        "Energy",
        within=(0, 10**8),
        help="If you don't know the weight, or the food isn't on the list.",
    )
    protein_kg: Mass | None = optional(
        "Protein",
        within=(0, 10000),
        help="Only if you entered its energy. Empty: a tenth of the energy, the low end of what "
        "adults eat.",
        source="Dietary Reference Intakes 2005, acceptable range for protein, from memory",
    )
    fat_kg: Mass | None = optional(
        "Fat", within=(0, 10000), help="Only if you entered its energy. Empty: a fifth of it."
    )
    vitamin_c_kg: Mass | None = optional(
        "Vitamin C", within=(0, 1), help="Only if you entered its energy, such as 5 g."
    )
    salt_kg: Mass | None = optional(
        "Salt in it", within=(0, None), help="Only if you entered its energy."
    )
    in_freezer: Flag = spec(
        "Kept in the freezer", default=False, help="Lost when the freezer is off too long."
    )
    best_by: Text | None = optional(
        "Best by",
        help='Date on the oldest package, such as "2027-06-30". Empty: its usual shelf life, '
        "from the day it starts.",
    )
    counted: Text | None = optional(
        "Counted on", help='Date of the count behind a best-by date: "2026-11-01".'
    )


class Freezer(Part):
    """Frozen food and the appliance that keeps it."""

    appliance: Text = spec("Appliance", help="Name of the freezer among the appliances.")
    energy_kcal: FoodEnergy = spec(
        "Energy of the food", within=(0, 10**8), help="On the day it starts."
    )
    fill_frac: Fraction = spec("How full", default=1.0, within=(0, 1), help="On the day it starts.")
    protein_kg: Mass | None = optional(
        "Protein",
        within=(0, 10000),
        help="Of the frozen food. Empty: a tenth of the energy; a freezer of meat holds far more.",
        source="Dietary Reference Intakes 2005, acceptable range for protein, from memory",
    )


class Crop(Part):
    """One crop of the garden or orchard."""

    name: Text = spec("Name", help="Such as potatoes.")
    food: Text = spec("Food", help="A food from the list.")
    area_m2: Area = spec("Area", within=(0, 100000), help="Bed or orchard floor.")
    harvest_kg: Mass = spec("Harvest a year", within=(0, 10**6), help="Fit to eat.")
    eaten: Months = spec("Eaten in", help='Fresh or from the cellar, such as "Jul-Feb".')
    edible_frac: Fraction = spec(
        "Share eaten", default=0.85, within=(0, 1), help="Less peels and losses."
    )
    bad_years_frac: Fraction = spec(
        "Share of bad years",
        default=0.0,
        within=(0, 1),
        help="Share of years with a poor harvest: frost, blight, deer. Drought is counted with "
        "the water.",
    )
    bad_harvest_frac: Fraction = spec(
        "Harvest of a bad year", default=0.5, within=(0, 1), help="Share of the usual one."
    )
    picked: Months = spec(
        "Picked in",
        default=(),
        help="Months of harvest. Empty: the first month in which it is eaten.",
    )
    preserved_frac: Fraction = spec(
        "Share put up in jars",
        default=0.0,
        within=(0, 1),
        help="Of the harvest; for the fuel, jars and water that this takes.",
    )
