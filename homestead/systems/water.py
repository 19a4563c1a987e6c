"""Water, for scripts: names from the formulas of water."""

from homestead.formulas.water.evapotranspiration import (
    reference_evapotranspiration_hargreaves_mm_day,
    reference_evapotranspiration_mm_day,
)
from homestead.formulas.water.hydraulics import (
    friction_head_darcy_m,
    friction_head_hazen_williams_m,
    total_dynamic_head_m,
)
from homestead.formulas.water.pressure_tank import (
    pressure_tank_drawdown_m3,
)
from homestead.formulas.water.pumps import (
    hydraulic_power_w,
    pump_energy_wh,
)
from homestead.formulas.water.rain import (
    roof_catch_m3,
)
from homestead.formulas.water.water_use import (
    animal_water_m3_day,
    fire_reserve_m3,
)
from homestead.formulas.water.wells import (
    casing_storage_m3,
    well_supply_m3,
)

__all__ = [
    "animal_water_m3_day",
    "casing_storage_m3",
    "fire_reserve_m3",
    "friction_head_darcy_m",
    "friction_head_hazen_williams_m",
    "hydraulic_power_w",
    "pressure_tank_drawdown_m3",
    "pump_energy_wh",
    "reference_evapotranspiration_hargreaves_mm_day",
    "reference_evapotranspiration_mm_day",
    "roof_catch_m3",
    "total_dynamic_head_m",
    "well_supply_m3",
]
