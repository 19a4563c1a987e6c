"""Guards on the shipped notebooks, beside nbval: a stripped notebook would pass it unseen.

nbval compares the outputs; here stands what it does not look at.
"""

import ast
import json
import re

import nbformat
import pytest

from homestead import reference, workspace

NOTEBOOKS = sorted(reference.shipped("notebooks").glob("*.ipynb"))
VIEW = "application/vnd.jupyter.widget-view+json"
MOST_CELLS = 15
MOST_LINES = 12
MOST_STATEMENTS = 5
FEWEST_CHECKED = 6
COMPARED = {"text/plain", "text/html", "text/markdown"}

each = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)


def read(path):
    return nbformat.read(path, as_version=4)


def code_cells(path):
    return [cell for cell in read(path).cells if cell.cell_type == "code"]


def test_the_steps_are_there():
    names = {path.name for path in NOTEBOOKS}
    assert {
        "01_place_and_people.ipynb",
        "02_energy.ipynb",
        "04_water.ipynb",
        "05_heating_fuel.ipynb",
        "06_food.ipynb",
        "07_days_of_independence.ipynb",
    } <= names
    assert workspace.FIRST in names


@each
def test_it_is_valid_and_its_cells_keep_their_ids(path):
    notebook = read(path)
    nbformat.validate(notebook)
    ids = [cell.id for cell in notebook.cells]
    assert len(set(ids)) == len(ids)
    # Ids that somebody chose: those that a tool makes up change with every rewrite.
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", one) for one in ids), ids


@each
def test_every_code_cell_ran_in_order(path):
    counts = [cell.execution_count for cell in code_cells(path)]
    assert counts == list(range(1, len(counts) + 1))


@each
def test_enough_outputs_are_there_to_be_compared(path):
    checked = [
        cell
        for cell in code_cells(path)
        if any(COMPARED & set(output.get("data", {})) for output in cell.outputs)
    ]
    assert len(checked) >= FEWEST_CHECKED


@each
def test_no_output_is_an_error_or_a_warning(path):
    kinds = {output.output_type for cell in code_cells(path) for output in cell.outputs}
    assert kinds <= {"execute_result", "display_data"}


@each
def test_no_form_is_kept_and_nothing_says_where_it_ran(path):
    text = path.read_text(encoding="utf-8")
    notebook = json.loads(text)
    assert VIEW not in text
    assert "widgets" not in notebook["metadata"]
    assert not any("execution" in cell["metadata"] for cell in notebook["cells"])
    assert not re.search(r"(/home/|/root/|/tmp/|/Users/|C:\\\\Users)", text)


@each
def test_every_picture_is_described_and_followed_by_its_numbers(path):
    cells = code_cells(path)
    pictures = 0
    for cell in cells:
        for number, output in enumerate(cell.outputs):
            for kind in output.get("data", {}):
                if kind.startswith("image/"):
                    pictures += 1
                    alt = output.metadata.get(kind, {}).get("alt", "")
                    assert len(alt.split()) > 8, cell.id
                    after = [one.data.get("text/html", "") for one in cell.outputs[number + 1 :]]
                    table = next(one for one in after if "<table" in one)
                    assert re.search(r"\d", table)
    assert pictures >= 1


@each
def test_it_holds_no_logic(path):
    cells = code_cells(path)
    assert len(cells) <= MOST_CELLS
    banned = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef, ast.Lambda, ast.For, ast.While)
    banned += (ast.comprehension, ast.If, ast.BinOp, ast.Try)  # no unit factor hides in a BinOp
    for cell in cells:
        assert len(cell.source.splitlines()) <= MOST_LINES, cell.id
        assert len(ast.parse(cell.source).body) <= MOST_STATEMENTS, cell.id
        found = [
            type(node) for node in ast.walk(ast.parse(cell.source)) if isinstance(node, banned)
        ]
        assert not found, (cell.id, found)


@each
def test_no_check_is_switched_off(path):
    text = path.read_text(encoding="utf-8").lower()
    assert not re.search(r"nbval[_-](skip|ignore|lax|raises)|raises-exception", text)


@each
def test_its_first_cell_asks_a_question_and_its_last_leads_on(path):
    cells = read(path).cells
    assert cells[0].cell_type == "markdown"
    assert "?" in cells[0].source
    headings = re.findall(r"^## (.*)$", "\n".join(c.source for c in cells), re.MULTILINE)
    assert headings == ["The answer", "What you have", "Next", "Show the work"]
    folded = [cell for cell in cells if cell.metadata.get("jp-MarkdownHeadingCollapsed")]
    assert [cell.source for cell in folded] == ["## Show the work"]
    work = "\n".join(cell.source for cell in cells[cells.index(folded[0]) :])
    assert "### What is assumed" in work and "### Sources" in work
    (leading,) = (cell for cell in cells if cell.source.startswith("## Next"))
    links = re.findall(r"\]\((\d\d_\w+\.ipynb)\)", leading.source)
    assert links
    assert all((path.parent / link).is_file() for link in links)


@each
def test_no_cell_can_be_deleted_and_hidden_code_begins_with_a_sentence(path):
    for cell in read(path).cells:
        assert cell.metadata["deletable"] is False
        if cell.metadata.get("jupyter", {}).get("source_hidden"):
            first = cell.source.splitlines()[0]
            assert re.fullmatch(r"# [A-Z].*\.", first), first


@each
def test_it_is_as_the_normaliser_leaves_it(path):
    from tests import notebooks

    assert notebooks.as_kept(notebooks.normalized(read(path))) == path.read_text(encoding="utf-8")


def test_the_normaliser_takes_out_what_must_not_be_kept():
    from tests import notebooks

    cell = nbformat.v4.new_code_cell("1", id="a", execution_count=7)
    cell.metadata["execution"] = {"iopub.status.busy": "2020-01-01"}
    cell.outputs = [
        nbformat.v4.new_output("display_data", {VIEW: {"model_id": "x"}, "text/plain": "Form()"}),
        nbformat.v4.new_output("execute_result", {"text/plain": "1"}, execution_count=7),
    ]
    notebook = nbformat.v4.new_notebook(cells=[cell], metadata={"widgets": {"x": {}}})
    kept = notebooks.normalized(notebook)
    assert "widgets" not in kept.metadata
    (output,) = kept.cells[0].outputs
    assert output.execution_count == kept.cells[0].execution_count == 1
    assert kept.cells[0].metadata == {"deletable": False}
