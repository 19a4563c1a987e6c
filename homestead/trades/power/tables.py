"""Tables of the closer look at electricity, for readers.

Loads, arrays, battery and generator, from the studies of `homestead.trades`. Temperatures
and fuel follow the reader's units. Strings, starts and circuits stand in `limit_tables`.
"""

import math

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.formulas.power import peak_sun, solar
from homestead.screen.plan_tables import PRIORITY_WORDS
from homestead.screen.readable import (
    WATTS_PER_KW,
    column,
    days_number,
    fuel_text,
    head,
    months_text,
    percent,
    rounded,
)
from homestead.simulate.inputs import MONTH_OF_DAY, read_weather
from homestead.trades.power import study_battery as bank_study
from homestead.trades.power import study_dark as dark_study
from homestead.trades.power import study_generator as engine_study
from homestead.trades.power import study_loads as load_study
from homestead.trades.power import study_sun as sun_study
from homestead.vocabulary import MONTHS

BASIS_WORDS = {
    "entered": "plan",
    "label": "label's year",
    "physics": "worked out",
}
DRAWN_DOWN = "worked out, well drawn down to the pump"
# What the account of the plain rule calls its steps, in a reader's words.
CAUSES = {
    "plain rule": "rule of thumb",
    "the rule's share given back": "flat loss of the rule, given back",
    "orientation": "slope and direction",
    "horizon": "shade of the horizon",
    "temperature": "warm cells",
    "reflection and dim light": "slanting and dim light",
    "named losses": "dirt, mismatch, wires, snow, first-year wear",
    "converter efficiency": "converter's losses",
    "converter limit": "converter's limit",
    "hourly model": "hour by hour",
}


OF_RATED = "Output, of its rated power (kW)"


def kilowatts(watts, places=2):
    """Watts -> kilowatts, rounded alike."""
    return rounded(np.asarray(watts, dtype=float) / WATTS_PER_KW, places)


def framed(rows, columns):
    """Table of rows with the first column as index, its columns there without any row too."""
    return pd.DataFrame(rows, columns=columns).set_index(columns[0])


def clock(hour):
    """Hour of the day as people write it.

    >>> clock(6)
    '06:00'
    """
    return f"{int(hour):02d}:00"


def _hours_text(load):
    if load.span_h >= 24:
        return "any hour"
    return f"{load.first_h}–{(load.first_h + load.span_h - 1) % 24 + 1} h"


def _start_text(load):
    if load.start_a:
        return measures.digits(load.start_a)
    return "not entered" if load.has_no_start_entered else "none"


def _loads(plan):
    return load_study.loads_of(plan)


def inventory(plan):
    """Everything that may draw electricity, essential first: power, start, energy, when it runs."""
    rows = [
        {
            "Load": load.name,
            "Priority": PRIORITY_WORDS[load.priority_n],
            "Supply (V)": round(load.supply_v),
            "How many": load.count_n,
            "Power (W)": round(load.running_w),
            "Start (A)": _start_text(load),
            "Energy (kWh/day)": (
                "see months"
                if math.isnan(load.mean_day_wh)
                else f"{load.mean_day_wh / WATTS_PER_KW:.2f}"
            ),
            "Hours": _hours_text(load),
            "Months": months_text(load.months),
            "Known from": DRAWN_DOWN if load.name == "well pump" else BASIS_WORDS[load.basis],
        }
        for load in sorted(_loads(plan), key=lambda load: load.priority_n)
    ]
    return framed(
        rows,
        [
            *("Load", "Priority", "Supply (V)", "How many", "Power (W)", "Start (A)"),
            *("Energy (kWh/day)", "Hours", "Months", "Known from"),
        ],
    )


def loads_by_month(outlook):
    """Use on an average day of each month by kind."""
    found = load_study.by_month(outlook)
    wanted = {
        "Essential": "essential_kwh_day",
        "Useful": "useful_kwh_day",
        "Comfort": "comfort_kwh_day",
        "Well pump": "pump_kwh_day",
        "Heater blowers": "blower_kwh_day",
        "Cooling": "cooling_kwh_day",
        "Electric heat": "electric_heat_kwh_day",
        "Inverter idle": "idle_kwh_day",
    }
    columns = {
        f"{label} (kWh/day)": rounded(found[name], 1)
        for label, name in wanted.items()
        if found[name].max() > 0 or label == "Essential"
    }
    return pd.DataFrame(
        {
            "Month": list(MONTHS),
            **columns,
            "All (kWh/day)": rounded(found["total_kwh_day"], 1),
            "Not served (kWh/day)": rounded(found["unserved_kwh_day"], 1),
        }
    ).set_index("Month")


def most_together(outlook):
    """The most that may run in the same hour of each month, and the most of priority 1."""
    found = load_study.by_month(outlook)
    return pd.DataFrame(
        {
            "Month": list(MONTHS),
            "Most together (kW)": kilowatts(found["together_w"], 1),
            "In the hour from": [clock(hour) for hour in found["together_hour"]],
            "Most essential together, any hour (kW)": kilowatts(found["together_essential_w"], 1),
        }
    ).set_index("Month")


def typical(plan):
    """Entered power beside the typical draws of the reference table, where names match."""
    rows = [
        {
            "Load": name,
            "Entered (W)": round(row["power_w"]),
            "Typical (W)": (
                f"{row['low_w']:.0f}"
                if row["low_w"] == row["high_w"]
                else f"{row['low_w']:.0f} to {row['high_w']:.0f}"
            ),
            "Of": row["typical"] + (_nameplate_text(row) if row["is_nameplate"] else ""),
            "Source": row["source"],
        }
        for name, row in load_study.beside_typical(plan).iterrows()
    ]
    return framed(rows, ["Load", "Entered (W)", "Typical (W)", "Of", "Source"])


def _nameplate_text(typical):
    kind = typical["typical"].split(",")[0]
    return f" (a nameplate figure; a running {kind} draws far less)"


def dark_spells(outlook):
    """Longest dark spell of each essential device; a spell ends with its next hour of power."""
    found = dark_study.dark_spells(outlook)
    columns = {
        "Worst case, until it ends": found["worst_start_h"],
        "When fuel is delivered": found["delivered_h"],
    }
    return pd.DataFrame(
        {
            name: [f"{n:,} h" if n else "never" for n in hours_n]
            for name, hours_n in columns.items()
        },
        index=found.index.rename("Essential appliance"),
    )


def restart(outlook):
    """Hour by hour: the house is cut off by an empty battery, and comes back with the sun."""
    found = dark_study.restart(outlook)
    rows = [
        {
            "When": f"{MONTHS[MONTH_OF_DAY[at.day] - 1]} {_of_month(at.day)}, {clock(at.hour)}",
            "House": at.state,
            "Sun available (kW)": round(at.sun_w / WATTS_PER_KW, 2),
            "Used (kW)": round(at.used_w / WATTS_PER_KW, 2),
            "Battery holds (%)": round(100 * at.battery_frac, 1),
        }
        for at in found.itertuples()
    ]
    columns = ["When", "House", "Sun available (kW)", "Used (kW)", "Battery holds (%)"]
    return framed(rows, columns)


def _of_month(day):
    return day - int(np.argmax(MONTH_OF_DAY == MONTH_OF_DAY[day])) + 1


def yields(plan):
    """Solar arrays: rating, direction, average yearly yield before a full battery turns it away."""
    columns = [
        *("Array", "Rating (kW)", "Tilt (°)", "Faces (° from north)", "Coupling"),
        *("Yield (kWh/year)", "Yield (kWh/year per kW)", "Most in", "Least in"),
        *("Least (kWh/day)", "Cut by the converter"),
    ]
    if not plan.arrays:
        return framed([], columns)
    found = sun_study.monthly_yield(plan)
    rows = []
    for array in plan.arrays:
        own = found.loc[array.name]
        daily = own["yield_kwh"].to_numpy() / load_study.DAYS_IN
        year_kwh, clipped_kwh = float(own["yield_kwh"].sum()), float(own["clipped_kwh"].sum())
        cells = (
            array.name,
            round(array.rated_w / WATTS_PER_KW, 2),
            round(array.tilt_deg),
            round(array.azimuth_deg),
            array.coupling,
            int(round(year_kwh, -1)),
            int(round(year_kwh / (array.rated_w / WATTS_PER_KW), -1)),
            MONTHS[int(daily.argmax())],
            MONTHS[int(daily.argmin())],
            round(float(daily.min()), 1),
            percent(clipped_kwh / max(year_kwh + clipped_kwh, 1e-9)),
        )
        rows.append(cells)
    return framed(rows, columns)


def plain_rule_kwh(plan, weather):
    """Plain rule of peak-sun hours by month, array of shape (12, arrays). [kWh].

    Rated power times the peak-sun hours of a plane that faces the equator at the site's latitude,
    times the rule's share: the same rule from which `sun.rule_account` sets out.
    """
    latitude_deg = weather.site.latitude_deg
    towards = 180.0 if latitude_deg >= 0 else 0.0
    plane = solar.plane_of_array_w_m2(weather, min(abs(latitude_deg), 90.0), towards)
    monthly_wh_m2 = plane.groupby(plane.index.month).sum().to_numpy() / len(weather.year_labels)
    sun_h = peak_sun.peak_sun_hours(monthly_wh_m2)
    ruled_wh = [peak_sun.rule_wh(solar.array_rated_w(array), sun_h) for array in plan.arrays]
    return np.asarray(ruled_wh, dtype=float).reshape(-1, 12).T / WATTS_PER_KW


def yield_by_month(plan):
    """Yield of all arrays on an average day of each month, hour by hour and by the plain rule."""
    made = np.zeros(12)
    ruled = np.zeros(12)
    if plan.arrays:
        weather = read_weather(plan)
        found = sun_study.monthly_yield(plan, weather)["yield_kwh"]
        made = found.groupby(level="month").sum().to_numpy() / load_study.DAYS_IN
        ruled = plain_rule_kwh(plan, weather).sum(axis=1) / load_study.DAYS_IN
    return pd.DataFrame(
        {
            "Month": list(MONTHS),
            "Hour by hour (kWh/day)": rounded(made, 1),
            "Rule of thumb (kWh/day)": rounded(ruled, 1),
            "Difference (kWh/day)": rounded(made - ruled, 1),
        }
    ).set_index("Month")


def rule_causes(plan):
    """From the plain rule to the hourly yield of a year, cause by cause, one column an array."""
    if not plan.arrays:
        return framed([], ["Cause", "All (kWh/year)"])
    found = sun_study.rule_table(plan)
    table = pd.DataFrame({"Cause": [CAUSES[name] for name in found.index]})
    for name in found:
        table[f"{name} (kWh/year)"] = rounded(found[name].to_numpy(), 0)
    if len(plan.arrays) > 1:
        table["All (kWh/year)"] = rounded(found.sum(axis=1).to_numpy(), 0)
    return table.set_index("Cause")


def worst_fortnight(outlook):
    """The fourteen days with the least sun, day by day, in a run of years with deliveries."""
    found = sun_study.worst_fortnight_hours(outlook)
    daily = found.groupby("day")
    columns = {
        "Available (kWh)" if outlook.hours.sources else "Sun available (kWh)": "pv_w",
        "Used in the house (kWh)": "used_w",
        "Generator (kWh)": "generator_w",
        "Comfort off (kWh)": "comfort_short_w",
        "Useful off (kWh)": "useful_short_w",
        "Essential short (kWh)": "essential_short_w",
    }
    table = {label: kilowatts(daily[name].sum(), 1) for label, name in columns.items()}
    if found["charge_frac"].notna().all():
        table["Lowest charge (%)"] = rounded(daily["charge_frac"].min() * 100, 0)
    return pd.DataFrame({"Day": range(1, len(daily) + 1), **table}).set_index("Day")


def battery(outlook, units="us"):
    """Energy of the bank: on its label, held and usable, by age and cold, and sunless days."""
    plan = outlook.plan
    hours = head("Cells at", "temperature", units)
    columns = [
        *("State", "Age (years)", hours, "On the label (kWh)", "Holds (kWh)", "Usable (kWh)"),
        "Sunless days",
    ]
    if plan.battery is None:
        return framed([], columns)
    # The draw of the outlook's own sunless days, so that "today, warm" is their "usable".
    daily_wh = plan.battery.nominal_wh / outlook.year.sunless_days["nominal"]
    daily_wh /= outlook.hours.fixed.discharge_efficiency_frac
    found = bank_study.capacity_table(plan, daily_wh)
    cells = (
        found.index,
        rounded(found["age_years"], 0),
        column(found["cell_c"], "temperature", units, 0),
        *(kilowatts(found[name], 1) for name in ("nominal_wh", "stored_wh", "usable_wh")),
        rounded(found["sunless_days"], 1),
    )
    return pd.DataFrame(dict(zip(columns, cells, strict=True))).set_index("State")


def battery_rates(plan):
    """How fast the plan's machines charge and discharge the bank, beside the limit."""
    rows = [
        {
            "Way": rate.way,
            "Power (kW)": round(rate.power_w / WATTS_PER_KW, 1),
            "Share of capacity in an hour": f"{rate.rate_per_h:.2f}",
            "Limit": f"{rate.limit_per_h:.2f}",
            "Limit from": "data sheet" if rate.is_entered else _usual_text(plan.battery, rate.way),
            "As entered": "within" if rate.is_within else "outside",
        }
        for rate in bank_study.rates(plan)
    ]
    return framed(
        rows,
        [
            *("Way", "Power (kW)", "Share of capacity in an hour", "Limit", "Limit from"),
            "As entered",
        ],
    )


def _usual_text(bank, way):
    limit_w = bank.charge_w if way == "charge" else bank.discharge_w
    return (
        "no C-rate entered, so the usual one of the chemistry; your limit of "
        f"{measures.digits(limit_w / WATTS_PER_KW)} kW counts too"
    )


def generator_fuel(plan, units="us"):
    """Fuel that the running generator burns at several loads, and what it gets out of it."""
    found = engine_study.fuel_line(plan)
    store = engine_study.fuel_of(plan)
    rows = [
        {
            "Load": percent(load),
            OF_RATED: round(point.output_w / WATTS_PER_KW, 2),
            "Fuel an hour": fuel_text(store.fuel, point.fuel_per_h, units, 2),
            "Of the fuel's heat": percent(point.efficiency_frac) if point.output_w else "nothing",
        }
        for load, point in zip(found.index, found.itertuples(), strict=True)
    ]
    return framed(rows, ["Load", OF_RATED, "Fuel an hour", "Of the fuel's heat"])


def generator_schedules(outlook, units="us"):
    """Ways of running the generator for the essential load with no sun, least fuel first.

    Its output is what load and charger take, at most what it gives at 77 °F and sea level.
    """
    plan = outlook.plan
    columns = [
        *("Way of running", "Output that load and charger take (kW)", "Runs (h/day)"),
        *("Starts a day", "Fuel a day", "Store lasts (days)"),
    ]
    if plan.generator is None:
        return framed([], columns)
    found = engine_study.schedule_table(plan, engine_study.essential_day_wh(outlook))
    store = engine_study.fuel_of(plan)
    cells = [
        (
            name,
            round(schedule["output_w"] / WATTS_PER_KW, 2),
            round(schedule["run_h_day"], 1),
            round(schedule["starts_day"], 1),
            fuel_text(store.fuel, schedule["fuel_per_day"], units, 2),
            days_number(schedule["days"]),
        )
        for name, schedule in found.iterrows()
    ]
    return framed(cells, columns)


def generator_stores(outlook):
    """How far each store of the generator's fuel goes."""
    plan = outlook.plan
    rows = [
        {
            "Store": name,
            "Feeds the generator": "yes" if store["is_fed"] else "same fuel, not connected",
            "Also burned by": store["shared_with"] or "nothing else",
            "Full load (h)": round(store["full_load_h"]),
            "Half load (h)": round(store["half_load_h"]),
            "Essential load, no sun (days)": days_number(store["days"]),
        }
        for name, store in engine_study.store_table(
            plan, engine_study.essential_day_wh(outlook)
        ).iterrows()
    ]
    return framed(
        rows,
        [
            *("Store", "Feeds the generator", "Also burned by", "Full load (h)", "Half load (h)"),
            "Essential load, no sun (days)",
        ],
    )


def generator_service(outlook):
    """Running hours of an average year with deliveries, and how often that needs service."""
    found = engine_study.services(outlook)
    rows = {}
    if found is not None:
        rows = {
            "runs in a year, average of all weather years": f"{found.run_h:.0f} h",
            "between services": f"{found.interval_h:.0f} h",
            "services a year": measures.digits(found.a_year, 2),
            "days from one to the next": (
                f"{found.days_between:,.0f}" if math.isfinite(found.days_between) else "never runs"
            ),
        }
    return pd.DataFrame({"Service": list(rows), "Amount": list(rows.values())}).set_index("Service")
