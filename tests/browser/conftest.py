"""One browser, one lab and one class view for all browser tests of a process; each file finds its page as new.

A lab of its own for every file, and a browser for every test, took more time than all the tests themselves.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
from class_in_browser import ClassPage, RunningClass, class_page, running_class
from lab_in_browser import CHROMIUM, LabPage, LessonPage, RunningLab, lab_page, launched, running_lab
from playwright.sync_api import Browser

HERE = Path(__file__).parent
MARKS = (
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="Debian's chromium is not installed"),
)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents:
            for mark in MARKS:
                item.add_marker(mark)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    for shown in getattr(item, "funcargs", {}).values():
        if report.failed and isinstance(shown, LessonPage):
            picture = item.config.stash[WORK] / "last_failure.png"
            shown.page.screenshot(path=picture)
            report.sections.append(("the page then", str(picture)))
    return report


WORK = pytest.StashKey[Path]()


@pytest.fixture(scope="session")
def work(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Path:
    folder = tmp_path_factory.mktemp("work")
    request.config.stash[WORK] = folder
    return folder


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with launched() as found:
        yield found


@pytest.fixture(scope="session")
def lab(work: Path) -> Iterator[RunningLab]:
    with running_lab(work / "lab") as running:
        yield running


@pytest.fixture(scope="session")
def lab_tab(lab: RunningLab, browser: Browser) -> Iterator[LabPage]:
    with lab_page(lab, browser=browser) as page:
        yield page


@pytest.fixture(scope="module")
def page(lab_tab: LabPage) -> Iterator[LabPage]:
    """JupyterLab with no lesson open."""
    as_new(lab_tab)
    yield lab_tab
    lab_tab.close()


@pytest.fixture(scope="session")
def running(work: Path) -> Iterator[RunningClass]:
    with running_class(work / "class") as view:
        yield view


@pytest.fixture(scope="session")
def class_tab(running: RunningClass, browser: Browser) -> Iterator[ClassPage]:
    with class_page(running, browser=browser) as page:
        yield page


@pytest.fixture(scope="module")
def class_view(class_tab: ClassPage) -> Iterator[ClassPage]:
    """A tab of the class view."""
    as_new(class_tab)
    yield class_tab
    class_tab.close()


@pytest.fixture(autouse=True)
def no_complaints_yet(request: pytest.FixtureRequest) -> None:
    for name in ("lab_tab", "class_tab"):
        if name in request.fixturenames:
            request.getfixturevalue(name).complaints.clear()


def as_new(shown: LessonPage) -> None:
    """The usual size, and nothing that plays by itself: on a page shown whole, all moving pictures would be drawn."""
    shown.page.set_viewport_size({"width": 1280, "height": 1000})
    shown.page.emulate_media(reduced_motion="reduce")
