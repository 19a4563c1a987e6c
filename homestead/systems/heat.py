"""Heat and fuels, for scripts: names from the formulas of warmth."""

from homestead.formulas.warmth.cool_down import (
    hours_to_cool,
)
from homestead.formulas.warmth.cooling import (
    cooling_electric_wh,
)
from homestead.formulas.warmth.fuels import (
    cordwood_wh_per_cord,
    fuel_energy_wh,
    fuel_for_heat,
    propane_usable_m3,
    propane_vaporisation_w,
    wood_heat_wh_kg,
)
from homestead.formulas.warmth.heat import (
    conduction_w_k,
    cooling_degree_days_k,
    degree_days_k,
    design_heat_loss_w,
    infiltration_w_k,
    seasonal_heat_wh,
)
from homestead.formulas.warmth.hot_water import (
    water_heating_wh,
)

__all__ = [
    "conduction_w_k",
    "cooling_degree_days_k",
    "cooling_electric_wh",
    "cordwood_wh_per_cord",
    "degree_days_k",
    "design_heat_loss_w",
    "fuel_energy_wh",
    "fuel_for_heat",
    "hours_to_cool",
    "infiltration_w_k",
    "propane_usable_m3",
    "propane_vaporisation_w",
    "seasonal_heat_wh",
    "water_heating_wh",
    "wood_heat_wh_kg",
]
