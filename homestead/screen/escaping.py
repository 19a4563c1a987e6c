r"""The one way from text to screen: what a plan says is shown, never acted on.

`html_text`, `svg_text`, `attribute` and `markdown` are the only places where a text becomes HTML or
Markdown. What they return says by its type that it may be trusted (`Markup`, `Marked`); all else is
plain text and is escaped when it is shown. Notebooks also set `$...$` and ``\(...\)`` as
formulas, in HTML and in Markdown alike, so these marks stand in an element of their own.
"""

import re

from markupsafe import Markup
from markupsafe import escape as _escape

from homestead.plan.fields import TURNING
from homestead.shown import no_formulas

_SEEN = {number: chr(0x2400 + number) for number in range(0x20) if chr(number) not in "\t\n\r"}
_SEEN |= {0x7F: "\u2421", **{number: "\ufffd" for number in range(0x80, 0xA0)}}
_SEEN |= {ord(letter): "\ufffd" for letter in (*TURNING, "\u2028", "\u2029")}

# Every mark that Markdown acts on within a line; `$` and the backslash have their own ways.
_MARKS = re.compile(r"([`*_{}\[\]#|~!])")
# What it acts on at the start of a line: lists, headings under a line, and rules.
_FIRST = re.compile(r"^(\d+)([.)])|^([-+=>])")
# Addresses that would become links by themselves.
_LINKED = re.compile(r"(?i)\b(https?|ftp|mailto)(:)|\b(www)(\.)|(@)")


class Marked(str):
    """Markdown that may be shown as it stands: ours, with every text from outside escaped."""


def visible(text):
    r"""Text whose control and direction-turning characters are shown as marks.

    >>> visible("a\x1b[31m\u202eb")
    'a␛[31m�b'
    """
    return str(text).translate(_SEEN)


def html_text(text):
    """Text as HTML between tags; trusted `Markup` stays as it is.

    >>> html_text("<b> & $x$")
    Markup('&lt;b&gt; &amp; <span>&#36;</span>x<span>&#36;</span>')
    """
    if isinstance(text, Markup):
        return text
    return no_formulas(str(_escape(visible(text))))


def for_the_page(trusted):
    """HTML of `html_text` for a page where nothing sets formulas: the marks stand bare again."""
    return Markup(trusted.replace("<span>&#36;</span>", "$").replace("<span>&#92;</span>", "\\"))


def svg_text(text):
    """Text within an SVG text element."""
    return no_formulas_svg(str(_escape(visible(text))))


def no_formulas_svg(escaped):
    """SVG, its text escaped already, in which no mark of a formula meets another."""
    backslash, dollar = "<tspan>&#92;</tspan>", "<tspan>&#36;</tspan>"
    return Markup(escaped.replace("\\", backslash).replace("$", dollar))


def label(text):
    r"""Text as the label of a control, which takes no element: marks of a formula by their likes.

    >>> label("$x$")
    '﹩x﹩'
    """
    return visible(text).replace("$", "\ufe69").replace("\\", "\u29f5")


def attribute(text):
    """Text as the value of an HTML attribute, without the quotes around it."""
    return _escape(visible(text))


def markdown(text):
    r"""Text as one line of Markdown that shows just what it says; `Marked` stays as it is.

    >>> print(markdown("<b> *a* $1 - $2"))
    &lt;b&gt; \*a\* <span>&#36;</span>1 - <span>&#36;</span>2
    """
    if isinstance(text, Marked):
        return text
    plain = " ".join(visible(text).split())
    plain = str(_escape(plain)).replace("&#34;", '"').replace("&#39;", "'")
    plain = plain.replace("\\", "\0")
    plain = _MARKS.sub(r"\\\1", plain)
    plain = _FIRST.sub(
        lambda m: f"{m[1]}\\{m[2]}" if m[1] else f"\\{m[3]}", plain
    )  # only ASCII punctuation may follow a backslash, and all of these are
    plain = _LINKED.sub(lambda m: "".join(_broken(group) for group in m.groups() if group), plain)
    return Marked(plain.replace("\0", "<span>&#92;</span>").replace("$", "<span>&#36;</span>"))


def _broken(piece):
    return {":": "<span>:</span>", ".": "<span>.</span>", "@": "<span>@</span>"}.get(piece, piece)


def say(template, *texts, **named):
    r"""Our own Markdown with texts from outside put in, each escaped.

    >>> say("**{}** is here.", "*Tom*")
    '**\\*Tom\\*** is here.'
    """
    return Marked(
        template.format(
            *(markdown(text) for text in texts),
            **{name: markdown(text) for name, text in named.items()},
        )
    )
