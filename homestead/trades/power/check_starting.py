"""Findings about what runs and starts together on the main inverter."""

from homestead.findings.finding import found
from homestead.trades.power import study_loads as study
from homestead.trades.power import study_starting as starting
from homestead.vocabulary import MONTHS

PLATE = (
    "NFPA 70 (NEC) Tables 430.7(B) and 430.248, found, for plates; six times the running current "
    "and a third with a soft starter: common practice, no source"
)


def findings_of(plan, loads):
    """Yield findings about continuous power, starting surge and the loss of a unit."""
    if plan.grid_former is None or not loads:
        return
    yield _together(plan.grid_former, loads)
    yield from _surge(plan, loads)
    yield _unit_loss(plan, loads)


def _together(former, loads):
    busiest = study.busiest_hour(loads)
    essential_w = float(study.together_w(loads, 1).max())
    is_within = busiest.total_w <= former.all_units_w
    largest = sorted(busiest.running, key=lambda load: -load.running_w)[:4]
    names = [f"{load.name} {load.running_w / 1000:.1f} kW" for load in largest]
    month = MONTHS[busiest.month - 1]
    overload_min = _overload_s(former, busiest.total_w) / 60.0
    carries, for_seconds = overload_min > 0.0, overload_min < 1.0
    overload_s = overload_min * 60.0
    return found(
        "inverters.together: continuous power",
        "note" if is_within else "warning",
        "The most runs together in {month} at {hour:02d}:00: {total_w:.1f} at full power "
        "(including {names}). {is_within:Within|Outside} the {all_units_w:.1f} continuous of "
        "the main inverter{is_within:|{carries:; it can carry that for "
        "{for_seconds:{overload_s:.0f}|{overload_min}}|, and above every overload that is "
        "entered}}. Essential loads alone: {essential_w:.1f}. Run some of it at other times, or "
        "let the inverter switch it off. {electrician}",
        "As entered, added up",
        locals(),
        busiest,
        former,
        limit="all_units_w",
    )


def _overload_s(former, watts):
    """For how long the main inverters carry what is above their continuous power; 0 if never."""
    return max((s for s, each_w in former.overloads if watts <= each_w * former.units_n), default=0)


def _surge(plan, loads):
    start = starting.hardest(plan, loads=loads)
    if start.name is None:
        return
    month = MONTHS[start.month - 1]
    helps, soft_fits = start.soft_start_va < start.start_va, start.soft_total_va <= start.surge_w
    yield found(
        "inverters.surge: starting surge",
        "note" if start.is_within else "warning",
        "Hardest start: {name}, {start_va:.1f}, while {base_w:.1f} of other loads may run "
        "({month}, {hour:02d}:00): {total_va:.1f} together, {is_within:within|outside} the "
        "surge of {surge_w:.1f} for {surge_s:.0f}.{helps: With a soft starter "
        "{soft_total_va:.1f}, {soft_fits:within|still outside} it.|} This compares volt-amperes "
        "with the maker's watts. It leaves out two motors starting in the same second, and "
        "appliances whose starting current you haven't entered. {electrician}",
        PLATE,
        locals(),
        start,
        plan.grid_former,
        limit="surge_w",
    )


def _unit_loss(plan, loads):
    former, loss = plan.grid_former, starting.one_unit_fails(plan, loads=loads)
    if former.units_n == 1:
        return found(
            "inverters.only unit: loss of a unit",
            "note",
            "Only one unit makes the house's grid. When it fails, the house, the pump and every "
            "PV inverter on it go dark until it is fixed or a generator takes over.",
            "As entered",
        )
    starts = loss.motor_va <= loss.surge_w
    is_lopsided = loss.alike_n < loss.left_n and not loss.leg_is_dark
    return found(
        "inverters.unit loss: loss of a unit",
        "note" if loss.carries_essential and starts else "warning",
        "With one of {units_n} units gone, {continuous_w:.1f} continuous and {surge_w:.1f} surge "
        "are left for {essential_w:.1f} of essential loads{start_name: and a start of "
        "{start_va:.1f} ({start_name})|}: {carries_essential:within|outside} what is left."
        "{is_lopsided: Of the {left_n} units left one leg has one fewer: what needs both legs is "
        "held to {alike_n} of them.|}{leg_is_dark: A leg of 120 V goes dark{all_stopped:, and with "
        "it all that needs both legs: {all_stopped}|}; some makes stop both units.|}{motor_name: "
        "The biggest motor left, {motor_name}, starts with {motor_va:.1f} by itself: "
        "{starts:within|outside} the surge left.|} {electrician}",
        "As entered",
        locals(),
        loss,
        former,
        limit=("continuous_w", "surge_w"),
    )
