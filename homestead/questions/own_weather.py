"""A place's own weather in a plan: what fetched years change, and the change itself."""

from homestead import units as measures
from homestead.weather.fetch import KNOWN_GAPS, SERVICES, fetch, horizon

__all__ = ["KNOWN_GAPS", "SERVICES", "changes_of", "fetch", "horizon", "told"]

# Cooler and hotter by a little: a record of hours on a grid misses the worst minute at the wall.
MARGIN_C = 2.0


def changes_of(file, fetched, heights=()):
    """What fetched years change in a plan, as paths to new entries.

    file (PlanFile)
    heights (sequence of float) : Horizon for the arrays, if it was asked for. [deg]
    Gives dict.
    """
    units = file.plan.units
    site = file.plan.site
    low_c = min(round(fetched.record_low_c - MARGIN_C), round(site.record_low_c))
    high_c = max(round(fetched.record_high_c + MARGIN_C), round(site.record_high_c))
    changes = {
        "site.weather": fetched.path.name,
        "site.record_low": _temperature(low_c, units),
        "site.record_high": _temperature(high_c, units),
    }
    if fetched.rain_m is not None:
        changes["site.rain"] = [f"{1000.0 * depth:.0f} mm" for depth in fetched.rain_m]
    for array in file.plan.arrays if len(heights) else ():
        changes[f"array.{array.name}.horizon"] = [f"{height:.1f} deg" for height in heights]
    return changes


def told(file, changes):
    """Lines that show what changes: entry, before, after."""
    raw = file.raw()
    lines = []
    for path, after in changes.items():
        top, *rest = path.split(".")
        part = raw.get(top, {})
        if isinstance(part, list):
            part = next((member for member in part if member.get("name") == rest[0]), {})
            rest = rest[1:]
        before = part.get(rest[0], "not entered")
        lines.append(f"{path}: {_short(before)} -> {_short(after)}")
    return lines


def _temperature(value_c, units):
    shown = float(measures.convert(value_c, "temperature", units))
    return f"{round(shown)} {measures.shown_unit('temperature', units)}"


def _short(value):
    if isinstance(value, dict):
        value = value.get("value", value)
    if isinstance(value, list):
        return f"{value[0]}, {value[1]}, … ({len(value)} values)" if len(value) > 2 else str(value)
    return str(value)
