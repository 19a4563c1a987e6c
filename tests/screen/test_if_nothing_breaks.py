"""Days at the end of the count stand on no screen without what they hold for and what is left.

Page, papers, strip, commands and every notebook, for the three plans that come with the program.
"""

import contextlib
import html
import io
import re
from pathlib import Path

import nbformat
import pytest

from homestead import cli
from homestead.forms import live
from homestead.forms.strip import days_html, why_html
from homestead.page import papers, render
from homestead.plan import demo_path, open_plan
from homestead.screen import kept, nextsteps

NOTEBOOKS = sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb"))
BOTH_WAYS = ("if nothing breaks", "if parts break")
LONG = re.compile(r"\b365\+|\b365 or more|a year or (more|longer)")
BLOCKS = re.compile(
    r"</?(?:p|li|td|th|dd|dt|h\d|figcaption|summary|title|desc|text|div|tr)\b[^>]*>"
)


@pytest.fixture(scope="module", params=["demo", "cabin", "cold-coast"])
def plan_file(request, tmp_path_factory):
    source = demo_path().parent.parent / request.param / "plan.toml"
    folder = tmp_path_factory.mktemp(request.param)
    for one in source.parent.iterdir():
        (folder / one.name).write_bytes(one.read_bytes())
    path = folder / "plan.toml"
    text = re.sub(r"(?m)^years = \d+", "years = 2", path.read_text(encoding="utf-8"))
    path.write_text(text, encoding="utf-8")
    assert open_plan(path).site.years_n == 2
    return path


def faults(shown):
    """Whatever reads as a year or longer without saying what that holds for."""
    shown = html.unescape(shown)
    found = []
    for table in re.findall(r"<table.*?</table>", shown, re.DOTALL):
        caption = re.search(r"<caption[^>]*>(.*?)</caption>", table, re.DOTALL)
        if "365+" in table and not all(one in (caption or [""])[0] for one in BOTH_WAYS):
            found.append(table[:300])
    # Text of figures and of what is not a table, block by block; alt texts with them.
    rest = re.sub(r"<table.*?</table>", "", shown, flags=re.DOTALL)
    rest = re.sub(r'href="data:[^"]*"', "", rest)
    texts = re.findall(r'(?:alt|aria-label)="([^"]*)"', rest)
    texts += re.sub(r"<[^>]+>", "", BLOCKS.sub("\n", rest)).splitlines()
    for text in texts:
        for sentence in re.split(r"(?<=[.;]) ", text):
            if LONG.search(sentence) and not re.search("nothing br|parts break", sentence):
                found.append(sentence)
            if "365+" in sentence and not all(one in sentence for one in BOTH_WAYS):
                found.append(sentence)
    return found


def as_html(one):
    """What a reader sees of a thing that a notebook shows."""
    for name in ("html", "_repr_html_", "_repr_markdown_"):
        made = getattr(one, name, None)
        if callable(made) and (text := made()):
            return str(text)
    return getattr(getattr(one, "widget", None), "value", "") or repr(one)


def test_a_bare_figure_is_seen():
    assert faults("<table><caption>Days</caption><tr><td>365+</td></tr></table>")
    assert faults("<p>Plan on 365 or more days.</p>") and faults('<img alt="365+ days">')
    assert not faults("<p>A year or longer, if nothing breaks.</p>")


def test_page_and_papers(plan_file, tmp_path):
    plan = open_plan(plan_file)
    outlook = kept.outlook_of(plan)
    found = nextsteps.each_alone(outlook)
    page = render.write_page(outlook, tmp_path / "homestead.html", found=found)
    written = [page, *papers.write_papers(outlook, page)]
    assert len(written) >= 3
    for one in written:
        assert faults(one.read_text(encoding="utf-8")) == [], one.name
    strip = days_html(outlook, outlook.cutting_back, found.broken) + why_html(outlook)
    assert faults(strip) == []
    assert f"<strong>{found.broken.figures['p10']}</strong> if parts break" in strip


@pytest.mark.parametrize("command", [["days", "--full"], ["parts"], ["buy"], ["compare"]])
def test_commands(plan_file, command):
    paths = [str(plan_file)] * (2 if command == ["compare"] else 1)
    said = io.StringIO()
    with contextlib.redirect_stdout(said), pytest.raises(SystemExit) as ended:
        cli.main([*command[:1], *paths, *command[1:]])
    assert not ended.value.code
    parts = re.split(r"\n\s*\n", said.getvalue())
    for part, after in zip(parts, [*parts[1:], ""], strict=True):
        if "365+" in part:  # a table and its note, or a sentence; a wide one comes in two parts
            told = " ".join(f"{part} {after}".split())
            assert all(one in told for one in BOTH_WAYS), part
        part = " ".join(part.split())
        for sentence in re.split(r"(?<=[.;]) ", part):
            if LONG.search(sentence) and "365+" not in sentence:
                assert re.search("nothing br|parts br", sentence), sentence


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda one: one.stem[:2])
def test_notebooks(plan_file, notebook, monkeypatch):
    shown = []
    monkeypatch.setenv("HOMESTEAD_PLAN", str(plan_file))
    monkeypatch.setattr(live, "display", lambda *things: shown.extend(things))
    names = {}
    try:
        for cell in nbformat.read(notebook, as_version=4).cells:
            if cell.cell_type == "code":
                exec(cell.source, names)
    finally:
        live.desk().close()
    assert names["plan"].folder == plan_file.parent and len(shown) > 3
    told = [fault for one in shown for fault in faults(as_html(one))]
    assert told == []
