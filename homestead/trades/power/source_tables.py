"""Tables of the sources of power but the sun."""

import numpy as np
import pandas as pd

from homestead.screen.readable import WATTS_PER_KW, column, head, percent, rounded
from homestead.simulate import sources
from homestead.simulate.records import DAYS_N, MONTH_OF_DAY
from homestead.trades.power import study_sources
from homestead.vocabulary import MONTHS

HOURS_A_DAY = 24.0


def hydro(plan, units="us"):
    """Hydro plant by month: flow used, pipe loss, power; no rows without a plant."""
    flow, lost = head("Flow used", "flow", units), "Drop lost in the pipe"
    columns = [flow, lost, "Power (kW)", "Available (kWh/day)"]
    plant = plan.hydro
    if plant is None:
        return pd.DataFrame([], columns=["Month", *columns]).set_index("Month")
    flow_m3s = sources.hydro_flow_m3s(plant)
    lost_frac = sources.hydro_friction_m(plant, flow_m3s) / plant.head_m
    made_kw = sources.hydro_by_month_w(plant) / WATTS_PER_KW
    cells = (
        column(flow_m3s, "flow", units),
        [percent(one) for one in lost_frac],
        rounded(made_kw, 2),
        rounded(made_kw * HOURS_A_DAY, 1),
    )
    table = dict(zip(columns, cells, strict=True))
    return pd.DataFrame({"Month": list(MONTHS), **table}).set_index("Month")


def wind(outlook):
    """Wind turbine by month: power offered, calm hours, longest calm; no rows without one."""
    columns = ["Available (kWh/day)", "Hours without power", "Longest calm (days)"]
    offered_w = outlook.hours.sources.get("wind")
    if offered_w is None:
        return pd.DataFrame([], columns=["Month", *columns]).set_index("Month")
    by_day = offered_w.reshape(-1, 24)
    month = np.tile(MONTH_OF_DAY, len(by_day) // DAYS_N)
    calm_days = study_sources.calm_so_far_h(offered_w).reshape(-1, 24).max(axis=1) / HOURS_A_DAY
    rows = [
        (
            round(by_day[month == number].sum(axis=1).mean() / WATTS_PER_KW, 1),
            percent((by_day[month == number] <= 0.0).mean()),
            round(calm_days[month == number].max(), 1),
        )
        for number in range(1, 13)
    ]
    return pd.DataFrame(rows, columns=columns, index=pd.Index(MONTHS, name="Month"))
