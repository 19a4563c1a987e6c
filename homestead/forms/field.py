"""One field of a form: its control, its message, its help, how sure its value is.

Widgets are made when they are first shown. A field knows what stands in the plan and what was
typed; what a change means is the form's.
"""

from dataclasses import dataclass

import ipywidgets as widgets

from homestead.forms.looks import alert
from homestead.plan.fields import BASES, UNRANGED
from homestead.screen import entries, idea_words
from homestead.screen.escaping import attribute, html_text, label
from homestead.screen.readable import source_text

NEW = "+"  # stands for the name of a list member that is not in the plan yet
NO_CHOICE = ""
NOT_SAID = ("not said", "")
MARKS = {"example": "example", "missing": "not entered, so this can't be checked"}


@dataclass
class Member:
    """What fields belong to: a part of the plan, or one member of a list."""

    key: str
    name: str | None = None  # None for a single part
    is_value: bool = False

    @property
    def prefix(self):
        """Beginning of the paths of its entries."""
        if self.is_value:
            return ""
        return f"{self.key}." if self.name is None else f"{self.key}.{self.name}."

    @property
    def is_new(self):
        """Whether it is not in the plan yet."""
        return self.name == NEW


class Field:
    """One entry of a plan on a form."""

    def __init__(self, form, entry, member, raw):
        self.form, self.entry, self.member = form, entry, member
        self.raw, self.fault = raw, ""
        self.control, self.note, self.sure, self.more = None, None, None, None
        self._is_cell = False

    @property
    def path(self):
        """Where it stands in the plan."""
        return f"{self.member.prefix}{self.entry.key}"

    @property
    def state(self):
        """Whose number it is: one of `whose.STATES`, or None where it is no number."""
        return self.form.whose.get(self.path)

    @property
    def typed(self):
        """What the control holds, or would hold."""
        return self._shown(self.raw) if self.control is None else self.control.value

    def _shown(self, raw):
        entry = self.entry
        if entry.kind in entries.OF_IDEAS:
            return idea_words.written(raw, entry.kind)
        if raw is None and entry.kind in ("flag", "choice"):
            typed = NO_CHOICE if entry.default is None else entry.default
        elif self.form.shown_in:
            typed = entries.in_system(raw, entry.kind, self.form.shown_in)
        else:
            typed = entries.in_plan_units(raw, entry.kind, self.form.system)
        return bool(typed) if entry.kind == "flag" else typed

    def as_typed(self):
        """What the control holds once the plan has taken the value."""
        return self._shown(self.raw)

    def as_raw(self, typed):
        """What was typed, as it would stand in the file."""
        if self.entry.kind in entries.OF_IDEAS:
            return idea_words.read(typed, self.entry.kind) or None
        return entries.as_raw(typed, self.entry.kind, self.entry.bare_unit(self.form.system))

    # --- widgets ---------------------------------------------------------------------------------

    def _make_control(self, styles, layout, name):
        entry = self.entry
        common = {"description": name, "tooltip": entry.help, "layout": layout}
        if entry.kind == "flag":
            kind = widgets.Checkbox
        elif entry.kind == "choice":
            kind = widgets.Dropdown
            common["options"] = [(choice, choice) for choice in entry.choices]
            if entry.default is None:
                common["options"].insert(0, ("(choose)", NO_CHOICE))
        else:
            known = entries.known(self.member.key, entry.key, self.form.raw)
            kind = widgets.Combobox if known else widgets.Text
            common |= {"placeholder": self._hint(bool(known)), "continuous_update": False}
            common |= {"options": known} if known else {}
        self.control = kind(style=styles[kind], **common)
        self.control.value = self._shown(self.raw)
        self.control.observe(lambda change: self.form.typed(self), "value")
        return self.control

    def _hint(self, may_choose):
        if default := self.default_text():
            return f"default: {default}"
        if self.entry.is_required:
            return "choose or type" if may_choose else "needed"
        return ""

    def default_text(self):
        """Default in the shown units; empty text if there is none."""
        if self.entry.default is None:
            return ""
        kind, system = self.entry.kind, self.form.shown_in
        same = kind in ("flag", "choice") or not system
        return str(
            self.entry.default if same else entries.in_system(self.entry.default, kind, system)
        )

    def _name(self, is_cell):
        if is_cell:
            who = "new" if self.member.is_new else self.member.name
            return label(f"{self.entry.title}, {who}")
        return self.entry.label(self.form.system)

    def as_cell(self):
        """Control alone, for a table: its name is there for a screen reader only."""
        looks = self.form.looks
        self._is_cell = True
        self._make_control(looks.cell_styles, looks.auto, self._name(True))
        self.control.add_class("hs-cell")
        self._mark_state()
        return self.control

    def as_row(self, with_control=True):
        """Box with the control, how sure it is, its help and its message."""
        looks = self.form.looks
        first = looks.text(html_text(self._name(False)), "hs-lead")
        if with_control:
            first = self._make_control(looks.styles, looks.field, self._name(False))
        row = [first]
        if not self.member.is_value and self.entry.key != "name":
            self.sure = looks.button("", self.toggle_more, kind="hs-short hs-sure")
            row.append(self.sure)
        if with_control:
            self.note = looks.text(kind="hs-note")
        help_place = self.note or looks.text(self._help_html(), "hs-note")
        row.append(help_place)
        self.more = looks.box([], "hs-more")
        self.more.layout.display = "none"
        self.refresh()
        return looks.box([looks.box(row, "hs-row", across=True), self.more], "")

    def toggle_more(self):
        """Open or close the line with low, high, basis and the default."""
        if not self.more.children:
            self.more.children = self._more_line()
        is_open = self.more.layout.display != "none"
        self.more.layout.display = "none" if is_open else None
        self.refresh()

    def _more_line(self):
        looks, entry, shown = self.form.looks, self.entry, []
        self._ends = {}
        for word in () if entry.kind in (*UNRANGED, *entries.OF_IDEAS) else ("low", "high"):
            self._ends[word] = widgets.Text(
                description=f"{word.capitalize()}\nof {entry.title}",
                placeholder="not said",
                continuous_update=False,
                style=looks.short_styles[widgets.Text],
                layout=looks.short,
            )
        self._ends["basis"] = widgets.Dropdown(
            description=f"Basis\nof {entry.title}",
            options=[NOT_SAID, *((basis, basis) for basis in BASES)],
            style=looks.short_styles[widgets.Dropdown],
            layout=looks.short,
        )
        for control in self._ends.values():
            control.add_class("hs-clip")
            control.observe(lambda change: self.form.sure_changed(self), "value")
            shown.append(control)
        if default := self.default_text():
            shown.append(
                looks.button(
                    f"Back to the typical value ({default})",
                    lambda: self.form.to_default(self),
                    title=f"Take {entry.title} back to its default",
                )
            )
        words = [self._default_words()] if entry.default is not None else []
        words.append(
            "Low and high: the truth is probably between them. Basis: where the number is from."
        )
        if self.state == "example":
            shown.append(
                looks.button(
                    "This is right for us",
                    lambda: self.form.confirm(self.path),
                    title=f"{self.entry.title} is right for us",
                )
            )
        self._show_ends()
        return [
            looks.box(shown, "hs-bar", across=True),
            looks.text(f'<p class="hs-about">{html_text(" ".join(words))}</p>'),
        ]

    def _show_ends(self):
        table = self.raw if isinstance(self.raw, dict) else {}
        was, self.form.is_quiet = self.form.is_quiet, True
        for word, control in self._ends.items():
            text = table.get(word)
            if word != "basis" and text is not None:
                text = self._shown(text)
            control.value = "" if text is None else text
        self.form.is_quiet = was

    def surety(self):
        """Low, high and basis as typed; None for what is not said."""
        ends = {word: control.value for word, control in self._ends.items()}
        raw = {word: self.as_raw(ends.get(word, "")) for word in ("low", "high")}
        return raw["low"], raw["high"], ends["basis"] or None

    def _default_words(self):
        source = f", by: {source_text(self.entry.source)}" if self.entry.source else ""
        return f"Left empty it counts as {self.default_text()}, a typical value{source}."

    def _help_html(self):
        entry = self.entry
        limits = entry.limits(self.form.system)
        words = [entry.help]
        words += [f"It may be {limits}."] if limits else []
        words += [self._default_words()] if entry.default is not None else []
        label = attribute(f"What is {entry.title}?")
        return (
            f'<details class="hs-help"><summary aria-label="{label}">?</summary>'
            f"<div>{html_text(' '.join(words))}</div></details>"
        )

    # --- state -----------------------------------------------------------------------------------

    def show(self, raw):
        """Put what stands in the plan into the control."""
        self.raw = raw
        if self.control is not None:
            was, self.form.is_quiet = self.form.is_quiet, True
            self.control.value = self._shown(raw)
            self.form.is_quiet = was
        self.explain()

    def explain(self, also=""):
        """State when nothing is wrong."""
        self.fault = ""
        self.refresh(also)

    def complain(self, message):
        """Show what is wrong beside the control."""
        self.fault = message
        self.refresh()

    def _mark_state(self):
        """Show at the control whether its value is the example's, typical, or at fault."""
        if self.control is None:
            return
        is_there = self.raw is not None
        marks = {
            "hs-example": is_there and self.state == "example",
            "hs-typical": is_there and self.state == "typical",
            "hs-fault": bool(self.fault),
        }
        for name, is_so in marks.items():
            (self.control.add_class if is_so else self.control.remove_class)(name)

    def refresh(self, also=""):
        """Bring message, help and the mark of sureness up to date."""
        also = also or entries.range_text(self.raw, self.entry.kind, self.form.system)
        if not also and self.state in MARKS:
            also = MARKS[self.state]
        self._mark_state()
        if self.note is not None:
            said = alert(self.fault) if self.fault else ""
            if also and not self.fault:
                said = f'<span class="hs-about">{html_text(also)}</span>'
            self.note.value = f"{self._help_html()}{said}"
        if self.sure is not None:
            basis = self.raw.get("basis") if isinstance(self.raw, dict) else None
            mark = "▾" if self.more.layout.display != "none" else "▸"
            self.sure.description = f"{mark} {basis or 'how sure?'}\n{self.entry.title}"
            self.sure.tooltip = f"How sure is {self.entry.title}? Low, high, basis and default"
            if self.more.children:
                self._show_ends()
        if self._is_cell:
            self.form.refresh_member(self.member)
            if self.control is not None:
                self.control.description = self._name(True)
