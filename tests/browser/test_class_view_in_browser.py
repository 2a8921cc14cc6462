"""The class view in a real browser: lessons without code, their links and benches, and the end of pages left alone."""

from __future__ import annotations

import time
import urllib.error
import urllib.request
from pathlib import Path

import nbformat
import pytest
from class_in_browser import SHOWN_IN_CLASS, RunningClass, class_page, kernels_of, running_class
from playwright.sync_api import Browser, Dialog

STORED = "0.33 s, counted by hand"
FAST_CULLING = ("--MappingKernelManager.cull_idle_timeout=8", "--MappingKernelManager.cull_interval=1")


def until(what: str, holds, seconds: float = 15.0) -> None:
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, what
        time.sleep(0.2)


def test_two_lessons_without_code_and_the_link_between_them(running: RunningClass, browser: Browser) -> None:
    with class_page(running, browser=browser) as page:
        page.open("00_start_here.ipynb")
        page.run_all()
        assert page.page.title() == "Suspension lab: start here"
        assert page.page.locator("html").get_attribute("lang") == "en"
        assert page.page.locator("main:visible h1").count() == 1
        assert "How to run this page" not in page.page.locator("body").inner_text()
        page.page.locator(f"{SHOWN_IN_CLASS} a[href='01_rebound_release.ipynb']").click()
        page.page.wait_for_url("**/voila/render/01_rebound_release.ipynb")
        page.run_all()
        assert page.page.locator('nav:first-of-type a[aria-current="page"]').first.inner_text() == "01"
        assert page.page.locator(".jp-InputArea-editor, .cm-editor").count() == 0
        assert "import" not in page.page.locator("main").inner_text()
        bench = page.bench()
        before, alt = bench.serial, bench.alt
        bench.press("Rebound", "ArrowRight", 3)
        assert bench.serial > before
        assert bench.alt != alt
        assert page.errors_in_outputs() == []
        assert page.complaints == []
        until("the page before keeps its kernel", lambda: len(kernels_of(running)) == 1)
        page.page.locator("nav").first.get_by_role("link", name="Next").click()
        page.page.wait_for_url("**/voila/render/02_compression_push.ipynb")
        page.ready()
    until("a page that is left keeps its kernel", lambda: len(kernels_of(running)) == 0)


def test_unwritten_answers_are_asked_about_before_the_page_is_left(running: RunningClass, browser: Browser) -> None:
    with class_page(running, browser=browser) as page:
        page.open("01_rebound_release.ipynb")
        page.run()
        asked: list[str] = []

        def stay(dialog: Dialog) -> None:
            asked.append(dialog.type)
            dialog.dismiss()

        page.page.on("dialog", stay)
        shown = page.page.locator(SHOWN_IN_CLASS)
        following = page.page.locator("nav").first.get_by_role("link", name="Next")
        for field in shown.locator(".question-sheet").first.locator("fieldset").all():
            field.get_by_role("radio").first.check()
        shown.get_by_role("button", name="That is my prediction").click()
        shown.get_by_text("Your prediction is kept").wait_for()
        following.click()
        until("nothing was asked", lambda: page.page.wait_for_timeout(100) or asked == ["beforeunload"])
        assert "01_rebound_release" in page.page.url
        shown.get_by_label("Your name").fill("Ana")
        shown.get_by_role("button", name="Write my results").click()
        shown.get_by_text("2 answered on this page").wait_for()
        following.click()
        page.page.wait_for_url("**/voila/render/02_compression_push.ipynb")
        assert asked == ["beforeunload"]
        page.ready()
        page.page.go_back()
        page.run()
        for field in shown.locator(".question-sheet").first.locator("fieldset").all():
            field.get_by_role("radio").first.check()
        shown.get_by_role("button", name="That is my prediction").click()
        shown.get_by_text("Your prediction is kept").wait_for()
        page.page.remove_listener("dialog", stay)
    until("a page that is left all the same keeps its kernel", lambda: len(kernels_of(running)) == 0)


def test_keyboard_reaches_the_lesson_first(running: RunningClass, browser: Browser) -> None:
    with class_page(running, width=820, browser=browser) as page:
        page.open("01_rebound_release.ipynb")
        page.page.keyboard.press("Tab")
        assert page.page.evaluate("document.activeElement.textContent") == "Skip to the lesson"
        assert page.page.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)") >= 2
        page.page.keyboard.press("Enter")
        assert page.page.evaluate("document.activeElement.id") == "lesson"
        assert page.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_root_and_lists_of_files_show_the_start_page_to_whoever_has_the_token(
    running: RunningClass, browser: Browser
) -> None:
    with class_page(running, browser=browser) as page:
        page.page.goto(running.address())
        for path in ("", "voila/tree", "voila/tree/.lab-state"):
            page.page.goto(f"{running.url}{path}", wait_until="commit")
            assert page.page.url.endswith("/voila/render/00_start_here.ipynb")
    with urllib.request.urlopen(f"{running.url}voila/render/00_start_here.ipynb", timeout=10) as answer:
        assert answer.url.startswith(f"{running.url}login")
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(f"{running.url}voila/api/contents", timeout=10)


def test_cells_that_are_not_to_be_run_show_what_is_stored(running: RunningClass, browser: Browser) -> None:
    cell = nbformat.v4.new_code_cell(
        "raise ValueError", metadata={"tags": ["skip-execution"]},
        outputs=[nbformat.v4.new_output("stream", name="stdout", text=STORED)],
    )  # fmt: skip
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_markdown_cell("# Stored"), cell, nbformat.v4.new_code_cell("print(6 * 7)")]
    )
    nbformat.write(notebook, running.folder / "stored.ipynb")
    with class_page(running, browser=browser) as page:
        page.open("stored.ipynb")
        shown = page.page.locator(SHOWN_IN_CLASS).inner_text()
        assert shown.count(STORED) == 1
        assert "42" in shown
        assert page.errors_in_outputs() == []


def test_a_page_left_alone_ends_and_says_so(tmp_path: Path, browser: Browser) -> None:
    with (
        running_class(tmp_path / "class", *FAST_CULLING) as running,
        class_page(running, browser=browser) as page,
    ):
        page.open("01_rebound_release.ipynb")
        page.run_all()
        until("an idle page keeps its kernel", lambda: len(kernels_of(running)) == 0)
        gone = page.page.get_by_role("alert")
        gone.get_by_text("no longer computes").wait_for(timeout=20e3)
        gone.get_by_role("button", name="Load this page again").click()
        page.page.locator("#lesson-waiting:has-text('prepared')").wait_for()
        assert page.page.get_by_role("alert").inner_text() == ""
