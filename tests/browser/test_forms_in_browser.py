"""The forms of lesson 06 in a real browser: what is typed and pressed comes back in words and pictures."""

from __future__ import annotations

from lab_in_browser import SHOWN, LabPage


def press(page: LabPage, button: str) -> None:
    found = page.page.locator(f"{SHOWN} button:text-is('{button}')").first
    found.scroll_into_view_if_needed()
    found.click()


def test_lesson_06_from_a_record_to_the_log(page: LabPage) -> None:
    page.open("06_your_own_vehicle.ipynb")
    page.run_all()
    assert page.errors_in_outputs() == []
    press(page, "Fit")
    shown = page.page.locator(SHOWN)
    shown.get_by_text("The model fits").first.wait_for()
    picture = page.page.locator(f"{SHOWN} img[alt*='Rebound damping']").first
    picture.wait_for()
    assert picture.bounding_box()["width"] > 400
    for name, text in (("Seconds until settled", "0.55"), ("Visible swings", "2")):
        shown.get_by_label(name).first.fill(text)
    press(page, "Write it down")
    shown.get_by_text("Try rebound").first.wait_for()
