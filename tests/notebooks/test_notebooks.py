"""Every notebook is short, holds no outputs, and runs from top to bottom without a fault."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

from harmony.resources import find_desks

NOTEBOOKS = sorted(find_desks().glob("*.ipynb"))
MOST_CELLS = 3
MOST_LINES = 8

pytestmark = pytest.mark.timeout(300)


def code_cells(path: Path) -> list[nbformat.NotebookNode]:
    return [cell for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "code"]


def test_there_are_notebooks() -> None:
    assert {"start.ipynb", "progression.ipynb"} <= {path.name for path in NOTEBOOKS}


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_it_is_short_and_as_delivered(path: Path) -> None:
    cells = code_cells(path)
    assert len(cells) <= MOST_CELLS
    for cell in cells:
        assert len(cell.source.splitlines()) <= MOST_LINES
        assert "def " not in cell.source
        assert cell.outputs == []
        assert cell.execution_count is None
        assert cell.metadata["jupyter"]["source_hidden"]


@pytest.mark.parametrize(
    "path", [path for path in NOTEBOOKS if code_cells(path)], ids=lambda path: path.stem
)
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_it_runs(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HARMONY_SKETCHBOOK", str(tmp_path))
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(notebook, timeout=200, resources={"metadata": {"path": str(tmp_path)}})
    client.execute()
    kinds = [
        kind
        for cell in notebook.cells
        if cell.cell_type == "code"
        for output in cell.outputs
        for kind in output.get("data", {})
    ]
    assert "application/vnd.jupyter.widget-view+json" in kinds
    assert list(tmp_path.iterdir()) == []
