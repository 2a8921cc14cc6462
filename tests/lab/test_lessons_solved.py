"""Every lesson runs solved from top to bottom in a fresh kernel; nbval runs them unsolved."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

LESSONS = sorted((Path(__file__).parents[2] / "notebooks").glob("0[1-9]_*.ipynb"))
SOLVE = """
from suspension_lab.lab.checks import SHOWN, solve_all
from suspension_lab.lab.result_sheet import replies

assert solve_all() == 2, "one sheet of predictions and one of checks"
asked = {key for sheet in SHOWN for key in sheet.questions}
assert {reply.question for reply in replies()} == asked
assert [reply for reply in replies() if not reply.right] == []
"""


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_every_question_of_a_lesson_can_be_answered_right(lesson: Path, tmp_path: Path) -> None:
    page = nbformat.read(lesson, as_version=4)
    page.cells.append(nbformat.v4.new_code_cell(SOLVE))
    NotebookClient(page, timeout=120, resources={"metadata": {"path": str(tmp_path)}}).execute()
