"""Every lesson in the class view, the whole page of it: WCAG 2.1 A and AA by axe-core, and what it leaves to people."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe import unnamed, violations
from class_in_browser import ClassPage, class_page, running_class
from lab_in_browser import CHROMIUM

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="Debian's chromium is not installed"),
]
LESSONS = sorted(file.name for file in (Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))
WITHOUT_BENCH = ("glossary.ipynb",)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ClassPage]:
    with running_class(tmp_path_factory.mktemp("work") / "class") as running, class_page(running) as opened:
        opened.page.emulate_media(reduced_motion="reduce")
        yield opened


@pytest.mark.parametrize("lesson", LESSONS)
def test_no_violation_on_a_whole_page(page: ClassPage, lesson: str) -> None:
    page.open(lesson)
    if lesson not in WITHOUT_BENCH:
        page.run_all()
    shown = page.page
    # 3.1.1 and 2.4.2; a landmark to jump to is how 2.4.1 is met here.
    assert shown.locator("html").get_attribute("lang") == "en"
    assert shown.title().strip()
    assert shown.locator("main").count() == 1
    assert violations(shown, "html") == []
    assert unnamed(shown, "main") == []
