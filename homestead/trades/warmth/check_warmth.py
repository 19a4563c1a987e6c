"""Findings about warmth: heaters against the design day, power, propane, fires indoors, pipes.

Every text compares two figures or names a dependence. None says that an installation is in order:
the local code, the supplier and licensed fitters decide.
"""

import math

import numpy as np

from homestead import reference, units
from homestead.findings import cautions
from homestead.findings.finding import Finding
from homestead.formulas.warmth import cool_down as cooling_down
from homestead.formulas.warmth import fuels
from homestead.simulate.constants import daily_limit_h
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.trades.warmth import check_hot_tank as hot_tank
from homestead.trades.warmth import check_stored_fuel as stored_fuel
from homestead.trades.warmth import (
    study_cool_down as cool_down,
)
from homestead.trades.warmth import (
    study_fuel as fuel,
)
from homestead.trades.warmth import (
    study_warmth as warmth,
)

GAS = "The local fire code, the supplier and a licensed gas fitter decide."
CHIMNEY = "The local code and a licensed heating fitter decide."
QUICK_H = 24.0  # pipes at risk sooner than this are a warning; project choice
LARGEST_TABLED_M3 = units.parse("30000 gal", "volume")
LARGEST_BURIED_M3 = units.parse("2000 gal", "volume")
OLD_AGE, YOUNG_AGE = 65, 1  # whom the World Health Organization's earlier advice of 20 degC means


def findings_of(plan, hours=None):
    """Yield findings about the warmth of a plan.

    plan (Plan)
    hours (Hours, optional) : Without it, what needs the weather is left out.
    """
    yield from _heaters_against_design(plan, hours)
    yield from _heat_pumps_in_the_cold(plan)
    yield from _heat_without_power(plan, hours)
    yield from _propane_boil_off(plan)
    yield from stored_fuel.findings_of(plan)
    yield from hot_tank.findings_of(plan, hours)
    yield from _propane_fill(plan)
    yield from _propane_distance(plan)
    yield from _one_tank(plan, hours)
    yield from _fire_indoors(plan)
    yield from _combustion_air(plan)
    yield from _wet_wood(plan)
    yield from _cold_rooms(plan)
    yield from _pipes(plan)


def _shown(plan, value, kind):
    return units.show(value, kind, plan.units)


def _rough(plan, value, kind="power"):
    """Two digits: what a rule of thumb or a guess can carry."""
    return units.rough(value, kind, plan.units)


def _design(plan, hours):
    """Design day, or None where neither plan nor weather gives a temperature."""
    if hours is None:
        return None
    day = warmth.design_day(hours)
    return day if day.loss_w > 0 else None


def _heaters_against_design(plan, hours):
    day = _design(plan, hours)
    if day is None:
        return
    loss, at = _rough(plan, day.loss_w), _shown(plan, day.design_c, "temperature")
    basis = "your entry" if day.is_entered else "99 % of the hours of the weather are warmer"
    source = "Loss through shell and air leaks, no gains; ASHRAE Fundamentals, from memory"
    if len(day.heaters) == 0:
        yield Finding(
            "warning",
            "heaters",
            f"You have no heater entered. The house loses {loss} at {at} outdoors ({basis}).",
            source,
            code="heaters against design",
        )
        return
    all_w = float(day.heaters["output_w"].sum())
    if all_w < day.loss_w:
        yield Finding(
            "warning",
            "heaters",
            f"All heaters together give {_rough(plan, all_w)}, less than the {loss} that "
            f"the house loses at {at} outdoors ({basis}).",
            source,
            code="heaters against design",
        )
    elif day.heaters["ratio_frac"].iloc[0] < 1.0:
        first = day.heaters.iloc[0]
        yield Finding(
            "note",
            str(day.heaters.index[0]),
            f"Alone it gives {_rough(plan, float(first['output_w']))} of the {loss} that "
            f"the house loses at {at} outdoors ({basis}); the heaters after it have to help.",
            source,
            code="heaters against design",
        )


def _heat_pumps_in_the_cold(plan):
    low_c = plan.site.record_low_c
    for heater in plan.heaters:
        if heater.is_heat_pump_by_air and heater.off_below_c > low_c:
            yield Finding(
                "warning",
                heater.name,
                f"It stops below {_shown(plan, heater.off_below_c, 'temperature')} outdoors; the "
                f"record low is {_shown(plan, low_c, 'temperature')}. "
                "Plan another heater for then.",
                "The heater's own label",
                code="heat pumps in the cold",
            )


def _heat_without_power(plan, hours):
    if not plan.heaters:
        return
    source = "Worked out from your heaters"
    free = [heater for heater in plan.heaters if not warmth.needs_power(heater)]
    if not free:
        names = ", ".join(heater.name for heater in plan.heaters)
        yield Finding(
            "warning",
            "heaters",
            f"Every heater needs electricity ({names}): when the power fails, you have no heat.",
            source,
            code="heat without power",
        )
        return
    day = _design(plan, hours)
    if day is None or len(free) == len(plan.heaters):
        return
    free_w = float(day.heaters.loc[~day.heaters["needs_power"], "output_w"].sum())
    if free_w < day.loss_w:
        names = ", ".join(one.name for one in free)
        yield Finding(
            "warning",
            "heaters",
            f"Without power only {names} runs, {_rough(plan, free_w)} of the "
            f"{_rough(plan, day.loss_w)} that the design day needs: the rooms would settle "
            "below the thermostat.",
            source,
            code="heat without power",
        )


def _propane_boil_off(plan):
    for name, tank in fuel.propane_tanks(plan).iterrows():
        if tank["boil_off_record_low_w"] >= tank["peak_w"]:
            continue
        yield Finding(
            "warning",
            str(name),
            f"At {_shown(plan, tank['record_low_c'], 'temperature')}, the record low, and "
            f"{_shown(plan, tank['fill_frac'], 'fraction')} full the tank boils off gas for about "
            f"{_rough(plan, tank['boil_off_record_low_w'])}, less than the "
            f"{_rough(plan, tank['peak_w'])} that all burners need together: flames may sink or "
            "go out. Relight a burner only as its maker says. A colder or "
            f"emptier tank gives less. {GAS}",
            "Rule of the trade for tanks above ground, from memory, not checked against a book",
            code="propane boil off",
        )


def _propane_fill(plan):
    filled = reference.value("cautions", "propane fill", "limit", "")
    for store in plan.fuels:
        if store.fuel != "propane" or not store.tank_m3:
            continue
        most_m3 = float(fuels.propane_usable_m3(store.tank_m3, filled))
        given = {"in store": store.amount, "at each delivery": store.delivery_amount or 0.0}
        for what, amount_m3 in given.items():
            if amount_m3 <= most_m3 * 1.001:  # room for figures rounded when they were typed
                continue
            yield Finding(
                "warning",
                store.name,
                f"{_shown(plan, amount_m3, 'volume')} {what} is more than "
                f"{_shown(plan, filled, 'fraction')} of the tank, "
                f"{_shown(plan, most_m3, 'volume')}: the liquid swells as it warms. {GAS}",
                "29 CFR 1910.110(b)(19), rounded by the trade",
                code="propane fill",
            )


def _propane_distance(plan):
    for store in plan.fuels:
        if store.fuel != "propane" or not store.tank_m3 or store.tank_distance_m is None:
            continue
        buried = store.tank_place == "underground"
        if store.tank_m3 > (LARGEST_BURIED_M3 if buried else LARGEST_TABLED_M3):
            continue  # beyond the table here
        if buried:
            item = "propane tank underground to 2000 gal"
            least_m = reference.value("distances", item, "building_or_line", "m")
        else:
            least_m = float(cautions.propane_tank_distance_m(store.tank_m3))
        if store.tank_distance_m >= least_m * 0.999:
            continue
        yield Finding(
            "warning",
            store.name,
            f"It is {_shown(plan, store.tank_distance_m, 'length')} from a building or line; "
            f"one code's table needs {_shown(plan, least_m, 'length')} for a tank of "
            f"{_shown(plan, store.tank_m3, 'volume')} {store.tank_place}. {GAS}",
            "Ohio Fire Code, table 6104.3, after NFPA 58",
            code="propane distance",
        )


def _one_tank(plan, hours):
    """Generator and heat on one store: how long it would last with each of them."""
    engine = plan.generator
    if engine is None or hours is None:
        return
    heater = next((heater for heater in plan.heaters if heater.store == engine.store), None)
    store = plan.fuel_named(engine.store)
    if heater is None or store is None:
        return
    from_store_wh = _usable_wh(plan, hours, store)
    air_c = hours.column("air_c").reshape(-1, 24).mean(axis=1)
    month_of_day = np.tile(MONTH_OF_DAY, hours.years_n)
    coldest_c = min(air_c[month_of_day == month].mean() for month in range(1, 13))
    loss_w = warmth.loss_w_k(plan) * max(plan.house.keep_c - coldest_c, 0.0)
    heat_wh = min(loss_w, heater.output_w) / heater.efficiency_frac * 24.0
    engine_wh = engine.full_load_fuel_w * daily_limit_h(plan)
    both_wh = heat_wh + engine_wh
    if min(heat_wh, engine_wh) <= 0:
        return
    yield Finding(
        "note",
        store.name,
        f"{heater.name} and generator burn from one tank. In the coldest month it would last "
        f"{from_store_wh / heat_wh:.0f} days with {heater.name} alone carrying the loss of the "
        f"house, {from_store_wh / engine_wh:.0f} days with the generator alone at full load for "
        f"its {daily_limit_h(plan):.0f} h a day, {from_store_wh / both_wh:.0f} days "
        "with both.",
        "Worked out from the plan: store, loss of the house, fuel at full load",
        code="one tank",
    )


def _usable_wh(plan, hours, store):
    return float(hours.fuel_start_wh[plan.fuels.index(store)])


def _burners_indoors(plan):
    """Name and fuel input of everything that burns the air of the rooms."""
    users = fuel.users(plan).set_index("user")["peak_w"]
    for heater in plan.heaters:
        if heater.store != "electricity" and heater.air == "room":
            yield heater.name, float(heater.output_w / heater.efficiency_frac)
    hot = plan.hot_water
    if hot and hot.store != "electricity" and hot.air == "room":
        yield "hot water", float(users["hot water"])
    if plan.cooking:
        yield "cooking", float(users["cooking"])


def _fire_indoors(plan):
    names = [name for name, _ in _burners_indoors(plan)]
    if not names:
        return
    # Those of the source that is named below.
    words = [
        caution.text
        for caution in cautions.cautions("carbon monoxide")
        if caution.source == "ul-2034"
    ]
    yield Finding(
        "note",
        "carbon monoxide",
        f"You burn fuel in the house: {', '.join(names)}. {' '.join(words)} {CHIMNEY}",
        "UL 2034, response of alarms; read in a copy",
        code="fire indoors",
    )


def _combustion_air(plan):
    burners = dict(_burners_indoors(plan))
    if not burners:
        return
    item = "combustion air from rooms"
    per_w = reference.value("cautions", item, "volume_per_input", "m^3/W")
    least_changes = reference.value("cautions", item, "air_changes_least", "1/hour")
    asked_m3, has_m3 = per_w * sum(burners.values()), warmth.air_m3(plan)
    source = (
        "International Fuel Gas Code 304.5.1, standard method, from memory; written for gas, taken "
        "here for every fire"
    )
    if has_m3 < asked_m3:
        text = (
            f"The rooms hold {_air_text(plan, has_m3)}; the standard method needs "
            f"{_air_text(plan, asked_m3)} for fires that take their air from them "
            f"({', '.join(burners)})."
        )
    elif plan.house.air_changes_h < least_changes * 0.999:
        text = (
            f"With {plan.house.air_changes_h:.2g} air changes an hour the house is tighter than "
            f"the {least_changes:.2g} that the standard method for air from the rooms counts on; "
            f"{', '.join(burners)} may need their own outside air."
        )
    else:
        return
    yield Finding("warning", "combustion air", f"{text} {CHIMNEY}", source, code="combustion air")


def _air_text(plan, volume_m3):
    if plan.units == "us":
        return f"{units.digits(units.convert_unit(volume_m3, 'm^3', 'ft^3'))} ft³"
    return f"{units.digits(volume_m3)} m³"


def _wet_wood(plan):
    most = reference.value("cautions", "firewood", "moisture_most", "")
    for store in plan.fuels:
        if store.moisture_frac is None or store.moisture_frac <= most + 1e-9:
            continue
        yield Finding(
            "warning",
            store.name,
            f"Wood at {_shown(plan, store.moisture_frac, 'fraction')} moisture is wetter than the "
            f"{_shown(plan, most, 'fraction')} advised: it gives less heat, more smoke, and tar in "
            "the flue, which can catch fire. Have the chimney swept and inspected. " + CHIMNEY,
            "U.S. EPA, advice on seasoned wood, from memory",
            code="wet wood",
        )


def _cold_rooms(plan):
    source = "World Health Organization, Housing and health guidelines, 2018, ch. 4; read in a copy"
    keep_c = plan.house.keep_c
    least_c = cautions.temperature_limit_c("general population")
    frail_c = cautions.temperature_limit_c("infants and elderly")
    frail = [
        person.name
        for person in plan.people
        if person.age_n >= OLD_AGE or person.age_n <= YOUNG_AGE
    ]
    if keep_c < least_c - 0.05:  # half the last digit that a plan is typed with
        yield Finding(
            "note",
            "thermostat",
            f"Rooms are kept at {_shown(plan, keep_c, 'temperature')}; the World Health "
            f"Organization advises {_shown(plan, least_c, 'temperature')} and up in the cold "
            "season, and more for babies, older people and the sick.",
            source,
            code="cold rooms",
        )
    elif frail and keep_c < frail_c - 0.05:
        yield Finding(
            "note",
            "thermostat",
            f"Rooms are kept at {_shown(plan, keep_c, 'temperature')}; for babies and older "
            f"people ({', '.join(frail)}) earlier advice of the World Health Organization was "
            f"{_shown(plan, frail_c, 'temperature')}.",
            source,
            code="cold rooms",
        )


def _pipes(plan):
    low_c = plan.site.record_low_c
    pipes_h = cool_down.steady_hours_to_pipes(plan, low_c)
    if math.isinf(pipes_h):
        return
    rooms_h = float(
        cooling_down.hours_to_cool(
            plan.house.keep_c, low_c, plan.failure.cold_below_c, warmth.time_constant_h(plan)
        )
    )
    rooms = ""
    if not math.isinf(rooms_h):
        below = _shown(plan, plan.failure.cold_below_c, "temperature")
        rooms = f"the rooms fall to {below} after about {rooms_h:.0f} h and "
    yield Finding(
        "warning" if pipes_h < QUICK_H else "note",
        "pipes",
        f"With no heat, no sun and {_shown(plan, low_c, 'temperature')} outdoors, {rooms}"
        f"pipes reach {_shown(plan, plan.failure.pipes_below_c, 'temperature')} after about "
        f"{pipes_h:.0f} h. Pipes in outer walls, attics and crawl spaces freeze sooner. Know where "
        "to shut the water off and how to drain the pipes.",
        "Worked out for the house as one room in steady cold, by Newton's law of cooling",
        code="pipes",
    )
