"""The bank looked at closely: nominal against usable, age, cold, rates, series and parallel.

The capacity by age and cold is that of the coupled hour (`homestead.simulate.constants`), so that
the table here and the days of independence speak of the same bank.
"""

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from homestead.formulas.power import battery as cells
from homestead.simulate import constants
from homestead.simulate.records import COLDEST_C
from homestead.trades.power.study_sources import machines_of

WARM_C = 25.0
FREEZING_C = 0.0
YEARS_ON = 10.0


@dataclass(frozen=True)
class Capacity:
    """Energy of the bank in one state."""

    label: str
    age_years: float
    cell_c: float
    stored_wh: float  # what the cells hold, at that age and temperature
    usable_wh: float  # of it, what the plan lets be drawn


def aged_frac(bank, age_years):
    """Share of its label that the bank holds after some years, as in the coupled hour."""
    return max(1.0 - bank.fade_frac * age_years, 0.0)


def cold_frac(plan, cell_c):
    """Share of its capacity that the bank gives at a cell temperature, as in the coupled hour."""
    by_c = constants.capacity_by_c(plan)
    return float(by_c[int(np.clip(round(cell_c) - COLDEST_C, 0, len(by_c) - 1))])


def capacities(plan):
    """Energy of the bank new, today and in ten years, warm, at freezing and in the record cold.

    Gives tuple of Capacity: Empty without a battery. The record cold only for a bank in an unheated
        shed, whose cells follow the air in time.
    """
    bank = plan.battery
    if bank is None:
        return ()
    ages = {
        "new": 0.0,
        "today": bank.age_years,
        "in ten years": bank.age_years + YEARS_ON,
    }
    temperatures = {"warm": WARM_C, "at freezing": FREEZING_C}
    if bank.place == "unheated shed":
        temperatures["at the record low"] = plan.site.record_low_c
    found = []
    for age, years in ages.items():
        for state, cell_c in temperatures.items():
            aged_wh = bank.nominal_wh * aged_frac(bank, years)
            cold = cold_frac(plan, cell_c)
            found.append(
                Capacity(
                    f"{age}, {state}",
                    years,
                    cell_c,
                    aged_wh * cold,
                    aged_wh * cold * bank.depth_of_discharge_frac,
                )
            )
    return tuple(found)


def capacity_table(plan, daily_wh=None):
    """Energy of the bank by age and temperature.

    daily_wh (float, optional) : Mean daily draw at the bank, for a column of sunless days.
    Gives DataFrame: Indexed by label: age_years, cell_c, nominal_wh, stored_wh, usable_wh and, with
        daily_wh, sunless_days.
    """
    rows = [vars(capacity) for capacity in capacities(plan)]
    columns = ["label", "age_years", "cell_c", "stored_wh", "usable_wh"]
    found = pd.DataFrame(rows, columns=columns).set_index("label")
    found.insert(2, "nominal_wh", plan.battery.nominal_wh if plan.battery else 0.0)
    if daily_wh is not None:
        found["sunless_days"] = cells.autonomy_days(found["usable_wh"].to_numpy(), daily_wh)
    return found


@dataclass(frozen=True)
class Rate:
    """One way of charging or discharging the bank."""

    way: str  # {"charge", "discharge"}
    power_w: float  # most that the plan's machines can ask of the cells or push into them
    rate_per_h: float  # over the capacity of today: the C-rate
    limit_per_h: float  # as entered, else the usual figure of the chemistry
    is_entered: bool
    current_a: float  # nan if the voltage of a module is not entered

    @property
    def is_within(self):
        """Whether the rate keeps to its limit."""
        return self.rate_per_h <= self.limit_per_h * (1.0 + 1e-9)


def charge_power_w(plan):
    """Most that charge controllers and charger can push into the bank, within its own limit. [W].

    DC arrays by their converter or, if smaller, their rating, hydro and wind by what they give at
    most; the charger of the main inverter from what is AC-coupled or a generator.
    """
    bank, former = plan.battery, plan.grid_former
    machines = machines_of(plan)
    pushed_w = sum(
        min(array.converter_w, array.rated_w) for array in plan.arrays if array.coupling == "dc"
    )
    pushed_w += sum(machine.converter_w for machine in machines if machine.coupling == "dc")
    followers = [array for array in (*plan.arrays, *machines) if array.coupling == "ac"]
    if former and (plan.generator or followers):
        pushed_w += former.charger_w * former.charger_efficiency_frac
    return min(pushed_w, bank.charge_w)


def discharge_power_w(plan):
    """Most that the main inverter can draw from the bank, within its own limit. [W]."""
    bank, former = plan.battery, plan.grid_former
    drawn_w = former.all_units_w / former.efficiency_frac if former else 0.0
    return min(drawn_w, bank.discharge_w)


def rates(plan):
    """C-rates of the bank, charging and discharging.

    Gives tuple of Rate: Empty without a battery.
    """
    bank = plan.battery
    if bank is None:
        return ()
    today_wh = max(constants.battery_today_wh(plan), 1.0)
    found = []
    for way, power_w, entered in (
        ("charge", charge_power_w(plan), bank.most_charge_c),
        ("discharge", discharge_power_w(plan), bank.most_discharge_c),
    ):
        found.append(
            Rate(
                way,
                power_w,
                float(cells.c_rate_per_h(power_w, today_wh)),
                entered or cells.usual_c_rate_per_h(bank.chemistry, way),
                entered is not None,
                power_w / bank.bank_v if bank.bank_v else math.nan,
            )
        )
    return tuple(found)


@dataclass(frozen=True)
class Arrangement:
    """How the modules of the bank are joined."""

    series_n: int
    parallel_n: int
    bank_v: float  # nominal; nan if that of a module is not entered
    bank_ah: float  # nan likewise
    nominal_wh: float


def arrangement(plan):
    """Series and parallel counts of the bank, its voltage and charge.

    Gives Arrangement or None: None without a battery.
    """
    bank = plan.battery
    if bank is None:
        return None
    bank_v = bank.bank_v or math.nan
    bank_ah = bank.nominal_wh / bank_v
    return Arrangement(bank.series_n, bank.parallel_n, bank_v, bank_ah, bank.nominal_wh)
