"""One walk through a real browser: a family opens a notebook, changes a value, comes back to it.

Needs Chromium; skipped only where there is none.
"""

import re

import pytest
import tomlkit
from served import CHROMIUM, cells_n, go_to, run_all

from homestead.outlook import run
from homestead.page import render
from homestead.plan import open_plan
from homestead.screen import kept
from homestead.units import parse
from tests import hostile

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer")


def test_a_family_changes_its_cistern_and_finds_it_again(page, server, home):
    go_to(page, server, "04_water.ipynb")
    run_all(page)
    count = cells_n(page)
    page.get_by_role("button", name="Cistern and rain").click()
    volume = page.get_by_label("Volume [gal]").first
    assert volume.input_value() == "2500 gal"

    # A wrong value: a message beside the field, the plan untouched.
    volume.fill("plenty")
    volume.press("Tab")
    alert = page.locator("[role=alert]", has_text="must be a number with its unit")
    alert.wait_for(timeout=30_000)
    assert open_plan(home).cistern.volume_m3 == pytest.approx(parse("2500 gal", "volume"))

    # A right one, by keyboard: the effect below names the new volume, the file holds it.
    volume.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("5000 gal")
    page.keyboard.press("Enter")
    page.locator("[role=status]", has_text=re.compile(r"Saved \d\d:\d\d")).wait_for(timeout=30_000)
    page.locator(".hs-strip", has_text="the change").wait_for(timeout=30_000)
    days = kept.outlook_of(open_plan(home)).homestead.p10
    assert re.match(rf"{days} days as usual", page.locator(".hs-strip").inner_text())
    assert open_plan(home).cistern.volume_m3 == pytest.approx(parse("5000 gal", "volume"))

    # Stray keys on a control that takes no text must not touch the notebook.
    page.get_by_role("checkbox", name="Well fills it").focus()
    for key in "ddabxmyrz":
        page.keyboard.press(key)
    page.keyboard.press("0")
    page.keyboard.press("0")
    assert cells_n(page) == count
    assert page.locator(".jp-Dialog").count() == 0

    # Arrow keys choose in a list instead of walking through the cells.
    use = page.get_by_label("Used", exact=True)
    use.focus()
    page.keyboard.press("ArrowUp")
    page.wait_for_function(
        "() => [...document.querySelectorAll('select')].some(one => one.value === 'first')",
        timeout=10_000,
    )
    assert cells_n(page) == count

    # Back after a reload with everything run again: the value comes from the plan file.
    go_to(page, server, "04_water.ipynb")
    run_all(page)
    page.get_by_role("button", name="Cistern and rain").click()
    assert page.get_by_label("Volume [gal]").first.input_value() == "5000 gal"
    assert "model not found" not in page.content()
    assert not [one for one in page.problems if "404" not in one], page.problems


BY_DAY = ("02_energy", "05_heating_fuel", "08_what_to_change_next")  # forms, figures, all tables


@pytest.mark.longer_at_night
def test_hostile_texts_do_nothing_in_any_notebook(page, server, home, at_night):
    """Every name of the plan tries to act; nothing runs, nothing is fetched, no formula is set.

    By day in three notebooks that show every kind of output, at night in all.
    """
    kept = (home / "plan.toml").read_text(encoding="utf-8")
    asked, dialogs = [], []

    def answered(dialog):
        if dialog.type != "beforeunload":  # the browser's own question on leaving a notebook
            dialogs.append(dialog.message)
        dialog.accept()

    page.on("request", lambda one: asked.append(one.url))
    page.on("dialog", answered)
    acting = "img[src=x], img[src$='a.png'], svg[onload], a[href^='javascript'], table script"
    data = hostile.hostile_data()
    data["site"]["years"] = 2
    (home / "plan.toml").write_text(tomlkit.dumps(data), encoding="utf-8")
    notebooks = sorted((home / "notebooks").glob("0*.ipynb"))
    assert len(notebooks) == 8
    try:
        for path in (one for one in notebooks if at_night or one.stem in BY_DAY):
            go_to(page, server, path.name)
            run_all(page)
            assert page.locator("mjx-container, .MathJax").count() == 0, path.name
            assert page.locator(acting).count() == 0, path.name
            assert "acted" not in page.title(), path.name
            said = page.locator(".jp-Notebook").inner_text()
            assert "Traceback" not in said and "Error displaying widget" not in said, path.name
        shown = render.shared_page(run(open_plan(home), years_n=1))
        page.goto("about:blank")
        page.set_content(shown)
        assert page.title().startswith(hostile.hostile(0))
        assert page.locator("img:not([src^='data:image/']), script").count() == 0
    finally:
        (home / "plan.toml").write_text(kept, encoding="utf-8")
    assert dialogs == []
    outside = [one for one in asked if not one.startswith((server, "data:", "blob:", "ws://127"))]
    assert [one for one in outside if one != "about:blank"] == []


def test_what_stands_in_names_is_shown_as_text(page, server, home):
    """Markup in a name is shown, not acted on, in headings, buttons and messages."""
    text = (home / "plan.toml").read_text(encoding="utf-8")
    name = "<img src=x onerror=document.title='acted'>"
    (home / "plan.toml").write_text(text.replace('"woodshed"', f'"{name}"'), encoding="utf-8")
    try:
        go_to(page, server, "05_heating_fuel.ipynb")
        run_all(page)
        page.get_by_role("button", name="Stoves, furnaces and their fuel").click()
        page.get_by_role("button", name=f"Remove {name}").wait_for(timeout=30_000)
        assert page.locator("img[src=x]").count() == 0
        assert "acted" not in page.title()
    finally:
        (home / "plan.toml").write_text(text, encoding="utf-8")
