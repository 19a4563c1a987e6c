"""The plan as it is lived when the family cuts back: the levels of its own `cutting_back`.

Everything that depends on the usual plan stays as it is; where cutting back is off, so is this.
"""


def as_lived(plan):
    """Plan with the sparing levels in place of the usual ones, for the needs that are cut back.

    Gives Plan: The same one where nothing is cut back.
    """
    spare = plan.cutting_back
    if not spare.is_on:
        return plan
    changed = {}
    if spare.of("power"):
        changed |= _power(plan)
    if spare.of("water"):
        use = plan.water_use
        per_person = min(use.per_person_m3, max(spare.per_person_m3, use.minimum_per_person_m3))
        changed["water_use"] = use.model_copy(update={"per_person_m3": per_person})
    if spare.of("warmth"):
        changed |= _warmth(plan, spare)
    return plan.model_copy(update=changed)


def ration_of(plan):
    """Share of the usual food that is eaten."""
    return plan.cutting_back.ration_frac if plan.cutting_back.of("food") else 1.0


def _power(plan):
    """Essential appliances at their sparing use; the others off, but for those that have one."""
    frozen = plan.freezer.appliance if plan.freezer else None
    kept = []
    for appliance in plan.appliances:
        frac = appliance.sparing_frac
        if frac is None:
            frac = 1.0 if appliance.priority_n == 1 or appliance.name == frozen else 0.0
        kept.append(appliance.model_copy(update={"power_w": appliance.power_w * frac}))
    changed = {"appliances": tuple(kept), "cooling": None}
    if plan.hot_water and plan.hot_water.store == "electricity":
        changed["hot_water"] = None
    return changed


def _warmth(plan, spare):
    """Rooms kept cooler, and fewer of them: shell and air in proportion."""
    share = spare.heated_frac
    house = plan.house.model_copy(
        update={
            "keep_c": min(plan.house.keep_c, spare.keep_c),
            "floor_m2": plan.house.floor_m2 * share,
        }
    )
    shell = tuple(
        part.model_copy(update={"area_m2": part.area_m2 * share, "edge_m": part.edge_m * share})
        for part in plan.envelope
    )
    return {"house": house, "envelope": shell}
