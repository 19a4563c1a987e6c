"""How the figures on warmth are worked out: each with formula, inputs and source.

The figures are those of the studies of warmth; nothing is computed in another way here.
"""

import math

from homestead import units as measures
from homestead.formulas.warmth import cooling
from homestead.plan.currency import DOLLAR, money_text
from homestead.screen.readable import WATTS_PER_KW
from homestead.screen.workings import Workings
from homestead.simulate import constants
from homestead.simulate.steps import Step
from homestead.trades.warmth import study_fuel as fuel_study
from homestead.trades.warmth import study_warmth as warmth
from homestead.trades.warmth.tables import study_of


def worked(outlook, units="us"):
    """Steps of an outlook's warmth as a table that folds away.

    Gives Workings.
    """
    return Workings(steps_of(outlook), units)


def steps_of(outlook):
    """Main figures on warmth, each with the way that led to it.

    Gives list of Step: Those of parts that the plan lacks are left out, and those that are not
        finite.
    """
    study = study_of(outlook)
    found = [
        *_house(outlook.plan, study),
        *_need(outlook.plan, study),
        *_fuel(outlook),
        *_cooling_down(outlook.plan, study.cool_down),
        *_water_and_summer(outlook.plan, study),
    ]
    return [step for step in found if math.isfinite(step.value)]


def _house(plan, study):
    house, shell = plan.house, warmth.shell(plan)
    loss, leaks = warmth.loss_w_k(plan), float(shell.loc[warmth.AIR_LEAKS, "loss_w_k"])
    by_edge = [part for part in plan.envelope if part.edge_m > 0]
    if len(by_edge) < len(plan.envelope):
        largest = max(
            (part for part in plan.envelope if part not in by_edge), key=warmth.part_loss_w_k
        )
        share = largest.temperature_frac
        note = "" if share is None else f" × {share:g}, the share of the outdoor difference"
        if share is None and largest.kind != "outside":
            note = f" × the usual share for what faces {largest.kind}"
        yield Step(
            f"loss of {largest.name}",
            warmth.part_loss_w_k(largest),
            "heat_loss",
            f"area / R{note}; every other part in the same way",
            (("area", largest.area_m2, "area"), ("R", largest.r_m2k_w, "thermal_resistance")),
            "ashrae-fundamentals",
        )
    for part in by_edge:
        yield Step(
            f"loss of {part.name}",
            warmth.part_loss_w_k(part),
            "heat_loss",
            f"loss for each length of slab edge (insulation {part.edge_insulation}) × edge",
            (("edge", part.edge_m, "length"),),
            "ashrae-90-1",
        )
    yield Step(
        "loss by air leaks",
        leaks,
        "heat_loss",
        "heat in a volume of air × volume of the rooms × air changes an hour",
        (
            ("heat in air", float(cooling.air_heat_wh_m3k()), "Wh in 1 m³, 1 °C warmer"),
            ("floor", house.floor_m2, "area"),
            ("ceiling", house.ceiling_m, "length"),
            ("air changes", house.air_changes_h, "an hour"),
        ),
        "ashrae-fundamentals",
    )
    yield Step(
        "loss of the whole house",
        loss,
        "heat_loss",
        "sum of all parts and air leaks",
        (("parts", loss - leaks, "heat_loss"), ("air leaks", leaks, "heat_loss")),
        "ashrae-fundamentals",
    )
    design = study.design
    yield Step(
        "loss on the design day",
        design.loss_w,
        "power",
        "loss of the house × (thermostat - design temperature); no gains counted",
        (
            ("loss", loss, "heat_loss"),
            ("thermostat", house.keep_c, "temperature"),
            ("design temperature", design.design_c, "temperature"),
        ),
        "ashrae-fundamentals",
    )


def _need(plan, study):
    months = study.need.months
    coldest = int(months["degree_day_wh"].idxmax())
    row = months.loc[coldest]
    loss = warmth.loss_w_k(plan)
    name = warmth.BY_DEGREE_DAYS.split(",")[0]
    yield Step(
        "needs no heat above, in the month that needs most",
        float(row["base_c"]),
        "temperature",
        "thermostat - average gains / loss of the house",
        (
            ("thermostat", plan.house.keep_c, "temperature"),
            ("gains", float(row["gain_w"]), "power"),
            ("loss", loss, "heat_loss"),
        ),
        "ashrae-fundamentals",
    )
    yield Step(
        f"heat of that month {name}",
        float(row["degree_day_wh"]),
        "energy",
        "loss of the house × 24 h × degree-days below that temperature",
        (
            ("loss", loss, "heat_loss"),
            ("degrees × days", float(row["degree_days_k"]), "temperature_difference"),
        ),
        "ashrae-fundamentals",
    )
    yield Step(
        "heat of an average year hour by hour",
        float(study.need.bridge[warmth.BY_THE_HOUR]),
        "energy",
        "for each hour, what keeps the rooms at the thermostat, given loss, thermal mass, sun, "
        "people and appliances, as far as heaters and fuel can; summed",
        (
            ("loss", loss, "heat_loss"),
            ("heat kept", constants.heat_capacity_wh_k(plan), "Wh for 1 °C"),
        ),
        "project",
    )


def _wood(species):
    return "average wood" if species == fuel_study.MEAN_WOOD else species


def _fuel(outlook):
    plan = outlook.plan
    wood = fuel_study.cordwood(plan)
    sold, unit = ("cord", "kWh a cord") if plan.units == "us" else ("m^3", "kWh a stacked m³")
    a_unit = WATTS_PER_KW * float(measures.convert_unit(1.0, "cord", sold))
    for _, duplicate in wood.drop_duplicates("species").iterrows():
        yield Step(
            f"heat in stacked {_wood(duplicate['species'])}",
            duplicate["wh_per_cord"] / a_unit,
            unit,
            "heat of the air-dry wood by its species, less what boiling off more water takes",
            (
                ("air-dry", duplicate["air_dry_wh_per_cord"] / a_unit, unit),
                ("moisture", duplicate["moisture_frac"], "fraction"),
            ),
            "usu-wood-heating",
        )
    for name, tank in fuel_study.propane_tanks(plan, outlook.hours).iterrows():
        store = plan.fuel_named(name)
        yield Step(
            f"usable in {name}",
            tank["usable_m3"],
            "volume",
            "in store × (1 - share that cannot be used); a full tank is 80 % of its capacity",
            (
                ("in store", store.amount, "volume"),
                ("cannot be used", store.reserve_frac, "fraction"),
            ),
            "osha-1910-110",
        )
        yield Step(
            f"boil-off of {name} at the record low",
            tank["boil_off_record_low_w"],
            "power",
            "diameter × length × factor for the level × factor for the temperature; above ground",
            (
                ("diameter", tank["diameter_m"], "length"),
                ("length", tank["length_m"], "length"),
                ("level", tank["fill_frac"], "fraction"),
                ("record low", tank["record_low_c"], "temperature"),
            ),
            "lpg-serviceman",
        )
    for _, cost in fuel_study.cost_of_heat(plan).iterrows():
        yield Step(
            f"a kWh of heat from {cost['user']}",
            cost["cost_per_kwh_money"],
            "dollars" if plan.currency == DOLLAR else plan.currency,
            "price / (heat in the fuel × efficiency), both for the same amount of fuel",
            (
                (
                    f"heat bought for {money_text(1.0, plan.currency)}",
                    cost["wh_per_unit"] / cost["price_per_unit_money"],
                    "energy",
                ),
                ("efficiency", cost["efficiency_frac"], "fraction"),
            ),
            "uconn-fuel-costs",
        )


def _cooling_down(plan, cool):
    loss, kept = warmth.loss_w_k(plan), constants.heat_capacity_wh_k(plan)
    low_c = plan.site.record_low_c
    yield Step(
        f"heat that the house keeps, {plan.house.mass} mass",
        kept / WATTS_PER_KW,
        "kWh for 1 °C",
        "heat kept by each area of floor, by the class of its mass × floor",
        (("floor", plan.house.floor_m2, "area"),),
        "iso-13790",
    )
    yield Step(
        "time constant",
        cool.time_constant_h,
        "h",
        "heat that the house keeps / loss of the house",
        (("kept", kept / WATTS_PER_KW, "kWh for 1 °C"), ("loss", loss, "heat_loss")),
        "iso-13790",
    )
    yield Step(
        "rooms at the plan's limit, record low held, no gains",
        cool.steady_hours_to_limit,
        "h",
        "time constant × ln((thermostat - outdoors) / (limit - outdoors))",
        (
            ("thermostat", plan.house.keep_c, "temperature"),
            ("outdoors", low_c, "temperature"),
            ("limit", cool.limit_c, "temperature"),
        ),
        "project",
    )
    yield Step(
        "pipes at risk, record low held, no gains",
        cool.steady_hours_to_pipes,
        "h",
        "the same, until pipes that follow outdoors by their share reach their limit",
        (
            ("share", plan.house.pipes_outside_frac, "fraction"),
            ("limit", cool.pipes_limit_c, "temperature"),
        ),
        "project",
    )


def _water_and_summer(plan, study):
    if plan.hot_water is not None:
        hot, row = plan.hot_water, study.hot_water.iloc[0]
        yield Step(
            "water heater on a day in January",
            float(row["input_wh"]),
            "energy",
            "(heat into drawn water × (1 - share preheated) + standing loss) / efficiency",
            (
                ("drawn", float(row["draw_wh"]), "energy"),
                ("preheated", float(row["preheat_wh"]), "energy"),
                ("standing loss", float(row["standby_wh"]), "energy"),
                ("efficiency", hot.efficiency_frac, "fraction"),
            ),
            "doe-water-heater",
        )
    if plan.cooling is not None:
        cool, table = plan.cooling, study.cooling
        yield Step(
            "electricity for cooling in an average year",
            float(table["electric_wh"].sum()),
            "energy",
            "(warmth removed / sensible share) / SEER, SEER in Btu for each Wh",
            (
                ("warmth removed", float(table["sensible_wh"].sum()), "energy"),
                (
                    "sensible share",
                    float(
                        table["sensible_wh"].sum()
                        / max((table["sensible_wh"] + table["latent_wh"]).sum(), 1e-9)
                    ),
                    "fraction",
                ),
                ("SEER", cool.seer, ""),
            ),
            "ashrae-fundamentals",
        )
