"""Findings about water: well and pump, pressure tank, stores, hands, fire, what lies near.

Each compares what was entered with a rule and says what was assumed. None says that water may be
drunk or that a thing is in order: the local health department and licensed well drillers decide.
"""

from homestead import reference, units
from homestead.findings import cautions
from homestead.findings.finding import found
from homestead.formulas.water import pumps
from homestead.simulate import water_supply
from homestead.trades.water import check_springs as springs
from homestead.trades.water import study_water as study
from homestead.trades.water import study_wells as wells

FLOW_ROUNDING = 1.005  # a pump and a yield both written as 4.5 gal/min are the same


def findings_of(plan, hours=None):
    """Yield findings about the water of a plan."""
    if plan.pump:
        yield from _efficiency(plan.pump)
        yield from _curve(plan)
        yield from _yield(plan)
        yield from _setting(plan)
        yield from _cycling(plan, hours)
    yield from _peak(plan, hours)
    yield from _dark(plan)
    yield from _by_hand(plan, hours)
    yield from _gravity(plan)
    yield from _fire(plan)
    yield from _neighbors(plan)
    yield from springs.findings_of(plan)
    yield from _stored(plan, hours)
    yield from _frost(plan)


def _efficiency(pump):
    if not pumps.wire_to_water_plausible(pump.wire_to_water_frac):
        yield found(
            "water.efficiency: well pump",
            "warning",
            "A wire-to-water efficiency of {wire_to_water_frac} is outside the 30 to 75 % seen in "
            "field tests; measure it with a clamp meter, a bucket and a watch.",
            "Hill (1999) and Hansen and Shearer, WRRI-90 (1983): pump tests",
            pump,
        )


def _curve(plan):
    point, source = water_supply.pump_point(plan), "Derived: operating point of pump and system"
    if point.from_curve and point.flow_m3s <= 0.0:
        yield found(
            "water.curve too low: well pump",
            "danger",
            "Your pump curve doesn't reach the head of {head_m} that well, pipe and pressure "
            "need even at no flow: this pump would bring no water. {driller}",
            source,
            point,
            limit="head_m",
        )
    elif point.runs_off_curve:
        yield found(
            "water.curve too short: well pump",
            "note",
            "The pump runs past the last point of your curve, so we hold the flow there. Add "
            "points from the maker's curve.",
            source,
        )


def _yield(plan):
    point = water_supply.pump_point(plan)
    if point.flow_m3s <= plan.well.yield_m3s * FLOW_ROUNDING:
        return
    look = wells.well_look(plan)
    dry_after_min = float(units.convert_unit(look.dry_after_h, "h", "min"))
    yield found(
        "water.yield: well pump",
        "warning",
        "The pump lifts {flow_m3s}, but the well tested at {yield_m3s}: steady pumping draws "
        "the water down to the pump in about {dry_after_min:2}, and the well then takes about "
        "{recovery_h:2} to fill again. Ask your installer about dry-run protection, a smaller "
        "pump or a throttling valve. {driller}",
        "Derived: casing storage and tested yield",
        locals(),
        point,
        look,
        limit="yield_m3s",
    )


def _setting(plan):
    """Pump against the level that the pumping test saw."""
    if plan.well.drawdown_m is None:
        return
    look = wells.well_look(plan)
    margin_m = plan.pump.depth_m - look.pumping_level_m
    wanted_m = reference.value("pumping", "pump setting", "below_pumping_level", "m")
    if margin_m <= 0:
        yield found(
            "water.setting dry: well pump",
            "danger",
            "The pump is set at {depth_m}, but the level fell to {pumping_level_m} at the tested "
            "yield: it would run dry. {driller}",
            "Derived: static level and drawdown of the pumping test",
            plan.pump,
            look,
            limit="pumping_level_m",
        )
    elif margin_m < wanted_m:
        yield found(
            "water.setting close: well pump",
            "warning",
            "The pump hangs at {depth_m}, just below the pumping level of {pumping_level_m}; "
            "drillers leave {wanted_m} or more, since levels fall in dry years. {driller}",
            reference.cite("common-practice"),
            plan.pump,
            look,
            locals(),
            limit="wanted_m",
        )


def _cycling(plan, hours):
    look = wells.tank_look(plan, hours)
    if look is None:
        return
    if look.starts_day_n > look.starts_limit_n:
        yield found(
            "water.starts: well pump",
            "warning",
            "Up to {starts_day_n:.0f} starts on a day of the busiest month, above the "
            "{starts_limit_n:.0f} at which a motor of its size may wear early; a larger pressure "
            "tank starts it less often. The motor maker's own figure comes first.",
            reference.cite("motor-application"),
            look,
            limit="starts_limit_n",
        )
    if look.run_s < look.least_run_s:
        yield found(
            "water.short run: pressure tank",
            "warning",
            "The pump fills the tank's drawdown in {run_s:.0f}; a motor of its size should run "
            "{least_run_s:.0f} so it cools between starts. The tank of {volume_m3} is small for "
            "this pump: {size_wanted_m3} would give that run at these pressures and this "
            "elevation. The motor maker's own figure comes first.",
            reference.cite("water-systems-council"),
            look,
            limit="least_run_s",
        )


def _peak(plan, hours):
    look = wells.peak_look(plan, hours)
    if not look.is_met:
        yield found(
            "water.peak: {subject}",
            "warning",
            wells.TWO_HOURS + " The rule of thumb is a busy day's use within two hours: this is "
            "less. More storage, a stronger well or spreading use over the day would fix it. "
            "{driller}",
            reference.cite("psu-water-planning"),
            look,
            subject="well" if plan.well else "cistern",
            limit="wanted_m3",
        )


def _dark(plan):
    """Whether any water comes without power."""
    cistern, hand = plan.cistern, plan.by_hand
    works_by_hand = hand is not None and hand.flow_m3s > 0 and hand.daily_limit_s > 0
    if works_by_hand or (cistern and cistern.delivery == "gravity"):
        return
    has_tank = plan.pressure_tank is not None
    yield found(
        "water.no power: water without power",
        "warning",
        "When the power is out, nothing in your plan brings water{has_tank: but what is in the "
        "pressure tank|}: no cistern that feeds by gravity, no hand pump, no bucket. Public advice "
        "is to keep at least 1 gal (4 L) per person and day on hand, for two weeks where possible.",
        reference.cite("fema-cdc-water"),
        locals(),
    )


def _by_hand(plan, hours):
    if plan.by_hand is None or hours is None:
        return
    look = study.hand_look(plan, study.demand_of(hours)[0])
    if not look.is_enough:
        yield found(
            "water.by hand: water by hand",
            "warning",
            study.BY_HAND + " More time, a faster way or fewer animals to carry for would help.",
            "Derived: the least amounts of the plan over the rate by hand",
            look,
            limit="limit_min",
        )


def _gravity(plan):
    gravity_pa = wells.gravity_pa(plan)
    least_pa = reference.value("pumping", "tap", "pressure_least", "Pa")
    if gravity_pa is not None and gravity_pa < least_pa:
        yield found(
            "water.gravity: cistern",
            "note",
            "By height alone the cistern gives {gravity_pa} at the taps; public mains are kept at "
            "{least_pa} or more. Water will run, but showers, heaters and washers that need "
            "pressure may not.",
            reference.cite("ten-states"),
            locals(),
            limit="least_pa",
        )


def _fire(plan):
    asked = study.fire_of(plan)
    if asked is not None and asked["short_m3"] > 0:
        yield found(
            "water.fire: fire reserve",
            "warning",
            "A fire in your building needs at least {asked_m3} by the rule for places without "
            "hydrants; the cistern holds {cistern_m3} when full, and the house uses it too. "
            "Editions of the rule differ; the local fire department decides.",
            reference.cite("nfpa-1142"),
            asked,
            limit="asked_m3",
        )


def _neighbors(plan):
    for name, found_m in plan.well.neighbor_distances.items() if plan.well else ():
        wanted_m = cautions.well_distance_m(name)
        if found_m < wanted_m:
            what = name.capitalize()
            yield found(
                "water.neighbors: well",
                "warning",
                "{what} at {found_m} from the well: the published distance is {wanted_m}, and many "
                "states ask for more. Have the water tested. {driller}",
                reference.cite("cdc-wells"),
                locals(),
                subject=name,
                limit="wanted_m",
            )


def _stored(plan, hours):
    cistern = plan.cistern
    if cistern is None:
        return
    turns_over_days = cistern.volume_m3 / wells.busiest_day_m3(plan, hours)
    replace_months = reference.value("pumping", "stored water", "replace_after", "month")
    is_reserve, from_roof = cistern.use == "reserve", plan.rain is not None
    yield found(
        "water.stored: cistern",
        "note",
        "A full cistern turns over in about {turns_over_days:2} {is_reserve:if all use went "
        "through it|at the use entered}; a reserve nobody uses goes stale. Public advice is to "
        "replace stored water every {replace_months:.0f}.{from_roof: Rain off a roof carries "
        "whatever is on it.|} Ask the local health department whether and how to disinfect and "
        "test it.",
        reference.cite("cdc-water-storage"),
        locals(),
        limit="replace_months",
    )


def _frost(plan):
    if plan.site.record_low_c < 0 and (plan.pipe or plan.cistern):
        yield found(
            "water.frost: water lines",
            "note",
            "The lowest temperature on record is {record_low_c}: lines and tanks that are not "
            "below the local frost depth, drained or kept warm freeze and burst, and a frozen line "
            "brings no water, whatever this plan says. The building department knows the frost "
            "depth.",
            reference.cite("common-practice"),
            plan.site,
        )
