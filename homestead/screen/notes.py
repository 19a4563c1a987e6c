"""Words that stand beside results in a notebook: which plan, cautions, sources, findings.

Plain text and Markdown only, so that they show without trust, print, and export. The words of
cautions and sources stand in `homestead.findings.cautions` and data/sources.toml.
"""

from homestead import reference
from homestead.findings import cautions as known
from homestead.plan import demo_path
from homestead.screen import readable
from homestead.screen.escaping import Marked, html_text, markdown, say
from homestead.simulate.inputs import read_weather
from homestead.weather import plausible


class Prose:
    """A text that shows itself as Markdown: `Marked` as it stands, all else as plain text."""

    def __init__(self, text):
        self.markdown = markdown(text)

    def __repr__(self):
        return str(self.markdown)

    def _repr_markdown_(self):
        return str(self.markdown)


class Sheet:
    """A table whose long texts wrap instead of being cut off, a long one with a fold."""

    shown_rows_n = 8

    def __init__(self, table, caption):
        self.table, self.caption = table, caption

    def __repr__(self):
        return self.caption

    def _repr_html_(self):
        shown_n = self.shown_rows_n or len(self.table)
        shown, more = self.table.iloc[:shown_n], self.table.iloc[shown_n:]
        if not len(more):
            return self._html(shown, self.caption)
        rest = self._html(more, f"{self.caption}, the rest")
        told = f"<details><summary>{readable.count_text(len(more), 'more row')}</summary>"
        return f"{self._html(shown, self.caption)}{told}{rest}</details>"

    @staticmethod
    def _html(table, caption):
        # Notebooks set table text to the right, which long sentences do not bear.
        left = 'style="text-align:left"'
        table = readable.table_html(table, caption)
        table = table.replace('<td class="long">', "<td>")
        return table.replace("<td>", f"<td {left}>").replace("<th ", f"<th {left} ")


class WholeSheet(Sheet):
    """A table that is never folded: dangers, and what stands behind a fold already."""

    shown_rows_n = None


class Numbers(WholeSheet):
    """The numbers of a figure, folded: its sentence, a table to copy, a link that saves them."""

    def __init__(self, table, caption, said=""):
        super().__init__(table, caption)
        self.said = said

    def _repr_html_(self):
        said = f"<p>{html_text(self.said)}</p>" if self.said else ""
        link = readable.csv_link(self.table, self.caption)
        table = super()._repr_html_()
        inside = f"{said}{table}<p>{link}</p>"
        return f"<details><summary>Numbers in this figure</summary>{inside}</details>"


def numbers(picture):
    """What a figure shows in a sentence, and its numbers to copy or to save as CSV."""
    return Numbers(picture.table, picture.title, picture.alt)


class Block:
    """HTML of our own, and the same as plain text."""

    def __init__(self, text, html):
        self.text, self.html = text, html

    def __repr__(self):
        return self.text

    def _repr_html_(self):
        return self.html


def title(picture):
    """The finding of a figure, in bold, to stand above it."""
    return Block(picture.title, f"<p><b>{html_text(picture.title)}</b></p>")


class Sheets:
    """Several tables below each other, each under its caption, from caption to table."""

    def __init__(self, tables):
        self.tables = dict(tables)

    def __repr__(self):
        return "\n\n".join(f"{name}\n{table.to_string()}" for name, table in self.tables.items())

    def _repr_html_(self):
        # Captions set left and apart, else one table's seems to belong to the one above.
        style = 'style="text-align:left;font-weight:bold;padding-top:1.2em"'
        shown = (
            Sheet(table, name)._repr_html_()
            if len(table)
            else f"<p><b>{html_text(name)}</b>: none in your plan.</p>"
            for name, table in self.tables.items()
        )
        return "".join(shown).replace("<caption>", f"<caption {style}>")


def listed(texts):
    """Texts as a list, one line each."""
    return Prose(Marked("\n".join(f"- {markdown(text)}" for text in texts)))


def which_plan(plan):
    """Whose plan this is, and its weather."""
    is_demo = plan.folder is not None and plan.folder == demo_path().parent.resolve()
    words = (
        "This is the demo, an invented homestead to try things on. Nothing is kept. Start your "
        "own in a terminal: `homestead new FOLDER`, then `homestead open FOLDER`."
        if is_demo
        else "Every change is saved at once."
    )
    return Prose(say("**{}.** {}", plan.name, Marked(words)))


def weather(outlook):
    """Which weather the figures rest on, and what it cannot show."""
    hours = outlook.hours
    at = read_weather(outlook.plan).site.name
    varying = ", more in some years than in others" if hours.synthetic else ""
    text = (
        f"Weather at {at}: {winters(hours)} A real winter can still be worse. "
        f"Rain: your monthly amounts{varying}."
    )
    text = " ".join([text, *doubt_words(outlook)])
    folded = "<summary>The weather file, and how the years were made</summary>"
    folded += f"<p>{html_text(hours.source)}</p>"
    return Block(text, f"<p>{html_text(text)}</p><details>{folded}</details>")


def doubt_words(outlook):
    """What about the plan's weather seldom is, in a list of one sentence; empty if nothing."""
    site = outlook.plan.site
    found = plausible.doubts(read_weather(outlook.plan), site.record_low_c, site.record_high_c)
    said = "; ".join(doubt.text for doubt in found)
    return [f"Check your weather file before you rely on these days: {said}."] if said else []


def winters(hours, brief=False):
    """How many years were measured and how many drawn, and what the drawn ones are like."""
    measured_n = hours.years_n - hours.drawn_n
    if not hours.drawn_n:
        return f"{readable.count_text(measured_n, 'year')} as measured."
    measured = f"{readable.count_text(measured_n, 'measured year')} and " if measured_n else ""
    if measured_n:
        drawn_from = "them"
    else:
        drawn_from = "one typical year" if "a typical year" in hours.source else "one measured year"
    if brief:
        return f"{measured}{readable.count_text(hours.drawn_n, 'year')} drawn from {drawn_from}."
    return (
        f"{measured}{readable.count_text(hours.drawn_n, 'possible year')} drawn from {drawn_from}, "
        "with dark and cold spells as long as in measured records."
    )


def cautions(*topics):
    """Cautions on some topics of `homestead.findings.cautions`: named, their words folded below."""
    found = [caution for topic in topics for caution in known.cautions(topic)]
    names = list(dict.fromkeys(caution.topic for caution in found))
    title = f"<strong>Take care:</strong> {html_text(', '.join(names))}"
    items = "".join(f"<li>{html_text(caution.text)}</li>" for caution in found)
    return Block(
        "\n".join(f"{caution.topic.capitalize()}: {caution.text}" for caution in found),
        f"<details><summary>{title}</summary><ul>{items}</ul></details>",
    )


def sources(*keys):
    """Works behind a notebook's figures, as a list; a text may name several, with commas."""
    return listed(reference.cite(key.strip()) for text in keys for key in text.split(","))
