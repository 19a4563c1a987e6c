"""What readings say about the guesses of a plan: entries to type, offered and never applied.

Each is the one assumption that the reading measures most directly; where several could be wrong,
none is offered and the text says what to read first. Rules of this module are project choices.
"""

from dataclasses import dataclass

import numpy as np

from homestead import units
from homestead.plan import PlanError, with_changes
from homestead.plan.whose import SURE
from homestead.simulate.months import DAYS_OF_MONTH

# Below this a difference is the weather's; and so many days of readings before anything is offered.
# Project choices.
WORTH_A_CORRECTION_FRAC = 0.05
FEWEST_DAYS = 7
WHOLE_YEAR_MONTHS = 6  # readings in so many months speak for the year


@dataclass(frozen=True)
class Correction:
    """An entry of the plan that would bring its prediction to the readings."""

    what: str
    sets: dict  # path to what to type, as `PlanFile.set_all` takes it; empty if none is offered
    text: str  # what it is drawn from, or why none is offered


def correction(outlook, what, months, by_month):
    """The entry that would bring the prediction to the readings, or why there is none.

    what (str) : As in `homestead.questions.readings.WHAT`.
    months, by_month (DataFrame) : Rows of that what, and all rows, of `Readings.by_month`.
    Gives Correction.
    """
    plan, days_n = outlook.plan, int(months["days_n"].sum())
    read_sum, predicted_sum = (
        float((months[name] * months["days_n"]).sum()) for name in ("value", "predicted")
    )
    if days_n < FEWEST_DAYS:
        return Correction(what, {}, f"too few: {days_n} days read; it takes {FEWEST_DAYS}")
    if what == "inside temperature":
        sets, text = _keep(plan, months)
    elif predicted_sum <= 0 or read_sum <= 0:
        sets, text = {}, "one of the two is zero: check the meter and your plan first"
    elif abs(read_sum / predicted_sum - 1) < WORTH_A_CORRECTION_FRAC:
        return Correction(what, {}, "agrees within 5 %: nothing to correct")
    else:
        factor = read_sum / predicted_sum
        offer = OFFERS.get(what)
        sets, text = offer(outlook, factor, months, by_month) if offer else ({}, NO_OFFER[what])
        text = f"read {units.digits(100 * factor)} % of what was predicted; {text}"
    if sets:
        try:
            with_changes(plan.raw, sets, folder=plan.folder)
        except PlanError as error:
            sets, text = {}, f"{text}; that doesn't fit your plan: {str(error).splitlines()[0]}"
    return Correction(what, sets, text)


NO_OFFER = {
    "generator hours": "they depend on sun, use and battery: correct those first",
    "battery lowest": "it depends on sun and use: correct those first",
}


def _measured(value):
    """Entry for a value that readings gave; an older range would no longer hold."""
    return {"value": value, "basis": "measured"}


def _soiling(outlook, factor, months, by_month):
    """Sun that is missing: dirt all year where half a year was read, else loss in its months.

    Where a full battery turns sun away, the meter hides a loss, and the next readings show more.
    """
    sets = {}
    if len(months) >= WHOLE_YEAR_MONTHS:
        for array in outlook.plan.arrays:
            lost = 1.0 - (1.0 - array.soiling_frac) * factor
            sets[f"array.{array.name}.soiling"] = _measured(round(lost, 3))
        return sets, "that would be the share lost to dirt on every array"
    for array in outlook.plan.arrays:
        losses = list(array.monthly_loss_frac or (0.0,) * 12)
        for month in months.itertuples():
            share = month.value / month.predicted if month.predicted > 0 else 1.0
            losses[month.month_n - 1] = round(1.0 - (1.0 - losses[month.month_n - 1]) * share, 3)
        sets[f"array.{array.name}.monthly_loss"] = losses
    return sets, "that would be a loss in the months that were read, on every array"


def _appliances(outlook, factor, months, by_month):
    """Use that is more or less: shared by what is uncertain, after what follows from the rest."""
    monthly = outlook.year.monthly
    listed_wh, rest_wh, by_month_wh = 0.0, 0.0, {}
    for month in months.itertuples():
        mean_day = monthly.loc[month.month_n] / DAYS_OF_MONTH[month.month_n - 1]
        part = mean_day["essential_w"] + mean_day["useful_w"] + mean_day["comfort_w"]
        by_month_wh[month.month_n] = by_month_wh.get(month.month_n, 0.0) + month.days_n * part
        listed_wh += month.days_n * part
        rest_wh += month.days_n * (month.value - (mean_day["used_w"] - part))
    if listed_wh <= 0 or rest_wh <= 0:
        return {}, "pump, heat and cooling alone use more than you read: correct those first"
    doubted, share = scaled(outlook.plan, by_month_wh, rest_wh)
    if not doubted:
        return {}, (
            "every appliance that ran then is labeled or measured: look for what isn't on your list"
        )
    if share <= 0:
        return {}, "what is labeled or measured alone uses more than you read: look at that first"
    sets = {
        # Shared out by one meter, no appliance of them was measured.
        f"appliance.{appliance.name}.power": {
            "value": f"{round(appliance.power_w * share, 1)!r} W",
            "basis": "estimate",
        }
        for appliance in doubted
    }
    which = (
        "every appliance listed"
        if len(sets) == len(outlook.plan.appliances)
        else ("what is uncertain on your list; labels and measured figures stay")
    )
    return sets, f"that would be {units.digits(share)} times the power of {which}"


def scaled(plan, by_month_wh, wanted_wh):
    """What is uncertain among the appliances, and by which factor it reaches a wanted energy.

    by_month_wh (dict) : Energy of all appliances in each month that was read. [Wh]
    wanted_wh : What they would have to use in all. [Wh]
    Gives (tuple of Appliance, float): Estimates alone if that keeps them within their ranges, else
        all but those whose label or meter is sure; none and 0 where all are.
    """
    doubted, factor = (), 0.0
    for some in _uncertain(plan):
        own_wh = sum(wh * _share(plan, some, month) for month, wh in by_month_wh.items())
        if own_wh <= 0.0:
            continue
        sure_wh = sum(by_month_wh.values()) - own_wh
        doubted, factor = some, float((wanted_wh - sure_wh) / own_wh)
        if all(_is_in_range(plan, appliance, appliance.power_w * factor) for appliance in some):
            break
    return doubted, factor


def _uncertain(plan):
    """Appliances that are estimates, then all whose power no label and no meter gave."""
    found, estimates = [], []
    for raw, appliance in _with_power(plan):
        basis = raw.get("basis") if isinstance(raw, dict) else None
        if appliance.label_year_wh is not None or basis in SURE or appliance.power_w <= 0.0:
            continue
        found.append(appliance)
        if basis == "estimate" or (isinstance(raw, dict) and {"low", "high"} & set(raw)):
            estimates.append(appliance)
    return tuple(estimates), tuple(found)


def _with_power(plan):
    listed = plan.raw.get("appliance", ())
    return [
        (raw.get("power"), appliance)
        for raw, appliance in zip(listed, plan.appliances, strict=True)
    ]


def _is_in_range(plan, appliance, watts):
    raw = next(raw for raw, other in _with_power(plan) if other.name == appliance.name)
    ends = raw if isinstance(raw, dict) else {}
    low_w = units.parse(ends["low"], "power") if "low" in ends else 0.0
    high_w = units.parse(ends["high"], "power") if "high" in ends else np.inf
    return low_w <= watts <= high_w


def _share(plan, some, month):
    """Share of the listed energy of a month that some appliances ask for."""
    asked = sum(appliance.mean_day_wh for appliance in plan.appliances if month in appliance.months)
    own = sum(appliance.mean_day_wh for appliance in some if month in appliance.months)
    return own / asked if asked > 0.0 else 0.0


def _wire_to_water(outlook, factor, months, by_month):
    now = outlook.plan.pump.wire_to_water_frac / factor
    return {"pump.wire_to_water": _measured(round(now, 3))}, "that would be the pump's efficiency"


def _per_person(outlook, factor, months, by_month):
    people_n, use = len(outlook.plan.people), outlook.plan.water_use
    more_m3 = float((months["bias"] * months["days_n"]).sum() / months["days_n"].sum())
    liters = units.convert_unit(use.per_person_m3 + more_m3 / people_n, "m^3", "L")
    return (
        {"water_use.per_person": _measured(f"{round(liters, 1)!r} L")},
        "that would be the use of each person",
    )


def _collected(outlook, factor, months, by_month):
    now = outlook.plan.rain.collected_frac * factor
    return {"rain.collected": _measured(round(now, 3))}, "that would be the share of rain collected"


def _burned(kind):
    """Offer for a fuel: its user's efficiency or use, where one alone burns it."""

    def offer(outlook, factor, months, by_month):
        plan = outlook.plan
        stores = [fuel.name for fuel in plan.fuels if fuel.fuel == kind]
        heaters = [heater for heater in plan.heaters if heater.store in stores]
        others = {
            key: part
            for key in ("hot_water", "cooking", "generator")
            for part in (getattr(plan, key),)
            if part is not None
            and (part.store in stores or getattr(part, "second_store", None) in stores)
        }
        if heaters and not others and (len(heaters) == 1 or kind == "cordwood"):
            sets = {
                f"heater.{heater.name}.efficiency": _measured(
                    round(heater.efficiency_frac / factor, 3)
                )
                for heater in heaters
            }
            return sets, (
                f"that would be the efficiency of what burns {BURNS.get(kind, kind)}; the house "
                "may lose more instead"
            )
        if heaters or len(others) != 1:
            return {}, "it has several users: read them one by one"
        ((key, part),) = others.items()
        if key == "hot_water":
            now = round(part.efficiency_frac / factor, 3)
            return {"hot_water.efficiency": _measured(now)}, (
                "that would be the water heater's efficiency; more hot water is the other cause"
            )
        if key == "cooking":
            wh = units.convert_unit(part.daily_wh * factor, "Wh", "kWh")
            return {"cooking.daily": _measured(f"{round(wh, 2)!r} kWh")}, (
                "that would be the fuel that cooking takes in a day"
            )
        return _engine(outlook, factor, months, by_month)

    return offer


BURNS = {"cordwood": "wood"}


def _engine(outlook, factor, months, by_month):
    """Fuel for each hour of running, where the hours of the same months were read too."""
    hours = by_month[by_month["what"] == "generator hours"].set_index("month_n")
    both = months[months["month_n"].isin(hours.index)]
    if both.empty or len(both) < len(months):
        return (
            {},
            "read its hours in the same months too: does it burn more, or run longer?",
        )
    run = hours.loc[both["month_n"]]
    ran_more = (run["value"].to_numpy() * both["days_n"]).sum() / (
        run["predicted"].to_numpy() * both["days_n"]
    ).sum()
    if not np.isfinite(ran_more) or ran_more <= 0:
        return {}, "its hours are nothing in one of the two"
    share, engine = float(factor / ran_more), outlook.plan.generator
    sets = {
        "generator.no_load_fuel": _measured(f"{round(engine.no_load_fuel_w * share)!r} W"),
        "generator.full_load_fuel": _measured(f"{round(engine.full_load_fuel_w * share)!r} W"),
    }
    return sets, f"that would be {units.digits(share)} times the fuel for each hour"


def _keep(plan, months):
    bias = float((months["bias"] * months["days_n"]).sum() / months["days_n"].sum())
    if abs(bias) < 1.0:
        return {}, "agrees within 1 °C (1.8 °F): nothing to correct"
    cold = months[months["month_n"].isin((11, 12, 1, 2, 3))]
    if len(cold) < len(months):
        return {}, "months without heating were read too: the house drifts with the weather then"
    kept = _measured(f"{round(plan.house.keep_c + bias, 1)!r} °C")
    return {"house.keep": kept}, "that would be the temperature the house is kept at"


OFFERS = {
    "sun": _soiling,
    "house use": _appliances,
    "pump": _wire_to_water,
    "water used": _per_person,
    "rain caught": _collected,
    "wood used": _burned("cordwood"),
    "propane used": _burned("propane"),
    "pellets used": _burned("pellets"),
    "fuel oil used": _burned("fuel oil"),
    "generator fuel": _engine,
}
