"""A notebook that was saved and exported still shows the answer and what was entered."""

import re

import pytest
from served import CHROMIUM, NOT_BUSY, go_to, run_all

from homestead.outlook import run
from homestead.plan import open_plan

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer")


def test_a_changed_notebook_is_exported_with_its_answer_figures_and_values(
    page, server, home, browser, tmp_path
):
    from nbconvert import HTMLExporter

    go_to(page, server, "04_water.ipynb")
    run_all(page)
    yields = page.get_by_label(re.compile("^Tested yield")).first
    yields.fill("4.4 gal/min")
    yields.press("Enter")
    page.locator(".hs-strip [role=status]", has_text=re.compile(r"Saved \d\d:\d\d")).wait_for()
    page.wait_for_function(NOT_BUSY, timeout=120_000)
    path = home / "notebooks" / "04_water.ipynb"
    page.locator(".lm-MenuBar-itemLabel", has_text=re.compile("^File$")).click()
    page.locator('.lm-Menu-item[data-command="docmanager:save"]').click()
    for _ in range(60):
        if "4.4 gal/min" in path.read_text(encoding="utf-8"):
            break
        page.wait_for_timeout(500)
    made = tmp_path / "04_water.html"
    made.write_text(HTMLExporter(exclude_input=True).from_filename(str(path))[0], encoding="utf-8")

    context = browser.new_context(offline=True, viewport={"width": 1000, "height": 900})
    shown = context.new_page()
    shown.goto(made.as_uri(), wait_until="domcontentloaded")
    days = run(open_plan(home)).homestead.p10
    strip, form = shown.locator(".hs-static").all()[:2]
    assert re.search(rf"\b{days}\s+days as usual", strip.inner_text())
    form.locator("summary").click()
    assert "4.4 gal/min" in form.inner_text()
    text = shown.locator("body").inner_text()
    for gone in ("VBox(", "HTML(value", "Error displaying", "Working this out", "Traceback"):
        assert gone not in text
    drawn = shown.locator("img, svg").all()
    assert any(one.is_visible() and one.bounding_box()["width"] > 300 for one in drawn)
    context.close()
