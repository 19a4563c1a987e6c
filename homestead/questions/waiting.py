"""Waiting for work beside each other, so that whoever waits can give it up at any moment."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait

LOOKED_EVERY_S = 0.1


class GivenUp(Exception):
    """Nobody waits for this any more."""


def as_they_come(pieces: Iterable[Future], look: Callable[[], None]) -> Iterator[Future]:
    """Pieces of work as they are done; `look` is called meanwhile, and may raise to give up."""
    waiting = set(pieces)
    while waiting:
        ready, waiting = wait(waiting, LOOKED_EVERY_S, FIRST_COMPLETED)
        yield from ready
        if not ready:
            look()
