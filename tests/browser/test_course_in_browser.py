"""Each lesson played as a trainee would: predict, try, compare, then check with a wrong answer and the right one."""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from lab_in_browser import CHROMIUM, PATIENCE_S, SHOWN, LabPage, RunningLab, lab_page, running_lab

from suspension_lab.lab.predict_first import COMPARE
from suspension_lab.lab.questions import Question, right_answer
from suspension_lab.workshop.mistakes import NOT_KNOWN

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="Debian's chromium is not installed"),
]

LESSONS = {
    path.stem: importlib.import_module(f"suspension_lab.lab.lessons.{module}")
    for path in sorted((Path(__file__).parents[2] / "notebooks").glob("0[1-9]_*.ipynb"))
    for module in [{"07_what_if": "what_if_lesson"}.get(path.stem, path.stem[3:])]
}


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningLab]:
    with running_lab(tmp_path_factory.mktemp("work") / "lab") as running:
        yield running


def a_wrong_answer(question: Question, right: str) -> str:
    if question.options:
        return next(option for option in question.options if option != right)
    return f"{1000.0 * float(right) + 777.0:g}"


def play(root: Any, module: Any) -> None:
    """Everything a page asks, wrong first and then right; `root` is the page's content."""
    first = module.predict_and_try()
    sheet = root.locator(".question-sheet").first
    for field, question in zip(sheet.locator("fieldset").all(), first.questions.values(), strict=True):
        assert field.locator("legend").inner_text() == question.text
        assert not field.get_by_role("radio").first.is_disabled()
    button = sheet.get_by_role("button")
    button.click()
    sheet.get_by_text("Predict first:").wait_for()
    for field in sheet.locator("fieldset").all():
        field.get_by_label(NOT_KNOWN, exact=True).check()
    button.click()
    sheet.get_by_text("Your prediction is kept").wait_for()
    handle = root.locator(".bench-controls .noUi-handle").first
    if handle.count() and getattr(first.bench, "controls", None):
        handle.focus()
        handle.press("ArrowRight")
        handle.press("ArrowLeft")
    root.get_by_role("button", name=COMPARE).click()
    root.get_by_text("now you know:").first.wait_for()
    assert root.get_by_text("now you know:").count() == len(first.questions)

    checks = module.check(first.bench)
    asked = root.locator(".question-sheet").last
    for field, question in zip(asked.locator("fieldset").all(), checks.questions.values(), strict=True):
        right = right_answer(question)
        for answer, opening in ((a_wrong_answer(question, right), "Not yet:"), (right, "Right:")):
            if question.options:
                field.get_by_label(answer, exact=True).check()
            else:
                field.get_by_role("textbox").fill(answer)
            field.get_by_role("button").click()
            field.get_by_text(opening).wait_for(timeout=1e3 * PATIENCE_S)


@pytest.mark.parametrize("lesson", LESSONS)
def test_played_in_the_lab(lab: RunningLab, lesson: str) -> None:
    with lab_page(lab) as page:
        page.open(f"{lesson}.ipynb")
        ran(page)
        play(page.page.locator(SHOWN), LESSONS[lesson])
        assert page.errors_in_outputs() == []
        assert page.complaints == []


def ran(page: LabPage) -> None:
    """Run all cells and leave the predictions open."""
    page.page.evaluate("void window.jupyterapp.commands.execute('notebook:run-all-cells')")
    page.page.wait_for_selector(f"{SHOWN} .question-sheet", timeout=1e3 * PATIENCE_S)
    page.page.wait_for_function(
        f"!Array.from(document.querySelectorAll('{SHOWN} .jp-InputPrompt')).some(p => p.textContent.includes('*'))",
        timeout=1e3 * PATIENCE_S,
    )
