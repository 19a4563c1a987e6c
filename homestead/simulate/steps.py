"""A figure with the way that led to it: formula, inputs, source.

Every study gives its main figures in this form, so that a reader can follow each one back.
"""

from typing import NamedTuple


class Step(NamedTuple):
    """One figure of a study."""

    figure: str  # what it is, in a few words
    value: float  # in the unit inside
    # of `homestead.units`, or a plain unit such as ``"Wh/m³"`` where there is no such kind
    kind: str
    formula: str  # how it was worked out, in words or signs
    inputs: tuple[tuple[str, float, str], ...]  # name, value and kind of each input
    source: str  # key of data/sources.toml
