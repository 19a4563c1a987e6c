"""What to change next, gathered for a reader: ideas, guesses and what to buy, of one plan.

The heavy work is done by `homestead.questions`; here stands how many weather years a reader waits
for, and which tables show the answer.
"""

from dataclasses import dataclass
from functools import cached_property

from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan import Plan
from homestead.questions.breakdowns import breakdowns
from homestead.questions.buying import Buying, buying
from homestead.questions.changes import NextSteps, next_steps
from homestead.questions.free_actions import free_actions
from homestead.questions.guesses import DRAWS_N, Sureness, ranged, sureness
from homestead.questions.hard_winters import hard_winters
from homestead.questions.phases import as_frame, stages
from homestead.questions.variants import InAll, Variants
from homestead.screen import next_tables, notes
from homestead.screen.escaping import say
from homestead.screen.readable import count_text, days_text, percent

QUICK_YEARS_N = 2
EXPECTED_EACH_N = 12  # variants worked for each idea and price, for the bar


@dataclass(frozen=True)
class Found:
    """Answers of one plan, and their tables.

    Attributes
    ----------
    plan : Plan
    years_n : int
        Weather years that sets of ideas, guesses and buying rest on.
    steps : NextSteps
        Each idea by itself, on all weather years.
    sets : NextSteps
        Ideas alone and together.
    sure : Sureness
    buying : Buying
    """

    plan: Plan
    years_n: int
    steps: NextSteps
    sets: NextSteps | None = None
    sure: Sureness | None = None
    buying: Buying | None = None

    @cached_property
    def free(self):
        """What costs nothing, on all weather years."""
        return free_actions(self.plan)

    @cached_property
    def broken(self):
        """Days with parts breaking at random."""
        return breakdowns(self.plan)

    @property
    def for_free(self):
        """What costs nothing, with the days it adds."""
        return notes.Sheet(next_tables.free_actions(self.free), "What costs nothing")

    @property
    def weather(self):
        """How many years the answers rest on, in words."""
        all_n, ideas_n = self.plan.site.years_n, len(self.plan.changes)
        cut = "" if self.sets.is_proven else " The search was cut: there may be a better set."
        tried = f" {self.sets.worked_n} combinations of the {ideas_n} ideas were tried.{cut}"
        ideas = tried if ideas_n > 1 else ""
        if self.years_n == all_n:
            return notes.Prose(f"Worked with all {all_n} weather years.{ideas}")
        return notes.Prose(
            f"To try many sets, the order, the pairs, the guesses and the buying use "
            f"{self.years_n} of the {all_n} weather years. With those, plan on "
            f"{self.sets.today.days['p10']} days today; compare their numbers with each other, "
            f"not with those from all years.{ideas}"
        )

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
        return notes.Sheets(
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
                self.sets, self.plan.currency
            )
        }
        if self.plan.phases:
            tables["The plan through the years"] = next_tables.stages(
                self.stages, self.plan.currency
            )
        return notes.Sheets(tables)

    @cached_property
    def stages(self):
        """The homestead after each phase of the plan."""
        return as_frame(stages(self.plan, self.years_n))

    @property
    def together(self):
        """Pairs that only help together."""
        return notes.Sheet(
            next_tables.together(self.sets, self.plan.currency), "Better together than one by one"
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
        return notes.Sheets(tables)

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
        f"{_listed([' with '.join(one.names) for one in effects])} each reach {days} days: there "
        f"{need} fails first, and more of the same would not help."
        for (days, need), effects in ends.items()
        if len(effects) > 1 and need != "none"
    ]


def _best_words(steps):
    if not steps.single:
        return []
    best = steps.best
    if best.gained["p10"] <= 0:
        return ["No idea, and no combination of them, adds days to plan on."]
    return [
        f"Most days come with {_listed(best.names)}: {days_text(best.days['p10'], HORIZON_DAYS)} "
        f"instead of {steps.today.days['p10']}."
    ]


def _listed(names):
    names = [f"“{one}”" for one in names]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def study(plan, years_n=QUICK_YEARS_N, progress=None, alone_years_n=None):
    """Work ideas, guesses and what to buy.

    plan (Plan)
    years_n : Weather years for sets of ideas, guesses and buying, at most the plan's own.
    alone_years_n (int, optional) : The same for each idea by itself, instead of the plan's own.
    progress (callable, optional) : Called with (variants done, variants expected in all); raise in
        it to cancel.
    Gives Found.

    Raises PlanError if a changed plan does not hold.
    """
    years_n = min(years_n, plan.site.years_n)
    ideas_n = len(plan.changes) + len(plan.prices)
    told = InAll(progress, 40 + EXPECTED_EACH_N * ideas_n + 2 * len(ranged(plan)) + DRAWS_N)
    alone_n = alone_years_n or plan.site.years_n
    sets = next_steps(plan, years_n=years_n, progress=told)
    if alone_n == years_n:
        steps = sets
    else:
        steps = next_steps(plan, years_n=alone_n, progress=told, each_alone=True)
    found = Found(
        plan=plan,
        years_n=years_n,
        steps=steps,
        sets=sets,
        sure=sureness(plan, variants=Variants(plan, years_n, progress=told)),
        buying=buying(plan, years_n=years_n, progress=told),
    )
    told.end()
    return found


def each_alone(plan, progress=None):
    """What the shared page says: each idea by itself, on all weather years; guesses are not drawn.

    Gives Found, without `sure` and `buying`.
    """
    steps = next_steps(plan, progress=progress, each_alone=True)
    return Found(plan=plan, years_n=plan.site.years_n, steps=steps)


def harder(plan):
    """Days with each spell of weather that is harder than the record, as a sheet with its basis."""
    found = hard_winters(plan)
    years = count_text(found.years_n, "year")
    return notes.Sheet(next_tables.hard_winters(found), f"Harder than the record, in {years}")


def band(plan, years_n=QUICK_YEARS_N):
    """How far the guesses of a plan move its headline, in words."""
    years_n = min(years_n, plan.site.years_n)
    sure = sureness(plan, variants=Variants(plan, years_n))
    if not sure.guesses:
        return notes.Prose(
            "The plan gives no range for any value, so nobody can say how sure it is."
        )
    low, _, high = sure.band_days
    return notes.Prose(
        say(
            "The plan holds {many} guesses. With each somewhere between its low and its high, "
            "plan on anything from **{low}** to **{high}**, 8 times in 10 (tried on {years}). "
            "The largest part of that, {share}, comes from “{label}”: "
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
