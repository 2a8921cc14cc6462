"""What every lesson keeps to."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).parents[2] / "notebooks"
PAGES = sorted(FOLDER.glob("*.ipynb"))
LESSONS = [page for page in PAGES if re.match(r"0[1-9]_", page.stem)]
PARTS = ["Goal", "Predict", "Try", "Explain", "Check yourself", "At the vehicle", "Limits of the model", "Next"]
CHECKED = "# NBVAL_CHECK_OUTPUT"
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?!\w|\.\d)")


def cells(page: Path, kind: str) -> list[dict[str, Any]]:
    content = json.loads(page.read_text(encoding="utf-8"))
    return [cell | {"text": "".join(cell["source"])} for cell in content["cells"] if cell["cell_type"] == kind]


def prose(page: Path) -> str:
    return "\n\n".join(cell["text"] for cell in cells(page, "markdown"))


def numbers_in(text: str) -> set[str]:
    """Numbers of a text, without those of headings, list markers, links, names of lessons and names of standards."""
    text = re.sub(r"^#.*$", "", text, flags=re.MULTILINE)
    text = re.sub(r"^\s*\d+\. ", "", text, flags=re.MULTILINE)
    text = re.sub(r"\]\([^)]*\)", "]", text)
    text = re.sub(r"`[^`]*`", "", text)
    text = re.sub(r"\b(ISO|ASTM|WCAG|Python|lessons?|Lessons?) [\d-]+(?:\.\d+)?", "", text)
    text = re.sub(r"\b0\d\b", "", text)  # a lesson by its number
    return set(NUMBER.findall(text))


def checked_text(page: Path) -> str:
    outputs = [out for cell in cells(page, "code") if CHECKED in cell["text"] for out in cell["outputs"]]
    return "\n".join("".join(out["data"]["text/plain"]) for out in outputs)


def by_stem(path: Path) -> str:
    return path.stem


def test_there_is_a_whole_course() -> None:
    assert [lesson.stem[:2] for lesson in LESSONS] == [f"0{number}" for number in range(1, 10)]
    assert {"00_start_here", "glossary", "instructors_guide"} <= {page.stem for page in PAGES}


@pytest.mark.parametrize("page", PAGES, ids=by_stem)
def test_code_is_short_folded_and_without_stored_output(page: Path) -> None:
    for cell in cells(page, "code"):
        assert len([line for line in cell["text"].splitlines() if line.strip()]) <= 10
        assert cell["metadata"]["jupyter"]["source_hidden"] is True
        assert "widgets" not in cell["text"]
        if CHECKED in cell["text"]:
            assert cell["outputs"]
            assert "skip-execution" in cell["metadata"]["tags"]
        else:
            assert cell["outputs"] == []
            assert cell["execution_count"] is None
    assert "widgets" not in json.loads(page.read_text(encoding="utf-8"))["metadata"]


@pytest.mark.parametrize("page", [page for page in PAGES if page.stem != "glossary"], ids=by_stem)
def test_first_thing_read_is_how_to_run_the_page(page: Path) -> None:
    assert "**How to run this page:**" in cells(page, "markdown")[0]["text"]


@pytest.mark.parametrize("page", PAGES, ids=by_stem)
def test_headings_are_in_order(page: Path) -> None:
    depths = [len(marks) for marks in re.findall(r"^(#+) ", prose(page), flags=re.MULTILINE)]
    assert depths[0] == 1
    assert depths.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(depths))


def headings(page: Path) -> set[str]:
    return {title.strip().replace(" ", "-") for title in re.findall(r"^#+ (.+)$", prose(page), flags=re.MULTILINE)}


@pytest.mark.parametrize("page", PAGES, ids=by_stem)
def test_links_are_alive(page: Path) -> None:
    links = re.findall(r"\]\(([^)]+)\)", prose(page))
    assert links
    for link in links:
        name, _, place = link.partition("#")
        target = FOLDER / name if name else page
        assert target.is_file(), link
        assert not place or place in headings(target), link


@pytest.mark.parametrize("lesson", LESSONS, ids=by_stem)
def test_lesson_has_its_parts_and_cautions(lesson: Path) -> None:
    parts = re.findall(r"^## (.+)$", prose(lesson), flags=re.MULTILINE)
    assert [part for part in parts if part in PARTS] == PARTS
    at_the_vehicle = prose(lesson).split("## At the vehicle")[1].split("## ")[0]
    assert "maker's manual" in at_the_vehicle
    assert "glossary.ipynb" in prose(lesson)


@pytest.mark.parametrize("lesson", LESSONS, ids=by_stem)
def test_lesson_asks_before_it_shows_and_checks_afterwards(lesson: Path) -> None:
    code = [cell["text"] for cell in cells(lesson, "code")]
    assert "predict_and_try()" in code[0]
    assert any("lesson.check(" in text for text in code)
    assert any("result_form()" in text for text in code)


@pytest.mark.parametrize("page", [*LESSONS, FOLDER / "instructors_guide.ipynb"], ids=by_stem)
def test_each_number_in_the_text_stands_in_the_checked_table(page: Path) -> None:
    known = set(NUMBER.findall(checked_text(page)))
    assert known
    assert numbers_in(prose(page)) - known == set()


def test_a_number_that_is_not_in_the_table_is_found() -> None:
    text = "# Title 12\n\n1. At 30 km/h it takes 0.55 s, by ISO 8608, see [lesson 04](04_x.ipynb#5-x) and 07.\n"
    assert numbers_in(text) == {"30", "0.55"}
