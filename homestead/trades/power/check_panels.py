"""Findings about panels: the busbar against all that feeds it, and the back-feed breakers."""

from homestead.findings.finding import DEFER, Finding
from homestead.formulas.power import wiring
from homestead.trades.power import study_panels as panels

BUSBAR = "NFPA 70 (NEC) 2023, 705.12(B), found"


def findings_of(plan):
    """Yield findings on each panel beside the PV that feeds it, its own or from below."""
    mains = [("panel", plan.panel, None)] if plan.panel else []
    for name, panel, key in [*mains, *((f"panel {p.name}", p, p.name) for p in plan.subpanels)]:
        yield from _one_busbar(plan, name, panel, key)


def _one_busbar(plan, name, panel, key):
    fed = panels.below(plan, key)
    main_a, what = _supply_breaker(plan, panel, key)
    volts = plan.grid_former.output_v if plan.grid_former else 240.0
    followers_a = panels.followers_w(plan, fed) / volts
    asked_a = float(wiring.continuous_load_minimum_a(followers_a))
    if followers_a == 0.0 and not panel.backfeed_breaker_a:
        return
    far = panel.backfeed_at_far_end
    allowed_a = (
        float(wiring.busbar_allowance_a(panel.busbar_a, min(main_a, panel.busbar_a)))
        if far
        else panel.busbar_a - main_a
    )
    within = asked_a <= allowed_a + 1e-6
    rule = f"a {panel.busbar_a:.0f} A busbar less the {main_a:.0f} A {what}"
    rule = f"120 % of {rule}" if far else f"{rule}, since the breakers are not at the far end"
    text = (
        f"125 % of the {followers_a:.1f} A of PV inverters in this panel or fed through it is "
        f"{asked_a:.1f} A: {'within' if within else 'outside'} {allowed_a:.0f} A, {rule}. "
        "An inverter whose circuit names no panel is counted in the main one. Place and label are "
        "part of the rule."
    )
    severity = "note" if within else "danger"
    yield Finding(
        severity,
        f"{name} busbar",
        f"{text} {DEFER}",
        BUSBAR,
        code="busbar",
        numbers={"asked_a": asked_a, "allowed_a": allowed_a},
    )
    breakers_a = panel.backfeed_breaker_a
    if breakers_a and breakers_a < asked_a - 1e-6:
        text = (
            f"Back-feed breakers of {breakers_a:.0f} A in all are below 125 % of the inverters' "
            f"current, {asked_a:.1f} A: outside the figure."
        )
        yield Finding(
            "warning",
            f"{name} back-feed",
            f"{text} {DEFER}",
            BUSBAR,
            code="busbar",
            numbers={"asked_a": asked_a, "allowed_a": allowed_a},
        )


def _supply_breaker(plan, panel, key):
    """Breaker that protects the busbar from its supply, and its name: without a main the feeder's.

    A feeder of several circuits, or without a breaker entered, counts as none.
    """
    if panel.main_breaker_a:
        return panel.main_breaker_a, "main"
    feeds = ("main inverter", "panel") if key is None else (key,)
    own = [circuit.breaker_a for circuit in plan.circuits if circuit.feeds in feeds]
    if len(own) == 1 and own[0]:
        return own[0], "feeder's breaker"
    return 0.0, "main"
