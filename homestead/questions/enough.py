"""How much is enough: the smallest store or source that reaches a number of days.

Sizes are tried on the simulation itself. Days need not grow with size at every step (thresholds of
shedding and generator can turn them), so the search looks at a curve of sizes first, then closes in
between the largest size that falls short and the next one, and says where the curve turns back.
"""

from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np

from homestead import units
from homestead.plan import PlanError, with_changes
from homestead.questions.variants import Variants
from homestead.simulate import constants
from homestead.vocabulary import NEEDS

CURVE_N = 9
LARGEST = 8.0  # largest size tried, as a multiple of today's
LEAST = 1.0 / 500.0  # smallest
CLOSE_FRAC = 0.02  # of what can have any size: how far below it the next smaller one may lie


@dataclass(frozen=True)
class Enough:
    """The curve of days against size, and the smallest size that does.

    Attributes
    ----------
    what : str
        What is sized.
    need : str
    days : int
        Days wanted.
    reliability_frac : float
        Share of starts that must reach them.
    sizes : float array of shape (n,)
        As multiples of today's size; sizes that a plan may not have are left out.
    reached_days : int array of shape (n,)
        Days that the wanted share of starts reaches at each size.
    smallest : float or None
        Smallest size found that reaches the days, as a multiple of today's; None if none does.
    typed : str or float or None
        What to write in the plan for it.
    knee : float
        Size beyond which more adds little.
    turns_back : bool
        Whether a larger size ever reaches fewer days.
    today : float
        Today's size, in pieces (battery modules, modules of an array), m³, kg or kcal.
    """

    what: str
    need: str
    days: int
    reliability_frac: float
    sizes: np.ndarray
    reached_days: np.ndarray
    smallest: float | None
    typed: object
    knee: float
    turns_back: bool
    today: float = float("nan")


class Size(NamedTuple):
    """How to change the size of one part.

    Attributes
    ----------
    today : float
        Size as entered, in whole pieces or in the unit inside.
    step : int or None
        Pieces come in multiples of this; None for what can have any size.
    question : callable
        From a size to (sets, adds, typed).
    """

    today: float
    step: int | None
    question: object

    def snapped(self, multiple):
        """Nearest size that can be had, as a multiple of today's."""
        if self.step is None:
            return round(multiple, 4)
        return max(round(self.today * multiple / self.step), 1) * self.step / self.today

    def __call__(self, multiple):
        """Return (sets, adds, typed) at a multiple of today's size."""
        size = self.today * multiple
        return self.question(size if self.step is None else round(size))

    def between(self, low, high):
        """A size in the middle of two, or None if there is none or the two are close enough."""
        if self.step is None:
            close = high - low <= max(CLOSE_FRAC * high, 2e-4)
            return None if close else round((low + high) / 2, 4)
        low_n, high_n = (round(self.today * one / self.step) for one in (low, high))
        return None if high_n - low_n <= 1 else (low_n + high_n) // 2 * self.step / self.today


def sized(plan, what):
    """How to change the size of one part of a plan.

    Parameters
    ----------
    plan : Plan
    what : str
        ``"battery"``, ``"cistern"``, ``"pantry"``, ``"array NAME"`` or ``"fuel NAME"``.

    Returns
    -------
    Size

    Raises
    ------
    ValueError
        If the plan has no such part, or none of it yet; the message lists what can be sized.
    """
    kind, _, name = what.partition(" ")
    size = None
    if what == "battery" and plan.battery:
        bank = plan.battery
        size = Size(bank.modules_n, bank.series_n, partial(_counted, "battery.modules"))
    elif kind == "array" and any(one.name == name for one in plan.arrays):
        array = next(one for one in plan.arrays if one.name == name)
        size = Size(array.strings_n * array.modules_per_string_n, 1, partial(_array, array))
    elif what == "cistern" and plan.cistern:
        size = Size(plan.cistern.volume_m3, None, _cistern)
    elif kind == "fuel" and plan.fuel_named(name):
        fuel = plan.fuel_named(name)
        size = Size(fuel.amount, None, partial(_fuel, fuel))
    elif what == "pantry" and plan.pantry:
        size = Size(constants.pantry_kcal(plan), None, partial(_pantry, plan))
    if size is None or size.today <= 0:
        raise ValueError(f"what must be one of {', '.join(sizable(plan))}; got {what!r}")
    return size


def sizable(plan):
    """Names of what can be sized in a plan."""
    names = [what for what in ("battery", "cistern") if getattr(plan, what)]
    names += ["pantry"] if plan.pantry and constants.pantry_kcal(plan) > 0 else []
    names += [f"array {one.name}" for one in plan.arrays]
    return names + [f"fuel {one.name}" for one in plan.fuels if one.amount > 0]


def _counted(path, count):
    return {path: count}, {}, count


def _array(array, count):
    """The converter grows with the array: the question is about sun, not about clipping."""
    share = count / (array.strings_n * array.modules_per_string_n)
    sets = {
        # How the modules are strung does not matter to the energy.
        f"array.{array.name}.strings": count,
        f"array.{array.name}.modules_per_string": 1,
        f"array.{array.name}.converter": f"{array.converter_w * share!r} W",
    }
    return sets, {}, f"{count} modules"


def _cistern(size_m3):
    typed = f"{size_m3!r} m^3"
    return {"cistern.volume": typed}, {}, typed


def _fuel(fuel, amount):
    typed = f"{amount!r} {'kg' if fuel.fuel == 'pellets' else 'm^3'}"
    sets = {f"fuel.{fuel.name}.amount": typed}
    if fuel.tank_m3 and amount > fuel.amount:
        sets[f"fuel.{fuel.name}.tank"] = f"{fuel.tank_m3 * amount / fuel.amount!r} m^3"
    return sets, {}, typed


def _pantry(plan, energy_kcal):
    typed = f"{energy_kcal!r} kcal"
    sets = {f"pantry.{one.name}.{key}": None for one in plan.pantry for key in ("mass", "food")}
    sets |= {f"pantry.{one.name}.energy": "0 kcal" for one in plan.pantry}
    sets[f"pantry.{plan.pantry[0].name}.energy"] = typed
    return sets, {}, typed


def enough(plan, what, days, need="homestead", reliability_frac=0.9, variants=None):
    """Smallest size of one part that lets a share of the starts reach a number of days.

    Parameters
    ----------
    plan : Plan
    what : str
        As for `sized`.
    days : int
        Days wanted, 1 to 365.
    need : str
        Need or ``"homestead"``.
    reliability_frac : float
        Share of starts that must reach them, 0.5 to 0.99.
    variants : Variants, optional

    Returns
    -------
    Enough

    Raises
    ------
    ValueError
        If an argument is out of range or the part is not in the plan.
    """
    units.checked("days", days, 1, 365)
    units.checked("reliability_frac", reliability_frac, 0.5, 0.99)
    if need not in ("homestead", *NEEDS):
        raise ValueError(f"need must be homestead or one of {', '.join(NEEDS)}; got {need!r}")
    variants = variants or Variants(plan)
    size = sized(plan, what)
    percent = 100.0 * (1.0 - reliability_frac)
    found = {}

    def work(multiples):
        new = [
            one for one in dict.fromkeys(multiples) if one not in found and _holds(plan, size, one)
        ]
        answers = variants.of([size(one)[:2] for one in new], days_only=True, need=need)
        found.update(
            (one, answer.reached(need, percent)) for one, answer in zip(new, answers, strict=True)
        )
        return bool(new)

    work([size.snapped(float(one)) for one in np.geomspace(1.0 / LARGEST, LARGEST, CURVE_N)])
    smallest = None
    if any(reached >= days for reached in found.values()):
        smallest = min(one for one, reached in found.items() if reached >= days)
        while smallest == min(found) and smallest > LEAST:
            if not work([size.snapped(smallest / 4.0)]):
                break
            smallest = min(one for one, reached in found.items() if reached >= days)
        below = max((one for one in found if one < smallest), default=None)
        while below is not None and (middle := size.between(below, smallest)) is not None:
            if not work([middle]):
                break
            if found[middle] >= days:
                smallest = middle
            else:
                below = middle
    sizes = np.array(sorted(found))
    reached = np.array([found[one] for one in sizes])
    return Enough(
        what=what,
        need=need,
        days=int(days),
        reliability_frac=reliability_frac,
        sizes=sizes,
        reached_days=reached,
        smallest=smallest,
        typed=None if smallest is None else size(smallest)[2],
        knee=float(sizes[knee_of(sizes, reached)]),
        turns_back=bool(np.any(np.diff(reached) < 0)),
        today=size.today,
    )


def _holds(plan, size, multiple):
    """Whether the plan may have that size at all: limits of the schema, rules between parts."""
    try:
        with_changes(plan.raw, *size(multiple)[:2], folder=plan.folder)
    except PlanError:
        return False
    return True


def knee_of(sizes, reached):
    """Position of the point farthest above the line between the ends of a rising curve.

    References
    ----------
    .. [1] V. Satopaa et al., "Finding a Kneedle in a Haystack", ICDCS Workshops, 2011: the
       distance to the chord of the curve scaled to the unit square; from memory.
    """
    x = (sizes - sizes[0]) / max(float(np.ptp(sizes)), 1e-12)
    y = (reached - reached[0]) / max(float(np.ptp(reached)), 1e-12)
    return int(np.argmax(y - x))
