"""One plan for a family's power, water, warmth and food, and the days that it carries them.

``import homestead as hs`` is cheap on purpose: the door behind these names opens when the first of
them is used.

>>> import homestead as hs
>>> hs.what_if  # doctest: +ELLIPSIS
<function what_if at ...>
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from homestead.door import (
        free_actions,
        hard_winters,
        last_until,
        metered,
        next_steps,
        open_plan,
        opinions,
        parts_out,
        run,
        run_together,
        size_for,
        uncertainty,
        what_if,
    )

__version__ = "0.1.0"

__all__ = [
    "free_actions",
    "hard_winters",
    "last_until",
    "metered",
    "next_steps",
    "open_plan",
    "opinions",
    "parts_out",
    "run",
    "run_together",
    "size_for",
    "uncertainty",
    "what_if",
]


def __getattr__(name: str) -> object:
    if name in __all__:
        from importlib import import_module

        return getattr(import_module("homestead.door"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
