"""The generator looked at closely: its fuel line, how far each store goes, when to run it.

Simple days, not the coupled hour: a steady mean load, no sun. They compare ways of running; how
long the homestead truly lasts is the outlook's answer.
"""

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import reference, units
from homestead.formulas.power import generator
from homestead.formulas.warmth import fuels
from homestead.simulate import constants, fuel_stores
from homestead.simulate.records import DAYS_N

LOADS_FRAC = (0.0, 0.25, 0.5, 0.75, 1.0)


def fuel_of(plan):
    """The fuel store that feeds the generator, or None."""
    return plan.fuel_named(plan.generator.store) if plan.generator else None


def _burned_w(plan, output_w):
    engine = plan.generator
    return generator.fuel_w(
        output_w, engine.rated_w, engine.no_load_fuel_w, engine.full_load_fuel_w
    )


def fuel_line(plan):
    """Fuel of the running set at several loads.

    Gives DataFrame: Indexed by load_frac: output_w, fuel_w (heat in the fuel), fuel_per_h (in the
        store's own unit, m³ or kg), unit, efficiency_frac, wh_per_unit (electricity from a unit of
        fuel). Empty without a generator.
    """
    columns = ["output_w", "fuel_w", "fuel_per_h", "unit", "efficiency_frac", "wh_per_unit"]
    if plan.generator is None:
        return pd.DataFrame(columns=columns, index=pd.Index([], name="load_frac"))
    store = fuel_of(plan)
    load = np.array(LOADS_FRAC)
    output_w = load * plan.generator.rated_w
    burned_w = _burned_w(plan, output_w)
    per_h = burned_w / fuel_stores.fuel_wh_per_unit(store)
    found = pd.DataFrame(
        {
            "output_w": output_w,
            "fuel_w": burned_w,
            "fuel_per_h": per_h,
            "unit": fuels.storage_unit(store.fuel),
            "efficiency_frac": generator.efficiency_frac(output_w, np.maximum(burned_w, 1.0)),
            "wh_per_unit": np.divide(output_w, per_h, out=np.zeros(len(per_h)), where=per_h > 0),
        },
        index=pd.Index(load, name="load_frac"),
    )
    return found[columns]


@dataclass(frozen=True)
class Schedule:
    """One way of running the generator through a day without sun."""

    name: str
    output_w: float  # while it runs
    run_h_day: float  # hours a day, as a mean; above 24 it cannot be done
    starts_day: float  # runs begun a day
    fuel_wh_day: float  # heat in the fuel a day, warming up and cooling down included
    days: float  # how long the generator's store lasts so


def essential_day_wh(outlook):
    """Mean daily energy of priority 1, pump and blower included, at the house. [Wh]."""
    totals = outlook.year.monthly.sum()
    names = ("essential_w", "pump_w", "blower_w", "essential_short_w")
    return float(sum(totals[name] for name in names)) / DAYS_N


def schedules(plan, daily_wh, air_c=25.0, elevation_m=0.0):
    """Ways of running the generator for the same daily energy, least fuel first.

    daily_wh : Energy at the house in a day. [Wh]
    air_c : Air that the engine breathes. [deg C]
    elevation_m : [m]
    Gives tuple of Schedule: Empty without a generator. All day on the load alone; with a battery
        also two short runs a day, one run a day, and one run for as many days as the usable charge
        bridges, each at the most that load and charger take and at half of it. Fuel while warming
        up and cooling down is counted at no load (data/reference/generators.csv).

    A run at power P feeds the mean load L and charges with P - L; the rest of the day comes out
    of the bank. With e_in and e_out the efficiencies from the generator to the cells and from the
    cells to the house, (P - L) e_in h = L (24 - h) / e_out for the hours h a day; the idle draw of
    the main inverter is part of L. Derived from the balance of a day.
    """
    engine = plan.generator
    if engine is None:
        return ()
    idle_w = plan.grid_former.idle_w if plan.grid_former else 0.0
    load_w = daily_wh / 24.0 + idle_w
    most_w = float(generator.derated_w(engine.rated_w, elevation_m, air_c))
    store_wh = _store_wh(plan)
    found = []
    if load_w <= most_w:
        burned_wh = 24.0 * float(_burned_w(plan, load_w))
        found.append(
            Schedule("all day, on the load alone", load_w, 24.0, 0.0, burned_wh,
                     store_wh / burned_wh)
        )  # fmt: skip
    found += _battery_runs(plan, load_w, most_w, store_wh)
    return tuple(sorted(found, key=lambda schedule: schedule.fuel_wh_day))


def _battery_runs(plan, load_w, most_w, store_wh):
    bank, former = plan.battery, plan.grid_former
    if bank is None or former is None:
        return
    charger_w = min(former.charger_w, bank.charge_w / former.charger_efficiency_frac)
    full_w = min(most_w, load_w + charger_w)
    half_w = full_w / 2
    yield from _runs(plan, load_w, full_w, store_wh, "")
    if half_w > load_w:
        yield from _runs(plan, load_w, half_w, store_wh, ", at half the output")


def _runs(plan, load_w, output_w, store_wh, how):
    bank, former = plan.battery, plan.grid_former
    one_way = math.sqrt(bank.round_trip_frac)
    into = former.charger_efficiency_frac * one_way
    if output_w <= load_w:
        return
    asked_w = load_w / (former.efficiency_frac * one_way)
    run_h = 24.0 * asked_w / ((output_w - load_w) * into + asked_w)
    idle_h = sum(
        reference.value("generators", "run", name, "h") for name in ("warm_up", "cool_down")
    )
    usable_wh = constants.battery_today_wh(plan) * bank.depth_of_discharge_frac
    span_days = int(usable_wh / (asked_w * (24.0 - run_h)))
    starts = {"two runs a day": 2.0, "one run a day": 1.0}
    if span_days >= 2:
        starts[f"one run in {span_days} days"] = 1.0 / span_days
    for name, a_day in starts.items():
        if usable_wh * a_day < asked_w * (24.0 - run_h):
            continue  # the bank cannot bridge the time between two runs
        burned_wh = run_h * float(_burned_w(plan, output_w))
        burned_wh += a_day * idle_h * plan.generator.no_load_fuel_w
        yield Schedule(name + how, output_w, run_h, a_day, burned_wh, store_wh / burned_wh)


def _store_wh(plan):
    position = [fuel.name for fuel in plan.fuels].index(plan.generator.store)
    return float(fuel_stores.fuel_start_wh(plan)[position])


def schedule_table(plan, daily_wh):
    """`schedules` as a table.

    daily_wh : Energy at the house in a day, such as `essential_day_wh`. [Wh]
    Gives DataFrame: Indexed by name, least fuel first: output_w, run_h_day, starts_day,
        fuel_per_day (in the store's own unit), unit, wh_per_unit (used at the house from a unit of
        fuel), days.
    """
    columns = ["output_w", "run_h_day", "starts_day", "fuel_per_day", "unit", "wh_per_unit", "days"]
    rows = schedules(plan, daily_wh)
    if not rows:
        return pd.DataFrame(columns=columns, index=pd.Index([], name="name"))
    store = fuel_of(plan)
    per_unit_wh = fuel_stores.fuel_wh_per_unit(store)
    found = pd.DataFrame([vars(row) for row in rows]).set_index("name")
    found["fuel_per_day"] = found["fuel_wh_day"] / per_unit_wh
    found["unit"] = fuels.storage_unit(store.fuel)
    found["wh_per_unit"] = daily_wh / found["fuel_per_day"]
    return found[columns]


def store_table(plan, daily_wh):
    """How long each fuel store would carry a daily use through the generator.

    daily_wh : Energy at the house in a day, such as `essential_day_wh`. [Wh]
    Gives DataFrame: Indexed by store: fuel, is_fed (whether the generator draws on it), shared_with
        (others that burn it, whose use is not counted here), full_load_h, half_load_h, days (by the
        schedule with the least fuel). Stores of another fuel than the generator's are left out.
        Empty without a generator.
    """
    columns = ["fuel", "is_fed", "shared_with", "full_load_h", "half_load_h", "days"]
    if plan.generator is None:
        return pd.DataFrame(columns=columns, index=pd.Index([], name="store"))
    fed, engine = fuel_of(plan), plan.generator
    least = schedules(plan, daily_wh)
    rows = []
    for store, usable_wh in zip(plan.fuels, fuel_stores.fuel_start_wh(plan), strict=True):
        if store.fuel != fed.fuel:
            continue
        users = [heater.name for heater in plan.heaters if heater.store == store.name]
        users += ["hot water"] * bool(plan.hot_water and plan.hot_water.store == store.name)
        users += ["cooking"] * bool(plan.cooking and plan.cooking.store == store.name)
        rows.append(
            {
                "store": store.name,
                "fuel": store.fuel,
                "is_fed": store.name == fed.name,
                "shared_with": ", ".join(users),
                "full_load_h": usable_wh / float(_burned_w(plan, engine.rated_w)),
                "half_load_h": usable_wh / float(_burned_w(plan, engine.rated_w / 2)),
                "days": usable_wh / least[0].fuel_wh_day if least else math.nan,
            }
        )
    return pd.DataFrame(rows, columns=["store", *columns]).set_index("store")


@dataclass(frozen=True)
class Services:
    """Oil changes of an average year."""

    run_h: float  # running hours of an average year with deliveries
    interval_h: float  # hours between services
    a_year: float
    days_between: float  # infinite if it never runs


def services(outlook):
    """How often the generator needs service in an average year.

    Gives Services or None: None without a generator.
    """
    engine = outlook.plan.generator
    if engine is None:
        return None
    run_h = float(outlook.year.totals["generator_h"])
    interval_h = float(units.convert(engine.service_s, "time"))
    a_year = run_h / interval_h
    return Services(run_h, interval_h, a_year, DAYS_N / a_year if a_year > 0 else math.inf)
