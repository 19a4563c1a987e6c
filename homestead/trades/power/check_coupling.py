"""Findings on inverters that follow a main inverter: ratio, full bank, stop; and the two legs."""

from homestead import reference
from homestead.findings.finding import found
from homestead.formulas.power import inverters
from homestead.trades.power import study_loads as study
from homestead.trades.power.study_sources import machines_of
from homestead.vocabulary import MONTHS

FREQUENCY = "IEEE Std 1547-2018, 6.5.2.7, Tables 18 and 24, from memory"
PRACTICE = "Common practice, no source"
RATIO = f"{PRACTICE}: AC coupling ratio of 1.0"
MANUAL = "The main inverter's manual, as the plan has it"
RULE = "{is_within:within|outside} {by_maker:the maker's own limit|the ratio of 1.0}"
LAW = (
    "By the standard's default droop an inverter at full power halts at {halt_hz:.2f}, above its "
    "default trips ({slow_hz:.1f} after {slow_s:.0f}, {fast_hz:.1f} after {fast_s:.2f})"
)


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
        followers_w = sum(follower.converter_w for follower in followers)
        names = [follower.name for follower in followers]
        yield _ratio(followers_w, former)
        wakes = plan.generator is not None
        yield _stop(names, wakes or len(followers) < len(plan.converters) + len(machines))
        yield _full_bank(followers_w, former)
        if former.units_n > 1:
            yield _one_unit_down(names, followers_w, former)
    yield from _legs(former, loads) if former.is_split else _high_loads(loads)


def _most_w(former, units_n):
    """Most AC-coupled power that so many units take, and whether the maker says so."""
    if former.ac_coupled_limit_w is not None:
        return former.ac_coupled_limit_w * units_n, True
    return former.continuous_w * units_n, False


def _ratio(followers_w, former):
    most_w, by_maker = _most_w(former, former.units_n)
    is_within = inverters.is_ac_coupling_within_rating(followers_w, most_w)
    return found(
        "inverters.ratio: AC coupling",
        "note" if is_within else "danger",
        "PV inverters of {followers_w:.1f} in all feed {units_n} main inverter "
        "{units_n:unit|units} that can take {most_w:.1f}: " + RULE + ". Above it, a load switched "
        "off at noon can push more power into the main inverter than it can absorb. Its manual "
        "decides. {electrician}",
        MANUAL if by_maker else RATIO,
        locals(),
        former,
        limit="most_w",
    )


def _one_unit_down(names, followers_w, former):
    """Finding on the PV inverters when one main inverter unit fails."""
    by_leg = former.is_split and former.arrangement == "one per leg"
    if by_leg and former.units_n < 4:
        return found(
            "inverters.leg down: PV with a unit lost",
            "warning",
            "When a leg's unit fails, the PV inverters of {names} lose one leg and stop if they "
            "run at 240 V, as most do. {electrician}",
            PRACTICE,
            locals(),
        )
    left_n = 2 * (former.units_n // 2 - 1) if by_leg else former.units_n - 1
    most_w, by_maker = _most_w(former, left_n)
    is_within = inverters.is_ac_coupling_within_rating(followers_w, most_w)
    over_w = followers_w - most_w
    return found(
        "inverters.unit down: PV with a unit lost",
        "note" if is_within else "warning",
        "With one of {units_n} main inverter units lost, the rest{by_leg:, twice the weaker leg,|} "
        "can take {most_w:.1f} of PV inverters: {followers_w:.1f} is " + RULE + ".{is_within:| "
        "Switch off at least {over_w:.1f} of them first.} {electrician}",
        PRACTICE,
        locals(),
        former,
        limit="most_w",
    )


def _stop(names, wakes):
    return found(
        "inverters.stop: AC coupling",
        "note" if wakes else "warning",
        "The inverters of {names} follow a grid: they stop when no main inverter runs, sun or "
        "not, and start again some minutes after it does. With the battery empty and the main "
        "inverter off they can't start it again; a generator or a DC-coupled source "
        "can{wakes:.|, and you have neither: dark days can then end all power.}",
        PRACTICE,
        locals(),
    )


def _full_bank(followers_w, former):
    halt_hz = float(inverters.frequency_that_leaves_hz(0.0))
    (slow_hz, slow_s), (fast_hz, fast_s) = inverters.over_frequency_trips()
    raised_hz = former.full_bank_hz
    if raised_hz is None:
        return found(
            "inverters.full bank unknown: full battery",
            "note",
            "When the bank is full the main inverter raises its frequency to hold back the PV "
            "inverters; you haven't entered how far. " + LAW + ", so on factory settings they trip "
            "and wait for minutes. Check that the manuals of both machines agree.",
            FREQUENCY,
            locals(),
        )
    left_frac = float(inverters.frequency_watt_frac(raised_hz))
    left_w, is_past_slow = followers_w * left_frac, raised_hz > slow_hz
    is_fast, pushes = raised_hz >= fast_hz, left_frac > 0.0
    return found(
        "inverters.full bank: full battery",
        "warning" if pushes and not is_fast else "note",
        "With a full battery the main inverter goes to {raised_hz:.2f}, {is_fast:at or above the "
        "fast trip of {fast_hz:.1f}: they drop out|which by the default droop {pushes:leaves "
        "{left_frac:.0f}, up to {left_w:.1f} at full sun, that a full battery can't take"
        "{is_past_slow:; above {slow_hz:.1f} they trip after {slow_s:.0f}|}|halts them}}. "
        + LAW
        + "; steeper settings halt them sooner. Check that both manuals agree. {electrician}",
        FREQUENCY,
        locals(),
        limit="halt_hz",
    )


def _high_loads(loads):
    names = [load.name for load in loads if load.supply_v > 150.0]
    if names:
        yield found(
            "inverters.high loads: 120/240 V",
            "warning",
            "{names} at 240 V on a 120 V main inverter: you'd need a transformer or another "
            "inverter. {electrician}",
            "As entered",
            locals(),
        )


def _legs(former, loads):
    busiest = study.busiest_hour(loads)
    limit_w = former.all_units_w * reference.value("inverters", "main inverter", "leg_share", "")
    is_within = max(busiest.leg_a_w, busiest.leg_b_w) <= limit_w
    is_entered = all(load.leg for load in busiest.running if load.supply_v <= 150.0)
    month = MONTHS[busiest.month - 1]
    yield found(
        "inverters.legs: 120/240 V balance",
        "note" if is_within else "warning",
        "In the busiest hour ({month}, {hour:02d}:00) the legs may carry {leg_a_w:.1f} and "
        "{leg_b_w:.1f}, {is_entered:each on its own leg|loads with no leg entered are split "
        "evenly}: {is_within:within|outside} half of the main inverter's continuous power, "
        "{limit_w:.1f}. Assumed: one leg takes half of the rating. {electrician}",
        PRACTICE,
        locals(),
        busiest,
        limit="limit_w",
    )
