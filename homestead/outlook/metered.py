"""The whole house's use by the meter, beside what the plan lists and works out."""

from homestead.findings.finding import found
from homestead.simulate.records import MONTH_OF_DAY

SHORT = ("essential_short_w", "useful_short_w", "comfort_short_w")
APPLIANCES = ("essential_w", "useful_w", "comfort_w", *SHORT)
OTHERS = ("pump_w", "blower_w", "cooling_w", "electric_heat_w")
CLOSE_FRAC = 0.1  # meter and inventory agree within this; project choice


def listed_wh(plan, monthly):
    """Energy on an average day of the meter's months: appliances by month, and all else. [Wh].

    plan (Plan) : With a `meter`.
    monthly (DataFrame) : Energy of a mean year with deliveries, by month.
    Gives (dict of int to float, float): What went short is counted as asked for.
    """
    months = plan.meter.months
    days_n = sum(int((MONTH_OF_DAY == month).sum()) for month in months)
    by_month_wh = {
        month: float(monthly.loc[month, list(APPLIANCES)].sum()) / days_n for month in months
    }
    # Pump and blower count as essential where they go short; the few watt-hours don't matter here.
    others_wh = float(monthly.loc[list(months), list(OTHERS)].sum().sum()) / days_n
    return by_month_wh, others_wh


def agrees(meter_wh, all_wh):
    """Whether the list comes to what the meter says."""
    return abs(meter_wh - all_wh) <= CLOSE_FRAC * meter_wh


def findings_of(plan, monthly):
    """Yield what the meter says of the list, if the plan has a meter."""
    if plan.meter is None:
        return
    by_month_wh, others_wh = listed_wh(plan, monthly)
    meter_wh, inventory_wh = plan.meter.daily_wh, sum(by_month_wh.values()) + others_wh
    missing_wh, is_close = meter_wh - inventory_wh, agrees(meter_wh, inventory_wh)
    is_short = missing_wh > 0.0
    yield found(
        "inverters.meter: meter",
        "note" if is_close else "warning",
        "By your meter the house uses {meter_wh} a day; your list comes to {inventory_wh}{is_close:"
        ": within a tenth.|{is_short:. {missing_wh} a day isn't on it: look for what is missing "
        "before you trust the days, or raise what you only guessed.|: more than the house draws. "
        "Check running times and what you only guessed.}}",
        "Your own meter",
        locals(),
        limit="meter_wh",
    )
