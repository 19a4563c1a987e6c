"""The tables of data/reference: every row is whole, in a unit that can be read, with a source."""

import csv
import math

import pytest

from homestead import reference, units

NAMES = sorted(path.stem for path in reference.shipped("data", "reference").glob("*.csv"))


def test_there_are_tables():
    assert len(NAMES) > 20
    assert sum(len(reference.table(name)) for name in NAMES) > 800


@pytest.mark.parametrize("name", NAMES)
def test_header_is_the_agreed_one(name):
    path = reference.shipped("data", "reference", f"{name}.csv")
    with path.open(encoding="utf-8", newline="") as file:
        lines = list(csv.reader(file))
    assert tuple(lines[0]) == reference.COLUMNS
    uneven = [n for n, line in enumerate(lines, start=1) if len(line) != len(reference.COLUMNS)]
    assert uneven == []  # such as a comma in a text that is not in quotes


@pytest.mark.parametrize("name", NAMES)
def test_every_row_is_whole(name):
    known = reference.sources()
    faults = []
    for row in reference.table(name):
        if not (row.item.strip() and row.quantity.strip() and row.locator.strip()):
            faults.append((row, "item, quantity or locator is empty"))
        if row.item != row.item.strip() or row.quantity != row.quantity.strip():
            faults.append((row, "blanks at the ends"))
        if not math.isfinite(row.value):
            faults.append((row, "value is not finite"))
        if row.source not in known:
            faults.append((row, "source is not in data/sources.toml"))
        if row.source == "project" and not row.note.strip():
            faults.append((row, "our own choice gives no reason"))
        try:
            units.convert_unit(row.value, row.unit, row.unit)
        except Exception as error:
            faults.append((row, f"unit cannot be read: {error}"))
    assert faults == []


@pytest.mark.parametrize("name", NAMES)
def test_no_item_and_quantity_comes_twice(name):
    keys = [(row.item, row.quantity) for row in reference.table(name)]
    assert [key for key in set(keys) if keys.count(key) > 1] == []


@pytest.mark.parametrize("name", NAMES)
def test_low_ends_are_not_above_high_ends(name):
    rows = {(row.item, row.quantity): row.value for row in reference.table(name)}
    for (item, quantity), low in rows.items():
        high = rows.get((item, quantity.removesuffix("_low") + "_high"))
        if quantity.endswith("_low") and high is not None:
            assert low <= high, (item, quantity)


def test_every_source_has_a_title():
    untitled = [key for key, work in reference.sources().items() if not work.get("title")]
    assert untitled == []
    for key in reference.sources():
        assert reference.cite(key)


def test_source_keys_are_in_lower_case():
    assert all(key == key.strip().lower() for key in reference.sources())


def test_value_is_converted_from_the_printed_unit():
    # U.S. EIA, "Energy conversion calculators": 91,452 Btu a gallon of propane, as in the row.
    printed = reference.row("fuels", "propane", "heat_hhv")
    assert (printed.value, printed.unit) == (91452.0, "Btu/gal")
    per_gallon_wh = units.parse("91452 Btu", "energy")
    gallon_m3 = units.parse("1 gal", "volume")
    assert reference.value("fuels", "propane", "heat_hhv", "Wh/m^3") == pytest.approx(
        per_gallon_wh / gallon_m3, rel=1e-12
    )


def test_an_unknown_item_lists_the_nearest():
    with pytest.raises(ValueError, match="no heat_hhv for 'propan' in table fuels; nearest: pro"):
        reference.row("fuels", "propan", "heat_hhv")


def test_animal_names_all_lead_to_rows_with_water():
    names = reference.animal_names()
    rows = {row.item for row in reference.table("animals") if row.quantity.startswith("water_")}
    assert set(names.values()) <= rows
    assert names["steer"] == "finishing cattle 1000 lb" and names["goat"] == "goat"
    assert "cow by weight" not in names  # a rule by body weight, not a herd


def test_shipped_finds_the_demo_and_says_so_when_it_cannot(monkeypatch, tmp_path):
    assert reference.shipped("data", "demo", "plan.toml").is_file()
    monkeypatch.setattr(reference, "__file__", str(tmp_path / "homestead" / "reference.py"))
    with pytest.raises(FileNotFoundError, match="reinstall"):
        reference.shipped("data")


@pytest.mark.parametrize("row", ["lamp, big,power,5,W,doe,p. 1,", "lamp,power,five,W,doe,p. 1,"])
def test_a_row_that_cannot_be_read_is_named(monkeypatch, tmp_path, row):
    path = tmp_path / "made_up.csv"
    path.write_text(",".join(reference.COLUMNS) + f"\nlamp,power,5,W,doe,p. 1,\n{row}\n")
    monkeypatch.setattr(reference, "shipped", lambda *_: path)
    with pytest.raises(ValueError, match="made_up.csv line 3: must be item, quantity, value"):
        reference.table.__wrapped__("made_up")
