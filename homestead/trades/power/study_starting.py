"""Will it start: locked-rotor currents against the surge of the main inverter and the generator.

Compares volt-amperes of a start with the maker's surge watts, as the trade does; the true limit of
a machine is its current, and its papers come first. Leaves wires and breakers to the checks.
"""

import math
from dataclasses import dataclass

import pandas as pd

from homestead.trades.power import study_loads as study
from homestead.trades.power.study_sources import machines_of


@dataclass(frozen=True)
class Start:
    """The hardest start among the loads of an hour."""

    name: str | None  # what starts; None if nothing has a motor
    month: int
    hour: int
    base_w: float  # everything else that may run in that hour
    start_va: float  # locked rotor of one motor
    soft_start_va: float  # the same with a soft starter
    surge_w: float  # what the main inverter gives for a few seconds, all units

    @property
    def total_va(self):
        """The rest and the start together."""
        return self.base_w + self.start_va

    @property
    def soft_total_va(self):
        """The same with a soft starter."""
        return self.base_w + self.soft_start_va

    @property
    def is_within(self):
        """Whether the surge covers it."""
        return self.total_va <= self.surge_w


def starts(plan, loads=None):
    """Every motor's start in its worst hour.

    loads (tuple of Load, optional) : If they are at hand.
    Gives tuple of Start: Hardest first; empty without motors.
    """
    loads = study.loads_of(plan) if loads is None else loads
    surge_w = plan.grid_former.all_units_surge_w if plan.grid_former else 0.0
    by_hour = study.together_w(loads)
    found = []
    for load in loads:
        if load.start_va <= 0.0:
            continue
        month, hour = max(_hours_of(load), key=lambda pair: by_hour[pair[0] - 1, pair[1]])
        base_w = float(by_hour[month - 1, hour]) - load.one_w
        found.append(
            Start(load.name, month, hour, base_w, load.start_va, load.soft_start_va, surge_w)
        )
    return tuple(sorted(found, key=lambda start: -start.total_va))


def _hours_of(load):
    return [(month, hour) for month in load.months for hour in range(24) if load.runs(month, hour)]


def hardest(plan, loads=None):
    """The hardest start of a plan, or one without a name if nothing has a motor.

    loads (tuple of Load, optional) : If they are at hand.
    Gives Start.
    """
    every = starts(plan, loads)
    if every:
        return every[0]
    busiest = study.busiest_hour(study.loads_of(plan) if loads is None else loads)
    surge_w = plan.grid_former.all_units_surge_w if plan.grid_former else 0.0
    return Start(None, busiest.month, busiest.hour, busiest.total_w, 0.0, 0.0, surge_w)


@dataclass(frozen=True)
class UnitLoss:
    """What is left when one of several units of the main inverter fails."""

    left_n: int
    # Units left that share a load evenly: in pairs, one for each leg, the weaker leg decides.
    alike_n: int
    # Of those that share it.
    continuous_w: float
    surge_w: float
    essential_w: float  # most that may run together at priority 1
    start_va: float  # hardest start of a load of priority 1 with the rest of priority 1 running
    start_name: str | None
    leg_is_dark: bool  # whether one 120 V leg, and with it everything at 240 V, stops
    stopped: tuple  # of str: 240 V loads of priority 1 that stop
    # Of str: all that needs both legs and stops: 240 V loads of any priority, then the PV
    # inverters.
    all_stopped: tuple
    # Biggest start of any motor that does not stop, alone.
    motor_name: str | None
    motor_va: float

    @property
    def carries_essential(self):
        """Whether the units left cover the essential load and its hardest start."""
        return (
            not self.stopped
            and self.essential_w <= self.continuous_w
            and self.start_va <= self.surge_w
        )


def one_unit_fails(plan, loads=None):
    """What the plan has left when one unit of its main inverter fails.

    loads (tuple of Load, optional) : If they are at hand.
    Gives UnitLoss or None: None without a main inverter.
    """
    former = plan.grid_former
    if former is None:
        return None
    left = former.units_n - 1
    loads = study.loads_of(plan) if loads is None else loads
    essential = [load for load in loads if load.priority_n == 1]
    by_leg = former.is_split and former.arrangement == "one per leg"
    dark = by_leg and former.units_n < 4  # three: the one that stands alone on its leg
    # Two pairs that lose one unit have one on a leg and two on the other: what needs both legs is
    # held to twice the weaker one.
    alike_n = 2 * (former.units_n // 2 - 1) if by_leg and not dark else left
    stopped = tuple(load.name for load in essential if load.supply_v > 150.0) if dark else ()
    running = [load for load in essential if load.name not in stopped]
    by_hour = study.together_w(running, 1)
    start_va, name = 0.0, None
    for load in running:
        if load.start_va <= 0.0:
            continue
        base_w = max(by_hour[month - 1, hour] - load.one_w for month, hour in _hours_of(load))
        if base_w + load.start_va > start_va:
            start_va, name = float(base_w + load.start_va), load.name
    all_stopped = ()
    if dark:
        followers = (*plan.converters, *machines_of(plan))
        all_stopped = tuple(load.name for load in loads if load.supply_v > 150.0)
        all_stopped += tuple(follower.name for follower in followers if follower.coupling == "ac")
    motors = [load for load in loads if load.start_va > 0.0 and load.name not in all_stopped]
    motor = max(motors, key=lambda motor: motor.start_va, default=None)
    return UnitLoss(
        left,
        alike_n,
        former.continuous_w * alike_n,
        former.surge_w * alike_n,
        float(by_hour.max()),
        start_va,
        name,
        dark,
        stopped,
        all_stopped,
        motor.name if motor else None,
        motor.start_va if motor else 0.0,
    )


# Shape of the picture: the rotor's current dies away over the start. Project choice for a drawing,
# no measurement: full locked-rotor current, then an exponential fall to the running current.
PICTURE_S = 3.0
RUN_UP_S = 0.6


def starting_picture(plan, points_n=121):
    """Volt-amperes over the seconds of the hardest start, for a drawing.

    Gives DataFrame: Indexed by second: across_line_va, soft_va, surge_w (the former's figure while
        it lasts, the continuous one after it). The heights are those of `hardest`; the fall between
        them is drawn, not measured.
    """
    start, former = hardest(plan), plan.grid_former
    load = next((load for load in study.loads_of(plan) if load.name == start.name), None)
    running_va = load.one_w if load else 0.0
    rows = []
    for number in range(points_n):
        second = number * PICTURE_S / (points_n - 1) - 0.5
        fall = math.exp(-max(second, 0.0) / RUN_UP_S)
        begun = second >= 0.0
        limit_w = former.all_units_w if former else 0.0
        if former and 0.0 <= second <= former.surge_s:
            limit_w = former.all_units_surge_w
        rows.append(
            {
                "second": second,
                "across_line_va": start.base_w
                + begun * (running_va + max(start.start_va - running_va, 0.0) * fall),
                "soft_va": start.base_w
                + begun * (running_va + max(start.soft_start_va - running_va, 0.0) * fall),
                "surge_w": limit_w,
            }
        )
    return pd.DataFrame(rows).set_index("second")
