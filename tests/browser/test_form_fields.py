"""What a field, a button and a tab do in JupyterLab: restore, undo, messages, states, kernels."""

import json
import re
import urllib.request

import pytest
from served import CHROMIUM, TOKEN, go_to, run_all

from homestead.plan import open_plan
from homestead.units import parse

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer")
SAVED = re.compile(r"Saved \d\d:\d\d")


def kernels_n(server):
    with urllib.request.urlopen(f"{server}/api/kernels?token={TOKEN}", timeout=10) as answer:
        return len(json.load(answer))


def typed(page, field, text):
    field.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type(text)
    page.keyboard.press("Enter")


@pytest.fixture
def water(page, server):
    go_to(page, server, "04_water.ipynb")
    run_all(page)
    return page


def test_escape_brings_back_what_stood_in_a_field(water, home):
    depth = water.get_by_label(re.compile("^Well depth")).first
    before = depth.input_value()
    depth.focus()
    water.keyboard.press("Control+a")
    water.keyboard.type("999 ft")
    assert depth.input_value() == "999 ft"
    water.keyboard.press("Escape")
    assert depth.input_value() == before
    water.keyboard.press("Tab")
    water.wait_for_timeout(1000)
    assert open_plan(home).well.depth_m == pytest.approx(parse(before, "length"))


def test_a_wrong_value_is_marked_linked_and_never_loses_the_last_good_one(water, home):
    yields = water.get_by_label(re.compile("^Tested yield")).first
    good = yields.input_value()
    typed(water, yields, "4.2 gal/min")
    water.locator("[role=status]", has_text=SAVED).wait_for(timeout=30_000)
    typed(water, yields, "plenty")
    water.wait_for_function(
        "() => document.querySelectorAll('.hs-form [aria-invalid=true]').length === 1",
        timeout=30_000,
    )
    linked = yields.get_attribute("aria-describedby")
    assert "must be a number with its unit" in water.locator(f"#{linked}").inner_text()
    assert open_plan(home).well.yield_m3s == pytest.approx(parse("4.2 gal/min", "flow"))
    water.get_by_role("button", name=re.compile("^Undo: ")).click()
    water.wait_for_function(
        "() => !document.querySelector('.hs-form [aria-invalid=true]')", timeout=30_000
    )
    again = water.get_by_label(re.compile("^Tested yield")).first
    assert again.input_value() == good
    water.get_by_role("button", name=re.compile("^Redo: ")).click()
    water.wait_for_function(
        "() => [...document.querySelectorAll('input')].some(one => one.value === '4.2 gal/min')",
        timeout=30_000,
    )
    assert open_plan(home).well.yield_m3s == pytest.approx(parse("4.2 gal/min", "flow"))
    # The range of the old value still holds this one; one that it cannot hold is said.
    assert "between 3 gal/min and 5 gal/min" in water.locator(".hs-form").last.inner_text()
    typed(water, water.get_by_label(re.compile("^Tested yield")).first, "9 gal/min")
    water.get_by_text("the old range no longer fit").wait_for(timeout=30_000)


def test_what_opens_says_whether_it_is_open_and_focus_is_seen(water):
    section = water.get_by_role("button", name=re.compile("Cistern and rain$")).first
    water.wait_for_function(
        "() => document.querySelectorAll('.hs-section > button[aria-expanded]').length > 2"
    )
    assert section.get_attribute("aria-expanded") == "false"
    section.focus()
    water.keyboard.press("Enter")
    water.wait_for_function(
        "() => document.querySelectorAll('.hs-section > button[aria-expanded=true]').length === 2"
    )
    outline = section.evaluate("one => getComputedStyle(one).outlineStyle")
    assert outline == "solid"
    unnamed = water.evaluate(
        "() => [...document.querySelectorAll('.hs-form :is(input, select, button)')]"
        ".filter(one => one.checkVisibility() && !(one.labels?.length || one.title"
        " || one.textContent.trim() || one.getAttribute('aria-label'))).length"
    )
    assert unnamed == 0


def test_a_kernel_ends_when_its_notebook_is_closed(water, server):
    running = kernels_n(server)
    assert running >= 1
    water.locator("#jp-main-dock-panel .lm-mod-current .lm-TabBar-tabCloseIcon").first.click()
    dialog = water.locator(".jp-Dialog button.jp-mod-accept")
    for _ in range(60):
        if dialog.count():
            dialog.last.click()
        if kernels_n(server) < running:
            break
        water.wait_for_timeout(500)
    assert kernels_n(server) == running - 1
