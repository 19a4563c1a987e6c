"""A closer look at water: where it comes from, where it goes, and how long what is stored lasts.

Gathers the well and its pump (`wells`) with the year of the coupled hour: water in and out by
month, demand by person, fixture and animal, rain, garden, days of storage, what hands can do.
Figures in SI, energy in Wh; no display.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead import reference, units
from homestead.findings import cautions
from homestead.formulas.water import pressure_tank, water_use
from homestead.plan import Plan
from homestead.simulate import water_supply
from homestead.simulate.inputs import MONTH_OF_DAY, WATER_SHAPE, read_weather
from homestead.simulate.months import DAYS_OF_MONTH, MONTHS_N, by_month, month_frame
from homestead.simulate.sources import kept_of
from homestead.simulate.steps import Step
from homestead.simulate.trace import years_with_deliveries
from homestead.trades.water import study_wells as wells
from homestead.trades.water.study_watering import garden_of, rain_of


@dataclass(frozen=True)
class CisternLook:
    """The cistern, how it reaches the taps, and how long it lasts."""

    volume_m3: float
    delivery: str
    gravity_pa: float | None  # pressure at the taps by height alone, where that was entered
    booster_wh_m3: float  # electric energy of the booster pump; 0 without one
    # Volume over the average day's use: how long water would stand if all use went through it.
    turnover_days: float


BY_HAND = (
    "{is_enough:Enough|Not enough} by hand: the least people need takes {people_min:2} a day, "
    "with the animals {all_min:2}; the plan allows {limit_min:2}."
)


@dataclass(frozen=True)
class HandLook:
    """Water by hand, for days without power."""

    source: str  # ``"well"``, ``"cistern"`` or ``"none"``
    # As entered.
    flow_m3s: float
    limit_s: float
    people_min: float  # minutes of work a day for the people's least; infinite without a source
    all_min: float  # the same with the animals, in their thirstiest month
    is_enough: bool  # whether the time that the plan allows covers both

    @property
    def limit_min(self):
        """Minutes a day that the plan allows."""
        return float(units.convert_unit(self.limit_s, "s", "min"))


@dataclass(frozen=True)
class WaterStudy:
    """Water of a homestead, looked at closely. A part that the plan lacks is None."""

    plan: Plan
    well: wells.WellLook | None
    pump: wells.PumpLook | None
    tank: wells.TankLook | None
    peak: wells.PeakLook
    cistern: CisternLook | None
    hand: HandLook
    fire: dict | None  # where the plan names a building: asked_m3 (a minimum), cistern_m3, short_m3
    # Average year, by month 1 to 12: in (well_m3, rain_m3, and spring_m3 and ram_pump_m3 where the
    # plan has them), out (people_m3, animals_m3, garden_m3, overflow_m3), store_change_m3 of
    # cistern and pressure tank, residual_m3; beside them hot_m3 (of people_m3), short_m3, pump_wh,
    # pump_wh_day, pump_wh_m3 (per m³ given), run_h_day, starts_day_n.
    monthly: pd.DataFrame
    # Asked in an average day: air_c, people_m3_day, animals_m3_day, garden_m3_day.
    demand: pd.DataFrame
    # Average day's water of each kind of animals by the plan's name, all heads. [m³/day].
    animals: pd.DataFrame
    # Columns: fixture, uses_day_n, each_m3, day_m3; empty if the plan names no fixtures.
    fixtures: pd.DataFrame
    household: dict  # by_person_m3_day, by_fixture_m3_day (nan if none), least_m3_day
    # Columns: rain_m, fallen_m3, first_flush_m3, lost_m3 (splash, gutters), caught_m3, overflow_m3,
    # kept_m3.
    rain: pd.DataFrame | None
    # Columns: hargreaves_mm_day and penman_monteith_mm_day (nan without humidity) of the weather
    # file; crop_mm_day, asked_m3, given_m3 of the average year.
    garden: pd.DataFrame | None
    # Days that full stores last: full_use_powered, least_powered (power there, but well and rain
    # bring nothing new), full_use_dark, least_dark (no power and no rain; a hand pump on the well
    # goes on, infinite where it keeps up).
    storage: pd.DataFrame
    cautions: tuple  # of Caution
    steps: list  # of Step


def study_of(hours, trace=None):
    """Study the water of a plan.

    hours (Hours) : Such as ``outlook.hours``.
    trace (Trace, optional) : All years in a row with deliveries, where it is at hand; run here
        otherwise.
    Gives WaterStudy.
    """
    plan = hours.plan
    trace = years_with_deliveries(hours) if trace is None else trace
    measured = read_weather(plan)
    well, pump = wells.well_look(plan), wells.pump_look(plan)
    tank, peak = wells.tank_look(plan, hours), wells.peak_look(plan, hours)
    demand, animals = demand_of(hours)
    monthly = _monthly(hours, trace, tank)
    caught = rain_of(hours, monthly)
    hand = hand_look(plan, demand)
    return WaterStudy(
        plan=plan,
        well=well,
        pump=pump,
        tank=tank,
        peak=peak,
        cistern=_cistern(hours, demand),
        hand=hand,
        fire=fire_of(plan),
        monthly=monthly,
        demand=demand,
        animals=animals,
        fixtures=fixtures_of(plan),
        household=household_of(plan),
        rain=caught,
        garden=garden_of(hours, measured, monthly),
        storage=_storage(hours, demand),
        cautions=cautions.cautions("well and drinking water"),
        steps=[*wells.steps_of(plan, well, pump, tank, peak), *_steps(hours, monthly, caught)],
    )


def _monthly(hours, trace, tank):
    plan, flows = hours.plan, trace.flows
    least = hours.column("water_least_m3")
    people_least = np.tile(
        water_supply.household_least_m3_day(plan) * WATER_SHAPE, len(least) // len(WATER_SHAPE)
    )
    # Where an hour's least runs short, people and animals go short alike.
    short = flows["least_short_m3"].to_numpy()
    served = 1.0 - np.divide(short, least, out=np.zeros_like(least), where=least > 0)
    animals = np.maximum(least - people_least, 0.0) * served
    stores = trace.change("cistern_m3") + trace.change("tank_m3")
    caught, kept = hours.roof_m3, kept_of(hours, flows["rain_m3"].to_numpy())
    hourly = {
        "well_m3": flows["pumped_m3"],
        "rain_m3": caught,
        "people_m3": flows["delivered_m3"] - animals,
        "animals_m3": animals,
        "garden_m3": flows["garden_m3"],
        **{f"{name}_m3": kept[name] for name in hours.inflows},
        "overflow_m3": caught - kept["rain"],
        "store_change_m3": stores,
        "short_m3": short + flows["rest_short_m3"],
        "pump_wh": flows["pump_w"],
    }
    found = month_frame({name: by_month(values, hours.years_n) for name, values in hourly.items()})
    gone = found.people_m3 + found.animals_m3 + found.garden_m3
    kept = found.overflow_m3 + found.store_change_m3
    came = found.well_m3 + found.rain_m3 + sum(found[f"{name}_m3"] for name in hours.inflows)
    found["residual_m3"] = came - gone - kept
    found["hot_m3"] = found.people_m3 * (plan.hot_water.share_frac if plan.hot_water else 0.0)
    found["pump_wh_day"] = found.pump_wh / DAYS_OF_MONTH
    found["pump_wh_m3"] = found.pump_wh / gone.where(gone > 0)
    lift_m3_h = hours.fixed.pump_m3
    found["run_h_day"] = found.well_m3 / lift_m3_h / DAYS_OF_MONTH if lift_m3_h > 0 else 0.0
    found["starts_day_n"] = 0.0
    if tank and wells.tank_serves_house(plan):
        # The garden and the cistern make long runs; only the house makes the pump cycle.
        through = np.minimum(found.well_m3, found.people_m3 + found.animals_m3) / DAYS_OF_MONTH
        found["starts_day_n"] = pressure_tank.pump_starts_per_day_n(
            np.maximum(through, 0.0), max(tank.drawdown_m3, 1e-4)
        )
    return found


def demand_of(hours):
    """Water needed by month, and that of each kind of animals. Two DataFrames of 12 rows."""
    plan = hours.plan
    air = hours.column("air_c").reshape(-1, 24).mean(axis=1)
    month = np.tile(MONTH_OF_DAY, hours.years_n)

    def mean_day(values):
        return np.bincount(month, weights=values)[1:] / np.bincount(month)[1:]

    at_c = np.clip(air, -40.0, 45.0)
    animals = {
        animal.name: mean_day(animal.count_n * water_use.animal_water_m3_day(animal.kind, at_c))
        for animal in plan.animals
    }
    least_m3_day = water_supply.household_least_m3_day(plan)
    animals_m3_day = mean_day(hours.days.water_least_m3) - least_m3_day
    people = max(water_supply.household_m3_day(plan), least_m3_day)
    garden_m3 = by_month(hours.column("water_garden_m3"), hours.years_n)
    demand = month_frame(
        {
            "air_c": mean_day(air),
            "people_m3_day": np.full(MONTHS_N, people),
            "animals_m3_day": np.maximum(animals_m3_day, 0.0),
            "garden_m3_day": garden_m3 / DAYS_OF_MONTH,
        }
    )
    return demand, month_frame(animals)


def fixtures_of(plan):
    """Household water by fixture, from the uses that the plan names.

    Gives DataFrame: Columns fixture, uses_day_n, each_m3, day_m3, at the upper end of the printed
        ranges.
    """
    rows = []
    for name, uses in plan.water_use.fixture_uses.items():
        each_m3 = water_use.fixture_use_m3(name)
        rows.append((name, uses, each_m3, float(water_use.fixtures_water_m3_day({name: uses}))))
    return pd.DataFrame(rows, columns=["fixture", "uses_day_n", "each_m3", "day_m3"])


def household_of(plan):
    """Household water of a day by person, by fixture (nan if none are named), and the least."""
    by_fixture = fixtures_of(plan)
    return {
        "by_person_m3_day": water_supply.household_m3_day(plan),
        "by_fixture_m3_day": float(by_fixture.day_m3.sum()) if len(by_fixture) else float("nan"),
        "least_m3_day": water_supply.household_least_m3_day(plan),
    }


def hand_look(plan, demand):
    """What hands can bring in a day against the least that is needed."""
    hand = plan.by_hand
    people_m3 = water_supply.household_least_m3_day(plan)
    all_m3 = people_m3 + float(demand.animals_m3_day.max())
    if hand is None or hand.flow_m3s <= 0:
        return HandLook("none", 0.0, 0.0, float("inf"), float("inf"), False)
    people_min, all_min = (
        float(units.convert_unit(volume_m3 / hand.flow_m3s, "s", "min"))
        for volume_m3 in (people_m3, all_m3)
    )
    limit_s = hand.daily_limit_s
    is_enough = all_min <= units.convert_unit(limit_s, "s", "min")
    return HandLook(hand.source, hand.flow_m3s, limit_s, people_min, all_min, is_enough)


def _cistern(hours, demand):
    plan = hours.plan
    if plan.cistern is None:
        return None
    mean_m3_day = float(np.average(demand.people_m3_day + demand.animals_m3_day))
    volume_m3 = plan.cistern.volume_m3
    boosted = plan.cistern.delivery == "booster pump"
    return CisternLook(
        volume_m3=volume_m3,
        delivery=plan.cistern.delivery,
        gravity_pa=wells.gravity_pa(plan),
        booster_wh_m3=hours.fixed.booster_wh_m3 if boosted else 0.0,
        turnover_days=volume_m3 / mean_m3_day if mean_m3_day > 0 else float("inf"),
    )


def fire_of(plan):
    """Water needed a fire beside what the cistern holds, or None if no building is named."""
    asked_m3 = water_supply.fire_water_m3(plan)
    if asked_m3 is None:
        return None
    cistern_m3 = plan.cistern.volume_m3 if plan.cistern else 0.0
    short_m3 = max(asked_m3 - cistern_m3, 0.0)
    return {"asked_m3": asked_m3, "cistern_m3": cistern_m3, "short_m3": short_m3}


def _storage(hours, demand):
    """Days that full stores last by month, with and without power."""
    plan, fixed = hours.plan, hours.fixed
    least = water_supply.household_least_m3_day(plan) + demand.animals_m3_day
    full = demand.people_m3_day + demand.animals_m3_day
    hand, cistern = plan.by_hand, plan.cistern
    by_hand_m3_day = hand.flow_m3s * hand.daily_limit_s if hand else 0.0
    at_taps_m3 = cistern.volume_m3 if cistern and cistern.delivery == "gravity" else 0.0
    boosted_m3 = cistern.volume_m3 if cistern and cistern.delivery == "booster pump" else 0.0
    pumped_m3 = fixed.casing_m3 if plan.pump else 0.0
    carried_m3, lifted_m3_day = 0.0, 0.0
    if hand and hand.source == "cistern":
        carried_m3 = cistern.volume_m3 - at_taps_m3
    if hand and hand.source == "well":
        inflow_m3_day = plan.well.yield_m3s * units.convert_unit(1.0, "day", "s")
        lifted_m3_day = min(by_hand_m3_day, inflow_m3_day)
    # With power, what the pumps reach needs no hands.
    standing_m3 = fixed.casing_m3 if lifted_m3_day > 0 and not plan.pump else 0.0
    powered_by_hand_m3 = standing_m3 + (0.0 if boosted_m3 else carried_m3)

    def days(use, by_itself_m3, by_hand_m3, lifted_m3_day):
        """Days from stores that come by themselves and those that hands must bring."""
        left = use - np.minimum(lifted_m3_day, use)
        lasts = (by_itself_m3 / left.where(left > 0)).fillna(np.inf)
        if by_hand_m3 > 0:
            lasts = lasts.where(use > by_hand_m3_day, (by_itself_m3 + by_hand_m3) / use)
        return lasts

    powered = (at_taps_m3 + boosted_m3 + fixed.tank_m3 + pumped_m3, powered_by_hand_m3, 0.0)
    dark = (at_taps_m3 + fixed.tank_m3, carried_m3, lifted_m3_day)
    return month_frame(
        {
            "full_use_powered": days(full, *powered),
            "least_powered": days(least, *powered),
            "full_use_dark": days(full, *dark),
            "least_dark": days(least, *dark),
        }
    )


def _steps(hours, monthly, caught):
    """Way that led to the figures of the year."""
    plan = hours.plan
    total = monthly.sum()
    water = "volume"
    yield Step(
        "Water lifted from the well in a year", total.well_m3, water,
        "sum of the hours of the average year with deliveries",
        (
            ("people", total.people_m3, water), ("animals", total.animals_m3, water),
            ("garden", total.garden_m3, water),
            ("rain kept", total.rain_m3 - total.overflow_m3, water),
        ),
        "project",
    )  # fmt: skip
    if caught is not None:
        yield Step(
            "Rain caught in a year", total.rain_m3, water, "roof × (rain − first flush) × share",
            (
                ("roof", plan.rain.roof_m2, "area"),
                ("rain of the year", float(caught.rain_m.sum()), "rain_depth"),
                ("first flush of a wet day", plan.rain.first_flush_m, "rain_depth"),
                ("share collected", plan.rain.collected_frac, "fraction"),
            ),
            "texas-rainwater",
        )  # fmt: skip
    if plan.garden is not None:
        yield Step(
            "Garden water needed in a year",
            float(hours.column("water_garden_m3").sum()) / hours.years_n, water,
            "area × (crop factor × ETo − rain in the root zone) / watering efficiency, by day; "
            "ETo by Hargreaves",
            (
                ("area", plan.garden.area_m2, "area"),
                ("crop factor", plan.garden.crop_factor, ""),
                ("watering efficiency", plan.garden.irrigation_frac, "fraction"),
            ),
            "fao-56",
        )  # fmt: skip
    fire_m3 = water_supply.fire_water_m3(plan)
    if fire_m3 is not None:
        share = reference.value("water_use", "fire reserve", "water_per_building_volume", "")
        yield Step(
            "Water needed a fire", fire_m3, water,
            "building × share / hazard number × construction number, × 1.5 if exposed; a minimum",
            (
                ("building", plan.water_use.fire_building_m3, water),
                ("share of the building's volume", share, "fraction"),
                ("occupancy hazard number", plan.water_use.fire_hazard_n, ""),
                ("construction class number", plan.water_use.fire_construction, ""),
            ),
            "nfpa-1142",
        )  # fmt: skip
