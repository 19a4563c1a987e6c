"""What is installed on this computer and whether it works, one line for each thing.

Everything is tried, not only looked for: the kernel computes, the year is simulated, files are
written. What fails says what to do about it.
"""

import importlib.metadata
import os
import shutil
import sys
import tempfile
import time
import webbrowser
from dataclasses import dataclass
from pathlib import Path

import homestead

OLDEST_PYTHON = (3, 11)
NEEDED = {"jupyterlab": 4, "ipywidgets": 8, "jupyterlab_widgets": 3}  # lowest major version
KERNEL_WAIT_S = 60
REINSTALL = "install homestead again, in an environment of its own"
PAGE_PRINTERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
BROWSERS = (*PAGE_PRINTERS, "firefox", "safari")


@dataclass(frozen=True)
class Finding:
    """One thing that was tried."""

    what: str
    is_ok: bool
    said: str  # what was found
    advice: str = ""  # what to do; empty if it works
    is_needed: bool = True  # whether the suite fails without it

    def __str__(self):
        state = "ok" if self.is_ok else "not ok" if self.is_needed else "not there"
        return f"{state:9} {self.what}: {self.said}" + (f" -> {self.advice}" if self.advice else "")


def findings():
    """Try each thing, the quick ones first.

    Yields
    ------
    Finding
    """
    yield python()
    yield Finding("homestead", True, homestead.__version__)
    for name, lowest in NEEDED.items():
        yield package(name, lowest)
    yield browser()
    yield page_printer()
    for what, folder in folders().items():
        yield writable(what, folder)
    for name in ("greensboro-nc", "sand-point-ak"):
        yield weather_file(name)
    yield kernel()
    yield simulation()


def python(version=None):
    """Whether this Python is new enough."""
    version = tuple(sys.version_info[:3]) if version is None else version
    said = ".".join(map(str, version))
    if version[:2] >= OLDEST_PYTHON:
        return Finding("Python", True, said)
    return Finding("Python", False, said, "install Python 3.11 or newer")


def package(name, lowest):
    """Whether a package of the notebooks is there, new enough."""
    try:
        version = importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return Finding(name, False, "is not installed", REINSTALL)
    major = version.partition(".")[0]
    if major.isdecimal() and int(major) >= lowest:
        return Finding(name, True, version)
    return Finding(
        name, False, f"{version} is too old", f"{REINSTALL}; {lowest} or newer is needed"
    )


def browser(which=shutil.which):
    """Whether some browser is there to show the notebooks."""
    found = next(filter(None, map(which, BROWSERS)), None)
    if found is None:
        try:
            found = getattr(webbrowser.get(), "name", "the system's own")
        except webbrowser.Error:
            return Finding(
                *("browser", False, "none was found"),
                "install one, or open the address that `homestead open --no-browser` prints",
                is_needed=False,
            )
    return Finding("browser", True, str(found))


def page_printer(which=shutil.which):
    """Whether a browser is there that can print the shared page to PDF by itself."""
    found = next(filter(None, map(which, PAGE_PRINTERS)), None)
    if found:
        return Finding("browser for PDF", True, found)
    return Finding(
        *("browser for PDF", False, "no Chromium was found on the search path"),
        "open the shared page and print it to PDF there",
        is_needed=False,
    )


def folders():
    """Folders that are written to, by what they are for."""
    import platformdirs

    return {
        "folder for results kept": Path(platformdirs.user_cache_dir("homestead", appauthor=False)),
        "folder for passing files": Path(tempfile.gettempdir()),
        "folder here": Path.cwd(),
    }


def writable(what, folder):
    """Whether a file can be written in a folder, which is made if it is not there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile("w", encoding="utf-8", dir=folder) as file:
            file.write("°")
    except OSError as error:
        return Finding(
            *(what, False, f"{folder} cannot be written ({error.strerror})"),
            "free some room, or give yourself the right to write there",
        )
    return Finding(what, True, str(folder))


def weather_file(name):
    """Whether a built-in weather file is there and whole."""
    from homestead import weather

    try:
        said = weather.read(name).site.name
    except Exception as error:  # whatever is wrong with it, it cannot be used
        return Finding(f"weather {name}", False, _short(error), REINSTALL)
    return Finding(f"weather {name}", True, said)


def kernel(wait_s=KERNEL_WAIT_S, name="python3"):
    """Whether a notebook kernel starts and computes."""
    from jupyter_client.manager import start_new_kernel

    begun = time.perf_counter()
    try:
        manager, client = start_new_kernel(startup_timeout=wait_s, kernel_name=name)
    except Exception as error:
        return Finding("kernel", False, f"does not start ({_short(error)})", REINSTALL)
    try:
        answers = []
        client.execute_interactive(
            "print(1 + 1)",
            timeout=wait_s,
            output_hook=lambda message: answers.append(message["content"].get("text", "")),
        )
        said = "".join(answers).strip()
    except Exception as error:
        return Finding("kernel", False, f"does not answer ({_short(error)})", REINSTALL)
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)
    if said != "2":
        return Finding("kernel", False, f"1 + 1 gives {said[:40]!r}", REINSTALL)
    return Finding("kernel", True, f"1 + 1 is 2, {time.perf_counter() - begun:.1f} s")


def simulation():
    """Whether a year of the demo is simulated; the first time its code is compiled."""
    from homestead.outlook import run
    from homestead.plan import demo_path, open_plan

    begun = time.perf_counter()
    try:
        outlook = run(open_plan(demo_path()), years_n=1)
    except Exception as error:
        return Finding("a year of the demo", False, _short(error), REINSTALL)
    seconds = time.perf_counter() - begun
    said = f"{outlook.homestead.least} days at worst, {seconds:.1f} s"
    return Finding("a year of the demo", True, said)


def _short(error):
    return f"{type(error).__name__}: {' '.join(str(error).split())[:120]}"


def report(out=print):
    """Try everything and say each result as it comes.

    out (function of one text)
    Gives bool: Whether all that is needed works.
    """
    out(f"homestead {homestead.__version__} on {sys.platform}, {os.name}")
    is_whole = True
    for finding in findings():
        out(str(finding))
        is_whole = is_whole and (finding.is_ok or not finding.is_needed)
    return is_whole
