"""Rules of the sources of `sources`, in the way of `rules`."""

from homestead import units
from homestead.plan.fields import Fault

POWER = ("hydro", "wind")
MOST_STORES = 12  # `simulate.records.STORES_N`


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


def _wind_figures_agree(plan):
    turbine = plan.wind
    if turbine is None:
        return
    try:
        speeds_m_s, powers_w = turbine.curve_points
    except ValueError as error:
        yield Fault(("wind", "curve"), str(error))
        return
    if turbine.rotor_m is None:
        return
    for speed_m_s, power_w in zip(speeds_m_s, powers_w, strict=True):
        # Betz: 16/27 of the power in the wind, at sea level and 15 °C, as curves are given.
        most_w = 16.0 / 27.0 * 0.5 * 1.225 * 0.785398 * turbine.rotor_m**2 * speed_m_s**3
        if power_w > most_w:
            yield Fault(
                ("wind", "curve"),
                f"must be at most {units.show(most_w, 'power')} at "
                f"{units.show(speed_m_s, 'speed')}: no rotor of that size takes more from the "
                f"wind; got {units.show(power_w, 'power')}",
            )
            return


def _spring_and_ram_fit(plan):
    for key in ("spring", "ram_pump"):
        if key in plan.raw and "cistern" not in plan.raw:
            yield Fault(("cistern",), f"is missing: [{key}] fills one; a spring box counts")
    spring, ram = plan.spring, plan.ram_pump
    if spring and spring.leads_to == "ram pump" and "ram_pump" not in plan.raw:
        yield Fault(("ram_pump",), "is missing: the spring leads to it")
    if ram is None:
        return
    by_spring = "spring" in plan.raw and (spring is None or spring.leads_to == "ram pump")
    if ram.stream_m3s is None and not by_spring:
        yield Fault(("ram_pump", "stream"), "is missing, and no [spring] leads to the ram pump")
    if ram.lift_m <= ram.fall_m:
        yield Fault(("ram_pump", "lift"), "must be more than the fall: else it would run by itself")
    if ram.least_drive_m3s > ram.most_drive_m3s:
        yield Fault(("ram_pump", "least_drive"), "must not be above most_drive")


def _second_fuel_is_another(plan):
    if plan.fuels and len(plan.fuels) > MOST_STORES:
        yield Fault(("fuel",), f"must be at most {MOST_STORES} stores; got {len(plan.fuels)}")
    engine = plan.generator
    if engine is None or engine.second_store is None:
        return
    known = [fuel.name for fuel in plan.fuels or () if fuel is not None]
    if engine.second_store not in known or engine.second_store == engine.store:
        others = [name for name in known if name != engine.store]
        yield Fault(
            ("generator", "second_store"),
            f"must name another fuel store ({', '.join(others) or 'none yet: add a [[fuel]]'}); "
            f"got {units.quoted(engine.second_store)}",
        )


RULES = (
    _sources_reach_the_house,
    _hydro_figures_agree,
    _wind_figures_agree,
    _spring_and_ram_fit,
    _second_fuel_is_another,
)
