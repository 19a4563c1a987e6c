"""A few steps of the walk over all ranges, others each day; the whole walk each night."""

import datetime
import os
import random

import pytest
import walk_ranges

ALONE_N, TOGETHER_N = 30, 15


class Said(str):
    def to_string(self):
        return self


def test_no_accepted_plan_fails_at_the_ends_of_its_ranges():
    seed = datetime.date.today().toordinal()
    print(f"seed {seed}")  # shown if it fails
    drawn = random.Random(seed).sample(list(walk_ranges.alone()), ALONE_N)
    for raw, changes in (*drawn, *walk_ranges.together(TOGETHER_N, seed)):
        fault = walk_ranges.fault_of(raw, changes)
        assert fault is None, f"{raw['name']} {changes}: {fault}"


def test_the_walk_sees_a_failure_and_passes_by_what_is_refused(monkeypatch):
    raw = walk_ranges.fuzz_seeds.plain_plans()[0]
    assert walk_ranges.fault_of(raw, {"site.wet_days": 31}) is None  # refused when it is read

    def broken(outlook):
        raise ZeroDivisionError("on purpose")

    monkeypatch.setattr(walk_ranges, "TABLES", (broken,))
    assert "on purpose" in walk_ranges.fault_of(raw, {})
    for said in ("<td>nan</td>", "NaN days", '{"a": -inf}', "[1, nan]"):
        monkeypatch.setattr(walk_ranges, "TABLES", (lambda outlook, said=said: Said(said),))
        assert "a number that is none" in walk_ranges.fault_of(raw, {})


@pytest.mark.nightly
def test_every_end_and_many_random_plans(capfd):
    """As many as HOMESTEAD_WALK_PLANS says, else 100,000: some hours. The seed is printed."""
    plans_n = int(os.environ.get("HOMESTEAD_WALK_PLANS", walk_ranges.PLANS_N))
    with capfd.disabled():
        assert walk_ranges.walk(plans_n) == 0
