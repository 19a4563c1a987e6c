import re

import pytest

from homestead import reference
from homestead.findings import cautions

TOPICS = [
    "hydro",
    "wind turbine",
    "fuel storage",
    "propane",
    "carbon monoxide",
    "battery",
    "mains voltage",
    "well and drinking water",
    "starting surge",
    "food safety",
    "wood stove",
    "generator",
]


@pytest.mark.parametrize("topic", TOPICS)
def test_every_topic_has_its_caution(topic):
    found = cautions.cautions(topic)
    assert found
    assert all(caution.topic == topic for caution in found)


def test_topics_are_all_listed():
    assert sorted(cautions.topics()) == sorted(TOPICS)


def test_every_caution_has_a_source():
    for caution in cautions.CAUTIONS:
        assert caution.source in reference.sources(), caution.text


def test_no_caution_judges():
    for caution in cautions.CAUTIONS:
        assert not re.search(r"\b(safe|legal|compliant|certain)\b", caution.text), caution.text


def test_unknown_topic_lists_the_topics():
    with pytest.raises(ValueError, match="topic must be one of propane"):
        cautions.cautions("gas")


def test_distance_never_falls_with_the_tank():
    distances = cautions.propane_tank_distance_m([0.1, 0.9, 1.0, 1.9, 4.0, 8.0, 100.0])
    assert all(distances[1:] >= distances[:-1])


def test_temperature_limits():
    assert cautions.temperature_limit_c("pipes inside") == 0.0
    with pytest.raises(ValueError, match="nearest"):
        cautions.temperature_limit_c("pipes")
