"""Parts of a plan about the place, its people and animals, and what counts as failure."""

from typing import Any

from homestead.plan.fields import (
    ByMonth,
    Choice,
    Count,
    Duration,
    Energy,
    Flag,
    FoodEnergy,
    Fraction,
    Mass,
    Money,
    Months,
    Names,
    Part,
    Temperature,
    Text,
    Volume,
    optional,
    spec,
)
from homestead.vocabulary import NEEDS

ACTIVITIES = ("sedentary", "moderate", "active")
LIFE_STAGES = (
    "none",
    "pregnant months 1 to 3",
    "pregnant months 4 to 6",
    "pregnant months 7 to 9",
    "nursing months 1 to 6",
    "nursing months 7 to 12",
)


class Site(Part):
    """Where you are, and your weather."""

    weather: Text = spec(
        "Weather file",
        default="greensboro-nc",
        help="A built-in place (greensboro-nc, sand-point-ak) or the path of a TMY, EPW, NSRDB or "
        "PVGIS file, looked for in your plan's folder.",
    )
    years_n: Count = spec(
        "Weather years",
        default=30,
        within=(1, 200),
        help="How many years to try. From one typical year we make up that many, with dark and "
        "cold spells as long as real ones. Ten or more real years are used as they are.",
    )
    seed_n: Count = spec(
        "Seed",
        default=1,
        within=(0, 10**9),
        help="Any whole number. Another one gives other possible years.",
    )
    record_low_c: Temperature = spec(
        "Lowest temperature on record",
        default=-20.0,
        within=(-60, 25),
        help="The coldest your solar modules will see; it limits how long a string can be.",
    )
    record_high_c: Temperature = spec(
        "Highest temperature on record", default=40.0, within=(0, 60), help="For hot modules."
    )
    rain_m: ByMonth = spec(
        "Rain by month",
        default=(0.09,) * 12,
        within=(0, 2.0),
        help="Twelve amounts, January first, from a nearby gauge. Weather files of a typical "
        "year have no usable rain.",
    )
    wet_days_n: Count = spec(
        "Days with rain in a month",
        default=9,
        within=(1, 28),
        help="The month's rain falls on this many of its cloudiest days.",
    )


class Person(Part):
    """Someone who lives with you."""

    name: Text = spec("Name", help="What the family calls it.")
    age_n: Count = spec("Age", within=(0, 120), help="In years.")
    sex: Choice = spec(
        "Sex", choices=("female", "male"), help="How much energy a person needs differs by sex."
    )
    activity: Choice = spec(
        "Activity",
        default="moderate",
        choices=ACTIVITIES,
        help="How hard the days are: sedentary, moderate or active.",
    )
    life_stage: Choice = spec(
        "Pregnant or nursing",
        default="none",
        choices=LIFE_STAGES,
        help="Adds to the food she needs.",
        source="Dietary Reference Intakes: 340 and 452 kcal a day in the later thirds of pregnancy",
    )
    work_s: Duration | None = optional(
        "Chores a day",
        within=(0, 57600),
        help="Hours of chores this person can do. Empty: by age, 8 h for a grown-up, 4 h from 70 "
        "on, 3 h from 12, 1 h from 8. Common practice.",
    )


class Animal(Part):
    """Animals of one kind: what they drink, eat and give."""

    name: Text = spec("Name", help="Such as hens or goats.")
    kind: Text = spec("Kind", help="A kind from the list, such as laying hen or goat.")
    count_n: Count = spec("How many", within=(0, 10000), help="Heads.")
    food_kcal: FoodEnergy = spec(
        "Food from each a day",
        default=0.0,
        within=(0, 50000),
        help="Energy of eggs or milk per animal on a day in its months of yield.",
    )
    yields: Months = spec("Months of yield", default=tuple(range(1, 13)), help="Such as Mar-Nov.")
    feed_kg: Mass = spec(
        "Feed in store", default=0.0, within=(0, 10**6), help="Hay, grain, pellets on hand."
    )
    feed_day_kg: Mass = spec(
        "Stored feed per head and day",
        default=0.0,
        within=(0, 100),
        help="Empty if pasture is enough. When the feed is gone, eggs and milk stop.",
    )
    pasture: Months = spec(
        "Months on pasture alone", default=(), help="Months that need no stored feed."
    )
    produce: Text | None = optional(
        "What they give",
        help="A food from the list, for its protein. Empty: eggs or milk, by the kind.",
    )
    meat_kg: Mass = spec(
        "Meat a year", default=0.0, within=(0, 10**5), help="Of the whole herd, without bone."
    )
    meat_if_feed_ends_kg: Mass = spec(
        "Meat if slaughtered when feed ends",
        default=0.0,
        within=(0, 10**5),
        help="Of all of them, without bone. Empty: you keep them, and they give no more.",
    )
    meat_food: Text | None = optional(
        "Kind of meat", help="A food from the list. Empty: by the kind of animal."
    )
    slaughter: Months = spec("Slaughter in", default=(), help="Month or months, such as Nov.")
    meat_eaten: Months = spec(
        "Meat eaten in",
        default=(),
        help="Fresh, cured, canned or frozen. Empty: in the months of slaughter.",
    )


class Failure(Part):
    """When you'd say a need has failed; shown beside every result."""

    counts: Names = spec(
        "Needs that count",
        default=NEEDS,
        help="Your days are the fewest of these: power, water, warmth, food.",
    )
    dark_s: Duration = spec(
        "Dark time allowed in 24 h",
        default=4 * 3600.0,
        within=(0, 86400),
        help="A bad night: more than a tenth of what is essential goes without power for longer "
        "than this in any 24 h.",
    )
    bad_nights_n: Count = spec(
        "Bad nights until it fails",
        default=3,
        within=(1, 7),
        help="Power, or warmth, has failed when this many of seven nights were bad.",
    )
    unserved_frac: Fraction = spec(
        "Essential energy missing in a week",
        default=0.05,
        within=(0.001, 1),
        help="Power has failed when more than this share of a week's essential energy is missing.",
    )
    dry_days_n: Count = spec(
        "Dry days until it fails",
        default=2,
        within=(1, 7),
        help="Water has failed when you couldn't draw the least amount this many days in a row.",
    )
    cold_below_c: Temperature = spec(
        "Rooms too cold below",
        default=10.0,
        within=(-10, 25),
        help="50 °F by default. The World Health Organization advises 18 °C (64 °F) and up.",
    )
    cold_for_s: Duration = spec(
        "Cold spell that counts",
        default=6 * 3600.0,
        within=(3600, 7 * 86400),
        help="A bad night: rooms stay below the limit for this long without a break.",
    )
    pipes_below_c: Temperature = spec(
        "Pipes at risk below",
        default=0.0,
        within=(-10, 10),
        help="Measured where they run. It ends warmth too.",
    )
    food_share_frac: Fraction = spec(
        "Food share that must be met",
        default=0.8,
        within=(0, 1),
        help="What you eat, as a share of what you need.",
    )
    food_window_n: Count = spec(
        "Days of a bad week of food",
        default=7,
        within=(1, 30),
        help="How many days make a bad week.",
    )
    food_fails_window_n: Count = spec(
        "Days over which food fails",
        default=28,
        within=(1, 90),
        help="Food has failed when the average over these days is below that share.",
    )
    protein_days_n: Count = spec(
        "Days of missing protein",
        default=60,
        within=(1, 365),
        help="Food has failed when you've missed this many days' worth of protein in all.",
        source="our own choice: harm shows after weeks to months",
    )
    fat_days_n: Count = spec(
        "Days of missing fat",
        default=90,
        within=(1, 365),
        help="The same for fat; the body stores some.",
        source="our own choice: no source gives a time",
    )
    vitamin_c_days_n: Count = spec(
        "Days of missing vitamin C",
        default=60,
        within=(1, 365),
        help="The same for vitamin C: scurvy shows after 4 to 12 weeks without any.",
        source="World Health Organization, Scurvy and its prevention, 1999, from memory",
    )
    salt_days_n: Count = spec(
        "Days of missing salt",
        default=60,
        within=(1, 365),
        help="The same for salt; hard work in the heat needs it sooner.",
        source="our own choice: no source gives a time",
    )
    freezer_full_s: Duration = spec(
        "A full freezer holds",
        default=48 * 3600.0,
        within=(0, 30 * 86400),
        help="Time without power until frozen food counts as lost, freezer full and shut; half "
        "this if half full.",
        source="USDA Food Safety and Inspection Service: 48 h full, 24 h half full",
    )


class CuttingBack(Part):
    """How you live when you cut back on everything; shown beside the days as usual."""

    is_on: Flag = spec(
        "Cutting back from the first day",
        alias="on",
        default=False,
        help="Off: your plan runs as usual, with cutting back shown beside it.",
    )
    needs: Names = spec(
        "Needs that cut back", default=NEEDS, help="Of power, water, warmth and food."
    )
    per_person_m3: Volume = spec(
        "Sparing water per person and day",
        default=0.015,
        within=(0.001, 1),
        help="15 L, about 4 gal, is what aid agencies call the least. Animals drink as usual.",
        source="Sphere Handbook 2018, water supply standard 2.1: 15 L per person and day",
    )
    keep_c: Temperature = spec(
        "Rooms kept at", default=15.0, within=(5, 28), help="59 °F by default."
    )
    heated_frac: Fraction = spec(
        "Share of the house kept warm",
        default=0.6,
        within=(0.1, 1),
        help="The rooms you move into. The rest is shut and gets as cold as outside.",
    )
    ration_frac: Fraction = spec(
        "Share of the usual food",
        default=0.85,
        within=(0.5, 1),
        help="From the first day, so stores last longer. It must be above the share at which "
        "food fails.",
    )

    def of(self, need):
        """Whether a need is cut back on."""
        return self.is_on and need in self.needs


class Breakdowns(Part):
    """Which spares are on the shelf, and how soon you can put one in."""

    spares: Names = spec(
        "Spares on the shelf",
        default=(),
        help="For generator, array, main inverter, battery, pump, pressure tank, booster, "
        "heater, hot water or freezer. Without a spare, a part stays broken.",
    )
    repair_s: Duration = spec(
        "Until a spare is in",
        alias="repair",
        default=3 * 86400.0,
        within=(0, 60 * 86400),
        help="Time to find the problem and put the spare in.",
    )


class Change(Part):
    """One idea, with its cost and what it changes or adds."""

    name: Text = spec("Name", help="What you would buy, build or do.")
    cost_money: Money = spec("Cost", default=0.0, within=(0, None), help='Such as "$1,200".')
    needs: Names = spec("Needs first", default=(), help="Names of other ideas.")
    sets: dict[str, Any] = spec(
        "Sets",
        default_factory=dict,
        help="What the idea changes in your plan: the part, its entry and the new value, such as "
        "cistern, volume: 5000 gal. In a list name the member too: fuel, propane tank, amount: "
        "400 gal. Semicolons stand between several.",
    )
    adds: dict[str, list[dict[str, Any]]] = spec(
        "Adds",
        default_factory=dict,
        help="What comes to a list of the plan, such as pantry, more rice, food: white rice; "
        "pantry, more rice, mass: 100 lb.",
    )


class Phase(Part):
    """A step in the years to come: which ideas you carry out, and when."""

    name: Text = spec("Name", help="Such as first spring.")
    date: Text = spec("Month", help='Year and month you do it, such as "2027-05".')
    changes: Names = spec("Changes made", help="Names of ideas; each is done once.")


class Price(Part):
    """What one more of something costs, or one spare of it."""

    name: Text = spec("Name", help="Such as one more battery module.")
    part: Text = spec(
        "Of what",
        help="battery, cistern, pantry, generator, array NAME or fuel NAME; or spare pump, spare "
        "heater and so on, with the kinds of the spares on the shelf.",
    )
    cost_money: Money = spec("Price", within=(0, 10**7), help='Such as "$1,300".')
    per: Text | None = optional(
        "For how much", help='Such as "1 module", "100 gal", "1 cord". Empty: one.'
    )
    most: Text | None = optional(
        "Most you'd have", help='In all, such as "16 modules". Empty: three times as much as today.'
    )
    lasts_years_n: Count | None = optional(
        "Lasts, years", within=(1, 100), help="Until you replace it."
    )
    lasts_cycles_n: Count | None = optional(
        "Lasts, full cycles",
        within=(100, 100_000),
        help="Of a battery, from its data sheet: replace it when the first of the two is up.",
    )
    lasts_s: Duration | None = optional(
        "Lasts, hours of running",
        alias="lasts_running",
        within=(3600.0, 4e8),
        help='Of a generator, such as "3000 h".',
    )


class Meter(Part):
    """What the whole house uses, by the utility's meter or one of your own."""

    daily_wh: Energy = spec(
        "Electricity a day",
        within=(1.0, 10**6),
        help='On average, such as "28 kWh". We compare it with your list of appliances.',
    )
    months: Months = spec("Read in", default=tuple(range(1, 13)), help="Months the average covers.")


class Buying(Part):
    """How many days you want, and how much money you have for it."""

    days_n: Count | None = optional(
        "Days wanted",
        within=(1, 365),
        help="In nine winters of ten. Empty: a quarter more than today.",
    )
    yearly_money: Money | None = optional(
        "Money a year", within=(1, 10**7), help="You keep what's left over."
    )
