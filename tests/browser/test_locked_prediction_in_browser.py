"""A prediction that is kept shows which answer was chosen, in words and dark enough to be seen."""

from __future__ import annotations

from lab_in_browser import SHOWN, LabPage

from suspension_lab.lab.predict_first import OPEN
from suspension_lab.workshop.mistakes import NOT_KNOWN


def test_the_chosen_answer_is_marked_in_words_and_dark(page: LabPage) -> None:
    page.open("01_rebound_release.ipynb")
    page.run()
    sheet = page.page.locator(f"{SHOWN} .question-sheet").first
    fields = sheet.locator("fieldset").all()
    for field in fields:
        field.get_by_label(NOT_KNOWN, exact=True).check()
    assert sheet.get_by_text("your prediction", exact=True).count() == 0
    sheet.get_by_role("button", name=OPEN).click()
    sheet.get_by_text("Your prediction is kept").wait_for()
    assert sheet.get_by_text("your prediction", exact=True).count() == len(fields)
    for field in fields:
        (chosen,) = (each for each in field.get_by_role("radio").all() if each.is_checked())
        assert chosen.is_disabled()
        assert f"{NOT_KNOWN}your prediction" in chosen.evaluate("radio => radio.closest('label').textContent")
        assert chosen.evaluate("radio => getComputedStyle(radio).borderTopColor") == "rgb(17, 17, 17)"
    assert page.complaints == []
