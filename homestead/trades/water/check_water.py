"""Findings about water: well and pump, pressure tank, stores, hands, fire, what lies near.

Each compares what was entered with a rule and says what was assumed. None says that water may be
drunk or that a thing is in order: the local health department and licensed well drillers decide.
"""

from homestead import reference, units
from homestead.findings import cautions
from homestead.findings.finding import Finding
from homestead.formulas.water import pumps
from homestead.simulate import water_supply
from homestead.trades.water import check_springs as springs
from homestead.trades.water import study_water as study
from homestead.trades.water import study_wells as wells

DEFER = "The local health department and a licensed well driller decide."
FLOW_ROUNDING = 1.005  # a pump and a yield both written as 4.5 gal/min are the same


def findings_of(plan, hours=None):
    """Yield findings about the water of a plan."""
    yield from _efficiency(plan)
    if plan.pump:
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


def _efficiency(plan):
    if plan.pump and not pumps.wire_to_water_plausible(plan.pump.wire_to_water_frac):
        yield Finding(
            "warning",
            "well pump",
            f"A wire-to-water efficiency of {plan.pump.wire_to_water_frac:.0%} is outside the 30 "
            f"to 75 % seen in field tests; measure it with a clamp meter, a bucket and a watch.",
            "Hill (1999) and Hansen and Shearer, WRRI-90 (1983): pump tests",
            code="efficiency",
        )


def _curve(plan):
    point = water_supply.pump_point(plan)
    head = units.show(point.head_m, "length", plan.units)
    if point.from_curve and point.flow_m3s <= 0.0:
        yield Finding(
            "danger",
            "well pump",
            f"The curve entered does not reach the head of {head} that well, pipe and pressure "
            f"need at no flow: this pump would bring no water. {DEFER}",
            "Derived: operating point of pump and system",
            code="curve",
        )
    elif point.runs_off_curve:
        yield Finding(
            "note",
            "well pump",
            "The system needs less head than the last point of the curve entered, so the pump "
            "runs to the right of it; the flow is held at that last point. Add points from the "
            "maker's curve.",
            "Derived: operating point of pump and system",
            code="curve",
        )


def _yield(plan):
    point, well = water_supply.pump_point(plan), plan.well
    if point.flow_m3s <= well.yield_m3s * FLOW_ROUNDING:
        return
    look = wells.well_look(plan)
    dry_min = float(units.convert_unit(look.dry_after_h, "h", "min"))
    flow, gives = (units.show(one, "flow", plan.units) for one in (point.flow_m3s, well.yield_m3s))
    yield Finding(
        "warning",
        "well pump",
        f"The pump lifts {flow}, the well gives {gives} at its test: steady pumping draws the "
        f"level down to the pump in about {units.digits(dry_min, 2)} min, and the "
        f"bore then takes about {units.digits(look.recovery_h, 2)} h to fill. Ask your installer "
        f"about dry-run protection, a smaller pump or a throttling valve. {DEFER}",
        "Derived: casing storage and tested yield",
        code="yield",
    )


def _setting(plan):
    """Pump against the level that the pumping test saw."""
    if plan.well.drawdown_m is None:
        return
    look = wells.well_look(plan)
    margin_m = plan.pump.depth_m - look.pumping_level_m
    wanted_m = reference.value("pumping", "pump setting", "below_pumping_level", "m")
    pump, level, wanted = (
        units.show(one, "length", plan.units)
        for one in (plan.pump.depth_m, look.pumping_level_m, wanted_m)
    )
    if margin_m <= 0:
        yield Finding(
            "danger",
            "well pump",
            f"The pump is set at {pump}, but the level fell to {level} at the tested yield: it "
            f"would run dry. {DEFER}",
            "Derived: static level and drawdown of the pumping test",
            code="setting",
        )
    elif margin_m < wanted_m:
        yield Finding(
            "warning",
            "well pump",
            f"The pump is set at {pump}, close below the pumping level of {level}; drillers leave "
            f"{wanted} and more, since levels fall in dry years. {DEFER}",
            reference.cite("common-practice"),
            code="setting",
        )


def _cycling(plan, hours):
    look = wells.tank_look(plan, hours)
    if look is None:
        return
    if look.starts_day_n > look.starts_limit_n:
        yield Finding(
            "warning",
            "well pump",
            f"Up to {look.starts_day_n:.0f} starts on a day of the busiest month, above the "
            f"{look.starts_limit_n:.0f} at which a motor of its size may wear early; a larger "
            "pressure tank starts it less often. The motor maker's own figure comes first.",
            reference.cite("motor-application"),
            code="cycling",
        )
    if look.run_s < look.least_run_s:
        has, wanted = (
            units.show(one, "volume", plan.units) for one in (look.volume_m3, look.size_wanted_m3)
        )
        yield Finding(
            "warning",
            "pressure tank",
            f"The pump fills the tank's drawdown in {look.run_s:.0f} s; a motor of its size "
            f"should run {look.least_run_s:.0f} s so that it cools between starts. The tank of "
            f"{has} is small for this pump: {wanted} would give that run at these pressures and "
            "this elevation. The motor maker's own figure comes first.",
            reference.cite("water-systems-council"),
            code="cycling",
        )


def _peak(plan, hours):
    look = wells.peak_look(plan, hours)
    if not look.is_met:
        yield Finding(
            "warning",
            "well" if plan.well else "cistern",
            f"{look.text} The rule of thumb is a busy day's use within two hours: this is less. "
            f"More storage, a stronger well or spreading use over the day would fix it. "
            f"{DEFER}",
            reference.cite("psu-water-planning"),
            code="peak",
        )


def _dark(plan):
    """Whether any water comes without power."""
    cistern, hand = plan.cistern, plan.by_hand
    works_by_hand = hand is not None and hand.flow_m3s > 0 and hand.daily_limit_s > 0
    if works_by_hand or (cistern and cistern.delivery == "gravity"):
        return
    tank = " but what is in the pressure tank" if plan.pressure_tank else ""
    yield Finding(
        "warning",
        "water without power",
        f"When the power is out, nothing in your plan brings water{tank}: no cistern that feeds by "
        "gravity, no hand pump, no bucket. Public advice is to "
        "keep at least 1 gal (4 L) per person and day on hand, for two weeks where possible.",
        reference.cite("fema-cdc-water"),
        code="dark",
    )


def _by_hand(plan, hours):
    if plan.by_hand is None or hours is None:
        return
    demand, _ = study.demand_of(hours)
    look = study.hand_look(plan, demand)
    if not look.is_enough:
        yield Finding(
            "warning",
            "water by hand",
            f"{look.text} More time, a faster way or fewer animals to carry for would help.",
            "Derived: the least amounts of the plan over the rate by hand",
            code="by hand",
        )


def _gravity(plan):
    found_pa = wells.gravity_pa(plan)
    if found_pa is None:
        return
    least_pa = reference.value("pumping", "tap", "pressure_least", "Pa")
    if found_pa < least_pa:
        found, least = (units.show(one, "pressure", plan.units) for one in (found_pa, least_pa))
        yield Finding(
            "note",
            "cistern",
            f"By height alone the cistern gives {found} at the taps; public mains are kept at "
            f"{least} or more. Water will run, but showers, heaters and washers that need "
            f"pressure may not.",
            reference.cite("ten-states"),
            code="gravity",
        )


def _fire(plan):
    asked = study.fire_of(plan)
    if asked is None or asked["short_m3"] <= 0:
        return
    wanted, held = (
        units.show(asked[name], "volume", plan.units) for name in ("asked_m3", "cistern_m3")
    )
    yield Finding(
        "warning",
        "fire reserve",
        f"A fire in the building entered needs {wanted} at the least by the rule for places "
        f"without hydrants; the cistern holds {held} when full, and the house uses it too. "
        "Editions of the rule differ; the local fire department decides.",
        reference.cite("nfpa-1142"),
        code="fire",
    )


def _neighbors(plan):
    if plan.well is None:
        return
    for name, found_m in plan.well.neighbor_distances.items():
        wanted_m = cautions.well_distance_m(name)
        if found_m >= wanted_m:
            continue
        found, wanted = (units.show(one, "length", plan.units) for one in (found_m, wanted_m))
        yield Finding(
            "warning",
            "well",
            f"{name.capitalize()} at {found} from the well: the published distance is {wanted}, "
            f"and many states ask for more. Have the water tested. {DEFER}",
            reference.cite("cdc-wells"),
            code="neighbors",
        )


def _stored(plan, hours):
    cistern = plan.cistern
    if cistern is None:
        return
    daily_m3 = wells.busiest_day_m3(plan, hours)
    months = reference.value("pumping", "stored water", "replace_after", "month")
    turn = f"in about {units.digits(cistern.volume_m3 / daily_m3, 2)} days"
    used = "if all use went through it" if cistern.use == "reserve" else "at the use entered"
    yield Finding(
        "note",
        "cistern",
        f"A full cistern turns over {turn} {used}; a reserve nobody uses goes stale. "
        f"Public advice is to replace stored water every {months:.0f} months. "
        + ("Rain off a roof carries whatever is on it. " if plan.rain else "")
        + "Ask the local health department whether and how to disinfect and test it.",
        reference.cite("cdc-water-storage"),
        code="stored",
    )


def _frost(plan):
    if plan.site.record_low_c >= 0 or not (plan.pipe or plan.cistern):
        return
    low = units.show(plan.site.record_low_c, "temperature", plan.units)
    yield Finding(
        "note",
        "water lines",
        f"The lowest temperature on record is {low}: lines and tanks that are not below the local "
        "frost depth, drained or kept warm freeze and burst, and a frozen line brings no water, "
        "whatever this plan says. The building department knows the frost depth.",
        reference.cite("common-practice"),
        code="frost",
    )
