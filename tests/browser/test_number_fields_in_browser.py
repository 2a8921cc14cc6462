"""Number fields take whole numbers, and say so where another is typed."""

from __future__ import annotations

from lab_in_browser import SHOWN, LabPage


def test_a_decimal_comma_is_refused_in_a_sentence_and_changes_nothing(page: LabPage) -> None:
    page.open("00_start_here.ipynb")
    page.run_all()
    field = page.page.locator(f"{SHOWN} .bench-controls input[type=number]").first
    before = field.input_value()
    for typed in ("9,5", "9.5"):
        field.focus()
        field.press("ControlOrMeta+a")
        field.press_sequentially(typed)
        said = field.evaluate("field => field.validationMessage")
        assert said == f"Whole clicks only; {before} stays in force."
        field.press("Enter")
        field.blur()
        assert field.input_value() == before
    field.focus()
    field.press("ControlOrMeta+a")
    field.press_sequentially("12")
    field.press("Enter")
    assert field.input_value() == "12"
    assert field.evaluate("field => field.validationMessage") == ""
    assert page.complaints == []
