"""axe-core in a page: fetched once by npm into a scratch folder, never part of the package."""

import shutil
import subprocess

NPM = shutil.which("npm")
WANTED = "axe-core@4"


def script(folder):
    """Text of axe-core, installed into a folder."""
    done = subprocess.run(
        [NPM, "install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix", folder, WANTED],
        capture_output=True, text=True, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    return (folder / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


def violations(page, text, inside="html"):
    """What axe finds: (impact, rule, first places), and how many rules passed."""
    page.evaluate(text)
    found = page.evaluate("inside => axe.run(inside, {resultTypes: ['violations']})", inside)
    told = [
        (one["impact"], one["id"], [node["html"][:200] for node in one["nodes"]][:3])
        for one in found["violations"]
    ]
    return told, len(found["passes"])
