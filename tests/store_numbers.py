"""Run pages and store the outputs that the tests check: `python tests/store_numbers.py PAGE.ipynb ...`.

Look at the difference before you commit it: the text of the page names these numbers.
"""

from __future__ import annotations

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

CHECKED = "# NBVAL_CHECK_OUTPUT"


def store(path: Path) -> None:
    """Run a page in a kernel of its own, and keep the checked outputs only."""
    page = nbformat.read(path, as_version=4)
    NotebookClient(page, kernel_name="python3", skip_cells_with_tag="none").execute()
    for cell in page.cells:
        if cell.cell_type != "code":
            continue
        cell.metadata.pop("execution", None)
        checked = CHECKED in cell.source
        # nbval takes a cell that was never run for one without an output.
        cell.execution_count = 1 if checked else None
        cell.outputs = cell.outputs if checked else []
        for output in cell.outputs:
            output["execution_count"] = 1
    page.metadata.pop("widgets", None)
    nbformat.write(page, path)


if __name__ == "__main__":
    for name in sys.argv[1:]:
        store(Path(name))
