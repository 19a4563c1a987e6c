"""Findings about strings of modules: voltages, source circuits, unequal strings, room for more."""

from homestead.formulas.power import electrical, wiring
from homestead.formulas.power.strings import array_finding, strings

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
        yield from strings(array, plan.site).findings
        yield _fuse(array, parallel_n(plan, array))
        yield _wire(plan, array)
        if array.wire_size and array.wire_m > 0:
            yield _string_drop(array)
        if array.joined_strings_n:
            yield _after_the_joint(plan, array)
        yield from _shared(plan, array)
        if array.spare_poles_n or array.future_strings_n:
            yield _room(array)


def parallel_n(plan, array):
    """Strings side by side on the array's converter input, those of sharing arrays included."""
    return sum(member.strings_n for member in _group(plan, array))


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


def _fuse(array, count_n):
    least_a = float(electrical.pv_source_current_a(array.isc_a))
    standard_a = float(wiring.next_standard_breaker_a(least_a))
    basis = (
        "{isc_a:.1f} short-circuit x 1.25 x 1.25 = {least_a:.1f}; the next standard rating is "
        "{standard_a:.0f}."
    )
    if array.fuse_a is not None:
        is_within = array.fuse_a >= least_a
        code, severity = "fuse", "note" if is_within else "warning"
        said = (
            "String fuse of {fuse_a:.0f}: {is_within:within|outside} the figure of 690.9. "
            f"{basis} It must also be no larger than the largest fuse on the module's label, which "
            "isn't entered. {electrician}"
        )
    elif count_n > UNFUSED_STRINGS_N:
        code, severity = "fuse missing", "danger"
        said = (
            "{count_n} strings are in parallel and no fuse is entered: the other strings would "
            f"feed a fault in one of them. {basis} The module's label gives the largest fuse "
            "allowed. {electrician}"
        )
    else:
        code, severity = "fuse unneeded", "note"
        said = (
            "{count_n:One string|Two strings} on this input and no string fuse entered; up to two "
            f"are often left unfused. If there is one: {basis} {{electrician}}"
        )
    return array_finding(code, severity, said, SOURCE_CIRCUITS, array, locals(), limit="least_a")


def _size_text(size):
    return f"AWG {size}" if size else "above AWG 4/0"


def _wire(plan, array):
    least_a = float(electrical.pv_source_current_a(array.isc_a))
    maximum_a = float(electrical.pv_maximum_current_a(array.isc_a))
    smallest, terminals_c = _size_text(smallest_wire(plan, array)), TERMINALS_C
    ambient_c = _ambient_c(plan, array)
    assumed = (
        "{wire_metal}, {wire_insulation_c:.0f} insulation, {terminals_c:.0f} terminals and "
        "{ambient_c} around it"
    )
    least = "the smallest size that meets both figures is {smallest}"
    if not array.wire_size:
        said = (
            "No string wire is entered. For {least_a:.1f} before and {maximum_a:.1f} after "
            f"correction, {least} ({assumed}, assumed). {{electrician}}"
        )
        return array_finding("wire missing", "note", said, SOURCE_CIRCUITS, array, locals())
    corrected_a = _corrected_a(plan, array, array.wire_size)
    printed_a = _printed_a(array, array.wire_size)
    carries = _carries(plan, array, array.wire_size)
    held_a = _held_a(plan, array, array.wire_size)
    is_fused = array.fuse_a is None or array.fuse_a <= held_a
    return array_finding(
        "wire",
        "note" if carries and is_fused else "danger",
        f"String wire AWG {{wire_size}} ({assumed}): {{printed_a:.0f}} at its terminals against "
        "{least_a:.1f}, {corrected_a:.1f} after correction against {maximum_a:.1f}: "
        "{carries:within|outside} the figures of 690.8(B); "
        f"{least}.{{is_fused:| Its fuse of {{fuse_a:.0f}} is above the {{held_a:.0f}} that the "
        "wire is held to (240.4).} {electrician}",
        SOURCE_CIRCUITS,
        array,
        locals(),
        limit=("least_a", "maximum_a"),
    )


def _after_the_joint(plan, array):
    """Finding on the pair of wires that carries all joined strings: a circuit of its own."""
    count, size, fuse_a = array.joined_strings_n, array.joined_wire_size, array.joined_fuse_a
    joined_a, terminals_c = array.isc_a * count, TERMINALS_C
    maximum_a = float(electrical.pv_maximum_current_a(joined_a))
    least_a = float(electrical.pv_source_current_a(joined_a))
    smallest = _size_text(smallest_wire(plan, array, count))
    needs = (
        "After the joint one pair of wires carries {joined_strings_n} strings: {joined_a:.1f} "
        "short-circuit, {maximum_a:.1f} with 1.25, {least_a:.1f} with both factors. The smallest "
        "size that meets both figures is {smallest} ({wire_metal}, {terminals_c:.0f} terminals "
        "assumed). "
    )
    if not size:
        said = needs + "Its wire is {not_entered}. {electrician}"
        return array_finding(
            "joined wire missing", "warning", said, SOURCE_CIRCUITS, array, locals(), checked=False
        )
    printed_a, corrected_a = _printed_a(array, size), _corrected_a(plan, array, size)
    held_a = _held_a(plan, array, size)
    is_thin = not _carries(plan, array, size, count)
    has_fuse = bool(fuse_a)
    is_low, is_high = has_fuse and fuse_a < least_a, has_fuse and fuse_a > held_a
    is_within = not (is_thin or is_low or is_high)
    return array_finding(
        "joined wire",
        "danger" if not is_within else "note" if fuse_a else "warning",
        needs + "{is_thin:AWG {joined_wire_size} carries {printed_a:.0f} at its terminals and "
        "{corrected_a:.1f} after correction: outside 690.8(B). |}{is_low:Its {joined_fuse_a:.0f} "
        "fuse is below the {least_a:.1f} of 690.9. |}{is_high:Its {joined_fuse_a:.0f} fuse is "
        "above the {held_a:.0f} the wire is held to (240.4). |}{is_within:AWG {joined_wire_size} "
        "is within those figures. |}{has_fuse:|The fuse after the joint is {not_entered}. |}"
        "{electrician}",
        SOURCE_CIRCUITS,
        array,
        locals(),
        limit=("maximum_a", "least_a"),
    )


def _string_drop(array):
    string_v = array.vmp_v * array.modules_per_string_n
    drop_v = float(
        wiring.voltage_drop_v(array.imp_a, array.wire_m, array.wire_size, array.wire_metal)
    )
    drop_frac, limit_frac = drop_v / string_v, DROP_FRAC
    is_within = drop_frac <= limit_frac
    return array_finding(
        "string drop",
        "note" if is_within else "warning",
        "{drop_v:.1f} of {string_v:.0f}, {drop_frac:.1f}, is lost in the string's wire at its "
        "working current, metal at 75 °C: {is_within:within|outside} the usual {limit_frac}. It "
        "only costs energy.",
        PRACTICE,
        array,
        locals(),
        limit="limit_frac",
    )


def _shared(plan, array):
    other = next((o for o in plan.arrays if o.name == array.shares_converter_with), None)
    if other is None:
        return
    own_v, other_v = (member.vmp_v * member.modules_per_string_n for member in (array, other))
    other_name, other_modules_n = other.name, other.modules_per_string_n
    apart_frac = UNEQUAL_FRAC
    is_alike = abs(own_v - other_v) <= apart_frac * max(own_v, other_v)
    yield array_finding(
        "unequal strings",
        "note" if is_alike else "warning",
        "Its strings of {modules_per_string_n} modules ({own_v:.0f} at work) share a tracker with "
        "those of {other_name}, {other_modules_n} modules ({other_v:.0f}): {is_alike:within "
        "{apart_frac} of each other.|unequal strings in parallel. The tracker settles between them "
        "and both give less, which this plan doesn't subtract. Give each its own tracker or the "
        "same count.} {electrician}",
        PRACTICE,
        array,
        locals(),
        limit="apart_frac",
    )
    if (array.tilt_deg, array.azimuth_deg) != (other.tilt_deg, other.azimuth_deg):
        yield array_finding(
            "orientation",
            "note",
            "It faces another way than {other_name} on the same tracker. In parallel that costs "
            "little, since voltage hardly follows the sun; in series it would cost much.",
            PRACTICE,
            array,
            locals(),
        )
    current_a = sum(member.isc_a * member.strings_n for member in _group(plan, array))
    takes_a = other.converter_max_a
    gives = "Together they give {current_a:.1f} short-circuit"
    if takes_a is None:
        said = gives + ". The highest current of the input is {not_entered}. {electrician}"
        yield array_finding(
            "shared current missing", "warning", said, PRACTICE, array, locals(), checked=False
        )
        return
    is_within = current_a <= takes_a
    yield array_finding(
        "shared current",
        "note" if is_within else "warning",
        gives + ": {is_within:within|outside} the {takes_a:.1f} that the input takes. "
        "{electrician}",
        PRACTICE,
        array,
        locals(),
        limit="takes_a",
    )


def _room(array):
    is_enough = array.future_strings_n <= array.spare_poles_n
    current_a = array.isc_a * (array.strings_n + array.future_strings_n)
    rated_w = array.module_w * array.modules_per_string_n * array.future_strings_n
    is_known = array.converter_max_a is not None
    is_carried = is_known and current_a <= array.converter_max_a
    return array_finding(
        "room",
        "note" if is_enough and is_carried else "warning",
        "{spare_poles_n} spare {spare_poles_n:pole|poles} for {future_strings_n} "
        "{future_strings_n:string|strings} to come ({rated_w:.1f}): {is_enough:enough|too few} "
        "places. With them {current_a:.1f} short-circuit{is_known:, {is_carried:within|outside} "
        "the input's {converter_max_a:.1f}.|; what the input takes is {not_entered}.} Feeder wires "
        "and fuse must be sized for that. {electrician}",
        PRACTICE,
        array,
        locals(),
        limit="converter_max_a",
    )
