"""How long devices stand dark, by hand."""

import numpy as np
import pytest

from homestead.outlook import run
from homestead.plan import demo_path, open_plan
from homestead.trades.power import tables
from homestead.trades.power.study_dark import dark_spells, longest_spell_h

ALWAYS = np.ones(12, dtype=bool)


def dark(*hours):
    found = np.zeros(12, dtype=bool)
    found[list(hours)] = True
    return found


@pytest.mark.parametrize(
    ("wanted", "missing", "longest"),
    [
        (ALWAYS, dark(), 0),
        (ALWAYS, dark(3, 4, 5), 3),
        (ALWAYS, dark(1, 3, 4), 2),
        (ALWAYS, dark(10, 11), 2),  # dark to the end
        (dark(0, 6), dark(1, 2, 3), 0),  # it was off anyway
        (dark(0, 6, 7), dark(6), 1),
        (dark(0, 4, 9), dark(3, 4, 5), 5),  # missed at 4, has power again at 9
        (dark(0, 4), dark(4), 8),  # and never again
    ],
)
def test_a_spell_goes_from_the_first_hour_missed_to_the_next_with_power(wanted, missing, longest):
    assert longest_spell_h(wanted, missing) == longest


def test_a_device_that_always_runs_is_dark_as_long_as_the_house():
    outlook = run(open_plan(demo_path()), years_n=2)
    found = dark_spells(outlook)
    essential = [one for one in outlook.plan.appliances if one.priority_n == 1]
    assert list(found.index) == [one.name for one in essential]
    always = [one.name for one in essential if one.between in ((0, 24), (0, 0))]
    assert len(always) > 2
    for column in found:
        assert found.loc[always, column].nunique() == 1
    # Power ends the demo at its worst start, so there are dark hours.
    assert found.loc[always, "worst_start_h"].min() > 0
    assert set(tables.dark_spells(outlook).index) == set(found.index)
