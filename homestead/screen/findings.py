"""Findings for readers: dangers and warnings first and open, notes folded by subject.

Owns which subject a finding belongs to and how the list shows itself in a notebook; the shared page
takes the same groups. The words of each finding stand in `homestead.findings.gather`.
"""

from homestead.findings.finding import DEFER
from homestead.screen.escaping import Marked, html_text, say
from homestead.screen.notes import Prose, WholeSheet
from homestead.screen.readable import count_text, source_text, table_of

ARRAYS = "Arrays and strings"
INVERTERS = "Inverters and what starts on them"
BATTERY = "Battery"
GENERATOR = "Generator"
SOURCES = "Water and wind power"
WIRES = "Wires, breakers and panel"
WATER = "Water"
WARMTH = "Warmth and fuel"
FOOD = "Food"
OTHER = "Other"
SUBJECTS = (ARRAYS, INVERTERS, BATTERY, GENERATOR, SOURCES, WIRES, WATER, WARMTH, FOOD, OTHER)
ELECTRICAL = (ARRAYS, INVERTERS, BATTERY, GENERATOR, SOURCES, WIRES)
LIMITS = (ARRAYS, INVERTERS, WIRES)

# First words of what a finding is about; the longest that fits counts.
_ABOUT = {
    "array": ARRAYS,
    "AC coupling": INVERTERS,
    "full battery": INVERTERS,
    "120/240 V": INVERTERS,
    "continuous power": INVERTERS,
    "meter": INVERTERS,
    "power in an ordinary year": INVERTERS,
    "starting surge": INVERTERS,
    "loss of a unit": INVERTERS,
    "PV with a unit lost": INVERTERS,
    "battery": BATTERY,
    "generator": GENERATOR,
    "hydro": SOURCES,
    "wind turbine": SOURCES,
    "circuit": WIRES,
    "voltage drop": WIRES,
    "disconnects": WIRES,
    "panel": WIRES,
    "well": WATER,
    "cistern": WATER,
    "spring": WATER,
    "ram pump": WATER,
    "pressure tank": WATER,
    "water": WATER,
    "fire reserve": WATER,
    "rain": WATER,
    "heaters": WARMTH,
    "hot water tank": WARMTH,
    "fuel in store": WARMTH,
    "thermostat": WARMTH,
    "pipes": WARMTH,
    "carbon monoxide": WARMTH,
    "combustion air": WARMTH,
    "water for dry food": FOOD,
    "feed": FOOD,
    "crop": FOOD,
    "meat": FOOD,
    "pantry": FOOD,
    "freezer": FOOD,
    "protein": FOOD,
    "variety": FOOD,
    "fat": FOOD,
    "vitamin C": FOOD,
    "salt": FOOD,
    "infant": FOOD,
    "canning": FOOD,
}
# Who decides where no electrician does.
_DECIDES = {
    WARMTH: "Local code and licensed trades decide.",
    FOOD: "Your county extension office can tell you more.",
}
GRAVE = ("danger", "warning")
HOW_TO_READ = "Passing these checks doesn't mean it is safe."


def subject_of(finding, plan):
    """Subject of a finding, one of `SUBJECTS`; heaters and fuel stores go by their own names."""
    about = finding.about
    if about in {heater.name for heater in (*plan.heaters, *plan.fuels)}:
        return WARMTH
    fits = [
        first
        for first in _ABOUT
        if about == first or about.startswith((f"{first} ", f"{first}:", f"{first},"))
    ]
    return _ABOUT[max(fits, key=len)] if fits else OTHER


def chosen(outlook, subjects=SUBJECTS):
    """Findings on some subjects, gravest first."""
    return tuple(
        finding for finding in outlook.findings if subject_of(finding, outlook.plan) in subjects
    )


def grave(findings):
    """Dangers, then warnings."""
    return tuple(finding for weight in GRAVE for finding in findings if finding.severity == weight)


def notes_by_subject(findings, plan):
    """Notes by subject, in the order of `SUBJECTS`; subjects without notes are left out.

    findings (iterable of Finding)
    Gives dict of str to tuple of Finding.
    """
    notes = [finding for finding in findings if finding.severity == "note"]
    groups = {
        subject: tuple(note for note in notes if subject_of(note, plan) == subject)
        for subject in SUBJECTS
    }
    return {subject: group for subject, group in groups.items() if group}


def short_text(finding):
    """Text of a note without the sentence on who decides, which its group says once."""
    return finding.text.replace(DEFER, "").strip()


def counted(findings):
    """How many of which weight, such as ``"2 warnings and 3 notes"``."""
    counts = {
        weight: sum(finding.severity == weight for finding in findings)
        for weight in (*GRAVE, "note")
    }
    told = [count_text(number, weight) for weight, number in counts.items() if number]
    return " and ".join(told) if len(told) < 3 else f"{', '.join(told[:-1])} and {told[-1]}"


def table(findings, with_weight=True):
    """Findings as a table: about, what was found, source and, if wanted, weight."""
    columns = {
        "About": [finding.about for finding in findings],
        "What was found": [
            finding.text if with_weight else short_text(finding) for finding in findings
        ],
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
        self._plan = outlook.plan
        decides = {_DECIDES.get(subject, DEFER) for subject in subjects}
        self._decides = decides.pop() if len(decides) == 1 else DEFER

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
            parts.append(WholeSheet(table(first), "Dangers and warnings")._repr_html_())
        for subject, group in notes_by_subject(self.findings, self._plan).items():
            title = html_text(f"{subject}: {count_text(len(group), 'note')}")
            sheet = WholeSheet(table(group, with_weight=False), subject)._repr_html_()
            parts.append(f"<details><summary><b>{title}</b></summary>{sheet}</details>")
        return "\n".join(parts)
