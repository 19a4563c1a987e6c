import pytest

from homestead import units
from homestead.formulas.food import home_produce


def test_feed_of_animals():
    assert home_produce.feed_kg_day("hen", [0, 14])[1] == pytest.approx(
        units.parse("3.5 lb", "mass")
    )
    with pytest.raises(ValueError, match="nearest: .*steer"):
        home_produce.feed_kg_day("steers", 1)
