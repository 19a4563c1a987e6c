"""Guesses: the joint band and the tornado against cases by hand, shares that add up."""

import re

import numpy as np
import pytest
from scipy import stats
from small_plans import FIRST_BAD_DAY, SMALLEST, appliance, plan_of

from homestead import disk_cache, units
from homestead.plan import demo_path, open_plan, with_changes
from homestead.questions.guesses import (
    MEASURE,
    MEASURE_AMOUNT,
    MEASURE_ELSE,
    as_typed,
    draw,
    explained_frac,
    ranged,
    sureness,
)
from homestead.simulate.inputs import hours_of

FOOD = {"failure": FIRST_BAD_DAY | {"counts": ["food"]}}


@pytest.fixture(autouse=True)
def no_cache(monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")


def between(low, value, high):
    return {"value": low if value is None else value, "low": low, "high": high}


def shelf(low, value, high, name="shelf"):
    ends = between(*(f"{one} kcal" for one in (low, value, high)))
    return {"name": name, "energy": ends}


def food_days(energy_kcal, need_kcal):
    """Days of a pantry by hand.

    With energy for q days, day k (from 0) ends with min(q, k + 1) days eaten; before isolation the
    family ate its fill. The 7 days that end with day k lack k + 1 - q days of food, and food fails
    when they lack more than a fifth of 7, so on the first k above q + 0.4.
    """
    return np.floor(np.asarray(energy_kcal) / need_kcal + 0.4).astype(int) + 1


@pytest.fixture(scope="module")
def need_kcal():
    return hours_of(plan_of(SMALLEST), 1).fixed.need_kcal


def test_the_joint_band_of_a_pantry_is_that_of_its_triangle(need_kcal):
    low, value, high = 20_000, 90_000, 200_000
    sure = sureness(plan_of(SMALLEST | FOOD | {"pantry": [shelf(low, value, high)]}), draws_n=64)
    triangle = stats.triang((value - low) / (high - low), low, high - low)
    assert sure.days == food_days(value, need_kcal)
    # A Latin hypercube has one draw in each 64th, and the band takes the 7th, 32nd and 57th.
    for band, place in zip(sure.band_days, (6, 31, 56), strict=True):
        ends = food_days(triangle.ppf([place / 64, (place + 1) / 64]), need_kcal)
        assert ends[0] <= band <= ends[1]
    assert sure.draws_days.shape == (64,)
    # The mean of the triangle, three ends over three, to a tenth of the spread of 64 draws.
    assert sure.draws_days.mean() == pytest.approx(
        (low + value + high) / 3 / need_kcal + 0.9, abs=0.5
    )


def test_the_joint_band_of_two_shelves_is_that_of_their_sum(need_kcal):
    ends = (10_000, 30_000, 60_000), (5_000, 60_000, 100_000)
    shelves = [shelf(*one, name=f"shelf {n}") for n, one in enumerate(ends)]
    sure = sureness(plan_of(SMALLEST | FOOD | {"pantry": shelves}), draws_n=256)
    # The sum of two triangles on a fine grid of both, by their own chances.
    chance = (np.arange(1000) + 0.5) / 1000
    one, other = (
        stats.triang((value - low) / (high - low), low, high - low).ppf(chance)
        for low, value, high in ends
    )
    total = food_days(np.sort((one[:, None] + other).ravel()), need_kcal)
    for band, percent in zip(sure.band_days, (10, 50, 90), strict=True):
        # 256 draws place a quantile within 1.63 / 16 by chance 99 in 100 (Kolmogorov; from memory).
        around = np.percentile(total, np.clip([percent - 10.2, percent + 10.2], 0, 100))
        assert around[0] <= band <= around[1]
    assert sum(one.explained_frac for one in sure.guesses) == pytest.approx(1.0, abs=0.05)
    # Shares of a sum are as the variances of its terms.
    variances = [stats.triang((v - a) / (b - a), a, b - a).var() for a, v, b in ends]
    found = {one.path: one.explained_frac for one in sure.guesses}
    assert found["pantry.shelf 1.energy"] == pytest.approx(variances[1] / sum(variances), abs=0.07)
    assert sure.guesses[0].path == "pantry.shelf 1.energy"


def test_the_ends_of_the_tornado_by_hand(need_kcal):
    plan = plan_of(SMALLEST | FOOD | {"pantry": [shelf(20_000, 90_000, 200_000)]})
    (guess,) = sureness(plan, draws_n=8).guesses
    assert guess.low_days == food_days(20_000, need_kcal)
    assert guess.high_days == food_days(200_000, need_kcal)
    assert guess.swing_days == guess.high_days - guess.low_days
    assert (guess.low_text, guess.high_text) == ("20,000 kcal", "200,000 kcal")
    assert "Weigh" in guess.how_to_measure
    assert guess.explained_frac > 0.9


def test_generator_fuel_by_hand():
    """100 W from an engine that burns 4 W of propane for each watt."""
    raw = SMALLEST | {
        "appliance": [appliance("light", 100, 24, 1)],
        "generator": {
            "rated": "2 kW", "store": "gas", "no_load_fuel": "0 W", "full_load_fuel": "8 kW",
            "daily_limit": "24 h",
        },
        "fuel": [
            {"name": "gas", "fuel": "propane", "amount": between("10 L", "15 L", "30 L"),
             "reserve": 0.0}
        ],
        "failure": FIRST_BAD_DAY | {"counts": ["power"]},
    }  # fmt: skip
    sure = sureness(plan_of(raw), "power", draws_n=8)
    # Propane, 91,452 Btu a gallon (U.S. EIA, Units and Calculators; from memory).
    wh_per_l = units.parse("91452 Btu", "energy") / units.convert_unit(1.0, "gal", "L")

    def days(liters):  # dark for more than 4 h: a last day counts once 20 h of it are lit
        return int((liters * wh_per_l / 400.0 + 4.0) // 24)

    assert sure.days == days(15)
    assert (sure.guesses[0].low_days, sure.guesses[0].high_days) == (days(10), days(30))
    assert "gauge" in sure.guesses[0].how_to_measure


def test_a_plan_without_ranges_has_no_guesses_and_a_band_of_one_value():
    sure = sureness(plan_of(SMALLEST | FOOD), draws_n=8)
    assert sure.guesses == ()
    assert set(sure.band_days) == {sure.days}
    assert sure.unexplained_frac == 0.0


def test_a_guess_that_does_nothing_explains_nothing():
    plan = plan_of(
        SMALLEST
        | FOOD
        | {"pantry": [shelf(20_000, 90_000, 200_000)]}
        | {"water_use": {"per_person": between("40 L", "60 L", "90 L")}}
    )
    first, other = sureness(plan, draws_n=64).guesses
    assert (first.path, other.path) == ("pantry.shelf.energy", "water_use.per_person")
    assert other.swing_days == 0
    assert other.explained_frac < 0.02


@pytest.mark.parametrize("few", [7, 7.5, np.nan])
def test_too_few_draws_are_refused(few):
    with pytest.raises(ValueError, match="draws_n"):
        sureness(plan_of(SMALLEST), draws_n=few)


def test_an_unknown_need_is_refused():
    with pytest.raises(ValueError, match="need must be"):
        sureness(plan_of(SMALLEST), need="hope", draws_n=8)


# --- shares -----------------------------------------------------------------------------------


def some_draws(draws_n, inputs_n, seed):
    return stats.qmc.LatinHypercube(inputs_n, seed=seed).random(draws_n)


def test_shares_of_a_sum_are_its_variances_and_add_up_to_all():
    drawn = some_draws(512, 4, 3)
    weights = np.array([4.0, 2.0, 1.0, 0.0])
    shares = explained_frac(drawn, drawn @ weights)
    # Of uniform inputs the variances are as the squared weights; ranks bend a sum a little.
    assert shares == pytest.approx(weights**2 / (weights**2).sum(), abs=0.03)
    assert shares.sum() == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("draws_n", [8, 12, 16, 24, 64])
def test_shares_never_pass_all_of_it_with_few_draws(draws_n):
    for seed in range(20):
        drawn = some_draws(draws_n, 11, seed)
        days = np.floor(30 * drawn[:, 0] + 10 * drawn[:, 1])
        shares = explained_frac(drawn, days)
        assert (shares >= 0).all()
        assert shares.sum() <= 1.0 + 1e-9
    assert explained_frac(drawn, days).argmax() == 0


def test_noise_explains_little_of_anything():
    found = [
        explained_frac(some_draws(64, 11, seed), np.random.default_rng(seed).normal(size=64)).sum()
        for seed in range(40)
    ]
    # Plain squared coefficients would sum to about 11 / 64 on average.
    assert np.mean(found) < 0.1


def test_what_inputs_do_only_together_is_left_unexplained():
    drawn = some_draws(256, 2, 1)
    both = (drawn[:, 0] - 0.5) * (drawn[:, 1] - 0.5)
    assert explained_frac(drawn, both).sum() < 0.1
    assert (explained_frac(drawn, np.full(256, 7)) == 0).all()


# --- the draw, and back to text ---------------------------------------------------------------


def test_the_draw_keeps_within_the_ranges_and_repeats():
    guesses = ranged(open_plan(demo_path()))
    drawn = draw(guesses, 64, seed=2)
    assert drawn.shape == (64, len(guesses)) and len(guesses) >= 8
    for column, guess in zip(drawn.T, guesses, strict=True):
        assert guess.low <= column.min() and column.max() <= guess.high
    assert np.array_equal(drawn, draw(guesses, 64, seed=2))
    assert not np.array_equal(drawn, draw(guesses, 64, seed=3))
    # Hardly any two columns hang together, or their shares would blur.
    correlation = np.corrcoef(drawn.T) - np.eye(len(guesses))
    assert np.abs(correlation).max() < 0.35


def test_a_value_typed_back_is_read_as_the_same_value():
    plan = open_plan(demo_path())
    for guess in ranged(plan):
        for end in (guess.low, guess.high):
            typed = {guess.path: {"value": as_typed(plan, guess, end)}}
            changed = with_changes(plan.raw, typed)
            same = next(one for one in changed.assumptions if one.path == guess.path)
            assert same.value == pytest.approx(end, rel=1e-12)


def test_no_measurement_opens_a_cover_or_climbs_a_roof():
    told = " ".join([*MEASURE.values(), *MEASURE_AMOUNT.values(), MEASURE_ELSE]).lower()
    assert not re.search("clamp|cable|wire|open|roof|string", told.replace("wired in: an elec", ""))
