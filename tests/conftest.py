"""Shared by all tests: shipped plans and their weather, read once."""

import pytest

from homestead import weather
from homestead.outlook import independence
from homestead.plan import open_plan
from homestead.reference import shipped
from homestead.simulate.inputs import hours_of

# Collected for doctests, several files of this one name would be taken for each other.
collect_ignore_glob = ["*conftest.py"]

SHIPPED = ("demo", "cabin", "cold-coast")


@pytest.fixture(scope="session")
def greensboro():
    return weather.read("greensboro-nc")


@pytest.fixture(scope="session")
def shipped_hours():
    """One weather year of each shipped plan, by name."""
    return {
        name: hours_of(open_plan(shipped("data", name, "plan.toml")), years_n=1) for name in SHIPPED
    }


@pytest.fixture(scope="session")
def failures():
    """Days of every start of the first year, within a horizon that a test can afford.

    Only the length of the horizon is changed; the runs are those of every outlook.
    """

    def days(hours, horizon_n=365):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(independence, "HORIZON_DAYS", horizon_n)
            return independence.one_year_of_starts(hours, 0)

    return days
