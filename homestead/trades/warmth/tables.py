"""Tables of warmth for readers: shell, design day, heating need, heaters, fuel, cooling down.

What the studies of warmth compute, in the reader's units and words. Each function returns one
DataFrame; how each figure is worked out stands in `homestead.trades.warmth.workings`.
"""

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.findings import cautions
from homestead.outlook import studies
from homestead.plan.currency import money_text
from homestead.screen.notes import Prose
from homestead.screen.readable import WATTS_PER_KW, column, head, percent, rounded
from homestead.simulate import fuel_stores, heaters
from homestead.trades.warmth import study_cool_down as cooling_down
from homestead.trades.warmth import study_fuel as fuel_study
from homestead.trades.warmth import (
    study_hot_water_cooling as hot_water_cooling,
)
from homestead.trades.warmth import (
    study_warmth as warmth,
)
from homestead.vocabulary import MONTHS, fuel_measure

__all__ = [
    "bridge",
    "cool_down_times",
    "cordwood",
    "cost_of_heat",
    "design_day",
    "fuel_ledger",
    "heaters_by_month",
    "heaters_on_design_day",
    "hot_water_and_cooling",
    "need_two_ways",
    "propane_tanks",
    "shell",
]

YEAR = "year"
NOT_CALLED = "not needed"
STEPS = {
    warmth.BY_DEGREE_DAYS: "The textbook way: loss of the house times degree-days below the "
    "temperature at which a month's average gains alone keep the rooms warm.",
    "days that cross the base": "A spring day is cold at night and mild at noon: its average "
    "needs no heat, its night does.",
    "gains that come when no heat is needed": "Noon sun on a mild day goes out the window; "
    "the monthly average counts it as if it warmed the night.",
    "rooms below the thermostat": "Rooms that fall below the thermostat lose less. 0 where the "
    "heaters always keep up.",
    "warmth that mass carries over": "Walls and floors take up warmth at noon and give it back at "
    "night, so the heaters don't have to.",
    warmth.BY_THE_HOUR: "What the heaters give hour by hour, with everything at once.",
}


@dataclass(frozen=True)
class Study:
    """What the studies of warmth say about one outlook."""

    design: warmth.DesignDay
    need: warmth.YearNeed
    heaters: pd.DataFrame
    ledger: pd.DataFrame
    cooling: pd.DataFrame
    hot_water: pd.DataFrame
    cool_down: cooling_down.CoolDown


@studies.kept
def study_of(outlook):
    """Study of the warmth of an outlook."""
    hours = outlook.hours
    trace = warmth.delivered_trace(hours)
    return Study(
        warmth.design_day(hours),
        warmth.year_need(hours, trace),
        warmth.heaters_by_month(hours, trace),
        fuel_study.ledger(hours, trace),
        hot_water_cooling.cooling_by_month(hours, trace),
        hot_water_cooling.hot_water_by_month(hours),
        cooling_down.cool_down(hours),
    )


def amounts(fuel, values, units="us"):
    """Amounts of a fuel as numbers, and the unit in which it is sold.

    fuel (str) : Such as ``"propane"``.
    values : In the unit of the store, m3 or kg.
    units ({"us", "metric"})
    Gives (array, str).
    """
    values = np.asarray(values, dtype=float)
    if fuel == "cordwood":
        if units == "us":
            return np.asarray(measures.convert_unit(values, "m^3", "cord")), "cords"
        return values, "m³ stacked"
    kind = fuel_measure(fuel)
    return np.asarray(measures.convert(values, kind, units)), measures.shown_unit(kind, units)


def kwh(values_wh, places=0):
    """Energies in kWh, rounded alike."""
    return rounded(np.asarray(values_wh, dtype=float) / WATTS_PER_KW, places)


def duration(hours_h, limit_h=cooling_down.CURVE_H):
    """Hours in words; infinity as not within the time looked at."""
    if not math.isfinite(hours_h):
        return "never"
    if hours_h >= limit_h:
        return f"over {limit_h} h"
    return f"{hours_h:.0f} h" if hours_h >= 10 else f"{hours_h:.1f} h"


def shell(plan, units="us"):
    """Loss of the house by part, air leaks and the whole at the end."""
    table = warmth.shell(plan)
    whole = {
        "kind": "",
        "area_m2": math.nan,
        "r_m2k_w": math.nan,
        "loss_w_k": table["loss_w_k"].sum(),
        "share_frac": 1.0,
    }
    table = pd.concat([table, pd.DataFrame(whole, index=["whole house"])])

    def optional(values, kind):
        shown = measures.convert(values.to_numpy(dtype=float), kind, units)
        return [measures.digits(value) if math.isfinite(value) else "" for value in shown]

    return pd.DataFrame(
        {
            "Part": list(table.index),
            "Faces": list(table["kind"]),
            head("Area", "area", units): optional(table["area_m2"], "area"),
            head("R", "thermal_resistance", units): optional(
                table["r_m2k_w"], "thermal_resistance"
            ),
            head("Loss", "heat_loss", units): column(table["loss_w_k"], "heat_loss", units, 0),
            "Share": [percent(frac) for frac in table["share_frac"]],
        }
    ).set_index("Part")


def design_day(outlook, units="us"):
    """Loss that the heaters are sized for, and how long the house keeps warm by itself."""
    plan, design = outlook.plan, study_of(outlook).design
    basis = "from the plan" if design.is_entered else "99 % of hours are warmer"
    show = measures.show
    rows = [
        ("design temperature", show(design.design_c, "temperature", units), basis),
        ("house loses then", _kw(design.loss_w), "no sun, people or appliances counted"),
        (
            "coldest hour",
            show(design.coldest_c, "temperature", units),
            "of all weather years",
        ),
        (
            "house loses in that hour",
            _kw(design.coldest_loss_w),
            "no sun or people counted",
        ),
        (
            "record low",
            show(plan.site.record_low_c, "temperature", units),
            "your entry; colder than any weather file needs to hold",
        ),
        (
            "time constant",
            duration(warmth.time_constant_h(plan)),
            "unheated, it gives up 63 % of its warmth over outdoors in this time",
        ),
    ]
    return pd.DataFrame(rows, columns=["Quantity", "Amount", "What it is"]).set_index("Quantity")


def _kw(watts):
    return f"{measures.digits(watts / WATTS_PER_KW)} kW"


def heaters_on_design_day(outlook, units="us"):
    """Heaters against the loss of the design day, in the order in which they are used."""
    measures.shown_unit("power", units)
    study = study_of(outlook)
    table = study.design.heaters
    return pd.DataFrame(
        {
            "Heater": list(table.index),
            "Gives then (kW)": kwh(table["output_w"], 1),
            "Of the loss, alone": [_share(frac) for frac in table["ratio_frac"]],
            "With those before it": [_share(frac) for frac in table["together_frac"]],
            "Needs electricity": ["yes" if needs else "no" for needs in table["needs_power"]],
            "In an average year": [_year_of(study.heaters, name) for name in table.index],
        }
    ).set_index("Heater")


def _year_of(heaters, name):
    """Heat of a heater in an average year; a heater that another spares every hour gives none."""
    kwh_year = heaters.loc[name, "heat_wh"].sum() / WATTS_PER_KW
    if kwh_year < 0.5:
        return NOT_CALLED
    return f"{measures.digits(measures.significant(kwh_year))} kWh"


def _share(frac):
    return f"{frac * 100:.0f} %"


def _monthly(columns):
    return pd.DataFrame({"Month": [*MONTHS, YEAR], **columns}).set_index("Month")


def _with_sum(values):
    values = np.asarray(values, dtype=float)
    return np.append(values, values.sum())


def need_two_ways(outlook, units="us"):
    """Heat of an average year by month, hour by hour and by degree-days."""
    table = study_of(outlook).need.months
    unit = measures.shown_unit("temperature_difference", units)
    base = column(table["base_c"], "temperature", units, 0)
    days = measures.convert(_with_sum(table["degree_days_k"]), "temperature_difference", units)
    return _monthly(
        {
            "Hour by hour (kWh)": kwh(_with_sum(table["hourly_wh"])),
            "By degree-days (kWh)": kwh(_with_sum(table["degree_day_wh"])),
            "Sun, people, appliances, average (W)": [
                *rounded(table["gain_w"], 0).tolist(),
                int(round(table["gain_w"].mean())),
            ],
            head("Needs no heat above", "temperature", units): [*base.tolist(), ""],
            f"Degree-days below that ({unit}·day)": rounded(days, 0),
        }
    )


def bridge(outlook, units="us"):
    """From the degree-day figure to the hourly one, step by step, each explained."""
    measures.shown_unit("energy", units)
    steps = study_of(outlook).need.bridge
    return pd.DataFrame(
        {
            "Step": list(steps.index),
            "kWh a year": kwh(steps),
            "Why": [STEPS[name] for name in steps.index],
        }
    ).set_index("Step")


def heaters_by_month(outlook, units="us"):
    """Heat, fuel and electricity of each heater by month of an average year with deliveries."""
    measures.shown_unit("energy", units)
    plan, table = outlook.plan, study_of(outlook).heaters
    columns = {}
    for heater in plan.heaters:
        months = table.loc[heater.name]
        columns[f"{heater.name}: heat (kWh)"] = kwh(_with_sum(months["heat_wh"]))
        if not months["heat_wh"].any():
            continue  # what a heater takes that never runs is as much nothing
        store = plan.fuel_named(heater.store)
        if store is not None:
            burned, unit = amounts(store.fuel, _with_sum(months["fuel_amount"]), units)
            columns[f"{heater.name}: {store.fuel} ({unit})"] = rounded(burned, _places(burned))
        if heaters.needs_power(heater):
            columns[f"{heater.name}: electricity (kWh)"] = kwh(_with_sum(months["electric_wh"]))
        columns[f"{heater.name}: runs (h)"] = rounded(_with_sum(months["running_h"]), 0)
    return _monthly(columns)


def _places(values):
    """Decimals for fuel: cords want two, gallons none."""
    most = float(np.max(np.abs(values), initial=0.0))
    return 2 if 0 < most < 10 else 1 if 0 < most < 50 else 0


def hot_water_and_cooling(outlook, units="us"):
    """Hot water on an average day of each month, and the cooling of that month."""
    plan, study = outlook.plan, study_of(outlook)
    columns = {}
    if plan.hot_water is not None:
        hot = study.hot_water
        columns["Hot water drawn (kWh/day)"] = kwh(hot["draw_wh"], 1)
        columns["Standing loss (kWh/day)"] = kwh(hot["standby_wh"], 1)
        if plan.hot_water.preheat_frac > 0:
            columns[f"From {plan.hot_water.preheat_by} (kWh/day)"] = kwh(hot["preheat_wh"], 1)
        columns["Water heater takes (kWh/day)"] = kwh(hot["input_wh"], 1)
        store = plan.fuel_named(plan.hot_water.store)
        if store is not None:
            burned, unit = amounts(store.fuel, hot["fuel_amount"], units)
            columns[f"In {store.fuel} ({unit}/day)"] = rounded(burned, 2)
    if plan.cooling is not None:
        cool = study.cooling
        columns["Hours with cooling"] = rounded(cool["running_h"], 0)
        columns["At full power (h)"] = rounded(cool["full_load_h"], 0)
        columns["Warmth removed (kWh)"] = kwh(cool["sensible_wh"])
        columns["Damp removed (kWh)"] = kwh(cool["latent_wh"])
        columns["Cooling takes (kWh)"] = kwh(cool["electric_wh"])
    return pd.DataFrame({"Month": list(MONTHS), **columns}).set_index("Month")


def cordwood(plan, units="us"):
    """Heat in the wood in store by species, air-dry and at the moisture entered."""
    measures.shown_unit("volume", units)
    table = fuel_study.cordwood(plan)
    dry, moist = (
        np.array([_wood_heat(wh_per_cord, units) for wh_per_cord in table[name]])
        for name in ("air_dry_wh_per_cord", "wh_per_cord")
    )
    unit = "million Btu/cord" if units == "us" else "kWh/m³ stacked"
    places = 1 if units == "us" else 0
    return pd.DataFrame(
        {
            "Wood": list(table["species"]),
            "Store": list(table["store"]),
            "Moisture": [percent(frac) for frac in table["moisture_frac"]],
            f"Air-dry ({unit})": rounded(dry, places),
            f"As it is ({unit})": rounded(moist, places),
        }
    ).set_index("Wood")


def _wood_heat(wh_per_cord, units):
    if units == "us":
        return measures.convert_unit(wh_per_cord, "Wh", "MBtu")
    return measures.convert_unit(wh_per_cord, "Wh/cord", "kWh/m^3")


def propane_tanks(outlook, units="us"):
    """Propane tanks: what they hold, what they boil off in the cold, what burners ask for."""
    plan = outlook.plan
    show = measures.show
    columns = {}
    for name, tank in fuel_study.propane_tanks(plan, outlook.hours).iterrows():
        low, design = (
            show(tank[key], "temperature", units) for key in ("record_low_c", "design_c")
        )
        size = " by ".join(show(tank[key], "length", units) for key in ("diameter_m", "length_m"))
        share = tank["share_frac"]
        columns[name] = {
            "water capacity": show(tank["tank_m3"], "volume", units),
            "full, 80 % of it": show(tank["full_m3"], "volume", units),
            "in it when it starts": f"{_share(tank['fill_frac'])} of capacity",
            "of that can be used": show(tank["usable_m3"], "volume", units),
            "diameter and length": size + (" (usual size)" if tank["is_usual_size"] else ""),
            f"boils off at the record low, {low}": _rough(tank["boil_off_record_low_w"]),
            "the same, at the level that counts as low": _rough(tank["low_boil_off_w"]),
            f"boils off on the design day, {design}": _rough(tank["boil_off_design_w"]),
            "all its burners together need": _rough(tank["peak_w"]),
            "boil-off at the record low covers": (
                "no burner" if math.isinf(share) else f"{_share(share)} of that{_sinks(share)}"
            ),
        }
    if not columns:
        return pd.DataFrame(index=pd.Index([], name="Propane tank"))
    # Site and weather are one, so the labels of all tanks are the same.
    return pd.DataFrame(columns).rename_axis("Propane tank")


def _rough(watts):
    return f"{measures.digits(measures.significant(watts / WATTS_PER_KW))} kW"


def _sinks(share):
    return ": flames may sink or go out" if share < 1.0 else ""


def fuel_ledger(outlook, units="us"):
    """Each store through a normal year from January, with the deliveries of the plan."""
    plan, table = outlook.plan, study_of(outlook).ledger
    columns, low = {}, [[] for _ in MONTHS]
    for fuel in plan.fuels:
        months = table.loc[fuel.name]
        most, unit = amounts(fuel.fuel, months["start_amount"].max(), units)
        places = _places(most)
        parts = {"delivered": "delivered_amount", "used": "used_amount", "left": "end_amount"}
        if months["short_amount"].max() > 0:
            parts["short"] = "short_amount"
        for word, name in parts.items():
            shown, _ = amounts(fuel.fuel, months[name], units)
            columns[f"{fuel.name}: {word} ({unit})"] = rounded(shown, places)
        for number, is_low in enumerate(months["is_low"]):
            if is_low:
                low[number].append(fuel.name)
    columns["Low at the month's end"] = [", ".join(names) for names in low]
    return pd.DataFrame({"Month": list(MONTHS), **columns}).set_index("Month")


def cost_of_heat(plan, units="us"):
    """Money for a kWh of heat in rooms or water, for stores with a price."""
    table = fuel_study.cost_of_heat(plan)
    prices = []
    for _, cost in table.iterrows():
        store = plan.fuel_named(cost["store"])
        amount, unit = amounts(store.fuel, 1.0, units)
        price = money_text(cost["price_per_unit_money"] / float(amount), plan.currency, 2)
        prices.append(f"{price} per {_single(unit)}")
    return pd.DataFrame(
        {
            "User": list(table["user"]),
            "Store": list(table["store"]),
            "Price": prices,
            "Efficiency": [percent(frac) for frac in table["efficiency_frac"]],
            f"Heat costs ({plan.currency}/kWh)": [
                f"{cost:.3f}" for cost in table["cost_per_kwh_money"]
            ],
        }
    ).set_index("User")


def _single(unit):
    return "cord" if unit == "cords" else unit


def cool_down_times(outlook, units="us"):
    """How long until rooms and pipes reach the plan's limits when all heat stops."""
    plan, cool = outlook.plan, study_of(outlook).cool_down
    show = measures.show
    low = show(plan.site.record_low_c, "temperature", units)
    rooms = show(cool.limit_c, "temperature", units)
    pipes = show(cool.pipes_limit_c, "temperature", units)
    return pd.DataFrame(
        {
            "Until": [f"rooms at {rooms}", f"pipes at {pipes}"],
            "Coldest night of the weather": [
                duration(time_h) if math.isfinite(time_h) else "not within a week, in this spell"
                for time_h in (cool.hours_to_limit, cool.hours_to_pipes_at_risk)
            ],
            f"Steady {low}, no sun, nobody home": [
                duration(cool.steady_hours_to_limit),
                duration(cool.steady_hours_to_pipes),
            ],
        }
    ).set_index("Until")


def limit_words(plan, units="us"):
    """The plan's limit for rooms beside what the World Health Organization advises."""
    limit, least, frail = (
        measures.show(limit_c, "temperature", units)
        for limit_c in (
            plan.failure.cold_below_c,
            cautions.temperature_limit_c("general population"),
            cautions.temperature_limit_c("infants and elderly"),
        )
    )
    return Prose(
        f"{limit} is this plan's limit; the World Health Organization advises {least} and "
        f"more, and still more for babies and older people ({frail} in its earlier advice)."
    )


def cool_down_words(outlook, units="us"):
    """When rooms and pipes reach their limits: in the coldest spell, then at the record low."""
    plan, cool = outlook.plan, study_of(outlook).cool_down
    rooms, pipes, low = (
        measures.show(limit_c, "temperature", units)
        for limit_c in (cool.limit_c, cool.pipes_limit_c, plan.site.record_low_c)
    )

    def falls(what, limit, hours_h):
        if math.isfinite(hours_h):
            return f"{what} fall to {limit} after about {duration(hours_h)}"
        return f"{what} do not fall to {limit} within a week of this weather"

    what = "the pipes" if plan.house.pipes_outside_frac > 0 else "the rooms"
    record = (
        f"at the record low of {low} they do after about {duration(cool.steady_hours_to_pipes)}, "
        "and pipes in outer walls or the crawl space sooner"
        if math.isfinite(cool.steady_hours_to_pipes)
        else "pipes in outer walls or the crawl space may freeze sooner"
    )
    told = (
        falls("the rooms", rooms, cool.hours_to_limit),
        falls(what, pipes, cool.hours_to_pipes_at_risk),
        record,
    )
    return Prose(f"All heat stops on the evening before the coldest night: {'; '.join(told)}.")


def fired_w(plan, heat_w, air_c):
    """Heat in the fuel that each store gives for heating, hour by hour.

    Electricity is a store of its own.

    heat_w, air_c (array of shape (hours,)) : From a midnight on.
    Gives DataFrame of shape (hours, stores).
    """
    taken = {}
    for heater, given_w in heaters.shared_out(plan, heat_w, air_c):
        bought_w = given_w / heaters.cop_of(heater, air_c)
        taken[heater.store] = taken.get(heater.store, 0.0) + bought_w
    return pd.DataFrame(taken, index=range(len(heat_w)))


def fired_amounts(plan, store_name, fired_wh, units="us"):
    """Amount of a store for some heat in it, with its unit; kWh for electricity."""
    store = plan.fuel_named(store_name)
    if store is None:
        return np.asarray(fired_wh, dtype=float) / WATTS_PER_KW, "kWh"
    per_unit_wh = fuel_stores.fuel_wh_per_unit(store)
    return amounts(store.fuel, np.asarray(fired_wh, dtype=float) / per_unit_wh, units)
