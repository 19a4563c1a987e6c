"""Fuel looked at closely: who burns it, the store through a normal year, propane in the cold, cost.

Amounts are in the unit of the store (m3 of liquid or stacked wood, kg of pellets). The year is a
normal one, with deliveries in the months that the plan gives; isolation has none.
"""

import math

import numpy as np
import pandas as pd

from homestead import reference
from homestead.formulas.warmth import fuels
from homestead.simulate import fuel_stores
from homestead.trades.warmth.study_warmth import MONTHS, by_month, design_c_of

MEAN_WOOD = "average cord"
FULLEST_FRAC = 0.85  # end of the rule for boil-off; a fuller tank boils off no less


def users(plan):
    """Everything that burns a stored fuel, and the most that it takes at once.

    Gives DataFrame: Columns: user, store, fuel, peak_w (heat in the fuel). One row for each user.
    """
    rows = [
        (heater.name, heater.store, heater.output_w / heater.efficiency_frac)
        for heater in plan.heaters
        if heater.store != "electricity"
    ]
    if plan.hot_water and plan.hot_water.store != "electricity":
        rows.append(("hot water", plan.hot_water.store, plan.hot_water.input_w))
    if plan.cooking:
        rows.append(("cooking", plan.cooking.store, plan.cooking.input_w))
    if plan.generator:
        rows.append(("generator", plan.generator.store, plan.generator.full_load_fuel_w))
    table = pd.DataFrame(rows, columns=["user", "store", "peak_w"])
    kinds = {fuel.name: fuel.fuel for fuel in plan.fuels}
    table.insert(2, "fuel", table["store"].map(kinds))
    return table


def used_by_month(hours, trace):
    """Fuel taken from each store in each month of an average year, with deliveries.

    trace (Trace) : From `warmth.delivered_trace`.
    Gives DataFrame of 12 rows: A column for each store, in its own unit (m3 or kg).
    """
    # Each day begins with the full store, so what is missing at its end is that day's use.
    used_wh = np.zeros_like(trace.fuel_wh)
    used_wh[23::24] = hours.fuel_start_wh - trace.fuel_wh[23::24]
    return pd.DataFrame(
        {
            fuel.name: by_month(hours, used_wh[:, number]) / fuel_stores.fuel_wh_per_unit(fuel)
            for number, fuel in enumerate(hours.plan.fuels)
        },
        index=MONTHS,
    )


def most_in_store(fuel):
    """Fullest that a delivery may leave a store: 80 % of a propane tank, else no limit."""
    if fuel.fuel == "propane" and fuel.tank_m3:
        return float(fuels.propane_usable_m3(fuel.tank_m3))
    return math.inf


def ledger(hours, trace):
    """Level of each store through a normal year that begins in January with the amount entered.

    trace (Trace) : From `warmth.delivered_trace`.
    Gives DataFrame: Index: store, month. Columns: start_amount, delivered_amount (on the first of
        the month), wanted_amount (use of an average year), used_amount, short_amount (wanted, not
        there), end_amount, is_low (below the plan's share of the amount in store at the month's
        end).

    A delivery brings the plan's amount, or fills the store up to the amount entered; a propane
    tank takes no more than 80 % of its water capacity. The heel stays in the store.
    """
    wanted = used_by_month(hours, trace)
    rows, index = [], []
    for fuel in hours.plan.fuels:
        level = fuel.amount
        heel = fuel.amount * fuel.reserve_frac
        for month in MONTHS:
            start, delivered = level, 0.0
            if month in fuel.delivery_months:
                most = most_in_store(fuel)
                brought = fuel.delivery_amount
                if brought is None:
                    brought, most = math.inf, min(most, fuel.amount)
                delivered = max(min(brought, most - level), 0.0)
            asked = float(wanted.loc[month, fuel.name])
            used = min(asked, max(level + delivered - heel, 0.0))
            level = level + delivered - used
            is_low = level < fuel.low_below_frac * fuel.amount
            rows.append((start, delivered, asked, used, asked - used, level, is_low))
            index.append((fuel.name, month))
    columns = ["start_amount", "delivered_amount", "wanted_amount", "used_amount"]
    columns += ["short_amount", "end_amount", "is_low"]
    names = pd.MultiIndex.from_tuples(index, names=["store", "month"]) if index else None
    return pd.DataFrame(rows, columns=columns, index=names)


def first_low_months(table):
    """First month of a `ledger` in which each store counts as low; None if never.

    Gives dict of str to int or None.
    """
    found = {}
    for store, months in table.groupby(level="store", sort=False):
        low = months.index.get_level_values("month")[months["is_low"].to_numpy(dtype=bool)]
        found[store] = int(low[0]) if len(low) else None
    return found


def propane_fill_frac(fuel):
    """Liquid level of a propane tank, share of its water capacity."""
    return fuel.amount / fuel.tank_m3


def propane_tanks(plan, hours=None):
    """Propane tanks in the cold: what they hold, what they boil off, what burners ask for.

    hours (Hours, optional) : For the design temperature, where the plan has none.
    Gives DataFrame: Index: store; propane stores with a tank size only. Columns: tank_m3,
        fill_frac, full_m3 (80 %), usable_m3 (above the heel), diameter_m, length_m, is_usual_size
        (not entered), record_low_c, boil_off_record_low_w, design_c, boil_off_design_w (nan without
        `hours`), low_boil_off_w (at the record low and the level that counts as low), peak_w (all
        users at once), share_frac (boil-off at the record low over peak; infinity without users).

    Boil-off follows the servicemen's rule for tanks above ground. A buried tank is warmer than the
    air and does better. Burners in use all together is the hardest case, and a short one.
    """
    asked_w = users(plan).groupby("store")["peak_w"].sum()
    rows = {}
    for fuel in plan.fuels:
        if fuel.fuel != "propane" or not fuel.tank_m3:
            continue
        is_usual = fuel.tank_diameter_m is None
        size_m = (
            fuels.propane_tank_size_m(fuel.tank_m3)
            if is_usual
            else (fuel.tank_diameter_m, fuel.tank_length_m)
        )
        low_c = plan.site.record_low_c
        fill_frac = propane_fill_frac(fuel)
        wetted_frac = min(fill_frac, FULLEST_FRAC)
        boil_w = float(fuels.propane_vaporisation_w(*size_m, wetted_frac, low_c))
        at_low_w = fuels.propane_vaporisation_w(*size_m, wetted_frac * fuel.low_below_frac, low_c)
        design_c, design_w = math.nan, math.nan
        if hours is not None or plan.house.design_c is not None:
            design_c = design_c_of(plan, hours)
            design_w = float(fuels.propane_vaporisation_w(*size_m, wetted_frac, design_c))
        peak_w = float(asked_w.get(fuel.name, 0.0))
        rows[fuel.name] = {
            "tank_m3": fuel.tank_m3,
            "fill_frac": fill_frac,
            "full_m3": most_in_store(fuel),
            "usable_m3": fuel.amount * (1.0 - fuel.reserve_frac),
            "diameter_m": size_m[0],
            "length_m": size_m[1],
            "is_usual_size": is_usual,
            "record_low_c": low_c,
            "boil_off_record_low_w": boil_w,
            "design_c": design_c,
            "boil_off_design_w": design_w,
            "low_boil_off_w": float(at_low_w),
            "peak_w": peak_w,
            "share_frac": boil_w / peak_w if peak_w else math.inf,
        }
    columns = "tank_m3 fill_frac full_m3 usable_m3 diameter_m length_m is_usual_size record_low_c"
    columns += " boil_off_record_low_w design_c boil_off_design_w low_boil_off_w peak_w share_frac"
    return pd.DataFrame.from_dict(rows, orient="index", columns=columns.split()).rename_axis(
        "store"
    )


def cordwood(plan):
    """Heat of the wood in store by species, air-dry and at the moisture entered.

    Gives DataFrame: Columns: store, species, moisture_frac, air_dry_wh_per_cord, wh_per_cord.
    """
    air_dry = reference.value("wood_species", "air-dry wood", "moisture", "")
    rows = []
    for fuel in plan.fuels:
        if fuel.fuel != "cordwood":
            continue
        moisture = air_dry if fuel.moisture_frac is None else fuel.moisture_frac
        for species in fuel.species or (None,):
            rows.append(
                (
                    fuel.name,
                    species or MEAN_WOOD,
                    moisture,
                    float(fuels.cordwood_moist_wh_per_cord(species, air_dry)),
                    float(fuels.cordwood_moist_wh_per_cord(species, moisture)),
                )
            )
    columns = ["store", "species", "moisture_frac", "air_dry_wh_per_cord", "wh_per_cord"]
    return pd.DataFrame(rows, columns=columns)


def cost_of_heat(plan):
    """Money for delivered heat, for each user of a store with a price.

    Gives DataFrame: Columns: user, store, efficiency_frac, wh_per_unit (in the fuel),
        price_per_unit_money, cost_per_kwh_money. Empty where no price is entered. Electricity for a
        blower is not in it.
    """
    burners = [(heater.name, heater.store, heater.efficiency_frac) for heater in plan.heaters]
    if plan.hot_water:
        burners.append(("hot water", plan.hot_water.store, plan.hot_water.efficiency_frac))
    rows = []
    for user, store, efficiency in burners:
        fuel = plan.fuel_named(store)
        if fuel is None or fuel.price_money is None:
            continue
        price = fuel.price_money / fuel.price_amount
        per_unit_wh = fuel_stores.fuel_wh_per_unit(fuel)
        cost = fuels.delivered_heat_cost_per_wh(price, per_unit_wh, efficiency)
        rows.append((user, store, efficiency, per_unit_wh, price, float(cost) * 1000.0))
    columns = ["user", "store", "efficiency_frac", "wh_per_unit", "price_per_unit_money"]
    return pd.DataFrame(rows, columns=[*columns, "cost_per_kwh_money"])
