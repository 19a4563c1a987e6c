"""Asking for the name and cost of an idea that the last change in a form would make."""

import ipywidgets as widgets


class IdeaAsker:
    """A button, and the line it opens.

    Attributes
    ----------
    button, widget : ipywidgets.Widget
    """

    def __init__(self, form):
        self._form, looks = form, form.looks
        self.button = looks.button("Keep as an idea", self._open)
        self.name = widgets.Text(description="Name of the idea", layout=looks.auto)
        self.cost = widgets.Text(description="Cost", placeholder="$800", layout=looks.auto)
        for one in (self.name, self.cost):
            one.style.description_width = "auto"
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
