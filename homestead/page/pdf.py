"""The shared page as a PDF, printed by a browser that is on this computer.

The page is the product and prints from any browser; this only saves the steps by hand.
"""

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from homestead.plan import PlanError

ENVIRONMENT = "HOMESTEAD_BROWSER"
BROWSERS = (
    *("chromium", "chromium-browser", "google-chrome", "google-chrome-stable"),
    *("chrome", "msedge", "microsoft-edge"),
)
# Where installers put them when they are not on the search path: variable and the rest.
INSTALLED = (
    ("PROGRAMFILES", "Google/Chrome/Application/chrome.exe"),
    ("PROGRAMFILES(X86)", "Google/Chrome/Application/chrome.exe"),
    ("LOCALAPPDATA", "Google/Chrome/Application/chrome.exe"),
    ("PROGRAMFILES(X86)", "Microsoft/Edge/Application/msedge.exe"),
    ("PROGRAMFILES", "Microsoft/Edge/Application/msedge.exe"),
)
APPLICATIONS = (
    "Chromium.app/Contents/MacOS/Chromium",
    "Google Chrome.app/Contents/MacOS/Google Chrome",
    "Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
)
LONGEST_S = 120


def find_browser():
    """Path of a browser that can print without a window, or None.

    HOMESTEAD_BROWSER is asked first, then the search path, then where installers put them.
    """
    given = os.environ.get(ENVIRONMENT)
    if given:
        return shutil.which(given)
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found:
        return found
    places = [Path(os.environ[name], rest) for name, rest in INSTALLED if name in os.environ]
    places += [Path(os.sep, "Applications", rest) for rest in APPLICATIONS]
    return next((str(place) for place in places if place.is_file()), None)


def print_pdf(html_path, pdf_path):
    """Print a page to a PDF, whole or not at all.

    html_path, pdf_path (path) : Page to print; file to write, replaced if it is there.
    Gives pathlib.Path.

    Raises PlanError if there is no page, no browser, or nothing can be written, saying what to do.
    """
    page, target = Path(html_path).resolve(), Path(pdf_path)
    if not page.is_file():
        raise PlanError(f"{page}: there is no page to print")
    if target.is_dir() or not target.resolve().parent.is_dir():
        raise PlanError(f"{target}: give the name of a file in a folder that is there")
    browser = find_browser()
    if browser is None:
        raise PlanError(
            "no browser was found that prints by itself; open the page in any browser and choose "
            f"Print > Save as PDF, or name one in {ENVIRONMENT}"
        )
    with tempfile.TemporaryDirectory(prefix="homestead-") as scratch:
        made = Path(scratch) / "page.pdf"
        _run(browser, page, made, scratch)
        unfinished = target.with_name(f".{target.name}.part")
        try:
            shutil.copyfile(made, unfinished)
            os.replace(unfinished, target)
        except OSError as error:
            unfinished.unlink(missing_ok=True)
            raise PlanError(f"{target}: cannot be written ({error.strerror})") from error
    return target


def _run(browser, page, made, scratch):
    command = [
        *(browser, "--headless", "--disable-gpu", "--no-first-run", "--no-pdf-header-footer"),
        f"--user-data-dir={Path(scratch) / 'profile'}",  # an open window of it is not disturbed
        f"--print-to-pdf={made}",
        page.as_uri(),
    ]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        # Its sandbox refuses root, as in a container; the page has no script and needs nothing.
        command.insert(1, "--no-sandbox")
    try:
        done = subprocess.run(
            command,
            capture_output=True,
            text=True,
            encoding="utf-8",
            errors="replace",
            timeout=LONGEST_S,
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise PlanError(f"{browser}: did not print the page ({error})") from error
    if done.returncode or not made.is_file() or made.read_bytes()[:5] != b"%PDF-":
        said = (done.stderr.strip().splitlines() or ["nothing"])[-1]
        raise PlanError(f"{browser}: did not print the page; it said: {said[:200]}")
