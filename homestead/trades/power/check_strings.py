"""Findings about strings of modules: voltages, source circuits, unequal strings, room for more."""

from homestead import units
from homestead.findings.finding import DEFER, NOT_ENTERED, Finding
from homestead.formulas.power import electrical, wiring
from homestead.formulas.power import strings as string_formulas

SOURCE_CIRCUITS = "NFPA 70 (NEC) 2023, 690.8 and 690.9, Table 310.16, from memory"
PRACTICE = "Common practice, no source"
# Two strings can feed a fault in one of them with no more than one string's current.
UNFUSED_STRINGS_N = 2
# Strings whose voltages differ by more pull each other off their best point. Project choice.
UNEQUAL_FRAC = 0.02
TERMINALS_C = 75.0  # assumed of a combiner's terminals
DROP_FRAC = 0.03
SIZES = ("14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")


def findings_of(plan):
    """Yield findings about the strings of a plan."""
    for array in plan.arrays:
        yield from string_formulas.strings(array, plan.site, plan.units).findings
        yield from _source_circuit(plan, array)
        if array.joined_strings_n:
            yield _after_the_joint(plan, array)
        yield from _shared(plan, array)
        yield from _room(array)


def parallel_n(plan, array):
    """Strings side by side on the array's converter input, those of sharing arrays included."""
    return sum(one.strings_n for one in _group(plan, array))


def _group(plan, array):
    root = array.shares_converter_with or array.name
    return [array for array in plan.arrays if root in (array.name, array.shares_converter_with)]


def _ambient_c(plan, array):
    given = array.wire_ambient_c
    return max(given if given is not None else plan.site.record_high_c, -40.0)


def _corrected_a(plan, array, size):
    rating_c = round(array.wire_insulation_c)
    return float(
        wiring.conductor_ampacity_a(size, array.wire_metal, rating_c, _ambient_c(plan, array))
    )


def _printed_a(array, size):
    column_c = min(round(array.wire_insulation_c), TERMINALS_C)
    return float(wiring.conductor_ampacity_a(size, array.wire_metal, column_c))


def _held_a(plan, array, size):
    """Largest fuse that a size allows (240.4, small conductors by 240.4(D))."""
    carried_a = min(_corrected_a(plan, array, size), _printed_a(array, size))
    held_a = float(wiring.next_standard_breaker_a(carried_a))
    try:
        return min(held_a, float(wiring.small_conductor_breaker_a(size, array.wire_metal)))
    except ValueError:  # the small-conductor rule names no such size
        return held_a


def _carries(plan, array, size, strings_n=1):
    """Whether a size meets both halves of 690.8(B) for so many strings together."""
    isc_a = array.isc_a * strings_n
    return _printed_a(array, size) >= electrical.pv_source_current_a(isc_a) and (
        _corrected_a(plan, array, size) >= electrical.pv_maximum_current_a(isc_a)
    )


def smallest_wire(plan, array, strings_n=1):
    """Smallest trade size for so many strings together, or None if none in the table."""
    known = SIZES if array.wire_metal == "copper" else SIZES[1:]
    least_a = electrical.pv_source_current_a(array.isc_a * strings_n)
    entered_a = array.fuse_a if strings_n == 1 else array.joined_fuse_a
    fuse_a = entered_a or float(wiring.next_standard_breaker_a(least_a))
    fits = (
        size
        for size in known
        if _carries(plan, array, size, strings_n) and _held_a(plan, array, size) >= fuse_a
    )
    return next(fits, None)


def _source_circuit(plan, array):
    least_a = float(electrical.pv_source_current_a(array.isc_a))
    fuse_a = float(wiring.next_standard_breaker_a(least_a))
    about, count = f"array {array.name}", parallel_n(plan, array)
    yield _fuse(about, array, least_a, fuse_a, count)
    yield _wire(plan, about, array, least_a)
    if array.wire_size and array.wire_m > 0:
        yield _string_drop(about, array)


def _fuse(about, array, least_a, fuse_a, count):
    basis = (
        f"{array.isc_a:.1f} A short-circuit x 1.25 x 1.25 = {least_a:.1f} A; the next standard "
        f"rating is {fuse_a:.0f} A."
    )
    if array.fuse_a is None and count > UNFUSED_STRINGS_N:
        text = (
            f"{count} strings are in parallel and no fuse is entered: the other strings would "
            f"feed a fault in one of them. {basis} The module's label gives the largest fuse "
            f"allowed. {DEFER}"
        )
        return Finding(
            "danger",
            about,
            text,
            SOURCE_CIRCUITS,
            code="fuse",
            numbers={"least_a": least_a, "fuse_a": array.fuse_a},
        )
    if array.fuse_a is None:
        text = (
            f"{'One string' if count == 1 else 'Two strings'} on this input and no string fuse "
            "entered; up to two are often left unfused. "
            f"If there is one: {basis} {DEFER}"
        )
        return Finding(
            "note",
            about,
            text,
            SOURCE_CIRCUITS,
            code="fuse",
            numbers={"least_a": least_a, "fuse_a": array.fuse_a},
        )
    within = array.fuse_a >= least_a
    text = (
        f"String fuse of {array.fuse_a:.0f} A: {'within' if within else 'outside'} the figure of "
        f"690.9. {basis} It must also be no larger than the largest fuse on the module's label, "
        f"which isn't entered. {DEFER}"
    )
    return Finding(
        "note" if within else "warning",
        about,
        text,
        SOURCE_CIRCUITS,
        code="fuse",
        numbers={"least_a": least_a, "fuse_a": array.fuse_a},
    )


def _wire(plan, about, array, least_a):
    smallest = smallest_wire(plan, array)
    maximum_a = float(electrical.pv_maximum_current_a(array.isc_a))
    assumed = (
        f"{array.wire_metal}, {array.wire_insulation_c:.0f} °C insulation, {TERMINALS_C:.0f} °C "
        f"terminals and {units.show(_ambient_c(plan, array), 'temperature', plan.units)} around it"
    )
    size = f"AWG {smallest}" if smallest else "above AWG 4/0"
    least = f"the smallest size that meets both figures is {size}"
    if not array.wire_size:
        text = (
            f"No string wire is entered. For {least_a:.1f} A before and {maximum_a:.1f} A after "
            f"correction, {least} ({assumed}, assumed). {DEFER}"
        )
        return Finding("note", about, text, SOURCE_CIRCUITS, code="wire")
    corrected_a = _corrected_a(plan, array, array.wire_size)
    printed_a = _printed_a(array, array.wire_size)
    carries = _carries(plan, array, array.wire_size)
    held_a = _held_a(plan, array, array.wire_size)
    fused = array.fuse_a is None or array.fuse_a <= held_a
    text = (
        f"String wire AWG {array.wire_size} ({assumed}): {printed_a:.0f} A at its terminals "
        f"against {least_a:.1f} A, {corrected_a:.1f} A after correction against {maximum_a:.1f} A: "
        f"{'within' if carries else 'outside'} the figures of 690.8(B); {least}."
    )
    if not fused:
        text += (
            f" Its fuse of {array.fuse_a:.0f} A is above the {held_a:.0f} A that the wire is held "
            "to (240.4)."
        )
    return Finding(
        "note" if carries and fused else "danger",
        about,
        f"{text} {DEFER}",
        SOURCE_CIRCUITS,
        code="wire",
    )


def _after_the_joint(plan, array):
    """Finding on the pair of wires that carries all joined strings: a circuit of its own."""
    count, size, fuse_a = array.joined_strings_n, array.joined_wire_size, array.joined_fuse_a
    isc_a = array.isc_a * count
    maximum_a = float(electrical.pv_maximum_current_a(isc_a))
    least_a = float(electrical.pv_source_current_a(isc_a))
    smallest = smallest_wire(plan, array, count)
    needs = (
        f"After the joint one pair of wires carries {count} strings: {isc_a:.1f} A short-circuit, "
        f"{maximum_a:.1f} A with 1.25, {least_a:.1f} A with both factors. "
        f"The smallest size that meets both figures is "
        f"{f'AWG {smallest}' if smallest else 'above AWG 4/0'} ({array.wire_metal}, "
        f"{TERMINALS_C:.0f} °C terminals assumed)."
    )
    about = f"array {array.name}"
    if not size:
        text = f"{needs} Its wire is {NOT_ENTERED}. {DEFER}"
        return Finding("warning", about, text, SOURCE_CIRCUITS, code="after the joint")
    faults = []
    if not _carries(plan, array, size, count):
        faults.append(
            f"AWG {size} carries {_printed_a(array, size):.0f} A at its terminals and "
            f"{_corrected_a(plan, array, size):.1f} A after correction: outside 690.8(B)"
        )
    held_a = _held_a(plan, array, size)
    if fuse_a and fuse_a < least_a:
        faults.append(f"its {fuse_a:.0f} A fuse is below the {least_a:.1f} A of 690.9")
    if fuse_a and fuse_a > held_a:
        faults.append(
            f"its {fuse_a:.0f} A fuse is above the {held_a:.0f} A the wire is held to (240.4)"
        )
    verdict = "; ".join(faults) if faults else f"AWG {size} is within those figures"
    fuse = "" if fuse_a else f" The fuse after the joint is {NOT_ENTERED}."
    severity = "danger" if faults else "note" if fuse_a else "warning"
    return Finding(
        severity,
        about,
        f"{needs} {verdict}.{fuse} {DEFER}",
        SOURCE_CIRCUITS,
        code="after the joint",
    )


def _string_drop(about, array):
    volts = array.vmp_v * array.modules_per_string_n
    drop_v = float(
        wiring.voltage_drop_v(array.imp_a, array.wire_m, array.wire_size, array.wire_metal)
    )
    within = drop_v <= DROP_FRAC * volts
    text = (
        f"{drop_v:.1f} V of {volts:.0f} V, {100 * drop_v / volts:.1f} %, is lost in the string's "
        f"wire at its working current, metal at 75 °C: {'within' if within else 'outside'} the "
        "usual 3 %. It costs energy, not more."
    )
    return Finding(
        "note" if within else "warning",
        about,
        text,
        PRACTICE,
        code="string drop",
        numbers={"drop_v": drop_v, "limit_v": DROP_FRAC * volts},
    )


def _shared(plan, array):
    other = next((o for o in plan.arrays if o.name == array.shares_converter_with), None)
    if other is None:
        return
    about = f"array {array.name}"
    volts = [one.vmp_v * one.modules_per_string_n for one in (array, other)]
    group = _group(plan, array)
    current_a = sum(one.isc_a * one.strings_n for one in group)
    alike = abs(volts[0] - volts[1]) <= UNEQUAL_FRAC * max(volts)
    text = (
        f"Its strings of {array.modules_per_string_n} modules ({volts[0]:.0f} V at work) share a "
        f"tracker with those of {other.name}, {other.modules_per_string_n} modules "
        f"({volts[1]:.0f} V): "
    )
    text += (
        "within 2 % of each other."
        if alike
        else "unequal strings in parallel. The tracker settles between them and both give less, "
        "which this plan doesn't subtract. Give each its own tracker or the same count."
    )
    yield Finding(
        "note" if alike else "warning", about, f"{text} {DEFER}", PRACTICE, code="unequal strings"
    )
    if (array.tilt_deg, array.azimuth_deg) != (other.tilt_deg, other.azimuth_deg):
        text = (
            f"It faces another way than {other.name} on the same tracker. In parallel that costs "
            "little, since voltage hardly follows the sun; in series it would cost much."
        )
        yield Finding("note", about, text, PRACTICE, code="orientation")
    gives = f"Together they give {current_a:.1f} A short-circuit"
    if other.converter_max_a is None:
        text = f"{gives}. The highest current of the input is {NOT_ENTERED}. {DEFER}"
        yield Finding("warning", about, text, PRACTICE, checked=False, code="shared input current")
        return
    within = current_a <= other.converter_max_a
    text = (
        f"{gives}: {'within' if within else 'outside'} the {other.converter_max_a:.1f} A that the "
        f"input takes. {DEFER}"
    )
    yield Finding(
        "note" if within else "warning", about, text, PRACTICE, code="shared input current"
    )


def _count(number, one):
    return f"{number} {one}{'' if number == 1 else 's'}"


def _room(array):
    if not array.spare_poles_n and not array.future_strings_n:
        return
    about = f"array {array.name}"
    fits = array.future_strings_n <= array.spare_poles_n
    current_a = array.isc_a * (array.strings_n + array.future_strings_n)
    most_a = array.converter_max_a
    carried = most_a is not None and current_a <= most_a
    rated_kw = units.convert_unit(
        array.module_w * array.modules_per_string_n * array.future_strings_n, "W", "kW"
    )
    text = (
        f"{_count(array.spare_poles_n, 'spare pole')} for "
        f"{_count(array.future_strings_n, 'string')} to come ({rated_kw:.1f} kW): "
        f"{'enough' if fits else 'too few'} places. With them {current_a:.1f} A "
        f"short-circuit; what the input takes is {NOT_ENTERED}. "
        if most_a is None
        else f"{_count(array.spare_poles_n, 'spare pole')} for "
        f"{_count(array.future_strings_n, 'string')} to come ({rated_kw:.1f} kW): "
        f"{'enough' if fits else 'too few'} places. With them {current_a:.1f} A "
        f"short-circuit, {'within' if carried else 'outside'} the input's {most_a:.1f} A. "
    ) + (f"Feeder wires and fuse must be sized for that. {DEFER}")
    yield Finding("note" if fits and carried else "warning", about, text, PRACTICE, code="room")
