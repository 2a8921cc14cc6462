"""Each lesson played as a trainee would, in JupyterLab, and then looked at by axe-core (WCAG 2.1 A and AA).

Predict, try, compare, then check with a wrong answer and the right one.
"""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Any

import pytest
from axe import unnamed, violations
from lab_in_browser import PATIENCE_S, SHOWN, LabPage, LessonPage
from test_accessible_in_browser import OURS, OUTPUTS

from suspension_lab.lab.predict_first import COMPARE
from suspension_lab.lab.questions import Question, right_answer
from suspension_lab.workshop.mistakes import NOT_KNOWN

LESSONS = {
    path.stem: importlib.import_module(f"suspension_lab.lab.lessons.{module}")
    for path in sorted((Path(__file__).parents[2] / "notebooks").glob("0[1-9]_*.ipynb"))
    for module in [{"07_what_if": "what_if_lesson"}.get(path.stem, path.stem[3:])]
}


def a_wrong_answer(question: Question, right: str) -> str:
    if question.options:
        return next(option for option in question.options if option != right)
    truth = question.truth()
    beyond = max((float(right), *truth.also)) + 3.0 * max(1.0, truth.within)
    return f"{beyond if beyond <= question.between()[1] else float(right) - 3.0 * max(1.0, truth.within):g}"


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
    if hasattr(first.bench, "tried"):  # it is not tried before it has worked a change out
        last = root.locator(".bench-controls .noUi-handle").last
        last.press("ArrowRight")
        root.get_by_role("button", name="Work it out", exact=True).click()
        root.locator(".bench-screen table").first.wait_for(timeout=1e3 * PATIENCE_S)
        last.press("ArrowLeft")
    elif handle.count() and getattr(first.bench, "controls", None):
        handle.focus()
        handle.press("ArrowRight")
        handle.press("ArrowLeft")
    root.get_by_role("button", name=COMPARE).press("Enter")  # a page that still grows moves it away from a mouse
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
def test_played_in_the_lab(page: LabPage, lesson: str) -> None:
    page.page.set_viewport_size({"width": 1280, "height": 1000})
    page.open(f"{lesson}.ipynb")
    page.run()
    play(page.page.locator(SHOWN), LESSONS[lesson])
    nothing_wrong(page, OURS, OUTPUTS)


def nothing_wrong(page: LessonPage, looked_at: str, within: str) -> None:
    """No error, and with all questions answered nothing for axe-core to find."""
    assert page.errors_in_outputs() == []
    assert page.complaints == []
    page.show_whole()
    assert violations(page.page, looked_at) == []
    assert unnamed(page.page, within) == []
