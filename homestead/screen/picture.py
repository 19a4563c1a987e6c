"""The visual language of all figures: colors, type, canvas, and a picture with its description.

No global plotting state: every figure is an object of its own. A need is told by color, marker
and line, so that the drawing reads in gray and for color-blind eyes. Type is at least 10 pt when
a figure stands 358 px wide, as on a phone.
"""

import base64
import io
import re
import textwrap
import zlib
from dataclasses import dataclass

import matplotlib
import numpy as np
import pandas as pd
from markupsafe import Markup
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from homestead import units as measures
from homestead.screen.escaping import attribute, html_text, no_formulas_svg
from homestead.screen.readable import csv_link, table_html
from homestead.vocabulary import MONTHS

PAPER, INK, FAINT, RULE = "#fdfaf3", "#2b2a26", "#6b675d", "#d9d2c3"
# Lightness falls from power to water, so that gray keeps them apart.
COLOR = {
    "power": "#e2b736",
    "food": "#439d78",
    "warmth": "#b64320",
    "water": "#1d4e6b",
    "homestead": INK,
    "none": FAINT,
}
MARKER = {"power": "^", "food": "D", "warmth": "s", "water": "o", "homestead": "P", "none": "X"}
HATCH = {"power": "", "food": "///", "warmth": "xxx", "water": "..."}
WIDTH_IN, HEIGHT_IN, TALL_IN = 4.6, 3.5, 4.7
TYPE_PT = 13.0  # 10 pt at 358 px: 13 * 358 / 96 / 4.6 = 10.5
STYLE = {
    "font.family": "DejaVu Sans",
    "font.size": TYPE_PT,
    "axes.labelsize": TYPE_PT,
    "xtick.labelsize": TYPE_PT,
    "ytick.labelsize": TYPE_PT,
    "legend.fontsize": TYPE_PT,
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.facecolor": PAPER,
    "figure.facecolor": PAPER,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "grid.color": RULE,
    "grid.linewidth": 0.8,
    "hatch.linewidth": 0.7,
    "hatch.color": PAPER,
    "legend.frameon": False,
    "lines.linewidth": 2.0,
    "svg.fonttype": "none",
    "svg.hashsalt": "homestead",
    "text.parse_math": False,  # a name with dollar signs is a name
}
X_MONTHS = np.arange(12)
PNG_DPI = 200
# Colors that follow the page's light or dark; Verdana is as wide as the type it was laid out with.
FOLLOWING = {
    PAPER: "var(--paper)", INK: "var(--ink)", FAINT: "var(--faint)", RULE: "var(--rule)",
    COLOR["water"]: "var(--water)", COLOR["warmth"]: "var(--warmth)",
    "'DejaVu Sans'": "'DejaVu Sans', Verdana, sans-serif",
}  # fmt: skip


@dataclass(frozen=True)
class Picture:
    """A figure with all that a reader who cannot see it needs."""

    figure: Figure
    title: str  # what it shows, in a few words
    alt: str  # one sentence: what is plotted, its range and the finding
    table: pd.DataFrame  # the numbers in it, with units in the headers

    def _saved(self, kind, **how):
        held = io.BytesIO()
        with matplotlib.rc_context(STYLE):
            self.figure.savefig(held, format=kind, **how)
        return held.getvalue()

    def svg(self):
        """Drawing as SVG bytes with real text, the same for the same numbers."""
        held, dpi = io.BytesIO(), self.figure.dpi
        about = {"Date": None, "Creator": None, "Format": None, "Type": None}
        with matplotlib.rc_context(STYLE):
            FigureCanvasSVG(self.figure).print_svg(held, metadata=about)
        self.figure.dpi = dpi
        return held.getvalue()

    def drawn(self):
        """Drawing as an SVG element of a page, whose colors it takes; Markup."""
        text = self.svg().decode("utf-8")
        text = text[text.index("<svg") :]
        text = re.sub(r"<style.*?</style>|<!--.*?-->", "", text, flags=re.DOTALL)
        used, own = set(re.findall(r"#([\w-]+)", text)), f"{zlib.crc32(text.encode()):x}"
        text = re.sub(r' id="([\w-]+)"', lambda m: m[0] if m[1] in used else "", text)
        # Alike parts of two drawings have one name in both: each page needs it once.
        text = re.sub(r'( id="|href="#|\(#)([\w-]+)', rf"\1\2-{own}", text)
        for old, new in FOLLOWING.items():
            text = re.sub(rf"{old}(?![^<>]*</text>)", new, text)
        view = re.search(r'viewBox="[^"]+"', text)[0]
        inside = no_formulas_svg(text[text.index(">") + 1 :])
        words = attribute(self.alt)
        return Markup(f'<svg class="chart" {view} role="img" aria-label="{words}">{inside}')

    def png(self):
        """Drawing as PNG bytes."""
        return self._saved("png", dpi=PNG_DPI, metadata={"Software": None})

    def _repr_mimebundle_(self, include=None, exclude=None):
        image = base64.b64encode(self.png()).decode("ascii")
        width = int(WIDTH_IN * 100)
        return (
            {"image/png": image, "text/plain": f"{self.title}. {self.alt}"},
            {"image/png": {"alt": self.alt, "width": width}},
        )

    def html(self):
        """Return a figure element with its description and, folded, its numbers."""
        title = html_text(self.title)
        return (
            f"<figure><figcaption>{title}</figcaption>{self.drawn()}"
            "<details><summary>Numbers in this figure</summary>"
            f'<div class="wide" role="region" aria-label="Numbers: {title}" tabindex="0">'
            f"{table_html(self.table, self.title)}</div>"
            f"<p>{csv_link(self.table, self.title)}</p></details></figure>"
        )


def canvas(panels=1, tall=False, ratios=None):
    """Figure and its axes, one below the other, with a faint grid."""
    figure = Figure(figsize=(WIDTH_IN, TALL_IN if tall else HEIGHT_IN), layout="constrained")
    figure.get_layout_engine().set(w_pad=0.15, h_pad=0.1)
    axes = figure.subplots(panels, 1, sharex=panels > 1, height_ratios=ratios)
    for axis in np.atleast_1d(axes):
        axis.set_axisbelow(True)
        axis.grid(axis="y")
    return figure, axes


def month_axis(axis):
    """Label an axis with the twelve months, each by name."""
    axis.set_xticks(X_MONTHS, MONTHS, rotation=90)
    axis.set_xlim(-0.7, 11.7)


def key(figure, handles, columns=2, line=1.6):
    """Put the key above the axes, out of the way of what is drawn."""
    figure.legend(
        handles=handles,
        loc="outside upper left",
        ncols=columns,
        handlelength=line,
        columnspacing=1.0,
        borderaxespad=0.2,
        handletextpad=0.5,
    )


def label_ends(axis, lines, gap_frac=0.11):
    """Write each line's name where it ends, at the right, none over another.

    The limits of the axis must be set before; `gap_frac` is the least distance of two names, as a
    share of its height.
    """
    low, high = axis.get_ylim()
    gap = gap_frac * (high - low)
    ends = sorted((float(np.asarray(line.get_ydata())[-1]), n) for n, line in enumerate(lines))
    at = -np.inf
    for height, n in ends:
        line, at = lines[n], max(height, at + gap)
        axis.annotate(
            line.get_label(), (float(np.asarray(line.get_xdata())[-1]), at), xytext=(6, 0),
            textcoords="offset points", ha="left", va="center", color=line.get_color(),
            annotation_clip=False,
        )  # fmt: skip


def span(values):
    """Lowest and highest of some values, as text."""
    low, high = (measures.digits(float(end)) for end in (np.min(values), np.max(values)))
    return low if low == high else f"{low} to {high}"


def drawn_words(hours):
    """Which years a run of days is from, and, where they are drawn, that nobody measured it."""
    if not hours.synthetic:
        return "of all weather years", ""
    return (
        "of all drawn weather years",
        "; these days are made up from real ones: they could come, but haven't yet",
    )


def styled(draw):
    """Run a drawing function within our style, whatever the caller's settings are."""

    def drawn(*args, **kwargs):
        with matplotlib.rc_context(STYLE):
            picture = draw(*args, **kwargs)
            # Laid out once, so that saving twice gives the same bytes.
            picture.figure.get_layout_engine().execute(picture.figure)
            picture.figure.set_layout_engine("none")
        return picture

    drawn.__doc__, drawn.__name__, drawn.__wrapped__ = draw.__doc__, draw.__name__, draw
    return drawn


def nothing(title, words, table):
    """Picture that says why there is nothing to draw, in one sentence."""
    figure, axis = canvas()
    axis.set_axis_off()
    axis.text(0.5, 0.5, textwrap.fill(words, 30), ha="center", va="center")
    return Picture(figure, title, words, table)
