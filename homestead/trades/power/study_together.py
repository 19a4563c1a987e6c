"""What may run and start together: by night, with the sun of an hour, with one main inverter down.

Steady power is held against what inverters and sun give, each leg against its share, a start
against the surge. Sun carries what runs; a start comes out of the main inverters alone, since PV
inverters have no surge. Two motors starting in the same second are left out.
"""

from dataclasses import dataclass, replace

import numpy as np

from homestead import reference
from homestead.simulate.records import MONTH_OF_DAY
from homestead.trades.power import study_loads as study
from homestead.trades.power import study_starting as starting

DARK_FRAC = 0.02  # of the month's best hour; less sun than that is night; project choice


@dataclass(frozen=True)
class Situation:
    """What there is to run on, in one hour."""

    name: str
    month: int
    hour: int
    steady_w: float  # of the main inverters, as long as the battery lasts
    sun_w: float  # of PV inverters beside them
    surge_w: float  # of the main inverters
    leg_w: float  # the most on one leg; infinite where there is one leg
    # Of (float, float): seconds, and power of the main inverters for so long; longest first.
    tiers: tuple
    stopped: frozenset  # what cannot run at all

    @property
    def limit_w(self):
        """Main inverters and sun together. [W]."""
        return self.steady_w + self.sun_w

    def carries(self, loads):
        """Whether some loads may run together for hours."""
        if sum(load.running_w for load in loads) > self.limit_w + 1e-6:
            return False
        return max(study.legs_w(loads)) <= self.leg_w + 1e-6

    def left_va(self, others_w, start_va):
        """Surge left after a start beside others that run; below 0: it doesn't start. [VA]."""
        return self.surge_w - max(others_w - self.sun_w, 0.0) - start_va

    def lasts_s(self, running_w):
        """How long so much may run: infinite, seconds of an overload tier, or 0."""
        if running_w <= self.limit_w + 1e-6:
            return float("inf")
        longest = [s for s, watts in self.tiers if running_w - self.sun_w <= watts]
        return max(longest, default=0.0)


@dataclass(frozen=True)
class Step:
    """One load, as it is switched on in order."""

    load: study.Load
    start_va: float  # with or without a soft starter, as asked
    fits: bool  # beside all that was switched on before it
    running_w: float  # all that runs with it
    left_w: float  # steady power left with it
    left_va: float  # surge left after its start in this order; infinite without a motor
    all_on_va: float  # the same while everything else runs that may in that hour
    lasts_s: float  # how long it runs beside the rest
    # What to switch off so that it fits, or starts while all else is on; None if it doesn't fit by
    # itself.
    off_first: tuple | None


def situations(hours, month, hour, loads=None):
    """Night, day and each with one main inverter down, in a month.

    hours (Hours) : Of the plan; their sun is that of half of such hours or more.
    month, hour : By day; by night the dark hour in which most may run. A dark hour stands for the
        sunniest one of that month.
    loads (tuple of Load, optional)
    Gives tuple of Situation: Empty without a main inverter.
    """
    plan = hours.plan
    if plan.grid_former is None:
        return ()
    loads = study.loads_of(plan, hours.fixed) if loads is None else loads
    ac_w, dc_w = (_usual_w(hours, name, month) for name in ("pv_ac_w", "pv_dc_w"))
    sun_w = ac_w + dc_w
    dark = sun_w <= DARK_FRAC * sun_w.max() if sun_w.max() > 0.0 else np.ones(24, dtype=bool)
    asked_w = study.together_w(loads)[month - 1]
    night = int(np.argmax(np.where(dark, asked_w, -1.0)))
    found = [_situation(hours, "by night", month, night, 0.0, 0.0)]
    if not dark.all():
        day = hour if not dark[hour] else int(np.argmax(sun_w))
        found.append(_situation(hours, "by day", month, day, float(ac_w[day]), float(dc_w[day])))
    if plan.grid_former.units_n > 1:
        found += _with_one_down(plan, found, loads)
    return tuple(found)


def _with_one_down(plan, found, loads):
    """The same with one unit less; where that darkens a leg, by night alone, since PV stops."""
    loss = starting.one_unit_fails(plan, loads)
    if not loss.leg_is_dark:
        return [_one_down(plan, inverter, loss, "one main inverter") for inverter in found]
    legs = sorted({load.leg for load in loads if load.leg})
    if not legs:
        return [_one_down(plan, found[0], loss, "one main inverter")]
    return [
        _one_down(
            plan, found[0], loss, f"the main inverter of leg {leg}",
            frozenset(load.name for load in loads if load.leg == leg),
        )
        for leg in legs
    ]  # fmt: skip


def _usual_w(hours, name, month):
    """Median of each hour of the day in a month, array of shape (24,). [W]."""
    by_day = hours.column(name).reshape(-1, 24)
    here = np.tile(MONTH_OF_DAY, len(by_day) // len(MONTH_OF_DAY)) == month
    return np.median(by_day[here], axis=0)


def _situation(hours, name, month, hour, ac_w, dc_w):
    former, fixed = hours.plan.grid_former, hours.fixed
    bus_w = (dc_w + fixed.discharge_w) * fixed.inverter_efficiency_frac
    has_bank = hours.plan.battery is not None
    steady_w = min(fixed.former_w, bus_w) if has_bank else fixed.former_w
    leg_share = reference.value("inverters", "main inverter", "leg_share", "")
    leg_w = former.all_units_w * leg_share + ac_w / 2 if former.is_split else float("inf")
    tiers = tuple((seconds, watts * former.units_n) for seconds, watts in former.overloads)
    return Situation(
        name, month, hour, steady_w, ac_w, former.all_units_surge_w, leg_w, tiers, frozenset()
    )


def _one_down(plan, whole, loss, what, dark=frozenset()):
    """The same hour with one unit less, as its arrangement leaves it."""
    former = plan.grid_former
    # Those that are left take no more sun than their own limit, or else the ratio of 1.0.
    most_w = loss.alike_n * (former.ac_coupled_limit_w or former.continuous_w)
    sun_w = 0.0 if loss.leg_is_dark else min(whole.sun_w, most_w)
    leg_share = reference.value("inverters", "main inverter", "leg_share", "")
    leg_w = float("inf")
    if former.is_split and not loss.leg_is_dark:
        leg_w = loss.continuous_w * leg_share + sun_w / 2
    return replace(
        whole,
        name=f"{whole.name}, {what} down",
        steady_w=min(whole.steady_w, loss.continuous_w),
        sun_w=sun_w,
        surge_w=loss.surge_w,
        leg_w=leg_w,
        tiers=tuple((s, w / former.units_n * loss.alike_n) for s, w in whole.tiers),
        stopped=frozenset(loss.all_stopped) | dark,
    )


def switched_on(situation, loads, soft=False):
    """Loads of a situation in the order in which to switch them on: essential first, then starts.

    situation (Situation)
    loads (iterable of Load)
    soft (bool) : With a soft starter at every motor.
    Gives tuple of Step. What doesn't fit stays off, and later ones are tried without it.
    """
    loads = [
        load
        for load in loads
        if load.running_w > 0.0
        and load.name not in situation.stopped
        and load.runs(situation.month, situation.hour)
    ]
    loads.sort(key=lambda load: (load.priority_n, -_start_va(load, soft), -load.running_w))
    everything_w = sum(load.running_w for load in loads)
    on, found = [], []
    for load in loads:
        start_va = _start_va(load, soft)
        others_w = sum(other.running_w for other in on) + load.running_w - load.one_w
        running_w = others_w + load.one_w
        fits = _fits(situation, on, load, soft)
        has_motor = start_va > 0.0
        found.append(
            Step(
                load=load,
                start_va=start_va,
                fits=fits,
                running_w=running_w,
                left_w=situation.limit_w - running_w,
                left_va=situation.left_va(others_w, start_va) if has_motor else float("inf"),
                all_on_va=(
                    situation.left_va(everything_w - load.one_w, start_va)
                    if has_motor
                    else float("inf")
                ),
                lasts_s=situation.lasts_s(running_w),
                off_first=() if fits else _off_first(situation, on, load, soft),
            )
        )
        if fits:
            on.append(load)
    return tuple(_beside_the_rest(situation, other, on, soft) for other in found)


def _beside_the_rest(situation, step, on, soft):
    """A pump or compressor starts when it likes: what must be off by then, of what fits."""
    if not step.fits or step.start_va <= 0.0:
        return step
    others = [other for other in on if other is not step.load]
    return replace(step, off_first=_off_first(situation, others, step.load, soft))


def _start_va(load, soft):
    return load.soft_start_va if soft else load.start_va


def _fits(situation, on, load, soft):
    start_va = _start_va(load, soft)
    others_w = sum(other.running_w for other in on) + load.running_w - load.one_w
    starts = start_va <= 0.0 or situation.left_va(others_w, start_va) >= 0.0
    return starts and situation.carries([*on, load])


def _off_first(situation, on, load, soft):
    """Names to switch off so that a load fits: comfort first, the largest first; None if in vain.

    Of two that would do, a smaller list: those that turn out to be needless go on again.
    """
    off = []
    staying = sorted(on, key=lambda other: (-other.priority_n, -other.running_w))
    while staying and not _fits(situation, staying, load, soft):
        off.append(staying.pop(0))
    if not _fits(situation, staying, load, soft):
        return None
    for other in tuple(off):
        if _fits(situation, [*staying, other], load, soft):
            off.remove(other)
            staying.append(other)
    return tuple(other.name for other in off)
