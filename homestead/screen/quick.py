"""A figure by month that is there at once: drawn as text, in the language of the other figures.

For a form, where a change is to be seen while it is typed. The full figures, with their files to
save, are in `homestead.screen.figures`; both take their numbers from the same tables.
"""

import math
from typing import NamedTuple

import numpy as np

from homestead.screen.escaping import attribute, html_text, svg_text
from homestead.screen.picture import COLOUR, INK, PAPER, RULE
from homestead.units import digits
from homestead.vocabulary import MONTHS

WIDTH, HEIGHT, LEFT, TOP, FOOT = 520, 230, 46, 34, 24
STEP = (WIDTH - LEFT) / 12
GRIDLINES_N = 4
TYPE_PX = 14
KEY_TYPE_PX = 13


class Series(NamedTuple):
    """Twelve numbers and how they are told apart: need for the colour, pattern for grey."""

    label: str
    values: np.ndarray  # shape (12,)
    need: str
    pattern: str = ""  # "" plain, "lines", "dots", "open"


def months_html(title, unit, bars, line=None):
    """Stacked bars by month and one line over them, as an image with its description.

    Parameters
    ----------
    title : str
    unit : str
        Of all numbers, such as ``"gal a day"``.
    bars : sequence of Series
        Stacked from below.
    line : Series, optional

    Returns
    -------
    str
        HTML without script; every text escaped.
    """
    top = np.sum([one.values for one in bars], axis=0)
    most = max(float(top.max()), float(line.values.max()) if line else 0.0)
    step = _round_step(most / GRIDLINES_N)
    full = step * max(math.ceil(most / step), 1)
    scale = (HEIGHT - TOP - FOOT) / full
    drawn = [_pattern(one) for one in bars]
    drawn += [_gridline(at * step, scale) for at in range(int(round(full / step)) + 1)]
    foot = np.zeros(12)
    for one in bars:
        for month, (low, value) in enumerate(zip(foot, one.values, strict=True)):
            drawn.append(_bar(month, low, value, scale, _fill(one)))
        foot = foot + one.values
    if line:
        drawn.append(_line(line, scale))
    drawn += [
        f'<text x="{LEFT + (month + 0.5) * STEP:.1f}" y="{HEIGHT - 7}" text-anchor="middle">'
        f"{MONTHS[month]}</text>"
        for month in range(12)
    ]
    drawn += _key(bars, line)
    words = attribute(_description(title, unit, [*bars, *([line] if line else [])]))
    return (
        f'<figure class="homestead-picture"><svg role="img" aria-label="{words}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'style="max-width:100%;height:auto;background:{PAPER}" '
        f'font-family="DejaVu Sans, Verdana, sans-serif" font-size="{TYPE_PX}" fill="{INK}">'
        f"{''.join(drawn)}</svg>"
        f"<figcaption>{html_text(title)} ({html_text(unit)})</figcaption></figure>"
    )


def _round_step(rough):
    """Step of the scale: 1, 2 or 5 times a power of ten, at least as large as asked for."""
    if rough <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(rough))
    return next(one * power for one in (1, 2, 5, 10) if one * power >= rough * (1 - 1e-9))


def _up(value, scale):
    return HEIGHT - FOOT - value * scale


def _gridline(value, scale):
    y = _up(value, scale)
    return (
        f'<path d="M{LEFT} {y:.1f}H{WIDTH}" stroke="{RULE}"/>'
        f'<text x="{LEFT - 6}" y="{y + 5:.1f}" text-anchor="end">{digits(value, 3)}</text>'
    )


def _pattern(one):
    """Fill of a series; patterns keep the series apart without colour."""
    colour = COLOUR[one.need]
    inner = {
        "": "",
        "lines": f'<path d="M0 6L6 0" stroke="{PAPER}" stroke-width="1.4"/>',
        "dots": f'<circle cx="3" cy="3" r="1.2" fill="{PAPER}"/>',
        "open": f'<rect width="6" height="6" fill="{PAPER}"/>',
    }[one.pattern]
    return (
        f'<pattern id="{_name(one)}" width="6" height="6" '
        f'patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="{colour}"/>{inner}'
        "</pattern>"
    )


def _name(one):
    # The same name always means the same pattern, so that several figures may share a page.
    return f"hs-fill-{one.need}-{one.pattern or 'plain'}"


def _fill(one):
    return f"url(#{_name(one)})"


def _bar(month, low, value, scale, fill):
    if value <= 0:
        return ""
    x, y = LEFT + (month + 0.15) * STEP, _up(low + value, scale)
    return (
        f'<rect class="hs-bar" x="{x:.1f}" y="{y:.1f}" width="{0.7 * STEP:.1f}" '
        f'height="{value * scale:.2f}" fill="{fill}" stroke="{INK}" stroke-width="0.8"/>'
    )


def _line(one, scale):
    points = [
        (LEFT + (month + 0.5) * STEP, _up(value, scale)) for month, value in enumerate(one.values)
    ]
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dots = "".join(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{PAPER}" stroke="{INK}" '
        'stroke-width="1.6"/>'
        for x, y in points
    )
    return f'<polyline points="{path}" fill="none" stroke="{INK}" stroke-width="2"/>{dots}'


def _key(bars, line):
    drawn, x, size = [], float(LEFT), f'font-size="{KEY_TYPE_PX}"'
    for one in bars:
        drawn.append(
            f'<rect x="{x:.1f}" y="7" width="16" height="12" fill="{_fill(one)}" stroke="{INK}"/>'
            f'<text x="{x + 21:.1f}" y="18" {size}>{svg_text(one.label)}</text>'
        )
        x += 36 + 7.8 * len(one.label)
    if line:
        drawn.append(
            f'<path d="M{x:.1f} 13h22" stroke="{INK}" stroke-width="2"/><circle cx="{x + 11:.1f}" '
            f'cy="13" r="3.5" fill="{PAPER}" stroke="{INK}" stroke-width="1.6"/>'
            f'<text x="{x + 28:.1f}" y="18" {size}>{svg_text(line.label)}</text>'
        )
    return drawn


def _description(title, unit, series):
    said = []
    for one in series:
        low, high = int(np.argmin(one.values)), int(np.argmax(one.values))
        said.append(
            f"{one.label} {digits(float(one.values[low]))} ({MONTHS[low]}) to "
            f"{digits(float(one.values[high]))} ({MONTHS[high]})"
        )
    return f"{title}, {unit}: {'; '.join(said)}."
