"""A family's folder, its JupyterLab and a browser: how every test in a real browser begins."""

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
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = next(
    filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
)
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
TOKEN = "t" * 32
NOT_BUSY = "() => !document.querySelector('.hs-strip [aria-busy]')"
IDLE = '.jp-Notebook-ExecutionIndicator[data-status="idle"]'


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


def new_home(parent, years_n=4):
    """Folder with a new plan, made by the command itself, with so many weather years.

    What a browser shows does not depend on their number, what a kernel works does.
    """
    folder = Path(parent) / "place"
    subprocess.run(command("new", folder), env=environment(), check=True, cwd=parent)
    plan = folder / "plan.toml"
    text = plan.read_text(encoding="utf-8")
    assert "years = 30" in text
    plan.write_text(text.replace("years = 30", f"years = {years_n}"), encoding="utf-8")
    return folder


@contextmanager
def serving(home):
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


def watched(page):
    """Page that keeps what its console complains of, in `problems`."""
    page.problems = []
    page.on(
        "console",
        lambda said: page.problems.append(said.text) if said.type == "error" else None,
    )
    page.on("pageerror", lambda error: page.problems.append(str(error)))
    return page


def go_to(page, server, name, workspace="test"):
    page.goto(f"{server}/lab/workspaces/{workspace}/tree/notebooks/{name}?token={TOKEN}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
    # The indicator says idle before a kernel is there; running then would ask for one.
    page.wait_for_selector("#jp-main-statusbar >> text=/Python 3.*Idle/", timeout=60_000)
    page.wait_for_selector(IDLE, timeout=300_000)  # it runs when it is opened


def run_all(page):
    """Wait until a notebook of ours has run, which it does when it is opened; run any other."""
    if not re.search(r"/notebooks/0\d_", page.url):
        run_by_menu(page)
    page.wait_for_selector(".jp-OutputArea-output .hs-form", timeout=90_000)
    page.wait_for_function(
        "() => ![...document.querySelectorAll('.jp-InputPrompt')]"
        ".some(one => one.textContent.includes('*'))",
        timeout=300_000,
    )
    page.wait_for_selector(IDLE, timeout=60_000)
    page.wait_for_function(NOT_BUSY, timeout=300_000)  # what takes long comes after all cells
    page.wait_for_timeout(300)


def run_by_menu(page):
    page.locator(".lm-MenuBar-itemLabel", has_text=re.compile("^Run$")).click()
    page.locator('.lm-Menu-item[data-command="runmenu:run-all"]').click()


def cells_n(page):
    return page.evaluate(
        "() => document.querySelector('.jp-Notebook-footer')"
        " && document.querySelectorAll('.jp-Notebook .jp-Cell').length"
    )
