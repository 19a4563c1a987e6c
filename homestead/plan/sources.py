"""Parts of a plan that draw on running water: a small hydro plant."""

from homestead.plan.fields import (
    Choice,
    Flow,
    FlowByMonth,
    Fraction,
    Length,
    Number,
    Part,
    Power,
    spec,
)


class Hydro(Part):
    """A small hydro plant: a pipe from the stream to a turbine."""

    head_m: Length = spec("Drop", low=0.5, high=500, help="Water level at the intake to nozzle.")
    flow_m3s: FlowByMonth = spec(
        "Flow you may take, by month",
        low=0,
        high=2,
        help="12 flows, January first: what is left after what must stay in the stream. 0 in a "
        "month when it is frozen or dry.",
    )
    most_flow_m3s: Flow = spec(
        "Most the turbine takes", low=0.00001, high=2, help="All nozzles open; from its maker."
    )
    least_flow_m3s: Flow = spec(
        "Stands still below", default=0.0, low=0, high=2, help="Flow it needs to turn at all."
    )
    pipe_inside_m: Length = spec("Pipe inside diameter", low=0.01, high=1.5, help="As made.")
    pipe_length_m: Length = spec("Pipe length", low=1, high=5000, help="Intake to turbine.")
    hazen_williams: Number = spec(
        "Pipe smoothness (Hazen-Williams C)",
        default=150.0,
        low=60,
        high=160,
        help="150 for plastic, about 100 for old steel.",
        source="Illinois Administrative Code, Title 77 Part 906, Appendix A: C = 150 for plastic",
    )
    efficiency_frac: Fraction = spec(
        "Efficiency, water to wire",
        default=0.53,
        low=0.1,
        high=0.9,
        help="Turbine and generator together, of the power left after pipe loss.",
        source="US Department of Energy, Planning a Microhydropower System, from memory: drop (ft) "
        "times flow (gal/min) over 10 gives W, which is 53 %",
    )
    limit_w: Power = spec("Most it gives", low=1, high=100000, help="From the generator's label.")
    coupling: Choice = spec(
        "Coupling",
        choices=("dc", "ac"),
        help="dc: a controller to the battery. ac: its own inverter on the house side, which stops "
        "when no grid former runs. Either needs a dump load that can take all of it.",
    )
    converter_efficiency_frac: Fraction = spec(
        "Efficiency of its controller and wire",
        default=0.95,
        low=0.5,
        high=1,
        help="Common practice, no source.",
    )
