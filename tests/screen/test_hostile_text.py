"""What a plan says is shown and never acted on: every text, every table, figure and page."""

import copy
import html.parser
import re

import mistune
import pytest

from homestead.outlook import run
from homestead.page import render
from homestead.plan import PlanError, demo_path, open_plan, with_changes
from homestead.screen import escaping, nextsteps, notes, readable
from homestead.screen.escaping import Marked, html_text, markdown
from tests import hostile
from tests import pictures as all_drawn

# What our own screens are made of; anything else came out of a plan's text.
OURS = set(
    "a address article aside b body br button caption code dd details div dl dt em figcaption "
    "figure footer h1 h2 h3 h4 head header html i img li link main meta nav ol p path pre section "
    "small span strong style sub summary sup svg table tbody td th thead title tr ul g circle rect "
    "line polyline polygon text tspan defs use marker input label clippath pattern "
    "image".split()
)


class Walk(html.parser.HTMLParser):
    """Tags and attributes of some HTML, and its text by element."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.tags, self.attributes, self.texts = set(), [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.tags.add(tag)
        self.attributes += [(tag, name, value or "") for name, value in attributes]

    def handle_data(self, data):
        self.texts.append(data)


def is_inert(text, formulas=True):
    """Nothing in this HTML runs, fetches, or (where a notebook shows it) is set as a formula."""
    walk = Walk(text)
    assert walk.tags <= OURS, walk.tags - OURS
    for tag, name, value in walk.attributes:
        assert not name.startswith("on"), (tag, name, value)
        assert not value.strip().lower().startswith("javascript:"), (tag, name, value)
        if name == "src":
            assert value.startswith("data:image/"), (tag, value)
        if name in ("href", "xlink:href"):
            fine = ("#", "data:text/csv", "data:image/png")
            assert value.startswith(fine), (tag, value)
    for one in walk.texts if formulas else ():
        assert one.count("$") < 2 and "\\(" not in one and "\\begin" not in one, one
    return walk


@pytest.fixture(scope="module")
def plan():
    return with_changes(hostile.hostile_data(), folder=demo_path().parent)


@pytest.fixture(scope="module")
def outlook(plan):
    return run(plan, years_n=1)


@pytest.mark.parametrize("text", hostile.TEXTS)
def test_one_text_in_html_is_itself(text):
    walk = is_inert(f"<p>{html_text(text)}</p>")
    assert "".join(walk.texts) == text


@pytest.mark.parametrize("text", hostile.TEXTS)
def test_one_text_in_markdown_is_itself(text):
    walk = is_inert(mistune.create_markdown(escape=False, plugins=["url", "table"])(markdown(text)))
    assert walk.tags <= {"p", "span"}
    assert "".join(walk.texts).strip() == text


@pytest.mark.parametrize("start", ["- a", "1. a", "# a", "> a", "    a", "+ a", "=== a", "--- a"])
def test_the_start_of_a_line_is_no_mark_either(start):
    walk = Walk(mistune.html(markdown(start)))
    assert walk.tags <= {"p"}
    assert "".join(walk.texts).strip() == start.strip()


def test_only_what_is_marked_is_taken_as_markdown():
    assert notes.Prose("**a**").markdown == r"\*\*a\*\*"
    assert notes.Prose(Marked("**a**")).markdown == "**a**"


def test_every_text_of_the_schema_is_refused_or_is_one_of_these():
    """A text entry either has its own list of words or is shown by the tests below."""
    raw = open_plan(demo_path()).raw
    free = set()
    for key, is_list, entry, kind in hostile.text_entries():
        if entry == "name" and is_list:
            continue  # those are in `hostile_data`
        data = copy.deepcopy(raw)
        part = data.setdefault(key, [{}] if is_list else {})
        target = part[0] if is_list else part
        target[entry] = [hostile.TEXTS[0]] if kind == "names" else hostile.TEXTS[0]
        try:
            with_changes(data)
        except PlanError as error:
            assert escaping.visible(str(error)) == str(error) or "\n" in str(error)
        else:
            free.add((key, entry))
    # The name of a weather file; it has to be there to be read.
    assert free == {("site", "weather")}


@pytest.mark.parametrize("letter", ["\x1b", "\x00", "\n", "\u202e", "\u2066", "\u200f", "\u2028"])
def test_control_and_turning_characters_are_refused(letter):
    raw = open_plan(demo_path()).raw
    with pytest.raises(PlanError, match="one line of plain text") as caught:
        with_changes(raw | {"name": f"a{letter}b"})
    assert letter not in str(caught.value).replace("\n", "") or letter == "\n"


def test_the_page_shows_every_name_and_runs_none(plan, outlook):
    found = nextsteps.study(plan, years_n=1)
    text = render.shared_page(outlook, found=found)
    walk = is_inert(text, formulas=False)
    shown = "".join(walk.texts)
    assert plan.name in shown
    for one in (*plan.fuels, *plan.changes):
        assert one.name in shown


def test_figures_take_dollars_and_formulas_as_letters(outlook, plan):
    from homestead.screen import changes_figures

    found = nextsteps.study(plan, years_n=1)
    drawn = [draw(outlook) for draw in all_drawn.PICTURES]
    drawn.append(changes_figures.days_gained(found.steps))
    for picture in drawn:
        assert picture.svg()
        is_inert(picture.html())
        for text in picture.figure.findobj(lambda one: hasattr(one, "get_parse_math")):
            assert not (text.get_text() and text.get_parse_math()), text


def test_cells_that_a_spreadsheet_would_run_are_text(outlook, plan):
    import pandas as pd

    table = pd.DataFrame({"=1+1": ["=2+2", "@x", "+1", "-1", "\t=3"]}, index=["=a"] * 5)
    for line in readable.csv_text(table).splitlines():
        assert not re.search(r'(^|,)"?[\t ]*[=+@-]', line), line
