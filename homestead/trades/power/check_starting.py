"""Findings about what runs and starts together on the main inverter."""

from homestead import units
from homestead.findings.finding import DEFER, Finding
from homestead.trades.power import study_loads as study
from homestead.trades.power import study_starting as starting
from homestead.vocabulary import MONTHS

PLATE = (
    "NFPA 70 (NEC) Tables 430.7(B) and 430.248, found, for plates; six times the running current "
    "and a third with a soft starter: common practice, no source"
)
ADDED_UP = "As entered, added up"


def findings_of(plan, loads):
    """Yield findings about continuous power, starting surge and the loss of a unit."""
    if plan.grid_former is None or not loads:
        return
    yield _together(plan, loads)
    yield from _surge(plan, loads)
    yield _unit_loss(plan, loads)


def _together(plan, loads):
    busiest = study.busiest_hour(loads)
    limit_w = plan.grid_former.all_units_w
    essential_w = float(study.together_w(loads, 1).max())
    within = busiest.total_w <= limit_w
    largest = sorted(busiest.running, key=lambda one: -one.running_w)[:4]
    names = ", ".join(f"{one.name} {one.running_w / 1000:.1f} kW" for one in largest)
    text = (
        f"The most runs together in {MONTHS[busiest.month - 1]} at {busiest.hour:02d}:00: "
        f"{busiest.total_w / 1000:.1f} kW at full power (including {names}). "
        f"{'Within' if within else 'Outside'} the {limit_w / 1000:.1f} kW continuous of the main "
        f"inverter{_overload(plan.grid_former, busiest.total_w)}. "
        f"Essential loads alone: {essential_w / 1000:.1f} kW. Run some of it at other times, or "
        "let the inverter shed it, to stay below that."
    )
    severity = "note" if within else "warning"
    return Finding(severity, "continuous power", f"{text} {DEFER}", ADDED_UP, code="together")


def _overload(former, watts):
    """For how long the main inverters carry what is above their continuous power, in words."""
    if watts <= former.all_units_w:
        return ""
    longest = [s for s, each in former.overloads if watts <= each * former.units_n]
    if not longest:
        return ", and above every overload that is entered"
    seconds = max(longest)
    return (
        f"; it carries that for {units.digits(seconds / 60)} min"
        if seconds >= 60.0
        else (f"; it carries that for {units.digits(seconds)} s")
    )


def _surge(plan, loads):
    start = starting.hardest(plan, loads=loads)
    if start.name is None:
        return
    text = (
        f"Hardest start: {start.name}, {start.start_va / 1000:.1f} kVA, while "
        f"{start.base_w / 1000:.1f} kW of other loads may run ({MONTHS[start.month - 1]}, "
        f"{start.hour:02d}:00): {start.total_va / 1000:.1f} kVA together, "
        f"{'within' if start.is_within else 'outside'} the surge of {start.surge_w / 1000:.1f} kW "
        f"for {plan.grid_former.surge_s:.0f} s."
    )
    if start.soft_start_va < start.start_va:
        fits = "within" if start.soft_total_va <= start.surge_w else "still outside"
        text += f" With a soft starter {start.soft_total_va / 1000:.1f} kVA, {fits} it."
    text += (
        " This compares volt-amperes with the maker's watts. It leaves out two motors starting "
        "in the same second, and appliances with no starting current entered."
    )
    severity = "note" if start.is_within else "warning"
    yield Finding(severity, "starting surge", f"{text} {DEFER}", PLATE, code="surge")


def _unit_loss(plan, loads):
    former, loss = plan.grid_former, starting.one_unit_fails(plan, loads=loads)
    if former.units_n == 1:
        text = (
            "One unit makes the grid: when it fails, the house, its pump and every PV inverter on "
            "its output are dark until it is fixed or a generator takes over."
        )
        return Finding("note", "loss of a unit", text, "As entered", code="unit loss")
    text = (
        f"With one of {former.units_n} units gone, {loss.continuous_w / 1000:.1f} kW continuous "
        f"and {loss.surge_w / 1000:.1f} kW surge are left for {loss.essential_w / 1000:.1f} kW of "
        "essential loads"
    )
    if loss.start_name:
        text += f" and a start of {loss.start_va / 1000:.1f} kVA ({loss.start_name})"
    text += f": {'within' if loss.carries_essential else 'outside'} what is left."
    if loss.alike_n < loss.left_n and not loss.leg_is_dark:
        text += (
            f" Of the {loss.left_n} units left one leg has one fewer: what needs both legs is held "
            f"to {loss.alike_n} of them."
        )
    if loss.leg_is_dark:
        text += " A leg of 120 V goes dark"
        if loss.all_stopped:
            text += f", and with it all that needs both legs: {', '.join(loss.all_stopped)}"
        text += "; some makes stop both units."
    starts = loss.motor_va <= loss.surge_w
    if loss.motor_name:
        text += (
            f" The biggest motor left, {loss.motor_name}, starts with {loss.motor_va / 1000:.1f} "
            f"kVA by itself: {'within' if starts else 'outside'} the surge left."
        )
    severity = "note" if loss.carries_essential and starts else "warning"
    return Finding(severity, "loss of a unit", f"{text} {DEFER}", "As entered", code="unit loss")
