"""Before any test: compiled code that is older than its sources is thrown away.

numba's cache looks only at the file of a function, not at the files of what it calls.
"""

from pathlib import Path

# Collected for doctests, several files of this one name would be taken for each other.
collect_ignore_glob = ["*conftest.py"]

KERNEL = Path(__file__).resolve().parents[1] / "homestead" / "outlook"


def _forget_stale_code():
    sources = [*KERNEL.glob("kernel/*.py"), KERNEL / "terms.py"]
    newest = max(source.stat().st_mtime for source in sources)
    compiled = [*KERNEL.glob("kernel/__pycache__/*.nb?")]
    if any(one.stat().st_mtime < newest for one in compiled):
        for one in compiled:
            one.unlink(missing_ok=True)


_forget_stale_code()
