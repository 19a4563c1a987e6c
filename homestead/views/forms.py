"""Forms made from the schema of the plan: type, see what is wrong, see what it changes.

The plan file is the only memory: every valid change is saved at once, and a form is built anew
from the file on every run. This is the only module that knows ipywidgets; what a form asks for
stands in `homestead.views.entries`, what a change does in `homestead.views.live`.
"""

import functools
import html
import re
import traceback
from datetime import datetime

import ipywidgets as widgets
from IPython.display import display

from homestead.plan import PlanError, PlanFile
from homestead.views import entries

VIEW = "application/vnd.jupyter.widget-view+json"
NEW = "+"  # stands for the name of a list member that is not in the plan yet
DEMO_MARK = "This is the demo: nothing is kept. Start your own with: homestead new FOLDER"
NO_CHOICE = ""
TEXT = "line-height:1.35;padding:0.3em 0;"  # the line height of controls sets text too far apart
_PLACE = re.compile(
    r"^.*?(?: line \d+,)? (?:\[\[?(?P<part>\w+)\]\]? ?(?:(?P<number>\d+) ?)?)?"
    r"(?P<entry>[\w.]*): (?P<message>.*)$"
)


def form(source=None, *parts, then=None):
    """Form for some parts of a plan, which shows itself at the end of a cell.

    Parameters
    ----------
    source : PlanFile or str or Path, optional
        The plan; without it the plan in use, found as `open_plan` finds it.
    *parts : str
        Keys of the plan file, such as ``"cistern"``, ``"appliance"`` or ``"name"``.
    then : callable, optional
        Takes the `Plan` and returns what a change does: a dict of label to text, a text, or
        something with ``_repr_html_``. Shown below the form and worked out after each change.

    Returns
    -------
    Form

    Raises
    ------
    PlanError
        If the plan cannot be read.
    ValueError
        If a part is not known.
    """
    return Form(source if isinstance(source, PlanFile) else PlanFile(source), parts, then)


def _guarded(method):
    """Turn an error in a callback into a plain sentence in the form: else nobody sees it."""

    @functools.wraps(method)
    def wrapped(self, *args, **kwargs):
        try:
            return method(self, *args, **kwargs)
        except (PlanError, ValueError) as error:
            self._say(str(error), is_alert=True)
        except Exception as error:  # whatever it is, the family must see that something failed
            self._say(
                f"This did not work: {error or type(error).__name__}. Nothing was saved by it.",
                is_alert=True,
                details=traceback.format_exc(),
            )

    return wrapped


class _Field:
    """One control with its message beside it."""

    def __init__(self, entry, path, owner, looks):
        self.entry, self.path = entry, path
        self.note = widgets.HTML(layout=looks.note)
        common = {
            "description": entry.label(owner.system),
            "tooltip": entry.help,
            "layout": looks.field,
        }
        if entry.kind == "flag":
            kind = widgets.Checkbox
        elif entry.kind == "choice":
            kind = widgets.Dropdown
            common["options"] = [(one, one) for one in entry.choices]
            if entry.default is None:
                common["options"].insert(0, ("(choose)", NO_CHOICE))
        else:
            kind = widgets.Text
            hint = f"default: {entry.default}" if entry.default is not None else ""
            common |= {"placeholder": hint, "continuous_update": False}
        self.control = kind(style=looks.styles[kind], **common)
        self.row = widgets.HBox([self.control, self.note], layout=looks.row)

    def show(self, raw):
        """Put what stands in the plan into the control."""
        typed = entries.as_typed(raw, self.entry.kind)
        if typed in ("", None) and self.entry.kind in ("flag", "choice"):
            typed = NO_CHOICE if self.entry.default is None else self.entry.default
        self.control.value = bool(typed) if self.entry.kind == "flag" else typed
        self.explain(entries.range_text(raw))

    def explain(self, also=""):
        """Show the help text, the state when nothing is wrong."""
        self.fault = ""
        text = " ".join(one for one in (self.entry.help, f"({also})" if also else "") if one)
        self.note.value = (
            f'<div style="{TEXT}color:var(--jp-ui-font-color1, #333)">{html.escape(text)}</div>'
        )

    def complain(self, message):
        """Show what is wrong beside the control."""
        self.fault = message
        self.note.value = (
            f'<div role="alert" style="{TEXT}color:var(--jp-error-color0, #a00020)"><strong>'
            f"Not saved:</strong> {html.escape(message)}</div>"
        )


class _Looks:
    """Layouts and styles, shared by all fields: hundreds of copies would slow the page."""

    def __init__(self):
        width = {"description_width": "24em"}
        kinds = (widgets.Text, widgets.Dropdown, widgets.Checkbox)
        self.styles = {kind: kind(style=width).style for kind in kinds}
        self.field = widgets.Layout(width="41em", flex="0 0 auto")
        self.note = widgets.Layout(flex="1 1 16em", min_width="12em", overflow="visible")
        self.row = widgets.Layout(align_items="flex-start", overflow="visible", flex_flow="row")
        self.button = widgets.Layout(width="auto")


class Form:
    """A form; made by `form`.

    Attributes
    ----------
    file : PlanFile
        The plan file behind it.
    widget : ipywidgets.Widget
        What is shown.
    """

    def __init__(self, file, parts, then=None):
        self.file = file
        self._parts, self._then = parts, then
        self._looks = _Looks()
        self._undo, self._waiting = [], {}
        self._effect_now, self._is_quiet = None, False
        self._status = widgets.HTML()
        self._effect = widgets.HTML()
        self._undo_button = self._button("Undo last change", self.undo)
        self._reset_button = self._button("Undo all changes of this form", self.reset)
        self._reload_button = self._button("Reload the plan from its file", self.reload)
        buttons = [self._undo_button, self._reset_button, self._reload_button]
        self._panels = widgets.Accordion(layout=widgets.Layout(width="98%"))
        self.widget = widgets.VBox(
            [self._panels, widgets.HBox(buttons), self._status, self._effect]
        )
        self._build()
        self._say(DEMO_MARK if file.is_demo else "Nothing changed since the plan was opened.")
        self._work_out()

    def _ipython_display_(self):
        # The view alone, without a text beside it: nothing that a stored notebook would keep.
        view = {"version_major": 2, "version_minor": 0, "model_id": self.widget.model_id}
        display({VIEW: view}, raw=True)

    # --- what a script or a test uses ------------------------------------------------------------

    @property
    def system(self):
        """Unit system that labels lead with."""
        return self.file.plan.units

    @property
    def value(self):
        """What every field holds, by path, as typed."""
        return {path: field.control.value for path, field in self._fields.items()}

    @property
    def status(self):
        """The saved mark or the last message, as plain text."""
        return self._status_text

    @property
    def effect(self):
        """What the last change does, as HTML."""
        return self._effect.value

    def set(self, path, typed):
        """Type into one field, as a person would; takes effect at once."""
        self._field(path).control.value = typed

    def fault(self, path):
        """Message beside a field; empty text if nothing is wrong."""
        return self._field(path).fault

    def _field(self, path):
        if path not in self._fields:
            raise ValueError(f"path must be one of {', '.join(self._fields)}; got {path!r}")
        return self._fields[path]

    # --- building ----------------------------------------------------------------------------

    def _build(self, open_title=None):
        self._fields, titles, boxes = {}, [], []
        before = [self._panels.get_title(n) for n in range(len(self._panels.children))]
        was_open = self._panels.selected_index
        self._is_quiet = True
        for key in self._parts:
            for title, box in self._panels_of(key):
                titles.append(title)
                boxes.append(box)
        self._is_quiet = False
        self._panels.children = boxes
        self._panels.titles = titles
        if open_title is None and before and was_open is not None:
            open_title = before[was_open]
        if open_title in titles:
            self._panels.selected_index = titles.index(open_title)
        else:
            self._panels.selected_index = None if before and was_open is None else 0
        self._mark_buttons()

    def _panels_of(self, key):
        """Title and box of each panel of a part: one, or one for each member and a blank one."""
        asked, shape = entries.entries_of(key, self.system)
        title, raw = _title(key), self.file.raw()
        if shape == "value":
            yield title, self._box(key, "", asked, raw)
        elif shape == "list":
            for number, member in enumerate(raw.get(key, [])):
                name = member.get("name", str(number))
                buttons = [
                    self._button(f"{verb} {name}", functools.partial(action, key, name))
                    for verb, action in (("Duplicate", self.duplicate), ("Remove", self.remove))
                ]
                box = self._box(key, f"{key}.{name}.", asked, member, buttons)
                yield f"{title}: {name}", box
            yield f"{title}: add one", self._box(key, f"{key}.{NEW}.", asked, {})
        else:
            is_there = shape == "always" or key in raw
            buttons = []
            if shape == "optional" and key in raw:
                text = f"Take {title.lower()} out of the plan"
                buttons = [self._button(text, functools.partial(self.remove, key))]
            box = self._box(key, f"{key}.", asked, raw.get(key, {}), buttons)
            yield title if is_there else f"{title} (not in the plan)", box

    def _box(self, key, prefix, asked, raw, buttons=()):
        heading = widgets.HTML(f"<em>{html.escape(entries.about(key))}</em>")
        rows = [heading]
        for entry in asked:
            field = _Field(entry, f"{prefix}{entry.key}", self, self._looks)
            field.show(raw.get(entry.key))
            field.control.observe(functools.partial(self._typed, field), "value")
            self._fields[field.path] = field
            rows.append(field.row)
        return widgets.VBox([*rows, widgets.HBox(buttons)])

    def _button(self, text, action):
        button = widgets.Button(description=text, tooltip=text, layout=self._looks.button)
        button.on_click(lambda _: action())
        return button

    def _mark_buttons(self):
        self._undo_button.disabled = self._reset_button.disabled = not self._undo

    # --- changing ----------------------------------------------------------------------------

    @_guarded
    def _typed(self, field, change):
        if self._is_quiet:
            return
        try:
            raw = entries.as_raw(field.control.value, field.entry.kind)
        except ValueError as error:
            field.complain(str(error))
            return
        key, _, rest = field.path.partition(".")
        if rest.startswith(f"{NEW}."):
            self._fill_new(key)
        elif key not in self.file.raw() and entries.entries_of(key)[1] == "optional":
            self._fill_absent(key)
        else:
            self._change(field, raw)

    def _change(self, field, raw):
        # Two entries may only hold together (a tank's on and off pressure): first try what waits.
        alone = {field.path: raw}
        tries = [{**self._waiting, **alone}, alone] if self._waiting.keys() - alone else [alone]
        for changes in tries:
            # A new name comes last: the other paths still use the old one.
            ordered = dict(sorted(changes.items(), key=lambda one: one[0].endswith(".name")))
            before = {path: self._raw_at(path) for path in ordered}
            try:
                dropped = self._set_all(field, ordered)
            except PlanError as error:
                fault = error
                continue
            for path in ordered:
                self._waiting.pop(path, None)
                if path in self._fields:
                    self._fields[path].explain(
                        dropped if path == field.path else entries.range_text(self._raw_at(path))
                    )
            self._undo.append(_backwards(before, changes))
            # Paths hold the names, and labels the units: both are built anew.
            self._accepted(rebuild=field.path.endswith(".name") or field.path == "units")
            return
        self._waiting[field.path] = raw
        field.complain(_message(fault, field))
        self._say("Not saved: see the message beside the field.", is_alert=True)

    def _set_all(self, field, changes):
        """Set them; a range that the new value has left behind goes, and the return says so."""
        try:
            self.file.set_all(changes)
            return entries.range_text(self._raw_at(field.path))
        except PlanError as error:
            old, new = self._raw_at(field.path), changes[field.path]
            if not isinstance(old, dict) or new is None or "low ≤ value ≤ high" not in str(error):
                raise
            self.file.set_all({**changes, field.path: {"value": new, "basis": "estimate"}})
            return f"the old range no longer held and was taken out: {entries.range_text(old)}"

    def _fill_new(self, key):
        part = self._typed_part(f"{key}.{NEW}.")
        try:
            self.file.add(key, part)
        except PlanError as error:
            self._explain_unfinished(f"{key}.{NEW}.", error)
            return
        name = part.get("name", str(len(self.file.raw()[key]) - 1))
        self._undo.append([("remove", key, name)])
        self._accepted(rebuild=True, open_title=f"{_title(key)}: {name}")

    def _fill_absent(self, key):
        part = self._typed_part(f"{key}.")
        try:
            self.file.set_all({f"{key}.{entry}": raw for entry, raw in part.items()})
        except PlanError as error:
            self._explain_unfinished(f"{key}.", error)
            return
        self._undo.append([("set", {key: None})])
        self._accepted(rebuild=True, open_title=_title(key))

    def _typed_part(self, prefix):
        found = {}
        for path, field in self._fields.items():
            if path.startswith(prefix):
                raw = entries.as_raw(field.control.value, field.entry.kind)
                is_given = field.entry.kind not in ("flag", "choice") or raw != field.entry.default
                if raw is not None and is_given:
                    found[field.entry.key] = raw
        return found

    def _explain_unfinished(self, prefix, error):
        """Show each fault at its field; what is only missing is listed, not scolded."""
        missing, other, any_wrong = [], [], False
        by_key = {
            field.entry.key: field
            for path, field in self._fields.items()
            if path.startswith(prefix)
        }
        for field in by_key.values():
            field.explain()
        for line in str(error).splitlines():
            match = _PLACE.match(line)
            field = by_key.get(match["entry"]) if match else None
            if field is None:
                other.append(match["message"] if match else line)
            elif match["message"].startswith("is missing"):
                missing.append(field.entry.title)
            else:
                field.complain(match["message"])
                any_wrong = True
        words = [f"Still needed: {', '.join(missing)}."] if missing else []
        look = ["See the message beside the field."] if any_wrong else []
        self._say(" ".join(["Not in the plan yet.", *words, *other, *look]))

    @_guarded
    def duplicate(self, key, name):
        """Add a copy of a list member."""
        part = dict(self._raw_at(f"{key}.{name}"))
        taken = {one.get("name") for one in self.file.raw()[key]}
        number = 2
        while f"{name} {number}" in taken:
            number += 1
        part["name"] = f"{name} {number}"
        self.file.add(key, part)
        self._undo.append([("remove", key, part["name"])])
        self._accepted(rebuild=True, open_title=f"{_title(key)}: {part['name']}")

    @_guarded
    def remove(self, key, name=None):
        """Take a list member, or a whole part, out of the plan."""
        if name is None:
            old = self.file.raw()[key]
            self.file.set(key, None)
            self._undo.append([("set", {f"{key}.{inner}": raw for inner, raw in old.items()})])
        else:
            old = self.file.raw()[key]  # the whole list: the order of heaters and pantry counts
            self.file.remove(key, name)
            self._undo.append([("set", {key: old})])
        self._accepted(rebuild=True)

    @_guarded
    def undo(self):
        """Take back the last change of this form."""
        if self._undo:
            self._take_back(self._undo.pop())
            self._accepted(rebuild=True)

    @_guarded
    def reset(self):
        """Take back all changes of this form since it was opened."""
        while self._undo:
            self._take_back(self._undo.pop())
        self._accepted(rebuild=True)

    def _take_back(self, steps):
        for verb, *what in steps:
            {"set": self.file.set_all, "remove": self.file.remove}[verb](*what)

    @_guarded
    def reload(self):
        """Read the plan from its file again; changes that were not saved are gone."""
        self.file = PlanFile(self.file.path)
        self._undo, self._waiting = [], {}
        self._build()
        self._say("Read again from the file.")
        self._work_out()

    # --- after a change --------------------------------------------------------------------------

    def _accepted(self, rebuild=False, open_title=None):
        if rebuild:
            self._waiting = {}
            self._build(open_title)
        self._mark_buttons()
        self._save()
        self._work_out()

    def _save(self):
        if self.file.is_demo:
            self._say(DEMO_MARK)
            return
        try:
            self.file.save()
        except PlanError as error:
            self._say(f"Not saved: {error}", is_alert=True)
            return
        self._say(
            f"Saved {datetime.now():%H:%M}. Choose Run > Run All Cells to bring the tables below "
            "up to date."
        )

    @_guarded
    def _work_out(self):
        if self._then is None:
            return
        self._effect.value = '<p role="status">Working it out …</p>'
        try:
            result = self._then(self.file.plan)
        except BaseException:
            self._effect.value = ""
            raise
        if isinstance(result, dict):
            shown = entries.rows_html(result, self._effect_now)
            self._effect_now = result
        elif hasattr(result, "_repr_html_"):
            shown = result._repr_html_()
        else:
            shown = f"<p>{html.escape(str(result))}</p>"
        self._effect.value = (
            f'<div class="homestead-effect" role="status" aria-live="polite">{shown}</div>'
        )

    def _say(self, text, is_alert=False, details=""):
        self._status_text = text
        role = "alert" if is_alert else "status"
        colour = "var(--jp-error-color0, #a00020)" if is_alert else "inherit"
        more = (
            f"<details><summary>Details for a bug report</summary><pre>{html.escape(details)}"
            "</pre></details>"
            if details
            else ""
        )
        self._status.value = (
            f'<p role="{role}" style="color:{colour}">{html.escape(text)}</p>{more}'
        )

    def _raw_at(self, path):
        """What stands in the file at a path, ranges included; None if nothing does."""
        key, _, rest = path.partition(".")
        found = self.file.raw().get(key)
        if not rest or found is None:
            return found
        if isinstance(found, dict):
            return found.get(rest)
        for number, member in enumerate(found):
            name = member.get("name", str(number))
            if rest == name:
                return member
            if rest.startswith(f"{name}.") and "." not in rest[len(name) + 1 :]:
                return member.get(rest[len(name) + 1 :])
        return None


def _title(key):
    """Heading of a part, from its key in the file."""
    return key.replace("_", " ").capitalize()


def _backwards(before, changes):
    """Steps that take changes back: names first, since the older paths use the older names."""
    names, others = {}, {}
    for path, old in before.items():
        key, _, rest = path.partition(".")
        if rest.endswith(".name"):
            names[f"{key}.{changes[path]}.name"] = old
        else:
            others[path] = old
    return [("set", some) for some in (names, others) if some]


def _message(error, field):
    """Fault of a field in few words: without file and line, without the place if it is its own."""
    part = field.path.partition(".")[0]
    own, said = [], []
    for line in str(error).splitlines():
        match = _PLACE.match(line)
        if not match:
            said.append(line)
        elif match["entry"] == field.entry.key and match["part"] in (part, None):
            own.append(match["message"])
        else:
            words = (match["part"], match["number"], match["entry"])
            place = " ".join(word.replace("_", " ") for word in words if word)
            said.append(f"{place}: {match['message']}")
    # With a fault of its own the others only follow from it.
    return "; ".join(own or said)
