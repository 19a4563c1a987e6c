"""Days of independence: every start date of the year in every weather year.

Owns the run over all starts, the year with deliveries, and the figures drawn from both. A run is
cut into pieces, one weather year each, so that any executor can carry it.
"""

import os
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from homestead import disk_cache
from homestead.findings.finding import found
from homestead.findings.gather import findings_of
from homestead.outlook import metered
from homestead.outlook.ledger import year_of
from homestead.outlook.studies import Studies, kept
from homestead.outlook.work import work_of
from homestead.plan import Plan, demo_path, open_plan
from homestead.shown import Shown
from homestead.simulate import kernel
from homestead.simulate.food import fed_only
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY, Hours, hours_of
from homestead.simulate.kernel.compile import is_kept, keeps_code
from homestead.simulate.records import Days, State
from homestead.simulate.trace import trace_of
from homestead.vocabulary import MONTHS, NEEDS, OUTCOMES, SEVERITIES

HORIZON_DAYS = 365
YEARS_EACH_N = 5  # years of starts worked in one go: those of neighboring years share their days
RESAMPLED_N = 400


@dataclass(frozen=True)
class Spread:
    """Days of independence over all starts."""

    # whole days that 9 starts in 10, half of them, 1 in 10 and all of them reach
    p10: int
    p50: int
    p90: int
    least: int
    worst_start: str  # month and day of the (first) start with the least, ``"MM-DD"``
    reaches_horizon_frac: float  # share of starts that never fail within the horizon


@dataclass(frozen=True, repr=False)
class Outlook(Shown):
    """What a plan can carry, over all starts and weather years."""

    plan: Plan
    hours: Hours  # inputs of the coupled hour, for whoever wants to look closer
    # int, shape (years, 365, 2 * outcomes + 1); days until each outcome of `OUTCOMES` comes for
    # good, then days until the first bad day of each, the horizon if it does not come; last what
    # ended food, of `FOOD_ENDS`, or -1
    days: np.ndarray
    horizon_days: int = HORIZON_DAYS
    # what was found out about this run since
    studies: Studies = field(default_factory=Studies, init=False, compare=False)

    @property
    @kept
    def year(self):
        """`Year`, an average one with deliveries: energy, water, fuel, balances."""
        return year_of(self.hours)

    @property
    @kept
    def findings(self):
        """What the checks of the plan found, tuple of `Finding`."""
        return all_findings(self.hours, self.year)

    def shown(self):
        """Days it lasts, together and by need."""
        title = f"{self.plan.name}: {self.homestead.p10} days in 9 winters of 10"
        lines = [("half of them", f"{self.homestead.p50} days")]
        worst = f"{self.homestead.least} days, from {self.homestead.worst_start}"
        lines.append(("worst case", worst))
        lines += [(need, f"{self.needs[need].p10} days") for need in NEEDS]
        return title, lines

    @property
    def starts_n(self):
        """How many starts were tried."""
        return self.days.shape[0] * self.days.shape[1]

    def days_of(self, need):
        """Days of one need (or ``"pipes"``), int array of shape (years, 365)."""
        return self.days[:, :, OUTCOMES.index(need)]

    @property
    def food_ends(self):
        """What ended food, by number in `FOOD_ENDS`, -1 for nothing; shape (years, 365)."""
        return self.days[:, :, 2 * len(OUTCOMES)]

    def first_bad_of(self, need):
        """Days until the first bad night or day of a need, int array of shape (years, 365)."""
        return self.days[:, :, len(OUTCOMES) + OUTCOMES.index(need)]

    @cached_property
    def first_bad(self):
        """`Spread` of the days until the first bad night or day of each need."""
        return {need: self.spread(self.first_bad_of(need)) for need in NEEDS}

    @cached_property
    def first_bad_together(self):
        """`Spread` of the days until the first bad night or day of any need that counts."""
        counted = [self.first_bad_of(need) for need in self.plan.failure.counts]
        return self.spread(np.min(counted, axis=0))

    @cached_property
    def together(self):
        """Days of the homestead: the fewest over the needs that count, shape (years, 365)."""
        return np.min([self.days_of(need) for need in self.plan.failure.counts], axis=0)

    @cached_property
    def needs(self):
        """`Spread` of each need."""
        return {need: self.spread(self.days_of(need)) for need in NEEDS}

    @cached_property
    def homestead(self):
        """`Spread` of all counted needs together."""
        return self.spread(self.together)

    def spread(self, days):
        """Figures over an array of days of shape (years, 365)."""
        low, middle, high = np.percentile(days, (10, 50, 90), method="lower")
        year, start = np.unravel_index(np.argmin(days), days.shape)
        return Spread(
            int(low),
            int(middle),
            int(high),
            int(days[year, start]),
            day_text(start),
            float((days >= self.horizon_days).mean()),
        )

    @cached_property
    def first_to_fail(self):
        """Share of starts in which each need fails first; needs that tie share the start."""
        counted = self.plan.failure.counts
        days = np.stack([self.days_of(need) for need in counted])
        first = (days == self.together) & (self.together < self.horizon_days)
        ties = np.maximum(first.sum(axis=0), 1)
        shares = dict.fromkeys(NEEDS, 0.0)
        for need, firsts in zip(counted, first, strict=True):
            shares[need] = float((firsts / ties).mean())
        shares["none"] = float((self.together >= self.horizon_days).mean())
        return shares

    @cached_property
    def by_month(self):
        """`Spread` of the homestead's days by the month of the start, January first."""
        return tuple(self.spread_of_month(self.together, month) for month in range(1, 13))

    def spread_of_month(self, days, month):
        """Figures over the starts of one month, from an array of shape (years, 365)."""
        chosen = np.flatnonzero(month == MONTH_OF_DAY)
        part = self.spread(days[:, chosen])
        at = np.unravel_index(np.argmin(days[:, chosen]), (len(days), len(chosen)))[1]
        return Spread(
            part.p10,
            part.p50,
            part.p90,
            part.least,
            day_text(chosen[at]),
            part.reaches_horizon_frac,
        )

    @property
    @kept
    def cutting_back(self):
        """`Outlook` of the same plan with all needs cut back from the first day."""
        spare = self.plan.cutting_back.model_copy(update={"is_on": True})
        plan = self.plan.model_copy(update={"cutting_back": spare})
        return remembered(plan, self.hours.years_n)

    @cached_property
    def chance(self):
        """How far another set of such years would move the days to plan on, (low, high).

        The 5th and 95th percentile over sets of as many years drawn from these with replacement
        (B. Efron and R. J. Tibshirani, "An Introduction to the Bootstrap", 1993).
        """
        generator = np.random.default_rng(0)
        years_n, starts_n = self.together.shape
        chosen = generator.integers(0, years_n, (RESAMPLED_N, years_n))
        # Starts of each year that last so many days or fewer: a set of years adds them up.
        last_n = np.stack([np.bincount(one, minlength=HORIZON_DAYS + 1) for one in self.together])
        times_n = (chosen[:, :, None] == np.arange(years_n)).sum(axis=1)
        within_n = times_n.astype(float) @ last_n.cumsum(axis=1)
        p10 = np.argmax(within_n > (years_n * starts_n - 1) // 10, axis=1)
        low, high = np.percentile(p10, (5, 95), method="nearest")
        return int(low), int(high)

    @cached_property
    def worst_by_year(self):
        """Fewest days of each weather year's start dates, int array of shape (years,)."""
        return self.together.min(axis=1)

    def worst_year_in(self, years_n):
        """Fewest days in all but one of so many years."""
        share = 100.0 / years_n
        return int(np.percentile(self.worst_by_year, share, method="lower"))

    @property
    @kept
    def work(self):
        """`Work` that isolation asks of the people."""
        return work_of(self)

    def first_days(self, year, day, days_n):
        """`Trace` of the first days of a start, by weather year and day of the year, from 0."""
        return _to_the_horizon(self, year, day).first(days_n)

    @property
    def worst(self):
        """Weather year and day of the year (both from 0) of the worst case."""
        year, start = np.unravel_index(np.argmin(self.together), self.together.shape)
        return int(year), int(start)


@kept
def _to_the_horizon(outlook, year, day):
    return trace_of(outlook.hours, year * DAYS_N + day, outlook.horizon_days)


def day_text(day):
    """Month and day of a day of the year counted from 0.

    >>> day_text(0), day_text(364)
    ('01-01', '12-31')
    """
    month = MONTH_OF_DAY[day]
    return f"{month:02d}-{day - int(np.argmax(month == MONTH_OF_DAY)) + 1:02d}"


def run(plan, years_n=None, progress=None, executor=None, hours=None):
    """Days of independence of a plan.

    years_n (int, optional) : Weather years to try, instead of the plan's own number.
    progress (callable, optional) : Called with (years done, years in all) as the run goes on;
        raise in it to cancel.
    executor (concurrent.futures.Executor, optional) : Carries the pieces; by default threads of
        this computer.
    hours (Hours, optional) : Inputs already computed for this plan.
    Gives Outlook.

    Raises PlanError if the weather of the plan cannot be read.
    """
    hours = hours or hours_of(plan, years_n)
    return Outlook(plan, hours, independence_days(hours, progress, executor))


def remembered(plan, years_n=None, progress=None):
    """Outlook of a plan, its days from disk if a process before this one worked them."""
    hours = hours_of(plan, years_n)
    key = disk_cache.key_of(plan, hours.years_n, "days")
    known = disk_cache.load_arrays(key, "days")
    if known is not None:
        return Outlook(plan, hours, known["days"].astype(np.int32))
    days = independence_days(hours, progress)
    disk_cache.keep_arrays(key, None, days=days.astype(np.int16))
    return Outlook(plan, hours, days)


def all_findings(hours, year=None):
    """Findings of the checks, after what the year with deliveries shows; a tuple of Finding."""
    year = year_of(hours) if year is None else year
    checked = sorted(
        (*metered.findings_of(hours.plan, year.monthly), *findings_of(hours.plan, hours)),
        key=lambda finding: SEVERITIES.index(finding.severity),
    )
    return (*dark_years(hours, year), *checked)


def dark_years(hours, year):
    """Finding that the house goes dark in years when all is delivered, in a tuple; empty if not."""
    if not year.dark:
        return ()
    first_year, first_day, _ = min(year.dark, key=lambda dark: (dark[1], dark[0]))
    dark_n, years_n, is_only = len(year.dark), hours.years_n, hours.years_n == 1
    stays_n = sum(stays for *_, stays in year.dark)
    stays_dark, date, weather_year = stays_n > 0, _date_text(first_day), first_year + 1
    return (
        found(
            "inverters.dark years: power in an ordinary year",
            "danger",
            "Even with fuel and food delivered, the house goes dark for a day or more in {is_only:"
            "the one weather year|{dark_n} of {years_n} weather years}, at the earliest on {date} "
            "(weather year {weather_year}).{stays_dark: In {stays_n} of them it is still dark when "
            "the year ends. Once the battery is empty the inverter sleeps, and AC-coupled sun "
            "can't wake it. Three ways out: a string that charges the battery directly "
            "(DC-coupled), a small charger or generator, or switching things off before the "
            "battery is empty.|}",
            "Your plan hour by hour, each year starting the way its own December ends",
            locals(),
        ),
    )


def _date_text(day):
    month, of_month = day_text(day).split("-")
    return f"{MONTHS[int(month) - 1]} {int(of_month)}"


def independence_days(hours, progress=None, executor=None):
    """Days of every start, int array of shape (years, 365, 2 * outcomes + 1)."""
    if executor is not None:
        # Another process or machine is sent what one year of starts needs and nothing else.
        shared = shared_arguments(hours)
        pieces = [arguments_of_year(hours, year, shared) for year in range(hours.years_n)]
        return np.stack(_carried(executor, days_of_starts, pieces, [1] * len(pieces), progress))
    shared = shared_arguments(hours)
    cores_n = os.cpu_count() or 1
    with ThreadPoolExecutor(cores_n) as threads:
        stretches = stretches_of(hours.years_n, -(-hours.years_n // (2 * cores_n)))
        pieces = [(hours, *stretch, shared) for stretch in stretches]
        years_n = [many_n for _, many_n in stretches]
        return np.concatenate(_carried(threads, years_of_starts, pieces, years_n, progress))


def _carried(executor, work, pieces, years_n, progress):
    waiting: dict = {}
    try:
        waiting |= {
            executor.submit(work, *piece): many_n
            for piece, many_n in zip(pieces, years_n, strict=True)
        }
        done_n = 0
        for piece in as_completed(waiting):
            done_n += waiting[piece]
            if progress:
                progress(done_n, sum(years_n))
    except BaseException:
        for piece in waiting:
            piece.cancel()
        raise
    return [piece.result() for piece in waiting]


def is_prepared():
    """Whether what an outlook needs has been compiled before, and whether it can be kept at all."""
    return is_kept("starts", "run_starts"), keeps_code()


def prepare():
    """Compile what an outlook needs, which takes a while the first time on a computer."""
    hours = hours_of(open_plan(demo_path()), years_n=1)
    one_year_of_starts(hours, 0)
    all_findings(hours, year_of(hours))


def one_year_of_starts(hours, year, shared=None):
    """All starts of one weather year, int array of shape (365, 2 * outcomes + 1)."""
    return years_of_starts(hours, year, 1, shared)[0]


def stretches_of(years_n, each_n=YEARS_EACH_N):
    """First year and number of years of each stretch that is worked in one go."""
    each_n = min(each_n, YEARS_EACH_N)
    return [(first, min(each_n, years_n - first)) for first in range(0, years_n, each_n)]


def years_of_starts(hours, year, years_n, shared=None, horizon_n=HORIZON_DAYS):
    """All starts of some years one after the other, int array (years, 365, 2 * outcomes + 1)."""
    shared = shared or shared_arguments(hours)
    first_day, starts_n = year * DAYS_N, years_n * DAYS_N
    days = days_of_starts(first_day, horizon_n, hours.rows, hours.days, *shared, starts_n=starts_n)
    return days.reshape(years_n, DAYS_N, -1)


def arguments_of_year(hours, year, shared=None):
    """Arguments of `days_of_starts` for one weather year: its own days and those that follow it.

    Plain arrays and numbers, about 2 MB, so that any executor can send them.
    """
    days_n = min(DAYS_N + HORIZON_DAYS, hours.years_n * DAYS_N)
    after = np.arange(year * DAYS_N, year * DAYS_N + days_n) % (hours.years_n * DAYS_N)
    columns = hours.rows.T  # each by itself in memory, as `hours_of` lays them
    columns = columns.reshape(len(columns), -1, 24)[:, after].reshape(len(columns), -1)
    return (
        0,
        HORIZON_DAYS,
        columns.T,
        Days(*(day[after] for day in hours.days)),
        *(shared or shared_arguments(hours)),
    )


def shared_arguments(hours, first_only=False):
    """Arguments of `days_of_starts` that are the same for every weather year.

    With `first_only` a start ends with the first counted need that fails: the homestead's days
    are right, those of needs that would have failed later are not looked for.
    """
    counted = hours.plan.failure.counts if first_only else ()
    return (
        hours.fixed,
        hours.capacity_by_c,
        hours.start,
        hours.larder,
        hours.fuel_start_wh,
        generator_full_wh(hours),
        same_state(hours),
        hours.window_n,
        sum(1 << NEEDS.index(need) for need in counted),
    )


def days_of_starts(first_day, horizon_n, rows, days, *shared, starts_n=DAYS_N):
    """Days until each outcome for the starts from a day on, by plain arrays and numbers."""
    fixed, by_c, start, larder, *rest = shared
    days, larder = fed_only(days, larder)
    shared = (fixed, by_c, start, larder, *rest)
    return kernel.run_starts(first_day, starts_n, horizon_n, rows, days, *shared)


def generator_full_wh(hours):
    """Fuel that the generator takes in an hour at full load, in the air that lets it most."""
    fixed = hours.fixed
    return fixed.no_load_fuel_w + fixed.fuel_per_w * float(hours.column("generator_w").max())


def same_state(hours):
    """Differences below which two states count as the same, array of shape (fields,)."""
    fixed = hours.fixed
    sizes = {
        "battery_wh": fixed.battery_wh,
        "casing_m3": fixed.casing_m3,
        "tank_m3": fixed.tank_m3,
        "cistern_m3": fixed.cistern_m3,
        "inside_c": 100.0,
        "hot_wh": fixed.hot_tank_wh,
    }
    return np.array([kernel.SAME_FRAC * sizes.get(name, 0.0) for name in State._fields])
