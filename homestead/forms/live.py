"""A notebook that follows its form: one result of all weather years behind everything it shows.

`open_plan` begins it. What later cells show with `display` is kept in mind together with the text
of the cell; after a change in the form these cells are run again beside the kernel's own loop and
their outputs are brought up to date where they stand. So a notebook stays what it looks like, its
outputs are ordinary ones (saved, printed and exported as they are), and no figure has a second
version. The newest change gives up what is under way for an older one.

In JupyterLab a cell whose work takes long is put off when the notebook opens: answer and forms are
there first, then such cells fill in, as after a change.
"""

import ast
import asyncio
import functools
import os
import sys
import threading
import time
import traceback
import uuid
from concurrent.futures import ThreadPoolExecutor

from homestead.forms.strip import Strip
from homestead.plan import PlanFile
from homestead.screen import kept

# Set by `homestead open`. Elsewhere all cells run as they stand, so that a notebook kept as a file
# is the same however long it took.
PUT_OFF = "HOMESTEAD_PROGRESS"
QUIET_S = 0.3  # without a cell that runs, until those that were put off do
LATER_HTML = "<p>Working this out: the bar above shows how far it is. Everything else is ready.</p>"

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
        self._late, self._late_names, self._soon, self._sent = {}, set(), None, {}
        self._again = {}  # cells that are being run again; None for all
        if shell is not None:
            shell.events.register("pre_run_cell", self._begin)
        if self._puts_off:
            shell.events.register("post_run_cell", self._end)
            shell.input_transformers_post.append(self._as_run)

    def goes_on(self, ticket):
        """Whether the work for a change is still wanted.

        Raises _GivenUp if a newer change made it pointless.
        """
        if ticket != self._ticket:
            raise _GivenUp

    def close(self):
        """Follow nothing any more."""
        self._ticket += 1
        self._worker.shutdown(wait=False, cancel_futures=True)
        if self._shell is not None:
            self._shell.events.unregister("pre_run_cell", self._begin)
        if self._puts_off:
            self._shell.events.unregister("post_run_cell", self._end)
            self._shell.input_transformers_post.remove(self._as_run)

    def _begin(self, info):
        self._at = info.raw_cell
        for name in self._cells.get(self._at, ()):
            self._sent.pop(name, None)
        self._cells[self._at] = []
        if self._soon is not None:
            self._soon.cancel()

    # --- what takes long, when a notebook opens --------------------------------------------------

    @property
    def _puts_off(self):
        has_kernel = getattr(self._shell, "kernel", None) is not None
        return has_kernel and os.environ.get(PUT_OFF) == "on"

    def _as_run(self, lines):
        """Text of a cell as it is run now: places only, where it takes long or needs such a one."""
        nodes = list(ast.walk(ast.parse("".join(lines))))
        names = [node for node in nodes if isinstance(node, ast.Name)]
        needs = {name.id for name in names if isinstance(name.ctx, ast.Load)}
        is_long = any(getattr(node, "attr", "") == goes_on.__name__ for node in nodes)
        if not is_long and not needs & self._late_names:
            return lines
        self._late_names |= {name.id for name in names if isinstance(name.ctx, ast.Store)}
        calls = [node for node in nodes if isinstance(node, ast.Call)]
        shown = [call.args for call in calls if getattr(call.func, "id", "") == display.__name__]
        return [f"live.put_off({sum(map(len, shown))})\n"]

    def put_off(self, shown_n=0):
        """Show places in the cell that is running, and run it after all other cells."""
        from IPython.display import HTML

        self._late[self._at] = True
        for n in range(shown_n):
            self.show(HTML("" if n else LATER_HTML))

    def _end(self, _result):
        if self._late:
            self._soon = asyncio.get_running_loop().call_later(QUIET_S, self._catch_up)

    def _catch_up(self):
        if self._again is not None:  # what this gives up is still asked for
            self._again |= self._late
        self._late = {}
        self._start(self.file.plan)

    def _caught_up(self, ticket):
        """All names are there: cells run as they stand again."""
        if ticket == self._ticket:
            self._again = {}
            if not self._late:
                self._late_names = set()

    def begin_strip(self):
        """Show the answer in the strip; what takes longest in it may come later."""
        plan = self.file.plan
        found = kept.outlook_of(plan)
        if self._puts_off:
            self.put_off()
            self.strip.show(found, found.cutting_back)
        else:
            self.strip.show(found, found.cutting_back, kept.broken_of(plan))
            self.strip.done()
        self.leave_out()

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
        self._late, self._again = {}, None
        self.strip.wait()
        self._start(plan)

    def _start(self, plan):
        self._ticket += 1
        ticket, cells = self._ticket, self._again if self._again is None else dict(self._again)
        if getattr(self._shell, "kernel", None) is None:  # a script: all is there on return
            self._follow(plan, ticket, lambda work, *given: work(*given), cells)
            return
        loop = asyncio.get_running_loop()
        self._worker.submit(self._follow, plan, ticket, loop.call_soon_threadsafe, cells)

    def _follow(self, plan, ticket, hand_over, cells):
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
            self._run_again(plan, found, goes_on, hand_over, cells)
            hand_over(self._caught_up, ticket)
            # Last, since it keeps all cores from the next change.
            broken = kept.broken_of(plan, progress=goes_on)
            hand_over(self.strip.show, found, found.cutting_back, broken)
        except _GivenUp:
            return
        except Exception as error:  # the family must see that what stands below is of before
            hand_over(self._caught_up, ticket)
            hand_over(self.strip.fail, str(error), traceback.format_exc())
        else:
            hand_over(self.strip.done)
        finally:
            del _working.goes_on

    def _run_again(self, plan, outlook, goes_on, hand_over, cells):
        if self._shell is None:
            return
        before = dict(self._shell.user_ns)
        names = dict(before)
        again = [
            (text, shown)
            for text, shown in self._cells.items()
            if shown and (cells is None or text in cells)
        ]
        for number, (text, shown) in enumerate(again):
            goes_on()
            hand_over(self.strip.step, number, len(again) + 1)
            made = []
            names.update(plan=plan, outlook=outlook, display=functools.partial(_collect, made))
            exec(compile(text, "<cell>", "exec"), names)  # the notebook's own cell, once more
            for name, one in zip(shown, made, strict=False):
                goes_on()
                said = self._shell.display_formatter.format(one)
                if self._sent.get(name) != said:  # what stays the same is not drawn again
                    self._sent[name] = said
                    hand_over(_send, name, *said)
        names["display"] = before.get("display")
        new = {name: one for name, one in names.items() if before.get(name) is not one}
        hand_over(self._shell.user_ns.update, new)


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


def goes_on(done, total):
    """Progress for slow work in a cell: a bar in the strip, and given up after a newer change."""
    if hasattr(_working, "goes_on"):
        _working.goes_on(done, total)


def put_off(shown_n):
    """Run the cell that is running after all other cells; till then it shows so many places."""
    _desk.put_off(shown_n)


def strip():
    """Show the answer that stays in view while the notebook scrolls."""
    _desk.begin_strip()
    return _desk.strip


def display(*things):
    """Show things in a cell, and bring them up to date after each change in the form."""
    from IPython.display import display as show

    for thing in things:
        _desk.show(thing) if _desk else show(thing)
