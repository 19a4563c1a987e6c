"""Findings about warmth: heaters against the design day, power, propane, fires indoors, pipes.

Every text compares two figures or names a dependence. None says that an installation is in order:
the local code, the supplier and licensed fitters decide.
"""

import math

import numpy as np

from homestead import reference, units
from homestead.findings import cautions
from homestead.findings.finding import found
from homestead.formulas.warmth import cool_down as cooling_down
from homestead.formulas.warmth import fuels
from homestead.simulate import heaters
from homestead.simulate.constants import daily_limit_h
from homestead.simulate.inputs import MONTH_OF_DAY
from homestead.trades.warmth import check_hot_tank as hot_tank
from homestead.trades.warmth import check_stored_fuel as stored_fuel
from homestead.trades.warmth import study_cool_down as cool_down
from homestead.trades.warmth import study_fuel as fuel
from homestead.trades.warmth import study_warmth as warmth

QUICK_H = 24.0  # pipes at risk sooner than this are a warning; project choice
LARGEST_TABLED_M3 = units.parse("30000 gal", "volume")
LARGEST_BURIED_M3 = units.parse("2000 gal", "volume")
OLD_AGE, YOUNG_AGE = 65, 1  # whom the World Health Organization's earlier advice of 20 degC means


def findings_of(plan, hours=None):
    """Yield findings about the warmth of a plan.

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
    lost = (
        "{loss_w:2} that the house loses at {design_c} outdoors ({is_entered:your entry|99 % of "
        "hours are warmer})"
    )
    source = "Loss through shell and air leaks, no gains; ASHRAE Fundamentals, from memory"
    if len(day.heaters) == 0:
        said = "You haven't entered a heater. The house loses {loss_w:2} at {design_c} outdoors "
        said += "({is_entered:your entry|99 % of hours are warmer})."
        yield found("warmth.no heater: heaters", "warning", said, source, day)
        return
    all_w, first = float(day.heaters["output_w"].sum()), day.heaters.iloc[0]
    if all_w < day.loss_w:
        said = "All heaters together give {all_w:2}, less than the " + lost + "."
        heading = "warmth.heaters too small: heaters"
        yield found(heading, "warning", said, source, locals(), day, limit="loss_w")
    elif first["ratio_frac"] < 1.0:
        yield found(
            "warmth.first heater alone: {subject}",
            "note",
            "Alone it gives {output_w:2} of the " + lost + "; the heaters after it have to help.",
            source,
            dict(first),
            day,
            subject=str(day.heaters.index[0]),
            limit="loss_w",
        )


def _heat_pumps_in_the_cold(plan):
    for heater in plan.heaters:
        if heater.is_heat_pump_by_air and heater.off_below_c > plan.site.record_low_c:
            yield found(
                "warmth.heat pump in the cold: {subject}",
                "warning",
                "It stops below {off_below_c} outdoors; the record low is {record_low_c}. Plan "
                "another heater for then.",
                "The heater's own label",
                heater,
                plan.site,
                subject=heater.name,
                limit="record_low_c",
            )


def _heat_without_power(plan, hours):
    source = "Worked out from your heaters"
    free = [heater.name for heater in plan.heaters if not heaters.needs_power(heater)]
    if plan.heaters and not free:
        names = [heater.name for heater in plan.heaters]
        said = "Every heater needs electricity ({names}): when the power fails, you have no heat."
        yield found("warmth.all electric: heaters", "warning", said, source, locals())
        return
    day = _design(plan, hours)
    if day is None or len(free) == len(plan.heaters):
        return
    free_w = float(day.heaters.loc[~day.heaters["needs_power"], "output_w"].sum())
    if free_w < day.loss_w:
        yield found(
            "warmth.heat without power: heaters",
            "warning",
            "Without power only {free} {several:run|runs}: {free_w:2} of the {loss_w:2} you "
            "need on the coldest day heaters are sized for. The rooms would stay below the "
            "thermostat.",
            source,
            locals() | {"several": len(free) > 1},
            day,
            limit="loss_w",
        )


def _propane_boil_off(plan):
    for name, tank in fuel.propane_tanks(plan).iterrows():
        if tank["boil_off_record_low_w"] < tank["peak_w"]:
            yield found(
                "warmth.propane boil off: {subject}",
                "warning",
                "At your record low of {record_low_c} and {fill_frac} full, the tank gives gas "
                "for about {boil_off_record_low_w:2}, less than the {peak_w:2} all its burners "
                "need together: flames may sink or go out. Relight a burner only as its maker "
                "says. A colder or emptier tank gives less. {gas_fitter}",
                "Rule of the trade for tanks above ground, from memory, not checked against a book",
                dict(tank),
                subject=str(name),
                limit="peak_w",
            )


def _propane_fill(plan):
    most_frac = reference.value("cautions", "propane fill", "limit", "")
    for store in plan.fuels:
        if store.fuel != "propane" or not store.tank_m3:
            continue
        most_m3 = float(fuels.propane_usable_m3(store.tank_m3, most_frac))
        given = {"in store": store.amount, "at each delivery": store.delivery_amount or 0.0}
        for when, filled_m3 in given.items():
            if filled_m3 > most_m3 * 1.001:  # room for figures rounded when they were typed
                yield found(
                    f"warmth.propane {when}: {{subject}}",
                    "warning",
                    "{filled_m3} {when} is more than {most_frac} of the tank, {most_m3}: the "
                    "liquid swells as it warms. {gas_fitter}",
                    "29 CFR 1910.110(b)(19), rounded by the trade",
                    locals(),
                    subject=store.name,
                    limit="most_m3",
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
        if store.tank_distance_m < least_m * 0.999:
            yield found(
                "warmth.propane distance: {subject}",
                "warning",
                "It is {tank_distance_m} from a building or line; one code's table needs {least_m} "
                "for a tank of {tank_m3} {tank_place}. {gas_fitter}",
                "Ohio Fire Code, table 6104.3, after NFPA 58",
                locals(),
                store,
                subject=store.name,
                limit="least_m",
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
    from_store_wh = float(hours.fuel_start_wh[plan.fuels.index(store)])
    air_c = hours.column("air_c").reshape(-1, 24).mean(axis=1)
    month_of_day = np.tile(MONTH_OF_DAY, hours.years_n)
    coldest_c = min(air_c[month_of_day == month].mean() for month in range(1, 13))
    loss_w = warmth.loss_w_k(plan) * max(plan.house.keep_c - coldest_c, 0.0)
    heat_wh = min(loss_w, heater.output_w) / heater.efficiency_frac * 24.0
    engine_h = daily_limit_h(plan)
    engine_wh = engine.full_load_fuel_w * engine_h
    if min(heat_wh, engine_wh) <= 0:
        return
    heat_days, engine_days = from_store_wh / heat_wh, from_store_wh / engine_wh
    both_days, heater_name = from_store_wh / (heat_wh + engine_wh), heater.name
    yield found(
        "warmth.one tank: {subject}",
        "note",
        "Both {heater_name} and generator burn from this tank. In the coldest month it would "
        "last {heat_days:.0f} if only the {heater_name} heated the house, {engine_days:.0f} if "
        "only the generator ran, {engine_h:.0f} a day at full load, and {both_days:.0f} with "
        "both.",
        "Worked out from the plan: store, loss of the house, fuel at full load",
        locals(),
        subject=store.name,
    )


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
    if names:
        # Those of the source that is named below.
        alarms = " ".join(
            caution.text
            for caution in cautions.cautions("carbon monoxide")
            if caution.source == "ul-2034"
        )
        yield found(
            "warmth.fire indoors: carbon monoxide",
            "note",
            "You burn fuel in the house: {names}. {alarms} {heating_fitter}",
            "UL 2034, response of alarms; read in a copy",
            locals(),
        )


def _combustion_air(plan):
    burners = dict(_burners_indoors(plan))
    if not burners:
        return
    item = "combustion air from rooms"
    asked_air_m3 = reference.value("cautions", item, "volume_per_input", "m^3/W")
    asked_air_m3 *= sum(burners.values())
    least_changes = reference.value("cautions", item, "air_changes_least", "1/hour")
    has_air_m3, changes, names = warmth.air_m3(plan), plan.house.air_changes_h, list(burners)
    source = (
        "International Fuel Gas Code 304.5.1, standard method, from memory; written for gas, taken "
        "here for every fire"
    )
    if has_air_m3 < asked_air_m3:
        yield found(
            "warmth.rooms too small: combustion air",
            "warning",
            "The rooms hold {has_air_m3}; the standard method needs {asked_air_m3} for fires that "
            "take their air from them ({names}). {heating_fitter}",
            source,
            locals(),
            limit="asked_air_m3",
        )
    elif changes < least_changes * 0.999:
        yield found(
            "warmth.house too tight: combustion air",
            "warning",
            "With {changes:.2g} air changes an hour the house is tighter than the "
            "{least_changes:.2g} the standard method counts on; {names} may need their own "
            "outside air. {heating_fitter}",
            source,
            locals(),
            limit="least_changes",
        )


def _wet_wood(plan):
    most_frac = reference.value("cautions", "firewood", "moisture_most", "")
    for store in plan.fuels:
        if store.moisture_frac is not None and store.moisture_frac > most_frac + 1e-9:
            yield found(
                "warmth.wet wood: {subject}",
                "warning",
                "Wood at {moisture_frac} moisture is wetter than the {most_frac} advised: it gives "
                "less heat, more smoke, and tar in the flue, which can catch fire. Have the "
                "chimney swept and inspected. {heating_fitter}",
                "U.S. EPA, advice on seasoned wood, from memory",
                store,
                locals(),
                subject=store.name,
                limit="most_frac",
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
        yield found(
            "warmth.cold rooms: thermostat",
            "note",
            "You keep rooms at {keep_c}; the World Health Organization advises {least_c} and up "
            "in the cold season, and more for babies, older people and the sick.",
            source,
            locals(),
            limit="least_c",
        )
    elif frail and keep_c < frail_c - 0.05:
        yield found(
            "warmth.cold for the frail: thermostat",
            "note",
            "You keep rooms at {keep_c}; for babies and older people ({frail}) the World Health "
            "Organization used to advise {frail_c}.",
            source,
            locals(),
            limit="frail_c",
        )


def _pipes(plan):
    low_c, below_c, pipes_c = (
        plan.site.record_low_c,
        plan.failure.cold_below_c,
        plan.failure.pipes_below_c,
    )
    pipes_h = cool_down.steady_hours_to_pipes(plan, low_c)
    if math.isinf(pipes_h):
        return
    time_constant_h = warmth.time_constant_h(plan)
    rooms_h = float(cooling_down.hours_to_cool(plan.house.keep_c, low_c, below_c, time_constant_h))
    rooms_cool = not math.isinf(rooms_h)
    yield found(
        "warmth.pipes: pipes",
        "warning" if pipes_h < QUICK_H else "note",
        "With no heat, no sun and {low_c} outdoors, {rooms_cool:the rooms fall to {below_c} after "
        "about {rooms_h:.0f} and |}pipes reach {pipes_c} after about {pipes_h:.0f}. Pipes in outer "
        "walls, attics and crawl spaces freeze sooner. Know where to shut the water off and how to "
        "drain the pipes.",
        "Worked out for the house as one room in steady cold, by Newton's law of cooling",
        locals(),
        limit="pipes_c",
    )
