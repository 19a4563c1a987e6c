"""Rules of the sources of `sources`, in the way of `rules`."""

from homestead.plan.fields import Fault

POWER = ("hydro",)


def _sources_reach_the_house(plan):
    for key in POWER:
        if key not in plan.raw:
            continue
        source = getattr(plan, key)
        if "grid_former" not in plan.raw:
            yield Fault((key,), "needs a [grid_former] to reach the house")
        if source and source.coupling == "dc" and "battery" not in plan.raw:
            yield Fault((key, "coupling"), "dc needs a [battery] to charge")


def _hydro_figures_agree(plan):
    plant = plan.hydro
    if plant is None:
        return
    if plant.least_flow_m3s > plant.most_flow_m3s:
        yield Fault(("hydro", "least_flow"), "must not be above most_flow")
    if plant.pipe_length_m < plant.head_m:
        yield Fault(
            ("hydro", "pipe_length"), "must be at least the drop: no pipe is shorter than it falls"
        )


RULES = (_sources_reach_the_house, _hydro_figures_agree)
