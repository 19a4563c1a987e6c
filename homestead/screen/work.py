"""The work of a day in words and a table."""

import numpy as np

from homestead.outlook.work import ILL_DAYS, TASKS
from homestead.screen.readable import rounded, table_of
from homestead.vocabulary import FULL_MONTHS

NOT_COUNTED = "Child care, repairs and night watch aren't counted."


def table(work):
    """Hours a day by month and task, those asked and those had; tasks that nobody has left out."""
    done = [task for task in TASKS if work.by_month[task].max() >= 0.05]
    columns = {f"{task} (h)": rounded(work.by_month[task].to_numpy(), 1) for task in done}
    return table_of(
        {
            "Month": FULL_MONTHS,
            "Needed (h a day)": rounded(work.asked_h, 1),
            "You have (h)": rounded(np.full(12, work.had_h), 1),
            **columns,
        }
    )


def words(work, named=True):
    """What a day asks of the people, when it can't be done, and what if one of them lies in bed.

    named (bool) : Whether to call the one in bed by name.
    """
    hardest = int(np.argmax(work.asked_h))
    asked = f"The chores take {work.asked_h[hardest]:.0f} h a day in {FULL_MONTHS[hardest]}"
    said = [f"{asked}, the hardest month, and you have {work.had_h:.0f} h between you."]
    short = np.flatnonzero(work.short_frac > 0)
    if len(short):
        months = ", ".join(FULL_MONTHS[month] for month in short)
        said.append(f"There's more work than hands on some days of {months}.")
    if work.first_short is not None:
        said.append(f"In the worst case, that first happens on day {work.first_short + 1}.")
    said += [*_ill_words(work, named), NOT_COUNTED]
    return " ".join(said)


def _ill_words(work, named):
    if not work.ill:
        return []
    hard = [person for person in work.ill if person.short_h > 0.05]
    weeks = ILL_DAYS // 7
    if not hard:
        return [f"With any one grown-up in bed for {weeks} weeks, the others can still do it."]
    worst = hard[0]
    who = worst.name if named else "one grown-up"
    return [
        f"With {who} in bed for {weeks} weeks, the others are {worst.short_h:.0f} h a day "
        f"short in {FULL_MONTHS[worst.month_n - 1]}: decide now what you'd leave undone."
    ]
