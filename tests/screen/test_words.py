"""Phrases that no neighbor would say stay out of what the family reads.

Tables and what stands behind a mark or a fold keep the full source and its status.
"""

import re

import nbformat
import pytest

from homestead import reference
from homestead.outlook import run
from homestead.page.render import shared_page
from homestead.plan import demo_path, open_plan

BANNED = (
    *("from memory", "as entered", "mean day", "mean year", "starts reach", "hangs on"),
    *(" told ", "asks for", "grid former", "autumn", "neighbour", "colour", "labelled"),
    *("pulls down the next", "is as good as any number", "worst start of all"),
)
FOLDED = re.compile(
    r"<details.*?</details>|<table.*?</table>|<style.*?</style>|<script.*?</script>|<[^>]+>",
    re.DOTALL,
)
NOTEBOOKS = sorted(reference.shipped("notebooks").glob("*.ipynb"))


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


def test_a_banned_phrase_would_be_seen():
    assert found_in("<p>5 gal from memory</p>") and not found_in(
        "<td>x</td><table>as entered</table>"
    )
