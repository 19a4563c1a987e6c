"""Hot water: heat to warm it, and what a water heater takes for it.

Owns neither the draw (power.loads and the plan) nor the burner's fuel (fuels).
"""

import math

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
