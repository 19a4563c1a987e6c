"""Tables of the closer look at water, for readers.

Each takes a `WaterStudy` and the reader's units; what the plan lacks is said in words. The figures
behind them stand in `homestead.trades.water.study_water`.
"""

import math

import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.findings.finding import words
from homestead.outlook import studies
from homestead.screen.notes import listed
from homestead.screen.readable import WATTS_PER_KW, column, days_number, head, percent
from homestead.screen.workings import Workings, value_text
from homestead.simulate.months import DAYS_OF_MONTH
from homestead.trades.power import study_loads as load_study
from homestead.trades.water import (
    study_steps as water_steps,
)
from homestead.trades.water import (
    study_water as water,
)
from homestead.trades.water import (
    study_wells as wells,
)
from homestead.vocabulary import MONTHS

SECONDS_PER_DAY = 86400.0  # definition
NONE_IN_PLAN = "none in the plan"
# Two digits: yields, levels and use are estimates, and so is what follows from them.
DERIVED_DIGITS = 2
AS_AMOUNTS = (
    "This counts gallons only: ask a laboratory and the health department whether you can drink it."
)


@studies.kept
def study_of(outlook):
    """Study of the water of an outlook."""
    return water.study_of(outlook.hours)


def amounts(rows, index="Quantity"):
    """Two-column table from a dict of quantity to text."""
    return pd.DataFrame({index: list(rows), "Amount": list(rows.values())}).set_index(index)


def lasting_text(days):
    """Days that water lasts; a source that keeps up has no end."""
    return "no end" if math.isinf(days) else days_number(float(days))


def _by_month(columns):
    return pd.DataFrame({"Month": list(MONTHS), **columns}).set_index("Month")


def _hours_text(hours):
    if math.isinf(hours):
        return "never"
    return _derived(float(measures.convert_unit(hours, "h", "s")), "time")


def _derived(value, kind, units="us"):
    """Value that follows from estimates, with its unit."""
    return value_text(value, kind, units, DERIVED_DIGITS)


# Water that runs or is lifted into the cistern, as a table calls it.
INFLOWS = {"spring_m3": "From the spring", "ram_pump_m3": "Lifted by the ram pump"}


def in_and_out(study, units="us"):
    """Water in and out on an average day of each month, in a year with deliveries."""
    monthly = study.monthly
    wanted = {
        "From the well": monthly.well_m3,
        "Rain caught": monthly.rain_m3,
        **{label: monthly[name] for name, label in INFLOWS.items() if name in monthly},
        "People": monthly.people_m3,
        "Animals": monthly.animals_m3,
        "Garden": monthly.garden_m3,
        "Runs off": monthly.overflow_m3,
        "Into store": monthly.store_change_m3,
        "Missing": monthly.short_m3,
    }
    places = 0 if float(monthly.people_m3.sum()) > 10 else 1
    return _by_month(
        {
            head(label, "volume", units, "day"): column(
                (values / DAYS_OF_MONTH).to_numpy(), "volume", units, places
            )
            for label, values in wanted.items()
        }
    )


def well(study, units="us"):
    """What the driller's log says and what follows from it."""
    look = study.well
    if look is None:
        return amounts({"well": NONE_IN_PLAN})

    def length(value):
        return "not entered" if value is None else measures.show(value, "length", units)

    def flow(value):
        return measures.show(value, "flow", units)

    rows = {
        "depth of the well": length(look.depth_m),
        "water at rest, below ground": length(look.static_level_m),
        "tested yield": flow(look.yield_m3s),
        "drawdown in the test": length(look.drawdown_m),
    }
    if look.specific_capacity_m2_s:
        rows["yield per depth drawn down"] = _derived(look.specific_capacity_m2_s, "m²/s", units)
    rows["water while pumping, below ground"] = length(look.pumping_level_m)
    if look.pump_depth_m is not None:
        rows["pump hangs at"] = length(look.pump_depth_m)
    rows |= {
        "resting water above the pump or the bottom": length(look.column_m),
        "held in the casing": _derived(look.casing_m3, "volume", units),
        "time to fill the casing again": _hours_text(look.recovery_h),
    }
    if study.pump is not None:
        rows["steady pumping runs it dry after"] = (
            f"not at {flow(study.pump.point.flow_m3s)}, if the tested yield holds; dry seasons and "
            "age lower it"
            if math.isinf(look.dry_after_h)
            else _hours_text(look.dry_after_h)
        )
    return amounts(rows, "Well")


def head_by_part(study, units="us"):
    """What the pump works against, part by part, and how each was found."""
    columns = ["Part", head("Head", "length", units), "Share", "How"]
    if study.pump is None:
        return pd.DataFrame(columns=columns).set_index("Part")
    parts = study.pump.head_parts
    total_m = study.pump.point.head_m
    return pd.DataFrame(
        {
            columns[0]: parts.part,
            columns[1]: column(parts.head_m, "length", units, 1),
            columns[2]: [percent(part / total_m if total_m else 0.0) for part in parts.head_m],
            columns[3]: parts.how,
        }
    ).set_index("Part")


def pump(study, units="us"):
    """The well pump at work: flow, power, efficiency, energy."""
    look = study.pump
    if look is None:
        return amounts({"well pump": NONE_IN_PLAN})
    low, high = percent(look.plausible_low_frac), percent(look.plausible_high_frac)
    band = f"field tests: {low.removesuffix(' %')} to {high}"
    level = measures.show(study.well.pumping_level_m, "length", units)
    loads = load_study.loads_of(study.plan)
    lowest_w = next(load.running_w for load in loads if load.name == "well pump")
    months = study.monthly
    most = int(np.argmax(months.pump_wh_day.to_numpy()))
    rows = {
        "flow": measures.show(look.point.flow_m3s, "flow", units)
        + (", where the curves meet" if look.point.from_curve else ""),
        "total dynamic head": measures.show(look.point.head_m, "length", units),
        "power in the water": measures.show(look.hydraulic_w, "power", units),
        f"power from the wire, water at {level}": measures.show(look.electric_w, "power", units),
        "the same, well drawn down to the pump": measures.show(lowest_w, "power", units),
        "wire-to-water efficiency": f"{percent(look.wire_to_water_frac)} ({band})",
        "energy per volume at that flow": _derived(look.energy_wh_m3, "Wh/m³", units),
        "pumping in the busiest month": (
            f"{_derived(float(months.pump_wh_day.iloc[most]) / WATTS_PER_KW, 'kWh')} and "
            f"{measures.digits(float(months.run_h_day.iloc[most]), 2)} h a day, {MONTHS[most]}"
        ),
        "pumping in a year": measures.show(float(months.pump_wh.sum()), "energy"),
    }
    if math.isfinite(look.darcy_over_hazen_frac):
        times = measures.digits(look.darcy_over_hazen_frac, DERIVED_DIGITS)
        rows["friction by Darcy-Weisbach"] = f"{times} times that by Hazen-Williams"
    return amounts(rows, "Pump")


def pressure_tank(study, units="us"):
    """The pressure tank: what it gives between two starts, how long and how often the pump runs."""
    look = study.tank
    if look is None:
        return amounts({"pressure tank": NONE_IN_PLAN})

    def volume(value):
        return measures.show(value, "volume", units)

    def pressure(value):
        return measures.show(value, "pressure", units)

    rows = {
        "tank": volume(look.volume_m3),
        "air charge": pressure(look.precharge_pa),
        "pump on at, off at": f"{pressure(look.cut_in_pa)}, {pressure(look.cut_out_pa)}",
        "air pressure at the site": pressure(look.atmosphere_pa),
        "drawdown there": _derived(look.drawdown_m3, "volume", units),
        "drawdown at sea level": _derived(look.drawdown_sea_level_m3, "volume", units),
    }
    if math.isfinite(look.run_s):
        rows |= {
            "shortest run of the pump": _derived(look.run_s, "time", units),
            "shortest run by the rule for its size": value_text(look.least_run_s, "time", units),
            "smallest tank that gives that run": _derived(look.size_wanted_m3, "volume", units),
            "starts on a busy day, at most": measures.digits(look.starts_day_n, 2),
            "starts a day above which motors wear": measures.digits(look.starts_limit_n, 3),
        }
    return amounts(rows, "Pressure tank")


def two_hours(study, units="us"):
    """A day's water within two hours: what is wanted, and what well, tank and cistern could give.

    The garden is not counted, the cistern counts as full.
    """
    peak = study.peak
    volumes = {
        "needed by people and animals: a day of the busiest month": peak.wanted_m3,
        "well": peak.from_well_m3,
        "pressure tank": peak.from_tank_m3,
        "cistern, if full": peak.from_cistern_m3,
        "all together": peak.available_m3,
    }
    return pd.DataFrame(
        {
            "In two hours": list(volumes),
            head("Water", "volume", units): column(list(volumes.values()), "volume", units, 0),
        }
    ).set_index("In two hours")


def by_hand(study, units="us"):
    """Water by hand on a day without power."""
    look = study.hand
    if look.source == "none":
        return amounts({"pump or bucket by hand": NONE_IN_PLAN})
    rows = {
        "drawn by hand from": look.source,
        "flow": measures.show(look.flow_m3s, "flow", units),
        "work for the people's least": f"{measures.digits(look.people_min, 2)} min a day",
        "with the animals": f"{measures.digits(look.all_min, 2)} min a day",
        "time your plan allows": value_text(look.limit_s, "time", units) + " a day",
    }
    return amounts(rows, "By hand")


def cistern(study, units="us"):
    """The cistern, how it reaches the taps, and the water needed for a fire."""
    look, rows = study.cistern, {"cistern": NONE_IN_PLAN}
    if look is not None:
        rows = {
            "cistern": measures.show(look.volume_m3, "volume", units),
            "reaches the taps by": look.delivery,
            "turnover": _turnover_words(study),
        }
        if look.gravity_pa is not None:
            rows["pressure at the taps by height"] = measures.show(
                look.gravity_pa, "pressure", units
            )
        if look.booster_wh_m3 > 0:
            rows["booster pump takes"] = value_text(look.booster_wh_m3, "Wh/m³", units)
    if study.fire is not None:
        rows |= {
            "needed for a fire, a minimum": measures.show(study.fire["asked_m3"], "volume", units),
            "short of it": measures.show(study.fire["short_m3"], "volume", units),
        }
    return amounts(rows, "Cistern")


def _turnover_words(study):
    """How fast the water in the cistern is replaced; a reserve just sits."""
    days = f"{lasting_text(study.cistern.turnover_days)} days"
    if study.plan.cistern.use == "reserve":
        return f"would turn over in {days} if all use went through it; a reserve just sits"
    return f"turns over in {days} if all use goes through it"


def rain(study, units="us"):
    """Rain on the roof by month: fallen, lost, caught, kept."""
    wanted = {
        "Falls on the roof": "fallen_m3",
        "First flush": "first_flush_m3",
        "Splash and gutters": "lost_m3",
        "Caught": "caught_m3",
        "Cistern full, runs off": "overflow_m3",
        "Kept": "kept_m3",
    }
    if study.rain is None:
        empty = {head(label, "volume", units): np.zeros(12, dtype=int) for label in wanted}
        return _by_month(empty)
    deep = head("Rain", "rain_depth", units)
    return _by_month(
        {
            deep: column(study.rain.rain_m, "rain_depth", units, 1 if units == "us" else 0),
            **{
                head(label, "volume", units): column(study.rain[name], "volume", units, 0)
                for label, name in wanted.items()
            },
        }
    )


def storage(study, units="us"):
    """Days that full stores last by month, nothing new coming in.

    Well dry: power is there, but well and rain bring nothing. Power out: no pump and no rain, but a
    hand pump on the well goes on; no end where it keeps up.
    """
    measures.shown_unit("volume", units)  # a wrong name is told here too
    wanted = {
        "Usual use, well dry (days)": "full_use_powered",
        "Usual use, power out (days)": "full_use_dark",
        "The least, well dry (days)": "least_powered",
        "The least, power out (days)": "least_dark",
    }
    return _by_month(
        {
            label: [lasting_text(days) for days in study.storage[name]]
            for label, name in wanted.items()
        }
    )


def demand(study, units="us"):
    """Water needed on an average day of each month, by people, each kind of animals, garden."""
    asked = {"People": study.demand.people_m3_day}
    asked |= {name.capitalize(): study.animals[name] for name in study.animals}
    asked["Garden"] = study.demand.garden_m3_day
    return _by_month(
        {
            head("Air", "temperature", units): column(study.demand.air_c, "temperature", units, 0),
            **{
                head(label, "volume", units, "day"): column(values, "volume", units, 1)
                for label, values in asked.items()
            },
        }
    )


def household(study, units="us"):
    """Household water of a day: by person, by fixture where they are named, and the least."""
    day = study.household
    rows = {"by person, as in your plan": day["by_person_m3_day"]}
    for fixture in study.fixtures.itertuples():
        rows[f"{fixture.fixture}, {measures.digits(fixture.uses_day_n)} times a day"] = (
            fixture.day_m3
        )
    if len(study.fixtures):
        rows["all fixtures"] = day["by_fixture_m3_day"]
    rows["the least people need"] = day["least_m3_day"]
    return pd.DataFrame(
        {
            "Household": list(rows),
            head("Water", "volume", units, "day"): column(list(rows.values()), "volume", units, 1),
        }
    ).set_index("Household")


def garden(study, units="us"):
    """What the garden evaporates by two methods, and the water asked for and given."""
    label = head("Water given", "volume", units, "day")
    if study.garden is None:
        return _by_month({label: np.zeros(12, dtype=int)})
    year = study.garden
    depth = {
        "Hargreaves": year.hargreaves_mm_day,
        "Penman-Monteith": year.penman_monteith_mm_day,
        "Crop": year.crop_mm_day,
    }
    shown = {
        head(name, "rain_depth", units, "day"): [
            measures.digits(float(depth_shown), 2)
            for depth_shown in measures.convert(
                measures.convert_unit(values.to_numpy(), "mm", "m"), "rain_depth", units
            )
        ]
        for name, values in depth.items()
    }
    for name, volumes in (("Water needed", year.asked_m3), ("Water given", year.given_m3)):
        daily = (volumes / DAYS_OF_MONTH).to_numpy()
        shown[head(name, "volume", units, "day")] = column(daily, "volume", units, 0)
    return _by_month(shown)


def busiest_words(study, units="us"):
    """What two hours could bring beside a busy day's use, what hands can do, and no more."""
    peak, hand = study.peak, study.hand
    drawn = words(wells.TWO_HOURS, vars(peak), units)
    if hand.source == "none":
        return f"{drawn} Your plan has no hand pump or bucket. {AS_AMOUNTS}"
    work = measures.digits(hand.all_min, 2)
    enough = "which your plan allows" if hand.is_enough else "more than your plan allows"
    return (
        f"{drawn} By hand, the least for everybody takes {work} minutes a day, {enough}. "
        f"{AS_AMOUNTS}"
    )


def in_words(study):
    """Two hours, water by hand, pumping, and sums that do not close, one sentence each."""
    by_hand = study.hand.source != "none"
    told = [
        AS_AMOUNTS,
        words(wells.TWO_HOURS, vars(study.peak), study.plan.units),
        words(water.BY_HAND, vars(study.hand) | {"limit_min": study.hand.limit_min})
        if by_hand
        else "You haven't entered a way to draw water by hand.",
    ]
    if study.pump is not None:
        kwh = float(study.monthly.pump_wh.sum()) / WATTS_PER_KW
        told.append(f"Pumping takes {measures.digits(kwh)} kWh in an average year.")
    moved = float(study.monthly.well_m3.sum() + study.monthly.rain_m3.sum())
    apart = float(study.monthly.residual_m3.abs().max())
    if apart > moved * 1e-6:
        told.append(f"In and out don't agree: {measures.show(apart, 'volume', study.plan.units)}.")
    return listed(told)


def worked(study, units="us"):
    """How the figures on water are worked out, as a table that folds away."""
    return Workings(water_steps.steps_of(study), units, DERIVED_DIGITS)
