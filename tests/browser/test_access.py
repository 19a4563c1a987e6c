"""The shared page and the forms as everybody can use them: axe-core, offline, keyboard, paper."""

import re
import shutil
import subprocess

import axe
import pytest
from served import CHROMIUM, ROOT, cells_n, go_to, run_all, watched

from homestead.page import pdf
from homestead.page.papers import write_papers
from homestead.page.render import write_page
from homestead.plan import PlanError, open_plan, with_changes
from homestead.plan.file import demo_path
from homestead.screen import kept

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer")
needs_npm = pytest.mark.skipif(axe.NPM is None, reason="no npm on this computer")
# Not grave by axe's own scale, but asked of every page here.
# Each notebook at night, by day the one with the most kinds of fields.
SOME = [
    path.name if path.stem == "02_energy" else pytest.param(path.name, marks=pytest.mark.nightly)
    for path in sorted((ROOT / "notebooks").glob("*.ipynb"))
]
ALWAYS = ("heading-order", "image-alt", "color-contrast", "empty-heading", "region")
FEWEST_PASSES = 15  # a page that was not really looked at passes few rules


@pytest.fixture(scope="module")
def axe_script(tmp_path_factory):
    return axe.script(tmp_path_factory.mktemp("axe"))


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    path = tmp_path_factory.mktemp("shared") / "homestead.html"
    return write_page(outlook_of_demo(), path)


def outlook_of_demo():
    """Of few weather years: the page looks the same on thirty."""
    demo = open_plan(demo_path())
    return kept.outlook_of(with_changes(demo.raw, {"site.years": 2}, folder=demo.folder))


def grave(told):
    return [one for one in told if one[0] in ("serious", "critical") or one[1] in ALWAYS]


@needs_npm
@pytest.mark.parametrize(
    ("width", "light"),
    [
        (390, "light"),
        (1366, "dark"),
        pytest.param(683, "light", marks=pytest.mark.nightly),
        pytest.param(390, "dark", marks=pytest.mark.nightly),
        pytest.param(683, "dark", marks=pytest.mark.nightly),
        pytest.param(1366, "light", marks=pytest.mark.nightly),
    ],
)
def test_axe_finds_nothing_grave_on_the_shared_page(browser, shared, axe_script, width, light):
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=light)
    page.goto(shared.as_uri())
    for is_open in (False, True):
        if is_open:
            page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        told, passes_n = axe.violations(page, axe_script)
        assert grave(told) == []
        assert passes_n >= FEWEST_PASSES
    paper = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert (sum(map(int, re.findall(r"\d+", paper)[:3])) < 200) == (light == "dark")
    page.close()


@needs_npm
@pytest.mark.parametrize("light", ["light", "dark"])
def test_axe_finds_nothing_grave_on_the_papers(browser, shared, axe_script, light):
    for paper in write_papers(outlook_of_demo(), shared):
        page = browser.new_page(viewport={"width": 1000, "height": 900}, color_scheme=light)
        page.goto(paper.as_uri())
        told, passes_n = axe.violations(page, axe_script)
        assert grave(told) == [] and passes_n >= FEWEST_PASSES
        page.close()


@needs_npm
def test_axe_would_find_what_it_looks_for(browser, axe_script, tmp_path):
    bad = tmp_path / "bad.html"
    bad.write_text(
        "<!DOCTYPE html><html lang=en><title>x</title><main><h1>x</h1><h4>x</h4>"
        "<img src='data:,'><p style='color:#ccc;background:#fff'>Pale words</p></main>",
        encoding="utf-8",
    )
    page = browser.new_page()
    page.goto(bad.as_uri())
    found = {one[1] for one in axe.violations(page, axe_script)[0]}
    assert {"image-alt", "color-contrast", "heading-order"} <= found
    page.close()


def test_the_page_needs_no_network_and_says_nothing_in_the_console(browser, shared):
    context = browser.new_context(offline=True, viewport={"width": 390, "height": 844})
    page = watched(context.new_page())
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(shared.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    page.wait_for_timeout(300)
    assert [one for one in asked if not one.startswith("data:")] == [shared.as_uri()]
    assert page.problems == []
    broken = "() => [...document.images].filter(one => !one.complete || !one.naturalWidth).length"
    assert page.evaluate(broken) == 0
    # Nothing is wider than a phone, but for tables, which scroll in their own place.
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    context.close()


def test_a_word_tells_its_meaning_at_a_tap_and_by_keyboard(browser, shared):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.goto(shared.as_uri())
    word = page.locator(".word").first
    meaning = page.locator(f"#{word.get_attribute('popovertarget')}")
    assert not meaning.is_visible()
    word.tap()
    assert meaning.is_visible()
    page.keyboard.press("Escape")
    assert not meaning.is_visible()
    word.focus()
    page.keyboard.press("Enter")
    assert meaning.is_visible()
    targets = page.evaluate(
        "[...document.querySelectorAll('.word')]"
        ".filter(one => !document.getElementById(one.getAttribute('popovertarget'))).length"
    )
    assert targets == 0
    context.close()


def test_numbers_of_a_figure_are_saved_as_a_file(browser, shared):
    page = browser.new_page()
    page.goto(shared.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    with page.expect_download() as saving:
        page.locator("figure a.csv").first.click()
    assert saving.value.suggested_filename.endswith(".csv")
    with open(saving.value.path(), encoding="utf-8-sig") as file:
        lines = file.read().splitlines()
    table = page.locator("figure table").first
    assert len(lines) == table.locator("tr").count()
    assert lines[0].count(",") + 1 >= table.locator("thead th").count()
    page.close()


def test_the_page_as_a_pdf(shared, tmp_path):
    made = pdf.print_pdf(shared, tmp_path / "page.pdf")
    content = made.read_bytes()
    assert content.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type\s*/Page\b", content)) >= 3
    assert list(tmp_path.iterdir()) == [made]
    if reader := shutil.which("pdftotext"):
        text = subprocess.run([reader, made, "-"], capture_output=True, text=True, check=True)
        assert open_plan(demo_path()).name in text.stdout


def test_without_a_browser_it_says_what_to_do(shared, tmp_path, monkeypatch):
    monkeypatch.setattr(pdf, "find_browser", lambda: None)
    with pytest.raises(PlanError, match="Save as PDF"):
        pdf.print_pdf(shared, tmp_path / "page.pdf")
    with pytest.raises(PlanError, match="no page to print"):
        pdf.print_pdf(tmp_path / "none.html", tmp_path / "page.pdf")
    assert list(tmp_path.iterdir()) == []


def open_everything(page):
    """Open each section, one member's details, one line of sureness, and what else is shut."""
    for shut in (".hs-section > button", ".hs-form > button, .hs-form > .hs-bar > button"):
        for button in page.locator(shut).all():
            if button.is_visible() and button.inner_text().startswith("▸"):
                button.click()
    for one in (".hs-act:visible", ".hs-sure:visible"):
        found = page.locator(one).filter(has_text="▸")
        if found.count():
            found.first.click()
    page.evaluate(
        "document.querySelectorAll('.jp-Notebook details').forEach(one => one.open = true)"
    )
    page.wait_for_timeout(800)


@needs_npm
@pytest.mark.parametrize("name", SOME)
def test_axe_finds_nothing_grave_in_a_notebook_in_light_and_dark(page, server, axe_script, name):
    go_to(page, server, name)
    run_all(page)
    page.locator(".hs-section > button").first.wait_for(timeout=60_000)
    open_everything(page)
    for light in ("light", "dark"):
        choose_theme(page, light)
        for where in (".hs-form:not(.hs-strip)", ".hs-strip", ".jp-RenderedHTMLCommon"):
            told, passes_n = axe.violations(page, axe_script, where)
            assert [one for one in told if one[0] in ("serious", "critical")] == [], light
            assert passes_n >= (FEWEST_PASSES if where.startswith(".hs-form") else 3)


def choose_theme(page, light):
    """Choose a theme of JupyterLab in its menu; the server keeps it in the test's folder."""
    is_light = str(light == "light").lower()
    if page.evaluate("document.body.dataset.jpThemeLight") != is_light:
        page.locator(".lm-MenuBar-itemLabel", has_text=re.compile("^Settings$")).click()
        page.locator(".lm-Menu-item", has_text=re.compile("^Theme$")).click()
        page.locator(".lm-Menu-item", has_text=f"JupyterLab {light.capitalize()}").first.click()
    page.wait_for_function(
        "wanted => document.body.dataset.jpThemeLight === wanted", arg=is_light, timeout=30_000
    )
    page.wait_for_timeout(500)


def test_a_row_is_added_and_removed_by_keyboard_alone(page, server, home):
    go_to(page, server, "01_place_and_people.ipynb")
    run_all(page)
    count = cells_n(page)
    page.get_by_role("button", name="Open: People").or_(
        page.get_by_role("button", name=re.compile("People$"))
    ).first.focus()
    page.keyboard.press("Space")
    add = page.get_by_role("button", name="Add a person")
    add.wait_for(timeout=30_000)
    add.focus()
    page.keyboard.press("Enter")
    page.get_by_label("Name, new").wait_for(timeout=30_000)
    page.wait_for_function(
        "() => document.activeElement.closest('.hs-cell') !== null", timeout=10_000
    )
    page.keyboard.type("Aunt Vi")
    page.keyboard.press("Tab")
    page.keyboard.type("70")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowDown")  # the first of the choices
    page.get_by_role("button", name="Remove Aunt Vi").wait_for(timeout=30_000)
    saved = page.locator("[role=status]", has_text=re.compile(r"Saved \d\d:\d\d"))
    saved.wait_for(timeout=30_000)
    assert open_plan(home).people[-1].name == "Aunt Vi"
    remove = page.get_by_role("button", name="Remove Aunt Vi")
    remove.focus()
    for stray in ("d", "d", "x", "Delete", "Backspace"):
        page.keyboard.press(stray)
    page.keyboard.press("Enter")  # asks only
    page.get_by_role("button", name="Really? Aunt Vi").wait_for(timeout=30_000)
    assert open_plan(home).people[-1].name == "Aunt Vi"
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Undo: removing Aunt Vi").wait_for(timeout=30_000)
    saved.wait_for(timeout=30_000)
    assert open_plan(home).people[-1].name != "Aunt Vi"
    assert cells_n(page) == count
