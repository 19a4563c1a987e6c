"""What a change does, below the form: quick figures at once, the days over all starts after them.

Where an event loop runs (in a notebook) the slow part runs beside it, so that the next change is
taken meanwhile; the newest change gives up what is under way for an older one. Elsewhere (in a
script) everything is there when the change returns.
"""

import asyncio

from homestead.screen import entries
from homestead.screen.escaping import html_text

AT_ONCE = "At once, by the first weather year alone"
LATER = "By every start in every weather year"


class _GivenUp(Exception):
    """A newer change made the work pointless."""


class EffectView:
    """Place for what a change does; `run` shows an error of the work it is given."""

    def __init__(self, then, looks, run):
        self._then, self._run, self._ticket = then, run, 0
        self._first, self._second, self._picture = looks.text(), looks.text(), looks.text()
        self._shown_first, self._shown_second = None, None
        tables = looks.box([self._first, self._second], "")
        self.widget = looks.box([tables, self._picture], "hs-effect")

    @property
    def html(self):
        """Everything shown, as HTML."""
        return self._first.value + self._picture.value + self._second.value

    def work_out(self, plan):
        """Work out what the plan as it is now does."""
        self._ticket += 1
        if self._then is None:
            return
        if hasattr(self._then, "later"):
            self._run(lambda: self._at_once(plan))
            self._run(lambda: self._begin_later(plan))
        else:
            self._run(lambda: self._plain(plan))

    def _plain(self, plan):
        self._first.value = '<p role="status">Working it out …</p>'
        try:
            result = self._then(plan)
        except BaseException:
            self._first.value = ""
            raise
        if isinstance(result, dict):
            shown = entries.rows_html(result, self._shown_first)
            self._shown_first = result
        elif hasattr(result, "_repr_html_"):
            shown = result._repr_html_()
        else:
            shown = f"<p>{html_text(str(result))}</p>"
        self._first.value = _block(shown)

    def _at_once(self, plan):
        then = self._then
        rows = then.at_once(plan) if then.at_once else {}
        table = _block(entries.rows_html(rows, self._shown_first, AT_ONCE)) if rows else ""
        self._first.value = table
        if then.picture:
            self._picture.value = then.picture(plan)
        self._shown_first = rows

    def _begin_later(self, plan):
        ticket = self._ticket
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._show_later(self._then.later(plan))
            return
        if self._shown_second is None:
            self._second.value = _block("<p>Trying every start of every weather year …</p>")
        else:
            self._second.value = _block(
                entries.rows_html(self._shown_second, None, f"{LATER}: being worked out …"), True
            )

        def goes_on(done, pieces):
            if ticket != self._ticket:
                raise _GivenUp

        def is_done(future):
            if ticket == self._ticket and not future.cancelled():
                self._run(lambda: self._show_later(future.result()))
            elif not future.cancelled():
                future.exception()  # of no interest any more

        work = loop.run_in_executor(None, lambda: self._then.later(plan, goes_on))
        work.add_done_callback(is_done)

    def _show_later(self, rows):
        self._second.value = _block(entries.rows_html(rows, self._shown_second, LATER))
        self._shown_second = rows


def _block(inner, is_busy=False):
    busy = ' aria-busy="true" style="opacity:0.7"' if is_busy else ""
    return f'<div class="homestead-effect" role="status" aria-live="polite"{busy}>{inner}</div>'
