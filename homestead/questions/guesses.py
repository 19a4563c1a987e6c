"""How sure we are: what each guess of the plan, and all of them together, do to the days.

Every assumption that carries low and high is worked at both ends (the tornado), and all are drawn
together (Latin hypercube), each from a triangle between low, value and high. The share of the
spread that each explains comes from a regression on ranks, with what chance alone would explain
taken off, so that the shares never sum to more than all of it. The rest is what the guesses do only
together, what turns back on itself, and the steps of whole days.
"""

import inspect
from dataclasses import dataclass

import numpy as np

from homestead import units
from homestead.formulas.warmth import fuels
from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan import PlanError, with_changes
from homestead.plan.currency import price_text
from homestead.plan.schema import IDEAS
from homestead.questions.variants import HOMESTEAD, Variants
from homestead.shown import Shown
from homestead.vocabulary import NEEDS

DRAWS_N = 64
BAND = (10, 50, 90)
# How far beyond today's days draws are followed at first.
FAR_FRAC, FAR_DAYS = 1.2, 7

# How a family measures what a guess stands for, by the end of its path: with its own hands and no
# open cover, or through whoever may open it. Common practice, no source.
MEASURE = {
    "power": "Plug-in meter for a week, average while running. What is wired in: an electrician.",
    "daily_use": "Plug-in meter for a week: divide its energy by the power to get the hours.",
    "idle": "Read the display of the inverter or of the battery monitor at night, all loads off.",
    "yield": "Pump until the level is steady, then time a bucket of known size for an hour.",
    "static_level": "Ask for the driller's log, or have the pump installer measure it at rest.",
    "wire_to_water": "Have the pump installer read its power while you time a bucket.",
    "per_person": "Read the water meter morning and night for a week, or count a day's fills.",
    "air_changes_h": "A blower-door test; or a smoke pencil at windows, doors and hatches.",
    "efficiency": "Weigh the fuel you burn on a cold day and compare it with the plan.",
    "moisture": "Split a few logs and read a moisture meter on the fresh face.",
    "soiling": "Compare the converter's display on two like days, before and after a good rain.",
    "age_years": "Run it from full down to the reserve; the battery monitor shows what came out.",
    "energy": "Weigh the shelf and read the labels.",
    "mass": "Put it on a scale.",
    "harvest": "Weigh what comes in for one season.",
}
MEASURE_AMOUNT = {
    "cordwood": "Stack it and measure length, height and depth.",
    "pellets": "Count the bags.",
    "propane": "Read the tank's gauge, in per cent of the tank.",
}
MEASURE_ELSE = "Measure it, read its label, or ask who installed it."


@dataclass(frozen=True)
class Guess:
    """What one assumption does to the days."""

    path: str
    label: str
    # as shown to a reader
    low_text: str
    value_text: str
    high_text: str
    # days that 9 starts of 10 reach with this one at its low and at its high
    low_days: int
    high_days: int
    by_need: dict  # the same two of each need, which the need that fails first hides
    explained_frac: float  # share of the spread of the joint draw that it explains
    basis: str | None
    how_to_measure: str

    @property
    def swing_days(self):
        """Distance between the two ends."""
        return abs(self.high_days - self.low_days)


@dataclass(frozen=True, repr=False)
class Sureness(Shown):
    """The band around the headline and where it comes from."""

    need: str  # need or ``"homestead"``
    days: int  # days that 9 starts of 10 reach, as entered
    band_days: tuple[int, ...]  # the same over the joint draw: 10th, 50th and 90th percentile
    draws_days: np.ndarray  # int, shape (draws,)
    guesses: tuple[Guess, ...]  # most of the spread first: measure these first
    unexplained_frac: float = 0.0  # share of the spread that no guess explains by itself

    def shown(self):
        """The band, and the guesses that move the days most."""
        low, _, high = self.band_days
        title = f"{self.days} days; your guesses could make it {low} to {high}"
        return title, [
            (guess.label, f"{guess.low_days} to {guess.high_days} days; {guess.how_to_measure}")
            for guess in self.guesses
        ]


def ranged(plan):
    """Assumptions that carry both a low and a high, not the same; what an idea costs is none."""
    return [
        assumption
        for assumption in plan.assumptions
        if assumption.path.partition(".")[0] not in IDEAS
        and assumption.low is not None
        and assumption.high is not None
        and assumption.low < assumption.high
    ]


def sureness(plan, need="homestead", draws_n=DRAWS_N, variants=None, seed=0):
    """How far the guesses of a plan move its days.

    need (str) : Need or ``"homestead"``.
    draws_n : Joint draws, 8 or more.
    variants (Variants, optional) : To work them with; made from the plan by default.
    seed : Of the joint draw.
    Gives Sureness: With no guesses and a band of one value where the plan has no ranges.

    Raises ValueError if fewer than 8 draws are asked for, or the need is not known. PlanError If
        the plan does not hold at some value within its ranges.
    """
    if units.checked("draws_n", draws_n, 8, 100_000) % 1:
        raise ValueError(f"draws_n must be a whole number; got {draws_n!r}")
    if need not in ("homestead", *NEEDS):
        raise ValueError(f"need must be homestead or one of {', '.join(NEEDS)}; got {need!r}")
    variants = variants or Variants(plan)
    guesses = ranged(plan)
    joint = draw(guesses, draws_n, seed)
    at_ends = [({}, {})]
    for guess in guesses:
        ends = (guess.low, guess.high)
        at_ends += [({guess.path: as_typed(plan, guess, end)}, {}) for end in ends]
    questions = []
    for row, values in enumerate(joint):
        joint[row], sets = _that_holds(plan, guesses, values)
        questions.append((sets, {}))
    today, *ends = variants.of(at_ends, days_only=True)
    drawn = _reached(variants, questions, need, today.reached(need))
    shares = explained_frac(joint, drawn)
    found = [
        Guess(
            path=guess.path,
            label=guess.label,
            low_text=_shown(plan, guess, guess.low),
            value_text=_shown(plan, guess, guess.value),
            high_text=_shown(plan, guess, guess.high),
            low_days=ends[2 * number].reached(need),
            high_days=ends[2 * number + 1].reached(need),
            by_need={
                other: tuple(end.reached(other) for end in ends[2 * number : 2 * number + 2])
                for other in NEEDS
            },
            explained_frac=float(shares[number]),
            basis=guess.basis,
            how_to_measure=_how_to_measure(plan, guess.path),
        )
        for number, guess in enumerate(guesses)
    ]
    found.sort(key=lambda guess: (-guess.explained_frac, -guess.swing_days))
    return Sureness(
        need=need,
        days=today.reached(need),
        band_days=tuple(int(days) for days in np.percentile(drawn, BAND, method="lower")),
        draws_days=drawn,
        guesses=tuple(found),
        unexplained_frac=float(1.0 - shares.sum()) if np.ptp(drawn) else 0.0,
    )


def _reached(variants, questions, need, about_days):
    """Days that 9 starts of 10 reach in each draw, around those of today.

    Most draws lie near today's, so that starts need not be followed much longer; those that last
    are worked again to their end.
    """
    until = None
    if need == HOMESTEAD:
        until = min(round(about_days * FAR_FRAC) + FAR_DAYS, HORIZON_DAYS)
    drawn = np.array(
        [variant.reached(need) for variant in variants.of(questions, True, need, until)], dtype=int
    )
    if until is not None:
        again = np.flatnonzero((drawn >= until) & (until < HORIZON_DAYS))
        worked = variants.of([questions[n] for n in again], True, need)
        drawn[again] = [variant.reached(need) for variant in worked]
    return drawn


def _that_holds(plan, guesses, values):
    """A draw and what it sets; drawn towards the plan's own values until the rules allow it.

    Both ends of each range hold, but two values between them may rule each other out.
    """
    own = np.array([guess.value for guess in guesses], dtype=float)
    for share in (1.0, 0.5, 0.0):
        drawn = own + share * (values - own)
        sets = {
            guess.path: as_typed(plan, guess, value)
            for guess, value in zip(guesses, drawn, strict=True)
        }
        try:
            with_changes(plan.raw, sets, folder=plan.folder)
        except PlanError:
            continue
        return drawn, sets
    return own, {}


def _how_to_measure(plan, path):
    whole, _, entry = path.rpartition(".")
    if entry != "amount":
        return MEASURE.get(entry, MEASURE_ELSE)
    store = plan.fuel_named(whole.partition(".")[2])
    return MEASURE_AMOUNT.get(store.fuel if store else None, "Read the tank's gauge.")


def draw(guesses, draws_n, seed=0):
    """Joint draw over assumptions by Latin hypercube, array of shape (draws, assumptions).

    Each is a triangle from its low over its value to its high.
    """
    if not guesses:
        return np.empty((draws_n, 0))
    from scipy.stats import qmc, triang

    # Columns that hardly hang together: with few draws the shares would blur otherwise.
    sampler = qmc.LatinHypercube(
        len(guesses),
        optimization="random-cd" if len(guesses) > 1 else None,
        **_seeded(qmc.LatinHypercube, seed),
    )
    uniform = sampler.random(draws_n)
    low, value, high = (
        np.array([getattr(guess, end) for guess in guesses]) for end in ("low", "value", "high")
    )
    return triang.ppf(uniform, (value - low) / (high - low), low, high - low)


def _seeded(sampler, seed):
    """Argument that seeds a sampler: its name changed with scipy 1.15."""
    name = "rng" if "rng" in inspect.signature(sampler).parameters else "seed"
    return {name: np.random.default_rng(seed)}


def explained_frac(drawn, days):
    """Share of the spread of the days that each drawn input explains.

    drawn (float array of shape (draws, inputs))
    days (int array of shape (draws,))
    Gives float array of shape (inputs,): Zero or more, at most 1 together; about 1 where the days
        are a sum of what the inputs do each by itself. Zero where the days do not vary.

    Linear regression of the ranks of the days on the ranks of the inputs. Squared coefficients,
    less their own variance, share out the adjusted coefficient of determination: with few draws
    the plain squares sum to more than 1. With fewer than about two draws for each input, each
    squared rank correlation is taken by itself, less what chance gives it, 1 / (draws - 1).

    .. [1] A. Saltelli et al., "Global Sensitivity Analysis: The Primer", Wiley, 2008, ch. 1
       (standardised regression coefficients), from memory.
    """
    draws_n, inputs_n = drawn.shape
    if inputs_n == 0 or np.ptp(days) == 0:
        return np.zeros(inputs_n)
    from scipy.stats import rankdata

    ranks = np.apply_along_axis(rankdata, 0, drawn)
    ranks = (ranks - ranks.mean(axis=0)) / ranks.std(axis=0)
    answer = rankdata(days)
    answer = (answer - answer.mean()) / answer.std()
    free_n = draws_n - inputs_n - 1
    if free_n < inputs_n:
        squares = np.maximum((ranks.T @ answer / draws_n) ** 2 - 1.0 / (draws_n - 1), 0.0)
        return squares / max(float(squares.sum()), 1.0)
    coefficients, *_ = np.linalg.lstsq(ranks, answer, rcond=None)
    rest = float(((answer - ranks @ coefficients) ** 2).sum())
    variance = np.diag(np.linalg.pinv(ranks.T @ ranks)) * rest / free_n
    squares = np.maximum(coefficients**2 - variance, 0.0)
    adjusted_frac = max(1.0 - rest / draws_n * (draws_n - 1) / free_n, 0.0)
    return squares * adjusted_frac / max(float(squares.sum()), 1e-12)


def as_typed(plan, assumption, value):
    """Value inside -> what a person would type for that entry of the plan."""
    kind = assumption.kind
    if kind in ("number", "fraction"):
        return float(value)
    if kind == "count":
        return int(round(value))
    if kind == "money":
        return f"{value:.2f}"
    if kind == "amount":
        return f"{float(value)!r} {_amount_unit(plan, assumption)}"
    spelled = {"degC": "°C", "delta_degC": "°C", "A*h": "Ah"}
    unit = units.KINDS[kind][0]
    return f"{float(value)!r} {spelled.get(unit, unit)}"


def _amount_unit(plan, assumption):
    fuel = plan.fuel_named(assumption.path.split(".", 1)[1].rpartition(".")[0])
    return fuels.storage_unit(fuel.fuel)


def _shown(plan, assumption, value):
    kind = assumption.kind
    if kind == "amount":
        if _amount_unit(plan, assumption) == "kg":
            return units.show(value, "mass", plan.units)
        fuel = plan.fuel_named(assumption.path.split(".", 1)[1].rpartition(".")[0])
        if fuel.fuel == "cordwood":
            unit, spoken = ("cord", "cords") if plan.units == "us" else ("m^3", "m³ stacked")
            return f"{units.digits(units.convert_unit(value, 'm^3', unit))} {spoken}"
        return units.show(value, "volume", plan.units)
    if kind == "money":
        return price_text(value, plan.currency)
    if kind in units.KINDS:
        return units.show(value, kind, plan.units)
    return units.digits(value)
