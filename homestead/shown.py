"""How a result shows itself in a cell or a terminal: a title and at most eleven short lines."""

from markupsafe import Markup
from markupsafe import escape as _escape

LINES_N = 12


def no_formulas(escaped):
    """HTML, its text escaped already, in which no mark of a formula meets another."""
    return Markup(escaped.replace("\\", "<span>&#92;</span>").replace("$", "<span>&#36;</span>"))


def _html(text):
    return no_formulas(str(_escape(text)))


class Shown:
    """Gives a result a short text and the same as an HTML table.

    A class that inherits says `shown()`: a title and pairs of (what, value), both plain text.
    """

    def shown(self) -> tuple[str, list[tuple[str, str]]]:
        """Title, and what is to be read below it."""
        raise NotImplementedError

    def _cut(self) -> tuple[str, list[tuple[str, str]]]:
        title, lines = self.shown()
        if len(lines) >= LINES_N:
            left_n = len(lines) - (LINES_N - 2)
            lines = [*lines[: LINES_N - 2], ("", f"and {left_n} more")]
        return title, lines

    def __repr__(self) -> str:
        title, lines = self._cut()
        wide = max((len(what) for what, _ in lines), default=0)
        return "\n".join([title, *(f"  {what:<{wide}}  {value}" for what, value in lines)])

    def _repr_html_(self) -> str:
        title, lines = self._cut()
        rows = "".join(
            f'<tr><th scope="row" style="text-align:left">{_html(what)}</th>'
            f'<td style="text-align:left">{_html(value)}</td></tr>'
            for what, value in lines
        )
        return f"<table><caption>{_html(title)}</caption><tbody>{rows}</tbody></table>"
