"""Findings about panels: the busbar against all that feeds it, and the back-feed breakers."""

from homestead.findings.finding import found
from homestead.formulas.power import wiring
from homestead.trades.power import study_panels as panels

BUSBAR = "NFPA 70 (NEC) 2023, 705.12(B), found"


def findings_of(plan):
    """Yield findings on each panel beside the PV that feeds it, its own or from below."""
    mains = [(plan.panel, None)] if plan.panel else []
    for panel, key in [*mains, *((panel, panel.name) for panel in plan.subpanels)]:
        yield from _one_busbar(plan, panel, key)


def _one_busbar(plan, panel, key):
    main_a, has_main = _supply_breaker(plan, panel, key)
    volts = plan.grid_former.output_v if plan.grid_former else 240.0
    followers_a = panels.followers_w(plan, panels.below(plan, key)) / volts
    asked_a = float(wiring.continuous_load_minimum_a(followers_a))
    if followers_a == 0.0 and not panel.backfeed_breaker_a:
        return
    if panel.backfeed_at_far_end:
        main_counted_a = min(main_a, panel.busbar_a)
        allowed_a = float(wiring.busbar_allowance_a(panel.busbar_a, main_counted_a))
    else:
        allowed_a = panel.busbar_a - main_a
    is_within = asked_a <= allowed_a + 1e-6
    yield found(
        "wires.busbar: panel{subject: {subject}|} busbar",
        "note" if is_within else "danger",
        "125 % of the {followers_a:.1f} of PV inverters in this panel or fed through it is "
        "{asked_a:.1f}: {is_within:within|outside} {allowed_a:.0f}, {backfeed_at_far_end:120 % of "
        "|}a {busbar_a:.0f} busbar less the {main_a:.0f} {has_main:main|feeder's breaker}"
        "{backfeed_at_far_end:|, since the breakers are not at the far end}. An inverter whose "
        "circuit names no panel is counted in the main one. Place and label are part of the rule. "
        "{electrician}",
        BUSBAR,
        locals(),
        panel,
        subject=key or "",
        limit="allowed_a",
    )
    if panel.backfeed_breaker_a and panel.backfeed_breaker_a < asked_a - 1e-6:
        yield found(
            "wires.back-feed: panel{subject: {subject}|} back-feed",
            "warning",
            "Back-feed breakers of {backfeed_breaker_a:.0f} in all are below 125 % of the "
            "inverters' current, {asked_a:.1f}: outside the figure. {electrician}",
            BUSBAR,
            locals(),
            panel,
            subject=key or "",
            limit="asked_a",
        )


def _supply_breaker(plan, panel, key):
    """Breaker that protects the busbar from its supply; without a main the feeder's, and False.

    A feeder of several circuits, or without a breaker entered, counts as none.
    """
    if panel.main_breaker_a:
        return panel.main_breaker_a, True
    feeds = ("main inverter", "panel") if key is None else (key,)
    own = [circuit.breaker_a for circuit in plan.circuits if circuit.feeds in feeds]
    if len(own) == 1 and own[0]:
        return own[0], False
    return 0.0, True
