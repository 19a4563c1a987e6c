"""A figure with the way that led to it: formula, inputs, source.

Every study gives its main figures in this form, so that a reader can follow each one back.
"""

from typing import NamedTuple


class Step(NamedTuple):
    """One figure of a study.

    Attributes
    ----------
    figure : str
        What it is, in a few words.
    value : float
        In the unit inside.
    kind : str
        Of `homestead.units`, or a plain unit such as ``"Wh/m³"`` where there is no such kind.
    formula : str
        How it was worked out, in words or signs.
    inputs : tuple of (str, float, str)
        Name, value and kind of each input.
    source : str
        Key of data/sources.toml.
    """

    figure: str
    value: float
    kind: str
    formula: str
    inputs: tuple
    source: str
