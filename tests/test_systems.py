"""The thin face for scripts of other people: each promised name answers, and nothing else."""

import importlib

import pytest

PROMISED = {
    "solar": "plane_of_array_w_m2 cell_temperature_noct_c array_dc_w strings",
    "battery": "autonomy_days required_capacity_wh lead_acid_temperature_factor peukert_hours "
    "charge_allowed",
    "electrical": "cold_voltage_factor cold_open_circuit_v most_modules_in_series "
    "fewest_modules_in_series conductor_ampacity_a conductor_resistance_ohm_m voltage_drop_v "
    "next_standard_breaker_a continuous_load_minimum_a busbar_allowance_a pv_source_current_a "
    "locked_rotor_a motor_full_load_a frequency_watt_frac",
    "generator": "fuel_w derated_w",
    "water": "friction_head_hazen_williams_m friction_head_darcy_m total_dynamic_head_m "
    "hydraulic_power_w pump_energy_wh pressure_tank_drawdown_m3 casing_storage_m3 well_supply_m3 "
    "roof_catch_m3 reference_evapotranspiration_mm_day "
    "reference_evapotranspiration_hargreaves_mm_day animal_water_m3_day fire_reserve_m3",
    "heat": "degree_days_k cooling_degree_days_k conduction_w_k infiltration_w_k seasonal_heat_wh "
    "design_heat_loss_w fuel_for_heat fuel_energy_wh cordwood_wh_per_cord wood_heat_wh_kg "
    "propane_usable_m3 propane_vaporisation_w hours_to_cool water_heating_wh cooling_electric_wh",
    "food": "energy_need_kcal_day food_energy_kcal freezer_hold_hours bleach_drops",
}


@pytest.mark.parametrize("system", PROMISED)
def test_what_is_promised_is_there_and_says_what_it_gives(system):
    module = importlib.import_module(f"homestead.systems.{system}")
    assert sorted(module.__all__) == sorted(PROMISED[system].split())
    for name in module.__all__:
        assert callable(getattr(module, name))
        assert getattr(module, name).__doc__, name
