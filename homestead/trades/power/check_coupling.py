"""Findings on inverters that follow a main inverter: ratio, full bank, stop; and the two legs."""

from homestead import reference
from homestead.findings.finding import DEFER, Finding
from homestead.formulas.power import inverters
from homestead.trades.power import study_loads as study
from homestead.trades.power.study_sources import machines_of
from homestead.vocabulary import MONTHS

FREQUENCY = "IEEE Std 1547-2018, 6.5.2.7, Tables 18 and 24, from memory"
PRACTICE = "Common practice, no source"
RATIO = f"{PRACTICE}: AC coupling ratio of 1.0"


def findings_of(plan, loads):
    """Yield findings about the coupling of inverters and the balance of the legs."""
    former = plan.grid_former
    if former is None:
        return
    machines = machines_of(plan)
    followers = [
        converter for converter in (*plan.converters, *machines) if converter.coupling == "ac"
    ]
    if followers:
        yield _ratio(followers, former)
        wakes = plan.generator or len(followers) < len(plan.converters) + len(machines)
        yield _stop(followers, wakes)
        yield _full_bank(followers, former)
        if former.units_n > 1:
            yield _one_unit_down(followers, former)
    yield from _legs(former, loads)


def _most_w(former, units_n):
    """Most AC-coupled power that so many units take, and whose limit that is."""
    if former.ac_coupled_limit_w is not None:
        return former.ac_coupled_limit_w * units_n, "the maker's own limit"
    return former.continuous_w * units_n, "the ratio of 1.0"


def _ratio(followers, former):
    followers_w = sum(follower.converter_w for follower in followers)
    most_w, rule = _most_w(former, former.units_n)
    within = inverters.is_ac_coupling_within_rating(followers_w, most_w)
    return Finding(
        "note" if within else "danger",
        "AC coupling",
        f"PV inverters of {followers_w / 1000:.1f} kW in all feed {former.units_n} main inverter "
        f"{'unit' if former.units_n == 1 else 'units'} that can take {most_w / 1000:.1f} kW: "
        f"{'within' if within else 'outside'} {rule}. Above it, a load switched off at noon can "
        f"push more power into the main inverter than it can absorb. Its manual decides. {DEFER}",
        "The main inverter's manual, as the plan has it" if former.ac_coupled_limit_w else RATIO,
        code="ratio",
    )


def _one_unit_down(followers, former):
    """Finding on the PV inverters when one main inverter unit fails."""
    by_leg = former.is_split and former.arrangement == "one per leg"
    if by_leg and former.units_n < 4:
        text = (
            f"When a leg's unit fails, the PV inverters of {', '.join(f.name for f in followers)} "
            "lose one leg and stop if they run at 240 V, as most do."
        )
        return Finding(
            "warning", "PV with a unit lost", f"{text} {DEFER}", PRACTICE, code="one unit down"
        )
    left_n = 2 * (former.units_n // 2 - 1) if by_leg else former.units_n - 1
    followers_w = sum(follower.converter_w for follower in followers)
    most_w, rule = _most_w(former, left_n)
    within = inverters.is_ac_coupling_within_rating(followers_w, most_w)
    text = (
        f"With one of {former.units_n} main inverter units lost, the rest"
        f"{', twice the weaker leg,' if by_leg else ''} can take "
        f"{most_w / 1000:.1f} kW of PV inverters: {followers_w / 1000:.1f} kW is "
        f"{'within' if within else 'outside'} {rule}."
    )
    if not within:
        text += f" Switch off at least {(followers_w - most_w) / 1000:.1f} kW of them first."
    severity = "note" if within else "warning"
    return Finding(
        severity, "PV with a unit lost", f"{text} {DEFER}", PRACTICE, code="one unit down"
    )


def _stop(followers, wakes):
    names = ", ".join(follower.name for follower in followers)
    return Finding(
        "note" if wakes else "warning",
        "AC coupling",
        f"The inverters of {names} follow a grid: they stop when no main inverter runs, sun or "
        "not, and start again some minutes after it does. With the battery empty and the main "
        "inverter off they can't start it again; a generator or a DC-coupled source can"
        f"{'.' if wakes else ', and the plan has neither: dark days can then end all power.'}",
        PRACTICE,
        code="stop",
    )


def _full_bank(followers, former):
    halt_hz = float(inverters.frequency_that_leaves_hz(0.0))
    (slow_hz, slow_s), (fast_hz, fast_s) = inverters.over_frequency_trips()
    law = (
        f"By the standard's default droop an inverter at full power halts at {halt_hz:.2f} Hz, "
        f"above its default trips ({slow_hz:.1f} Hz after {slow_s:.0f} s, {fast_hz:.1f} Hz after "
        f"{fast_s:.2f} s)"
    )
    raised_hz = former.full_bank_hz
    if raised_hz is None:
        return Finding(
            "note",
            "full battery",
            "When the bank is full the main inverter raises its frequency to hold back the PV "
            f"inverters; you haven't entered how far. {law}, so on factory settings they trip "
            f"and wait for minutes. Check that the manuals of both machines agree.",
            FREQUENCY,
            code="full bank",
        )
    left = float(inverters.frequency_watt_frac(raised_hz))
    followers_w = sum(follower.converter_w for follower in followers)
    if raised_hz >= fast_hz:
        severity, what = "note", f"at or above the fast trip of {fast_hz:.1f} Hz: they drop out"
    elif left > 0.0:
        severity = "warning"
        what = (
            f"which by the default droop leaves {100 * left:.0f} %, up to "
            f"{followers_w * left / 1000:.1f} kW at full sun, that a full battery can't take"
        )
        if raised_hz > slow_hz:
            what += f"; above {slow_hz:.1f} Hz they trip after {slow_s:.0f} s"
    else:
        severity, what = "note", "which by the default droop halts them"
    return Finding(
        severity,
        "full battery",
        f"With a full battery the main inverter goes to {raised_hz:.2f} Hz, {what}. {law}; "
        f"steeper settings halt them sooner. Check that both manuals agree. {DEFER}",
        FREQUENCY,
        code="full bank",
    )


def _legs(former, loads):
    if not former.is_split:
        high = [load.name for load in loads if load.supply_v > 150.0]
        if high:
            yield Finding(
                "warning",
                "120/240 V",
                f"{', '.join(high)} at 240 V on a 120 V main inverter: you'd need a transformer "
                f"or another inverter. {DEFER}",
                "As entered",
                code="legs",
            )
        return
    share = reference.value("inverters", "main inverter", "leg_share", "")
    busiest = study.busiest_hour(loads)
    most_w, leg_w = max(busiest.leg_a_w, busiest.leg_b_w), share * former.all_units_w
    within = most_w <= leg_w
    entered = all(one.leg for one in busiest.running if one.supply_v <= 150.0)
    spread = "each on its own leg" if entered else "loads with no leg entered are split evenly"
    yield Finding(
        "note" if within else "warning",
        "120/240 V balance",
        f"In the busiest hour ({MONTHS[busiest.month - 1]}, {busiest.hour:02d}:00) the legs may "
        f"carry {busiest.leg_a_w / 1000:.1f} and {busiest.leg_b_w / 1000:.1f} kW, {spread}: "
        f"{'within' if within else 'outside'} half of the main inverter's continuous power, "
        f"{leg_w / 1000:.1f} kW. Assumed: one leg takes half of the rating. {DEFER}",
        PRACTICE,
        code="legs",
    )
