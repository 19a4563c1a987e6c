"""What a check found, in the words that a reader sees.

Every room that checks something returns these. A finding compares an entered figure with another
and names the source; it never says that a thing is safe or allowed.
"""

from dataclasses import dataclass, field

from homestead.vocabulary import SEVERITIES

NOT_ENTERED = "not entered, so this can't be checked"
DEFER = "Local code and a licensed electrician decide."


@dataclass(frozen=True)
class Finding:
    """One result of a check.

    Attributes
    ----------
    severity : {"danger", "warning", "note"}
    about : str
        The part of the plan it concerns.
    text : str
        What was compared with what, in whole sentences.
    source : str
        Where the rule or the figure comes from.
    checked : bool
        False if a limit is missing, so that nothing could be compared.
    code : str
        Which check it is; with `about` and `severity` it is known again whatever its figures are.
    numbers : dict of str to float
        What was compared, by names that end in the unit.
    """

    severity: str
    about: str
    text: str
    source: str
    checked: bool = True
    code: str = field(kw_only=True)
    numbers: dict = field(default_factory=dict, kw_only=True, compare=False)

    @property
    def key(self):
        """What it says, but for its figures: (code, about, severity)."""
        return self.code, self.about, self.severity

    def __post_init__(self):
        if self.severity not in SEVERITIES:
            raise ValueError(
                f"severity must be one of {', '.join(SEVERITIES)}; got {self.severity!r}"
            )
