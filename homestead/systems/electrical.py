"""Wires, breakers, strings and motors, for scripts: names from the formulas of power."""

from homestead.formulas.power.electrical import (
    cold_open_circuit_v,
    cold_voltage_factor,
    fewest_modules_in_series,
    most_modules_in_series,
    pv_source_current_a,
)
from homestead.formulas.power.inverters import (
    frequency_watt_frac,
)
from homestead.formulas.power.motors import (
    locked_rotor_a,
    motor_full_load_a,
)
from homestead.formulas.power.wiring import (
    busbar_allowance_a,
    conductor_ampacity_a,
    conductor_resistance_ohm_m,
    continuous_load_minimum_a,
    next_standard_breaker_a,
    voltage_drop_v,
)

__all__ = [
    "busbar_allowance_a",
    "cold_open_circuit_v",
    "cold_voltage_factor",
    "conductor_ampacity_a",
    "conductor_resistance_ohm_m",
    "continuous_load_minimum_a",
    "fewest_modules_in_series",
    "frequency_watt_frac",
    "locked_rotor_a",
    "most_modules_in_series",
    "motor_full_load_a",
    "next_standard_breaker_a",
    "pv_source_current_a",
    "voltage_drop_v",
]
