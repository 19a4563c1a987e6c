"""Meter and gauge readings laid over the plan's own prediction.

A reading is compared with the average day of its calendar month, over all weather years of the
plan in
a year with deliveries; one cloudy day says little, a month says much. A correction is offered as an
entry to type and never applied. What cannot be a reading is listed with its reason, left out.
"""

import calendar
import csv
import io
import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from homestead import units
from homestead.plan import PlanError
from homestead.plan.fields import nearest
from homestead.questions.corrections import correction
from homestead.simulate import fuel_stores
from homestead.simulate.inputs import DAYS_N, MONTH_OF_DAY
from homestead.simulate.sources import kept_of
from homestead.simulate.trace import years_with_deliveries

MONTH_N = len("2026-11")
HEADER = ("date", "what", "value", "unit")
LARGEST_BYTES = 5_000_000
EARLIEST = date(1950, 1, 1)
# What may be read: (kind of unit, an example of one, how a day's reading is taken).
WHAT = {
    "sun": ("energy", "kWh", "the day's energy by the meter of the arrays or their converters"),
    "house use": ("energy", "kWh", "the day's energy out of the inverter or at the panel"),
    "pump": ("energy", "kWh", "the day's energy of the well and booster pump"),
    "generator hours": ("time", "h", "the day's hours by its counter"),
    "generator fuel": ("volume", "gal", "what it burned that day"),
    "propane used": ("volume", "gal", "the day's fall of the gauge, all users together"),
    "wood used": ("volume", "cord", "what was carried in that day"),
    "pellets used": ("mass", "lb", "what was poured into the hopper that day"),
    "fuel oil used": ("volume", "gal", "the day's fall of the gauge, all users together"),
    "water used": ("volume", "gal", "the day's water of house and animals, not the garden's"),
    "rain caught": ("volume", "gal", "what ran into the cistern that day"),
    "inside temperature": ("temperature", "°F", "the day's average in the main rooms"),
    "battery lowest": ("fraction", "%", "the day's lowest state of charge"),
}
BURNED = {
    "propane used": "propane",
    "wood used": "cordwood",
    "pellets used": "pellets",
    "fuel oil used": "fuel oil",
}
BEYOND = 1000  # so many times the plan's largest day is no reading; project choice
MEANS = ("inside temperature", "battery lowest")  # a month's reading is a mean, not a sum


@dataclass(frozen=True)
class Refused:
    """A line that cannot be a reading."""

    line_n: int  # line of the file, the header being 1
    text: str
    reason: str


@dataclass(frozen=True)
class Readings:
    """Readings beside the prediction."""

    # one row a reading: line_n, date (text, day or month), month_n, days_n, what, kind, value,
    # predicted, low, high. Values in the unit inside of their kind; low and high are the 10th and
    # 90th percentile of the predicted days (or months) of that calendar month.
    table: pd.DataFrame
    # one row for each what and calendar month: what, kind, month_n, days_n, value, predicted, bias,
    # bias_frac. Of a day: bias is value less predicted.
    by_month: pd.DataFrame
    corrections: tuple  # of Correction
    refused: tuple[Refused, ...]


def read(path, today=None):
    """Readings of a CSV file with the columns date, what, value, unit.

    path (str or Path)
    today (date, optional) : Readings after it are refused; the computer's own day by default.
    Gives (DataFrame, tuple of Refused): Columns line_n, date, month_n, days_n, what, kind, value.

    Raises PlanError if the file cannot be read, or is not such a table at all.
    """
    path = Path(path)
    rows = csv.reader(io.StringIO(_text(path), newline=""), strict=True)
    kept, refused, met = [], [], {}
    columns = None
    try:
        for row in rows:
            if not row or not "".join(row).strip() or row[0].lstrip().startswith("#"):
                continue
            if columns is None:
                columns = _columns(row, path)
                continue
            try:
                reading = _reading(row, columns, today or date.today())
                first = met.setdefault((reading["date"], reading["what"]), rows.line_num)
                if first != rows.line_num:
                    raise ValueError(f"was read before, in line {first}")
                kept.append({"line_n": rows.line_num, **reading})
            except ValueError as error:
                refused.append(Refused(rows.line_num, ",".join(row)[:120], str(error)))
    except csv.Error as error:
        raise PlanError(
            f"{path.name} line {rows.line_num}: is not a CSV table ({error})"
        ) from error
    if columns is None:
        raise PlanError(f"{path.name}: is empty; its first line must be {','.join(HEADER)}")
    for daily in [day for day in kept if (day["date"][:MONTH_N], day["what"]) in met]:
        if len(daily["date"]) > MONTH_N:  # a day of a month that was read as a whole
            whole_n = met[daily["date"][:MONTH_N], daily["what"]]
            said = f"{daily['date']},{daily['what']}"
            why = f"is in the month's own reading, in line {whole_n}, and counts once"
            refused.append(Refused(daily["line_n"], said, why))
            kept.remove(daily)
    names = ["line_n", "date", "month_n", "days_n", "what", "kind", "value"]
    return pd.DataFrame(kept, columns=names), tuple(refused)


def _text(path):
    try:
        content = path.read_bytes() if path.stat().st_size <= LARGEST_BYTES else None
    except OSError as error:
        raise PlanError(f"{path}: cannot be read ({error.strerror})") from error
    if content is None:
        raise PlanError(f"{path.name}: is larger than 5 MB, which no table of readings is")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise PlanError(f"{path.name}: is not UTF-8 text (byte {error.start})") from error


def _columns(row, path):
    names = [name.strip().lower() for name in row]
    missing = [name for name in HEADER if name not in names]
    if missing and ";" in "".join(row):
        raise PlanError(f"{path.name}: its columns are parted by semicolons; save it with commas")
    if missing:
        raise PlanError(
            f"{path.name} line 1: must name the columns {', '.join(HEADER)}; "
            f"missing: {', '.join(missing)}"
        )
    return {name: names.index(name) for name in HEADER}


def _reading(row, columns, today):
    if len(row) <= max(columns.values()):
        raise ValueError(f"has {len(row)} columns, too few")
    when, what, value, unit = (row[columns[name]].strip() for name in HEADER)
    first, last = _days(when)
    if not EARLIEST <= first:
        raise ValueError(f"is before {EARLIEST.year}")
    if last > today:
        raise ValueError(f"is ahead of today, {today.isoformat()}")
    what = what.lower()
    if what not in WHAT:
        near = nearest(what, list(WHAT)) or WHAT
        raise ValueError(f"what must be one of {', '.join(near)}; got {units.quoted(what)}")
    kind, example, _ = WHAT[what]
    try:
        number = float(value)
    except ValueError:
        raise ValueError(f"value must be a number; got {units.quoted(value)}") from None
    try:
        inside = units.parse(f"{number!r} {unit}", kind)
    except ValueError:
        raise ValueError(
            f"unit must be one of {kind.replace('_', ' ')}, such as {example}; "
            f"got {units.quoted(f'{value} {unit}')}"
        ) from None
    days_n = (last - first).days + 1
    _possible(what, inside, 1 if what in MEANS else days_n)
    return {
        "date": when,
        "month_n": first.month,
        "days_n": days_n,
        "what": what,
        "kind": kind,
        "value": inside,
    }


def _days(when):
    """First and last day of a day or a month."""
    match = re.fullmatch(r"(\d{4})-(\d{2})(?:-(\d{2}))?", when)
    try:
        year, month, day = int(match[1]), int(match[2]), match[3]
        last = int(day) if day else calendar.monthrange(year, month)[1]
        return date(year, month, int(day or 1)), date(year, month, last)
    except (TypeError, ValueError):  # no match, or no such day
        raise ValueError(
            f'date must be a day such as "2026-11-03" or a month such as "2026-11"; '
            f"got {units.quoted(when)}"
        ) from None


def _possible(what, inside, days_n):
    if what == "inside temperature":
        if not -50.0 <= inside <= 60.0:
            raise ValueError("no room is below -50 °C (-58 °F) or above 60 °C (140 °F)")
        return
    if inside < 0:
        raise ValueError("must not be negative")
    if what == "battery lowest" and inside > 1:
        raise ValueError("must be at most 100 %")
    if what == "generator hours" and inside > units.parse("24.01 h", "time") * days_n:
        raise ValueError(f"must be at most {24 * days_n} h")


def compare(outlook, path, today=None):
    """Readings of a file beside what the plan predicts for their dates.

    outlook (Outlook) : Of the plan; its weather years are what the readings are laid over.
    path (str or Path) : CSV as for `read`.
    today (date, optional)
    Gives Readings.

    Raises PlanError if the file cannot be read.
    """
    table, refused = read(path, today)
    predicted = daily_of(outlook.hours)
    there = table["what"].isin(list(predicted))
    refused += tuple(
        Refused(
            int(reading.line_n),
            f"{reading.date},{reading.what}",
            f"your plan has no {reading.what}",
        )
        for reading in table[~there].itertuples()
    )
    table, beyond = _within_reason(table[there], predicted, outlook.plan)
    refused += beyond
    figures = [_predicted(predicted[reading.what], reading) for reading in table.itertuples()]
    table[["predicted", "low", "high"]] = np.array(figures).reshape(-1, 3)
    by_month = _by_month(table)
    corrections = tuple(
        correction(outlook, what, by_month[by_month["what"] == what], by_month)
        for what in dict.fromkeys(table["what"])
    )
    refused = tuple(sorted(refused, key=lambda line: line.line_n))
    return Readings(table, by_month, corrections, refused)


def _within_reason(table, predicted, plan):
    """Readings that a day can hold, and the rest refused: a slip of the counter or the unit."""
    most = {what: BEYOND * float(daily.max()) for what, daily in predicted.items()}
    if plan.arrays:
        rated_w = sum(
            array.module_w * array.modules_per_string_n * array.strings_n for array in plan.arrays
        )
        most["sun"] = 24.0 * rated_w
    kept, refused = [], []
    for reading in table.itertuples():
        limit = (
            np.inf
            if reading.what in MEANS or most[reading.what] <= 0
            else most[reading.what] * reading.days_n
        )
        kept.append(reading.value <= limit)
        if reading.value > limit:
            why = (
                "is more than all modules at full power day and night"
                if reading.what == "sun"
                else f"is more than {BEYOND} times the most your plan has for such a time"
            )
            refused.append(
                Refused(int(reading.line_n), f"{reading.date},{reading.what}", f"{why}: look again")
            )
    return table[np.array(kept, dtype=bool)].reset_index(drop=True), tuple(refused)


def daily_of(hours):
    """What the plan predicts for each day of a year with deliveries.

    Gives dict: What to array of shape (years, 365), in the unit inside; only what the plan has.
    """
    plan = hours.plan
    trace = years_with_deliveries(hours)
    flows, states = trace.flows, trace.states

    def sums(*names):
        total = sum(flows[name].to_numpy() for name in names)
        return total.reshape(-1, DAYS_N, 24).sum(axis=2)

    found = {
        "house use": sums("used_w"),
        "water used": sums("delivered_m3"),
        "inside temperature": states["inside_c"].to_numpy().reshape(-1, DAYS_N, 24).mean(axis=2),
    }
    if plan.arrays:
        # A meter does not see the sun that a full battery turns away.
        found["sun"] = sums("pv_w") - sums("curtailed_w")
    if plan.pump or sums("pump_w").any():
        found["pump"] = sums("pump_w")
    if plan.rain:
        kept = kept_of(hours, flows["rain_m3"].to_numpy())["rain"]
        found["rain caught"] = kept.reshape(-1, DAYS_N, 24).sum(axis=2)
    if plan.battery:
        level = states["battery_wh"].to_numpy() / hours.fixed.battery_wh
        found["battery lowest"] = level.reshape(-1, DAYS_N, 24).min(axis=2)
    if plan.generator:
        found["generator hours"] = units.parse("1 h", "time") * sums("generator_h")
        burnt = plan.fuel_named(plan.generator.store)
        wh_m3 = fuel_stores.fuel_wh_per_unit(burnt)
        found["generator fuel"] = sums("generator_fuel_w") / wh_m3
    # What each day's end had to make up.
    used_wh = hours.fuel_start_wh - trace.fuel_wh[23::24]
    for what, kind in BURNED.items():
        stores = [(n, fuel) for n, fuel in enumerate(plan.fuels) if fuel.fuel == kind]
        if stores:
            used = sum(used_wh[:, n] / fuel_stores.fuel_wh_per_unit(fuel) for n, fuel in stores)
            found[what] = used.reshape(-1, DAYS_N)
    return found


def _predicted(daily, reading):
    """Mean, 10th and 90th percentile of the days or months that a reading is one of."""
    here = daily[:, reading.month_n == MONTH_OF_DAY]
    if reading.days_n > 1:
        # A leap February by its own number of days.
        here = here.mean(axis=1) * (1 if reading.what in MEANS else reading.days_n)
    return here.mean(), np.percentile(here, 10), np.percentile(here, 90)


def _by_month(table):
    """Average day of all readings of a what in a calendar month, beside the predicted one."""
    rows = []
    for (what, month), some in table.groupby(["what", "month_n"], sort=False):
        days = some["days_n"].sum()
        weights = some["days_n"] if what in MEANS else np.ones(len(some))
        value, predicted = ((some[name] * weights).sum() / days for name in ("value", "predicted"))
        bias = value - predicted
        share = bias / predicted if predicted > 0 and what not in MEANS else np.nan
        rows.append((what, some["kind"].iloc[0], month, days, value, predicted, bias, share))
    names = "what kind month_n days_n value predicted bias bias_frac".split()
    return pd.DataFrame(rows, columns=names)
