"""What a change in a form does: some figures at once, those over all starts a moment later.

An `Effect` takes a plan and returns label to text, which the form sets beside what stood there
before the change. The figures are those of the tables; nothing is computed in another way here.
At once means one weather year with deliveries; the days of independence need every start date of
every weather year.
"""

import threading
from collections import OrderedDict
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from homestead import units
from homestead.findings.gather import findings_of
from homestead.outlook.independence import HORIZON_DAYS, Outlook, independence_days
from homestead.outlook.ledger import year_of
from homestead.screen import tables
from homestead.screen.quick import Series, months_html
from homestead.screen.readable import days_text, head, percent
from homestead.simulate import constants
from homestead.simulate.inputs import hours_of, weather_named
from homestead.trades.food import study_days as food_days
from homestead.trades.food import study_food as food_study
from homestead.vocabulary import MONTHS

KEPT_N = 8  # an undo then needs no new run


class _Kept:
    """Results of the last few plans; one plan is worked once, whoever asks meanwhile."""

    def __init__(self, work):
        self._work, self._lock, self._found = work, threading.RLock(), OrderedDict()

    def __call__(self, plan, progress=None):
        key = (plan.model_dump_json(), str(plan.folder), _modified(plan))
        with self._lock:
            if key not in self._found:
                self._found[key] = self._work(plan, progress)
                while len(self._found) > KEPT_N:
                    self._found.popitem(last=False)
            self._found.move_to_end(key)
            return self._found[key]


def _modified(plan):
    """When the plan's weather file changed last; 0 for a built-in place."""
    try:
        path = Path(plan.folder or "", plan.site.weather)
        return path.stat().st_mtime_ns if path.is_file() else 0
    except (OSError, ValueError):
        return 0


@lru_cache(maxsize=2)
def _weather(name, folder, modified_ns):
    return weather_named(name, folder)


def _hours_of(plan, years_n=None):
    return hours_of(plan, years_n, _weather(plan.site.weather, plan.folder, _modified(plan)))


def _one_year(plan, progress=None):
    hours = _hours_of(plan, 1)
    return Outlook(plan, hours, None, HORIZON_DAYS, year_of(hours))


def _starts(plan, progress=None):
    hours = _hours_of(plan)
    return Outlook(plan, hours, independence_days(hours, progress), HORIZON_DAYS, None)


def _whole(plan, progress=None):
    found = starts_of(plan, progress)
    return Outlook(
        plan,
        found.hours,
        found.days,
        HORIZON_DAYS,
        year_of(found.hours),
        findings_of(plan, found.hours),
    )


# The first of the plan's weather years with deliveries: no days of independence in it.
one_year_of = _Kept(_one_year)
# Days over all starts, without the year and without the checks.
starts_of = _Kept(_starts)
_outlook = _Kept(_whole)


def outlook_of(plan):
    """Full outlook of a plan, kept for the next time that the same plan is asked for."""
    return _outlook(plan)


@dataclass(frozen=True)
class Effect:
    """What a change does.

    Attributes
    ----------
    at_once, later : callable or None
        Take a plan, return label to text; `later` also takes ``progress``, in which a caller may
        raise to give up.
    picture : callable or None
        Takes a plan, returns a figure as HTML; as quick as `at_once`.
    """

    later: object
    at_once: object = None
    picture: object = None

    def __call__(self, plan):
        """All figures together."""
        first = self.at_once(plan) if self.at_once else {}
        return {**first, **self.later(plan)}


def _days(plan, progress=None):
    """Days of independence of each need and of the homestead, at the worst start."""
    outlook = starts_of(plan, progress)
    rows = {**outlook.needs, "homestead": outlook.homestead}
    return {
        f"Days of {name}, worst start": days_text(spread.least, outlook.horizon_days)
        for name, spread in rows.items()
    }


def _days_of(plan, need, progress=None):
    outlook = starts_of(plan, progress)
    limit = outlook.horizon_days
    spread = outlook.needs[need]
    return {
        f"Days of {need}, worst start": days_text(spread.least, limit),
        f"Days of {need} to plan on": days_text(spread.p10, limit),
        "Days of the homestead, worst start": days_text(outlook.homestead.least, limit),
    }


def _people(plan):
    """People and animals in figures: what they eat and drink."""
    least_m3 = one_year_of(plan).hours.days.water_least_m3.mean()
    return {
        "People": len(plan.people),
        "Food need": units.show(constants.need_kcal_day(plan), "food_energy") + " a day",
        "Least water, people and animals": units.show(least_m3, "volume", plan.units) + " a day",
    }


def _first_year(plan):
    """Which weather the figures at once rest on."""
    known_n = len(_weather(plan.site.weather, plan.folder, _modified(plan)).year_labels)
    years = plan.site.years_n if known_n == 1 else min(plan.site.years_n, known_n)  # drawn, or real
    return "the one weather year" if years == 1 else f"first of {years} weather years"


def _power(plan):
    """Electricity of one year: what the sun offers, what is short, what the engine must give."""
    year = one_year_of(plan).year
    totals, monthly = year.totals, tables.energy_by_month(one_year_of(plan))
    sun = monthly["Sun offered (kWh/day)"].to_numpy()
    low = int(sun.argmin())
    which = _first_year(plan)
    return {
        "Sunless days, usable battery": units.digits(year.sunless_days["usable"], 2),
        f"Least sun in a month, {which}": f"{sun[low]} kWh a day ({MONTHS[low]})",
        f"Sun offered, {which}": f"{units.digits(totals['pv_kwh'])} kWh",
        f"Used, {which}": f"{units.digits(totals['used_kwh'])} kWh",
        f"Asked for but not served, {which}": f"{units.digits(totals['unserved_kwh'])} kWh",
        f"Generator runs, {which}": f"{units.digits(totals['generator_h'], 2)} h",
    }


def _power_picture(plan):
    table = tables.energy_by_month(one_year_of(plan))
    short = sum(table[f"{one} short (kWh/day)"] for one in ("Essential", "Useful", "Comfort"))
    return months_html(
        f"Sun and use on a mean day of each month, {_first_year(plan)}",
        "kWh a day",
        [
            Series("used", table["Used in the house (kWh/day)"].to_numpy(), "power"),
            Series("not served", short.to_numpy(), "none", "open"),
        ],
        Series("sun offered", table["Sun offered (kWh/day)"].to_numpy(), "homestead"),
    )


def _water(plan):
    """Water: what is stored and how long it lasts, with power and without."""
    stores = tables.water_stores(plan, one_year_of(plan), plan.units)
    without = stores.loc["all, without power"]
    volume = stores.columns[0]
    return {
        f"Stored and reached without power: {volume.lower()}": f"{without[volume]:,}",
        "Days of water without power, usual use": without["Days at usual use"],
        "Days of water without power, the least": without["Days at the least"],
    }


def _water_picture(plan):
    table = tables.water_by_month(one_year_of(plan), plan.units)
    house, garden, pumped = (
        table[head(label, "volume", plan.units, "day")].to_numpy()
        for label in ("People and animals", "Garden", "Pumped from the well")
    )
    return months_html(
        f"Water on a mean day of each month, {_first_year(plan)}",
        f"{units.shown_unit('volume', plan.units)} a day",
        [Series("people and animals", house, "water"), Series("garden", garden, "food", "lines")],
        Series("well gives", pumped, "homestead"),
    )


def _warmth(plan):
    """Warmth: what the house loses, how long the fuel lasts in one year's winter."""
    loss = units.show(constants.heat_loss_w_k(plan), "heat_loss", plan.units)
    stores = tables.fuel_stores(one_year_of(plan), plan.units)
    lasting = {
        f"{name} lasts at winter's pace (days)": row["Lasts at winter's pace (days)"]
        for name, row in stores.iterrows()
    }
    return {"House loses": loss, **lasting}


def _warmth_picture(plan):
    table = tables.heat_by_month(one_year_of(plan), plan.units)
    return months_html(
        f"Heat on a mean day of each month, {_first_year(plan)}",
        "kWh a day",
        [
            Series("heaters give", table["Heaters give (kWh/day)"].to_numpy(), "warmth", "lines"),
            Series(
                "sun, people, appliances",
                table["Sun, people, appliances (kWh/day)"].to_numpy(),
                "power",
            ),
        ],
    )


def _warmth_later(plan, progress=None):
    outlook = starts_of(plan, progress)
    pipes = outlook.spread(outlook.days_of("pipes"))
    limit = units.show(plan.failure.pipes_below_c, "temperature", plan.units)
    return {
        **_days_of(plan, "warmth", progress),
        f"Starts in which rooms with pipes stay above {limit}": percent(pipes.reaches_horizon_frac),
    }


def _food(plan):
    """Food by the calendar: what the stores alone feed, how long energy and protein last."""
    run = food_days.food_days(plan)
    alone, limit = food_study.stores_alone(plan)["days_at_need"], run.horizon_days
    return {
        "Pantry alone feeds all (days)": units.digits(alone["pantry"], 2),
        "Freezer alone feeds all (days)": units.digits(alone["freezer"], 2),
        "Energy lasts, power and garden water there (days)": days_text(
            int(run.energy_days.min()), limit
        ),
        "Protein lasts so (days)": days_text(int(run.protein_days.min()), limit),
    }


def _later(need):
    return lambda plan, progress=None: _days_of(plan, need, progress)


days = Effect(_days)
place = Effect(_days, _people)
power = Effect(_later("power"), _power, _power_picture)
water = Effect(_later("water"), _water, _water_picture)
warmth = Effect(_warmth_later, _warmth, _warmth_picture)
food = Effect(_later("food"), _food)
