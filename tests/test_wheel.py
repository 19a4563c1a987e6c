"""The built package holds what it needs, and runs from elsewhere than the checkout."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT],
        check=True,
        capture_output=True,
    )
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as file:
        file.extractall(folder / "unpacked")
    return folder / "unpacked"


def test_the_wheel_holds_data_notebooks_and_page(unpacked):
    for part in (
        "homestead/_shipped/data/sources.toml",
        "homestead/_shipped/data/demo/plan.toml",
        "homestead/_shipped/data/reference/fuels.csv",
        "homestead/_shipped/notebooks/07_days_of_independence.ipynb",
        "homestead/page/page.html.j2",
        "homestead/page/page.css",
    ):
        assert (unpacked / part).is_file(), part


def test_the_wheel_runs_by_itself(unpacked, tmp_path):
    script = (
        "import homestead, pathlib;"
        "from homestead.plan import open_plan, demo_path;"
        "from homestead.formulas.warmth.fuels import heat_wh_per_unit;"
        "print(pathlib.Path(homestead.__file__).parent, demo_path(), open_plan().name);"
        "print(heat_wh_per_unit('propane') > 0)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(unpacked), "HOMESTEAD_PLAN": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    where, sound = ran.stdout.splitlines()
    assert where.startswith(str(unpacked)) and str(unpacked / "homestead" / "_shipped") in where
    assert where.endswith("Larkspur Hollow") and sound == "True"
