"""Phrases that no neighbor would say stay out of what the family reads.

Tables and what stands behind a mark or a fold keep the full source and its status.
"""

import ast
import re
from pathlib import Path

import nbformat
import pytest

import homestead
from homestead import reference
from homestead.outlook import run
from homestead.page.render import shared_page
from homestead.plan import demo_path, open_plan
from homestead.screen import findings

BANNED = (
    *("from memory", "as entered", "mean day", "mean year", "starts reach", "hangs on"),
    *(" told ", "asks for", "grid former", "autumn", "neighbour", "colour", "labelled"),
    *("pulls down the next", "is as good as any number", "worst start of all"),
)
FOLDED = re.compile(
    r"<details.*?</details>|<table.*?</table>|<style.*?</style>|<script.*?</script>|<[^>]+>",
    re.DOTALL,
)
# Of every sentence in the code of these rooms, whether a test shows it or not. A source may say
# how it was looked up: screens leave that out (`readable.source_text`).
NEVER_SAID = (
    *(phrase for phrase in BANNED if phrase not in ("from memory", "as entered", "grid former")),
    *(" tells ", "fortnight", "burnt", "fuelled", "is used up", "the former", "stands still"),
    *("isolation begins", "not served", "worst start,", "by the shorter study", "wants its"),
    *("drawn together", "in order.", "Run All", "mean of "),
    *("the hourly model", "by the plain rule", "hides the rest", "as such parts do"),
    *("shortest tenth", "nobody can say", "a licensed fitter", "un offered", "none entered"),
    *("the hours of the weather", "starts lie in", "above nothing", "and the reverse"),
    *("by the window", "moves no days", "settled December"),
)
ROOMS = ("findings", "forms", "outlook", "plan", "questions", "screen", "trades", "weather")
FEWEST_SENTENCES = 1500
NOTEBOOKS = sorted(reference.shipped("notebooks").glob("*.ipynb"))


@pytest.fixture(scope="module")
def demo_findings():
    return run(open_plan(demo_path()), years_n=2).findings


def found_in(text):
    plain = re.sub(r"\s+", " ", FOLDED.sub(" ", text))
    return [
        plain[max(0, match.start() - 60) : match.end() + 30]
        for phrase in BANNED
        for match in re.finditer(re.escape(phrase), plain)
    ]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_speaks_plainly(path):
    said = []
    for cell in nbformat.read(path, as_version=4).cells:
        if cell.source.startswith("### Sources"):
            break
        if cell.cell_type == "markdown":
            said.append(cell.source)
        for output in cell.get("outputs", ()):
            shown = output.get("data", {})
            said.append(shown.get("text/html") or shown.get("text/markdown") or "")
            said.append(output.get("metadata", {}).get("image/png", {}).get("alt", ""))
    assert len(" ".join(said).split()) > 200
    assert found_in("\n".join(said)) == []


def test_the_shared_page_speaks_plainly():
    text = shared_page(run(open_plan(demo_path()), years_n=2))
    assert len(FOLDED.sub(" ", text).split()) > 1000
    assert found_in(text) == []


def sentences(path):
    """Texts of a module that are no docstring, an f-string as one with a gap for each value."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(one.value) for one in ast.walk(tree) if isinstance(one, ast.Expr)}
    for one in ast.walk(tree):
        if isinstance(one, ast.JoinedStr):
            silent |= {id(part) for part in ast.walk(one) if part is not one}
    for one in ast.walk(tree):
        if id(one) in silent:
            continue
        if isinstance(one, ast.JoinedStr):
            parts = (part.value if isinstance(part, ast.Constant) else "…" for part in one.values)
            yield "".join(parts)
        elif isinstance(one, ast.Constant) and isinstance(one.value, str):
            yield one.value


def test_no_sentence_of_the_code_breaks_the_list():
    package = Path(homestead.__file__).parent
    files = [one for room in ROOMS for one in sorted((package / room).rglob("*.py"))]
    files += sorted(package.glob("cli*.py"))
    said = [(path.name, text) for path in files for text in sentences(path) if " " in text]
    assert len(said) > FEWEST_SENTENCES
    wrong = [(name, phrase, text) for name, text in said for phrase in NEVER_SAID if phrase in text]
    assert wrong == []


def test_sources_on_screens_do_not_say_how_they_were_looked_up(demo_findings):
    assert any("from memory" in one.source for one in demo_findings)
    shown = findings.table(demo_findings)
    assert not shown["Source"].str.contains("from memory|no source|As entered").any()


def test_a_banned_phrase_would_be_seen():
    assert found_in("<p>5 gal from memory</p>") and not found_in(
        "<td>x</td><table>as entered</table>"
    )
