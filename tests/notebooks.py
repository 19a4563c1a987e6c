"""Run the shipped notebooks and bring them into the form in which they are kept.

``python -m tests.notebooks`` executes each from the top and writes it back without widget views,
widget state and timing, with stable cell ids and cells that cannot be deleted by a stray key.
``python -m tests.notebooks --check`` writes nothing and says which are not in that form.
"""

import argparse
import os
import sys
from pathlib import Path

import nbclient
import nbformat

from homestead.workspace import drop_views

FOLDER = Path(__file__).resolve().parent.parent / "notebooks"
KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}


def normalized(notebook):
    """The notebook (changed in place) in the form in which it is kept."""
    drop_views(notebook)
    notebook.metadata = nbformat.from_dict(
        {"kernelspec": KERNEL, "language_info": {"name": "python"}}
    )
    notebook.nbformat, notebook.nbformat_minor = 4, 5
    count = 0
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
        cell.metadata.pop("collapsed", None)
        cell.metadata["deletable"] = False
        if cell.cell_type == "code" and cell.execution_count is not None:
            count += 1
            cell.execution_count = count
            for output in cell.outputs:
                if "execution_count" in output:
                    output.execution_count = count
    return notebook


def executed(notebook, folder=FOLDER):
    """The notebook (changed in place) run from the top on the demo, as nbval would run it."""
    environment = {name: value for name, value in os.environ.items() if name != "HOMESTEAD_PLAN"}
    client = nbclient.NotebookClient(
        notebook,
        timeout=120,
        kernel_name="python3",
        resources={"metadata": {"path": str(folder)}},
        store_widget_state=False,
        record_timing=False,
    )
    client.execute(env=environment)
    return notebook


def as_kept(notebook):
    """Text of a notebook as it is kept."""
    return nbformat.writes(notebook) + "\n"


def main():
    """Run and write, or check."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--check", action="store_true", help="write nothing")
    parser.add_argument("names", nargs="*", help="file names; all without any")
    asked = parser.parse_args()
    paths = {path.name: path for path in sorted(FOLDER.glob("*.ipynb"))}
    if unknown := set(asked.names) - set(paths):
        parser.error(
            f"no such notebook: {', '.join(sorted(unknown))}; there are {', '.join(paths)}"
        )
    wrong = []
    for path in (paths[name] for name in asked.names or paths):
        before = path.read_text(encoding="utf-8")
        notebook = nbformat.reads(before, as_version=4)
        if not asked.check:
            executed(notebook)
        after = as_kept(normalized(notebook))
        if after != before:
            wrong.append(path.name)
            if not asked.check:
                path.write_text(after, encoding="utf-8", newline="\n")
    print(f"{'not as kept' if asked.check else 'written'}: {', '.join(wrong) or 'none'}")
    return 1 if asked.check and wrong else 0


if __name__ == "__main__":
    sys.exit(main())
