"""The pages beside the course in the class view, the whole of each: WCAG 2.1 A and AA by axe-core.

The lessons themselves are looked at once they are played; see test_course_in_browser.
"""

from __future__ import annotations

import pytest
from axe import unnamed, violations
from class_in_browser import ClassPage
from test_accessible_in_browser import BESIDE_THE_COURSE, WITHOUT_BENCH


@pytest.mark.parametrize("notebook", BESIDE_THE_COURSE)
def test_no_violation_on_a_whole_page(class_view: ClassPage, notebook: str) -> None:
    class_view.open(notebook)
    if notebook not in WITHOUT_BENCH:
        class_view.run_all()
    assert violations(class_view.page, "html") == []
    assert unnamed(class_view.page, "main") == []
