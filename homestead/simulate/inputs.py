"""From a plan and its weather to the hourly and daily inputs of the coupled hour.

What depends on the weather is computed for every year, what depends on the calendar once for
all. Rain
of the plan is laid on each year's clouds.
"""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from homestead import reference, weather
from homestead.formulas.power import generator, solar
from homestead.formulas.warmth import cooling, fuels, hot_water
from homestead.formulas.water import daily_radiation, evapotranspiration, water_use
from homestead.formulas.water import rain as roofs
from homestead.plan import Plan, PlanError
from homestead.plan.disk import reachable
from homestead.simulate import breakers, constants, food, fuel_stores
from homestead.simulate.records import COLUMNS, DAYS_N, MONTH_OF_DAY, Days, Fixed, Larder, State
from homestead.simulate.sources import power_sources, water_sources
from homestead.simulate.sparing import as_lived
from homestead.simulate.sunny import Sunny
from homestead.simulate.together import engine_hours, refused
from homestead.units import quoted
from homestead.weather.hourly import kept_with_year

HOURS_N = 24 * DAYS_N

# Shares of a day's household water by hour: mornings and evenings. Project choice: the split
# inside a day hardly matters, since tanks and casing bridge it.
WATER_SHAPE = np.array([0, 0, 0, 0, 0, 1, 3, 3, 2, 1, 1, 1, 2, 1, 1, 1, 1, 2, 3, 3, 2, 1, 1, 0.0])
WATER_SHAPE /= WATER_SHAPE.sum()
PRIORITY_W = {1: "essential_w", 2: "useful_w", 3: "comfort_w"}
GARDEN_HOURS = (6, 7)  # watering before the heat; project choice
# Root zone of a vegetable bed and the share of rain that soaks in; project choices after FAO-56.
SOIL_STORE_MM = 30.0
SOAKING_FRAC = 0.8


@dataclass(frozen=True)
class Hours:
    """Everything that the kernel needs for a plan."""

    plan: Plan
    rows: np.ndarray  # float, shape (8760 * years, COLUMNS)
    days: Days
    fixed: Fixed
    capacity_by_c: np.ndarray  # float, shape (degrees,); share of battery capacity by temperature
    start: State
    larder: Larder
    fuel_start_wh: np.ndarray  # float, shape (stores,)
    years_n: int
    source: str  # where the weather is from, for a reader
    drawn_n: int  # how many of the years were drawn, the last ones; the others were measured
    elevation_m: float  # of the weather's site
    cold_water_c: float  # of the well or the mains; not a number without hot water in the plan
    rain_m: np.ndarray  # float, shape (hours,); rain of every hour, before any roof
    # dict of str to float array of shape (hours,); power of each source but the sun, which the
    # columns of power hold too. [W]
    sources: dict
    # dict of str to float array of shape (hours,); water of spring and ram pump, which the column
    # of rain holds too. [m³]
    inflows: dict

    @property
    def synthetic(self):
        """Whether some of the years are drawn ones, which nobody measured."""
        return self.drawn_n > 0

    @property
    def window_n(self):
        """Days over which food fails; never fewer than those of a bad week."""
        return max(self.plan.failure.food_fails_window_n, self.plan.failure.food_window_n)

    @property
    def roof_m3(self):
        """Rain off the roof, array of shape (hours,). [m³]."""
        if self.plan.rain is None:
            return np.zeros(len(self.rows))
        return self.column("rain_m3") - sum(self.inflows.values())

    def column(self, name):
        """One hourly input by its name in `COLUMNS`."""
        return self.rows[:, COLUMNS.index(name)]


def read_weather(plan):
    """Weather of the plan's site; a path is taken from the plan's folder.

    Raises PlanError if the file is missing or cannot be used, with what is wrong.
    """
    return weather_named(plan.site.weather, plan.folder)


def weather_named(name, folder=None):
    """Weather by the name of a built-in place or by a path, taken from a folder.

    Raises PlanError if the file is missing or cannot be used, with what is wrong.
    """
    name = (reachable(folder, name) if folder else None) or name
    # A plan may come from a stranger: it opens no file but those that came with it.
    if folder and Path(name).is_file() and not Path(name).resolve().is_relative_to(folder):
        raise PlanError(
            f"[site] weather: must be a file in the plan's folder; got {quoted(str(name), 80)}; "
            "copy it beside the plan"
        )
    try:
        file = Path(name)
        status = file.stat() if file.is_file() else None
        stamp = status and (status.st_mtime_ns, status.st_size)
        return _read_once(str(file.resolve()) if stamp else name, stamp)
    except (ValueError, OSError) as error:
        raise PlanError(f"[site] weather: {error}") from error


@lru_cache(maxsize=8)
def _read_once(name, _stamp):
    """Weather of each state of a file: every question about a plan reads the same hours."""
    return weather.read(name)


def weather_years(plan, years_n=None, measured=None):
    """Weather years of a plan, a list of `Weather` of one year each."""
    measured = measured if measured is not None else read_weather(plan)
    return weather.many_years(measured, years_n or plan.site.years_n, plan.site.seed_n)


def hours_of(plan, years_n=None, measured=None, years=None, numbers=None):
    """Inputs of the coupled hour for every weather year of a plan.

    years_n (int, optional) : Instead of the plan's own number of years.
    measured (Weather, optional) : Instead of reading the plan's weather file.
    years (list of Weather, optional) : The years themselves, instead of those that the plan's
        weather gives.
    numbers (sequence of int, optional) : Which of the plan's years those are, from 0; rain that is
        laid on their clouds follows the number.
    Gives hours.

    Raises PlanError if the weather cannot be read.
    """
    measured = measured if measured is not None else read_weather(plan)
    years = weather_years(plan, years_n, measured) if years is None else years
    usual_c = plan.house.keep_c  # rooms are as warm as ever when the cutting back begins
    plan = as_lived(plan)
    rows = np.empty((len(COLUMNS), len(years) * HOURS_N)).T
    columns = dict(zip(COLUMNS, rows.T, strict=True))
    sources = {}
    sun_w = np.empty(len(rows))
    for number, year in enumerate(years):
        here = slice(number * HOURS_N, (number + 1) * HOURS_N)
        for name, values in _by_weather(plan, year).items():
            columns[name][here] = values
        sun_w[here] = columns["pv_dc_w"][here] + columns["pv_ac_w"][here]
        for name, (coupling, offered_w) in power_sources(plan, year).items():
            columns[f"pv_{coupling}_w"][here] += offered_w
            sources.setdefault(name, np.empty(len(rows)))[here] = offered_w
    numbers = range(len(years)) if numbers is None else numbers
    rain_m = np.concatenate(
        [_rain_m(plan, year, number) for number, year in zip(numbers, years, strict=True)]
    )
    columns["rain_m3"][:] = _caught_m3(plan, rain_m)
    inflows = {name: np.tile(source, len(years)) for name, source in water_sources(plan).items()}
    for inflow_m3 in inflows.values():
        columns["rain_m3"] += inflow_m3
    for name, values in _by_calendar(plan).items():
        columns[name][:] = np.tile(values, len(years))
    sunny = (
        Sunny(sun_w) if any(appliance.sunny_days_only for appliance in plan.appliances) else None
    )
    for appliance in plan.appliances if sunny else ():
        if appliance.sunny_days_only:
            columns[PRIORITY_W[appliance.priority_n]] += sunny.power_w(appliance, appliance_w)
    least_m3_day = _water(plan, measured, columns)
    columns["water_garden_m3"][:] = _garden_m3(plan, measured, columns["air_c"], rain_m)
    fixed = constants.fixed_of(plan, measured.site.elevation_m)
    cold_c = cold_water_c(plan, measured) if plan.hot_water else float("nan")
    fixed = constants.with_hot_tank(fixed, plan, cold_c)
    columns["generator_w"] *= np.tile(engine_hours(plan, columns), len(rows) // 24)
    columns["boil_frac"][:] = fuels.propane_vaporisation_share(
        np.clip(columns["air_c"], -60.0, 60.0)
    )
    refused_w = refused(plan, columns, fixed, appliance_w, sunny)
    for number, name in enumerate(("essential", "useful", "comfort")):
        # Rounding must not refuse more than is asked for.
        columns[f"{name}_refused_w"][:] = np.minimum(refused_w[:, number], columns[f"{name}_w"])
    garden = food.garden_of(plan, len(years))
    beasts = np.tile(food.beasts_of(plan), (len(years), 1, 1))
    return Hours(
        plan=plan,
        rows=rows,
        days=Days(least_m3_day, garden, beasts),
        fixed=fixed,
        capacity_by_c=constants.capacity_by_c(plan),
        start=constants.start_of(plan, fixed)._replace(inside_c=usual_c),
        larder=food.larder_of(plan),
        fuel_start_wh=fuel_stores.fuel_start_wh(plan),
        years_n=len(years),
        source=years[-1].source,
        drawn_n=sum(year.synthetic for year in years),
        elevation_m=measured.site.elevation_m,
        cold_water_c=cold_c,
        rain_m=rain_m,
        sources=sources,
        inflows=inflows,
    )


# Variants of a plan mostly share their arrays and walls; the sun on them is half of the work.
@kept_with_year
def _array_w(year, array):
    return solar.array_output_w(year, array).to_numpy()


@kept_with_year
def _inverter_w(year, inverter, arrays):
    return solar.inverter_output_w(year, inverter, arrays).to_numpy()


@kept_with_year
def _wall_w_m2(year, azimuth_deg):
    return solar.plane_of_array_w_m2(year, 90.0, azimuth_deg).to_numpy()


def _by_weather(plan, year):
    """Inputs that follow from one year of weather alone."""
    air_c = year.hourly["air_c"].to_numpy()
    found = {
        "air_c": air_c,
        "pv_dc_w": np.zeros(len(air_c)),
        "pv_ac_w": np.zeros(len(air_c)),
        "sun_gain_w": np.zeros(len(air_c)),
        "generator_w": np.zeros(len(air_c)),
        "latent_w": latent_w(plan, year) if plan.cooling else np.zeros(len(air_c)),
    }
    followers = {}
    for array in plan.arrays:
        if array.coupling == "dc":
            found["pv_dc_w"] += _array_w(year, array)
        elif array.inverter is None:
            followers[array.name] = _array_w(year, array)
    for inverter in plan.pv_inverters:
        behind = tuple(array for array in plan.arrays if array.inverter == inverter.name)
        followers[inverter.name] = _inverter_w(year, inverter, behind)
    for given_w in breakers.let_through(plan, followers, _named_w(plan)).values():
        found["pv_ac_w"] += given_w
    for part in plan.envelope:
        if part.solar_gain_frac > 0:
            on_wall = _wall_w_m2(year, part.azimuth_deg)
            found["sun_gain_w"] += on_wall * part.area_m2 * part.solar_gain_frac
    if plan.generator:
        found["generator_w"] = _engine_w(year, plan.generator.rated_w)
    return found


def _named_w(plan):
    """Function of names: mean power of those appliances, array of shape (8760,). [W]."""

    def named_w(names):
        month, hour = np.repeat(MONTH_OF_DAY, 24), np.tile(np.arange(24), DAYS_N)
        own = [
            appliance
            for appliance in plan.appliances
            if appliance.name in names and not appliance.sunny_days_only
        ]
        return sum((appliance_w(appliance, month, hour) for appliance in own), np.zeros(HOURS_N))

    return named_w


@kept_with_year
def _engine_w(year, rated_w):
    air_c = year.hourly["air_c"].to_numpy()
    return generator.derated_w(rated_w, max(year.site.elevation_m, 0.0), air_c)


@kept_with_year
def _outdoor_humidity_ratio(year):
    pressure_pa = evapotranspiration.air_pressure_pa(max(year.site.elevation_m, 0.0))
    return cooling.humidity_ratio(
        year.hourly["air_c"].to_numpy(), year.hourly["humidity_frac"].to_numpy(), pressure_pa
    )


def latent_w(plan, year):
    """Heat in the moisture of leaks and people above the room's, by hour of a weather year. [W].

    Where the weather holds no humidity it is more than any coil takes, so that the coil decides.
    """
    if "humidity_frac" not in year.hourly:
        return np.full(len(year.hourly), 1e9)
    pressure_pa = evapotranspiration.air_pressure_pa(max(year.site.elevation_m, 0.0))
    outdoors = _outdoor_humidity_ratio(year)
    room_frac = reference.value("moist_air", "room in summer", "humidity", "")
    room = cooling.humidity_ratio(plan.cooling.cool_to_c, room_frac, pressure_pa)
    flow_m3s = constants.air_m3(plan) * plan.house.air_changes_h / 3600.0
    leaks_w = np.maximum(cooling.air_latent_w(flow_m3s, outdoors - room), 0.0)
    return leaks_w + len(plan.people) * reference.value("moist_air", "person", "latent_heat", "W")


def _by_calendar(plan):
    """Inputs of one year that follow from the calendar: appliances, people, cooling months."""
    month = np.repeat(MONTH_OF_DAY, 24)
    hour = np.tile(np.arange(24), DAYS_N)
    found = {name: np.zeros(HOURS_N) for name in PRIORITY_W.values()}
    for appliance in plan.appliances:
        if not appliance.sunny_days_only:
            found[PRIORITY_W[appliance.priority_n]] += appliance_w(appliance, month, hour)
    found["people_w"] = np.full(HOURS_N, plan.house.per_person_w * len(plan.people))
    cooled = plan.cooling.months if plan.cooling else ()
    found["cooling_allowed"] = np.isin(month, cooled).astype(float)
    return found


def appliance_w(appliance, month, hour):
    """Mean power of an appliance, its daily energy spread evenly over its hours.

    month, hour (int arrays of shape (n,))
    Gives float array of shape (n,).
    """
    first, last = appliance.between
    span_h = (last - first) % 24 or 24
    runs = (hour - first) % 24 < span_h
    mean_w = appliance.mean_day_wh / span_h
    return np.where(runs & np.isin(month, appliance.months), mean_w, 0.0)


def _rain_m(plan, year, number):
    """Hourly rain of a year: from the file where it is usable, else the plan's months."""
    if "rain_m" in year.hourly:
        return year.hourly["rain_m"].to_numpy()
    spread = reference.value("drawn_years", "rain", "month_spread", "") if year.synthetic else 0.0
    site = plan.site
    seed_n = number + 1000 * site.seed_n
    return _laid_on_clouds_m(year, tuple(site.rain_m), seed_n, site.wet_days_n, spread)


@kept_with_year
def _laid_on_clouds_m(year, monthly_m, seed_n, wet_days_n, spread_frac):
    return weather.rain_on_cloudy_days(
        year, np.array(monthly_m), seed=seed_n, wet_days_n=wet_days_n, spread_frac=spread_frac
    )


def _caught_m3(plan, rain_m):
    """Rain off the roof into the cistern, less the first flush of each wet day."""
    if plan.rain is None:
        return np.zeros(len(rain_m))
    daily_m = rain_m.reshape(-1, 24)
    total_m = daily_m.sum(axis=1, keepdims=True)
    kept = np.divide(
        np.maximum(total_m - plan.rain.first_flush_m, 0.0),
        total_m,
        out=np.zeros_like(total_m),
        where=total_m > 0,
    )
    return roofs.roof_catch_m3(
        plan.rain.roof_m2, (daily_m * kept).ravel(), plan.rain.collected_frac
    )


def _water(plan, measured, columns):
    """Household and animal water and its heat, into `columns`; returns the least of each day."""
    people_n, use = len(plan.people), plan.water_use
    mean_c = np.clip(columns["air_c"].reshape(-1, 24).mean(axis=1), -40.0, 45.0)
    least = np.full(len(mean_c), people_n * use.minimum_per_person_m3)
    for animal in plan.animals:
        least += animal.count_n * water_use.animal_water_m3_day(animal.kind, mean_c)
    rest = people_n * max(use.per_person_m3 - use.minimum_per_person_m3, 0.0)
    columns["water_least_m3"][:] = np.outer(least, WATER_SHAPE).ravel()
    columns["water_rest_m3"][:] = np.tile(rest * WATER_SHAPE, len(mean_c))
    columns["hot_water_w"][:] = 0.0
    columns["preheat_w"][:] = 0.0
    if plan.hot_water:
        cold_c = cold_water_c(plan, measured)
        hot_m3 = people_n * use.per_person_m3 * plan.hot_water.share_frac
        daily_wh = float(hot_water.water_heating_wh(hot_m3, plan.hot_water.hot_c - cold_c))
        drawn_w = np.tile(daily_wh * WATER_SHAPE, len(mean_c))
        columns["hot_water_w"][:] = drawn_w
        columns["preheat_w"][:] = drawn_w * _preheat_frac(plan.hot_water, len(mean_c))
    return least


def cold_water_c(plan, measured):
    """Cold water of a plan with hot water: a deep well is about the mean of the year. [deg C]."""
    return min(max(float(measured.hourly["air_c"].mean()), 4.0), plan.hot_water.hot_c - 1)


def _preheat_frac(hot, days_n):
    """Share of the heat into drawn water that sun or wood gives, by hour."""
    year = np.where(np.isin(MONTH_OF_DAY, hot.preheat_months), hot.preheat_frac, 0.0)
    return np.repeat(np.tile(year, days_n // DAYS_N), 24)


def _garden_m3(plan, measured, air_c, rain_m):
    """Water that the garden needs each hour: crop use that rain in the soil does not cover."""
    asked = np.zeros((len(air_c) // 24, 24))
    if plan.garden is None or not plan.garden.irrigated:
        return asked.ravel()
    garden = plan.garden
    daily_c = air_c.reshape(-1, 24)
    day = np.tile(np.arange(1, DAYS_N + 1), len(asked) // DAYS_N)
    eto_mm = evapotranspiration.reference_evapotranspiration_hargreaves_mm_day(
        daily_c.mean(axis=1),
        daily_c.max(axis=1),
        daily_c.min(axis=1),
        daily_radiation.extraterrestrial_radiation_mj_m2_day(measured.site.latitude_deg, day),
    )
    rain_mm = rain_m.reshape(-1, 24).sum(axis=1) * 1000.0
    use_mm = eto_mm * garden.crop_factor
    grows = np.isin(np.tile(MONTH_OF_DAY, len(asked) // DAYS_N), garden.months)
    from_soil_mm = _from_soil_mm(use_mm.tobytes(), rain_mm.tobytes())
    daily_m3 = evapotranspiration.garden_water_m3_day(
        garden.area_m2, eto_mm, garden.crop_factor, from_soil_mm, garden.irrigation_frac
    )
    for hour in GARDEN_HOURS:
        asked[:, hour] = np.where(grows, daily_m3, 0.0) / len(GARDEN_HOURS)
    return asked.ravel()


@lru_cache(maxsize=4)  # variants of a plan mostly share their garden
def _from_soil_mm(use_bytes, rain_bytes):
    """Day by day, the part of crop use that rain kept in the root zone covers."""
    use_mm, rain_mm = np.frombuffer(use_bytes), np.frombuffer(rain_bytes)
    covered = np.empty(len(use_mm))
    stored = SOIL_STORE_MM / 2
    for day, (use, rain) in enumerate(zip(use_mm.tolist(), rain_mm.tolist(), strict=True)):
        stored = min(stored + rain * SOAKING_FRAC, SOIL_STORE_MM)
        covered[day] = min(stored, use)
        stored -= covered[day]
    return covered
