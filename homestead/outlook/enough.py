"""How much is enough: the smallest store or source that reaches a number of days.

Sizes are tried on the simulation itself. Days need not grow with size at every step (thresholds of
shedding and generator can turn them), so the search looks at a curve of sizes first, then closes in
between the largest size that falls short and the next one, and says where the curve turns back.
"""

from dataclasses import dataclass

import numpy as np

from homestead.outlook.variants import Variants

CURVE_N = 9
LARGEST = 8.0  # largest size tried, as a multiple of today's
CLOSE_FRAC = 0.02


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
        As multiples of today's size.
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


def sized(plan, what):
    """Function from a multiple of today's size to (sets, adds, typed), and whether it is counted.

    Parameters
    ----------
    plan : Plan
    what : str
        ``"battery"``, ``"cistern"``, ``"pantry"``, ``"array NAME"`` or ``"fuel NAME"``.

    Raises
    ------
    ValueError
        If the plan has no such part; the message lists what can be sized.
    """
    kind, _, name = what.partition(" ")
    if what == "battery" and plan.battery:
        return lambda k: _counted("battery.modules", plan.battery.modules_n, k)
    if kind == "array" and any(one.name == name for one in plan.arrays):
        array = next(one for one in plan.arrays if one.name == name)
        return lambda k: _array(array, k)
    if what == "cistern" and plan.cistern:
        return lambda k: _volume("cistern.volume", plan.cistern.volume_m3, k)
    if kind == "fuel" and plan.fuel_named(name):
        fuel = plan.fuel_named(name)
        unit = "kg" if fuel.fuel == "pellets" else "m^3"
        return lambda k: _fuel(fuel, unit, k)
    if what == "pantry" and plan.pantry:
        return lambda k: _pantry(plan, k)
    raise ValueError(f"what must be one of {', '.join(sizable(plan))}; got {what!r}")


def sizable(plan):
    """Names of what can be sized in a plan."""
    names = [what for what in ("battery", "cistern", "pantry") if getattr(plan, what)]
    names += [f"array {one.name}" for one in plan.arrays]
    return names + [f"fuel {one.name}" for one in plan.fuels]


def _counted(path, today_n, k):
    count = max(round(today_n * k), 1)
    return {path: count}, {}, count


def _array(array, k):
    """The converter grows with the array: the question is about sun, not about clipping."""
    count = max(round(array.strings_n * array.modules_per_string_n * k), 1)
    share = count / (array.strings_n * array.modules_per_string_n)
    sets = {
        # How the modules are strung does not matter to the energy.
        f"array.{array.name}.strings": count,
        f"array.{array.name}.modules_per_string": 1,
        f"array.{array.name}.converter": f"{array.converter_w * share!r} W",
    }
    return sets, {}, f"{count} modules"


def _volume(path, today_m3, k):
    typed = f"{today_m3 * k!r} m^3"
    return {path: typed}, {}, typed


def _fuel(fuel, unit, k):
    typed = f"{fuel.amount * k!r} {unit}"
    sets = {f"fuel.{fuel.name}.amount": typed}
    if fuel.tank_m3:
        sets[f"fuel.{fuel.name}.tank"] = f"{fuel.tank_m3 * max(k, 1.0)!r} m^3"
    return sets, {}, typed


def _pantry(plan, k):
    from homestead.outlook.constants import pantry_kcal

    typed = f"{pantry_kcal(plan) * k!r} kcal"
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
    from homestead.units import checked

    checked("days", days, 1, 365)
    checked("reliability_frac", reliability_frac, 0.5, 0.99)
    variants = variants or Variants(plan)
    size = sized(plan, what)
    percent = 100.0 * (1.0 - reliability_frac)
    found = {}

    def work(multiples):
        new = [one for one in multiples if one not in found]
        answers = variants.of([size(one)[:2] for one in new])
        found.update(
            (one, answer.reached(need, percent)) for one, answer in zip(new, answers, strict=True)
        )

    work([round(float(one), 4) for one in np.geomspace(1.0 / LARGEST, LARGEST, CURVE_N)])
    smallest = None
    if any(reached >= days for reached in found.values()):
        smallest = min(one for one, reached in found.items() if reached >= days)
        below = max((one for one in found if one < smallest), default=None)
        while below is not None and (smallest - below) / smallest > CLOSE_FRAC:
            middle = round((below + smallest) / 2, 4)
            if size(middle)[2] in (size(below)[2], size(smallest)[2]):
                break  # whole modules: there is nothing in between
            work([middle])
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
    )


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
