"""The form itself: what a change means for the plan, its file and the figures below.

The plan file is the only memory: every valid change is saved at once, and a form is built anew
from the file on every run.
"""

import ipywidgets as widgets
from IPython.display import display

from homestead.forms import faults, live
from homestead.forms.changes import Changing, guarded
from homestead.forms.estimates import estimates_html
from homestead.forms.field import NEW, Field, Member
from homestead.forms.groups import grouped, title_of
from homestead.forms.ideas import IdeaAsker, effect_words
from homestead.forms.looks import CSS, VIEW, Looks
from homestead.forms.panel import Section
from homestead.forms.static import Static, values_html
from homestead.forms.strip import now_text
from homestead.forms.versions import Versions
from homestead.plan import PlanError, PlanFile, whose
from homestead.screen import entries
from homestead.screen.escaping import html_text

DEMO_MARK = "This is the demo: nothing is kept. Start your own with: homestead new FOLDER"
SHOWN_IN = (("the plan's units", ""), ("US units", "us"), ("metric units", "metric"))


def form(source=None, *parts):
    """Form for some parts of a plan, which shows itself at the end of a cell.

    source (PlanFile or str or Path, optional) : The plan; without it the one that `live.open_plan`
        opened in this notebook, whose outputs then follow the form, or else the plan in use.
    *parts (str) : Keys of the plan file, such as ``"cistern"``, ``"appliance"`` or ``"name"``.
    Gives Form.

    Raises PlanError if the plan cannot be read. ValueError: If a part is not known.
    """
    desk = live.desk() if source is None else None
    if desk is not None:
        desk.leave_out()
        return Form(desk.file, parts, desk)
    return Form(source if isinstance(source, PlanFile) else PlanFile(source), parts)


class Form(Changing):
    """A form; made by `form`.

    Attributes
    ----------
    file : PlanFile
        The plan file behind it.
    widget : ipywidgets.Widget
        What is shown.
    """

    def __init__(self, file, parts, desk=None):
        self._desk = desk
        self.file, self._parts = file, tuple(dict.fromkeys(parts))
        for key in self._parts:
            entries.entries_of(key)  # an unknown part is told before anything is built
        self.looks, self.shown_in, self.is_quiet = Looks(), "", False
        self._undo, self._redo, self._waiting, self._sections = [], [], {}, []
        self._static = Static()
        looks = self.looks
        self._switch = widgets.Dropdown(
            description="Show values in", options=SHOWN_IN, layout=looks.auto
        )
        self._switch.observe(lambda change: self.show_in(change["new"]), "value")
        self._undo_button = looks.button("Undo", self.undo)
        self._redo_button = looks.button("Redo", self.redo)
        self._idea, self.versions = IdeaAsker(self), Versions(self)
        self._reset_button = looks.button("Undo all of this form", self.reset)
        self._reload_button = looks.button("Read the plan again", self.reload)
        self._bar = looks.box(
            [self._switch, self._reset_button, self._reload_button, self.versions.button],
            "hs-bar",
            across=True,
        )
        acts = (self._undo_button, self._redo_button, self._idea.button)
        if desk is None:
            self._bar.children = (*acts, *self._bar.children)
        else:
            desk.strip.take(acts, self._idea.widget)
        self._conflict = looks.box([], "hs-bar", across=True)
        self._status = looks.text(kind="hs-status")
        self._estimates = looks.text()
        self._body = looks.box([], "")
        style = looks.text(f"<style>{CSS}</style>")
        self.widget = looks.box(
            [
                *(style, self._bar, *(() if desk else (self._idea.widget,))),
                *(self.versions.widget, self._status, self._conflict, self._body),
                self._estimates,
            ],
            "hs-form",
        )
        self._build()
        self.say(DEMO_MARK if file.is_demo else "")

    def _ipython_display_(self):
        # Two outputs: the view, which no stored notebook keeps, and the values for a reader of it.
        view = {"version_major": 2, "version_minor": 0, "model_id": self.widget.model_id}
        display({VIEW: view}, raw=True)
        self._static.show(values_html(self))

    # --- what a script or a test uses ------------------------------------------------------------

    @property
    def system(self):
        """Unit system that labels lead with."""
        return self.shown_in or self.file.plan.units

    @property
    def value(self):
        """What every field holds, by path, as typed."""
        return {path: field.typed for path, field in self._fields.items()}

    @property
    def status(self):
        """The saved mark or the last message, as plain text."""
        return self._status_text

    @property
    def fields(self):
        """All fields, in the order of the form."""
        return list(self._fields.values())

    @property
    def undo_title(self):
        """What the last change was of."""
        return self._undo[-1][0]

    @property
    def estimates(self):
        """The line that counts the values still estimated, as HTML."""
        return self._estimates.value

    def set(self, path, typed):
        """Type into one field, as a person would; takes effect at once."""
        self.field(path).control.value = typed

    def set_surety(self, path, low="", high="", basis=""):
        """Say how sure one value is, as a person would."""
        field = self.field(path, is_sure=True)
        self.is_quiet = True
        for word, typed in (("low", low), ("high", high), ("basis", basis)):
            if word in field._ends:
                field._ends[word].value = typed
        self.is_quiet = False
        self.sure_changed(field)

    def fault(self, path):
        """Message beside a field; empty text if nothing is wrong."""
        return self._known(path).fault

    def message(self, path):
        """HTML beside a field: its help, its range or what is wrong."""
        field = self.field(path)
        return field.note.value if field.note else self._panel_of(field).message(field.member)

    def field(self, path, is_sure=False):
        """Field at a path, opened so that its control is there."""
        field = self._known(path)
        if field.control is None:
            self._section_of(field).open()
            self._panel_of(field).show(field)
        if is_sure:
            if field.more is None:
                self._panel_of(field).rows[id(field.member)].open_details()
            if field.more.layout.display == "none":
                field.toggle_more()
        return field

    def _known(self, path):
        if path not in self._fields:
            raise ValueError(f"path must be one of {', '.join(self._fields)}; got {path!r}")
        return self._fields[path]

    # --- building --------------------------------------------------------------------------------

    @property
    def raw(self):
        """The plan as plain data, as typed."""
        return self.file.raw()

    def members_of(self, key):
        """Members of a list, a new one last, or the one part itself."""
        return self._members[key]

    def fields_of(self, member):
        """Fields of a member, in the order of the schema."""
        return self._by_member[id(member)]

    def _section_of(self, field):
        return next(section for section in self._sections if field.member.key in section.keys)

    def _panel_of(self, field):
        return self._section_of(field).panels[field.member.key]

    def _build(self):
        """Read all fields from the plan; sections that stood open do so again."""
        opened = {
            section.heading: section.opened() for section in self._sections if section.is_open
        }
        is_first = not self._sections
        self._members, self._by_member = {}, {}
        self.whose = whose.states(self.file.plan)
        raw = self.file.raw()
        for key in self._parts:
            shape = entries.entries_of(key, self.system)[1]
            if shape == "list":
                names = [one.get("name", str(n)) for n, one in enumerate(raw.get(key, []))]
                members = [Member(key, name) for name in (*names, NEW)]
                parts = [*raw.get(key, []), {}]
            else:
                members = [Member(key, is_value=shape == "value")]
                parts = [raw if shape == "value" else raw.get(key, {})]
            self._members[key] = members
            for member, part in zip(members, parts, strict=True):
                self._make_fields(member, part)
        self._index()
        self.is_quiet = True
        self._sections = [Section(self, *one) for one in grouped(self._parts)]
        for section in self._sections:
            if section.heading in opened:
                section.build(opened[section.heading])
                section.open()
        if is_first and self._sections:
            self._sections[0].open()
        self.is_quiet = False
        self._body.children = [section.widget for section in self._sections]
        self._mark()

    def _make_fields(self, member, part):
        asked = entries.entries_of(member.key, self.system)[0]
        self._by_member[id(member)] = [Field(self, one, member, part.get(one.key)) for one in asked]

    def _index(self):
        self._fields = {
            field.path: field
            for key in self._parts
            for member in self._members[key]
            for field in self._by_member[id(member)]
        }

    def refresh_member(self, member):
        """Bring the row of a list's member up to date."""
        for section in self._sections:
            if member.key in section.panels:
                section.panels[member.key].refresh(member)

    def _mark(self):
        """Buttons and the line of estimates, after any change."""
        steps = ((self._undo_button, "Undo", self._undo), (self._redo_button, "Redo", self._redo))
        for button, word, done in steps:
            button.description = button.tooltip = f"{word}: {done[-1][0]}" if done else word
            button.disabled = not done
        self._reset_button.disabled = not self._undo
        self._idea.button.disabled = self.last_values is None
        self._estimates.value = estimates_html(self.file.plan, self._parts, self.system)

    def show_in(self, system):
        """Show quantities in one unit system; the file keeps what was typed."""
        self.shown_in = system
        if self._switch.value != system:
            self._switch.value = system
        self._build()

    # --- changing --------------------------------------------------------------------------------

    @guarded
    def duplicate(self, key, name):
        """Add a copy of a list member."""
        part, before = dict(self._raw_at(f"{key}.{name}")), self.file.snapshot()
        taken = {one.get("name") for one in self.raw[key]}
        number = 2
        while f"{name} {number}" in taken:
            number += 1
        part["name"] = f"{name} {number}"
        self.file.add(key, part)
        self._rebuilt(f"copying {name}", before)
        self.field(f"{key}.{part['name']}.name").control.focus()

    @guarded
    def remove(self, key, name=None):
        """Take a list member, or a whole part, out of the plan."""
        before, what = self.file.snapshot(), name or key.replace("_", " ")
        try:
            if name is None:
                self.file.set(key, None)
            else:
                self.file.remove(key, name)
        except PlanError as error:
            # It still stands there: "is missing" would be said of what the plan would lack.
            reasons = [fault.message.removeprefix("is missing: ") for fault in error.faults]
            reasons = [reason.removeprefix("is missing; ") for reason in reasons]
            self.say(f"Not removed: {what}; {'; '.join(reasons) or error}.", is_alert=True)
            return
        self._rebuilt(f"removing {what}", before)
        self._undo_button.focus()

    def clear_new(self, key):
        """Empty the row of a member that is not in the plan yet, and hide it."""
        member = self._members[key][-1]
        section = next(section for section in self._sections if key in section.keys)
        section.panels[key].drop_new()
        self._make_fields(member, {})
        self._index()

    def take(self):
        """Show at once that something was typed: checking and saving come after it."""
        if self._desk is not None:
            self._desk.strip.take_note()

    def did(self, title, before, values=None):
        """Keep in mind how to take a change back; `values` are what it set, by path."""
        self._undo.append((title, before, values))
        self._redo = []

    @property
    def last_values(self):
        """What the last change set, path to raw value; None if it did anything else."""
        return self._undo[-1][2] if self._undo else None

    @guarded
    def confirm(self, path):
        """Say that an entry, or a whole part, is right as the template has it."""
        before = self.file.snapshot()
        whose.confirm(self.file, [path])
        self._rebuilt("right for us", before)

    @guarded
    def undo(self):
        """Take back the last change of this form."""
        self._step(self._undo, self._redo)

    @guarded
    def redo(self):
        """Make the change again that was taken back last."""
        self._step(self._redo, self._undo)

    def _step(self, taken_from, put_on):
        if taken_from and self._may_save():
            title, other, values = taken_from.pop()
            put_on.append((title, self.file.snapshot(), values))
            self.file.restore(other)
            self._rebuilt()

    @guarded
    def keep_as_idea(self, name, cost):
        """Turn the last change into an idea with a cost; the plan is then as before it.

        Raises PlanError if name or cost do not hold; the plan then stays as it is.
        """
        _, before, values = self._undo[-1]
        now, moved = self.file.snapshot(), self._desk.strip.moved_words if self._desk else ""
        new = {path: raw["value"] if isinstance(raw, dict) else raw for path, raw in values.items()}
        self.file.restore(before)
        try:
            self.file.add("change", {"name": name, "cost": cost, "sets": new})
        except PlanError:
            self.file.restore(now)
            raise
        self._undo.pop()
        self.did(f"the idea {name}", before)
        self._rebuilt()
        self.say(f"Kept as an idea: {name}. {moved} Your plan is as it was before the change.")

    @guarded
    def go_back(self, version):
        """Make an older `Revision` the plan again; the present version is kept, and Undo works."""
        if not self._may_save():
            return
        before = self.file.snapshot()
        self.file.take_version(version.path)
        try:
            self.file.save(note=f"went back to the version of {version.replaced_at:%Y-%m-%d}")
        except PlanError:
            self.file.restore(before)
            raise
        self._rebuilt("going back", before)
        self.say("Went back. The version you had is kept too, and Undo brings it back.")

    @guarded
    def keep_as(self, name):
        """Keep the plan as it is now under a name."""
        self.file.keep_as(name)
        self.say(f"Kept as “{name.strip()}”, to go back to.")

    @guarded
    def add_idea(self, name, cost, path, raw):
        """Add an idea that sets one value, and say what it does to the days."""
        before, effect = self.file.snapshot(), effect_words(self.file.plan, {path: raw})
        self.file.add("change", {"name": name, "cost": cost, "sets": {path: raw}})
        self._rebuilt(f"the idea {name}", before)
        self.say(f"Added the idea “{name}”. {effect}")

    @guarded
    def reset(self):
        """Take back all changes of this form since it was opened."""
        if self._undo and self._may_save():
            self.file.restore(self._undo[0][1])
            self._undo, self._redo = [], []
            self._rebuilt()

    @guarded
    def reload(self):
        """Read the plan from its file again; changes that were not saved are gone."""
        self.file.reload()
        self._afresh("Read again from the file. Older versions are in the folder revisions.")

    @guarded
    def merge(self, prefer=None):
        """Take in what was changed elsewhere, beside the changes made here, and save both.

        prefer ({"mine", "theirs"}, optional) : Who is right where both changed the same value;
            without it the form asks.
        """
        merged = self.file.merge(prefer)
        if merged.conflicts:
            self._ask_who(merged.conflicts)
            return
        self.file.save()
        self._afresh(f"Kept both changes, and saved {now_text()}.")

    def _called(self, path):
        """What a reader calls an entry of the plan."""
        field = self._fields.get(path)
        if field is None:
            return path.replace(".", ", ").replace("_", " ")
        member = field.member
        part = title_of(member.key) if member.name is None else member.name
        return field.entry.title if member.is_value else f"{part}, {field.entry.title.lower()}"

    def _ask_who(self, conflicts):
        words = [
            f"{self._called(conflict.path)}: yours {faults.short(conflict.mine)}, "
            f"the other {faults.short(conflict.theirs)}".replace('"', "")
            for conflict in conflicts
        ]
        self.say(
            f"You changed this here, and it was changed somewhere else too. "
            f"{'; '.join(words)}. Which one do you want to keep?",
            is_alert=True,
        )
        self._conflict.children = [
            self.looks.button("Take mine", lambda: self.merge("mine")),
            self.looks.button("Take theirs", lambda: self.merge("theirs")),
            self.looks.button("Drop mine, read it again", self.reload),
        ]

    def _afresh(self, words):
        # What was there before holds nothing of the other's changes: no way back to it.
        self._undo, self._redo, self._waiting = [], [], {}
        self._conflict.children = []
        self._build()
        self.say(words)
        self._show_effect()
        self._static.update(values_html(self))

    # --- after a change --------------------------------------------------------------------------

    def _rebuilt(self, title=None, before=None):
        if title:
            self.did(title, before)
        self._waiting = {}
        self._build()
        self._accepted()

    def _accepted(self):
        """Save and show what the plan now holds; whether it is saved."""
        self._show_effect()
        self.whose = whose.states(self.file.plan)
        is_saved = self._save()
        self._mark()
        self._static.update(values_html(self))
        return is_saved

    def _show_effect(self):
        # Before the plan is saved: the answer is worked out meanwhile.
        if self._desk is not None:
            self._desk.changed(self.file.plan)

    def _save(self):
        """Save and say so; whether nothing stands in the way."""
        if self.file.is_demo:
            self.say(DEMO_MARK)
            return True
        if not self._may_save():
            return False
        try:
            self.file.save(is_automatic=True)
        except PlanError as error:
            self.say(f"Not saved: {error}", is_alert=True)
            return False
        self._conflict.children = []
        faulty = sum(1 for field in self._fields.values() if field.fault)
        others = (
            f" Not saved: {faulty} other field{'s' if faulty > 1 else ''}, see the message there."
            if faulty
            else ""
        )
        self.say(f"Saved {now_text()}.{others}")
        return True

    def _may_save(self):
        """Whether the file is as this form knows it; else say so, with the ways out."""
        if self.file.is_demo:
            return True
        try:
            if not self.file.path.exists():
                words = "is gone: it was deleted or moved. Put it back and reload it."
                ways = [self.looks.button("Write it again from this form", self._write_anew)]
            elif self.file.is_changed_elsewhere:
                words = (
                    "was changed somewhere else, perhaps in another window. Keep both changes, "
                    "or drop yours and read it again."
                )
                ways = [self.looks.button("Keep both changes", self.merge)]
            else:
                return True
        except PlanError as error:
            words, ways = f"can't be read now ({error}).", []
        reload = self.looks.button("Drop mine, read it again", self.reload)
        self._conflict.children = [*ways, reload]
        self.say(f"Not saved: {self.file.path.name} {words}", is_alert=True)
        return False

    @guarded
    def _write_anew(self):
        self.file.save()
        self._afresh(f"Written again, {now_text()}.")

    def forget_questions(self):
        """Take back every "Really?" that was not answered."""
        for section in self._sections:
            for panel in section.panels.values():
                panel.forget()

    def say(self, text, is_alert=False, details=""):
        """Show a sentence in the strip, or above the form where there is none or it is an alert."""
        self._status_text = text
        if self._desk is not None:
            self._desk.strip.saved(text)
            if not is_alert:
                self._status.value = ""
                return
        role, kind = ("alert", ' class="hs-wrong"') if is_alert else ("status", "")
        more = (
            f"<details><summary>Details for a bug report</summary><pre>{html_text(details)}"
            "</pre></details>"
            if details
            else ""
        )
        self._status.value = f'<p role="{role}"{kind}>{html_text(text)}</p>{more}'
