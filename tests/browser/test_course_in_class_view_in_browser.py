"""Each lesson played as a trainee would, in the class view, and then looked at by axe-core (WCAG 2.1 A and AA)."""

from __future__ import annotations

import pytest
from class_in_browser import SHOWN_IN_CLASS, ClassPage
from test_course_in_browser import LESSONS, nothing_wrong, play


@pytest.mark.parametrize("lesson", LESSONS)
def test_played_in_the_class_view(class_view: ClassPage, lesson: str) -> None:
    shown = class_view.page
    class_view.open(f"{lesson}.ipynb")
    class_view.run()
    play(shown.locator(SHOWN_IN_CLASS), LESSONS[lesson])
    # WCAG 3.1.1 and 2.4.2; a landmark to jump to is how 2.4.1 is met here.
    assert shown.locator("html").get_attribute("lang") == "en"
    assert shown.title().strip()
    assert shown.locator("main").count() == 1
    nothing_wrong(class_view, "html", "main")
