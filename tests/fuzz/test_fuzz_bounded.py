"""The fuzzing targets within a test run: the seeds, and some hundreds of inputs of each."""

import fuzz_seeds
import fuzz_targets
import pytest
from hypothesis import given, seed, settings
from hypothesis import strategies as st

EXAMPLES = {
    "plan_text": 150,
    "entry": 1500,
    "part": 600,
    "plan_values": 100,
    "edits": 20,
    "layout_text": 400,
    "weather_text": 150,
    "weather_whole": 12,
}
# Inputs that once went wrong, by what they found.
FOUND = {
    "plan_values": [
        # A line break in an unknown key tore the message into two lines.
        b"\x05\x0c\x13\x00\x00Kwe"
        + b"\xff" * 11
        + b"\n\x11air_\x8f\x96\xf8\xff_1to\xad\xec\xf3\xfa"
    ],
}


def test_every_target_has_its_share():
    assert set(EXAMPLES) == set(fuzz_targets.TARGETS)


@pytest.mark.parametrize("target", EXAMPLES)
def test_any_bytes_at_all(target):
    one = fuzz_targets.TARGETS[target]
    for data in (b"", b"\x00", b"\xff" * 64, *FOUND.get(target, ())):
        one(data)

    @seed(20)
    @settings(max_examples=EXAMPLES[target], deadline=None, database=None)
    @given(st.binary(max_size=300))
    def run(data):
        one(data)

    run()


@seed(21)
@settings(max_examples=100, deadline=None, database=None)
@given(st.lists(st.sampled_from(fuzz_seeds.words()), max_size=30), st.sampled_from(["", " ", "\n"]))
def test_words_of_plans_in_any_order(words, between):
    data = between.join(words).encode()
    fuzz_targets.plan_text(data)
    fuzz_targets.layout_text(data)


PARTS = sorted(set(fuzz_seeds.part_texts()))


@seed(22)
@settings(max_examples=100, deadline=None, database=None)
@given(st.lists(st.sampled_from(PARTS), max_size=8), st.integers(0, 400))
def test_parts_of_plans_in_any_order_and_cut_short(parts, cut):
    data = "\n".join(parts).encode()
    fuzz_targets.plan_text(data[: len(data) - cut])


@pytest.mark.parametrize("rows_n", [1, 3, 30])
def test_weather_files_cut_short(rows_n, tmp_path):
    for path in fuzz_seeds.weather_files(tmp_path, rows_n):
        content = path.read_bytes()
        for end in range(0, len(content), max(1, len(content) // 12)):
            fuzz_targets.weather_text(content[:end])
