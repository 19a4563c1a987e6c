"""Findings about the generator: power lost to height and heat, its load, fuel, fumes, service."""

from homestead import units
from homestead.findings.finding import found
from homestead.formulas.power import generator
from homestead.formulas.warmth import fuels
from homestead.simulate import fuel_stores
from homestead.trades.power import study_generator as study
from homestead.trades.power import study_loads as load_study

DERATING = "Installation manual of a residential standby set, page 21, found"
FUMES = "US Centers for Disease Control and Prevention, generator placement"
PRACTICE = "Common practice, no source"
LEAST_FUEL_H = 24.0  # project choice: less than a day at full load deserves a second look
# The manual prints its rule in feet and °F.
RULE = {
    "step_m": units.parse("1000 ft", "length"),
    "step_k": units.parse("10 °F", "temperature_difference"),
    "from_c": units.parse("77 °F", "temperature"),
}


def findings_of(plan, loads, hours=None):
    """Yield findings about the generator of a plan."""
    engine, by_hour = plan.generator, hours is not None
    if engine is None:
        return
    if by_hour:
        worst_w = float(hours.column("generator_w").min())
    else:
        hot_c = max(plan.site.record_high_c, -60.0)
        worst_w = float(generator.derated_w(engine.rated_w, 0.0, hot_c))
    essential_w = float(load_study.together_w(loads, 1).max())
    yield _power(engine, essential_w, worst_w, by_hour)
    if plan.battery and plan.grid_former and plan.grid_former.charger_w:
        yield _charging(plan, essential_w, worst_w, by_hour)
    yield _fuel(plan)
    yield _fumes()
    yield _service(engine)


def _power(engine, essential_w, worst_w, by_hour):
    is_within = essential_w <= worst_w
    return found(
        "generator.power: generator",
        "note" if is_within else "warning",
        "Rated {rated_w:.1f}, it gives {worst_w:.1f} {by_hour:at your elevation in the hottest "
        "hour of its weather|at the record high; your elevation isn't counted here} (3 % for each "
        "{step_m}, 1 % for each {step_k} above {from_c}; a turbocharged or diesel engine loses "
        "less). Essential loads may need {essential_w:.1f} together: {is_within:within|outside} "
        "it. {electrician}",
        DERATING,
        locals(),
        engine,
        RULE,
        limit="worst_w",
    )


def _charging(plan, essential_w, worst_w, by_hour):
    charger_w = min(plan.grid_former.charger_w, plan.battery.charge_w)
    is_within = charger_w + essential_w <= worst_w
    return found(
        "generator.charging: generator and charger",
        "note" if is_within else "warning",
        "The charger ({charger_w:.1f}) and the essentials ({essential_w:.1f}) together need "
        "{is_within:no more|more} than the {worst_w:.1f} that the generator gives {by_hour:in "
        "its hottest hour|at the record high} (rated {rated_w:.1f}).{is_within:| Set the "
        "charger down to what is left, or the generator trips; our days assume you did.}",
        PRACTICE,
        locals(),
        plan.generator,
        limit="worst_w",
    )


def _fuel(plan):
    engine, store = plan.generator, study.fuel_of(plan)
    usable_wh = float(fuel_stores.fuel_start_wh(plan)[plan.fuels.index(store)])
    full_h = usable_wh / engine.full_load_fuel_w
    idle_h = usable_wh / max(engine.no_load_fuel_w, 1.0)
    least_h, is_within = LEAST_FUEL_H, full_h >= LEAST_FUEL_H
    unit = "kg" if fuels.storage_unit(store.fuel) == "kg" else "m3"
    burns = engine.full_load_fuel_w / fuel_stores.fuel_wh_per_unit(store)
    return found(
        f"generator.fuel by {unit}: generator fuel",
        "note" if is_within else "warning",
        f"{{subject}} holds {{full_h:.0f}} of full load at {{burns_{unit}}} an hour, or "
        "{idle_h:.0f} of running without load, reserve left, if nothing else burns that fuel: "
        "{is_within:at least|less than} {least_h:.0f} at full load.",
        "As entered",
        locals() | {f"burns_{unit}": burns},
        subject=store.name,
        limit="least_h",
    )


def _fumes():
    return found(
        "generator.fumes: generator fumes",
        "note",
        "Its exhaust kills. Outdoors only, at least 20 ft (6 m) from the house, exhaust turned "
        "away from doors, windows and vents, never in a garage or on a porch, with carbon monoxide "
        "alarms inside. Its connection to the house needs transfer equipment. {electrician}",
        FUMES,
    )


def _service(engine):
    return found(
        "generator.service: generator service",
        "note",
        "Service every {service_s} of running; 50 to 200 h is usual for small air-cooled sets "
        "and the maker's manual decides. Keep oil, a filter and plugs on the shelf for the "
        "outage.",
        PRACTICE,
        engine,
    )
