"""Rows of a bench's table that are seldom asked for are folded away, and open by a key."""

from __future__ import annotations

from axe import violations
from lab_in_browser import SHOWN, LabPage

from suspension_lab.lab.predict_first import OPEN
from suspension_lab.workshop.mistakes import NOT_KNOWN


def test_seldom_measures_open_by_a_key_and_follow_the_bench(page: LabPage) -> None:
    page.open("03_sharp_and_long_bumps.ipynb")
    page.run()
    sheet = page.page.locator(f"{SHOWN} .question-sheet").first
    for field in sheet.locator("fieldset").all():
        field.get_by_label(NOT_KNOWN, exact=True).check()
    sheet.get_by_role("button", name=OPEN).click()
    screen = page.page.locator(f"{SHOWN} .bench-screen").first
    dose = screen.get_by_role("row").filter(has_text="vibration dose value")
    screen.get_by_role("row").filter(has_text="Tyre load variation").wait_for()
    assert screen.get_by_role("row").count() == 12  # heading and eleven measures
    assert not dose.is_visible()
    screen.get_by_text("More measures", exact=True).focus()
    page.page.keyboard.press("Enter")
    dose.wait_for()
    assert screen.get_by_role("row").count() == 18
    before = dose.inner_text()
    handle = page.page.locator(f"{SHOWN} .bench-controls .noUi-handle").first
    handle.focus()
    for _ in range(6):
        handle.press("ArrowLeft")
    page.page.wait_for_function(
        "([row, before]) => row.innerText !== before", arg=[dose.element_handle(), before], timeout=20_000
    )
    assert violations(page.page, f"{SHOWN} .bench-screen") == []
    assert page.complaints == []
