"""The answer that stays in view above every form and result of a notebook."""

from datetime import datetime

from IPython.display import display

from homestead.forms.looks import CSS, VIEW, Looks
from homestead.forms.static import Static
from homestead.plan import whose
from homestead.screen import wording
from homestead.screen.escaping import html_text
from homestead.screen.readable import count_text, days_text

REST = "Bringing the rest up to date …"


class Strip:
    """Days as usual and cutting back, what goes first and when, how sure, what the change did.

    Attributes
    ----------
    widget : ipywidgets.Widget
    """

    def __init__(self):
        looks = Looks()
        self._answer, self._why = looks.text(), looks.text()
        self._note = looks.text(kind="hs-strip-note")
        self._buttons, self._asked = looks.box([], "hs-bar", across=True), looks.box([], "")
        self._static = Static()
        style = looks.text(f"<style>{CSS}</style>")
        answer, words = [self._answer, self._buttons], [self._why, self._note]
        self.widget = looks.box(
            [
                style,
                looks.box(answer, "hs-strip-row", across=True),
                looks.box(words, "hs-strip-row", across=True),
                self._asked,
            ],
            "hs-strip hs-form",
        )
        self._days, self._before = None, None
        self._saved, self._problem, self._whose, self._step = "", "", "", ""

    @property
    def html(self):
        """What it says, as HTML."""
        return self._answer.value + self._why.value + self._note.value

    def take(self, buttons, asked):
        """Show the buttons of a form beside the answer, and what one of them asks below it."""
        self._buttons.children, self._asked.children = list(buttons), [asked]

    def saved(self, words):
        """Say when the plan was saved last, or why not."""
        self._saved = words
        if self._days is not None:  # nothing is being worked out
            self.done()
        else:
            self._say("Working out the new answer …")

    def take_note(self):
        """Say that something was typed; the last answer stays, faint."""
        self._answer.add_class("hs-old")
        self._say("Working out the new answer …")

    def wait(self):
        """Say that the answer is being worked out."""
        self.take_note()
        self._before, self._days = self._days or self._before, None
        self._problem = self._step = ""

    def show(self, outlook, spare=None, broken=None):
        """Show the answer of an outlook.

        spare, broken (Outlook, Breakdowns, optional) : The same cutting back, and with parts
            breaking, if they are there yet.
        """
        self._answer.value, self._why.value = days_html(outlook, spare, broken), why_html(outlook)
        self._whose = whose.briefly(outlook.plan)
        self._answer.remove_class("hs-old")
        self._days = outlook.homestead.p10
        self._say(REST)

    def step(self, done, total):
        """Say how many of the results below are up to date."""
        self._step = f"{REST} {done + 1} of {total}"

    def going(self, done, total):
        """Say how far the work on one of the results below is."""
        self._say(self._step or REST, (done, total))

    def done(self):
        """Say that everything below is up to date."""
        self._answer.remove_class("hs-old")
        self._step = ""
        self._say()
        self._static.update(self._answer.value + self._why.value)

    def fail(self, text, details):
        """Say that what is below is still of the plan before the change."""
        self._answer.remove_class("hs-old")
        self._problem = (
            f'<p role="alert" class="hs-wrong">That did not work: {html_text(text)}. '
            "What you see below is from before the change.</p><details><summary>Details for a bug "
            f"report</summary><pre>{html_text(details)}</pre></details>"
        )
        self._say()

    @property
    def moved_words(self):
        """What the last change did to the days; empty text if nothing was changed."""
        before, now = self._before, self._days
        if before is None or now is None:
            return ""
        if before == now:
            return "The change doesn't move your days."
        count = count_text(abs(now - before), "day")
        return f"{count} {'more' if now > before else 'fewer'} than before the change."

    def _say(self, busy="", far=None):
        words = [busy or self.moved_words, self._saved, self._whose]
        shown = " · ".join(html_text(word) for word in words if word)
        mark = ' aria-busy="true"' if busy else ""
        bar = bar_html(*far) if far else ""
        self._note.value = f'<p role="status"{mark}>{shown}{bar}</p>{self._problem}'

    def _ipython_display_(self):
        display({VIEW: {"version_major": 2, "version_minor": 0,
                        "model_id": self.widget.model_id}}, raw=True)  # fmt: skip
        self._static.show(self._answer.value + self._why.value)


def days_html(outlook, spare=None, broken=None):
    """Days as usual, cutting back and if parts break, as HTML."""
    limit = outlook.horizon_days
    reached = outlook.homestead.p10
    back = "…" if spare is None else days_text(spare.homestead.p10, limit)
    left = "…" if broken is None else days_text(broken.reached("homestead"), limit)
    holds, holds_too = (
        ", if nothing breaks" if days is not None and days >= limit else ""
        for days in (reached, spare and spare.homestead.p10)
    )
    others = "".join(
        f' <span class="hs-back"><strong>{html_text(days)}</strong> {how}</span>'
        for days, how in ((back, f"cutting back{holds_too}"), (left, "if parts break"))
    )
    return (
        f'<p class="hs-days"><strong>{html_text(days_text(reached, limit))}</strong> days as usual'
        f"{holds}{others}</p>"
    )


def why_html(outlook):
    """What goes first, the worst case and how sure, as HTML of one line."""
    said = [
        wording.first_briefly(outlook),
        wording.fewest_words(outlook),
        *wording.chance_briefly(outlook),
    ]
    return f"<p>{html_text(' '.join(said))}</p>"


def bar_html(done, total):
    """How far a work is, of all there is to do."""
    share = f"{done / max(total, 1):.0%}".replace("%", " %")
    return f' <progress value="{done}" max="{max(total, 1)}" aria-label="Done">{share}</progress>'


def now_text():
    """Hour and minute of the clock."""
    return f"{datetime.now():%H:%M}"
