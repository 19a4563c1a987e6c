"""Older versions of the plan in a form: a list, what going back would change, a name for now."""

import ipywidgets as widgets

from homestead.forms.asking import Opener
from homestead.plan import PlanError, PlanFile
from homestead.questions.revisions import entries_between, revisions_of
from homestead.screen.escaping import html_text
from homestead.screen.over_time import change_words, version_words

NONE_YET = "There's no older version yet: each change keeps one."


class Versions:
    """A button, and the box that it opens.

    Attributes
    ----------
    button, widget, choice, name : ipywidgets.Widget
    """

    def __init__(self, form):
        self._form, self._found, looks = form, (), form.looks
        self.choice = widgets.Dropdown(description="Older version", layout=looks.auto)
        self.choice.observe(lambda change: self._preview(), "value")
        self.name = widgets.Text(
            description="Name for your plan as it is now",
            placeholder="before winter",
            layout=looks.auto,
        )
        for one in (self.choice, self.name):
            one.style.description_width = "auto"
        self._back = looks.button("Go back to it", self._go_back)
        self._said = looks.text()
        keep = looks.button("Keep it under this name", self._keep)
        self.widget = looks.box(
            [
                looks.box([self.choice, self._back], "hs-bar", across=True),
                self._said,
                looks.box([self.name, keep], "hs-bar", across=True),
            ],
            "hs-more",
        )
        self.button = Opener(looks, "Older versions", self.widget, self.refresh).button

    def refresh(self):
        """Read the list anew, newest first."""
        is_demo = self._form.file.is_demo
        self._found = () if is_demo else tuple(reversed(revisions_of(self._form.file.path)))
        self.choice.options = [(version_words(one), n) for n, one in enumerate(self._found)]
        self.choice.index = 0 if self._found else None
        layout = self._form.looks.auto if self._found else self._form.looks.hidden
        self.choice.layout = self._back.layout = layout
        self._preview()

    def _preview(self):
        if self.choice.value is None:
            self._said.value = f"<p>{html_text(NONE_YET)}</p>"
            return
        try:
            older = PlanFile(self._found[self.choice.value].path).plan
            words = change_words(entries_between(self._form.file.plan, older))
        except PlanError as error:
            words = str(error).splitlines()[0]
        self._said.value = f"<p>{html_text(words)}</p>"

    def _go_back(self):
        self._form.go_back(self._found[self.choice.value])
        self.refresh()

    def _keep(self):
        self._form.keep_as(self.name.value)
        self.refresh()
