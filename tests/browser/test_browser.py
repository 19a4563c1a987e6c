"""One walk through a real browser: a family opens a notebook, changes a value, comes back to it.

Needs Chromium; skipped only where there is none.
"""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from homestead.plan import open_plan
from homestead.units import parse
from homestead.views import live

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = next(
    filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
)
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
TOKEN = "t" * 32
IDLE = '.jp-Notebook-ExecutionIndicator[data-status="idle"]'

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this computer")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def environment(**more):
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("JUPYTER", "HOMESTEAD"))
    }
    return {**kept, "PYTHONPATH": str(ROOT), "JUPYTER_TOKEN": TOKEN, **more}


def command(*arguments):
    return [sys.executable, "-m", "homestead", *map(str, arguments)]


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    folder = tmp_path_factory.mktemp("family") / "place"
    subprocess.run(command("new", folder), env=environment(), check=True, cwd=folder.parent)
    return folder


@pytest.fixture(scope="module")
def server(home):
    """Address of a server started by the command itself."""
    port = free_port()
    process = subprocess.Popen(
        command("open", home, "--no-browser", "--port", port),
        env=environment(),
        cwd=home.parent,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    address = f"http://127.0.0.1:{port}"
    try:
        wait_for(address, process)
        yield address
    finally:
        os.killpg(process.pid, signal.SIGINT)
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
        process.stdout.close()


def wait_for(address, process):
    until = time.monotonic() + 60
    while time.monotonic() < until:
        assert process.poll() is None, process.stdout.read()
        try:
            urllib.request.urlopen(f"{address}/api/status?token={TOKEN}", timeout=2)
            return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    raise AssertionError("the server did not answer within 60 s")


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, headless=True, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser):
    page = browser.new_page(viewport={"width": 1400, "height": 1000})
    page.problems = []
    page.on(
        "console",
        lambda said: page.problems.append(said.text) if said.type == "error" else None,
    )
    page.on("pageerror", lambda error: page.problems.append(str(error)))
    yield page
    page.close()


def go_to(page, server, name):
    page.goto(f"{server}/lab/workspaces/test/tree/notebooks/{name}?token={TOKEN}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
    # The indicator says idle before a kernel is there; running then would ask for one.
    page.wait_for_selector("#jp-main-statusbar >> text=/Python 3.*Idle/", timeout=60_000)
    page.wait_for_selector(IDLE, timeout=60_000)


def run_all(page):
    page.locator(".lm-MenuBar-itemLabel", has_text=re.compile("^Run$")).click()
    page.locator('.lm-Menu-item[data-command="runmenu:run-all"]').click()
    page.wait_for_selector(".jp-OutputArea-output .widget-vbox", timeout=60_000)
    page.wait_for_function(
        "() => ![...document.querySelectorAll('.jp-InputPrompt')]"
        ".some(one => one.textContent.includes('*'))",
        timeout=60_000,
    )
    page.wait_for_selector(IDLE, timeout=60_000)


def cells_n(page):
    return page.evaluate(
        "() => document.querySelector('.jp-Notebook-footer')"
        " && document.querySelectorAll('.jp-Notebook .jp-Cell').length"
    )


def test_a_family_changes_its_cistern_and_finds_it_again(page, server, home):
    go_to(page, server, "04_water.ipynb")
    run_all(page)
    count = cells_n(page)
    volume = page.get_by_label("Volume [gal or L]").first
    assert volume.input_value() == "2500 gal"

    # A wrong value: a message beside the field, the plan untouched.
    volume.fill("5000")
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
    effect = page.locator(".homestead-effect")
    effect.get_by_text("before the change").wait_for(timeout=30_000)
    shown = effect.inner_text()
    for label, figure in live.water(open_plan(home)).items():
        assert re.search(rf"{re.escape(label)}\s+{re.escape(str(figure))}\b", shown), shown
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
    assert page.get_by_label("Volume [gal or L]").first.input_value() == "5000 gal"
    assert "model not found" not in page.content()
    assert not [one for one in page.problems if "404" not in one], page.problems


def test_what_stands_in_names_is_shown_as_text(page, server, home):
    """Markup in a name is shown, not acted on, in headings, buttons and messages."""
    text = (home / "plan.toml").read_text(encoding="utf-8")
    name = "<img src=x onerror=document.title='acted'>"
    (home / "plan.toml").write_text(text.replace('"woodshed"', f'"{name}"'), encoding="utf-8")
    try:
        go_to(page, server, "05_heating_fuel.ipynb")
        run_all(page)
        assert page.get_by_text(f"Fuel: {name}").count() >= 1
        assert page.locator("img[src=x]").count() == 0
        assert "acted" not in page.title()
    finally:
        (home / "plan.toml").write_text(text, encoding="utf-8")
