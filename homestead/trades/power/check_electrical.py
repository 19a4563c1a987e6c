"""Electrical findings, gathered: strings, coupling, starting, battery, generator, wires.

The text of each says what was compared, and what was assumed. None says that a thing
is in order: the local code, its inspector and a licensed electrician decide.
"""

from homestead.simulate import constants
from homestead.trades.power import check_battery as battery
from homestead.trades.power import check_coupling as coupling
from homestead.trades.power import check_generator as generator
from homestead.trades.power import check_sources as sources
from homestead.trades.power import check_starting as starting
from homestead.trades.power import check_strings as strings
from homestead.trades.power import check_wiring as wiring
from homestead.trades.power import study_loads as study


def findings_of(plan, hours=None):
    """Yield electrical findings about a plan."""
    fixed = hours.fixed if hours is not None else constants.fixed_of(plan)
    loads = study.loads_of(plan, fixed)
    yield from strings.findings_of(plan)
    yield from coupling.findings_of(plan, loads)
    yield from starting.findings_of(plan, loads)
    yield from battery.findings_of(plan, hours)
    yield from generator.findings_of(plan, loads, hours)
    yield from sources.findings_of(plan, hours)
    yield from wiring.findings_of(plan, loads)
