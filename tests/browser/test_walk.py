"""The whole way: a new plan, its notebooks, a change, the shared page, paper.

The screenshots are taken where HOMESTEAD_SHOTS names a folder for them, to be looked at.
"""

import os
import re
import subprocess
from pathlib import Path

import pytest
from served import CHROMIUM, ROOT, command, environment, go_to, run_all, watched

from homestead.outlook import run
from homestead.plan import open_plan

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer")

STEPS = sorted(path.name for path in (ROOT / "notebooks").glob("*.ipynb"))


@pytest.fixture(scope="module")
def shots():
    named = os.environ.get("HOMESTEAD_SHOTS")
    if named:
        Path(named).mkdir(parents=True, exist_ok=True)
    return Path(named) if named else None


SCROLL = """down => {
  const box = document.querySelector('.jp-Notebook .jp-WindowedPanel-outer');
  box.scrollTop = down;
  return box.scrollTop < down;
}"""


# What an eye sees of a notebook: no shut fold, no text clipped for a screen reader, no code.
SEEN = r"""() => {
  const book = document.querySelector('.jp-Notebook');
  const box = book.querySelector('.jp-WindowedPanel-outer');
  const isSeen = one => {
    for (let up = one; up !== book; up = up.parentElement) {
      const style = getComputedStyle(up);
      if (style.display === 'none' || style.visibility === 'hidden') return false;
      if (style.clipPath === 'inset(50%)' || /jp-\w+Prompt/.test(up.className)) return false;
    }
    if (one.closest('details:not([open])') && !one.closest('summary')) return false;
    const size = one.getBoundingClientRect();
    return size.width > 2 && size.height > 2;
  };
  let words = 0;
  const texts = document.createTreeWalker(book, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const text = texts.currentNode, parent = text.parentElement;
    if (parent.closest('style, script, .cm-editor') || !isSeen(parent)) continue;
    const shown = parent.closest('button') ? text.data.split('\n')[0] : text.data;
    words += shown.split(/\s+/).filter(one => /\w/.test(one)).length;
  }
  const figures = [...book.querySelectorAll('.jp-OutputArea-output :is(img, svg)')]
    .filter(one => isSeen(one) && one.getBoundingClientRect().width > 200).length;
  return {words, figures, high_px: box.scrollHeight};
}"""
MOST_WORDS = 600
MOST_FIGURES = 3
MOST_SCREENS = 40
SCREEN = {"width": 1366, "height": 768}
screens = {}


def whole_notebook(page, stem):
    """Screens of a notebook from its top to its end: it scrolls in a box of its own."""
    for number in range(40):
        is_end = page.evaluate(SCROLL, number * 850)
        page.wait_for_timeout(250)
        page.screenshot(path=f"{stem}-{number:02d}.png")
        if is_end:
            return
    raise AssertionError("the notebook does not end")


# Each day the plan of `tests/hostile.py` opens all of them, and nbval runs the demo in a kernel.
@pytest.mark.nightly
@pytest.mark.parametrize("name", STEPS)
def test_every_notebook_opens_and_runs(name, page, server, shots):
    page.set_viewport_size(SCREEN)
    go_to(page, server, name)
    run_all(page)
    page.get_by_text(re.compile(r"\d+ cells? hidden")).wait_for(timeout=60_000)
    seen = page.evaluate(SEEN)
    assert 150 < seen["words"] <= MOST_WORDS and 1 <= seen["figures"] <= MOST_FIGURES, seen
    screens[name] = seen["high_px"] / SCREEN["height"]
    if shots:
        whole_notebook(page, shots / Path(name).stem)
    text = page.locator(".jp-Notebook").inner_text()
    assert "Traceback" not in text and "Error displaying widget" not in text
    assert not page.problems


@pytest.mark.nightly
def test_all_notebooks_together_are_short():
    if set(screens) != set(STEPS):
        pytest.skip("not all notebooks were opened in this run")
    assert sum(screens.values()) < MOST_SCREENS, screens


def test_from_a_change_to_the_shared_page(page, server, home, browser, shots):
    go_to(page, server, "08_what_to_change_next.ipynb")
    run_all(page)
    before = (home / "plan.toml").read_text(encoding="utf-8")
    form = page.locator(".hs-form:not(.hs-strip)").first
    costs = form.get_by_label("Cost", exact=False).all()
    cost = next(field for field in costs if field.input_value())  # of an idea that is there
    cost.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("$1,999")
    page.keyboard.press("Enter")
    page.locator("[role=status]", has_text="Saved").wait_for(timeout=30_000)
    after = (home / "plan.toml").read_text(encoding="utf-8")
    assert "$1,999" in after and "$1,999" not in before

    said = subprocess.run(
        command("share", home, "--years", 2, "--pdf", "--leave-out", "location"),
        env=environment(),
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    ).stdout
    p10 = run(open_plan(home), years_n=2).homestead.p10
    assert f"plan on {p10} days." in said
    assert (home / "homestead.pdf").read_bytes()[:5] == b"%PDF-"

    context = browser.new_context(offline=True, viewport={"width": 390, "height": 844})
    shared = watched(context.new_page())
    asked = []
    shared.on("request", lambda one: asked.append(one.url))
    shared.goto((home / "homestead.html").as_uri())
    if shots:
        shared.screenshot(path=shots / "shared-390.png", full_page=True)
    text = shared.locator("main").inner_text()
    assert f"Plan on {p10} days" in " ".join(text.split())
    assert "$1,999" in text and "Greensboro" not in text
    assert len(asked) == 1 and not shared.problems
    context.close()
