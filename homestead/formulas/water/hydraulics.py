"""Pipe friction, fittings, head and pressure.

Owns the flow of water through pipe. Leaves pumps to `pumps`, wells and tanks to `wells`, demand to
`water_use`; `water` gathers all of them. SI throughout.
"""

import numpy as np

from homestead import reference
from homestead.units import checked

GRAVITY_M_S2 = 9.80665  # standard gravity, 3rd CGPM 1901
# Water at 15 deg C, near that of a well. A psi is then 2.31 ft of head, as the trade rounds it.
WATER_KG_M3 = 999.1
SECONDS_PER_HOUR = 3600.0  # definition: ties the declared Wh and h to J and s
# Laminar below, fully developed turbulence above (Reynolds number of the pipe).
LAMINAR_REYNOLDS, TURBULENT_REYNOLDS = 2000.0, 4000.0


def _size(size):
    text = str(size).strip()
    return text[:-2].strip() if text.endswith("in") else text


def pipe_inside_diameter_m(material, size):
    """Inside diameter of a pipe of a trade size, nominal.

    material (str) : "schedule 40 plastic", "polyethylene", "galvanized steel" or "copper".
    size (str) : Trade size in inches, such as "1-1/4" or "1-1/4 in".
    Gives [m].

    Table ``pipes``. Sources stand in its rows.
    """
    quantity = f"inside_diameter {_size(size)} in"
    sizes = [
        row.quantity.split()[1]
        for row in reference.table("pipes")
        if row.item == material and row.quantity.startswith("inside_diameter")
    ]
    if sizes and _size(size) not in sizes:
        raise ValueError(f"size of {material} must be one of {', '.join(sizes)} in; got {size!r}")
    return reference.value("pipes", material, quantity, "m")


def hazen_williams_c(material):
    """Hazen-Williams coefficient of a pipe material, the middle of its printed range. [-].

    material (str) : An item of table ``pipes``.
    """
    return reference.value("pipes", material, "hazen_williams_c", "")


def pipe_roughness_m(material):
    """Absolute roughness of a new pipe's wall.

    material (str) : An item of table ``pipes``.
    Gives [m].
    """
    return reference.value("pipes", material, "roughness", "m")


def fitting_equivalent_length_m(fitting, size, count_n=1):
    """Length of straight pipe that costs as much head as a fitting.

    fitting (str) : An item of table ``fittings``, such as "90 deg ell wrought".
    size (str) : Trade size in inches, such as "1-1/4".
    count_n : How many of them, 0 to 1000.
    Gives [m].

    Published sets differ by a factor of two, so read the result as an order of magnitude.

    .. [1] Illinois Administrative Code, Title 77, Part 890, Subpart M, Appendix A, Table Q.
    """
    count = checked("count_n", count_n, 0, 1000)
    known = reference.items("fittings")
    quantity = f"equivalent_length {_size(size)} in"
    if fitting in known and fitting not in reference.items("fittings", quantity):
        raise ValueError(f"table fittings has no {fitting} of size {size!r}")
    return count * reference.value("fittings", fitting, quantity, "m")


def pressure_head_m(pressure_pa):
    """Height of water column that makes a pressure.

    pressure_pa : Gauge pressure. [Pa], -101325 to 1e8.
    Gives [m].

    h = p / (rho g), water at 15 deg C. Derived from definitions.
    """
    return checked("pressure_pa", pressure_pa, -101_325, 1e8, "Pa") / (WATER_KG_M3 * GRAVITY_M_S2)


def head_pressure_pa(head_m):
    """Pressure under a height of water column, gauge.

    head_m : [m], -10.4 to 10000.
    Gives [Pa].

    p = rho g h, water at 15 deg C. Derived from definitions.
    """
    return checked("head_m", head_m, -10.4, 10_000, "m") * WATER_KG_M3 * GRAVITY_M_S2


def friction_head_hazen_williams_m(flow_m3s, inside_diameter_m, length_m, c):
    """Head lost to friction in a pipe, by the Hazen-Williams formula.

    flow_m3s : [m3/s], 0 to 10.
    inside_diameter_m : [m], 0.001 to 5.
    length_m : Straight pipe and the equivalent length of its fittings. [m], 0 to 1e5.
    c : Hazen-Williams coefficient, 20 to 160.
    Gives [m].
    h = 10.67 L Q**1.852 / (C**1.852 d**4.8704) [1]_. For water near 15 deg C moving at about
    1 m/s; slower water in small smooth pipe loses about a tenth more, see `friction_head_darcy_m`.
    .. [1] P. K. Swamee and A. K. Sharma, "Design of Water Supply Pipe Networks", Wiley, 2008,
       ch. 2; from memory.
    """
    flow = checked("flow_m3s", flow_m3s, 0, 10, "m3/s")
    diameter = checked("inside_diameter_m", inside_diameter_m, 0.001, 5, "m")
    length = checked("length_m", length_m, 0, 1e5, "m")
    coefficient = checked("c", c, 20, 160)
    return 10.67 * length * (flow / coefficient) ** 1.852 / diameter**4.8704


def friction_factor(reynolds, relative_roughness):
    """Darcy friction factor of a round pipe.

    reynolds : Reynolds number, 1e-3 to 1e9.
    relative_roughness : Roughness over inside diameter, 0 to 0.05.
    64 / Re when laminar; Colebrook's equation [1]_ when turbulent, started from the explicit
    form of Swamee and Jain [2]_. Between Re 2000 and 4000 the flow is unsettled and no formula
    holds: a straight line between the two ends, a project choice.
    .. [1] C. F. Colebrook, J. Inst. Civil Engineers 11, 1939.
    .. [2] P. K. Swamee and A. K. Jain, J. Hydraulics Division ASCE 102, 1976.
    """
    re = checked("reynolds", reynolds, 1e-3, 1e9)
    rough = checked("relative_roughness", relative_roughness, 0, 0.05)
    turbulent_re = np.maximum(re, TURBULENT_REYNOLDS)
    inverse_root = -2.0 * np.log10(rough / 3.7 + 5.74 / turbulent_re**0.9)
    for _ in range(12):  # contracts about tenfold a pass, so twelve reach rounding
        inverse_root = -2.0 * np.log10(rough / 3.7 + 2.51 * inverse_root / turbulent_re)
    turbulent = inverse_root**-2
    laminar = 64.0 / np.minimum(re, LAMINAR_REYNOLDS)
    share = (re - LAMINAR_REYNOLDS) / (TURBULENT_REYNOLDS - LAMINAR_REYNOLDS)
    share = np.clip(share, 0.0, 1.0)
    return laminar * (1.0 - share) + turbulent * share


def friction_head_darcy_m(
    flow_m3s, inside_diameter_m, length_m, roughness_m, kinematic_viscosity_m2s=1.0e-6
):
    """Head lost to friction in a pipe, by Darcy-Weisbach with Colebrook's friction factor.

    flow_m3s : [m3/s], 0 to 10.
    inside_diameter_m : [m], 0.001 to 5.
    length_m : [m], 0 to 1e5.
    roughness_m : Absolute roughness of the wall. [m], 0 to 0.05 of the diameter.
    kinematic_viscosity_m2s : [m2/s], 1e-7 to 1e-4; water at 20 deg C is 1.0e-6.
    Gives [m].
    h = f (L / d) v**2 / (2 g) [1]_; `friction_factor` gives f.
    .. [1] J. Weisbach, 1845; any hydraulics textbook.
    """
    flow = checked("flow_m3s", flow_m3s, 0, 10, "m3/s")
    diameter = checked("inside_diameter_m", inside_diameter_m, 0.001, 5, "m")
    length = checked("length_m", length_m, 0, 1e5, "m")
    rough = checked("roughness_m", roughness_m, 0, 0.25, "m")
    viscosity = checked("kinematic_viscosity_m2s", kinematic_viscosity_m2s, 1e-7, 1e-4, "m2/s")
    speed = flow / (np.pi / 4.0 * diameter**2)
    reynolds = np.maximum(speed * diameter / viscosity, 1e-3)  # still water: speed makes it zero
    factor = friction_factor(reynolds, rough / diameter)
    return factor * length / diameter * speed**2 / (2.0 * GRAVITY_M_S2)


def total_dynamic_head_m(lift_m, pressure_pa, friction_m):
    """Head that a pump must make: lift, pressure at the outlet and friction.

    lift_m : Outlet above the pumping water level. [m], -1000 to 1000; below zero where it flows
        down.
    pressure_pa : Gauge pressure kept at the outlet. [Pa], 0 to 1e7.
    friction_m : Pipe and fittings, and velocity head where it counts. [m], 0 to 1000.
    Gives [m].

    .. [1] MIL-HDBK-1164, "Operation and Maintenance of Water Supply Systems", appendix A.
    """
    lift = checked("lift_m", lift_m, -1000, 1000, "m")
    outlet = checked("pressure_pa", pressure_pa, 0, 1e7, "Pa")
    friction = checked("friction_m", friction_m, 0, 1000, "m")
    return lift + pressure_head_m(outlet) + friction
