"""Ideas in a form: one from the last change, or from a part, a value and its new amount."""

import ipywidgets as widgets

from homestead.forms.groups import title_of
from homestead.outlook.independence import HORIZON_DAYS
from homestead.plan.schema import IDEAS, Plan, top_key
from homestead.questions.variants import HOMESTEAD, Variants
from homestead.screen import entries, kept
from homestead.screen.readable import days_words

LONGEST_N = 30  # letters of a value in a list of them


def _text(looks, description, placeholder=""):
    field = widgets.Text(description=description, placeholder=placeholder, layout=looks.auto)
    field.style.description_width = "auto"
    return field


class IdeaAsker:
    """A button, and the line it opens, for the idea that the last change would make.

    Attributes
    ----------
    button, widget : ipywidgets.Widget
    """

    def __init__(self, form):
        self._form, looks = form, form.looks
        self.button = looks.button("Keep as an idea", self._open)
        self.name, self.cost = _text(looks, "Name of the idea"), _text(looks, "Cost", "$800")
        keep, leave = looks.button("Keep", self._keep), looks.button("Cancel", self._close)
        self.widget = looks.box([self.name, self.cost, keep, leave], "hs-bar", across=True)
        self._close()

    def _open(self):
        first = self._form.undo_title
        self.name.value = f"Change {first[:1].lower()}{first[1:]}"
        self.widget.layout.display = None
        self.cost.focus()

    def _close(self):
        self.widget.layout.display = "none"

    def _keep(self):
        self._form.keep_as_idea(self.name.value.strip(), self.cost.value.strip() or "$0")
        if "Kept as an idea" in self._form.status:
            self._close()


class IdeaPicker:
    """A new idea from lists: the part, its value, then the new amount and the cost.

    Attributes
    ----------
    widget, part, value, amount, cost : ipywidgets.Widget
    """

    def __init__(self, form):
        self._form, looks = form, form.looks
        self.part = widgets.Dropdown(description="Part", options=_parts(form.raw))
        self.value = widgets.Dropdown(description="Value")
        for one in (self.part, self.value):
            one.style.description_width, one.layout = "auto", looks.auto
        self.amount, self.cost = _text(looks, "New amount"), _text(looks, "Cost", "$800")
        self.part.observe(lambda change: self._list_values(), "value")
        self.value.observe(lambda change: self._hint(), "value")
        add = looks.button("Add this idea", self.add)
        self._list_values()
        self.widget = looks.box(
            [self.part, self.value, self.amount, self.cost, add], "hs-bar", across=True
        )

    def _entries(self):
        key, _, name = self.part.value.partition(".")
        found = self._form.raw.get(key, {})
        if name:
            found = next(one for one in found if one.get("name") == name)
        known = [one for one in entries.entries_of(key, self._form.system)[0] if one.key != "name"]
        return known, found

    def _list_values(self):
        known, raw = self._entries()
        self.value.options = [
            (f"{one.title}, now {self._now(one, raw) or 'nothing'}", one.key) for one in known
        ]
        self.value.index = 0
        self._hint()

    def _now(self, entry, raw):
        typed = raw.get(entry.key, entry.default)
        if entry.kind == "flag":
            return "yes" if typed else "no"
        now = entries.in_plan_units(typed, entry.kind, self._form.system)
        return now if len(now) < LONGEST_N else f"{now[:LONGEST_N]}…"

    def _chosen(self):
        return next(one for one in self._entries()[0] if one.key == self.value.value)

    def _hint(self):
        if self.value.value is not None:
            entry = self._chosen()
            self.amount.placeholder = entry.hint(self._form.system) or ", ".join(entry.choices)

    def add(self):
        """Put the idea into the plan."""
        entry = self._chosen()
        typed = self.amount.value.strip()
        what = dict((path, words) for words, path in self.part.options)[self.part.value]
        self._form.add_idea(
            f"{what}: {entry.title.lower()} {typed}",
            self.cost.value.strip() or "$0",
            f"{self.part.value}.{entry.key}",
            {"yes": True, "no": False}.get(typed.lower(), typed)
            if entry.kind == "flag"
            else entries.as_raw(typed, entry.kind, entry.bare_unit(self._form.system)),
        )


def _parts(raw):
    """Parts of a plan and members of its lists, as they are called, with their paths."""
    found = []
    for key in map(top_key, Plan.model_fields):
        part = raw.get(key)
        if key in IDEAS or not isinstance(part, dict | list):
            continue
        title = title_of(key)
        members = [one["name"] for one in part if "name" in one] if isinstance(part, list) else []
        found += [(f"{title}, {name}", f"{key}.{name}") for name in members]
        found += [(title, key)] if isinstance(part, dict) else []
    return found


def effect_words(plan, sets):
    """What an idea alone does to the days to plan on, on all weather years.

    Raises PlanError if the plan would not hold with it.
    """
    (changed,) = Variants(plan).of([(sets, {})], days_only=True, need=HOMESTEAD)
    before, after = kept.outlook_of(plan).homestead.p10, changed.reached()
    if before == after:
        return "It doesn't change your days."
    return f"Plan on {days_words(after, HORIZON_DAYS)} with it, instead of {before}."
