"""Findings about the generator: power lost to height and heat, its load, fuel, fumes, service."""

from homestead import units
from homestead.findings.finding import DEFER, Finding
from homestead.formulas.power import generator
from homestead.formulas.warmth import fuels
from homestead.simulate import constants
from homestead.trades.power import study_generator as study
from homestead.trades.power import study_loads as load_study

DERATING = "Installation manual of a residential standby set, page 21, found"
FUMES = "US Centers for Disease Control and Prevention, generator placement"
PRACTICE = "Common practice, no source"
LEAST_FUEL_H = 24.0  # project choice: less than a day at full load deserves a second look


def findings_of(plan, loads, hours=None):
    """Yield findings about the generator of a plan."""
    if plan.generator is None:
        return
    worst_w = _worst_w(plan, hours)
    yield _power(plan, loads, worst_w, hours)
    yield from _charging(plan, loads, worst_w, hours)
    yield _fuel(plan)
    yield _fumes()
    yield _service(plan)


def _worst_w(plan, hours):
    if hours is not None:
        return float(hours.column("generator_w").min())
    hot_c = max(plan.site.record_high_c, -60.0)
    return float(generator.derated_w(plan.generator.rated_w, 0.0, hot_c))


def _rule_text(unit_system):
    """The manual's rule, in the reader's units. It is printed in feet and °F."""

    def said(text, kind):
        return units.show(units.parse(text, kind), kind, unit_system)

    return (
        f"3 % for each {said('1000 ft', 'length')}, 1 % for each "
        f"{said('10 °F', 'temperature_difference')} above {said('77 °F', 'temperature')}"
    )


def _power(plan, loads, worst_w, hours):
    rated_w = plan.generator.rated_w
    essential_w = float(load_study.together_w(loads, 1).max())
    within = essential_w <= worst_w
    basis = (
        "at your elevation in the hottest hour of its weather"
        if hours is not None
        else "at the record high; your elevation isn't counted here"
    )
    text = (
        f"Rated {rated_w / 1000:.1f} kW, it gives {worst_w / 1000:.1f} kW {basis} "
        f"({_rule_text(plan.units)}; a turbocharged or diesel engine loses less). "
        f"Essential loads may need {essential_w / 1000:.1f} kW together: "
        f"{'within' if within else 'outside'} it. {DEFER}"
    )
    return Finding("note" if within else "warning", "generator", text, DERATING, code="power")


def _charging(plan, loads, worst_w, hours):
    if plan.battery is None or plan.grid_former is None or not plan.grid_former.charger_w:
        return
    charger_w = min(plan.grid_former.charger_w, plan.battery.charge_w)
    essential_w = float(load_study.together_w(loads, 1).max())
    asked_w = charger_w + essential_w
    within = asked_w <= worst_w
    hottest = "in its hottest hour" if hours is not None else "at the record high"
    text = (
        f"The charger ({charger_w / 1000:.1f} kW) and the essentials ({essential_w / 1000:.1f} kW) "
        f"together need {'no more' if within else 'more'} than the {worst_w / 1000:.1f} kW that "
        f"the generator gives {hottest} (rated {plan.generator.rated_w / 1000:.1f} kW)."
    )
    if not within:
        text += (
            " The hourly model charges with what is left; set a real charger down to that, or "
            "the generator trips."
        )
    yield Finding(
        "note" if within else "warning", "generator and charger", text, PRACTICE, code="charging"
    )


def _fuel(plan):
    store = study.fuel_of(plan)
    position = plan.fuels.index(store)
    usable_wh = float(constants.fuel_start_wh(plan)[position])
    full_h = usable_wh / plan.generator.full_load_fuel_w
    idle_h = usable_wh / max(plan.generator.no_load_fuel_w, 1.0)
    within = full_h >= LEAST_FUEL_H
    per_h = plan.generator.full_load_fuel_w / constants.fuel_wh_per_unit(store)
    kind = "mass" if fuels.storage_unit(store.fuel) == "kg" else "volume"
    text = (
        f"{store.name} holds {full_h:.0f} h of full load at {units.show(per_h, kind, plan.units)} "
        f"an hour, or {idle_h:.0f} h of running without load, reserve left, if nothing else "
        f"burns that fuel: {'at least' if within else 'less than'} a day at full load."
    )
    return Finding(
        "note" if within else "warning", "generator fuel", text, "As entered", code="fuel"
    )


def _fumes():
    return Finding(
        "note",
        "generator fumes",
        "Its exhaust kills. Outdoors only, at least 20 ft (6 m) from the house, exhaust turned "
        "away from doors, windows and vents, never in a garage or on a porch, with carbon monoxide "
        f"alarms inside. Its connection to the house needs transfer equipment. {DEFER}",
        FUMES,
        code="fumes",
    )


def _service(plan):
    interval = units.show(plan.generator.service_s, "time")
    return Finding(
        "note",
        "generator service",
        f"Service every {interval} of running; 50 to 200 h is usual for small "
        "air-cooled sets and the maker's manual decides. Keep oil, a filter and plugs on the "
        "shelf for the outage.",
        PRACTICE,
        code="service",
    )
