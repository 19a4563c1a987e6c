"""Findings about circuits: conductors, breakers, voltage drop, disconnects, the panel's busbar.

Works from Table 310.16 and its corrections. Owns no table and no formula. Leaves out
ground wires, boxes, burial, taps and everything that only shows on site.
"""

import dataclasses
import math
from dataclasses import dataclass

from homestead import units
from homestead.findings.finding import DEFER, Finding
from homestead.formulas.power import motors, wiring
from homestead.trades.power import check_panels
from homestead.trades.power import study_loads as study
from homestead.trades.power import study_panels as panels

CODE = "NFPA 70 (NEC) 2023"
WIRE = f"{CODE}, 210.19(A), 110.14(C), Tables 310.16 and 310.15, from memory"
BREAKER = f"{CODE}, 240.4, 240.6(A), 210.20(A), from memory"
MOTOR = f"{CODE}, 430.22, 430.52, Table 430.248, found and from memory"
CONTINUOUS = f"{CODE}, Article 100 (three hours or more), 210.19(A), 210.20(A), from memory"
COMPRESSOR = f"{CODE}, 440.22(A), 440.32, from memory"
DROP = f"{CODE}, 210.19(A) and 215.2(A) informational notes, from memory"
DISCONNECT = f"{CODE}, 690.13, 430.102, 445.18, 480.7, from memory"
BRANCH_DROP, TOTAL_DROP = 0.03, 0.05
PARALLEL = f"{CODE}, 310.10(G), from memory"
PARALLEL_SIZES = ("1/0", "2/0", "3/0", "4/0")
COMPRESSOR_BREAKER = 2.25
COMPRESSOR_LEAST_A = 15.0  # 440.22(A): need not be smaller
# 110.14(C)(1): terminals up to 100 A count as 60 deg C unless marked otherwise.
COOL_TERMINALS_A = 100.0
WARM_TERMINALS_C = 75.0
ASK_TERMINALS = (
    "The terminals' rating isn't entered; at 75 °C this wire would be within. Read it on the "
    "breaker and on the equipment: the lower of the two counts."
)
SOURCES = ("generator", "battery", "main inverter")


@dataclass(frozen=True)
class Served:
    """What a circuit feeds, as the code counts it.

    Attributes
    ----------
    current_a, volts : float
        nan if it cannot be known from what is entered.
    is_continuous : bool
    kind : {"load", "starting", "motor", "compressor", "source"}
        "starting" is a load that starts like a motor but whose motor the code's table does not
        know, for want of horsepower.
    how : str
        Where the current comes from, for the finding.
    is_entered : bool
        Whether the plan itself says that it is continuous or not.
    plate_a : float or None
        Minimum circuit ampacity on the plate, 125 % of the largest motor already in it.
    long_a : float
        Of a feeder's current, what is continuous and counts with 125 % (215.2(A), 215.3).
    """

    current_a: float
    volts: float
    is_continuous: bool
    kind: str
    how: str
    is_entered: bool = False
    plate_a: float | None = None
    long_a: float = 0.0

    @property
    def is_motor(self):
        """Whether the conductor is held against 125 % because a motor is fed (430.22, 440.32)."""
        return self.kind in ("motor", "compressor", "starting")

    @property
    def raised_a(self):
        """125 % of the current. [A]."""
        return float(wiring.continuous_load_minimum_a(self.current_a))

    @property
    def least_a(self):
        """Current that the conductor is held against. [A]."""
        if self.plate_a is not None:
            return self.plate_a
        if self.is_continuous or self.is_motor:
            return self.raised_a
        long_a = float(wiring.continuous_load_minimum_a(self.long_a))
        return self.current_a - self.long_a + long_a

    @property
    def breaker_least_a(self):
        """Current that the breaker is held against: 430.52 and 440.22 set a motor's. [A]."""
        if self.is_motor and not (self.kind == "starting" and self.is_continuous):
            return self.current_a
        return self.least_a

    @property
    def counted(self):
        """How it is counted, in words."""
        if self.kind == "motor":
            return "motor"
        if self.kind == "compressor":
            return "compressor, a motor"
        if self.kind == "starting":
            return "motor, since it has a start"
        what = "source, " if self.kind == "source" else ""
        given = "" if self.is_entered else ""
        return f"{what}{'continuous' if self.is_continuous else 'not continuous'}{given}"


def findings_of(plan, loads):
    """Yield findings about circuits and panel."""
    drops = {}
    for circuit in plan.circuits:
        served = served_by(plan, circuit, loads)
        if not (served.current_a >= 0.0 and served.volts > 0.0):
            yield _unknown(circuit)
            continue
        yield _conductor(circuit, served, plan.units)
        if circuit.parallel_n > 1:
            yield from _side_by_side(circuit)
        if circuit.breaker_a is not None:
            yield from _breaker(circuit, served)
        yield from _not_continuous(circuit, served)
        drops[circuit.name] = _drop_frac(circuit, served)
        yield _drop(circuit, served, drops[circuit.name])
    yield from _total_drop(plan, drops)
    yield from _disconnects(plan)
    yield from _not_entered(plan)
    yield from check_panels.findings_of(plan)


def served_by(plan, circuit, loads):
    """Current and voltage of what a circuit feeds.

    plan (Plan)
    circuit (Circuit)
    loads (tuple of Load)
    Gives Served.
    """
    current_a, volts, continuous, kind, how = _worked_out(plan, circuit.feeds, loads)
    long_a = 0.0
    if circuit.current_a is not None:
        current_a, how = circuit.current_a, "your figure"
    elif any(subpanel.name == circuit.feeds for subpanel in plan.subpanels):
        long_a = panels.feeder_w(plan, circuit.feeds, loads)[2] / volts
    return Served(
        current_a,
        circuit.supply_v if circuit.supply_v is not None else volts,
        circuit.continuous if circuit.continuous is not None else continuous,
        kind,
        how,
        circuit.continuous is not None,
        circuit.plate_ampacity_a,
        long_a,
    )


def _worked_out(plan, feeds, loads):
    former, engine, bank = plan.grid_former, plan.generator, plan.battery
    array = next((converter for converter in plan.converters if converter.name == feeds), None)
    appliance = next((appliance for appliance in plan.appliances if appliance.name == feeds), None)
    load = next((load for load in loads if load.name == feeds), None)
    if array is not None and array.coupling == "ac":
        volts = former.output_v if former else 240.0
        return array.converter_w / volts, volts, True, "source", "its inverter at full output"
    if array is not None:
        current_a = array.isc_a * array.strings_n * 1.25  # 690.8(A)
        volts = array.vmp_v * array.modules_per_string_n
        return current_a, volts, True, "source", "short-circuit x 1.25 of all strings"
    if feeds == "generator" and engine:
        volts = engine.supply_v
        return engine.rated_w / volts, volts, True, "source", "its rated power"
    if feeds == "battery" and bank and former:
        volts = bank.bank_v or math.nan
        current_a = former.all_units_w / former.efficiency_frac / volts
        return current_a, volts, True, "source", "all main inverter units at full power"
    if any(subpanel.name == feeds for subpanel in plan.subpanels):
        volts = former.output_v if former else 240.0
        most_w, how, _ = panels.feeder_w(plan, feeds, loads)
        return most_w / volts, volts, False, "source", how
    if feeds in ("main inverter", "panel") and former:
        volts = former.output_v
        return former.all_units_w / volts, volts, True, "source", "its continuous power"
    if feeds == "well pump" and load is not None:
        table_a = _table_a(study.pump_horsepower(plan), load.supply_v) or 0.0
        if load.plate_a > table_a:
            return load.plate_a, load.supply_v, False, "motor", "running current on its plate"
        return table_a or load.running_a, load.supply_v, False, "motor", "Table 430.248"
    if appliance is not None and load is not None:
        if current_a := _table_a(appliance.horsepower, load.supply_v):
            return current_a, load.supply_v, False, "motor", "Table 430.248"
        return load.running_a, load.supply_v, False, _kind(load), _how(load)
    if load is not None:
        kind = "compressor" if feeds == "cooling" else _kind(load)
        continuous = feeds == "water heater"  # 422.13: storage water heaters
        return load.running_a, load.supply_v, continuous, kind, _how(load)
    return math.nan, math.nan, False, "load", ""


def _how(load):
    return "running current on its plate" if load.plate_a else "its power over its voltage"


def _kind(load):
    """A load with a start has a motor, whose wire 430.22 holds against 125 %.

    Its breaker stays with the wire's ampacity: the wider limits of 430.52 want a table current.
    """
    return "starting" if load.plain_start_a > 0.0 else "load"


def _table_a(horsepower, volts):
    """Full-load current by the code's table, or None where it has no row or column."""
    if not horsepower:
        return None
    try:
        return motors.full_load_at_least_a(horsepower, volts)
    except ValueError:
        return None


def _unknown(circuit):
    return Finding(
        "note",
        f"circuit {circuit.name}",
        f"Your entries don't say what it carries for {circuit.feeds}: enter its current and "
        f"supply, or the voltage of a battery module. Nothing was checked.",
        "As entered",
        code="unknown",
    )


def terminals_c(circuit, current_a):
    """Temperature rating of the terminals or as 110.14(C) lets one assume. [deg C]."""
    if circuit.terminals_c is not None:
        return round(circuit.terminals_c)
    larger_a = max(circuit.breaker_a or 0.0, current_a)
    return 60 if larger_a <= COOL_TERMINALS_A else 75


def _amperes(circuit, current_a):
    """Ampacity at the terminals as printed, and after correction; cables side by side add up."""
    at_c = min(terminals_c(circuit, current_a), round(circuit.insulation_c))
    printed_a = wiring.conductor_ampacity_a(circuit.size, circuit.metal, at_c)
    corrected_a = wiring.conductor_ampacity_a(
        circuit.size,
        circuit.metal,
        round(circuit.insulation_c),
        circuit.ambient_c,
        circuit.bundled_n,
    )
    return float(printed_a) * circuit.parallel_n, float(corrected_a) * circuit.parallel_n


def _assumed(circuit, current_a, unit_system):
    around = units.show(circuit.ambient_c, "temperature", unit_system)
    many = circuit.bundled_n
    given = "your figure" if circuit.terminals_c is not None else "assumed by 110.14(C)"
    beside = f"{circuit.parallel_n} side by side, " if circuit.parallel_n > 1 else ""
    return (
        f"{beside}AWG {circuit.size} {circuit.metal}, {circuit.insulation_c:.0f} °C insulation, "
        "terminals "
        f"{terminals_c(circuit, current_a)} °C {given}, {around} around it, {many} "
        f"{'wire' if many == 1 else 'wires'} carrying current{' together' if many > 1 else ''}"
    )


def _warm(circuit):
    """The circuit with terminals of 75 deg C, as most are marked, where nobody entered them."""
    return circuit.model_copy(update={"terminals_c": WARM_TERMINALS_C})


def _conductor(circuit, served, unit_system):
    """Finding on the wire; what an assumption alone would make a danger is a question."""
    found = _conductor_at(circuit, served, unit_system)
    if found.severity != "danger" or circuit.terminals_c is not None:
        return found
    if _conductor_at(_warm(circuit), served, unit_system).severity == "danger":
        return found
    return dataclasses.replace(
        found, severity="warning", text=f"{found.text} {ASK_TERMINALS}", checked=False
    )


def _conductor_at(circuit, served, unit_system):
    printed_a, corrected_a = _amperes(circuit, served.current_a)
    carried_a = served.plate_a if served.plate_a is not None else served.current_a
    within = printed_a >= served.least_a and corrected_a >= carried_a
    raised = served.least_a > served.current_a
    share = ", 125 % of it because it is continuous or a motor" if raised else ""
    if served.long_a:
        share = f", {served.long_a:.1f} A of it continuous, with 125 %"
    if served.plate_a is not None:
        share = f"; {served.plate_a:.1f} A is the minimum circuit ampacity on its plate"
    text = (
        f"{_assumed(circuit, served.current_a, unit_system)}: {printed_a:.0f} A at its "
        f"terminals against {served.least_a:.1f} A, {corrected_a:.1f} A after correction against "
        f"{served.current_a:.1f} A ({circuit.feeds}: {served.how}{share}). "
        f"{'Within' if within else 'Outside'} the figure of Table 310.16. {DEFER}"
    )
    severity = "note" if within else "danger"
    source = f"{WIRE}; motors: 430.22, 440.32" if served.is_motor else WIRE
    return Finding(
        severity,
        f"circuit {circuit.name}: wire",
        text,
        source,
        code="conductor",
        numbers={"least_a": served.least_a, "printed_a": printed_a, "corrected_a": corrected_a},
    )


def _side_by_side(circuit):
    """Cables in parallel share the current only if they are alike, and large (310.10(G))."""
    small = circuit.size not in PARALLEL_SIZES
    text = (
        f"{circuit.parallel_n} cables of AWG {circuit.size} side by side"
        f"{': outside the rule, which begins at AWG 1/0' if small else ''}. They share the current "
        "only if length, metal, size and ends are alike; if one comes loose, the others carry it "
        f"all, so each needs its own fuse or must be able to carry what the breaker lets through. "
        f"{DEFER}"
    )
    yield Finding(
        "warning" if small else "note",
        f"circuit {circuit.name}: cables side by side",
        text,
        PARALLEL,
        code="parallel",
    )


def _breaker(circuit, served):
    about = f"circuit {circuit.name}: breaker"
    rating_a = circuit.breaker_a
    problems = list(_breaker_problems(circuit, served))
    if circuit.terminals_c is None and any(problem[0] == "danger" for problem in problems):
        warm = list(_breaker_problems(_warm(circuit), served))
        if all(one[0] != "danger" for one in warm):
            problems = [
                ("warning", code, f"{text} {ASK_TERMINALS}", source)
                if severity == "danger"
                else (severity, code, text, source)
                for severity, code, text, source in problems
            ]
    for severity, code, text, source in problems:
        yield Finding(severity, about, f"{text} {DEFER}", source, code=code)
    if not problems:
        yield Finding(
            "note",
            about,
            f"{rating_a:.0f} A for {served.least_a:.1f} A and AWG {circuit.size} "
            f"{circuit.metal}: "
            f"within the figures of 240.4, 240.6 and 210.20 (motors: 430.52). {DEFER}",
            BREAKER,
            code="breaker",
        )


def _breaker_problems(circuit, served):
    rating_a = circuit.breaker_a
    most_a, why, source = _largest_breaker(circuit, served)
    if rating_a > most_a + 1e-6:
        yield (
            "danger",
            "breaker above its wire",
            f"{rating_a:.0f} A is outside the figure of {most_a:.0f} A ({why}): the "
            "wire can burn before the breaker opens.",
            source,
        )
    held_a = served.breaker_least_a
    if rating_a < held_a - 1e-6:
        rule = (
            "125 % of a continuous load"
            if held_a > served.current_a
            else "the current that it carries"
        )
        yield (
            "warning",
            "breaker below its load",
            f"{rating_a:.0f} A is below {held_a:.1f} A, {rule}: outside the figure of 210.20(A). "
            "It runs hot and trips when you need it most.",
            BREAKER,
        )
    if not wiring.is_standard_rating(rating_a):
        yield (
            "warning",
            "breaker not standard",
            f"{rating_a:.0f} A is outside the standard ratings of 240.6(A) up to 1200 A; "
            "fuses come in a few more.",
            BREAKER,
        )


def _not_continuous(circuit, served):
    """Where the answer depends on the plan's word that a circuit is not continuous."""
    if not served.is_entered or served.is_continuous or served.is_motor:
        return
    printed_a, corrected_a = _amperes(circuit, served.current_a)
    held = [(printed_a, "the wire's {:.0f} A at its terminals")]
    if circuit.breaker_a is not None:
        held.append((circuit.breaker_a, "the breaker's {:.0f} A"))
    over = [
        words.format(limit_a)
        for limit_a, words in held
        if served.current_a <= limit_a < served.raised_a
    ]
    if over and corrected_a >= served.current_a:
        text = (
            f"You entered it as not continuous, so we checked {served.current_a:.1f} A. "
            f"Counted as continuous (three hours or more) it would be 125 %, "
            f"{served.raised_a:.1f} A: outside {' and '.join(over)}. Ask the electrician which "
            f"counts. {DEFER}"
        )
        yield Finding(
            "note",
            f"circuit {circuit.name}: not continuous",
            text,
            CONTINUOUS,
            code="not continuous",
        )


def _largest_breaker(circuit, served):
    """Largest breaker for the circuit, why, and by which rule."""
    if circuit.plate_breaker_a is not None:
        return circuit.plate_breaker_a, "the maximum on its plate", COMPRESSOR
    if served.kind == "motor":
        most_a = float(motors.motor_breaker_maximum_a(served.current_a))
        return _standard_a(most_a), "250 % of the motor's table current, next standard size", MOTOR
    if served.kind == "compressor":
        most_a = max(COMPRESSOR_BREAKER * served.current_a, COMPRESSOR_LEAST_A)
        return most_a, "225 % of the running current; the plate's own figure decides", COMPRESSOR
    printed_a, corrected_a = _amperes(circuit, served.current_a)
    most_a, why = (
        _standard_a(min(printed_a, corrected_a)),
        "the wire's ampacity, next standard size",
    )
    try:
        small_a = float(wiring.small_conductor_breaker_a(circuit.size, circuit.metal))
    except ValueError:  # the rule names no such size
        return most_a, why, BREAKER
    if small_a < most_a:
        return small_a, "the small-conductor rule 240.4(D)", BREAKER
    return most_a, why, BREAKER


def _standard_a(ampacity_a):
    """Next standard rating (240.4(B)); above 800 A the current itself (240.4(C))."""
    return float(wiring.next_standard_breaker_a(ampacity_a)) if ampacity_a <= 800.0 else ampacity_a


def _drop_frac(circuit, served):
    drop_v = wiring.voltage_drop_v(served.current_a, circuit.length_m, circuit.size, circuit.metal)
    return float(drop_v) / circuit.parallel_n / served.volts


def _drop(circuit, served, frac):
    within = frac <= BRANCH_DROP
    text = (
        f"{frac * served.volts:.1f} V of {served.volts:.0f} V, {100 * frac:.1f} %, is lost in the "
        f"wire at {served.current_a:.1f} A, metal at 75 °C: {'within' if within else 'outside'} "
        "the 3 % of the informational note. The code recommends this but doesn't require it; a "
        "starting motor draws several times that current and drops several times that voltage."
    )
    severity = "note" if within else "warning"
    return Finding(
        severity,
        f"circuit {circuit.name}: voltage drop",
        f"{text} {DEFER}",
        DROP,
        code="drop",
        numbers={"drop_frac": frac, "limit_frac": BRANCH_DROP},
    )


def _total_drop(plan, drops):
    feeders = [
        circuit.name for circuit in plan.circuits if circuit.feeds in ("panel", "main inverter")
    ]
    feeders = [name for name in feeders if name in drops]
    subpanels = [subpanel.name for subpanel in plan.subpanels]
    apart = (*SOURCES, "panel", *subpanels, *(converter.name for converter in plan.converters))
    branches = [
        circuit.name
        for circuit in plan.circuits
        if circuit.feeds not in apart and circuit.name in drops
    ]
    if not feeders or not branches:
        return
    feeder, branch = (max(names, key=drops.get) for names in (feeders, branches))
    total = drops[feeder] + drops[branch]
    within = total <= TOTAL_DROP
    text = (
        f"{feeder} ({100 * drops[feeder]:.1f} %) and {branch} ({100 * drops[branch]:.1f} %) lose "
        f"{100 * total:.1f} % "
        f"together: {'within' if within else 'outside'} the 5 % of the informational note for "
        "feeder and branch; the feeder at its full current, which it rarely reaches."
    )
    severity = "note" if within else "warning"
    yield Finding(
        severity,
        "voltage drop in all",
        f"{text} {DEFER}",
        DROP,
        code="total drop",
        numbers={"drop_frac": total, "limit_frac": TOTAL_DROP},
    )


def _disconnects(plan):
    for circuit in plan.circuits:
        if circuit.disconnect is False:
            text = f"No disconnect: {circuit.feeds} can't be switched off for work on it. {DEFER}"
            yield Finding(
                "warning",
                f"circuit {circuit.name}: disconnect",
                text,
                DISCONNECT,
                code="disconnects",
            )
    present = [circuit.name for circuit in plan.circuits if circuit.disconnect]
    if present:
        text = (
            f"Entered for: {', '.join(present)}. Check on site that each opens all live wires, "
            f"is within reach and is labeled. {DEFER}"
        )
        yield Finding("note", "disconnects", text, DISCONNECT, code="disconnects")


def _not_entered(plan):
    # Arrays on one converter are one circuit with one disconnect.
    wanted = [
        converter.name
        for converter in plan.converters
        if not getattr(converter, "shares_converter_with", None)
    ]
    parts = {
        "generator": plan.generator,
        "battery": plan.battery,
        "main inverter": plan.grid_former,
        "well pump": plan.pump,
    }
    wanted += [name for name, part in parts.items() if part is not None]
    said = {circuit.feeds for circuit in plan.circuits if circuit.disconnect is not None}
    missing = [name for name in wanted if name not in said]
    if missing:
        text = (
            f"No disconnect entered for: {', '.join(missing)}. Each source, the bank and each "
            "motor needs one; enter a circuit that feeds it and say whether it has one."
        )
        yield Finding(
            "note", "disconnects missing", f"{text} {DEFER}", DISCONNECT, code="not entered"
        )
