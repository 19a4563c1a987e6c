"""Findings about circuits: conductors, breakers, voltage drop, disconnects, the panel's busbar.

Works from Table 310.16 and its corrections. Owns no table and no formula. Leaves out
ground wires, boxes, burial, taps and everything that only shows on site.
"""

import math
from dataclasses import dataclass

from homestead.findings.finding import found
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
    "{asks: The terminals' rating isn't entered; at 75 °C this wire would be within. Read it on "
    "the breaker and on the equipment: the lower of the two counts.|}"
)
ASSUMED = (
    "{is_beside:{parallel_n} side by side, |}AWG {size} {metal}, {insulation_c:.0f} insulation, "
    "terminals {counted_c:.0f} {terminals_c:your figure|assumed by 110.14(C)}, {ambient_c} around "
    "it, {bundled_n} {bundled_n:wire carrying current|wires carrying current together}"
)
SOURCES = ("generator", "battery", "main inverter")


@dataclass(frozen=True)
class Served:
    """What a circuit feeds, as the code counts it."""

    # nan if it cannot be known from what is entered.
    current_a: float
    volts: float
    is_continuous: bool
    # {"load", "starting", "motor", "compressor", "source"}: "starting" is a load that starts like a
    # motor but whose motor the code's table does not know, for want of horsepower.
    kind: str
    how: str  # where the current comes from, for the finding
    is_entered: bool = False  # whether the plan itself says that it is continuous or not
    # Minimum circuit ampacity on the plate, 125 % of the largest motor already in it.
    plate_a: float | None = None
    # Of a feeder's current, what is continuous and counts with 125 % (215.2(A), 215.3).
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
        return f"{what}{'continuous' if self.is_continuous else 'not continuous'}"


def findings_of(plan, loads):
    """Yield findings about circuits and panel."""
    drops = {}
    for circuit in plan.circuits:
        served = served_by(plan, circuit, loads)
        if not (served.current_a >= 0.0 and served.volts > 0.0):
            yield _unknown(circuit)
            continue
        yield _conductor(circuit, served)
        if circuit.parallel_n > 1:
            yield _side_by_side(circuit)
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


def _finding(code, severity, label, template, source, circuit, *parts, limit=(), checked=True):
    return found(
        f"wires.{code}: circuit {{subject}}{label}",
        severity,
        template,
        source,
        *parts,
        circuit,
        subject=circuit.name,
        limit=limit,
        checked=checked,
    )


def _unknown(circuit):
    said = (
        "Your entries don't say what it carries for {feeds}: enter its current and supply, or the "
        "voltage of a battery module. Nothing was checked."
    )
    return _finding("unknown load", "note", "", said, "As entered", circuit)


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


def _warm(circuit):
    """The circuit with terminals of 75 deg C, as most are marked, where nobody entered them."""
    return circuit.model_copy(update={"terminals_c": WARM_TERMINALS_C})


def _conductor(circuit, served):
    """Finding on the wire; what an assumption alone would make a danger is a question."""
    asks = (
        circuit.terminals_c is None
        and not _carries(circuit, served)
        and _carries(_warm(circuit), served)
    )
    printed_a, corrected_a = _amperes(circuit, served.current_a)
    is_within, counted_c = _carries(circuit, served), terminals_c(circuit, served.current_a)
    is_beside, by_plate = circuit.parallel_n > 1, served.plate_a is not None
    is_raised, has_long = served.least_a > served.current_a, served.long_a > 0.0
    return _finding(
        "wire",
        "note" if is_within else "warning" if asks else "danger",
        ": wire",
        ASSUMED + ": {printed_a:.0f} at its terminals against {least_a:.1f}, {corrected_a:.1f} "
        "after correction against {current_a:.1f} ({feeds}: {how}{by_plate:; {plate_a:.1f} is the "
        "minimum circuit ampacity on its plate|{has_long:, {long_a:.1f} of it continuous, with "
        "125 %|{is_raised:, 125 % of it because it is continuous or a motor|}}}). "
        "{is_within:Within|Outside} the figure of Table 310.16. {electrician}" + ASK_TERMINALS,
        f"{WIRE}; motors: 430.22, 440.32" if served.is_motor else WIRE,
        circuit,
        locals(),
        served,
        limit="least_a",
        checked=not asks,
    )


def _carries(circuit, served):
    printed_a, corrected_a = _amperes(circuit, served.current_a)
    carried_a = served.plate_a if served.plate_a is not None else served.current_a
    return printed_a >= served.least_a and corrected_a >= carried_a


def _side_by_side(circuit):
    """Cables in parallel share the current only if they are alike, and large (310.10(G))."""
    is_small = circuit.size not in PARALLEL_SIZES
    return _finding(
        "side by side",
        "warning" if is_small else "note",
        ": cables side by side",
        "{parallel_n} cables of AWG {size} side by side{is_small:: outside the rule, which "
        "begins at AWG 1/0|}. They share the current only if length, metal, size and ends are "
        "alike; if one comes loose, the others carry it all. So each needs its own fuse, or "
        "must be able to carry all that the breaker lets through. {electrician}",
        PARALLEL,
        circuit,
        locals(),
    )


def _breaker(circuit, served):
    rating_a, held_a = circuit.breaker_a, served.breaker_least_a
    most_a, why, source = _largest_breaker(circuit, served)
    is_above, is_below = rating_a > most_a + 1e-6, rating_a < held_a - 1e-6
    if is_above:
        asks = circuit.terminals_c is None
        asks = asks and rating_a <= _largest_breaker(_warm(circuit), served)[0] + 1e-6
        yield _finding(
            "breaker above its wire",
            "warning" if asks else "danger",
            ": breaker",
            "{breaker_a:.0f} is outside the figure of {most_a:.0f} ({why}): the wire can burn "
            "before the breaker opens." + ASK_TERMINALS + " {electrician}",
            source,
            circuit,
            locals(),
            limit="most_a",
        )
    if is_below:
        is_raised = held_a > served.current_a
        yield _finding(
            "breaker below its load",
            "warning",
            ": breaker",
            "{breaker_a:.0f} is below {held_a:.1f}, {is_raised:125 % of a continuous load|the "
            "current that it carries}: outside the figure of 210.20(A). It runs hot and trips when "
            "you need it most. {electrician}",
            BREAKER,
            circuit,
            locals(),
            limit="held_a",
        )
    is_standard = wiring.is_standard_rating(rating_a)
    if not is_standard:
        said = "{breaker_a:.0f} is outside the standard ratings of 240.6(A) up to 1200 A; fuses "
        said += "come in a few more. {electrician}"
        yield _finding("breaker not standard", "warning", ": breaker", said, BREAKER, circuit)
    if is_standard and not is_above and not is_below:
        yield _finding(
            "breaker",
            "note",
            ": breaker",
            "{breaker_a:.0f} for {held_a:.1f} and AWG {size} {metal}: within the figures of "
            "240.4, 240.6 and 210.20 (motors: 430.52). {electrician}",
            BREAKER,
            circuit,
            locals(),
            limit="held_a",
        )


def _not_continuous(circuit, served):
    """Where the answer depends on the plan's word that a circuit is not continuous."""
    if not served.is_entered or served.is_continuous or served.is_motor:
        return
    printed_a, corrected_a = _amperes(circuit, served.current_a)
    wire_over, breaker_over = (
        limit_a is not None and served.current_a <= limit_a < served.raised_a
        for limit_a in (printed_a, circuit.breaker_a)
    )
    if (wire_over or breaker_over) and corrected_a >= served.current_a:
        both = wire_over and breaker_over
        yield _finding(
            "not continuous",
            "note",
            ": not continuous",
            "You entered it as not continuous, so we checked {current_a:.1f}. Counted as "
            "continuous (three hours or more) it would be 125 %, {raised_a:.1f}: outside "
            "{wire_over:the wire's {printed_a:.0f} at its terminals|}{both: and |}{breaker_over:"
            "the breaker's {breaker_a:.0f}|}. Ask the electrician which counts. {electrician}",
            CONTINUOUS,
            circuit,
            locals(),
            served,
            limit="raised_a",
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


def _drop(circuit, served, drop_frac):
    is_within, limit_frac = drop_frac <= BRANCH_DROP, BRANCH_DROP
    drop_v = drop_frac * served.volts
    supply_v = served.volts
    return _finding(
        "voltage drop",
        "note" if is_within else "warning",
        ": voltage drop",
        "{drop_v:.1f} of {supply_v:.0f}, {drop_frac:.1f}, is lost in the wire at {current_a:.1f}, "
        "metal at 75 °C: {is_within:within|outside} the {limit_frac} of the informational note. "
        "The code recommends this but doesn't require it; a starting motor draws several times "
        "that current and drops several times that voltage. {electrician}",
        DROP,
        circuit,
        locals(),
        served,
        limit="limit_frac",
    )


def _total_drop(plan, drops):
    feeders = [
        circuit.name
        for circuit in plan.circuits
        if circuit.feeds in ("panel", "main inverter") and circuit.name in drops
    ]
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
    feeder_frac, branch_frac = drops[feeder], drops[branch]
    drop_frac, limit_frac = feeder_frac + branch_frac, TOTAL_DROP
    is_within = drop_frac <= limit_frac
    yield found(
        "wires.total drop: voltage drop in all",
        "note" if is_within else "warning",
        "{feeder} ({feeder_frac:.1f}) and {branch} ({branch_frac:.1f}) lose {drop_frac:.1f} "
        "together: {is_within:within|outside} the {limit_frac} of the informational note for "
        "feeder and branch; the feeder at its full current, which it rarely reaches. {electrician}",
        DROP,
        locals(),
        limit="limit_frac",
    )


def _disconnects(plan):
    for circuit in plan.circuits:
        if circuit.disconnect is False:
            said = "No disconnect: {feeds} can't be switched off for work on it. {electrician}"
            yield _finding("no disconnect", "warning", ": disconnect", said, DISCONNECT, circuit)
    present = [circuit.name for circuit in plan.circuits if circuit.disconnect]
    if present:
        yield found(
            "wires.disconnects: disconnects",
            "note",
            "Entered for: {present}. Check on site that each opens all live wires, is within reach "
            "and is labeled. {electrician}",
            DISCONNECT,
            locals(),
        )


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
        yield found(
            "wires.disconnects unknown: disconnects missing",
            "note",
            "No disconnect entered for: {missing}. Each source, the bank and each motor needs one; "
            "enter a circuit that feeds it and say whether it has one. {electrician}",
            DISCONNECT,
            locals(),
        )
