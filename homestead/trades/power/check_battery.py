"""Findings about the battery bank: rates, cold, place, and how its modules are joined."""

from homestead import reference, units
from homestead.findings.finding import DEFER, Finding
from homestead.formulas.power import battery as cells
from homestead.simulate import constants
from homestead.trades.power import study_battery as study

PRACTICE = "Common practice, no source"
TRADE = "Cell data sheets and trade notes quoted in public articles, found"


def findings_of(plan, hours=None):
    """Yield findings about the battery of a plan."""
    if plan.battery is None:
        return
    yield from _rates(plan)
    yield _cold(plan, hours)
    yield from _place(plan)
    yield from _joined(plan)
    yield from _reserve(plan)


def _rates(plan):
    for rate in study.rates(plan):
        verb = "charge it with" if rate.way == "charge" else "draw"
        limit_w = plan.battery.charge_w if rate.way == "charge" else plan.battery.discharge_w
        basis = (
            "its data sheet"
            if rate.is_entered
            else f"{plan.battery.chemistry} as usual, none entered; the {limit_w / 1000:.1f} kW "
            "entered are counted beside it"
        )
        text = (
            f"The plan's machines can {verb} {rate.power_w / 1000:.1f} kW, {rate.rate_per_h:.2f} "
            f"of today's capacity in an hour: {'within' if rate.is_within else 'outside'} "
            f"{rate.limit_per_h:.2f} ({basis}). Its maker's figure decides. {DEFER}"
        )
        severity = "note" if rate.is_within else "warning"
        yield Finding(severity, f"battery {rate.way} rate", text, PRACTICE, code="rates")


def _cold(plan, hours):
    bank, low_c = plan.battery, plan.site.record_low_c
    limit_c = reference.value("battery", bank.chemistry, "charge_temperature_low", "degC")
    limit, low = (units.show(air_c, "temperature", plan.units) for air_c in (limit_c, low_c))
    rule = f"{bank.chemistry.capitalize()} cells take no charge below {limit}"
    if bank.place == "heated room":
        text = (
            f"{rule}. The battery is in a heated room; if the room itself gets colder than "
            f"that, stop charging."
        )
        return Finding("note", "battery in the cold", text, TRADE, code="cold")
    if cells.charge_allowed(low_c, bank.chemistry):
        text = f"{rule}. In its unheated shed the record low of {low} stays above that."
        return Finding("note", "battery in the cold", text, TRADE, code="cold")
    text = (
        f"{rule}, and in an unheated shed they get as cold as the air, down to a record low "
        f"of {low}"
    )
    if hours is not None:
        share = float((hours.column("air_c") < limit_c).mean())
        text += (
            f"; the air is below the limit in {100 * share:.0f} % of the hours of the weather used"
        )
    harm = (
        "Charging them anyway ruins them and can start a fire"
        if bank.chemistry != "lead-acid"
        else "A discharged cell freezes and cracks well above that"
    )
    text += (
        f". The hourly model lets no charge in then. {harm}: a warm box, heated cells or a cut-off "
        f"by cell temperature. {DEFER}"
    )
    return Finding("warning", "battery in the cold", text, TRADE, code="cold")


def _place(plan):
    if plan.battery.chemistry == "lead-acid":
        indoors = plan.battery.place == "heated room"
        text = (
            "Vented lead-acid cells give off hydrogen while they charge: they need air to the "
            "outside and no flame or spark near."
        )
        if indoors:
            text += " The battery is in a heated room: plan a vent to the outside."
        severity = "warning" if indoors else "note"
        yield Finding(severity, "battery place", f"{text} {DEFER}", PRACTICE, code="place")


def _joined(plan):
    bank, joined = plan.battery, study.arrangement(plan)
    if bank.bank_v is None:
        return
    draw = next(rate for rate in study.rates(plan) if rate.way == "discharge")
    text = (
        f"{joined.series_n} in series, {joined.parallel_n} in parallel: {joined.bank_v:.0f} V, "
        f"{joined.bank_ah:.0f} Ah, {joined.nominal_wh / 1000:.1f} kWh nominal, and "
        f"{draw.current_a:.0f} A at the main inverter's full power. Each parallel string needs "
        f"its own fuse and disconnect. {DEFER}"
    )
    yield Finding("note", "battery bank", text, PRACTICE, code="joined")
    if bank.chemistry == "lead-acid" and joined.parallel_n > MOST_PARALLEL_N:
        text = (
            f"{joined.parallel_n} strings of lead-acid in parallel: more than the usual "
            f"{MOST_PARALLEL_N}; they share the charge unevenly and age unevenly."
        )
        yield Finding("warning", "battery bank", text, PRACTICE, code="joined")


MOST_PARALLEL_N = 3


WINTER_NIGHT_H = 16.0  # from dusk until the sun is high enough to matter; project choice


def _reserve(plan):
    """How long what is left after the house is off keeps the main inverters awake for dawn."""
    former, bank = plan.grid_former, plan.battery
    followers = [converter.name for converter in plan.converters if converter.coupling == "ac"]
    if former is None or not followers or former.idle_w <= 0.0:
        return
    share = max(1.0 - bank.depth_of_discharge_frac - bank.dead_below_frac, 0.0)
    kept_wh = constants.battery_today_wh(plan) * share * bank.round_trip_frac**0.5
    lasts_h = kept_wh / former.idle_w
    wakes = plan.generator or any(converter.coupling == "dc" for converter in plan.converters)
    enough = lasts_h >= WINTER_NIGHT_H
    text = (
        f"When an empty battery has switched the house off, {units.show(kept_wh, 'energy')} is "
        f"left for the main inverters' own {former.idle_w:.0f} W: {units.digits(lasts_h)} h. "
    )
    if enough:
        text += "A winter night is about 16 h; if the sun is up by then, the house starts again."
    elif wakes:
        text += (
            "A winter night is about 16 h, so they may be asleep at dawn; the generator or the "
            "DC-coupled array starts the house again."
        )
    else:
        text += (
            "A winter night is about 16 h, so they can be asleep at dawn, and AC-coupled sun can't "
            "wake them. Ways out: use less of the battery (a higher reserve), a string that "
            "charges it directly (DC-coupled), a small charger or generator, or loads off before "
            "it is empty."
        )
    yield Finding(
        "note" if enough or wakes else "warning",
        "battery reserve",
        f"{text} Your inverter's manual decides at what charge it sleeps. {DEFER}",
        PRACTICE,
        code="reserve",
        numbers={"lasts_h": lasts_h, "night_h": WINTER_NIGHT_H},
    )
