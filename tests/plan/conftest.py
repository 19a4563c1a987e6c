"""What the tests of the plan's file share."""

import shutil
from pathlib import Path

import pytest

from homestead.plan import demo_path


@pytest.fixture
def path(tmp_path):
    return Path(shutil.copy(demo_path(), tmp_path / "plan.toml"))
