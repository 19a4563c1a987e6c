"""Findings for readers: dangers and warnings first and open, notes folded by subject.

Owns the titles of their subjects and how the list shows itself in a notebook; the shared page takes
the same groups. The words of each finding stand beside its check.
"""

from homestead.findings.finding import ELECTRICIAN, PHRASES
from homestead.screen.escaping import Marked, html_text, say
from homestead.screen.notes import Prose, WholeSheet
from homestead.screen.readable import count_text, source_text, table_of

# By trade, as the codes of findings begin.
TITLES = {
    "arrays": "Arrays and strings",
    "inverters": "Inverters and what starts on them",
    "battery": "Battery",
    "generator": "Generator",
    "sources": "Water and wind power",
    "wires": "Wires, breakers and panel",
    "water": "Water",
    "warmth": "Warmth and fuel",
    "food": "Food",
}
SUBJECTS = tuple(TITLES)
ARRAYS, INVERTERS, BATTERY, GENERATOR, SOURCES, WIRES, WATER, WARMTH, FOOD = SUBJECTS
ELECTRICAL = (ARRAYS, INVERTERS, BATTERY, GENERATOR, SOURCES, WIRES)
LIMITS = (ARRAYS, INVERTERS, WIRES)

# Who decides where no electrician does.
_DECIDES = {
    WARMTH: "Local code and licensed trades decide.",
    FOOD: "Your county extension office can tell you more.",
}
GRAVE = ("danger", "warning")
HOW_TO_READ = "Passing these checks doesn't mean it is safe."


def chosen(outlook, subjects=SUBJECTS):
    """Findings on some subjects, gravest first."""
    return tuple(finding for finding in outlook.findings if finding.trade in subjects)


def grave(findings):
    """Dangers, then warnings."""
    return tuple(finding for weight in GRAVE for finding in findings if finding.severity == weight)


def notes_by_subject(findings):
    """Notes by the title of their subject, in the order of `SUBJECTS`, without empty ones.

    findings (iterable of Finding)
    Gives dict of str to tuple of Finding.
    """
    notes = [finding for finding in findings if finding.severity == "note"]
    groups = {
        title: tuple(note for note in notes if note.trade == subject)
        for subject, title in TITLES.items()
    }
    return {title: group for title, group in groups.items() if group}


def counted(findings):
    """How many of which weight, such as ``"2 warnings and 3 notes"``."""
    counts = {
        weight: sum(finding.severity == weight for finding in findings)
        for weight in (*GRAVE, "note")
    }
    told = [count_text(number, weight) for weight, number in counts.items() if number]
    return " and ".join(told) if len(told) < 3 else f"{', '.join(told[:-1])} and {told[-1]}"


def table(findings, units="us", with_weight=True):
    """Findings as a table: about, what was found, source and, if wanted, weight.

    Without weights it leaves out who decides, which their group says once.
    """
    columns = {
        "About": [finding.about for finding in findings],
        "What was found": [finding.said(units, decides=with_weight) for finding in findings],
        "Source": [source_text(finding.source) for finding in findings],
    }
    if with_weight:
        columns = {"Weight": [finding.severity for finding in findings], **columns}
    return table_of(columns)


def elsewhere(outlook):
    """Where the findings on battery and generator stand, and how many of them are grave."""
    there = "[2. Energy](02_energy.ipynb)"
    more = grave(chosen(outlook, (BATTERY, GENERATOR)))
    if not more:
        return Prose(Marked(f"For battery and generator, see {there}."))
    return Prose(say("{} on battery and generator: see {}.", counted(more), Marked(there)))


class Findings:
    """Findings that show themselves with the grave ones open and the notes folded.

    Parameters
    ----------
    outlook : Outlook
    subjects : sequence of str
        Some of `SUBJECTS`.
    """

    def __init__(self, outlook, subjects=SUBJECTS):
        self.findings = chosen(outlook, subjects)
        self._units = outlook.plan.units
        electrician = PHRASES[ELECTRICIAN]
        decides = {_DECIDES.get(subject, electrician) for subject in subjects}
        self._decides = decides.pop() if len(decides) == 1 else electrician

    @property
    def summary(self):
        """How many there are and how to read them."""
        if not self.findings:
            return "The checks found nothing. That doesn't mean it is safe."
        first = "" if grave(self.findings) else "No danger and no warning. "
        return f"{counted(self.findings)}. {first}{HOW_TO_READ}"

    def __repr__(self):
        return self.summary

    def _repr_html_(self):
        parts = [f"<p>{html_text(self.summary)} {html_text(self._decides)}</p>"]
        first = grave(self.findings)
        if first:
            sheet = WholeSheet(table(first, self._units), "Dangers and warnings")
            parts.append(sheet._repr_html_())
        for title, group in notes_by_subject(self.findings).items():
            named = html_text(f"{title}: {count_text(len(group), 'note')}")
            sheet = WholeSheet(table(group, self._units, with_weight=False), title)._repr_html_()
            parts.append(f"<details><summary><b>{named}</b></summary>{sheet}</details>")
        return "\n".join(parts)
