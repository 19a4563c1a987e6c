"""The terms of the coupled hour: its inputs, constants, state and flows, by name.

Shared by the compiled kernel, by `homestead.simulate.inputs`, which fills them from a plan, and by
whoever reads a trace. Holds no arithmetic.
"""

from typing import NamedTuple

import numpy as np

from homestead.vocabulary import NUTRIENTS

DAYS_N = 365  # a leap year's 29 February is left out
MONTH_OF_DAY = np.repeat(np.arange(1, 13), (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))

# Columns of the hourly inputs.
COLUMNS = (
    "pv_dc_w",  # sun, wind and water after charge controllers, on the battery side
    "pv_ac_w",  # the same after inverters of their own, on the house side
    "essential_w",  # appliances of priority 1
    "useful_w",  # priority 2
    "comfort_w",  # priority 3
    "air_c",
    "sun_gain_w",  # through windows
    "people_w",
    "water_least_m3",  # for people's minimum and animals
    "water_rest_m3",  # the rest of household use
    "water_garden_m3",
    "rain_m3",  # to the cistern: off the roof after losses, from spring and ram pump
    "hot_water_w",  # heat into water drawn, all household water delivered
    "preheat_w",  # of it, what sun or a coil in a stove gives
    "generator_w",  # derated for elevation and air
    "cooling_allowed",  # 1 in the months of cooling
    "latent_w",  # heat in the moisture of leaks and people, where it is above the room's
    "boil_frac",  # of what a propane tank boils off in air at 0 degF
    "essential_refused_w",  # what of each priority finds no room beside the rest, see `coincidence`
    "useful_refused_w",
    "comfort_refused_w",
)
(
    PV_DC, PV_AC, ESSENTIAL, USEFUL, COMFORT, AIR, SUN_GAIN, PEOPLE, LEAST, REST, GARDEN, RAIN,
    HOT_WATER, PREHEAT, GENERATOR, COOLING, LATENT, BOIL, ESSENTIAL_REFUSED, USEFUL_REFUSED,
    COMFORT_REFUSED,
) = range(len(COLUMNS))  # fmt: skip


NO_STORE = -2  # the part does not exist
ELECTRICITY = -1  # the part runs on electricity

GRAVITY, BOOSTER, BUCKET = 0, 1, 2
HAND_NONE, HAND_WELL, HAND_CISTERN = 0, 1, 2

COLDEST_C = -60  # start of the table of battery capacity by temperature, one entry per deg C
STORES_N = 12  # most fuel stores of a plan, for the same reason as the next
HEATERS_N = 6  # most that a plan may list; fixed so that the kernel is compiled once
TANKS_N = 2  # propane tanks whose boil-off is looked at, the first ones
TANK_STEPS_N = 9  # fills for which boil-off is tabled: 0, 0.1 to 0.8
CHILLED_C = 0.01  # this far below the thermostat a room is cold enough to start an engine for
TINY = 1e-9
DARK_ABOVE_FRAC = 0.1  # of the essential load; less is a lamp that is out, not a dark hour
OLDER_BITS = 2**23 - 1  # all but the oldest of 24 hours, which a float holds as bits
WEEK_DAYS = 7

NUTRIENTS_N = len(NUTRIENTS)
# What ended food, by number in `FOOD_ENDS`; nutrients stand between.
NOTHING, ENERGY, INFANT = -1, 0, 1 + NUTRIENTS_N
# Columns of a start's row of food: eaten within the failing window and the short one, garden water
# since isolation, what is lacking of each nutrient, salt and tablets left [g], then items [kcal],
# feed of animals [kg], meat of early slaughter [kcal] and the day it spoils (0: still alive).
LONG_KCAL, SHORT_KCAL, GOT_M3, NEEDED_M3, LACKS = range(5)
SPARES = LACKS + NUTRIENTS_N
ITEMS = SPARES + NUTRIENTS_N
BEAST_GIVES, BEAST_MEAT, BEAST_FEED = range(3)


class Fixed(NamedTuple):
    """Everything of a homestead that does not change from hour to hour.

    Ratios are stored the way round in which the hour multiplies: a division takes several times
    as long as a product, and the hour is worked a hundred million times.
    """

    battery_wh: float  # capacity today, at 25 deg C
    discharge_depth_frac: float
    charge_state_per_wh: float  # 1 / usable energy; 0 without a battery
    charge_w: float
    discharge_w: float
    charge_efficiency_frac: float
    bus_per_charge: float  # 1 / charge efficiency
    discharge_efficiency_frac: float
    discharge_per_bus: float  # 1 / discharge efficiency
    battery_inside: int
    charge_lowest_c: float
    dead_wh: float  # what keeps the main inverter awake ends here
    reconnect_frac: float  # of the usable charge, from which the house is switched on again
    former_w: float
    idle_w: float
    inverter_efficiency_frac: float
    bus_per_house: float  # 1 / inverter efficiency
    charger_w: float
    charger_efficiency_frac: float
    house_per_bus: float  # 1 / charger efficiency
    comfort_below_frac: float
    useful_below_frac: float
    generator_store: int
    generator_second: int  # drawn on when the first is empty; NO_STORE without one
    some_spoil: int  # whether any fuel goes stale
    keeps_days: tuple  # of STORES_N, days of isolation until each store is stale
    no_load_fuel_w: float
    fuel_per_w: float
    start_below_frac: float
    stop_above_frac: float
    daily_limit_h: float
    least_load_frac: float  # of a generator without a battery, held up against sun on its side
    heat_needs_power: int  # some heater has a blower or runs on electricity
    tanks_n: int
    tank_store: tuple  # of TANKS_N: which fuel store is a propane tank
    tank_w: tuple  # of TANKS_N, each of TANK_STEPS_N: boil-off in air at 0 degF by fill
    tank_heel_wh: tuple  # in it, but not to be used
    tank_fill_per_wh: tuple
    tank_buried_frac: tuple  # boil-off of a buried tank over that at 0 degF; 0 above ground
    well_yield_m3: float  # in an hour
    casing_m3: float
    pump_m3: float  # in an hour
    pump_wh_m3: float  # at rest level
    pump_wh_m3_m3: float  # more, for each m³ drawn from the casing
    tank_m3: float
    cistern_m3: float
    well_fills_to_m3: float  # the well pump tops the cistern up to here
    cistern_first: int
    delivery: int
    booster_wh_m3: float
    hand_source: int
    hand_m3: float  # in an hour
    hand_day_m3: float
    garden_floor_m3: float
    loss_w_k: float
    steady_c_per_w: float  # 1 / loss
    w_per_c: float  # mean heat over an hour that changes its end by a degree
    c_per_w: float
    decay_frac: float  # exp(-loss / capacity), over one hour
    mean_frac: float  # (1 - decay) / (loss / capacity)
    keep_c: float
    window_c: float  # windows are opened above this
    window_w_k: float
    appliance_heat_frac: float
    windows_shut: int  # in the months of cooling
    cool_w: float  # heat and moisture together
    cool_full_w: float  # electricity at full power on a hot day
    electric_per_cool: float  # 1 / COP
    cool_to_c: float
    latent_per_sensible: float  # below 0: by the moisture of the hour
    most_latent_per_sensible: float  # that a coil reaches
    heaters_n: int
    heater_w: tuple  # of HEATERS_N, in the order of use
    heater_untended_w: tuple  # outside the hours in which somebody looks after it
    heater_tended_from: tuple  # hour of the day
    heater_tended_h: tuple
    heater_efficiency_frac: tuple
    heater_fuel_per_heat: tuple  # 1 / efficiency; 0 for a heater on electricity
    heater_electric_per_heat: tuple  # blower and controls, or all of it but a heat pump's
    heater_store: tuple
    # Heat pumps rated by air; a slope and a COP of 0 mark the other heaters.
    mild_c: float  # outdoor temperature of the mild rating
    heater_mild_w: tuple  # output there
    heater_w_per_c: tuple  # less output for each deg C colder
    heater_mild_cop: tuple
    heater_cop_per_c: tuple
    heater_off_below_c: tuple
    preheat_store: int
    preheat_efficiency_frac: float
    fuel_per_preheat: float  # 1 / efficiency of the stove with the coil
    hot_water_store: int
    hot_water_efficiency_frac: float
    fuel_per_hot_water: float  # 1 / efficiency
    hot_water_limit_w: float
    standby_w: float  # of a tank, while it is full
    hot_tank_wh: float  # heat in a full tank above cold water; 0: heated as it is drawn
    hot_fill_per_wh: float  # 1 / that; 0 without a tank
    hot_from: int  # hour of the day in which an electric tank may heat
    hot_hours: int
    hot_surplus: int  # 1: from sun alone that is left over
    surplus_above_frac: float
    cooking_store: int
    cooking_w: float
    pipes_outside_frac: float
    freezer_priority: int
    freezer_hold_h: float  # when full
    freezer_start_kcal: float
    freezer_fill_frac: float
    need_kcal: float  # the household's, a day
    garden_yield_factor: float
    dark_limit_h: float  # in any 24 h
    bad_nights_n: int  # within a week, that end power and warmth
    unserved_frac: float  # of a week's essential energy
    dry_days_n: int  # in a row, that end water
    cold_below_c: float
    cold_limit_h: float
    pipes_below_c: float
    food_share_frac: float
    food_window_n: int  # days of a bad spell; the failing one is the rows of `eaten`
    infant_days: float  # how long infants without a nursing mother are fed; infinite if none


class State(NamedTuple):
    """All that one hour hands to the next, apart from the fuel stores."""

    battery_wh: float
    generator_on: float
    cut_off: float  # 1 while the house is switched off to spare an empty battery
    casing_m3: float
    tank_m3: float
    cistern_m3: float
    inside_c: float
    generator_h: float  # today
    hand_m3: float  # today
    dark_hours: float  # of the last 24, as bits, the last hour lowest
    water_m3: float  # delivered to people and animals today
    cold_h: float  # unbroken, counted up to the limit
    freezer_dark_h: float  # counted up to what a full freezer holds
    garden_got_m3: float  # since isolation
    garden_needed_m3: float
    hot_wh: float  # in the hot water tank, above cold water


class Flows(NamedTuple):
    """What moved in one hour; every balance can be drawn up from it."""

    pv_w: float  # offered by sun, wind and water
    curtailed_w: float  # of it, not used
    generator_w: float
    generator_fuel_w: float
    generator_h: float
    discharge_w: float  # out of the cells
    charge_w: float  # into the cells
    used_w: float  # on the house side
    idle_w: float
    conversion_loss_w: float  # inverter, charger and battery
    essential_w: float  # appliances by priority
    useful_w: float
    comfort_w: float
    essential_asked_w: float  # of priority 1, pump and blower included
    essential_short_w: float  # of it, not served
    useful_short_w: float  # shed or short
    comfort_short_w: float
    pump_w: float  # well and booster pump
    blower_w: float
    cooling_w: float
    electric_heat_w: float  # heaters and water heater that run on electricity
    heat_w: float  # of heaters, into the house
    gain_w: float  # sun, people, appliances
    vented_w: float
    cooled_w: float
    lost_w: float  # through envelope and leaks
    hot_water_w: float
    fuel_w: float  # all fuel but the generator's
    rain_m3: float  # into the cistern, from roof, spring and ram pump
    inflow_m3: float  # into the well
    pumped_m3: float
    delivered_m3: float  # to people and animals
    garden_m3: float
    least_short_m3: float
    rest_short_m3: float
    dark_frac: float  # share of the hour's priority 1 that was not served
    boil_frac: float  # drawn from a propane tank over what it boils off when more than 0.6 full


FLOWS_N = len(Flows._fields)


class Pool(NamedTuple):
    """Water and the power to move it, as one hour goes through its demands."""

    cistern_m3: float
    tank_m3: float
    well_m3: float
    pump_left_m3: float
    pump_wh_m3: float
    pumped_m3: float
    pump_w: float
    power_short_w: float  # pumping that only power was missing for
    left_w: float


class Days(NamedTuple):
    """Inputs by day, for every day of every weather year in turn."""

    water_least_m3: np.ndarray  # shape (days,): below this, water has failed that day
    garden: np.ndarray  # shape (days, 1 + nutrients): energy [kcal] and nutrients [g]
    beasts: np.ndarray  # shape (days, animals, 3): eggs or milk, meat [kcal], stored feed [kg]


class Larder(NamedTuple):
    """Food stores when isolation begins, and what is in each food.

    Items that need the freezer come first, then soonest to spoil before the rest.
    """

    item_kcal: np.ndarray  # shape (items,)
    keeps_days: np.ndarray  # shape (items,), infinite where nothing is known
    frozen_n: int
    feed_kg: np.ndarray  # shape (animals,)
    per_kcal: np.ndarray  # (items + 2 * animals, nutrients): items, eggs and milk, meat [g/kcal]
    limits_g: np.ndarray  # shape (2, nutrients): least a day, how much may be missing in all
    spare_g: np.ndarray  # shape (nutrients,): in salt and tablets, taken when meals lack it
    butcher: np.ndarray  # shape (2, animals): meat if slaughtered early [kcal], days it keeps

    @property
    def pantry_kcal(self):
        """Energy on the shelves."""
        return float(self.item_kcal[self.frozen_n :].sum())

    @property
    def freezer_kcal(self):
        """Energy in the freezer."""
        return float(self.item_kcal[: self.frozen_n].sum())

    def thaw(self, rows):
        """Lose all frozen food of some starts, by their rows."""
        rows[:, ITEMS : ITEMS + self.frozen_n] = 0.0


class Today(NamedTuple):
    """What a day decides about the needs."""

    was_dark: float  # 1 if any 24 h that end today held more dark hours than the limit
    asked_wh: float  # of essential load
    short_wh: float  # of it, not served
    water_m3: float
    was_cold: float  # 1 if a cold spell reached its limit
    coldest_pipes_c: float
    freezer_dark_h: float
    garden_got_m3: float
    garden_needed_m3: float
    generator_h: float
    boil_frac: float  # the most of any hour
