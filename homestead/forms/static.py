"""What a form or strip says, as an ordinary output beside its view.

A notebook that is saved, exported or read elsewhere has no live view: there it shows this. Where
the view is, a style hides it.
"""

import uuid

from IPython.display import HTML, display, update_display

from homestead.forms.groups import title_of
from homestead.screen.escaping import html_text


class Static:
    """One output of static HTML that can be brought up to date."""

    def __init__(self):
        self._id = None

    def show(self, inner):
        """Show it in the cell that is running."""
        self._id = uuid.uuid4().hex
        display(_shown(inner), display_id=self._id)

    def update(self, inner):
        """Bring it up to date, if it is shown."""
        if self._id is not None:
            update_display(_shown(inner), display_id=self._id)


def _shown(inner):
    return HTML(f'<div class="hs-static">{inner}</div>')


def values_html(form):
    """Values that stand in a form, part by part, as HTML."""
    parts = []
    for key in dict.fromkeys(field.member.key for field in form.fields):
        lines = {}
        for field in form.fields:
            if field.member.key == key and not field.member.is_new and field.typed:
                told = f"{field.entry.title} {field.typed}"
                lines.setdefault(field.member.name, []).append(told)
        items = "".join(f"<li>{html_text('; '.join(told))}</li>" for told in lines.values())
        parts.append(f"<p><b>{html_text(title_of(key))}</b></p><ul>{items}</ul>" if items else "")
    return f"<details><summary>Values in this form</summary>{''.join(parts)}</details>"
