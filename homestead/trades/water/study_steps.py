"""Way that led to the figures on demand, storage and hand work of a `WaterStudy`.

Those of well, pump, tank and year come with the study itself; here is the rest that a reader sees.
"""

import numpy as np

from homestead import reference
from homestead.formulas.water import water_use
from homestead.simulate.steps import Step

VOLUME = "volume"


def steps_of(study):
    """All steps of a study: its own, then demand, storage and work by hand.

    Gives list of Step.
    """
    return [*study.steps, *_demand(study), *_storage(study), *_by_hand(study)]


def _demand(study):
    plan, day = study.plan, study.household
    people = ("people", float(len(plan.people)), "")
    use = plan.water_use
    yield Step(
        "Household water of a day, by person", day["by_person_m3_day"], VOLUME,
        "people × use of each a day", (people, ("use of each", use.per_person_m3, VOLUME)),
        "psu-water-planning",
    )  # fmt: skip
    if len(study.fixtures):
        parts = tuple((row.fixture, row.day_m3, VOLUME) for row in study.fixtures.itertuples())
        yield Step(
            "Household water of a day, by fixture", day["by_fixture_m3_day"], VOLUME,
            "sum of uses a day × water of each use", parts, "psu-water-planning",
        )  # fmt: skip
    yield Step(
        "Least that people need in a day", day["least_m3_day"], VOLUME, "people × least of each",
        (people, ("least of each", use.minimum_per_person_m3, VOLUME)), "fema-cdc-water",
    )  # fmt: skip
    for animal in plan.animals:
        by_month = study.animals[animal.name]
        month = int(by_month.to_numpy().argmax())
        yield Step(
            f"Water of {animal.name} in their thirstiest month", float(by_month.iloc[month]),
            VOLUME,
            "heads × water by kind and air temperature, average of the days",
            (
                ("heads", float(animal.count_n), ""),
                ("average air", float(study.demand.air_c.iloc[month]), "temperature"),
            ),
            _animal_source(animal.kind),
        )  # fmt: skip


def _animal_source(kind):
    """Source of the first row of a kind's water table."""
    item = water_use.ANIMAL_ALIASES.get(kind, kind)
    rows = (row for row in reference.table("animals") if row.item == item)
    return next((row.source for row in rows if row.quantity.startswith("water_")), "project")


def _storage(study):
    plan, days, demand = study.plan, study.storage, study.demand
    usual = (demand.people_m3_day + demand.animals_m3_day).to_numpy()
    least = study.household["least_m3_day"] + demand.animals_m3_day.to_numpy()
    tank_m3 = study.tank.drawdown_m3 if study.tank else 0.0
    casing_m3 = study.well.casing_m3 if study.well and plan.pump else 0.0
    cistern_m3 = plan.cistern.volume_m3 if plan.cistern else 0.0
    without = plan.cistern and plan.cistern.delivery == "booster pump"
    reached = {
        "powered": (cistern_m3, tank_m3, casing_m3),
        "dark": (0.0 if without and study.hand.source != "cistern" else cistern_m3, tank_m3, 0.0),
    }
    words = {
        "powered": "stores reached with power / use of a day; well and rain bring nothing",
        "dark": "stores reached without pump / (use of a day − what hands lift from the well)",
    }
    for name, title, use in (
        ("full_use", "usual use", usual), ("least", "the least", least),
    ):  # fmt: skip
        for light, when in (("powered", "well dry"), ("dark", "power out")):
            lasts = days[f"{name}_{light}"].to_numpy()
            month = int(lasts.argmin())
            parts = zip(("cistern", "pressure tank", "casing"), reached[light], strict=True)
            inputs = [(label, value, VOLUME) for label, value in parts if value > 0]
            inputs.append(("use of a day", float(use[month]), VOLUME))
            if light == "dark" and study.hand.source == "well":
                lifted_m3 = study.hand.flow_m3s * study.hand.limit_s
                inputs.append(("hands can lift in a day", lifted_m3, VOLUME))
            if np.isfinite(lasts[month]):
                yield Step(
                    f"Days in store at {title}, {when}, thirstiest month", float(lasts[month]),
                    "days", words[light], tuple(inputs), "project",
                )  # fmt: skip
    if study.cistern is not None and np.isfinite(study.cistern.turnover_days):
        yield Step(
            "Days to turn the cistern over", study.cistern.turnover_days, "days",
            "cistern / average day's use",
            (
                ("cistern", cistern_m3, VOLUME),
                ("average day's use", float(usual.mean()), VOLUME),
            ),
            "project",
        )  # fmt: skip


def _by_hand(study):
    hand = study.hand
    if hand.source == "none":
        return
    least_m3 = study.household["least_m3_day"]
    flow = ("flow by hand", hand.flow_m3s, "flow")
    beasts = ("animals", float(study.demand.animals_m3_day.max()), VOLUME)
    people = ("least of the people", least_m3, VOLUME)
    yield Step(
        "Work by hand for the people's least", hand.people_min, "min a day", "least / flow",
        (people, flow), "project",
    )  # fmt: skip
    yield Step(
        "Work by hand with the animals", hand.all_min, "min a day", "(least + animals) / flow",
        (people, beasts, flow), "project",
    )  # fmt: skip
