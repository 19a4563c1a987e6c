"""Small forms with one button: today's gauges, the first questions, the page to share."""

from pathlib import Path

import ipywidgets as widgets
from IPython.display import display

from homestead.forms import live
from homestead.forms.looks import CSS, VIEW, Looks
from homestead.forms.strip import bar_html
from homestead.plan import PlanError, PlanFile
from homestead.plan.file import begin_again
from homestead.questions import interview, season
from homestead.questions import today as questions
from homestead.screen import kept, nextsteps
from homestead.screen import season as words
from homestead.screen.escaping import html_text


class Opener:
    """Button that shows and hides a box, and says which of the two it did."""

    def __init__(self, looks, title, box, before=lambda: None):
        self._title, self._box, self._before = title, box, before
        self.button = looks.button(title, self.toggle)
        box.layout.display = "none"
        self._mark()

    def toggle(self):
        """Show the box, or hide it; what stands in it is made right before it is shown."""
        if self._box.layout.display == "none":
            self._before()
        self._box.layout.display = None if self._box.layout.display == "none" else "none"
        self._mark()

    def _mark(self):
        is_open = self._box.layout.display != "none"
        self.button.description = f"{'▾' if is_open else '▸'}  {self._title}"
        self.button.tooltip = f"{'Close' if is_open else 'Open'}: {self._title}"


class Asking:
    """Text fields, a button, and what it says below them.

    Attributes
    ----------
    fields : dict of str to ipywidgets.Text
    said : str
        What stands below the button.
    widget : ipywidgets.Widget
    """

    def __init__(self, file, asked, button, act, folded=""):
        looks, self.file, self._act = Looks(), file, act
        self.said = ""
        self.fields = {}
        for key, label, hint in asked:
            field = widgets.Text(description=label, placeholder=hint, layout=looks.auto)
            field.style.description_width = "22em"
            self.fields[key] = field
        self._place = looks.text(kind="hs-status")
        self.button = looks.button(button, self.press)
        rows = looks.box([*self.fields.values(), self.button], "")
        above = [looks.text(f"<style>{CSS}</style>")]
        if folded:  # many questions stand behind a button
            above.append(Opener(looks, folded, rows).button)
        self.widget = looks.box([*above, rows, self._place], "hs-form")

    def _ipython_display_(self):
        view = {"version_major": 2, "version_minor": 0, "model_id": self.widget.model_id}
        display({VIEW: view}, raw=True)

    def press(self):
        """Do what the button is for with what stands in the fields."""
        typed = {key: field.value.strip() for key, field in self.fields.items()}
        self._say(["One moment."])
        try:
            given = {key: text for key, text in typed.items() if text}
            self._say(self._act(self.file, given, self.going))
        except (ValueError, PlanError) as error:
            self._say(str(error).splitlines(), "alert")

    def going(self, done, total):
        """Show how far the work behind the button is."""
        self._place.value = f'<p role="status">One moment.{bar_html(done, total)}</p>'

    def _say(self, lines, role="status"):
        self.said = "\n".join(lines)
        kind = ' class="hs-wrong"' if role == "alert" else ""
        inner = "".join(f"<p>{html_text(line)}</p>" for line in lines)
        self._place.value = f'<div role="{role}"{kind}>{inner}</div>'


def _file(source):
    desk = live.desk() if source is None else None
    if desk is not None:
        desk.leave_out()
        return desk.file
    return source if isinstance(source, PlanFile) else PlanFile(source)


def today(source=None):
    """Form for what the gauges say: the days from today, and what to do this week."""
    file = _file(source)
    asked = [(gauge.name, gauge.name, gauge.hint) for gauge in questions.gauges_of(file.plan)]
    return Asking(file, asked, "My days from today", _today)


def _today(file, readings, _):
    found = questions.today(file.plan, readings)
    lines = words.this_week(found, season.chores_of(file.plan))
    return [words.today_words(found), *(f"This week: {line}" for line in lines)]


def first_questions(source=None):
    """Form that begins a plan of one's own from everyday answers; the old plan is kept."""
    asked = [(question.key, question.text, question.example) for question in interview.QUESTIONS]
    title = "Start a plan of your own: fifteen questions"
    return Asking(_file(source), asked, "Begin my plan with these answers", _begin, title)


def _begin(file, answers, _):
    begin_again(file, interview.begun(answers))
    desk = live.desk()
    if desk is not None and desk.file is file:
        desk.changed(file.plan)
    return [
        "Saved. Your answers are yours, the rest is typical. Close this page and open it again "
        "to see your values.",
        "The plan you had is kept: it's the first of the older versions in the form above.",
    ]


def share(source=None):
    """Button that writes the page to share, as `homestead share` does."""
    return Asking(_file(source), (), "Make the page to share", _share)


def _share(file, _, going):
    from homestead.page import render
    from homestead.page.papers import write_papers

    folder = Path.cwd() if file.is_demo else file.path.parent
    outlook = kept.outlook_of(file.plan)
    found = nextsteps.each_alone(outlook, progress=going)
    made = render.write_page(outlook, folder / "homestead.html", found=found)
    beside = ", ".join(paper.name for paper in write_papers(outlook, made))
    return [
        f"Written: {made.resolve()}",
        "It opens anywhere, works offline, and prints.",
        f"For the wall, and for the electrician: {beside}",
    ]
