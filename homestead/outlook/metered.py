"""The whole house's use by the meter, beside what the plan lists and works out."""

from homestead import units
from homestead.findings.finding import Finding
from homestead.simulate.records import MONTH_OF_DAY

SHORT = ("essential_short_w", "useful_short_w", "comfort_short_w")
APPLIANCES = ("essential_w", "useful_w", "comfort_w", *SHORT)
OTHERS = ("pump_w", "blower_w", "cooling_w", "electric_heat_w")
CLOSE_FRAC = 0.1  # meter and inventory agree within this; project choice


def listed_wh(plan, monthly):
    """Energy on a mean day of the meter's months: of appliances by month, and of all else. [Wh].

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
    meter_wh, all_wh = plan.meter.daily_wh, sum(by_month_wh.values()) + others_wh
    said = f"By your meter the house uses {units.show(meter_wh, 'energy')} a day; your list comes "
    said += f"to {units.show(all_wh, 'energy')}"
    if agrees(meter_wh, all_wh):
        severity, text = "note", f"{said}: within a tenth."
    elif meter_wh > all_wh:
        missing = units.show(meter_wh - all_wh, "energy")
        severity = "warning"
        text = (
            f"{said}. {missing} a day isn't on it: look for what is missing before you trust the "
            "days, or raise what you only guessed."
        )
    else:
        severity = "warning"
        text = f"{said}: more than the house draws. Check running times and what you only guessed."
    yield Finding(
        severity,
        "meter",
        text,
        "Your own meter",
        code="meter",
        numbers={"meter_wh": meter_wh, "listed_wh": all_wh},
    )
