"""What to change next, gathered for a reader: ideas, guesses and what to buy, of one plan.

The heavy work is done by `homestead.questions`; here stands how many weather years a reader waits
for, and which tables show the answer.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from threading import Event

from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan import Plan
from homestead.questions.breakdowns import spares
from homestead.questions.buying import buying
from homestead.questions.changes import next_steps
from homestead.questions.free_actions import free_actions
from homestead.questions.guesses import sureness
from homestead.questions.hard_winters import hard_winters
from homestead.questions.parts_out import parts_out
from homestead.questions.phases import stages
from homestead.questions.variants import Variants
from homestead.questions.waiting import GivenUp
from homestead.screen import kept, next_tables, notes
from homestead.screen.escaping import say
from homestead.screen.readable import beside_breakdowns, count_text, days_words, percent


@dataclass(frozen=True)
class NextSteps:
    """Answers of one plan, and their tables; each is worked when it is first shown."""

    plan: Plan
    years_n: int  # weather years that all of it rests on
    # called with (done, expected in all) meanwhile; raises to cancel
    progress: Callable | None = None
    sets_too: bool = True  # whether ideas are worked together too, and not only each by itself

    @cached_property
    def steps(self):
        """Ideas alone and together."""
        alone = not self.sets_too
        return next_steps(self.plan, None, self.years_n, None, self.progress, each_alone=alone)

    @cached_property
    def sure(self):
        """What the guesses do."""
        return sureness(self.plan, variants=self._variants)

    @cached_property
    def buying(self):
        """The cheapest mix for the days wanted."""
        return buying(self.plan, years_n=self.years_n, progress=self.progress)

    @cached_property
    def free(self):
        """What costs nothing."""
        return free_actions(self.plan, variants=self._variants)

    @cached_property
    def broken(self):
        """Days with parts breaking at random."""
        return kept.broken_of(self.plan, self.years_n, self.progress)

    @cached_property
    def _parts(self):
        return parts_out(self.plan, variants=self._variants)

    @property
    def parts(self):
        """Each part out, how often parts break, and what each spare would add."""
        worth = spares(self.plan, self.years_n, progress=self.progress)
        shelf = {
            "What a spare would add": next_tables.spares(worth, self.plan.currency),
            "How often parts break": next_tables.rates(self.broken, self.plan),
        }
        return self._sheets({"Without one part": next_tables.parts_out(self._parts), **shelf})

    @property
    def _variants(self):
        return Variants(self.plan, self.years_n, progress=self.progress)

    def _sheets(self, tables):
        return notes.Sheets(
            {
                name: beside_breakdowns(table, self.plan, self.years_n)
                for name, table in tables.items()
            }
        )

    @property
    def for_free(self):
        """What costs nothing, with the days it adds."""
        table = next_tables.free_actions(self.free)
        return notes.Sheet(beside_breakdowns(table, self.plan, self.years_n), "What costs nothing")

    @property
    def weather(self):
        """How many years the answers rest on, in words."""
        all_n, ideas_n = self.plan.site.years_n, len(self.plan.changes)
        cut = " We stopped the search early: there may be a better set."
        cut = "" if self.steps.is_proven else cut
        tried = f" {self.steps.worked_n} combinations of the {ideas_n} ideas tried.{cut}"
        ideas = tried if ideas_n > 1 else ""
        years = f"all {all_n}" if self.years_n == all_n else f"{self.years_n} of the {all_n}"
        return notes.Prose(f"Tried on {years} weather years.{ideas}")

    @property
    def said(self):
        """What comes out of the ideas, in a few sentences."""
        return notes.Prose(self.said_text)

    @property
    def said_text(self):
        """The same as plain text."""
        return " ".join([*_ceilings(self.steps), *_best_words(self.steps)])

    @property
    def changes(self):
        """What each idea does, and by season."""
        return self._sheets(
            {
                "What each idea does by itself": next_tables.changes(
                    self.steps, self.plan.currency
                ),
                "Days to plan on, by season": next_tables.by_season(self.steps),
            }
        )

    @property
    def order(self):
        """The best next step, and the years ahead where the plan has phases."""
        tables = {
            "Best next step, then the best after that": next_tables.order(
                self.steps, self.plan.currency
            )
        }
        if self.plan.phases:
            tables["The plan through the years"] = next_tables.stages(
                self.stages, self.plan.currency
            )
        return self._sheets(tables)

    @cached_property
    def stages(self):
        """The homestead after each phase of the plan."""
        return stages(self.plan, self.years_n)

    @property
    def together(self):
        """Pairs that only help together."""
        return notes.Sheet(
            next_tables.together(self.steps, self.plan.currency), "Better together than one by one"
        )

    @property
    def guesses(self):
        """Which guess to measure first."""
        return notes.Sheet(next_tables.guesses(self.sure), "Measure these first")

    @property
    def mixes(self):
        """The cheapest mix for the days wanted, and the years to it where the plan has money."""
        tables = {"The cheapest mix, and its runner-up": next_tables.mixes(self.buying)}
        if self.buying.by_year:
            tables["Year by year"] = next_tables.buying_years(self.buying)
        return self._sheets(tables)

    @property
    def mix_said(self):
        """The cheapest mix in words."""
        return notes.Prose(say("{words}", words=next_tables.mix_words(self.buying)))


def _ceilings(steps):
    """Ideas that all end at the same days, for the same reason."""
    ends = {}
    for effect in steps.single:
        if effect.gained["p10"] > 0:
            ends.setdefault((effect.days["p10"], effect.first_to_fail), []).append(effect)
    return [
        f"{_listed([' with '.join(effect.names) for effect in effects])} each reach {days} days: "
        f"then {need} fails first, and more of the same won't help."
        for (days, need), effects in ends.items()
        if len(effects) > 1 and need != "none"
    ]


def _best_words(steps):
    if not steps.single:
        return []
    best = steps.best
    if best.gained["p10"] <= 0:
        return ["No idea, and no set of them, adds days to plan on."]
    return [
        f"Most days come with {_listed(best.names)}: {days_words(best.days['p10'], HORIZON_DAYS)} "
        f"instead of {steps.today.days['p10']}."
    ]


def _listed(names):
    names = [f"“{name}”" for name in names]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def study(plan, years_n=None, progress=None):
    """Ideas, guesses and what to buy, all on the same weather years.

    years_n (int, optional) : At most the plan's own number, which is the default.
    progress (callable, optional) : Called with (done, expected in all) while something is worked;
        raise in it to cancel.
    Gives NextSteps: What it shows raises PlanError if a changed plan does not hold.
    """
    return NextSteps(plan, min(years_n or plan.site.years_n, plan.site.years_n), progress)


def each_alone(outlook, progress=None):
    """What the shared page says: each idea by itself; ideas are not worked together."""
    found = NextSteps(outlook.plan, outlook.hours.years_n, progress, sets_too=False)
    for _ in (found.steps, found.free, found.broken):
        pass  # worked here, where the bar is
    return found


@contextmanager
def each_alone_beside(outlook, progress=None):
    """Future of `each_alone`, worked beside what stands inside, and given up with it."""
    is_over = Event()

    def goes_on(done, total):
        if is_over.is_set():
            raise GivenUp
        if progress:
            progress(done, total)

    with ThreadPoolExecutor(1) as beside:
        try:
            yield beside.submit(each_alone, outlook, goes_on)
        except BaseException:
            is_over.set()
            raise


def harder(plan):
    """Days with each spell of weather that is harder than the record, as a sheet with its basis."""
    found = hard_winters(plan)
    years = count_text(found.years_n, "year")
    return notes.Sheet(next_tables.hard_winters(found), f"Harder than the record, in {years}")


def band(plan, years_n=None, progress=None):
    """How far the guesses of a plan move its headline, in words."""
    found = study(plan, years_n, progress)
    sure, years_n = found.sure, found.years_n
    if not sure.guesses:
        return notes.Prose("Your plan has no ranges yet, so we can't say how sure it is.")
    low, _, high = sure.band_days
    return notes.Prose(
        say(
            "{many} of your numbers are guesses. The real answer is probably somewhere between "
            "**{low}** and **{high}** (tried on {years}). "
            "Most of that doubt, {share}, comes from “{label}”: "
            "[8. What to change next](08_what_to_change_next.ipynb) says what to measure first.",
            years=count_text(years_n, "weather year"),
            many=len(sure.guesses),
            low=_than(low - sure.days),
            high=_than(high - sure.days),
            share=percent(sure.guesses[0].explained_frac),
            label=sure.guesses[0].label,
        )
    )


def _than(more_days):
    days_n = round(more_days)
    if not days_n:
        return "no change"
    return f"{count_text(abs(days_n), 'day')} {'more' if days_n > 0 else 'fewer'}"
