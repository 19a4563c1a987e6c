"""Sections of a form: single parts as rows of fields, lists as tables with one row a member.

Built when first opened: a plan has hundreds of entries, and a page with all of them is slow.
"""

import ipywidgets as widgets

from homestead.forms.groups import ONE, columns_of, shown_first, title_of
from homestead.forms.ideas import IdeaPicker
from homestead.forms.looks import alert
from homestead.questions import families
from homestead.screen import entries
from homestead.screen.escaping import html_text


class Section:
    """A heading that opens and closes what stands below it."""

    def __init__(self, form, heading, keys):
        self.form, self.heading, self.keys = form, heading, keys
        self.panels, self.is_open = {}, False
        looks = form.looks
        self.button = looks.button(heading, self.toggle)
        self._body = looks.box([], "hs-body")
        self.widget = looks.box([self.button, self._body], "hs-section")
        self._mark()

    def _mark(self):
        self.button.description = f"{'▾' if self.is_open else '▸'}  {self.heading}"
        self.button.tooltip = f"{'Close' if self.is_open else 'Open'}: {self.heading}"
        self._body.layout.display = None if self.is_open else "none"

    def toggle(self):
        """Open or close."""
        self.close() if self.is_open else self.open()

    def close(self):
        """Hide the fields."""
        self.is_open = False
        self._mark()

    def open(self):
        """Show the fields; they are made the first time."""
        if not self.panels:
            self.build()
        self.is_open = True
        self._mark()

    def build(self, opened=()):
        """Make all fields anew, for a plan that changed; `opened` members keep their details."""
        self.panels = {}
        for key in self.keys:
            shape = entries.entries_of(key)[1]
            kind = {"value": ValuePanel, "list": ListPanel}.get(shape, PartPanel)
            self.panels[key] = kind(self.form, key, is_only=len(self.keys) == 1)
        for key, panel in self.panels.items():
            panel.reopen([name for one, name in opened if one == key])
        self._body.children = [panel.widget for panel in self.panels.values()]

    def opened(self):
        """Key and member (None for a part) whose further entries stand open."""
        return [(key, name) for key, panel in self.panels.items() for name in panel.opened()]


def _heading(key, is_only, note=""):
    title = "" if is_only else f"<h4>{html_text(title_of(key))}</h4>"
    return f'{title}<span class="hs-about">{html_text(entries.about(key) + note)}</span>'


class Line:
    """A part from one line in everyday words; what the line leaves out becomes typical."""

    def __init__(self, form, key):
        self.key, looks = key, form.looks
        self.control = widgets.Text(
            description=f"{title_of(key).split(' (')[0]} in one line",
            placeholder=f"such as {families.EXAMPLES[key]}",
            continuous_update=False,
            style=looks.styles[widgets.Text],
            layout=widgets.Layout(width="auto", max_width="48em"),
        )
        self.control.observe(lambda change: form.take_line(self), "value")
        self._note = looks.text()
        self.widget = looks.box([self.control, self._note], "hs-line")

    def complain(self, message):
        """Say below the line why it was not taken."""
        self._note.value = alert(message)

    @classmethod
    def of(cls, form, key):
        """Widgets of the line of a part, in a list; empty where a part has none."""
        return [cls(form, key).widget] if key in families.EXAMPLES else []


class ValuePanel:
    """One entry at the top of the plan, such as its name."""

    def __init__(self, form, key, is_only):
        self.field = form.fields_of(form.members_of(key)[0])[0]
        self.widget = form.looks.box([self.field.as_row()], "")

    def opened(self):
        """Nothing folds."""
        return []

    def forget(self):
        """Nothing is asked."""

    def reopen(self, names):
        """Nothing folds."""

    def show(self, field):
        """Stands open already."""

    def refresh(self, member=None):
        """Nothing beside the field itself."""


class PartPanel:
    """A part of which a plan has one: rows of fields, those at their defaults folded."""

    def __init__(self, form, key, is_only):
        self.form, self.key, self._is_only = form, key, is_only
        self.member = form.members_of(key)[0]
        self._fields = form.fields_of(self.member)
        asked, self._shape = entries.entries_of(key)
        first = {one.key for one in shown_first(key, asked, form.raw.get(key, {}))}
        looks = form.looks
        self._head = looks.text()
        # What must be there stands first.
        self._first = sorted(
            (field for field in self._fields if field.entry.key in first),
            key=lambda one: not one.entry.is_required,
        )
        self._rest = [field for field in self._fields if field.entry.key not in first]
        self._more_button = looks.button("", self._toggle_more)
        self._more = looks.box([], "")
        self._more.layout.display = "none"
        self._out_text = f"Take {title_of(key).split(' (')[0].lower()} out of the plan"
        self._out = looks.button(self._out_text, self._ask)
        self._right = looks.button("All of this is right for us", lambda: form.confirm(key))
        foot = looks.box([self._more_button, self._right, self._out], "hs-bar", across=True)
        rows = [one.as_row() for one in self._first]
        line = Line.of(form, key)
        self.widget = looks.box([self._head, *line, *rows, self._more, foot], "")
        self.refresh()

    def refresh(self, member=None):
        """Say whether the part is in the plan."""
        is_there = self._shape == "always" or self.key in self.form.raw
        note = "" if is_there else " Not in your plan: fill it in to add it."
        self._head.value = _heading(self.key, self._is_only, note)
        is_out = is_there and self._shape == "optional"
        self._out.layout = self.form.looks.auto if is_out else self.form.looks.hidden
        is_open = self._more.layout.display != "none"
        count = "1 more value" if len(self._rest) == 1 else f"{len(self._rest)} more values"
        words = f"▾ {count}" if is_open else f"▸ {count}, at typical values"
        has_example = any(field.state == "example" for field in self._fields)
        self._right.layout = self.form.looks.auto if has_example else self.form.looks.hidden
        self._more_button.description = self._more_button.tooltip = words
        has_more = bool(self._rest)
        self._more_button.layout = self.form.looks.auto if has_more else self.form.looks.hidden

    def _ask(self):
        # As in the rows of a list: one stray key takes nothing out, the second press does.
        if self._out.description != self._out_text:
            self.form.remove(self.key)
            return
        self.form.forget_questions()
        self._out.description = self._out.tooltip = f"Really? {self._out_text}"
        self.form.say(f"Press again: {self._out_text.lower()}.")

    def forget(self):
        """Forget that taking out was pressed once."""
        self._out.description = self._out.tooltip = self._out_text

    def _toggle_more(self):
        if not self._more.children:
            self._more.children = [one.as_row() for one in self._rest]
        is_open = self._more.layout.display != "none"
        self._more.layout.display = "none" if is_open else None
        self.refresh()

    def show(self, field):
        """Open what is folded if the field is in it."""
        if field in self._rest and self._more.layout.display == "none":
            self._toggle_more()

    def opened(self):
        """``[None]`` if the folded values stand open."""
        return [None] if self._more.layout.display != "none" else []

    def reopen(self, names):
        """Open the folded values again."""
        if names and self._more.layout.display == "none":
            self._toggle_more()


class ListPanel:
    """A list of members as a table, with add, duplicate and remove."""

    def __init__(self, form, key, is_only):
        self.form, self.key = form, key
        looks, asked = form.looks, entries.entries_of(key)[0]
        self.columns = columns_of(key, asked)
        self.rows = {}
        self._grid = widgets.GridBox(
            layout=widgets.Layout(
                grid_template_columns=f"minmax(9em,2fr) repeat({len(self.columns) - 1},"
                "minmax(5em,1fr)) auto",
                overflow="visible",
            )
        )
        self._grid.add_class("hs-table")
        self._heads = [self._head(column) for column in self.columns] + [looks.text()]
        self._new = None
        for member in form.members_of(key):
            if not member.is_new:
                self.rows[id(member)] = Row(self, member)
        self._add = looks.button(f"+  Add {ONE.get(key, 'one')}", self.add)
        self._right = looks.button("All of this is right for us", lambda: form.confirm(key))
        members = form.members_of(key)
        fields = [field for member in members for field in form.fields_of(member)]
        has_example = any(field.state == "example" for field in fields)
        self._right.layout = looks.auto if has_example else looks.hidden
        self.widget = looks.box(
            [
                looks.text(_heading(key, is_only)),
                *([IdeaPicker(form).widget] if key == "change" else Line.of(form, key)),
                self._grid,
                looks.box([self._add, self._right], "hs-bar", across=True),
            ],
            "",
        )
        self._fill()

    def _head(self, entry):
        unit = entry.hint(self.form.system)
        small = f"<br><small>{html_text(unit)}</small>" if unit else ""
        return self.form.looks.text(f"{html_text(entry.title)}{small}", "hs-head")

    def _fill(self):
        rows = [widget for row in self.rows.values() for widget in row.widgets]
        self._grid.children = [*(self._heads if rows else []), *rows]

    def add(self):
        """Show an empty row for a new member."""
        member = self.form.members_of(self.key)[-1]
        if id(member) not in self.rows:
            self.rows[id(member)] = Row(self, member)
            self._fill()
            self.form.say(
                "Fill in the new row: it's in your plan as soon as it has what it needs. "
                f"{self._needs()}"
            )
        self.rows[id(member)].focus()

    def _needs(self):
        needed = [entry.title for entry in entries.entries_of(self.key)[0] if entry.is_required]
        return f"Needed: {', '.join(needed)}."

    def drop_new(self):
        """Take the empty row away again."""
        member = self.form.members_of(self.key)[-1]
        self.rows.pop(id(member), None)
        self._fill()

    def show(self, field):
        """Open what is needed to see a field."""
        if field.member.is_new and id(field.member) not in self.rows:
            self.add()
        row = self.rows[id(field.member)]
        if field.control is None:
            row.open_details()

    def refresh(self, member=None):
        """Bring the row of a member up to date: its messages and the names of its buttons."""
        if member is not None and id(member) in self.rows:
            self.rows[id(member)].refresh()

    def forget(self):
        """Forget the rows in which Remove was pressed once."""
        for row in self.rows.values():
            row.forget()

    def message(self, member):
        """Messages below the cells of a member, as HTML."""
        return self.rows[id(member)].message

    def opened(self):
        """Names of the members whose details stand open."""
        return [row.member.name for row in self.rows.values() if row.is_open]

    def reopen(self, names):
        """Open the details of members again."""
        for row in self.rows.values():
            if row.member.name in names:
                row.open_details()


class Row:
    """One member of a list: its cells, its buttons, its messages, its details."""

    def __init__(self, panel, member):
        self.panel, self.member = panel, member
        form, looks = panel.form, panel.form.looks
        by_key = {field.entry.key: field for field in form.fields_of(member)}
        self._main = [by_key[column.key] for column in panel.columns]
        self._rest = [one for one in by_key.values() if one not in self._main]
        self.is_open, self._is_sure = False, False
        self._details_button = looks.button("", self.toggle, kind="hs-short hs-act")
        self._copy = looks.button("", self._duplicate, kind="hs-short hs-act hs-copy")
        self._remove = looks.button("", self._ask, kind="hs-short hs-act")
        buttons = [self._details_button, self._copy, self._remove]
        self._note = looks.text(kind="hs-span")
        self._note.layout = looks.hidden
        self._details = looks.box([], "hs-span")
        self._details.layout.display = "none"
        cells = [one.as_cell() for one in self._main]
        acts = looks.box(buttons, "hs-acts", across=True)
        self.widgets = [*cells, acts, self._note, self._details]
        if member.is_new and any(one.entry.is_required for one in self._rest):
            self.open_details()
        self.refresh()

    @property
    def message(self):
        """Messages below the cells, as HTML."""
        return self._note.value

    def refresh(self):
        """Messages below the cells, and names of the buttons."""
        wrong = [f"{one.entry.title}: {one.fault}" for one in self._main if one.fault]
        self._note.value = "".join(alert(one) for one in wrong)
        self._note.layout = self.panel.form.looks.plain if wrong else self.panel.form.looks.hidden
        who = "the new row" if self.member.is_new else self.member.name
        self._name(self._details_button, f"{'▾' if self.is_open else '▸'} Details", f"of {who}")
        self._name(self._copy, "Copy", who)
        self._copy.disabled = self.member.is_new
        self._name(self._remove, "Really?" if self._is_sure else "Remove", who)

    @staticmethod
    def _name(button, text, hidden):
        button.description, button.tooltip = f"{text}\n{hidden}", f"{text} {hidden}"

    def focus(self):
        """Put the keyboard into the first cell."""
        self._main[0].control.focus()

    def toggle(self):
        """Open or close the details."""
        self.is_open = not self.is_open
        if self.is_open and not self._details.children:
            title = html_text("the new row" if self.member.is_new else self.member.name)
            head = self.panel.form.looks.text(f"<h4>Details of {title}</h4>")
            rows = [one.as_row() for one in self._rest]
            rows += [one.as_row(False) for one in self._main if one.entry.key != "name"]
            self._details.children = [head, *rows]
            self._details.add_class("hs-more")
        self._details.layout.display = None if self.is_open else "none"
        self.refresh()

    def open_details(self):
        """Open the details if they are closed."""
        if not self.is_open:
            self.toggle()

    def _duplicate(self):
        self.panel.form.duplicate(self.member.key, self.member.name)

    def _ask(self):
        # One stray key must not take anything out of a plan: the second press does it.
        if self.member.is_new:
            self.panel.form.clear_new(self.member.key)
        elif self._is_sure:
            self.panel.form.remove(self.member.key, self.member.name)
        else:
            self.panel.form.forget_questions()
            self._is_sure = True
            self.refresh()
            self.panel.form.say(f"Press again to take {self.member.name} out of the plan.")

    def forget(self):
        """Forget that Remove was pressed once."""
        if self._is_sure:
            self._is_sure = False
            self.refresh()
