"""Electrical findings, gathered: strings, coupling, starting, battery, generator, wires.

The text of each says what was compared, as entered, and what was assumed. None says that a thing
is in order: the local code, its inspector and a licensed electrician decide.
"""

from homestead.outlook import constants
from homestead.outlook.checks import battery, coupling, generator, starting, strings, wiring
from homestead.outlook.studies import loads as study


def findings_of(plan, hours=None):
    """Yield electrical findings about a plan."""
    fixed = hours.fixed if hours is not None else constants.fixed_of(plan)
    loads = study.loads_of(plan, fixed)
    yield from strings.findings_of(plan)
    yield from coupling.findings_of(plan, loads)
    yield from starting.findings_of(plan, loads)
    yield from battery.findings_of(plan, hours)
    yield from generator.findings_of(plan, loads, hours)
    yield from wiring.findings_of(plan, loads)
