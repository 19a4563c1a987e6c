"""The pressure tank and how often it lets the pump start.

Owns drawdown, size, shortest run and starts a day. Leaves the well to `wells`, the pump's power to
`pumps`. Pressures are gauge pressures unless the name says otherwise.
"""

import numpy as np

from homestead import reference
from homestead.units import checked


def pressure_tank_acceptance_frac(precharge_pa, cut_in_pa, cut_out_pa, atmosphere_pa=101325.0):
    """Share of a pressure tank's volume that it gives between cut-out and cut-in.

    precharge_pa : Air charge of the empty tank. [Pa gauge], 0 to 2e6.
    cut_in_pa : Pump starts. [Pa gauge], not below the precharge.
    cut_out_pa : Pump stops. [Pa gauge], not below the cut-in.
    atmosphere_pa : [Pa], 50000 to 110000.
    Boyle's law at constant temperature [1]_.
    .. [1] Pelikan, "How to Calculate and Control Pressure Tank Drawdown", National Driller, 2006.
    """
    precharge = checked("precharge_pa", precharge_pa, 0, 2e6, "Pa")
    cut_in = checked("cut_in_pa", cut_in_pa, 0, 2e6, "Pa")
    cut_out = checked("cut_out_pa", cut_out_pa, 0, 2e6, "Pa")
    atmosphere = checked("atmosphere_pa", atmosphere_pa, 5e4, 1.1e5, "Pa")
    if np.any(precharge > cut_in):
        raise ValueError(
            f"precharge_pa must not exceed cut_in_pa; got {precharge_pa!r} and {cut_in_pa!r}"
        )
    if np.any(cut_in > cut_out):
        raise ValueError(
            f"cut_in_pa must not exceed cut_out_pa; got {cut_in_pa!r} and {cut_out_pa!r}"
        )
    absolute = precharge + atmosphere
    return absolute / (cut_in + atmosphere) - absolute / (cut_out + atmosphere)


def pressure_tank_drawdown_m3(tank_m3, precharge_pa, cut_in_pa, cut_out_pa, atmosphere_pa=101325.0):
    """Water that a pressure tank gives between the pump's stop and its next start.

    tank_m3 : Whole volume of the tank. [m3], 0 to 100.
    precharge_pa, cut_in_pa, cut_out_pa : [Pa gauge], as in `pressure_tank_acceptance_frac`.
    atmosphere_pa : [Pa], 50000 to 110000.
    Gives [m3].

    .. [1] Pelikan, "How to Calculate and Control Pressure Tank Drawdown", National Driller, 2006.
    """
    tank = checked("tank_m3", tank_m3, 0, 100, "m3")
    return tank * pressure_tank_acceptance_frac(precharge_pa, cut_in_pa, cut_out_pa, atmosphere_pa)


def pump_minimum_run_s(motor_w):
    """Shortest run that a pump motor should have, so that it cools between starts.

    motor_w : Rated shaft power. [W], 1 to 1e6.
    Gives [s].

    1 min below 1 hp, 2 min from there; trade manuals, from memory. The motor maker's own figure
    comes first.
    """
    motor = checked("motor_w", motor_w, 1, 1e6, "W")
    # A plate of 1 hp may be written as 745 or 746 W, so a watt of slack.
    step = reference.value("pumping", "pump motor", "minimum_run_step", "W") - 1.0
    short = reference.value("pumping", "pump motor below 1 hp", "minimum_run", "s")
    long = reference.value("pumping", "pump motor 1 hp and above", "minimum_run", "s")
    return np.where(motor < step, short, long)


def pressure_tank_size_m3(
    pump_m3s, minimum_run_s, precharge_pa, cut_in_pa, cut_out_pa, atmosphere_pa=101325.0
):
    """Pressure tank whose drawdown gives the pump its shortest allowed run.

    pump_m3s : Pump's flow. [m3/s], 0 to 1.
    minimum_run_s : [s], 0 to 3600; see `pump_minimum_run_s`.
    precharge_pa, cut_in_pa, cut_out_pa : [Pa gauge]; cut-out above cut-in.
    atmosphere_pa : [Pa], 50000 to 110000.
    Gives [m3].

    Drawdown wanted = flow x shortest run; Water Systems Council practice, from memory.
    """
    flow = checked("pump_m3s", pump_m3s, 0, 1, "m3/s")
    run = checked("minimum_run_s", minimum_run_s, 0, 3600, "s")
    share = pressure_tank_acceptance_frac(precharge_pa, cut_in_pa, cut_out_pa, atmosphere_pa)
    if np.any(share <= 0):
        raise ValueError(
            f"cut_out_pa must be above cut_in_pa; got {cut_out_pa!r} and {cut_in_pa!r}"
        )
    return flow * run / share


def pump_starts_per_day_n(daily_m3, tank_drawdown_m3):
    """Most starts a day that a pump makes to deliver the day's water through its tank.

    daily_m3 : [m3/day], 0 to 1e5.
    tank_drawdown_m3 : [m3], 1e-4 to 100.

    Upper bound: water drawn while the pump runs makes each run longer, the starts fewer. Derived.
    """
    daily = checked("daily_m3", daily_m3, 0, 1e5, "m3")
    return daily / checked("tank_drawdown_m3", tank_drawdown_m3, 1e-4, 100, "m3")


def pump_start_warning_n(motor_w):
    """Starts in a day above which a submersible motor may wear early.

    motor_w : Rated shaft power. [W], 1 to 1e6.

    300 to 3/4 hp, 100 above; motor application guides, from memory, so a warning level only.
    """
    motor = checked("motor_w", motor_w, 1, 1e6, "W")
    step = reference.value("pumping", "pump motor", "starts_step", "W") + 1.0
    small = reference.value("pumping", "pump motor to 3/4 hp", "starts_per_day", "")
    large = reference.value("pumping", "pump motor above 3/4 hp", "starts_per_day", "")
    return np.where(motor <= step, small, large)
