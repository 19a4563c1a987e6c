"""Hot water: heat to warm it, heat lost while it stands, temperature of the water that comes in.

Owns neither the draw (power.loads and the plan) nor the burner's fuel (fuels).
"""

import math

import numpy as np

from homestead import reference
from homestead.units import checked

# Mean of ordinary hot-water service: 998 kg/m3 near 20 degC, 4186 J/(kg K). From memory: steam
# tables; both vary by less than 2 % from 5 to 60 degC.
WATER_DENSITY_KG_M3 = 998.0
WATER_SPECIFIC_HEAT_J_KGK = 4186.0


def water_heating_wh(
    volume_m3,
    rise_k,
    density_kg_m3=WATER_DENSITY_KG_M3,
    specific_heat_j_kgk=WATER_SPECIFIC_HEAT_J_KGK,
):
    """Heat that warms a volume of water.

    volume_m3 : [m3], 0 or more.
    rise_k : Temperature rise. [K], 0 to 100.
    density_kg_m3, specific_heat_j_kgk : Properties of water, where a test method prints its own.
        [kg/m3], [J/(kg K)]
    Gives [Wh], without any loss.
    """
    volume = checked("volume_m3", volume_m3, 0.0, math.inf, "m3")
    rise = checked("rise_k", rise_k, 0.0, 100.0, "K")
    density = checked("density_kg_m3", density_kg_m3, 950.0, 1010.0, "kg/m3")
    heat = checked("specific_heat_j_kgk", specific_heat_j_kgk, 4000.0, 4400.0, "J/(kg K)")
    return volume * rise * density * heat / 3600.0  # 3600 s in an hour


def daily_test_draw_wh():
    """Heat in one day's water of the DOE test of water heaters. [Wh]."""
    return reference.value("hot_water", "test draw", "heat", "Wh/day")


def heater_energy_wh(hot_water_wh, energy_factor):
    """Energy into a water heater for the heat in the hot water, standby loss included.

    hot_water_wh : Heat carried away by the hot water. [Wh], 0 or more.
    energy_factor : Rated energy factor. 0.1 to 5 (above 1 for heat pumps).
    Gives [Wh] of gas or electricity.

    The factor holds for the test's draw. For much smaller draws use `standby_loss_w_k`.

    .. [1] U.S. Department of Energy, "Estimating a Storage, Demand, or Heat Pump Water Heater's
       Costs".
    """
    heat = checked("hot_water_wh", hot_water_wh, 0.0, math.inf, "Wh")
    return heat / checked("energy_factor", energy_factor, 0.1, 5.0)


def standby_loss_w_k(energy_factor, recovery_efficiency_frac, input_w):
    """Loss coefficient of a storage water heater, from its rated figures.

    energy_factor : Rated energy factor. 0.3 to 0.99, below the recovery efficiency.
    recovery_efficiency_frac : Heat into the water over energy in while it recovers. 0.3 to 1.
    input_w : Rated burner or element input. [W], 500 to 100 000.
    Gives [W/K] between the tank and the room.

    UA = (1/EF - 1/RE) / (dT (24 h / Q - 1 / (RE P))), Q the heat of the test draw and dT the
    test's tank less its room.

    .. [1] J. Lutz et al., LBL-37805, 1996 (equation from memory).
    """
    factor = checked("energy_factor", energy_factor, 0.3, 0.99)
    recovery = checked("recovery_efficiency_frac", recovery_efficiency_frac, 0.3, 1.0)
    power = checked("input_w", input_w, 500.0, 100_000.0, "W")
    if not np.all(factor < recovery):
        raise ValueError(
            "energy_factor must be below recovery_efficiency_frac, since the tank loses heat; got "
            f"{energy_factor!r} and {recovery_efficiency_frac!r}"
        )
    difference = reference.value("hot_water", "test draw", "standby_difference", "delta_degC")
    hours = 24.0 / daily_test_draw_wh() - 1.0 / (recovery * power)
    return (1.0 / factor - 1.0 / recovery) / (difference * hours)


def standby_wh_day(loss_w_k, tank_c, room_c):
    """Heat that a hot-water tank loses to its room in a day.

    loss_w_k : Loss coefficient (`standby_loss_w_k`). [W/K], 0 to 100.
    tank_c, room_c : Mean temperatures. [degC], 0 to 100 and -40 to 60.
    Gives [Wh/day]; negative where the room is the warmer.
    """
    loss = checked("loss_w_k", loss_w_k, 0.0, 100.0, "W/K")
    tank = checked("tank_c", tank_c, 0.0, 100.0, "degC")
    return loss * (tank - checked("room_c", room_c, -40.0, 60.0, "degC")) * 24.0


def water_heater_input_wh(draw_wh, standby_wh, efficiency_frac, preheat_frac=0.0):
    """Fuel or electricity of a water heater, from its draw and its standing loss.

    draw_wh : Heat into the water that is drawn. [Wh], 0 or more.
    standby_wh : Heat that the tank loses while it stands. [Wh], 0 or more.
    efficiency_frac : Heat into the tank over energy in. 0.05 to 5 (above 1 for heat pumps).
    preheat_frac : Share of the draw's heat that sun or wood has given before. 0 to 1.
    Gives [Wh].
    """
    draw = checked("draw_wh", draw_wh, 0.0, math.inf, "Wh")
    standby = checked("standby_wh", standby_wh, 0.0, math.inf, "Wh")
    own = draw * (1.0 - checked("preheat_frac", preheat_frac, 0.0, 1.0)) + standby
    return own / checked("efficiency_frac", efficiency_frac, 0.05, 5.0)


def mains_water_c(day_of_year, annual_mean_c, monthly_range_c):
    """Temperature of water from shallow pipes or ground, through the year.

    day_of_year : 1 to 366, northern hemisphere.
    annual_mean_c : Mean outdoor air temperature of the year. [degC], -15 to 35.
    monthly_range_c : Warmest month's mean less coldest month's mean. [K], 0 to 60.
    Gives [degC], not below 0.5: standing water in use is not ice.

    T = mean + offset + ratio (range / 2) sin(0.986 deg (day - 15 - lag) - 90 deg), in degF, with
    ratio = 0.4 + 0.01 (mean - 44) and lag = 35 - (mean - 44) days. Deep well water stays near
    the annual mean instead.

    .. [1] J. Burch and C. Christensen, "Towards Development of an Algorithm for Mains Water
       Temperature", NREL, 2007 (from memory).
    """
    day = checked("day_of_year", day_of_year, 1.0, 366.0)
    mean = checked("annual_mean_c", annual_mean_c, -15.0, 35.0, "degC")
    swing = checked("monthly_range_c", monthly_range_c, 0.0, 60.0, "K")
    part = {
        name: reference.value("hot_water", "mains water", name, unit)
        for name, unit in (
            ("offset", "delta_degC"),
            ("reference", "degC"),
            ("ratio", ""),
            ("ratio_slope", "1/delta_degC"),
            ("lag", "day"),
            ("lag_slope", "day/delta_degC"),
            ("first_day", "day"),
            ("daily_angle", "deg/day"),
        )
    }
    above = mean - part["reference"]
    ratio = part["ratio"] + part["ratio_slope"] * above
    lag = part["lag"] - part["lag_slope"] * above
    angle = part["daily_angle"] * (day - part["first_day"] - lag) - 90.0
    wave = ratio * swing / 2.0 * np.sin(np.radians(angle))
    return np.maximum(mean + part["offset"] + wave, 0.5)
