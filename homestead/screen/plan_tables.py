"""Tables of what a plan says: people, animals, loads, pantry, assumptions.

Each returns a pandas DataFrame for readers: units in the headers, numbers rounded. Tables that
need a run stand in `homestead.screen.tables`, which hands these on.
"""

from homestead import units as measures
from homestead.formulas.food import food as diet
from homestead.formulas.food import food_composition
from homestead.plan.schema import Plan, part_type, top_key
from homestead.screen.readable import (
    assumption_text,
    count_text,
    head,
    hours_text,
    percent,
    table_of,
)
from homestead.simulate import food
from homestead.vocabulary import NEEDS

PRIORITY_WORDS = {1: "1 essential", 2: "2 useful", 3: "3 comfort"}


def failure_rules(plan, units="us"):
    """When each need counts as failed, in words with the plan's own limits."""
    rule, show = plan.failure, measures.show
    least = show(plan.water_use.minimum_per_person_m3, "volume", units)
    drink = " plus what the animals drink" if plan.animals else ""
    words = {
        "power": f"{count_text(rule.bad_nights_n, 'bad night')} in seven, or more than "
        f"{percent(rule.unserved_frac)} of a week's essential energy missing. A bad night: "
        f"essential loads go without power for more than {hours_text(rule.dark_s)} in 24 h.",
        "water": f"There is less than {least} a person{drink}"
        + (f" on {rule.dry_days_n} days in a row." if rule.dry_days_n > 1 else " on a day."),
        "warmth": f"{count_text(rule.bad_nights_n, 'bad night')} in seven, or pipes at risk. A bad "
        f"night: the main rooms stay below {show(rule.cold_below_c, 'temperature', units)} for "
        f"{hours_text(rule.cold_for_s)} without a break.",
        "food": f"Over {rule.food_fails_window_n} days you eat less than "
        f"{percent(rule.food_share_frac)} of the energy you need; a bad week is the same over "
        f"{rule.food_window_n} days. Frozen food counts as lost after "
        f"{hours_text(rule.freezer_full_s)} without power if the freezer is full, or half that "
        f"time if it's half full.",
    }
    rows = [
        {
            "Need": need,
            "Fails when": words[need],
            "Ends your days": "yes" if need in rule.counts else "no",
        }
        for need in NEEDS
    ]
    rows.append(
        {
            "Need": "pipes",
            "Fails when": "Where pipes run it is below "
            f"{show(rule.pipes_below_c, 'temperature', units)}; that ends warmth too.",
            "Ends your days": "no",
        }
    )
    return table_of(rows)


def people(plan):
    """Household members and the energy that each needs from food."""
    need = [
        diet.energy_need_kcal_day(person.age_n, person.sex, person.activity)
        for person in plan.people
    ]
    rows = [
        {
            "Name": person.name,
            "Age": person.age_n,
            "Activity": person.activity,
            _KCAL: int(round(kcal, -1)),
        }
        for person, kcal in zip(plan.people, map(float, need), strict=True)
    ]
    total = {"Name": "all", "Age": "", "Activity": "", _KCAL: int(round(float(sum(need)), -1))}
    return table_of([*rows, total])


_KCAL = "Energy need (kcal/day)"


def pantry(plan, units="us"):
    """Food that is in store: its weight, its energy, how many days of need it is."""
    need = food.needs_of(plan).kcal
    names, mass, energy = [], [], []
    for item in plan.pantry:
        names.append(item.name)
        mass.append("" if item.mass_kg is None else _mass_text(item.mass_kg, units))
        energy.append(
            item.energy_kcal
            if item.energy_kcal is not None
            else float(food_composition.food_energy_kcal(item.food, item.mass_kg))
        )
    if plan.freezer:
        names.append("freezer, while it has power")
        mass.append("")
        energy.append(plan.freezer.energy_kcal)
    names.append("all")
    mass.append("")
    energy.append(sum(energy))
    return table_of(
        {
            "Food": names,
            head("Weight", "mass", units): mass,
            "Energy (kcal)": [int(round(kcal, -2)) for kcal in energy],
            "Feeds the household (days)": [round(kcal / need, 1) for kcal in energy],
        }
    )


def _mass_text(mass_kg, units):
    return measures.digits(measures.convert(mass_kg, "mass", units))


def _label(assumption):
    """Part and entry as a reader says them: ``"lights: power while running"``."""
    first, *names, key = assumption.path.split(".")
    about = ".".join(names) if names else first.replace("_", " ")
    part = next(part_type(name)[0] for name in Plan.model_fields if top_key(name) == first)
    title = next(
        field.title for name, field in part.model_fields.items() if key == (field.alias or name)
    )
    return f"{about}: {title[0].lower()}{title[1:]}"


def assumptions(plan, units="us"):
    """Values that carry a range or a basis: what they are and how well they are known."""
    rows = [
        {
            "Assumption": _label(assumption),
            "Value": assumption_text(assumption, assumption.value, plan, units),
            "Low": assumption_text(assumption, assumption.low, plan, units),
            "High": assumption_text(assumption, assumption.high, plan, units),
            "Basis": assumption.basis or "not said",
        }
        for assumption in plan.assumptions
    ]
    return table_of(rows, ["Assumption", "Value", "Low", "High", "Basis"])
