"""Findings about the battery bank: rates, cold, place, and how its modules are joined."""

from homestead import reference
from homestead.findings.finding import found
from homestead.formulas.power import battery as cells
from homestead.simulate import constants
from homestead.trades.power import study_battery as study

PRACTICE = "Common practice, no source"
TRADE = "Cell data sheets and trade notes quoted in public articles, found"
MOST_PARALLEL_N = 3
WINTER_NIGHT_H = 16.0  # from dusk until the sun is high enough to matter; project choice


def findings_of(plan, hours=None):
    """Yield findings about the battery of a plan."""
    if plan.battery is None:
        return
    yield from _rates(plan.battery, study.rates(plan))
    yield _cold(plan, hours)
    yield from _place(plan.battery)
    yield from _joined(plan)
    yield from _reserve(plan)


def _rates(bank, rates):
    for rate in rates:
        charges = rate.way == "charge"
        entered_w = bank.charge_w if charges else bank.discharge_w
        yield found(
            f"battery.{rate.way} rate: battery {rate.way} rate",
            "note" if rate.is_within else "warning",
            "Your equipment can {charges:charge it with|draw} {power_w:.1f}, {rate_per_h:.2f} "
            "of today's capacity in an hour: {is_within:within|outside} {limit_per_h:.2f} "
            "({is_entered:its data sheet|as usual for {chemistry}, since none is entered; your "
            "limit of {entered_w:.1f} counts too}). Its maker's figure decides. {electrician}",
            PRACTICE,
            locals(),
            rate,
            bank,
            limit="limit_per_h",
        )


def _cold(plan, hours):
    bank, low_c = plan.battery, plan.site.record_low_c
    limit_c = reference.value("battery", bank.chemistry, "charge_temperature_low", "degC")
    cells_of = bank.chemistry.capitalize()
    rule = "{cells_of} cells take no charge below {limit_c}"
    if bank.place == "heated room":
        kind, severity = "cold room", "note"
        said = ". The battery is in a heated room; if the room itself gets colder than that, stop "
        said += "charging."
    elif cells.charge_allowed(low_c, bank.chemistry):
        kind, severity = "mild shed", "note"
        said = ". In its unheated shed the record low of {low_c} stays above that."
    else:
        kind, severity = "cold shed", "warning"
        by_hour = hours is not None
        below_frac = (hours.column("air_c") < limit_c).mean() if by_hour else None
        is_acid = bank.chemistry == "lead-acid"
        said = (
            ", and in an unheated shed they get as cold as the air, down to a record low of "
            "{low_c}{by_hour:; about {below_frac:.0f} of all hours are colder than that|}. We "
            "count no charging in those hours. {is_acid:A discharged cell freezes and cracks "
            "well above that|Charging them anyway ruins them and can start a fire}: a warm box, "
            "heated cells or a cut-off by cell temperature. {electrician}"
        )
    heading = f"battery.{kind}: battery in the cold"
    return found(heading, severity, rule + said, TRADE, locals(), limit="limit_c")


def _place(bank):
    if bank.chemistry == "lead-acid":
        indoors = bank.place == "heated room"
        yield found(
            "battery.place: battery place",
            "warning" if indoors else "note",
            "Vented lead-acid cells give off hydrogen while they charge: they need air to the "
            "outside and no flame or spark near.{indoors: The battery is in a heated room: plan a "
            "vent to the outside.|} {electrician}",
            PRACTICE,
            locals(),
        )


def _joined(plan):
    bank, joined = plan.battery, study.arrangement(plan)
    if bank.bank_v is None:
        return
    draw = next(rate for rate in study.rates(plan) if rate.way == "discharge")
    yield found(
        "battery.joined: battery bank",
        "note",
        "{series_n} in series, {parallel_n} in parallel: {bank_v:.0f}, {bank_ah:.0f}, "
        "{nominal_wh:.1f} nominal, and {current_a:.0f} at the main inverter's full power. Each "
        "parallel string needs its own fuse and disconnect. {electrician}",
        PRACTICE,
        joined,
        draw,
    )
    if bank.chemistry == "lead-acid" and joined.parallel_n > MOST_PARALLEL_N:
        yield found(
            "battery.parallel: battery bank",
            "warning",
            "{parallel_n} strings of lead-acid in parallel: more than the usual {most_n}; they "
            "share the charge unevenly and age unevenly.",
            PRACTICE,
            joined,
            {"most_n": MOST_PARALLEL_N},
            limit="most_n",
        )


def _reserve(plan):
    """How long what is left after the house is off keeps the main inverters awake for dawn."""
    former, bank, night_h = plan.grid_former, plan.battery, WINTER_NIGHT_H
    couplings = {converter.coupling for converter in plan.converters}
    if former is None or "ac" not in couplings or former.idle_w <= 0.0:
        return
    share = max(1.0 - bank.depth_of_discharge_frac - bank.dead_below_frac, 0.0)
    kept_wh = constants.battery_today_wh(plan) * share * bank.round_trip_frac**0.5
    lasts_h = kept_wh / former.idle_w
    is_enough, wakes = lasts_h >= night_h, plan.generator is not None or "dc" in couplings
    yield found(
        "battery.reserve: battery reserve",
        "note" if is_enough or wakes else "warning",
        "Once an empty battery has switched the house off, {kept_wh} is left to feed the main "
        "inverters' own {idle_w}, for {lasts_h}. A winter night is about {night_h}{is_enough:; "
        "if the sun is up by then, the house starts again.|{wakes:, so they may be asleep at "
        "dawn; the generator or the DC-coupled array starts the house again.|, so they can be "
        "asleep at dawn, and AC-coupled sun can't wake them. Ways out: use less of the battery "
        "(a higher reserve), a string that charges it directly (DC-coupled), a small charger or "
        "generator, or switching things off before it is empty.}} Your inverter's manual "
        "decides at what charge it sleeps. {electrician}",
        PRACTICE,
        locals(),
        former,
        limit="night_h",
    )
