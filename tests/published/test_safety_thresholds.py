"""Published safety thresholds against the pages that print them, by case id."""

import pytest

from homestead import reference, units
from homestead.findings import cautions


# S01: Ohio Fire Code 1301:7-7-61, Table 6104.3 (NFPA 58, IFC): feet from building or line. Status:
# found. Exact, at both ends of each row.
@pytest.mark.parametrize(
    ("gallons", "feet"),
    [
        (100, 5),
        (124, 5),
        (125, 10),
        (250, 10),
        (251, 10),
        (500, 10),
        (501, 25),
        (2_000, 25),
        (2_001, 50),
        (30_000, 50),
    ],
)
def test_s01_propane_tank_distance(gallons, feet):
    distance = cautions.propane_tank_distance_m(units.parse(f"{gallons} gal", "volume"))
    assert units.convert(distance, "length") == pytest.approx(feet, rel=1e-9)


# S01: underground 10 ft; between tanks 3 ft (251-2,000 gal) and 5 ft (to 30,000). Status: found.
def test_s01_other_distances():
    def feet(item, quantity):
        return reference.value("distances", item, quantity, "ft")

    assert feet("propane tank underground to 2000 gal", "building_or_line") == 10
    assert feet("propane tank above ground to 2000 gal", "between_tanks") == 3
    assert feet("propane tank above ground to 30000 gal", "between_tanks") == 5


# S02: CDC private wells (2009). Status: found. Exact.
@pytest.mark.parametrize(
    ("neighbor", "feet"),
    [
        ("septic tank", 50),
        ("livestock yard", 50),
        ("silo", 50),
        ("leach field", 50),
        ("petroleum tank", 100),
        ("liquid-tight manure storage", 100),
        ("fertiliser storage", 100),
        ("manure stack", 250),
    ],
)
def test_s02_well_distance(neighbor, feet):
    distance = cautions.well_distance_m(neighbor)
    assert units.convert(distance, "length") == pytest.approx(feet, rel=1e-9)


# S02: Pennsylvania: 100 ft to the absorption field, 25 ft to a silo. Status: found.
def test_s02_pennsylvania():
    for item, feet in (("leach field", 100), ("silo", 25)):
        assert reference.value("distances", item, "from_well_pennsylvania", "ft") == feet


# S04: CDC and CPSC: a generator at least 20 ft from the house. Status: found in a copy. Exact.
def test_s04_generator_distance():
    assert reference.value("distances", "generator", "from_house", "ft") == 20
    assert any("20 ft" in caution.text for caution in cautions.cautions("generator"))


# S05: 80 % propane fill (H07), 18 C (H18), 20 F outdoors for pipes (H18), 40 F for food (F07).
# Status: as those cases.
def test_s05_other_thresholds():
    assert reference.value("cautions", "propane fill", "limit", "percent") == 80
    assert reference.value("cautions", "general population", "inside_least", "degC") == 18
    assert reference.value("cautions", "pipes in unheated attic", "outside_least", "degF") == 20
    assert reference.value("cautions", "cold food", "food_most", "degF") == 40
