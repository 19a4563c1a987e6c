"""A notebook that follows its form: one result of all weather years behind everything it shows.

`open_plan` begins it. What later cells show with `display` is kept in mind together with the text
of the cell; after a change in the form these cells are run again beside the kernel's own loop and
their outputs are brought up to date where they stand. So a notebook stays what it looks like, its
outputs are ordinary ones (saved, printed and exported as they are), and no figure has a second
version. The newest change gives up what is under way for an older one.
"""

import asyncio
import functools
import os
import sys
import threading
import time
import traceback
import uuid
from concurrent.futures import ThreadPoolExecutor

from homestead.forms.strip import Strip, bar_html
from homestead.plan import PlanFile
from homestead.screen import kept

outlook_of = kept.outlook_of
_desk = None
_working = threading.local()


class _GivenUp(Exception):
    """A newer change made the work pointless."""


class Desk:
    """One notebook's plan, and everything that shows it.

    Attributes
    ----------
    file : PlanFile
        The plan that the forms of this notebook change.
    strip : Strip
        The answer that stays in view.
    """

    def __init__(self, source=None, shell=None):
        self.file = PlanFile(source)
        self.strip = Strip()
        self._shell, self._cells, self._at, self._ticket = shell, {}, None, 0
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="homestead-live")
        if shell is not None:
            shell.events.register("pre_run_cell", self._begin)

    def goes_on(self, ticket):
        """Whether the work for a change is still wanted.

        Raises
        ------
        _GivenUp
            If a newer change made it pointless.
        """
        if ticket != self._ticket:
            raise _GivenUp

    def close(self):
        """Follow nothing any more."""
        self._ticket += 1
        self._worker.shutdown(wait=False, cancel_futures=True)
        if self._shell is not None:
            self._shell.events.unregister("pre_run_cell", self._begin)

    def _begin(self, info):
        self._at = info.raw_cell
        self._cells[self._at] = []

    def leave_out(self):
        """Never run the cell that is running now again: it shows what people type into."""
        self._cells.pop(self._at, None)
        self._at = None

    def show(self, one):
        """Show a thing in the cell that is running, so that it can be brought up to date later."""
        from IPython.display import display as show

        name = uuid.uuid4().hex
        show(one, display_id=name)
        if self._at in self._cells:
            self._cells[self._at].append(name)

    # --- after a change --------------------------------------------------------------------------

    def changed(self, plan):
        """Bring the strip and all outputs up to date with a plan."""
        self._ticket += 1
        ticket = self._ticket
        self.strip.wait()
        if getattr(self._shell, "kernel", None) is None:  # a script: all is there on return
            self._follow(plan, ticket, lambda work, *given: work(*given))
            return
        loop = asyncio.get_running_loop()
        self._worker.submit(self._follow, plan, ticket, loop.call_soon_threadsafe)

    def _follow(self, plan, ticket, hand_over):
        told = _Seldom()

        def goes_on(*far):
            self.goes_on(ticket)
            if far and told.is_due(*far):
                hand_over(self.strip.going, *far)

        _working.goes_on = goes_on
        try:
            goes_on()
            found = kept.outlook_of(plan, goes_on)
            hand_over(self.strip.show, found)
            goes_on()
            hand_over(self.strip.show, found, found.cutting_back)
            goes_on()
            self._run_again(plan, found, goes_on, hand_over)
            # Last, since it takes longest and keeps all cores from the next change.
            broken = kept.broken_of(plan, progress=goes_on)
            hand_over(self.strip.show, found, found.cutting_back, broken)
        except _GivenUp:
            return
        except Exception as error:  # the family must see that what stands below is of before
            hand_over(self.strip.fail, str(error), traceback.format_exc())
        else:
            hand_over(self.strip.done)
        finally:
            del _working.goes_on

    def _run_again(self, plan, outlook, goes_on, hand_over):
        if self._shell is None:
            return
        names = dict(self._shell.user_ns)
        for text, shown in list(self._cells.items()):
            goes_on()
            if not shown:
                continue
            made = []
            names.update(plan=plan, outlook=outlook, display=functools.partial(_collect, made))
            exec(compile(text, "<cell>", "exec"), names)  # the notebook's own cell, once more
            for name, one in zip(shown, made, strict=False):
                goes_on()
                hand_over(_send, name, *self._shell.display_formatter.format(one))


def _send(name, data, metadata):
    from IPython.display import publish_display_data

    publish_display_data(data, metadata, transient={"display_id": name}, update=True)


def _shell():
    interactive = sys.modules.get("IPython")
    return interactive.get_ipython() if interactive else None


def _collect(made, *things):
    made.extend(things)


def desk():
    """The desk of this notebook, or None where no plan was opened by `open_plan`."""
    return _desk


def open_plan(source=None):
    """Open the plan of this notebook, so that everything shown below follows its form.

    source (PlanFile or str or Path, optional) : The plan; without it the plan in use, and the demo
        where there is none.
    Gives Plan.

    Raises PlanError if it cannot be read.
    """
    global _desk
    fresh = Desk(source, _shell())
    if _desk is not None:
        _desk.close()
    _desk = fresh
    return fresh.file.plan


class _Seldom:
    """Says when it is time to show how far a work is: not at first, and then now and then."""

    FIRST_S, THEN_S = 2.0, 0.5

    def __init__(self):
        self._next_s = time.monotonic() + self.FIRST_S

    def is_due(self, done, total):
        now_s = time.monotonic()
        if now_s < self._next_s or done >= total:
            return False
        self._next_s = now_s + self.THEN_S
        return True


# Set by `homestead open`. Elsewhere cells show what they found and nothing on the way, so that a
# notebook kept as a file is the same however long it took.
PROGRESS = "HOMESTEAD_PROGRESS"


class _Bar:
    """How far the work of a cell is, while it runs for the first time."""

    def __init__(self):
        self._seldom, self._shown = _Seldom(), None

    def __call__(self, done, total):
        from IPython.display import HTML, clear_output
        from IPython.display import display as show

        if os.environ.get(PROGRESS) != "on":
            return
        if self._seldom.is_due(done, total):
            bar = HTML(bar_html(done, total))
            if self._shown is None:
                self._shown = show(bar, display_id=True)
            else:
                self._shown.update(bar)
        elif done >= total and self._shown is not None:
            clear_output()
            self._shown = None


def goes_on(done, total):
    """Progress for slow work in a cell: a bar, and given up when a newer change made it pointless.

    The first time the bar stands in the cell, after a change in the strip.
    """
    if hasattr(_working, "goes_on"):
        _working.goes_on(done, total)
    elif getattr(_shell(), "kernel", None) is not None:
        if getattr(_working, "bar", None) is None:
            _working.bar = _Bar()
        _working.bar(done, total)
        if done >= total:
            _working.bar = None


def strip():
    """Show the answer that stays in view while the notebook scrolls."""
    _desk.leave_out()
    found = kept.outlook_of(_desk.file.plan)
    _desk.strip.show(found, found.cutting_back, kept.broken_of(_desk.file.plan))
    _desk.strip.done()
    return _desk.strip


def display(*things):
    """Show things in a cell, and bring them up to date after each change in the form."""
    from IPython.display import display as show

    for thing in things:
        _desk.show(thing) if _desk else show(thing)
