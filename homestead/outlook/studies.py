"""What is found out about one run: each study worked once and kept with its `Outlook`.

Whoever shows a run asks the same functions; a second table, figure or page costs no second study.
"""

import functools
import threading
from collections.abc import Callable, Hashable
from typing import Any


class Studies:
    """Results by the question; one question is worked once, whoever else asks it meanwhile."""

    def __init__(self) -> None:
        self._found: dict[Hashable, _Once] = {}

    def of(self, question: Hashable, work: Callable[[], Any]) -> Any:
        """What `work` gives, from before if it was asked; nothing is kept of one that failed."""
        once = self._found.setdefault(question, _Once())
        with once.lock:
            if not once.is_known:
                once.found, once.is_known = work(), True
            return once.found


class _Once:
    def __init__(self) -> None:
        self.lock, self.is_known, self.found = threading.RLock(), False, None


def kept(work: Callable[..., Any]) -> Callable[..., Any]:
    """Make a function of an outlook, and of more by position, one of its studies.

    What is given by name, such as who watches the progress, is no part of the question.
    """

    @functools.wraps(work)
    def asked(outlook: Any, *more: Hashable, **apart: Any) -> Any:
        return outlook.studies.of((work, *more), lambda: work(outlook, *more, **apart))

    return asked
