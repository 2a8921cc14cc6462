"""What every lesson keeps to."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).parents[2] / "notebooks"
LESSONS = sorted(FOLDER.glob("*.ipynb"))


def cells(lesson: Path, kind: str) -> list[dict[str, Any]]:
    content = json.loads(lesson.read_text(encoding="utf-8"))
    return [cell | {"text": "".join(cell["source"])} for cell in content["cells"] if cell["cell_type"] == kind]


def test_there_are_lessons() -> None:
    assert [lesson.stem for lesson in LESSONS][:4] == [
        "00_start_here", "01_rebound_release", "02_compression_push", "03_sharp_and_long_bumps",
    ]  # fmt: skip


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_code_is_short_folded_and_without_stored_output(lesson: Path) -> None:
    for cell in cells(lesson, "code"):
        assert len([line for line in cell["text"].splitlines() if line.strip()]) <= 10
        assert cell["metadata"]["jupyter"]["source_hidden"] is True
        assert cell["outputs"] == []
        assert cell["execution_count"] is None
        assert "widgets" not in cell["text"]
    assert "widgets" not in json.loads(lesson.read_text(encoding="utf-8"))["metadata"]


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_first_thing_read_is_how_to_run_the_page(lesson: Path) -> None:
    assert "**How to run this page:**" in cells(lesson, "markdown")[0]["text"]


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_headings_are_in_order(lesson: Path) -> None:
    text = "\n".join(cell["text"] for cell in cells(lesson, "markdown"))
    depths = [len(marks) for marks in re.findall(r"^(#+) ", text, flags=re.MULTILINE)]
    assert depths[0] == 1
    assert depths.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(depths))


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_links_lead_to_lessons(lesson: Path) -> None:
    text = "\n".join(cell["text"] for cell in cells(lesson, "markdown"))
    links = re.findall(r"\]\(([^)]+)\)", text)
    assert links
    for link in links:
        assert (FOLDER / link).is_file(), link


@pytest.mark.parametrize("lesson", LESSONS[1:], ids=lambda path: path.stem)
def test_lesson_has_its_parts_and_cautions(lesson: Path) -> None:
    text = "\n".join(cell["text"] for cell in cells(lesson, "markdown"))
    parts = re.findall(r"^## (.+)$", text, flags=re.MULTILINE)
    wanted = ["Goal", "Predict", "Try", "Explain", "Check yourself", "At the vehicle", "Limits", "Next"]
    assert [part for part in parts if part in wanted] == wanted
    at_the_vehicle = text.split("## At the vehicle")[1].split("## ")[0]
    assert "maker's manual" in at_the_vehicle
