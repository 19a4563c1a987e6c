"""Reference tables: values as printed, each row with its source, converted when read.

Owns data/reference/*.csv, data/sources.toml and the knowledge of where shipped files lie. Holds no
formula. Columns: item, quantity, value, unit, source, locator, note (DEVELOPERS.md).
"""

import csv
import difflib
import tomllib
from functools import cache
from pathlib import Path
from typing import NamedTuple

from homestead import units
from homestead.vocabulary import us_spelling

COLUMNS = ("item", "quantity", "value", "unit", "source", "locator", "note")


class Row(NamedTuple):
    """One printed value and where it stands."""

    item: str
    quantity: str
    value: float
    unit: str
    source: str
    locator: str
    note: str


def shipped(*parts):
    """Path of a file or folder that comes with the package (``data``, ``notebooks``).

    In a checkout these lie beside the package, in an installed wheel inside it.
    """
    package = Path(__file__).resolve().parent
    for root in (package.parent, package / "_shipped"):
        if (root / "data" / "sources.toml").is_file():
            return root.joinpath(*parts)
    raise FileNotFoundError("the data folder that comes with homestead is missing: reinstall it")


@cache
def sources():
    """All works cited by the tables, by key (author, title, publisher, year, address, read_on)."""
    with shipped("data", "sources.toml").open("rb") as file:
        return tomllib.load(file)


@cache
def table(name):
    """Rows of data/reference/NAME.csv, as printed."""
    with shipped("data", "reference", f"{name}.csv").open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        return tuple(_row_of(printed, f"{name}.csv line {reader.line_num}") for printed in reader)


def _row_of(printed, where):
    try:
        return Row(**{**printed, "value": float(printed["value"])})
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(
            f"{where}: must be {', '.join(COLUMNS)} with a number under value; "
            "a text with a comma stands in quotes"
        ) from error


@cache
def _index(name):
    return {(row.item, row.quantity): row for row in table(name)}


def items(name, quantity=None):
    """Item names of a table in printed order, those that have `quantity` if it is given."""
    return list(dict.fromkeys(row.item for row in table(name) if quantity in (None, row.quantity)))


def row(name, item, quantity):
    """One row, or a ValueError that lists the nearest known names."""
    found = _index(name).get((us_spelling(item), quantity))
    if found is None:
        known = items(name, quantity)
        near = difflib.get_close_matches(str(item), known, n=3, cutoff=0.4) or known[:8]
        raise ValueError(f"no {quantity} for {item!r} in table {name}; nearest: {', '.join(near)}")
    return found


@cache
def value(name, item, quantity, unit):
    """One table value converted from its printed unit to `unit` (pint spelling).

    name (str) : Table, without its ending.
    item, quantity (str) : Row key.
    unit (str) : Unit wanted, such as ``"J/m^3"``; ``""`` for a pure number.

    Raises ValueError if the row is unknown; the message lists the nearest known items.
    """
    found = row(name, item, quantity)
    if found.unit == unit:
        return found.value
    return float(units.convert_unit(found.value, found.unit, unit))


@cache
def animal_names():
    """Row of table ``animals`` by each name that a family may use for its animals.

    Rows of that table that tell water by air temperature go by their own name; other names stand
    in table ``animal_names``.

    Gives dict of str to str.
    """
    rows = [
        row.item
        for row in table("animals")
        if row.quantity.startswith("water_") and row.quantity.endswith("F")
    ]
    others = {row.item: row.quantity.removeprefix("counts as ") for row in table("animal_names")}
    return {name: name for name in rows} | others


def cite(key):
    """One line that names a source, for tables and findings."""
    work = sources()[key]
    parts = [work.get("author"), work.get("title"), work.get("publisher"), work.get("year")]
    return ", ".join(str(part) for part in parts if part)
